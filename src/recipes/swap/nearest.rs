//! What could stand in its place, the nearest first, each with what is alike and what is not.
//!
//! How much each counts is our judgement; the facts are the catalogue's.

use super::Place;
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::{Entry, Feed, HoneyTraits, Kind};
use crate::engine::recipe::{Ingredient, Nutrient};
use crate::recipes::forms::Group;
use crate::recipes::workbench::Worked;

/// Something that could stand there.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    pub key: String,
    pub name: String,
    /// What it is, in plain words.
    pub words: String,
    /// How near it is, and how not.
    pub reason: String,
    distance: f64,
}

/// Colours closer than this look alike, millimetres on the Pfund scale.
const COLOUR_ALIKE: f64 = 15.0;
/// Colours farther apart than this are another drink, millimetres on the Pfund scale.
const COLOUR_FAR: f64 = 50.0;

/// All of that sort that are offered, but what stands there.
pub fn nearest(place: &Place, worked: &Worked, catalogue: &ClubCatalogue) -> Vec<Near> {
    let recipe = &worked.checked.recipe;
    let at = worked.checked.place_of(place.group, &place.key);
    let mut near: Vec<Near> = match place.group {
        Group::Honey => {
            let Some(item) = at.and_then(|at| recipe.ingredients.get(at)) else {
                return Vec::new();
            };
            let judged = catalogue
                .honeys()
                .map(|entry| honey(item, entry, catalogue));
            judged.collect()
        }
        Group::Other => {
            let Some(item) = at.and_then(|at| recipe.ingredients.get(at)) else {
                return Vec::new();
            };
            let alike = |entry: &&Entry| alike(item, entry);
            let judged = catalogue.others().filter(alike);
            judged.map(|entry| other(item, entry, catalogue)).collect()
        }
        Group::Feed => {
            let Some(feed) = at.and_then(|at| recipe.nutrients.get(at)) else {
                return Vec::new();
            };
            catalogue
                .feeds()
                .map(|entry| of_feed(feed, entry))
                .collect()
        }
        // These are ranked already, for the must and not for the yeast that is not there.
        Group::Yeast => yeasts(worked, catalogue),
        Group::Step | Group::Salt => Vec::new(),
    };
    let there = key_at(place, worked);
    near.retain(|one| Some(&one.key) != there.as_ref());
    near.sort_by(|one, other| one.distance.total_cmp(&other.distance));
    near
}

/// The key of what stands there.
fn key_at(place: &Place, worked: &Worked) -> Option<String> {
    let recipe = &worked.checked.recipe;
    let at = worked.checked.place_of(place.group, &place.key)?;
    match place.group {
        Group::Honey | Group::Other => recipe.ingredients.get(at)?.key.clone(),
        Group::Yeast => recipe.yeasts.get(at)?.key.clone(),
        Group::Feed => recipe.nutrients.get(at)?.key.clone(),
        Group::Step | Group::Salt => None,
    }
}

fn near(key: &str, name: &str, words: &str, reasons: Vec<String>, distance: f64) -> Near {
    Near {
        key: key.to_owned(),
        name: name.to_owned(),
        words: words.to_owned(),
        reason: reasons.join(", "),
        distance,
    }
}

fn yeasts(worked: &Worked, catalogue: &ClubCatalogue) -> Vec<Near> {
    let ranked = worked.advice.yeasts.iter().enumerate();
    let judged = ranked.map(|(rank, yeast)| {
        let words = catalogue.find_yeast(&yeast.key);
        let words = words.map_or("", |yeast| yeast.words.as_str());
        let reasons = vec![format!("{}: {}", yeast.verdict, yeast.reasons)];
        near(&yeast.key, &yeast.name, words, reasons, rank as f64)
    });
    judged.collect()
}

fn honey(was: &Ingredient, is: &Entry, catalogue: &ClubCatalogue) -> Near {
    let known = was.key.as_deref().and_then(|key| catalogue.find(key));
    let old = known.and_then(|entry| entry.honey.as_ref());
    let (mut reasons, mut distance) = (Vec::new(), 0.0);
    if let (Some(old), Some(new)) = (old, &is.honey) {
        distance += taste_apart(old, new, &mut reasons) + colour_apart(old, new, &mut reasons);
        distance += sugars_apart(old, new);
    }
    if let (Some(was), Some(is)) = (&was.composition, &is.composition) {
        let more = (is.water - was.water) * 100.0;
        distance += 0.25 * more.abs();
        if more.abs() >= 0.95 {
            let word = if more > 0.0 { "wetter" } else { "drier" };
            reasons.push(format!("{word} by {:.0} %", more.abs()));
        }
    }
    if reasons.is_empty() {
        reasons.push("what it has in common is not written down".to_owned());
    }
    near(&is.key, &is.name, &is.words, reasons, distance)
}

