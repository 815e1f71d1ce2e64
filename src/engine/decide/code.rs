//! What can be changed in a recipe, with the figures of the change.

/// What is changed. From and to are in the unit of what is changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChangeCode {
    /// It ends at another gravity, SG.
    EndAt {
        /// As it is.
        from: f64,
        /// As it would be.
        to: f64,
    },
    /// It ends dry, without sweetening.
    EndDry {
        /// The gravity to which it is sweetened now.
        from: f64,
    },
    /// It ferments out and is sweetened with honey at the end.
    SweetenTo {
        /// The gravity at which it ends now.
        from: f64,
        /// To which it is sweetened.
        to: f64,
    },
    /// Another strength, % ABV.
    Strength {
        /// As it is.
        from: f64,
        /// As it would be.
        to: f64,
    },
    /// It ferments cooler, °C.
    Cooler {
        /// As it is.
        from: f64,
        /// As it would be.
        to: f64,
    },
    /// More acid at the end, by so many g/L.
    MoreAcid(f64),
    /// Less of the acid that goes in, by this factor; 0: none.
    LessAcid(f64),
    /// More tannin at the end, by so many g/L.
    MoreTannin(f64),
    /// Less of the tannin and wood that goes in, by this factor.
    LessTannin(f64),
    /// Fruit by this factor.
    Fruit(f64),
    /// Spice, herb and wood by this factor.
    Spice(f64),
    /// More or less gas than the recipe says.
    Gas {
        /// As it is.
        from: Gas,
        /// As it would be.
        to: Gas,
        /// Whether it comes from a cylinder, in a keg: what keeps its sugar makes none safely in bottles.
        in_keg: bool,
    },
}

/// How much gas a recipe says a mead has, by the words of its maker.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd)]
pub enum Gas {
    /// None.
    Still,
    /// A light prickle.
    Petillant,
    /// All that a strong bottle bears.
    Sparkling,
}

impl Gas {
    /// What a maker's words say; nothing said is none.
    pub fn of_words(words: Option<&str>) -> Gas {
        let words = words.unwrap_or_default().to_lowercase();
        let says = |telling: &[&str]| telling.iter().any(|one| words.contains(one));
        match () {
            () if says(&["petillant"]) => Gas::Petillant,
            () if says(&["sparkl", "carbonated", "fizzy"]) => Gas::Sparkling,
            () => Gas::Still,
        }
    }

    /// The word for it in a recipe.
    pub fn word(self) -> &'static str {
        match self {
            Gas::Still => "still",
            Gas::Petillant => "petillant",
            Gas::Sparkling => "sparkling",
        }
    }

    /// One step more or less; `None` at either end.
    pub fn next(self, more: bool) -> Option<Gas> {
        match (self, more) {
            (Gas::Still, true) | (Gas::Sparkling, false) => Some(Gas::Petillant),
            (Gas::Petillant, true) => Some(Gas::Sparkling),
            (Gas::Petillant, false) => Some(Gas::Still),
            (Gas::Still, false) | (Gas::Sparkling, true) => None,
        }
    }
}

impl ChangeCode {
    /// Its word, by which a form names it.
    pub fn word(self) -> &'static str {
        match self {
            ChangeCode::EndAt { .. } => "end_at",
            ChangeCode::EndDry { .. } => "end_dry",
            ChangeCode::SweetenTo { .. } => "sweeten_to",
            ChangeCode::Strength { .. } => "strength",
            ChangeCode::Cooler { .. } => "cooler",
            ChangeCode::MoreAcid(_) => "more_acid",
            ChangeCode::LessAcid(_) => "less_acid",
            ChangeCode::MoreTannin(_) => "more_tannin",
            ChangeCode::LessTannin(_) => "less_tannin",
            ChangeCode::Fruit(_) => "fruit",
            ChangeCode::Spice(_) => "spice",
            ChangeCode::Gas { .. } => "gas",
        }
    }
}
