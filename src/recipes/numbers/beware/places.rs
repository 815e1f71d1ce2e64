//! Beside which number each caution belongs, and when what it warns of can happen. A new code does not compile without both.

use crate::engine::problem::CautionCode as Code;
use crate::engine::recipe::Kind;
use crate::recipes::numbers::method::Number;

/// Where a caution belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Beside a number.
    Beside(Number),
    /// Beside the ingredient that it names, or the yeast or feed of that name.
    Named,
    /// Beside the first ingredient of its kind.
    First(Kind),
    /// Only single calculations give it, never a recipe.
    Calculation,
}

/// When what a caution warns of can happen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Moment {
    /// On mixing day.
    Tonight,
    /// While it ferments.
    Working,
    /// Afterwards, and in the bottle.
    Later,
}

/// The number that gives rise to a caution. Every code has one.
pub fn place(code: Code) -> Place {
    use Place::{Beside, Calculation, First, Named};
    match code {
        Code::LittleHeadroom | Code::HoneyAndInfants | Code::MayStayFlat => {
            Beside(Number::Strength)
        }
        Code::MustBeStoppedByHand | Code::EndsAtYeastLimit => Beside(Number::End),
        Code::VeryStrongMust | Code::GravityOutsideStrength => Beside(Number::Start),
        Code::StabiliseBeforeBottling | Code::StabilisersMissing | Code::SparklingWithSugar => {
            Beside(Number::Sweetness)
        }
        Code::MuchAcid | Code::LittleAcid => Beside(Number::Acidity),
        Code::CarbonDioxide => Beside(Number::Gas),
        Code::OutsideYeastTemperature
        | Code::BottleYeastTooWeak
        | Code::LaterYeastTooWeak
        | Code::MixedYeasts
        | Code::YeastStartsAgain
        | Code::StopsHalfWay => Beside(Number::Yeast),
        Code::MuchOrganicFeed
        | Code::AmmoniumCeiling
        | Code::FeedBeyond
        | Code::NoFeed
        | Code::StirBeforeFeeding
        | Code::HighDemand
        | Code::UreaAsFeed => Beside(Number::Feeding),
        Code::VesselTooSmall
        | Code::FoamMayOverflow
        | Code::VesselMaterial
        | Code::NarrowMouth
        | Code::LongInBucket => Beside(Number::Vessel),
        Code::BottlesForPressure | Code::MuchSulfite | Code::MuchSorbate => Beside(Number::Bottles),
        Code::WaterReportUneven | Code::WaterWithoutMinerals | Code::SaltDoesNotDissolve => {
            Beside(Number::Minerals)
        }
        Code::WaterReportUnused => Beside(Number::Water),
        Code::FruitCap | Code::FreshFruit => First(Kind::Fruit),
        Code::HoneyHoldsPhPoorly => First(Kind::Honey),
        Code::SecondaryCanFerment
        | Code::AcidNotCounted
        | Code::AcidBeforeFermenting
        | Code::SweeteningUnused
        | Code::FillerAmountUnused
        | Code::HotPepper
        | Code::FruitStones
        | Code::RawElderberry
        | Code::HotHoney
        | Code::RefusedPlant
        | Code::PlantWithCare
        | Code::Allergen
        | Code::KeepFromDogs
        | Code::SulfiteAsthma
        | Code::SulfiteBeforeYeast
        | Code::SorbateWithoutSulfite
        | Code::SorbateBeforeFermenting
        | Code::SorbateWithMalolactic
        | Code::WholeFruitKeepsSugar
        | Code::EnzymeBeforeYeast
        | Code::DoseAboveUsual
        | Code::ContactTooLong
        | Code::HighFructoseHoney => Named,
        Code::LowerPhFirst
        | Code::SulfiteFumes
        | Code::SorbateNeedsSulfite
        | Code::AcidHandling
        | Code::Caustic
        | Code::NeutraliserFoams
        | Code::GasInBottles
        | Code::BottleTooWeak
        | Code::GasUnderPressure
        | Code::CountsOnSugar
        | Code::NeverReadAtOnce => Calculation,
    }
}

/// When what a caution warns of can happen: of two that weigh the same, the one that comes sooner is said first.
pub fn moment(code: Code) -> Moment {
    match code {
        Code::HotHoney
        | Code::HotPepper
        | Code::FruitStones
        | Code::RawElderberry
        | Code::RefusedPlant
        | Code::PlantWithCare
        | Code::Allergen
        | Code::KeepFromDogs
        | Code::VesselMaterial
        | Code::AcidBeforeFermenting
        | Code::SulfiteBeforeYeast
        | Code::SorbateBeforeFermenting
        | Code::VesselTooSmall
        | Code::NarrowMouth
        | Code::FoamMayOverflow
        | Code::OutsideYeastTemperature
        | Code::MixedYeasts
        | Code::VeryStrongMust
        | Code::GravityOutsideStrength
        | Code::FreshFruit
        | Code::WholeFruitKeepsSugar
        | Code::EnzymeBeforeYeast
        | Code::DoseAboveUsual
        | Code::WaterReportUneven
        | Code::WaterWithoutMinerals
        | Code::SaltDoesNotDissolve
        | Code::WaterReportUnused
        | Code::FillerAmountUnused
        | Code::AcidNotCounted
        | Code::AcidHandling
        | Code::Caustic
        | Code::NeutraliserFoams
        | Code::SulfiteFumes => Moment::Tonight,
        Code::CarbonDioxide
        | Code::UreaAsFeed
        | Code::StirBeforeFeeding
        | Code::FruitCap
        | Code::HoneyHoldsPhPoorly
        | Code::HighFructoseHoney
        | Code::LaterYeastTooWeak
        | Code::StopsHalfWay
        | Code::ContactTooLong
        | Code::NoFeed
        | Code::HighDemand
        | Code::MuchOrganicFeed
        | Code::AmmoniumCeiling
        | Code::FeedBeyond
        | Code::NeverReadAtOnce => Moment::Working,
        Code::StabiliseBeforeBottling
        | Code::StabilisersMissing
        | Code::SparklingWithSugar
        | Code::BottlesForPressure
        | Code::YeastStartsAgain
        | Code::MustBeStoppedByHand
        | Code::EndsAtYeastLimit
        | Code::LittleHeadroom
        | Code::SecondaryCanFerment
        | Code::SweeteningUnused
        | Code::HoneyAndInfants
        | Code::SulfiteAsthma
        | Code::MuchSulfite
        | Code::SorbateWithoutSulfite
        | Code::SorbateWithMalolactic
        | Code::MuchSorbate
        | Code::MayStayFlat
        | Code::BottleYeastTooWeak
        | Code::LongInBucket
        | Code::MuchAcid
        | Code::LittleAcid
        | Code::LowerPhFirst
        | Code::SorbateNeedsSulfite
        | Code::GasInBottles
        | Code::BottleTooWeak
        | Code::GasUnderPressure
        | Code::CountsOnSugar => Moment::Later,
    }
}
