//! Questions for words, as the database understands them.

/// Where words stand: in the title; in the title or among the facts; anywhere, so in the notes, too. Each is a mark of its
/// own, so that one look finds a word.
pub(super) const TIERS: [char; 3] = ['a', 'b', 'c'];
pub(super) const ANYWHERE: char = TIERS[2];

/// A word as it was typed: whatever begins with it is looked for.
pub(super) struct Sought {
    pub typed: String,
    /// All words of recipes that begin with it, where they are known and not too many: words are found several times
    /// faster than beginnings.
    pub known: Option<Vec<String>>,
}

impl Sought {
    /// Whether no recipe has a word that begins with it.
    pub fn is_nowhere(&self) -> bool {
        self.known.as_ref().is_some_and(Vec::is_empty)
    }

    /// It, or what begins with it, in this tier.
    pub fn within(&self, tier: char) -> String {
        match &self.known {
            None => lexeme(&self.typed, tier, ":*"),
            Some(known) => {
                let others = known.iter().filter(|word| **word != self.typed);
                let all = std::iter::once(&self.typed).chain(others);
                let all: Vec<String> = all.map(|word| lexeme(word, tier, "")).collect();
                format!("({})", all.join(" | "))
            }
        }
    }
}

/// A word of a tier, as a question in the database's words; `ends` is ":*" where it only begins.
pub(super) fn lexeme(word: &str, tier: char, ends: &str) -> String {
    let word = word.replace('\\', "\\\\").replace('\'', "''");
    format!("'{tier}={word}'{ends}")
}

/// Every word begins a word of this tier.
pub(super) fn within(words: &[Sought], tier: char) -> String {
    let each = words.iter().map(|word| word.within(tier));
    each.collect::<Vec<_>>().join(" & ")
}
