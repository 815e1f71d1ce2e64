//! The seeded catalogue: that every figure closes, has a source and agrees with the reference tables, and no name is a product's.

mod ingredients;
mod keys;
mod own;
mod pages;
mod picking;
mod remembered;
mod yeast_and_vessels;

use std::collections::{HashMap, HashSet};
use std::path::PathBuf;

use mustwright::catalogue::club::ClubCatalogue;
use mustwright::catalogue::item::Group;
use mustwright::catalogue::{Catalogue, Certainty, Kind, catalogue};

fn table(name: &str) -> HashMap<String, HashMap<String, String>> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("tests/reference")
        .join(name);
    let mut reader = csv::Reader::from_path(path).unwrap();
    let first = reader.headers().unwrap().get(0).unwrap().to_owned();
    reader
        .deserialize::<HashMap<String, String>>()
        .map(Result::unwrap)
        .map(|row| (row[&first].clone(), row))
        .collect()
}

/// Which row of a reference table each key of a data file was taken from.
fn rows_of(file: &str) -> Vec<(String, String)> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("src/catalogue/data")
        .join(file);
    let data: Vec<serde_json::Value> =
        serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    data.iter()
        .filter_map(|row| {
            Some((
                row["key"].as_str()?.to_owned(),
                row.get("row")?.as_str()?.to_owned(),
            ))
        })
        .collect()
}

fn cell(row: &HashMap<String, String>, name: &str) -> Option<f64> {
    let text = &row[name];
    if text.is_empty() {
        None
    } else {
        Some(text.parse().unwrap())
    }
}

/// Key, name, plain words, source and mark of everything in the catalogue.
fn everything(catalogue: &Catalogue) -> Vec<(&str, &str, &str, &str, Certainty)> {
    let mut all = Vec::new();
    let ingredients = catalogue.honeys().iter().chain(catalogue.others());
    for x in ingredients.chain(catalogue.retired()) {
        all.push((
            x.key.as_str(),
            x.name.as_str(),
            x.words.as_str(),
            x.source.as_str(),
            x.certainty,
        ));
    }
    for x in catalogue.yeasts() {
        all.push((&x.key, &x.name, &x.words, &x.source, x.certainty));
    }
    for x in catalogue.feeds() {
        all.push((&x.key, &x.name, &x.words, &x.source, x.certainty));
    }
    for x in catalogue.vessels() {
        all.push((&x.key, &x.name, &x.words, &x.source, x.certainty));
    }
    for x in catalogue.families() {
        all.push((&x.key, &x.name, &x.words, &x.source, x.certainty));
    }
    for x in catalogue.style_words() {
        all.push((&x.key, &x.name, &x.words, &x.source, x.certainty));
    }
    all
}

#[test]
fn every_entry_has_a_key_words_a_source_and_a_mark() {
    let mut seen = HashSet::new();
    for (key, name, words, source, mark) in everything(catalogue()) {
        assert!(seen.insert(key), "{key} twice");
        let kebab = key.split('-').all(|part| {
            !part.is_empty()
                && part
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
        });
        assert!(kebab, "{key}");
        assert!(
            !name.is_empty() && !words.is_empty() && !mark.words().is_empty(),
            "{key}"
        );
        assert!(source.len() > 10, "{key}: {source}");
    }
}

#[test]
fn no_name_is_a_products_name() {
    // Products are known by numbers, signs and capitals; a class is known by words. Vessels have sizes, so digits.
    let places_and_species = [
        "DAP",
        "Ceylon",
        "European",
        "American",
        "Norwegian",
        "Torulaspora",
        "Lachancea",
        "Polish",
        "L",
        "US",
    ];
    for (key, name, _, _, _) in everything(catalogue()) {
        let vessel = catalogue().find_vessel(key).is_some();
        assert!(!name.contains(['®', '™', '&', '#']), "{name}");
        assert!(
            vessel || !name.chars().any(|c| c.is_ascii_digit()),
            "{name}"
        );
        for word in name
            .split([' ', ',', '-'])
            .skip(1)
            .filter(|word| !word.is_empty())
        {
            let capital = word.chars().any(char::is_uppercase);
            assert!(
                !capital || places_and_species.contains(&word),
                "{name}: {word}"
            );
        }
    }
}

#[test]
fn search_finds_by_name_words_and_kind_and_ranks_names_first() {
    let club = ClubCatalogue::default();
    let keys = |text| {
        let found = club.search(text, None);
        found.iter().map(|item| item.key()).collect::<Vec<_>>()
    };
    assert_eq!(
        keys("cherry"),
        ["sour-cherry", "sweet-cherry", "style-stone-fruit-mead"]
    );
    assert_eq!(keys("  SOUR   cherry "), ["sour-cherry"]);
    assert_eq!(keys("jalapeno")[0], "jalapeno");
    assert_eq!(
        keys("raspberry")[..2],
        ["raspberry", "honey-raspberry-blossom"]
    );
    assert_eq!(keys("cyser")[0], "style-cyser");
    assert!(keys("cyser").contains(&"apple-juice"));
    assert!(keys("honey").contains(&"honey-clover"));
    assert!(keys("polish").contains(&"style-polish-ratio"));
    assert!(keys("zzz").is_empty());
    assert_eq!(keys("").len(), club.items().count());
    let juices = club.search("apple", Some(Group::Of(Kind::Juice)));
    assert!(juices.iter().all(|item| item.key().contains("juice")));
    assert_eq!(juices.len(), 3, "apple, its concentrate, pineapple");
    assert!(catalogue().find("nothing").is_none());
    assert!(club.item("nothing").is_none());
    assert_eq!(catalogue().of_kind(Kind::Acid).count(), 4);
}