/// Steps between two strengths of taste; two where one is not written down.
fn taste_apart(was: &HoneyTraits, is: &HoneyTraits, reasons: &mut Vec<String>) -> f64 {
    let (Some(old), Some(new)) = (was.intensity, is.intensity) else {
        return 2.0;
    };
    let steps = i16::from(new) - i16::from(old);
    let words = match steps {
        0 => "as strong in taste",
        -1 => "a little milder",
        1 => "a little stronger in taste",
        ..0 => "much milder",
        _ => "much stronger in taste",
    };
    reasons.push(words.to_owned());
    f64::from(steps.abs())
}

fn colour_apart(was: &HoneyTraits, is: &HoneyTraits, reasons: &mut Vec<String>) -> f64 {
    let middle = |honey: &HoneyTraits| honey.pfund_mm.map(|[low, high]| f64::midpoint(low, high));
    let (Some(old), Some(new)) = (middle(was), middle(is)) else {
        return 1.0;
    };
    let words = match new - old {
        apart if apart.abs() <= COLOUR_ALIKE => "of much the same colour",
        apart if apart < -COLOUR_FAR => "much paler",
        apart if apart < 0.0 => "paler",
        apart if apart > COLOUR_FAR => "much darker",
        _ => "darker",
    };
    reasons.push(words.to_owned());
    (new - old).abs() / 40.0
}

/// Fruit sugar over grape sugar: how slowly a honey sets, and what a tired yeast leaves.
fn sugars_apart(was: &HoneyTraits, is: &HoneyTraits) -> f64 {
    let of = |honey: &HoneyTraits| Some(honey.fructose_percent? / honey.glucose_percent?);
    of(was)
        .zip(of(is))
        .map_or(0.25, |(old, new)| (new - old).abs() * 0.5)
}

/// Whether one could stand for the other: of its kind; fruit, juice and syrup for each other.
fn alike(was: &Ingredient, is: &Entry) -> bool {
    let juicy = |word: &str| matches!(word, "fruit" | "juice" | "syrup");
    let (old, new) = (was.kind.as_str(), is.kind.word());
    old == new || (juicy(old) && juicy(new))
}

fn other(was: &Ingredient, is: &Entry, catalogue: &ClubCatalogue) -> Near {
    let known = was.key.as_deref().and_then(|key| catalogue.find(key));
    let (mut reasons, mut distance) = (Vec::new(), 0.0);
    if was.kind.as_str() != is.kind.word() {
        distance += 3.0;
        reasons.push(format!("{} and not {}", is.kind.word(), was.kind.as_str()));
    }
    if shares_a_word(&was.name, &is.name) {
        distance -= 1.0;
    }
    if let (Some(old), Some(new)) = (&was.composition, &is.composition) {
        let more = new.fermentable - old.fermentable;
        distance += more.abs() * 15.0;
        reasons.push(than("sweet", more, 0.015).to_owned());
        let acid = is.ta_g_per_kg.unwrap_or_default() - old.ta_g_per_kg.unwrap_or_default();
        distance += acid.abs() / 5.0;
        if matches!(is.kind, Kind::Fruit | Kind::Juice | Kind::Syrup) {
            reasons.push(than("sour", acid, 3.0).to_owned());
        }
    }
    let middle = |range: [f64; 2]| f64::midpoint(range[0], range[1]);
    let usual = known
        .and_then(|entry| entry.usual_g_per_l)
        .zip(is.usual_g_per_l);
    let ratio = usual.map(|(old, new)| middle(new) / middle(old));
    if let Some(ratio) = ratio.filter(|ratio| ratio.is_finite() && *ratio > 0.0) {
        distance += 0.7 * ratio.log2().abs();
        reasons.extend(match ratio {
            ratio if ratio > 1.5 => Some("usually takes more".to_owned()),
            ratio if ratio < 0.67 => Some("usually takes less".to_owned()),
            _ => None,
        });
    }
    if known.is_some_and(|entry| entry.when != is.when) {
        distance += 0.5;
    }
    if reasons.is_empty() {
        reasons.push("about as much of it is usual".to_owned());
    }
    near(&is.key, &is.name, &is.words, reasons, distance)
}

