//! Problems and cautions: codes with arguments. The engine never writes a sentence; pages put codes into words.

use serde::ser::{Serialize, SerializeMap, Serializer};

/// One argument of a problem or caution.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(untagged)]
pub enum Argument {
    /// A number in the unit its name carries (`abv_percent`, `volume_l`, …).
    Number(f64),
    /// A name or a word, as the document has it.
    Text(String),
}

impl From<f64> for Argument {
    /// A number that is not finite becomes its name: NaN and infinity never leave the engine as numbers.
    fn from(value: f64) -> Self {
        if value.is_finite() {
            Argument::Number(value)
        } else {
            Argument::Text("not a finite number".to_owned())
        }
    }
}

impl From<&str> for Argument {
    fn from(value: &str) -> Self {
        Argument::Text(value.to_owned())
    }
}

/// Named arguments, in the order in which they were given.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Arguments(Vec<(&'static str, Argument)>);

impl Arguments {
    /// No arguments.
    pub fn none() -> Self {
        Arguments(Vec::new())
    }

    /// Adds one argument.
    pub fn with(mut self, name: &'static str, value: impl Into<Argument>) -> Self {
        self.0.push((name, value.into()));
        self
    }

    /// The number of that name.
    pub fn number(&self, name: &str) -> Option<f64> {
        self.0.iter().find_map(|(key, value)| match value {
            Argument::Number(number) if *key == name => Some(*number),
            _ => None,
        })
    }

    /// The text of that name.
    pub fn text(&self, name: &str) -> Option<&str> {
        self.0.iter().find_map(|(key, value)| match value {
            Argument::Text(text) if *key == name => Some(text.as_str()),
            _ => None,
        })
    }

    /// All arguments in order.
    pub fn iter(&self) -> impl Iterator<Item = (&'static str, &Argument)> {
        self.0.iter().map(|(key, value)| (*key, value))
    }
}

