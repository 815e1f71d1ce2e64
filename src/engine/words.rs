//! The words a recipe document may use: kinds, forms, times, needs.

macro_rules! words {
    ($(#[$meta:meta])* $name:ident { $($(#[$note:meta])* $variant:ident = $text:literal,)* }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum $name { $($(#[$note])* $variant,)* }

        impl $name {
            /// Every value, in the document's order.
            pub const ALL: &'static [$name] = &[$($name::$variant,)*];

            /// The word as it stands in the document.
            pub fn as_str(self) -> &'static str {
                match self { $($name::$variant => $text,)* }
            }

            /// The value of a word; `None` for an unknown one.
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($text => Some($name::$variant),)* _ => None }
            }
        }

        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.serialize_str(self.as_str())
            }
        }
    };
}

pub(super) use words;

words! {
    /// What an ingredient is.
    Kind {
        /// Honey.
        Honey = "honey",
        /// Fruit, whole or broken.
        Fruit = "fruit",
        /// Juice.
        Juice = "juice",
        /// Syrup.
        Syrup = "syrup",
        /// Dry sugar.
        Sugar = "sugar",
        /// Malt or its extract.
        Malt = "malt",
        /// Spice, herb, flower, pepper, tea.
        Spice = "spice",
        /// Acid.
        Acid = "acid",
        /// Tannin.
        Tannin = "tannin",
        /// Mineral salt.
        Salt = "salt",
        /// Enzyme.
        Enzyme = "enzyme",
        /// Wood.
        Wood = "wood",
        /// Fining.
        Fining = "fining",
        /// Sweetens and does not ferment: all its solids count as unfermentable.
        Sweetener = "sweetener",
        /// Anything else.
        Other = "other",
    }
}

words! {
    /// In what form an ingredient goes in.
    Form {
        /// Whole.
        Whole = "whole",
        /// Crushed.
        Crushed = "crushed",
        /// Frozen, then thawed.
        Frozen = "frozen",
        /// Puree.
        Puree = "puree",
        /// Juice.
        Juice = "juice",
        /// Dried.
        Dried = "dried",
        /// Tincture.
        Tincture = "tincture",
    }
}

words! {
    /// When an ingredient goes in.
    When {
        /// Into the must, before the yeast: what a hydrometer reads at pitch.
        Must = "must",
        /// During the first fermentation; counted as starting gravity.
        Primary = "primary",
        /// After the first fermentation.
        Secondary = "secondary",
        /// After stabilising, to sweeten.
        Sweeten = "sweeten",
        /// While the mead ages.
        Ageing = "ageing",
    }
}

words! {
    /// How much nitrogen a yeast wants.
    NitrogenNeed {
        /// 0.75 mg N per g sugar.
        Low = "low",
        /// 0.90 mg N per g sugar.
        Medium = "medium",
        /// 1.25 mg N per g sugar.
        High = "high",
    }
}

words! {
    /// When a yeast goes in.
    YeastWhen {
        /// At the start.
        Pitch = "pitch",
        /// Later, after the first.
        Later = "later",
        /// Into the bottle.
        Bottle = "bottle",
    }
}

words! {
    /// How gently the yeast is fed.
    FeedingLevel {
        /// 0.6 of the class demand.
        Lean = "lean",
        /// 0.8 of the class demand.
        Usual = "usual",
        /// The whole class demand.
        Full = "full",
    }
}
