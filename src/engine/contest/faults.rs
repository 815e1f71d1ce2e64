//! What can be wrong with a mead, in the words of the trade: what judges tick, and what notes to its maker start from.
//!
//! Which faults meads have, and how they smell and taste, is common practice, no published source.

use crate::engine::words::words;

words! {
    /// A fault.
    Fault {
        /// Rotten eggs, struck matches, rubber: sulfur.
        Sulfur = "sulfur",
        /// Burns in the throat: alcohols that a hot ferment makes.
        Hot = "hot",
        /// Nail varnish, glue: ethyl acetate.
        Solvent = "solvent",
        /// Vinegar: acetic acid.
        Vinegar = "vinegar",
        /// Sherry, wet cardboard, stale nuts: too much air.
        Oxidised = "oxidised",
        /// Green apple, cut grass: acetaldehyde.
        Green = "green",
        /// Butter, butterscotch: diacetyl.
        Buttery = "buttery",
        /// Bread dough, broth: dead yeast.
        Yeasty = "yeasty",
        /// Clove, smoke, plaster, where nothing of the kind went in.
        Phenolic = "phenolic",
        /// Cellar, damp paper, cork.
        Musty = "musty",
        /// Mouse cage, in the aftertaste.
        Mousy = "mousy",
        /// Crushed geranium leaves: sorbate that bacteria have eaten.
        Geranium = "geranium",
        /// Coins, iron.
        Metallic = "metallic",
        /// Sauerkraut, cooked greens.
        Vegetal = "vegetal",
        /// Dry and rough in the mouth beyond what suits it.
        Astringent = "astringent",
        /// Bitter beyond what suits it.
        Bitter = "bitter",
        /// Sour beyond what suits it.
        Sour = "sour",
        /// Sweet without anything that holds it.
        Cloying = "cloying",
        /// Flat on the tongue: acid is missing.
        Flabby = "flabby",
        /// Little in the mouth.
        Thin = "thin",
        /// Little honey in smell and taste.
        NoHoney = "no_honey",
        /// Cloudy, or bits in it.
        Hazy = "hazy",
        /// Another strength, sweetness or sparkle than declared.
        NotAsDeclared = "not_as_declared",
    }
}
