//! How near a mistyped word is to one that is meant.

/// Changes of one letter (left out, put in, another, two swapped) from one word to the other; no letter is changed twice.
pub fn distance(one: &str, other: &str) -> usize {
    let one: Vec<char> = one.chars().collect();
    let other: Vec<char> = other.chars().collect();
    let mut before: Vec<usize> = Vec::new();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, letter) in one.iter().enumerate() {
        let mut next = vec![i + 1];
        for (j, wanted) in other.iter().enumerate() {
            let changed = row[j] + usize::from(letter != wanted);
            let mut least = changed.min(row[j + 1] + 1).min(next[j] + 1);
            if i > 0 && j > 0 && one[i - 1] == *wanted && other[j - 1] == *letter {
                least = least.min(before[j - 1] + 1);
            }
            next.push(least);
        }
        before = std::mem::replace(&mut row, next);
    }
    row.last().copied().unwrap_or_default()
}

/// The words that may be meant, the nearest first: one change in a short word, two in a longer one. What begins with the
/// typed word has been found by it already.
pub fn nearest(typed: &str, known: Vec<String>) -> Vec<String> {
    let most = match typed.chars().count() {
        0..=3 => return Vec::new(),
        4..=6 => 1,
        _ => 2,
    };
    let known = known.into_iter().filter(|word| !word.starts_with(typed));
    let mut near: Vec<(usize, String)> = known
        .map(|word| (distance(typed, &word), word))
        .filter(|(changes, _)| *changes <= most)
        .collect();
    near.sort();
    near.into_iter().map(|(_, word)| word).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_are_counted() {
        for (one, other, changes) in [
            ("", "", 0),
            ("", "oak", 3),
            ("heather", "heather", 0),
            ("hether", "heather", 1),
            ("heatther", "heather", 1),
            ("heuther", "heather", 1),
            ("haether", "heather", 1),
            ("rasbery", "raspberry", 2),
            ("cherry", "berry", 2),
            ("öl", "ol", 1),
        ] {
            assert_eq!(distance(one, other), changes, "{one} {other}");
            assert_eq!(distance(other, one), changes, "{other} {one}");
        }
    }

    #[test]
    fn short_words_are_taken_at_their_word() {
        let known = || {
            ["oat", "cherry", "cherries", "berry", "sherry"]
                .map(str::to_owned)
                .to_vec()
        };
        assert_eq!(nearest("oak", known()), [""; 0]);
        assert_eq!(nearest("chery", known()), ["cherry"]);
        assert_eq!(nearest("cherr", known()), [""; 0], "begins them");
        assert_eq!(
            nearest("cherrys", known()),
            ["cherry", "cherries", "sherry"]
        );
    }
}
