//! Where each value of an entry comes from. One text holds it all: first the source of what the entry is made of, then,
//! behind semicolons, those of single values, each opened by the name of its value: "…; TA: …; pH: …".

use super::Certainty;

/// Names of values that have a source of their own.
const NAMES: &[&str] = &[
    "TA",
    "pH",
    "YAN",
    "sugars",
    "fibre",
    "share",
    "dose",
    "usual amount",
    "usual dose",
    "days",
    "density",
    "grams per level teaspoon",
    "rehydration temperature",
];

/// The source of one value, with its mark.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Provenance {
    /// The value's name, empty for what the entry is made of.
    pub of: &'static str,
    pub text: String,
    pub certainty: Certainty,
}

/// Takes the source of an entry apart. `certainty` is the mark of what the entry is made of; a single value has its own,
/// for its source says so.
pub fn parts(source: &str, certainty: Certainty) -> Vec<Provenance> {
    let mut found: Vec<Provenance> = Vec::new();
    for piece in source.split("; ") {
        let named = NAMES.iter().find_map(|name| {
            let rest = piece.strip_prefix(name)?;
            // "grams per level teaspoon ± 20 %, from memory": what is said stands after the name all the same.
            let rest = rest.strip_prefix(": ").or(rest.strip_prefix(' '))?;
            Some((*name, rest))
        });
        match (named, found.last_mut()) {
            (None, Some(last)) => {
                last.text.push_str("; ");
                last.text.push_str(piece);
            }
            (None, None) => found.push(of("", piece)),
            (Some((name, rest)), _) => found.push(of(name, rest)),
        }
    }
    for part in &mut found {
        part.certainty = match part.of {
            "" => certainty,
            _ => mark_of(&part.text),
        };
    }
    found
}

fn of(name: &'static str, text: &str) -> Provenance {
    Provenance {
        of: name,
        text: text.to_owned(),
        certainty: Certainty::Published,
    }
}

/// The mark that a source gives itself: the weakest that it names.
pub fn mark_of(text: &str) -> Certainty {
    if text.contains("from memory") {
        Certainty::FromMemory
    } else if text.contains("common practice") || text.contains("home-practice") {
        Certainty::CommonPractice
    } else {
        Certainty::Published
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_value_has_its_source() {
        let source = "food table 1; a second look; TA: handbook; survey gives 6.6; pH: from memory: verify; dose: common practice";
        let found = parts(source, Certainty::Published);
        let told: Vec<(&str, &str, Certainty)> = found
            .iter()
            .map(|part| (part.of, part.text.as_str(), part.certainty))
            .collect();
        assert_eq!(
            told,
            [
                ("", "food table 1; a second look", Certainty::Published),
                ("TA", "handbook; survey gives 6.6", Certainty::Published),
                ("pH", "from memory: verify", Certainty::FromMemory),
                ("dose", "common practice", Certainty::CommonPractice),
            ]
        );
    }

    #[test]
    fn what_has_one_source_has_one_part() {
        let found = parts("stoichiometry", Certainty::Published);
        assert_eq!(found.len(), 1);
        assert_eq!(
            parts("", Certainty::FromMemory)[0].certainty,
            Certainty::FromMemory
        );
    }
}
