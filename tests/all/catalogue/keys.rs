//! Keys that recipes hold: once given they stay good for ever, for the same thing.

use mustwright::catalogue::catalogue;
use mustwright::catalogue::club::ClubCatalogue;

/// Every key that was ever given out; lines are only added.
const KEYS: &str = include_str!("keys.txt");

#[test]
fn every_key_that_was_ever_given_out_still_leads_to_its_entry() {
    let catalogue = catalogue();
    let known = |key: &str| {
        catalogue.find(key).is_some()
            || catalogue.find_yeast(key).is_some()
            || catalogue.find_feed(key).is_some()
            || catalogue.find_vessel(key).is_some()
            || catalogue.find_family(key).is_some()
            || catalogue.style_words().iter().any(|word| word.key == key)
    };
    let lost: Vec<&str> = KEYS.lines().filter(|key| !known(key)).collect();
    assert_eq!(lost, [""; 0]);
    assert!(KEYS.lines().count() > 180);
}

#[test]
fn every_key_of_today_is_written_down() {
    let written: Vec<&str> = KEYS.lines().collect();
    let new: Vec<&str> = super::everything(catalogue())
        .into_iter()
        .map(|(key, ..)| key)
        .filter(|key| !written.contains(key))
        .collect();
    assert_eq!(new, [""; 0], "add these to keys.txt");
}

#[test]
fn what_is_retired_is_found_and_not_offered() {
    let oak = catalogue().find("oak").expect("an old key");
    assert_eq!(oak.name, "Oak cubes or chips, toasted");
    assert!(catalogue().others().iter().all(|entry| entry.key != "oak"));
    let club = ClubCatalogue::default();
    let found: Vec<&str> = club
        .search("oak", None)
        .iter()
        .map(|item| item.key())
        .collect();
    assert!(!found.contains(&"oak"));
    assert!(found.contains(&"oak-chips") && found.contains(&"oak-cubes"));
    let item = club.item("oak").map(|item| item.name());
    assert_eq!(item, Some(oak.name.as_str()), "its page stays");
}
