//! Categories: a set to start from, by what is in a mead and how strong it is, and which of them an entry proposes itself for.

/// What a category is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kind {
    pub name: String,
    /// In plain words, for entrants.
    pub about: String,
    /// A group of [`GROUPS`] or the engine's code of one family; none takes any.
    pub family: Option<String>,
    /// The engine's code of a strength; none takes any.
    pub strength: Option<String>,
}

/// A group of families that are judged together, with its name and what belongs to it.
pub struct Group {
    pub code: &'static str,
    pub name: &'static str,
    pub about: &'static str,
    /// Codes of families, as `engine::style` and the catalogue have them.
    pub families: &'static [&'static str],
}

/// Groups of families, from plain to loud. Whatever is in none belongs to the last. Our own, no published source.
pub const GROUPS: &[Group] = &[
    Group {
        code: "plain",
        name: "Plain honey",
        about: "Honey, water and yeast; honey and wood may be tasted, nothing else.",
        families: &["traditional", "show", "polish_ratio"],
    },
    Group {
        code: "fruit",
        name: "Fruit",
        about: "With fruit or its juice, and without spice.",
        families: &[
            "cyser",
            "pyment",
            "berry_mead",
            "stone_fruit_mead",
            "melomel",
            "pyment_cyser_mixed",
            "morat",
            "black_mead",
            "omphacomel",
        ],
    },
    Group {
        code: "spice",
        name: "Spice and herbs",
        about: "With spice, herbs, flowers or hot pepper, with fruit besides or without.",
        families: &[
            "metheglin",
            "fruit_spice",
            "capsicumel",
            "rhodomel",
            "hippocras",
        ],
    },
    Group {
        code: "other",
        name: "Malt, maple, browned honey and the unusual",
        about: "Whatever has its place nowhere else.",
        families: &["braggot", "bochet", "acerglyn", "tej", "experimental"],
    },
];

/// Strengths as the engine names them, with our names and where they lie.
pub const STRENGTHS: &[(&str, &str, &str)] = &[
    ("hydromel", "light", "Below 7.5 % alcohol."),
    ("standard", "standard", "From 7.5 % to below 14 % alcohol."),
    ("sack", "strong", "14 % alcohol and more."),
];

/// The group of a family.
pub fn group_of(family: &str) -> &'static str {
    let found = GROUPS.iter().find(|group| group.families.contains(&family));
    found.map_or("other", |group| group.code)
}

/// The strength of a mead, ABV in per cent; what is weaker or stronger than any word of the engine takes the nearest.
/// Bounds: the bands of `engine::style`.
pub fn strength_of(abv_percent: f64) -> &'static str {
    match abv_percent {
        abv if abv < 7.5 => "hydromel",
        abv if abv < 14.0 => "standard",
        _ => "sack",
    }
}

/// The set to start from: each group in each strength, in the order in which glasses are best tasted.
pub fn usual() -> Vec<Kind> {
    let of = |group: &Group| {
        let (code, name, about) = (group.code, group.name, group.about);
        STRENGTHS.iter().map(move |(strength, word, bounds)| Kind {
            name: format!("{name}, {word}"),
            about: format!("{about} {bounds}"),
            family: Some(code.to_owned()),
            strength: Some((*strength).to_owned()),
        })
    };
    GROUPS.iter().flat_map(of).collect()
}

/// How well a category of that family and strength fits a mead; none where it does not.
fn fit(of: (Option<&str>, Option<&str>), family: &str, strength: &str) -> Option<u8> {
    let by_family = match of.0 {
        None => 0,
        Some(wanted) if wanted == family => 4,
        Some(wanted) if wanted == group_of(family) => 2,
        Some(_) => return None,
    };
    let by_strength = match of.1 {
        None => 0,
        Some(wanted) if wanted == strength => 1,
        Some(_) => return None,
    };
    Some(by_family + by_strength)
}

/// Which of the categories, each by its family and strength, a mead proposes itself for: the narrowest that fits, of equals the
/// first. `family` is the engine's code.
pub fn proposed(
    categories: &[(Option<&str>, Option<&str>)],
    family: &str,
    abv_percent: f64,
) -> Option<usize> {
    let strength = strength_of(abv_percent);
    let fits = categories.iter().enumerate().filter_map(|(index, of)| {
        let fit = fit(*of, family, strength)?;
        Some((fit, std::cmp::Reverse(index)))
    });
    fits.max().map(|(_, index)| index.0)
}
