//! Questions for words, as the database understands them.

/// Where words stand: in the title; in the title or among the facts; anywhere, so in the notes, too. Each is a mark of its
/// own, so that one look finds a word.
pub(super) const TIERS: [char; 3] = ['a', 'b', 'c'];
pub(super) const ANYWHERE: char = TIERS[2];

/// A word of a tier, as a question in the database's words; `ends` is ":*" where it only begins.
pub(super) fn lexeme(word: &str, tier: char, ends: &str) -> String {
    let word = word.replace('\\', "\\\\").replace('\'', "''");
    format!("'{tier}={word}'{ends}")
}

/// Every word begins a word of this tier.
pub(super) fn within(words: &[String], tier: char) -> String {
    let each = words.iter().map(|word| lexeme(word, tier, ":*"));
    each.collect::<Vec<_>>().join(" & ")
}
