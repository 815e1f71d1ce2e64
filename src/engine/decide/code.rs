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
    /// More gas at bottling: no number of the recipe.
    MoreGas,
    /// Less gas at bottling: no number of the recipe.
    LessGas,
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
            ChangeCode::MoreGas => "more_gas",
            ChangeCode::LessGas => "less_gas",
        }
    }
}