impl Serialize for Arguments {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (key, value) in &self.0 {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

macro_rules! codes {
    ($(#[$meta:meta])* $name:ident { $($(#[$note:meta])* $variant:ident = $text:literal,)* }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum $name { $($(#[$note])* $variant,)* }

        impl $name {
            /// Every code, for those who must have words for each.
            pub const ALL: &'static [$name] = &[$($name::$variant,)*];

            /// The code as it stands in JSON.
            pub fn as_str(self) -> &'static str {
                match self { $($name::$variant => $text,)* }
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.as_str())
            }
        }
    };
}
pub(super) use codes;

codes! {
    /// What makes an answer wrong or impossible.
    ProblemCode {
        /// A key the document does not know (`key`).
        UnknownKey = "unknown_key",
        /// A key that stands twice in one object (`key`).
        DuplicateKey = "duplicate_key",
        /// A key that must be there (`key`).
        Missing = "missing",
        /// Another kind of value was expected (`expected`).
        WrongKind = "wrong_kind",
        /// A word outside the known ones (`given`, `known`).
        UnknownWord = "unknown_word",
        /// A document of another version (`given`, `known`).
        VersionUnknown = "version_unknown",
        /// A number outside its range (`given`, `low`, `high`).
        OutOfRange = "out_of_range",
        /// Exactly one of several keys is wanted (`keys`).
        OneOf = "one_of",
        /// Mass fractions that do not add up to 1 ± 0.002 (`sum`).
        CompositionSum = "composition_sum",
        /// A honey, fruit, juice, syrup, sugar or malt without a composition (`name`).
        CompositionNeeded = "composition_needed",
        /// Litres of something whose density is not known (`name`).
        DensityNeeded = "density_needed",
        /// At least one yeast for the first pitch is wanted.
        YeastMissing = "yeast_missing",
        /// Lowest above highest in a range (`low`, `high`).
        RangeReversed = "range_reversed",
        /// Shares that are all zero (`stage`).
        SharesAllZero = "shares_all_zero",
        /// A share of something without fermentable sugar (`name`).
        ShareWithoutSugar = "share_without_sugar",
        /// A share where the amounts are fixed: nothing solves it (`name`).
        ShareWithFixedAmounts = "share_with_fixed_amounts",
        /// An aim, but no ingredient with a share that could meet it.
        NothingToSolve = "nothing_to_solve",
        /// The filler's name is no ingredient of the must (`name`).
        FillerUnknown = "filler_unknown",
        /// The filler is as strong as the honey, so the aim cannot be solved (`name`).
        FillerTooStrong = "filler_too_strong",
        /// The solved honey would be negative: the fixed ingredients are stronger than the aim (`honey_kg`; or, where what joins
        /// later is stronger by itself, `wanted_abv_percent`, `least_abv_percent`).
        HoneyNegative = "honey_negative",
        /// The solved water or filler would be negative: the ingredients fill more than the volume (`filler` where there is one, `litres`, `volume_l`, `at_least_l`).
        NoRoomForWater = "no_room_for_water",
        /// The aim asks for a gravity beyond what sugar can make (`wanted_sg`).
        GravityOutOfReach = "gravity_out_of_reach",
        /// No volume fits the honey one has (`honey_kg`).
        VolumeOutOfReach = "volume_out_of_reach",
        /// The yeast stops before the strength wanted (`wanted`, `reachable`, % ABV).
        YeastCannotReach = "yeast_cannot_reach",
        /// The gravity to sweeten to lies below the one the mead has anyway (`wanted_sg`, `natural_fg`).
        AlreadySweeter = "already_sweeter",
        /// Sweetening wanted, but nothing to sweeten with.
        NothingToSweetenWith = "nothing_to_sweeten_with",
        /// The sweetener cannot raise the gravity as far as wanted (`wanted_sg`).
        SweetenerTooWeak = "sweetener_too_weak",
        /// A gravity to stop at together with a starting gravity leaves the strength no freedom.
        FinishOverdetermined = "finish_overdetermined",
        /// Fermentation ends above the gravity to stop at, or starts below it (`wanted_sg`, `natural_fg`, `og`).
        ArrestOutOfReach = "arrest_out_of_reach",
        /// The two gravities cannot belong to one fermentation (`og`, `fg`, `lowest_fg`).
        ImpossibleGravities = "impossible_gravities",
        /// The amounts lead to a liquid outside what the density relations describe.
        OutsideTheModel = "outside_the_model",
        /// More than any rule for drinks that we know allows (`given_mg_per_l`, `limit_mg_per_l`).
        AboveEveryLimit = "above_every_limit",
        /// An acid that should lower acidity, or a neutraliser that should raise it (`name`).
        WrongDirection = "wrong_direction",
        /// The drink holds more gas already, or will make more by itself, than is wanted (`wanted_volumes`, `volumes`).
        AlreadyFizzier = "already_fizzier",
        /// More gas than any bottle may hold (`wanted_volumes`, `most_volumes`).
        NoBottleHolds = "no_bottle_holds",
    }
}

codes! {
    /// What the maker should know before going on.
    CautionCode {
        /// Less headroom than "will finish dry" needs (`headroom_abv_percent`, `wanted_abv_percent`).
        LittleHeadroom = "little_headroom",
        /// Fermentation must be stopped by hand, well below the yeast's limit (`headroom_abv_percent`, `gravity_sg`).
        MustBeStoppedByHand = "must_be_stopped_by_hand",
        /// The yeast's limit decides the end: it is known to about 1.5 % ABV only (`tolerance_abv_percent`).
        EndsAtYeastLimit = "ends_at_yeast_limit",
        /// Something added after the first fermentation can ferment on (`name`).
        SecondaryCanFerment = "secondary_can_ferment",
        /// An acid whose strength is not given, left out of the acidity (`name`).
        AcidNotCounted = "acid_not_counted",
        /// Acid before fermenting: honey musts stall at a low pH (`name`).
        AcidBeforeFermenting = "acid_before_fermenting",
        /// Organic feed past 1 g/L helps little (`grams_per_l`).
        MuchOrganicFeed = "much_organic_feed",
        /// The ceiling for ammonium was reached (`ammonium_mg_per_l`).
        AmmoniumCeiling = "ammonium_ceiling",
        /// Part of the nitrogen wanted is more than helps with the feeds to hand (`beyond_mg_per_l`).
        FeedBeyond = "feed_beyond",
        /// No feed to hand, though the must needs one (`deficit_mg_per_l`).
        NoFeed = "no_feed",
        /// Stir the gas out before powder goes in: it foams over.
        StirBeforeFeeding = "stir_before_feeding",
        /// A must this strong is better fed with honey in steps (`og`).
        VeryStrongMust = "very_strong_must",
        /// Planned outside the yeast's temperatures (`temperature_c`, `low_c`, `high_c`).
        OutsideYeastTemperature = "outside_yeast_temperature",
        /// The vessel is too small for what goes in (`fill_l`, `brim_l`, `wanted_brim_l`).
        VesselTooSmall = "vessel_too_small",
        /// Little room for foam (`fill_l`, `brim_l`, `wanted_brim_l`).
        FoamMayOverflow = "foam_may_overflow",
        /// Sugar stays: bottled without stabilising it may ferment on and burst bottles (`residual_sugar_g_per_l`).
        StabiliseBeforeBottling = "stabilise_before_bottling",
        /// A sweetening share that is not used, for nothing is sweetened (`name`).
        SweeteningUnused = "sweetening_unused",
        /// The filler's own amount is not used: it fills up (`name`).
        FillerAmountUnused = "filler_amount_unused",
        /// Hot pepper: gloves, and keep hands off the face (`name`).
        HotPepper = "hot_pepper",
        /// Stones of this fruit must not be crushed (`name`).
        FruitStones = "fruit_stones",
        /// Raw elderberries, stems and leaves make ill (`name`).
        RawElderberry = "raw_elderberry",
        /// Cooking honey burns and spits (`name`).
        HotHoney = "hot_honey",
        /// Carbon dioxide gathers in closed rooms (`co2_kg`, `gas_l`).
        CarbonDioxide = "carbon_dioxide",
        /// What must not go into a drink at all (`name`, `why`).
        RefusedPlant = "refused_plant",
        /// What goes into a drink with care only (`name`, `why`).
        PlantWithCare = "plant_with_care",
        /// What some people bear badly; named where a drink is sold (`name`, `allergen`).
        Allergen = "allergen",
        /// Poisonous to dogs (`name`).
        KeepFromDogs = "keep_from_dogs",
        /// Urea as feed becomes a carcinogen (`name`).
        UreaAsFeed = "urea_as_feed",
        /// A vessel that may give off lead, zinc or copper (`name`).
        VesselMaterial = "vessel_material",
        /// Honey in a drink of next to no alcohol: not for infants.
        HoneyAndInfants = "honey_and_infants",
        /// Sulfite can set off asthma (`name`).
        SulfiteAsthma = "sulfite_asthma",
        /// Sulfite in the must: the yeast has to wait (`name`).
        SulfiteBeforeYeast = "sulfite_before_yeast",
        /// More sulfur dioxide than wine may hold (`so2_mg_per_l`, `most_mg_per_l`).
        MuchSulfite = "much_sulfite",
        /// Sweetened or stopped, and nothing in the recipe to keep it so (`metabisulfite_low_g`, `metabisulfite_high_g`, `sorbate_g`).
        StabilisersMissing = "stabilisers_missing",
        /// Sorbate without sulfite: bacteria make geranium of it (`name`).
        SorbateWithoutSulfite = "sorbate_without_sulfite",
        /// Sorbate before the yeast has done its work (`name`).
        SorbateBeforeFermenting = "sorbate_before_fermenting",
        /// Sorbate together with bacteria that turn it into geranium (`name`).
        SorbateWithMalolactic = "sorbate_with_malolactic",
        /// More sorbic acid than wine may hold (`sorbic_acid_mg_per_l`, `most_mg_per_l`).
        MuchSorbate = "much_sorbate",
        /// Gas is wanted in bottles.
        BottlesForPressure = "bottles_for_pressure",
        /// Gas is wanted in bottles, with sugar left that makes more of it (`residual_sugar_g_per_l`, `volumes_co2`).
        SparklingWithSugar = "sparkling_with_sugar",
        /// Gas is wanted where a tired yeast may make none (`abv_percent`).
        MayStayFlat = "may_stay_flat",
        /// The yeast for the bottle cannot work in a mead this strong (`name`, `tolerance_abv_percent`, `abv_percent`).
        BottleYeastTooWeak = "bottle_yeast_too_weak",
        /// The later yeast cannot work where the first one ends (`name`, `tolerance_abv_percent`, `abv_percent`).
        LaterYeastTooWeak = "later_yeast_too_weak",
        /// Several yeasts at once: reckoned with the strongest of them (`tolerance_abv_percent`).
        MixedYeasts = "mixed_yeasts",
        /// A yeast that can start again in the bottle (`name`).
        YeastStartsAgain = "yeast_starts_again",
        /// A culture that stops half-way and wants another after it (`name`).
        StopsHalfWay = "stops_half_way",
        /// Fruit floats and makes a cap (`kg`).
        FruitCap = "fruit_cap",
        /// Fruit in a vessel with a narrow mouth (`kg`).
        NarrowMouth = "narrow_mouth",
        /// Fruit that was not frozen, and no sulfite (`metabisulfite_g`).
        FreshFruit = "fresh_fruit",
        /// Whole fruit gives its sugar slowly and in part (`name`).
        WholeFruitKeepsSugar = "whole_fruit_keeps_sugar",
        /// An enzyme wants its time before the yeast (`name`).
        EnzymeBeforeYeast = "enzyme_before_yeast",
        /// More than is usual (`name`, `grams_per_l`, `usual_g_per_l`).
        DoseAboveUsual = "dose_above_usual",
        /// Longer in contact than is usual (`name`, `days`, `most_days`).
        ContactTooLong = "contact_too_long",
        /// Ageing in a bucket, which lets air in (`days`, `most_days`).
        LongInBucket = "long_in_bucket",
        /// A plain honey must falls far in pH (`low_g`, `high_g` of potassium bicarbonate).
        HoneyHoldsPhPoorly = "honey_holds_ph_poorly",
        /// Honey with much fruit sugar (`name`).
        HighFructoseHoney = "high_fructose_honey",
        /// So much nitrogen would be wanted that all of it is too much (`demand_mg_per_l`).
        HighDemand = "high_demand",
        /// The starting gravity is outside of what goes with the strength word (`og`, `low_sg`, `high_sg`).
        GravityOutsideStrength = "gravity_outside_strength",
        /// Sharp (`ta_g_per_l`).
        MuchAcid = "much_acid",
        /// Flat (`ta_g_per_l`).
        LittleAcid = "little_acid",
        /// The charges in the water report miss each other (`imbalance_percent`).
        WaterReportUneven = "water_report_uneven",
        /// Water as good as distilled (`ions_mg_per_l`).
        WaterWithoutMinerals = "water_without_minerals",
        /// More of a salt than plain water dissolves (`name`, `grams_per_l`, `most_g_per_l`).
        SaltDoesNotDissolve = "salt_does_not_dissolve",
        /// A water report where no water goes in.
        WaterReportUnused = "water_report_unused",
        /// So much free sulfite is needed that the pH had better come down first (`free_mg_per_l`).
        LowerPhFirst = "lower_ph_first",
        /// Sulfite gives off a gas that harms the lungs, and some people bear none of it.
        SulfiteFumes = "sulfite_fumes",
        /// Sorbate alone stops no yeast at work, and without sulfite lactic bacteria spoil the mead.
        SorbateNeedsSulfite = "sorbate_needs_sulfite",
        /// Strong acid hurts eyes and skin (`name`).
        AcidHandling = "acid_handling",
        /// A caustic powder (`name`).
        Caustic = "caustic",
        /// A neutraliser gives off gas and foams (`name`).
        NeutraliserFoams = "neutraliser_foams",
        /// Gas in closed bottles: the pressure on a warm day, and what such a bottle may hold (`volumes`, `most_volumes`, `pressure_bar`, `temperature_c`).
        GasInBottles = "gas_in_bottles",
        /// The bottle may not hold this much gas (`volumes`, `most_volumes`, `pressure_bar`, `temperature_c`).
        BottleTooWeak = "bottle_too_weak",
        /// A keg and its cylinder stand under pressure (`pressure_bar`).
        GasUnderPressure = "gas_under_pressure",
        /// Sugar that ferments was counted on: it must not be more (`fermentable_g_per_l`).
        CountsOnSugar = "counts_on_sugar",
        /// The gravity of all that is fed in steps, which no hydrometer ever reads (`og`).
        NeverReadAtOnce = "never_read_at_once",
    }
}

/// Something that makes an answer wrong or impossible.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Problem {
    /// What kind of problem.
    pub code: ProblemCode,
    /// JSON Pointer (RFC 6901) into the recipe document; empty for the whole document.
    pub path: String,
    /// What the sentence about it needs.
    pub arguments: Arguments,
}

impl Problem {
    /// A problem at a place of the document.
    pub fn new(code: ProblemCode, path: impl Into<String>, arguments: Arguments) -> Self {
        Problem {
            code,
            path: path.into(),
            arguments,
        }
    }
}

impl Severity {
    /// The word as it stands in JSON.
    pub fn as_str(self) -> &'static str {
        match self {
            Severity::Note => "note",
            Severity::Watch => "watch",
            Severity::Danger => "danger",
        }
    }
}

/// How much a caution weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Good to know.
    Note,
    /// May spoil the batch.
    Watch,
    /// May hurt somebody.
    Danger,
}

/// Something the maker should know before going on.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Caution {
    /// What kind of caution.
    pub code: CautionCode,
    /// How much it weighs.
    pub severity: Severity,
    /// What the sentence about it needs.
    pub arguments: Arguments,
}

impl Caution {
    /// A caution with its weight.
    pub fn new(code: CautionCode, severity: Severity, arguments: Arguments) -> Self {
        Caution {
            code,
            severity,
            arguments,
        }
    }
}
