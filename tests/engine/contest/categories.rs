//! The set of categories to start from, and what a mead proposes itself for.

use mustwright::engine::contest::categories::*;

/// Every code of a family that the engine or the catalogue knows.
const FAMILIES: [&str; 22] = [
    "traditional",
    "show",
    "cyser",
    "pyment",
    "berry_mead",
    "stone_fruit_mead",
    "melomel",
    "pyment_cyser_mixed",
    "metheglin",
    "fruit_spice",
    "bochet",
    "braggot",
    "acerglyn",
    "capsicumel",
    "rhodomel",
    "hippocras",
    "morat",
    "black_mead",
    "omphacomel",
    "tej",
    "polish_ratio",
    "experimental",
];

fn asked(kinds: &[Kind]) -> Vec<(Option<&str>, Option<&str>)> {
    kinds
        .iter()
        .map(|kind| (kind.family.as_deref(), kind.strength.as_deref()))
        .collect()
}

#[test]
fn the_usual_set_has_one_place_for_every_mead() {
    let usual = usual();
    assert_eq!(usual.len(), 12);
    for family in FAMILIES {
        let homes = GROUPS
            .iter()
            .filter(|group| group.families.contains(&family));
        assert_eq!(homes.count(), 1, "{family}");
        for (abv, strength) in [
            (2.0, "light"),
            (7.49, "light"),
            (7.5, "standard"),
            (13.99, "standard"),
            (14.0, "strong"),
            (21.0, "strong"),
        ] {
            let found = proposed(&asked(&usual), family, abv).expect("a category");
            assert!(
                usual[found].name.ends_with(strength),
                "{family} of {abv} %: {}",
                usual[found].name
            );
            assert_eq!(usual[found].family.as_deref(), Some(group_of(family)));
        }
    }
    let names: std::collections::BTreeSet<&str> =
        usual.iter().map(|kind| kind.name.as_str()).collect();
    assert_eq!(names.len(), usual.len());
}

#[test]
fn the_narrowest_that_fits_is_proposed_and_of_equals_the_first() {
    let any = (None, None);
    let fruit = (Some("fruit"), None);
    let cyser = (Some("cyser"), None);
    let strong = (None, Some("sack"));
    let strong_fruit = (Some("fruit"), Some("sack"));
    let all = [any, fruit, cyser, strong, strong_fruit, cyser];
    for (family, abv, wanted) in [
        ("cyser", 15.0, 2),
        ("melomel", 15.0, 4),
        ("melomel", 10.0, 1),
        ("traditional", 15.0, 3),
        ("traditional", 10.0, 0),
        ("a maker's own word", 10.0, 0),
    ] {
        assert_eq!(proposed(&all, family, abv), Some(wanted), "{family} {abv}");
    }
    assert_eq!(proposed(&[fruit, strong], "traditional", 10.0), None);
    assert_eq!(proposed(&[], "traditional", 10.0), None);
}