/// "as sweet", "sweeter", "less sweet".
fn than(word: &'static str, more: f64, alike: f64) -> &'static str {
    match (word, more) {
        ("sweet", more) if more > alike => "more sugar",
        ("sweet", more) if more < -alike => "less sugar",
        ("sweet", _) => "as much sugar",
        (_, more) if more > alike => "sourer",
        (_, more) if more < -alike => "less sour",
        _ => "as sour",
    }
}

/// "Sour cherry, pitted" and "Sweet cherry" share one.
fn shares_a_word(one: &str, other: &str) -> bool {
    let words = |name: &str| -> Vec<String> {
        let lower = name.to_lowercase();
        let plain = lower.split(|c: char| !c.is_alphabetic());
        plain
            .filter(|word| word.len() > 3)
            .map(str::to_owned)
            .collect()
    };
    let others = words(other);
    words(one).iter().any(|word| others.contains(word))
}

fn of_feed(was: &Nutrient, is: &Feed) -> Near {
    let old = was.ammonium_yan_mg_per_g + was.organic_yan_mg_per_g;
    let new = is.ammonium_yan_mg_per_g + is.organic_yan_mg_per_g;
    let mut reasons = Vec::new();
    reasons.push(
        match (
            is.ammonium_yan_mg_per_g > 0.0,
            is.organic_yan_mg_per_g > 0.0,
        ) {
            (true, true) => "ammonium and organic",
            (true, false) => "ammonium alone",
            (false, true) => "organic alone",
            (false, false) => "no nitrogen: it feeds nobody",
        }
        .to_owned(),
    );
    if new <= 0.0 || old <= 0.0 {
        return near(&is.key, &is.name, &is.words, reasons, 10.0);
    }
    let share = |organic: f64, all: f64| organic / all;
    let mix = share(is.organic_yan_mg_per_g, new) - share(was.organic_yan_mg_per_g, old);
    let ratio = old / new;
    reasons.push(match ratio {
        ratio if ratio > 1.2 => {
            format!("takes {ratio:.1} times as many grams for the same nitrogen")
        }
        ratio if ratio < 0.83 => format!("takes {ratio:.1} of the grams for the same nitrogen"),
        _ => "as much nitrogen in a gram".to_owned(),
    });
    let distance = 2.0 * mix.abs() + ratio.ln().abs();
    near(&is.key, &is.name, &is.words, reasons, distance)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::catalogue;

    fn ranked(key: &str) -> Vec<Near> {
        let club = ClubCatalogue::default();
        let item = club.find(key).expect("an entry").ingredient();
        let mut all: Vec<Near> = match item.kind {
            crate::engine::recipe::Kind::Honey => club
                .honeys()
                .map(|entry| honey(&item, entry, &club))
                .collect(),
            _ => {
                let others = club.others().filter(|entry| alike(&item, entry));
                others.map(|entry| other(&item, entry, &club)).collect()
            }
        };
        all.sort_by(|one, other| one.distance.total_cmp(&other.distance));
        all
    }

    #[test]
    fn a_thing_is_nearest_to_itself_and_a_loud_honey_is_far_from_a_mild_one() {
        for key in [
            "honey-clover",
            "honey-buckwheat",
            "raspberry",
            "apple-juice",
            "cinnamon",
        ] {
            assert_eq!(ranked(key)[0].key, key);
        }
        let from_clover = ranked("honey-clover");
        let place = |key: &str| from_clover.iter().position(|near| near.key == key);
        assert!(place("honey-acacia") < place("honey-wildflower"));
        assert!(place("honey-wildflower") < place("honey-buckwheat"));
        let loud = |near: &Near| {
            let honey = catalogue()
                .find(&near.key)
                .and_then(|entry| entry.honey.as_ref());
            honey.and_then(|honey| honey.intensity)
        };
        assert_eq!(loud(&from_clover[1]), Some(1), "{:?}", from_clover[1]);
        let buckwheat = from_clover
            .iter()
            .find(|near| near.key == "honey-buckwheat");
        let reason = &buckwheat.expect("buckwheat").reason;
        assert!(
            reason.starts_with("much stronger in taste, much darker"),
            "{reason}"
        );
    }

    #[test]
    fn fruit_stands_for_fruit_before_juice_and_spice_never() {
        let all = ranked("raspberry");
        let kind = |near: &Near| catalogue().find(&near.key).map(|entry| entry.kind);
        assert_eq!(kind(&all[1]), Some(Kind::Fruit));
        assert!(all.iter().all(|near| kind(near) != Some(Kind::Spice)));
    }

    #[test]
    fn a_feed_says_how_much_more_of_it_is_wanted() {
        let club = ClubCatalogue::default();
        let mixed = club.find_feed("feed-mixed").expect("a feed").for_recipe();
        let organic = of_feed(&mixed, club.find_feed("feed-organic").expect("a feed"));
        assert_eq!(
            organic.reason,
            "organic alone, takes 2.5 times as many grams for the same nitrogen"
        );
        let hulls = of_feed(&mixed, club.find_feed("feed-yeast-hulls").expect("a feed"));
        assert!(hulls.distance > organic.distance);
    }
}
