//! The vessels that may be chosen: the member's own, then the usual ones.

use crate::catalogue::{VesselKind, catalogue};
use crate::engine::log::house::Figure;
use crate::engine::recipe;
use crate::engine::vessel::ageing_headspace;
use crate::vessels::Vessel;

/// What stays behind in vessels of a kind, by the word of the recipe document, as the club's own batches have it.
pub type ClubLoss = (String, Figure);

/// A vessel that may be chosen: one of the member's own, or a usual one.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    pub key: String,
    pub name: String,
    pub kind: VesselKind,
    pub brim_l: f64,
    pub wide_mouth: bool,
    pub headspace_fraction: Option<f64>,
    /// What stays behind in one of them at each racking, where that was measured, litres.
    pub loss_l: Option<f64>,
    /// How many the member has; of a usual one nobody knows.
    pub have: Option<i32>,
}

impl Choice {
    /// As a recipe document has it.
    pub fn for_recipe(&self) -> recipe::Vessel {
        recipe::Vessel {
            name: Some(self.name.clone()),
            kind: Some(self.kind.word().to_owned()),
            brim_l: self.brim_l,
            wide_mouth: Some(self.wide_mouth),
            headspace_fraction: self.headspace_fraction,
            loss_l: None,
        }
    }

    /// Litres with which it is full when a mead ages in it.
    pub fn full_l(&self) -> f64 {
        self.brim_l * (1.0 - ageing_headspace(self.kind.word()))
    }

    /// Whether it is the member's own.
    pub fn is_mine(&self) -> bool {
        self.have.is_some()
    }
}

/// The member's own vessels in use, then the usual ones.
pub fn choices(own: &[Vessel]) -> Vec<Choice> {
    let mine = own.iter().filter(|vessel| !vessel.retired).map(|vessel| {
        let is = &vessel.is;
        Choice {
            key: vessel.public_id.clone(),
            name: is.name.clone(),
            kind: is.kind,
            brim_l: is.brim_l,
            wide_mouth: is.wide_mouth,
            headspace_fraction: is.headspace_fraction,
            loss_l: is.loss_l,
            have: Some(is.how_many),
        }
    });
    let usual = catalogue().vessels().iter().map(|vessel| Choice {
        key: vessel.key.clone(),
        name: vessel.name.clone(),
        kind: vessel.kind,
        brim_l: vessel.brim_l,
        wide_mouth: vessel.wide_mouth,
        headspace_fraction: None,
        loss_l: None,
        have: None,
    });
    mine.chain(usual).collect()
}
