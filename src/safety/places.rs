//! Where more is said about each of the engine's cautions.

use crate::engine::problem::CautionCode;

/// A section of a page on safety.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    pub subject: &'static str,
    pub section: &'static str,
}

const fn at(subject: &'static str, section: &'static str) -> Option<Place> {
    Some(Place { subject, section })
}

/// Where more is said about a caution; `None` for one that can spoil a mead and hurts nobody.
pub fn place_of(code: CautionCode) -> Option<Place> {
    use CautionCode::*;
    match code {
        MustBeStoppedByHand | SecondaryCanFerment | YeastStartsAgain => {
            at("bottles", "starts-again")
        }
        EndsAtYeastLimit => at("bottles", "finished"),
        StabiliseBeforeBottling | StabilisersMissing | SparklingWithSugar => {
            at("bottles", "sugar-left")
        }
        BottlesForPressure | GasInBottles | BottleTooWeak | CountsOnSugar => {
            at("bottles", "under-pressure")
        }
        GasUnderPressure => at("gas", "cylinders"),
        AcidHandling | Caustic => at("cleaning", "lye-and-acid"),
        NeutraliserFoams => at("bottles", "foam"),
        SulfiteFumes => at("sulfite", "powder"),
        StirBeforeFeeding | FoamMayOverflow => at("bottles", "foam"),
        HotPepper => at("pepper", "hands-and-eyes"),
        FruitStones => at("stones", "stones"),
        RawElderberry => at("stones", "elderberries"),
        HotHoney => at("heat", "browned-honey"),
        CarbonDioxide => at("gas", "closed-rooms"),
        RefusedPlant => at("plants", "left-out"),
        PlantWithCare => at("plants", "little-of-it"),
        Allergen => at("allergies", "allergens"),
        KeepFromDogs => at("pets", "waste"),
        UreaAsFeed => at("sulfite", "urea"),
        VesselMaterial => at("vessels", "metals"),
        HoneyAndInfants => at("honey", "infants"),
        SulfiteAsthma | MuchSulfite => at("sulfite", "sensitive-people"),
        SorbateNeedsSulfite
        | SorbateWithoutSulfite
        | SorbateBeforeFermenting
        | SorbateWithMalolactic
        | MuchSorbate => at("sulfite", "sorbate"),
        LittleHeadroom
        | AcidNotCounted
        | AcidBeforeFermenting
        | MuchOrganicFeed
        | AmmoniumCeiling
        | FeedBeyond
        | NoFeed
        | VeryStrongMust
        | OutsideYeastTemperature
        | VesselTooSmall
        | SweeteningUnused
        | FillerAmountUnused
        | SulfiteBeforeYeast
        | MayStayFlat
        | BottleYeastTooWeak
        | LaterYeastTooWeak
        | MixedYeasts
        | StopsHalfWay
        | FruitCap
        | NarrowMouth
        | FreshFruit
        | WholeFruitKeepsSugar
        | EnzymeBeforeYeast
        | DoseAboveUsual
        | ContactTooLong
        | LongInBucket
        | HoneyHoldsPhPoorly
        | HighFructoseHoney
        | HighDemand
        | GravityOutsideStrength
        | MuchAcid
        | LittleAcid
        | WaterReportUneven
        | WaterWithoutMinerals
        | SaltDoesNotDissolve
        | WaterReportUnused
        | LowerPhFirst
        | NeverReadAtOnce => None,
    }
}
