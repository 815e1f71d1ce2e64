//! Usual vessels with their sizes; the brim of one's own is better weighed.

use super::{Certainty, read};
use serde::Deserialize;

/// What a vessel is; the words are those of the recipe document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum VesselKind {
    Bucket,
    Demijohn,
    Carboy,
    Keg,
    Barrel,
    Tank,
}

impl VesselKind {
    /// Every kind, in the order in which pages list them.
    pub const ALL: [VesselKind; 6] = [
        VesselKind::Bucket,
        VesselKind::Demijohn,
        VesselKind::Carboy,
        VesselKind::Keg,
        VesselKind::Barrel,
        VesselKind::Tank,
    ];

    /// The word of the recipe document.
    pub fn word(self) -> &'static str {
        match self {
            VesselKind::Bucket => "bucket",
            VesselKind::Demijohn => "demijohn",
            VesselKind::Carboy => "carboy",
            VesselKind::Keg => "keg",
            VesselKind::Barrel => "barrel",
            VesselKind::Tank => "tank",
        }
    }
}

/// One usual vessel.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Vessel {
    /// Stable, kebab-case, never used again for something else.
    pub key: String,
    pub name: String,
    pub kind: VesselKind,
    /// Litres to the brim: the size it is sold by, so the true brim is rather a little more.
    pub brim_l: f64,
    /// Wide enough to put fruit in and take it out.
    pub wide_mouth: bool,
    /// What it is good for, in plain words.
    pub words: String,
    pub caution: Option<String>,
    pub source: String,
    pub certainty: Certainty,
}

pub(super) fn all() -> Vec<Vessel> {
    read("vessels", include_str!("data/vessels.json"))
}
