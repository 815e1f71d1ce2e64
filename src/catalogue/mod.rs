//! Honeys, other ingredients, yeasts, feeds, vessels and style words: data with sources, compiled in, and the club's own
//! entries beside them.

pub mod club;
pub mod colour;
pub mod facts;
mod family;
mod feed;
mod ingredient;
pub mod item;
pub mod jars;
mod keeping;
pub mod own;
pub mod pages;
pub mod pairing;
mod past;
pub mod paths;
mod picking;
pub mod sources;
mod sugar_out;
mod vessel;
mod yeast;

use std::sync::LazyLock;

pub use family::{Family, StyleSort, StyleWord};
pub use feed::Feed;
pub use ingredient::{Composition, Entry, Form, HoneyTraits, Kind, Spread, Stage};
pub use sugar_out::SugarOut;
pub use vessel::{Vessel, VesselKind};
pub use yeast::{NitrogenNeed, Yeast};

/// How sure a figure is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
pub enum Certainty {
    /// Read in the named source.
    #[serde(rename = "published")]
    Published,
    /// What the trade does, without a source that could be named.
    #[serde(rename = "common practice")]
    CommonPractice,
    /// Recalled, and still to be looked up.
    #[serde(rename = "from memory: verify")]
    FromMemory,
}

impl Certainty {
    /// The mark as it is kept.
    pub fn word(self) -> &'static str {
        match self {
            Certainty::Published => "published",
            Certainty::CommonPractice => "common practice",
            Certainty::FromMemory => "from memory: verify",
        }
    }

    /// The mark as a page prints it.
    pub fn words(self) -> &'static str {
        match self {
            Certainty::Published => "published",
            Certainty::CommonPractice => "common practice, no published source",
            Certainty::FromMemory => "from memory, still to be checked",
        }
    }
}

/// Everything that can be picked on the workbench.
#[derive(Debug)]
pub struct Catalogue {
    honeys: Vec<Entry>,
    others: Vec<Entry>,
    yeasts: Vec<Yeast>,
    feeds: Vec<Feed>,
    vessels: Vec<Vessel>,
    families: Vec<Family>,
    style_words: Vec<StyleWord>,
    sugar_out: Vec<SugarOut>,
    /// Ingredients that are offered no more, though old recipes hold their keys.
    retired: Vec<Entry>,
}

static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(|| {
    let (others, retired) = ingredient::others();
    Catalogue {
        honeys: ingredient::honeys(),
        others,
        yeasts: yeast::all(),
        feeds: feed::all(),
        vessels: vessel::all(),
        families: family::all(),
        style_words: family::style_words(),
        sugar_out: sugar_out::all(),
        retired,
    }
});

/// The catalogue, read once.
pub fn catalogue() -> &'static Catalogue {
    &CATALOGUE
}

impl Catalogue {
    /// Honeys, the everyday one first, then by name.
    pub fn honeys(&self) -> &[Entry] {
        &self.honeys
    }

    /// Ingredients that are not honey.
    pub fn others(&self) -> &[Entry] {
        &self.others
    }

    /// Ingredients that are not honey, of one kind.
    pub fn of_kind(&self, kind: Kind) -> impl Iterator<Item = &Entry> {
        self.others.iter().filter(move |entry| entry.kind == kind)
    }

    /// Yeast classes.
    pub fn yeasts(&self) -> &[Yeast] {
        &self.yeasts
    }

    /// Feeds for the yeast.
    pub fn feeds(&self) -> &[Feed] {
        &self.feeds
    }

    /// Usual vessels.
    pub fn vessels(&self) -> &[Vessel] {
        &self.vessels
    }

    /// Style families with plain words beside them.
    pub fn families(&self) -> &[Family] {
        &self.families
    }

    /// Words for strength, sweetness and bubbles.
    pub fn style_words(&self) -> &[StyleWord] {
        &self.style_words
    }

    /// How much of its sugar fruit gives, form by form.
    pub fn sugar_out(&self) -> &[SugarOut] {
        &self.sugar_out
    }

    /// Ingredients that are offered no more; their keys stay good.
    pub fn retired(&self) -> &[Entry] {
        &self.retired
    }

    /// The honey or other ingredient with this key, offered or retired.
    pub fn find(&self, key: &str) -> Option<&Entry> {
        self.honeys
            .iter()
            .chain(&self.others)
            .chain(&self.retired)
            .find(|entry| entry.key == key)
    }

    /// The yeast with this key.
    pub fn find_yeast(&self, key: &str) -> Option<&Yeast> {
        self.yeasts.iter().find(|yeast| yeast.key == key)
    }

    /// The feed with this key.
    pub fn find_feed(&self, key: &str) -> Option<&Feed> {
        self.feeds.iter().find(|feed| feed.key == key)
    }

    /// The vessel with this key.
    pub fn find_vessel(&self, key: &str) -> Option<&Vessel> {
        self.vessels.iter().find(|vessel| vessel.key == key)
    }

    /// The family with this key or engine code.
    pub fn find_family(&self, word: &str) -> Option<&Family> {
        self.families
            .iter()
            .find(|family| family.key == word || family.code == word)
    }
}

/// Reads one of our data files.
fn read<T: serde::de::DeserializeOwned>(what: &str, text: &str) -> Vec<T> {
    match serde_json::from_str(text) {
        Ok(rows) => rows,
        // The text is compiled in, so this can only be met while changing it, and a test meets it first.
        Err(error) => panic!("the {what} of the catalogue cannot be read: {error}"),
    }
}
