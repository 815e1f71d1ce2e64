//! The codes of a plan: kinds of steps, why each is there, what to do when one was missed, what to take care of.

use serde::ser::{Serialize, Serializer};

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

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.as_str())
            }
        }
    };
}

codes! {
    /// What is done.
    StepKind {
        /// Have everything in the house, the day before.
        Prepare = "prepare",
        /// Clean and sanitise.
        Sanitise = "sanitise",
        /// Brown the honey.
        Cook = "cook",
        /// Mix the must.
        Mix = "mix",
        /// Put the fruit in, in a bag.
        FruitIn = "fruit_in",
        /// Put in what else ferments along.
        AddPrimary = "add_primary",
        /// Stir air in.
        Aerate = "aerate",
        /// Wake the dry yeast.
        Rehydrate = "rehydrate",
        /// Pitch the yeast.
        Pitch = "pitch",
        /// Stir the gas out.
        Degas = "degas",
        /// Feed the yeast.
        Feed = "feed",
        /// Wet the cap of fruit.
        WetCap = "wet_cap",
        /// Read the gravity at the one-third break.
        Break = "break",
        /// Measure the pH.
        Ph = "ph",
        /// Pitch a second yeast.
        LaterYeast = "later_yeast",
        /// Feed honey in steps.
        HoneyFeed = "honey_feed",
        /// Take the fruit out.
        FruitOut = "fruit_out",
        /// Take spice or wood out.
        TakeOut = "take_out",
        /// Read whether it stands still.
        End = "end",
        /// Stop the fermentation by hand.
        Stop = "stop",
        /// Rack off the lees.
        Rack = "rack",
        /// Put in what joins after the first fermentation.
        AddSecondary = "add_secondary",
        /// Put in what it ages on.
        AddAgeing = "add_ageing",
        /// Sulfite, and sorbate where it is sweet.
        Stabilise = "stabilise",
        /// Sweeten.
        Sweeten = "sweeten",
        /// Fine.
        Fine = "fine",
        /// Sugar for gas in the bottle.
        Prime = "prime",
        /// Bottle.
        Package = "package",
        /// Fill a keg.
        Keg = "keg",
        /// Airlock and headspace.
        Look = "look",
        /// Measure the free sulfite.
        FreeSo2 = "free_so2",
        /// Taste.
        Taste = "taste",
    }
}

