//! What one of the club's own entries says, and what it is beside the built-in ones.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::catalogue::{
    Certainty, Composition, Entry, Feed, Form, HoneyTraits, Kind, NitrogenNeed, Spread, Stage,
    Yeast,
};
use crate::web::units::TypedAmount;

/// Which list an own entry belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sort {
    Ingredient,
    Yeast,
    Feed,
}

impl Sort {
    /// Every sort.
    pub const ALL: [Sort; 3] = [Sort::Ingredient, Sort::Yeast, Sort::Feed];

    /// The word in addresses and in the database.
    pub fn word(self) -> &'static str {
        match self {
            Sort::Ingredient => "ingredient",
            Sort::Yeast => "yeast",
            Sort::Feed => "feed",
        }
    }

    /// The sort of a word.
    pub fn from_word(word: &str) -> Option<Sort> {
        Sort::ALL.into_iter().find(|sort| sort.word() == word)
    }
}

/// Texts and numbers by the names of their fields, and the numbers as they were typed. Numbers are in the units of the
/// recipe document: fractions, grams per litre, degrees Celsius.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Document {
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub texts: BTreeMap<String, String>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub numbers: BTreeMap<String, f64>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub typed: BTreeMap<String, String>,
}

/// An own entry as the catalogue holds its like.
#[derive(Clone, Debug, PartialEq)]
pub enum Thing {
    Ingredient(Entry),
    Yeast(Yeast),
    Feed(Feed),
}

impl Document {
    /// A text, empty if it is not there.
    pub fn text(&self, name: &str) -> &str {
        self.texts.get(name).map_or("", String::as_str)
    }

    /// A number, if it is there.
    pub fn number(&self, name: &str) -> Option<f64> {
        self.numbers.get(name).copied()
    }

    /// Sets a text; an empty one is none.
    pub fn set_text(&mut self, name: &str, text: &str) {
        if !text.is_empty() {
            self.texts.insert(name.to_owned(), text.to_owned());
        }
    }

    /// Sets a number, if there is one.
    pub fn set_number(&mut self, name: &str, number: Option<f64>) {
        if let Some(number) = number {
            self.numbers.insert(name.to_owned(), number);
        }
    }

    fn some(&self, name: &str) -> Option<String> {
        self.texts.get(name).cloned()
    }

    /// A range; one end alone is both.
    fn range(&self, low: &str, high: &str) -> Option<[f64; 2]> {
        let (low, high) = (self.number(low), self.number(high));
        Some([low.or(high)?, high.or(low)?])
    }

    /// The four parts, if they are known.
    pub fn composition(&self) -> Option<Composition> {
        Some(Composition {
            water: self.number("water")?,
            fermentable: self.number("fermentable")?,
            unfermentable: self.number("unfermentable")?,
            insoluble: self.number("insoluble")?,
        })
    }

    fn certainty(&self) -> Certainty {
        let words = [
            Certainty::Published,
            Certainty::CommonPractice,
            Certainty::FromMemory,
        ];
        let mark = words
            .into_iter()
            .find(|mark| mark.word() == self.text("certainty"));
        mark.unwrap_or(Certainty::FromMemory)
    }

    /// The kind of an ingredient.
    pub fn kind(&self) -> Kind {
        let kind = Kind::ALL
            .into_iter()
            .find(|kind| kind.word() == self.text("kind"));
        kind.unwrap_or(Kind::Other)
    }

    /// The entry that it is, under this key.
    pub fn thing(&self, key: &str, sort: Sort) -> Thing {
        match sort {
            Sort::Ingredient => Thing::Ingredient(self.ingredient(key)),
            Sort::Yeast => Thing::Yeast(self.yeast(key)),
            Sort::Feed => Thing::Feed(self.feed(key)),
        }
    }

    fn ingredient(&self, key: &str) -> Entry {
        let kind = self.kind();
        let composition = self.composition();
        let is_honey = kind == Kind::Honey;
        let usual = self.range("usual_low", "usual_high");
        let stage = Stage::ALL
            .into_iter()
            .find(|stage| stage.word() == self.text("when"));
        Entry {
            key: key.to_owned(),
            name: self.text("name").to_owned(),
            words: self.text("words").to_owned(),
            kind,
            form: Form::ALL
                .into_iter()
                .find(|form| form.word() == self.text("form")),
            when: stage.unwrap_or(Stage::Must),
            composition,
            yan_mg_per_kg: self.number("yan"),
            ta_g_per_kg: self.number("acid"),
            ph: self.number("ph"),
            density_kg_per_l: self.number("density"),
            // Other honeys of the kind vary as the survey's did; of anything else nobody knows.
            spread: composition
                .filter(|_| is_honey)
                .map(|parts| Spread::of_honey(parts.water)),
            usual_g_per_l: usual,
            days: self.range("days_low", "days_high"),
            default_amount: match (is_honey, usual) {
                (true, _) => Some(TypedAmount::Share(1.0)),
                (false, usual) => usual.map(|[low, _]| TypedAmount::GramsPerLitre(low)),
            },
            honey: is_honey.then(|| HoneyTraits {
                pfund_mm: self.range("pfund_low", "pfund_high"),
                intensity: self.number("intensity").map(|loud| loud as u8),
                pairing: self.text("pairing").to_owned(),
                source_colour: self.text("source").to_owned(),
                ..HoneyTraits::default()
            }),
            caution: self.some("caution"),
            note: self.some("note"),
            source: self.text("source").to_owned(),
            certainty: self.certainty(),
        }
    }

