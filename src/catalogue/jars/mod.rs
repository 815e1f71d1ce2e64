//! Jars of the club's honey shelf, as the catalogue offers them: a honey with its own measured water.

pub mod store;

use super::{Certainty, Composition, Entry, Kind, Spread, Stage, catalogue};
use crate::catalogue::club::OwnEntry;
use crate::web::units::TypedAmount;

/// What the keys of jars begin with, so that no other key is ever one of them.
pub const KEY_PREFIX: &str = "jar-";
/// How well a hand refractometer tells the water of honey, as one standard deviation of a mass fraction: ± 0.2 points are
/// taken as two (our judgement, no published source).
const WATER_SD: f64 = 0.001;

/// The key of a jar.
pub fn key_of(public_id: &str) -> String {
    format!("{KEY_PREFIX}{public_id}")
}

/// The public id of the jar that a key names.
pub fn id_of(key: &str) -> Option<&str> {
    key.strip_prefix(KEY_PREFIX)
}

/// A jar on the shelf.
#[derive(Clone, Debug, PartialEq)]
pub struct Jar {
    pub entry: Entry,
    pub left_kg: f64,
    /// Whether it is on the shelf with something in it.
    pub offered: bool,
    /// What a kilogram costs who takes it, in the smallest coin.
    pub price_per_kg: Option<i64>,
}

impl Jar {
    /// Why it is not offered.
    pub fn gone_words(&self) -> &'static str {
        match self.left_kg >= store::EMPTY_KG {
            true => "put away",
            false => "emptied",
        }
    }
}

/// What the shelf knows of a jar that matters to a recipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    pub key: String,
    pub name: String,
    pub varietal: Option<String>,
    /// Measured water, as a fraction.
    pub water: Option<f64>,
    pub bee_keeper: String,
    pub harvest: String,
}

/// The kind of honey of a key, among the built-in ones and the club's own.
pub fn varietal_of<'a>(key: Option<&str>, own: &'a [OwnEntry]) -> Option<&'a Entry> {
    let key = key?;
    let ours = own.iter().find(|entry| entry.key == key);
    let found = match ours.map(|entry| &entry.thing) {
        Some(super::own::Thing::Ingredient(entry)) => Some(entry),
        Some(_) => None,
        None => catalogue().find(key),
    };
    found.filter(|entry| entry.kind == Kind::Honey)
}

/// The honey in a jar: the make-up of its kind, or of everyday honey, moved to the water that was measured.
pub fn entry(label: &Label, own: &[OwnEntry]) -> Entry {
    let kind = varietal_of(label.varietal.as_deref(), own);
    let like = kind.or(catalogue().honeys().first());
    let usual = like.and_then(|like| like.composition);
    let composition = match (label.water, usual) {
        (Some(water), Some(usual)) if usual.water < 1.0 => Some(Composition::of_honey(
            water,
            usual.fermentable / (1.0 - usual.water),
        )),
        (Some(water), _) => Some(Composition::of_usual_honey(water)),
        (None, usual) => usual,
    };
    let measured = composition.filter(|_| label.water.is_some());
    let spread = measured.map(|parts| Spread {
        water: WATER_SD,
        ..Spread::of_honey(parts.water)
    });
    let bees = match label.bee_keeper.as_str() {
        "" => String::new(),
        keeper => format!("bees of {keeper}"),
    };
    let words = kind.map_or(String::new(), |kind| kind.words.clone());
    let told = [words, bees, label.harvest.clone()];
    let told: Vec<String> = told.into_iter().filter(|part| !part.is_empty()).collect();
    Entry {
        key: label.key.clone(),
        name: label.name.clone(),
        words: match told.is_empty() {
            true => "a jar of the honey shelf".to_owned(),
            false => told.join(", "),
        },
        kind: Kind::Honey,
        form: None,
        when: Stage::Must,
        composition,
        yan_mg_per_kg: like.and_then(|like| like.yan_mg_per_kg),
        ta_g_per_kg: like.and_then(|like| like.ta_g_per_kg),
        ph: like.and_then(|like| like.ph),
        density_kg_per_l: None,
        spread: spread.or(like.and_then(|like| like.spread)),
        usual_g_per_l: None,
        days: None,
        default_amount: Some(TypedAmount::Share(1.0)),
        honey: Some(kind.and_then(|kind| kind.honey.clone()).unwrap_or_default()),
        caution: kind.and_then(|kind| kind.caution.clone()),
        note: None,
        source: match measured {
            Some(_) => "its label; water: measured by whoever put it on the shelf".to_owned(),
            None => "its label; its make-up is that of its kind".to_owned(),
        },
        certainty: match measured {
            Some(_) => Certainty::CommonPractice,
            None => like.map_or(Certainty::CommonPractice, |like| like.certainty),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn label(varietal: Option<&str>, water: Option<f64>) -> Label {
        Label {
            key: key_of("aaaaaaaaaaaaaaaaaaaa"),
            name: "Moor honey".to_owned(),
            varietal: varietal.map(str::to_owned),
            water,
            bee_keeper: "A. Tarn".to_owned(),
            harvest: "2026".to_owned(),
        }
    }

    #[test]
    fn the_measured_water_moves_the_composition_of_its_kind() {
        // By hand: solids 0.81; 89 % of them ferment, 0.05 % of the honey does not dissolve.
        let parts = entry(&label(None, Some(0.19)), &[]).composition.unwrap();
        for (found, wanted) in [
            (parts.water, 0.19),
            (parts.fermentable, 0.7209),
            (parts.unfermentable, 0.0886),
            (parts.insoluble, 0.0005),
        ] {
            assert!((found - wanted).abs() < 1e-12, "{parts:?}");
        }
        let kind = catalogue().find("honey-forest").expect("honeydew");
        let usual = kind.composition.unwrap();
        let dew = entry(&label(Some("honey-forest"), Some(0.16)), &[]);
        let parts = dew.composition.unwrap();
        let share = |parts: Composition| parts.fermentable / (1.0 - parts.water);
        assert!((share(parts) - share(usual)).abs() < 1e-12);
        assert!(dew.spread.unwrap().water < kind.spread.unwrap().water);
        assert_eq!(
            entry(&label(Some("honey-forest"), None), &[]).composition,
            kind.composition
        );
    }
}
