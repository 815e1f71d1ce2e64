//! The fields of a form that is kept in a page, for the eye: named in words, without what only the page itself needs.

use super::once;

/// Fields that say how a form is laid out, where it goes or whose it is; nobody typed them.
const OF_THE_FORM: &[&str] = &[
    once::FIELD,
    "at_once",
    "base_version",
    "ceremony",
    "credential",
    "draft",
    "from_number",
    "from_recipe",
    "mixing_day",
    "order",
    "press",
    "query",
    "recipe",
    "sequence",
    "way",
];

/// Names and texts as shown: "honey_amount" is "Honey, amount"; of several fields of one name each has its number.
pub fn legible<'a>(fields: impl IntoIterator<Item = (&'a str, &'a str)>) -> Vec<(String, &'a str)> {
    let typed = |name: &str, text: &str| {
        !text.trim().is_empty()
            && !OF_THE_FORM.contains(&name)
            && !name.ends_with("_row")
            && !name.ends_with("_entry")
            && !is_id(text)
    };
    let all: Vec<_> = fields.into_iter().collect();
    let mut seen: Vec<&str> = Vec::new();
    let mut shown = Vec::new();
    for (name, text) in &all {
        seen.push(name);
        if !typed(name, text) {
            continue;
        }
        let of_name =
            |names: &mut dyn Iterator<Item = &str>| names.filter(|other| other == name).count();
        let place = of_name(&mut seen.iter().copied());
        let label = match of_name(&mut all.iter().map(|(name, _)| *name)) {
            1 => words(name),
            _ => format!("{} {place}", words(name)),
        };
        shown.push((label, *text));
    }
    shown
}

/// Whether a text is the public id of something that was chosen from a list: twenty letters and digits, which nobody typed.
fn is_id(text: &str) -> bool {
    text.len() == 20
        && text
            .bytes()
            .all(|one| matches!(one, b'a'..=b'z' | b'2'..=b'7'))
        && text.bytes().any(|one| one.is_ascii_digit())
}

/// A field's name as words.
fn words(name: &str) -> String {
    capitalised(&name.replace('_', " "))
}

/// The same with a capital in front.
pub fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_words_and_machinery_stays_out() {
        let fields = [
            ("once", "abc.def"),
            ("draft", "xyz"),
            ("title", "Mine"),
            ("honey_row", "1"),
            ("honey_amount", "3 kg"),
            ("honey_row", "2"),
            ("honey_amount", ""),
            ("honey_row", "3"),
            ("honey_amount", "1 kg"),
            ("instrument", "yvhxqkqv3wklycxh5qdj"),
            ("note", "honeyandnothingelses"),
            ("final_gravity", "1.010"),
        ];
        let shown = legible(fields);
        let shown: Vec<_> = shown
            .iter()
            .map(|(name, text)| format!("{name}: {text}"))
            .collect();
        assert_eq!(
            shown,
            [
                "Title: Mine",
                "Honey amount 1: 3 kg",
                "Honey amount 3: 1 kg",
                "Note: honeyandnothingelses",
                "Final gravity: 1.010"
            ]
        );
    }
}