    fn yeast(&self, key: &str) -> Yeast {
        let usual_wake = match self.text("group") {
            "wine" => [35.0, 40.0],
            _ => [25.0, 30.0],
        };
        Yeast {
            key: key.to_owned(),
            name: self.text("name").to_owned(),
            words: self.text("words").to_owned(),
            row: None,
            species: self.text("species").to_owned(),
            group: self.text("group").to_owned(),
            tolerance_range: self
                .range("tolerance_low", "tolerance_high")
                .unwrap_or([12.0, 14.0]),
            temperature_c: self.range("coldest", "warmest").unwrap_or([18.0, 22.0]),
            nitrogen_need: match self.text("need") {
                "low" => NitrogenNeed::Low,
                "high" => NitrogenNeed::High,
                _ => NitrogenNeed::Medium,
            },
            attenuation: self.text("attenuation").to_owned(),
            character: self.text("character").to_owned(),
            rehydrate_c: self.range("wake_low", "wake_high").unwrap_or(usual_wake),
            caution: self.some("caution"),
            source: self.text("source").to_owned(),
            certainty: self.certainty(),
        }
    }

    fn feed(&self, key: &str) -> Feed {
        Feed {
            key: key.to_owned(),
            name: self.text("name").to_owned(),
            words: self.text("words").to_owned(),
            ammonium_yan_mg_per_g: self.number("ammonium").unwrap_or(0.0),
            organic_yan_mg_per_g: self.number("organic").unwrap_or(0.0),
            max_g_per_l: self.number("most"),
            usual_g_per_l: self.range("usual_low", "usual_high").unwrap_or([0.0, 0.0]),
            grams_per_teaspoon: self.number("teaspoon"),
            caution: self.some("caution"),
            note: self.some("note"),
            source: self.text("source").to_owned(),
            certainty: self.certainty(),
        }
    }
}

impl From<&Entry> for Document {
    fn from(entry: &Entry) -> Document {
        let mut document = Document::default();
        for (name, text) in [
            ("name", entry.name.as_str()),
            ("words", &entry.words),
            ("kind", entry.kind.word()),
            ("form", entry.form.map_or("", Form::word)),
            ("when", entry.when.word()),
            ("caution", entry.caution.as_deref().unwrap_or_default()),
            ("note", entry.note.as_deref().unwrap_or_default()),
            ("source", &entry.source),
            ("certainty", entry.certainty.word()),
        ] {
            document.set_text(name, text);
        }
        let parts = entry.composition;
        let ends = |range: Option<[f64; 2]>| (range.map(|r| r[0]), range.map(|r| r[1]));
        let (usual_low, usual_high) = ends(entry.usual_g_per_l);
        let (days_low, days_high) = ends(entry.days);
        for (name, number) in [
            ("water", parts.map(|parts| parts.water)),
            ("fermentable", parts.map(|parts| parts.fermentable)),
            ("unfermentable", parts.map(|parts| parts.unfermentable)),
            ("insoluble", parts.map(|parts| parts.insoluble)),
            ("density", entry.density_kg_per_l),
            ("yan", entry.yan_mg_per_kg),
            ("acid", entry.ta_g_per_kg),
            ("ph", entry.ph),
            ("usual_low", usual_low),
            ("usual_high", usual_high),
            ("days_low", days_low),
            ("days_high", days_high),
        ] {
            document.set_number(name, number);
        }
        if let Some(honey) = &entry.honey {
            let (pfund_low, pfund_high) = ends(honey.pfund_mm);
            document.set_number("pfund_low", pfund_low);
            document.set_number("pfund_high", pfund_high);
            document.set_number("intensity", honey.intensity.map(f64::from));
            document.set_text("pairing", &honey.pairing);
        }
        document
    }
}

impl From<&Yeast> for Document {
    fn from(yeast: &Yeast) -> Document {
        let mut document = Document::default();
        for (name, text) in [
            ("name", yeast.name.as_str()),
            ("words", &yeast.words),
            ("species", &yeast.species),
            ("group", &yeast.group),
            ("need", yeast.nitrogen_need.word()),
            ("attenuation", &yeast.attenuation),
            ("character", &yeast.character),
            ("caution", yeast.caution.as_deref().unwrap_or_default()),
            ("source", &yeast.source),
            ("certainty", yeast.certainty.word()),
        ] {
            document.set_text(name, text);
        }
        for (low, high, [from, to]) in [
            ("tolerance_low", "tolerance_high", yeast.tolerance_range),
            ("coldest", "warmest", yeast.temperature_c),
            ("wake_low", "wake_high", yeast.rehydrate_c),
        ] {
            document.set_number(low, Some(from));
            document.set_number(high, Some(to));
        }
        document
    }
}

impl From<&Feed> for Document {
    fn from(feed: &Feed) -> Document {
        let mut document = Document::default();
        for (name, text) in [
            ("name", feed.name.as_str()),
            ("words", &feed.words),
            ("caution", feed.caution.as_deref().unwrap_or_default()),
            ("note", feed.note.as_deref().unwrap_or_default()),
            ("source", &feed.source),
            ("certainty", feed.certainty.word()),
        ] {
            document.set_text(name, text);
        }
        for (name, number) in [
            ("ammonium", Some(feed.ammonium_yan_mg_per_g)),
            ("organic", Some(feed.organic_yan_mg_per_g)),
            ("usual_low", Some(feed.usual_g_per_l[0])),
            ("usual_high", Some(feed.usual_g_per_l[1])),
            ("most", feed.max_g_per_l),
            ("teaspoon", feed.grams_per_teaspoon),
        ] {
            document.set_number(name, number);
        }
        document
    }
}

impl Thing {
    /// The name.
    pub fn name(&self) -> &str {
        match self {
            Thing::Ingredient(entry) => &entry.name,
            Thing::Yeast(yeast) => &yeast.name,
            Thing::Feed(feed) => &feed.name,
        }
    }
}
