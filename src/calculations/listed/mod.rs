//! Every page, in the order of the index: one file each.

mod acid;
mod alcohol;
mod blend;
mod boil;
mod bottle_strength;
mod feeding;
mod gravity;
mod hydrometer;
mod keg;
mod prime;
mod sorbate;
mod step_feeding;
mod sulfite;
mod sweeten;
mod triangle;
mod water;

use super::model::Page;

/// All pages; a test holds them against the engine's list.
pub const ALL: &[&Page] = &[
    &gravity::PAGE,
    &water::PAGE,
    &boil::PAGE,
    &feeding::PAGE,
    &alcohol::PAGE,
    &hydrometer::PAGE,
    &step_feeding::PAGE,
    &sulfite::PAGE,
    &sorbate::PAGE,
    &sweeten::PAGE,
    &acid::PAGE,
    &blend::PAGE,
    &prime::PAGE,
    &bottle_strength::PAGE,
    &keg::PAGE,
    &triangle::PAGE,
];

/// The page of that name.
pub fn find(name: &str) -> Option<&'static Page> {
    ALL.iter().find(|page| page.name == name).copied()
}