codes! {
    /// Why a step is there.
    Why {
        /// Nothing should be missing on the day.
        NothingMissing = "nothing_missing",
        /// What lives on vessels spoils a must.
        GermsSpoil = "germs_spoil",
        /// Browned honey is what makes it.
        BrownsTheHoney = "browns_the_honey",
        /// Honey and water must be one before anything is read.
        MakesTheMust = "makes_the_must",
        /// Part of the honey waits: the whole would be too strong for the yeast.
        HoldsHoneyBack = "holds_honey_back",
        /// Fruit gives sugar and taste while it ferments.
        FruitFermentsAlong = "fruit_ferments_along",
        /// What gives taste while it ferments.
        FermentsAlong = "ferments_along",
        /// Yeast needs air to grow.
        YeastWantsAir = "yeast_wants_air",
        /// Dry yeast is hurt by cold, strong must.
        WakesGently = "wakes_gently",
        /// It begins to ferment.
        Begins = "begins",
        /// It begins once the enzyme has had its time.
        BeginsAfterEnzyme = "begins_after_enzyme",
        /// It begins once the sulfite has gone.
        BeginsAfterSulfite = "begins_after_sulfite",
        /// Gas hinders the yeast, and powder makes it foam over.
        GasHinders = "gas_hinders",
        /// A weak must is fed all at once.
        FedAtOnce = "fed_at_once",
        /// Honey feeds yeast next to nothing: a part each day while it grows.
        FedInParts = "fed_in_parts",
        /// The last part, organic, at the one-third break.
        FedLast = "fed_last",
        /// A dry cap grows mould and vinegar.
        CapDries = "cap_dries",
        /// From here on no more air and no more ammonium.
        ThirdIsGone = "third_is_gone",
        /// Honey holds its pH badly, and yeast stalls.
        PhMayFall = "ph_may_fall",
        /// How much sulfite protects goes by the pH.
        SulfiteGoesByPh = "sulfite_goes_by_ph",
        /// A second yeast ends what the first leaves.
        SecondYeastTakesOver = "second_yeast_takes_over",
        /// Honey in steps, so that the yeast bears it.
        HoneyInSteps = "honey_in_steps",
        /// The fruit's sugar is out; skins and seeds turn bitter.
        SugarIsOut = "sugar_is_out",
        /// It has given what is wanted.
        EnoughTaste = "enough_taste",
        /// It should have stopped by now.
        MayStandStill = "may_stand_still",
        /// Only the same reading two weeks on says that it is over.
        SameTwoWeeksOn = "same_two_weeks_on",
        /// Sugar that joined later has fermented, too.
        StandsStillAgain = "stands_still_again",
        /// Sweetened, it must stay as it is.
        StaysSweet = "stays_sweet",
        /// It does not stop by itself at this gravity.
        DoesNotStop = "does_not_stop",
        /// Old lees taste of themselves.
        OffTheLees = "off_the_lees",
        /// What settled since.
        SettledSince = "settled_since",
        /// What goes in late keeps its smell.
        LateKeepsSmell = "late_keeps_smell",
        /// Time with wood or spice.
        AgesOnIt = "ages_on_it",
        /// Sugar stays, and yeast must leave it alone.
        SugarMustStay = "sugar_must_stay",
        /// Sulfite keeps air from it.
        KeepsAirAway = "keeps_air_away",
        /// Sweetened once yeast can do nothing with it.
        SweetAfterwards = "sweet_afterwards",
        /// What floats settles.
        ClearsIt = "clears_it",
        /// A weighed dose of sugar makes the gas.
        SugarMakesGas = "sugar_makes_gas",
        /// A closed bottle bears only what stands still.
        OnlyWhatStandsStill = "only_what_stands_still",
        /// A keg takes the gas from a cylinder.
        GasFromCylinder = "gas_from_cylinder",
        /// Air gets in where water or mead is lacking.
        AirGetsIn = "air_gets_in",
        /// Free sulfite goes with time.
        SulfiteFades = "sulfite_fades",
        /// It changes for months.
        TimeChangesIt = "time_changes_it",
    }
}

codes! {
    /// What to do when a step was missed.
    Missed {
        /// Fed at the pitch: it may still go in within a day.
        WithinADay = "within_a_day",
        /// Give it now, and where the next is due, with the next.
        WithTheNext = "with_the_next",
        /// Give it now, as long as it works: it is organic.
        StillToday = "still_today",
        /// Past the break: nothing with ammonium; the organic part goes with the last.
        OrganicOnly = "organic_only",
        /// Past 9 % ABV, or the end: leave it out.
        LeaveItOut = "leave_it_out",
    }
}

codes! {
    /// What to take care of that no caution of the recipe says.
    Beware {
        /// One chemical at a time; bleach never with acid.
        OneChemical = "one_chemical",
        /// Full glass is heavy and breaks.
        HeavyGlass = "heavy_glass",
        /// No air from here on.
        NoMoreAir = "no_more_air",
        /// The limits for sulfite and sorbate, and what a label must say, are local.
        LocalLimits = "local_limits",
        /// Finings come from egg, milk, fish or crabs.
        FiningAllergens = "fining_allergens",
        /// Readings have not agreed: a bottle may burst.
        ReadingsFirst = "readings_first",
        /// A keg made for pressure, with a relief valve.
        KegPressure = "keg_pressure",
        /// Taste a little, and do not drive.
        SmallSips = "small_sips",
    }
}
