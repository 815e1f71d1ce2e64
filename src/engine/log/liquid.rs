//! Entries that say where the liquid went: racked, sampled, filled, parted, moved.

use crate::engine::words::words;

/// Moved off the lees.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Rack {
    /// Into what.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub into: Option<String>,
    /// Left afterwards, litres, if measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_l: Option<f64>,
    /// Stayed behind, litres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loss_l: Option<f64>,
}

/// Some was taken out.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Sample {
    /// Litres.
    pub litres: f64,
    /// Whether it was poured back.
    pub returned: bool,
}

words! {
    /// How it was filled.
    How {
        /// Without gas.
        Still = "still",
        /// With gas.
        Gas = "gas",
    }
}

/// Bottles of one size.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Bottles {
    /// Litres of one.
    pub size_l: f64,
    /// How many.
    pub count: u32,
}

/// Filled into bottles or a keg.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Package {
    /// Litres in all; else what the bottles hold, else all there is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub litres: Option<f64>,
    /// Bottles by size.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub bottles: Vec<Bottles>,
    /// Still, or with gas.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub how: Option<How>,
    /// Volumes of carbon dioxide wanted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volumes_co2: Option<f64>,
}

/// A part went into another vessel or batch.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Part {
    /// The part of the liquid that left, 0 to 1.
    pub share: f64,
}

/// Into another vessel, all of it, nothing lost.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Move {
    /// The vessel's name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vessel: Option<String>,
    /// Filled to the brim, litres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub brim_l: Option<f64>,
    /// What kind of vessel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
}
