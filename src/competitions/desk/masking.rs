//! Words that might tell whose a mead is: found by the names of members and the shapes of addresses, masked with what tells not
//! even how long they were. A steward has the last word; names of places and farms no program knows.

/// What stands for masked words.
pub const MASK: &str = "[masked]";
/// Parts of names shorter than this are too common to be pointed at, letters.
const SHORTEST: usize = 3;

/// Words of a text that are part of somebody's name, or look like an address or a number to call, each once.
pub fn telling(text: &str, names: &[String]) -> Vec<String> {
    let parts: Vec<String> = names
        .iter()
        .flat_map(|name| name.split(|c: char| !c.is_alphanumeric()))
        .filter(|part| part.chars().count() >= SHORTEST)
        .map(str::to_lowercase)
        .collect();
    let mut found: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let bare = word.trim_matches(|c: char| !c.is_alphanumeric() && c != '@');
        let lower = bare.to_lowercase();
        let is_name = || {
            lower
                .split(|c: char| !c.is_alphanumeric())
                .any(|part| parts.iter().any(|known| known == part))
        };
        let is_address = lower.contains('@') || lower.contains("www.") || lower.contains("://");
        let is_number = lower.chars().filter(char::is_ascii_digit).count() >= 6;
        let is_new = !found.iter().any(|known| known.to_lowercase() == lower);
        if is_new && !bare.is_empty() && (is_name() || is_address || is_number) {
            found.push(bare.to_owned());
        }
    }
    found
}

/// The text with these words masked wherever they stand as words, in small letters or large ones.
pub fn masked(text: &str, words: &[String]) -> String {
    let fold = |c: char| c.to_lowercase().next().unwrap_or(c);
    let letters: Vec<char> = text.chars().collect();
    let folded: Vec<char> = letters.iter().copied().map(fold).collect();
    let mut words: Vec<Vec<char>> = words
        .iter()
        .map(|word| word.trim().chars().map(fold).collect())
        .filter(|word: &Vec<char>| !word.is_empty())
        .collect();
    // A longer one is not torn by a shorter one within it.
    words.sort_by_key(|word| std::cmp::Reverse(word.len()));
    let is_letter = |at: usize| folded.get(at).is_some_and(|c| c.is_alphanumeric());
    let stands_alone = |at: usize, word: &[char]| {
        let end = at + word.len();
        let begins = word.first().is_some_and(|c| c.is_alphanumeric());
        let ends = word.last().is_some_and(|c| c.is_alphanumeric());
        let joined_before = begins && at.checked_sub(1).is_some_and(is_letter);
        !(joined_before || ends && is_letter(end))
    };
    let mut out = String::new();
    let mut at = 0;
    while let Some(letter) = letters.get(at) {
        let here = words.iter().find(|word| {
            folded.get(at..).is_some_and(|rest| rest.starts_with(word)) && stands_alone(at, word)
        });
        match here {
            Some(word) => {
                out.push_str(MASK);
                at += word.len();
            }
            None => {
                out.push(*letter);
                at += 1;
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(all: &[&str]) -> Vec<String> {
        all.iter().map(|one| (*one).to_owned()).collect()
    }

    #[test]
    fn names_addresses_and_numbers_are_pointed_at() {
        let names = words(&["Maren Holloway", "Bo", "Ada O’Neill"]);
        for (text, wanted) in [
            ("Holloway's own heather honey", vec!["Holloway's"]),
            ("from MAREN, for ada", vec!["MAREN", "ada"]),
            ("a hollow way, borage, adaptable", vec![]),
            (
                "write to me@bees.example or 0123 / 456789",
                vec!["me@bees.example", "456789"],
            ),
            ("see www.bees.example", vec!["www.bees.example"]),
            ("Bo is too short a name", vec![]),
            ("Neill, neill and Neill", vec!["Neill"]),
            ("", vec![]),
        ] {
            assert_eq!(telling(text, &names), words(&wanted), "{text}");
        }
    }

    #[test]
    fn what_is_masked_tells_not_even_its_length() {
        let of = |text: &str, all: &[&str]| masked(text, &words(all));
        assert_eq!(of("Holloway heather", &["holloway"]), "[masked] heather");
        assert_eq!(
            of("HOLLOWAYS, Hollow", &["holloway", "hollow"]),
            "HOLLOWAYS, [masked]"
        );
        assert_eq!(
            of("Tarn Farm, tarn farm", &["Tarn Farm", "Tarn"]),
            "[masked], [masked]"
        );
        assert_eq!(of("Åse's plum", &["åse"]), "[masked]'s plum");
        assert_eq!(of("me@bees.example!", &["me@bees.example"]), "[masked]!");
        assert_eq!(of("plum", &["", "  "]), "plum");
        assert_eq!(of("", &["x"]), "");
    }
}
