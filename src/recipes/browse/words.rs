//! Questions for words, as the database understands them.

/// Where words stand: in the title; in what is in it, too; in the notes, too; with its maker and yeast, too.
pub(super) const TIERS: [&[char]; 4] =
    [&['a'], &['a', 'b'], &['a', 'b', 'c'], &['a', 'b', 'c', 'd']];

/// A word of some classes, as a question in the database's words; `ends` is ":*" where it only begins.
pub(super) fn lexemes<'a>(
    word: &'a str,
    classes: &'a [char],
    ends: &'a str,
) -> impl Iterator<Item = String> + 'a {
    let word = word.replace('\\', "\\\\").replace('\'', "''");
    classes
        .iter()
        .map(move |class| format!("'{class}={word}'{ends}"))
}

/// Every word begins a word of these classes.
pub(super) fn within(words: &[String], classes: &[char]) -> String {
    let each = words.iter().map(|word| {
        let all: Vec<String> = lexemes(word, classes, ":*").collect();
        format!("({})", all.join(" | "))
    });
    each.collect::<Vec<_>>().join(" & ")
}

/// Every word begins a word of any class.
pub(super) fn any(words: &[String]) -> String {
    within(words, TIERS[3])
}
