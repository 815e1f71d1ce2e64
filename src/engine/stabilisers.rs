//! What keeps a finished mead from fermenting again, by its name.

use super::names::{Rule, rule};

/// What a sulfite is called.
pub(super) const SULFITE: Rule = rule!([
    ["sulfite"],
    ["sulphite"],
    ["metabisulfite"],
    ["metabisulphite"],
    ["bisulfite"],
    ["bisulphite"],
    ["campden"],
    ["e224"],
    ["e223"],
]);
/// What a sorbate is called.
pub(super) const SORBATE: Rule = rule!([["sorbate"], ["sorbic"], ["e202"]]);
