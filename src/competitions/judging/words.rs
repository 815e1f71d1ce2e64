//! Faults, stages and declared facts as judges read them.

use super::model::Stage;
use crate::engine::contest::faults::Fault;

pub use crate::web::words::contest::{character, declared, sparkle, sweetness};

/// A fault's name, and how it shows itself.
pub fn fault(fault: Fault) -> (&'static str, &'static str) {
    match fault {
        Fault::Sulfur => ("sulfur", "rotten eggs, struck matches, rubber"),
        Fault::Hot => ("hot", "the alcohol burns"),
        Fault::Solvent => ("solvent", "nail varnish, glue"),
        Fault::Vinegar => ("vinegar", "sharp in nose and throat"),
        Fault::Oxidised => ("oxidised", "sherry, wet cardboard, stale nuts"),
        Fault::Green => ("green", "green apple, cut grass"),
        Fault::Buttery => ("buttery", "butter, butterscotch"),
        Fault::Yeasty => ("yeasty", "bread dough, broth"),
        Fault::Phenolic => ("phenolic", "clove, smoke, plaster, where none went in"),
        Fault::Musty => ("musty", "cellar, damp paper, cork"),
        Fault::Mousy => ("mousy", "a mouse cage, late in the aftertaste"),
        Fault::Geranium => ("geranium", "crushed geranium leaves"),
        Fault::Metallic => ("metallic", "coins"),
        Fault::Vegetal => ("vegetal", "cooked greens"),
        Fault::Astringent => ("astringent", "dry and rough beyond what suits it"),
        Fault::Bitter => ("bitter", "beyond what suits it"),
        Fault::Sour => ("sour", "beyond what suits it"),
        Fault::Cloying => ("cloying", "sweet, and nothing holds it"),
        Fault::Flabby => ("flabby", "acid is missing"),
        Fault::Thin => ("thin", "little in the mouth"),
        Fault::NoHoney => ("little honey", "in smell and taste"),
        Fault::Hazy => ("hazy", "cloudy, or bits in it"),
        Fault::NotAsDeclared => ("not as declared", "another strength, sweetness or sparkle"),
    }
}

/// A fault's name by its code; a code that nobody knows stands for itself.
pub fn fault_name(code: &str) -> &str {
    Fault::from_word(code).map_or(code, |known| fault(known).0)
}

/// How far a sheet is.
pub fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Blank => "not begun",
        Stage::Begun => "begun",
        Stage::Typed => "typed from paper, not compared yet",
        Stage::Signed => "signed",
        Stage::SteppedBack => "stepped back",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_has_a_name_of_its_own_and_says_how_it_shows() {
        let mut names: Vec<&str> = Fault::ALL.iter().map(|one| fault(*one).0).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Fault::ALL.len());
        assert!(Fault::ALL.iter().all(|one| !fault(*one).1.is_empty()));
        assert_eq!(fault_name("hot"), "hot");
        assert_eq!(fault_name("no_honey"), "little honey");
        assert_eq!(fault_name("of old"), "of old");
    }
}
