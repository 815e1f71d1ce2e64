//! Everything that has a page in the catalogue, in the groups in which pages list it; and finding it by its words.

use super::club::ClubCatalogue;
use super::{Certainty, Entry, Family, Feed, Kind, StyleWord, Vessel, Yeast, catalogue};
use crate::catalogue::own::Thing;

/// One thing of the catalogue.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Item<'a> {
    Ingredient(&'a Entry),
    Yeast(&'a Yeast),
    Feed(&'a Feed),
    Vessel(&'a Vessel),
    Family(&'a Family),
    Word(&'a StyleWord),
}

/// What pages list together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    Of(Kind),
    Yeasts,
    Feeds,
    Vessels,
    Families,
    Words,
}

impl Group {
    /// Every group, in the order of the page.
    pub fn all() -> impl Iterator<Item = Group> {
        let rest = [
            Group::Yeasts,
            Group::Feeds,
            Group::Vessels,
            Group::Families,
            Group::Words,
        ];
        Kind::ALL.into_iter().map(Group::Of).chain(rest)
    }

    /// The word in addresses.
    pub fn word(self) -> &'static str {
        match self {
            Group::Of(kind) => kind.word(),
            Group::Yeasts => "yeast",
            Group::Feeds => "feed",
            Group::Vessels => "vessel",
            Group::Families => "style",
            Group::Words => "word",
        }
    }

    /// The group of a word.
    pub fn from_word(word: &str) -> Option<Group> {
        Group::all().find(|group| group.word() == word)
    }

    /// What a page calls it.
    pub fn heading(self) -> &'static str {
        match self {
            Group::Of(Kind::Honey) => "Honeys",
            Group::Of(Kind::Fruit) => "Fruit",
            Group::Of(Kind::Juice) => "Juices and saps",
            Group::Of(Kind::Syrup) => "Syrups",
            Group::Of(Kind::Sugar) => "Sugars",
            Group::Of(Kind::Malt) => "Malts",
            Group::Of(Kind::Spice) => "Spices, herbs and flowers",
            Group::Of(Kind::Wood) => "Wood",
            Group::Of(Kind::Acid) => "Acids",
            Group::Of(Kind::Tannin) => "Tannin",
            Group::Of(Kind::Salt) => "Salts against acid",
            Group::Of(Kind::Enzyme) => "Enzymes",
            Group::Of(Kind::Fining) => "Finings",
            Group::Of(Kind::Sweetener) => "Sweeteners that do not ferment",
            Group::Of(Kind::Other) => "Others",
            Group::Yeasts => "Yeasts",
            Group::Feeds => "Feeds for the yeast",
            Group::Vessels => "Vessels",
            Group::Families => "Styles of mead",
            Group::Words => "Words for strength, sweetness and bubbles",
        }
    }
}

impl<'a> Item<'a> {
    /// Its key.
    pub fn key(self) -> &'a str {
        match self {
            Item::Ingredient(x) => &x.key,
            Item::Yeast(x) => &x.key,
            Item::Feed(x) => &x.key,
            Item::Vessel(x) => &x.key,
            Item::Family(x) => &x.key,
            Item::Word(x) => &x.key,
        }
    }

    /// Its name.
    pub fn name(self) -> &'a str {
        match self {
            Item::Ingredient(x) => &x.name,
            Item::Yeast(x) => &x.name,
            Item::Feed(x) => &x.name,
            Item::Vessel(x) => &x.name,
            Item::Family(x) => &x.name,
            Item::Word(x) => &x.name,
        }
    }

    /// What it is, in plain words.
    pub fn words(self) -> &'a str {
        match self {
            Item::Ingredient(x) => &x.words,
            Item::Yeast(x) => &x.words,
            Item::Feed(x) => &x.words,
            Item::Vessel(x) => &x.words,
            Item::Family(x) => &x.words,
            Item::Word(x) => &x.words,
        }
    }

    /// Where its figures come from, and how sure they are.
    pub fn source(self) -> (&'a str, Certainty) {
        match self {
            Item::Ingredient(x) => (&x.source, x.certainty),
            Item::Yeast(x) => (&x.source, x.certainty),
            Item::Feed(x) => (&x.source, x.certainty),
            Item::Vessel(x) => (&x.source, x.certainty),
            Item::Family(x) => (&x.source, x.certainty),
            Item::Word(x) => (&x.source, x.certainty),
        }
    }

    /// What can hurt someone.
    pub fn caution(self) -> Option<&'a str> {
        match self {
            Item::Ingredient(x) => x.caution.as_deref(),
            Item::Yeast(x) => x.caution.as_deref(),
            Item::Feed(x) => x.caution.as_deref(),
            Item::Vessel(x) => x.caution.as_deref(),
            Item::Family(_) | Item::Word(_) => None,
        }
    }

    /// What else there is to say.
    pub fn note(self) -> Option<&'a str> {
        match self {
            Item::Ingredient(x) => x.note.as_deref(),
            Item::Feed(x) => x.note.as_deref(),
            _ => None,
        }
    }

    /// The group in which it is listed.
    pub fn group(self) -> Group {
        match self {
            Item::Ingredient(x) => Group::Of(x.kind),
            Item::Yeast(_) => Group::Yeasts,
            Item::Feed(_) => Group::Feeds,
            Item::Vessel(_) => Group::Vessels,
            Item::Family(_) => Group::Families,
            Item::Word(_) => Group::Words,
        }
    }
}

impl<'a> From<&'a Thing> for Item<'a> {
    fn from(thing: &'a Thing) -> Item<'a> {
        match thing {
            Thing::Ingredient(entry) => Item::Ingredient(entry),
            Thing::Yeast(yeast) => Item::Yeast(yeast),
            Thing::Feed(feed) => Item::Feed(feed),
        }
    }
}

impl ClubCatalogue {
    /// Everything that is listed: what is offered, without the jars, which stand on the shelf.
    pub fn items(&self) -> impl Iterator<Item = Item<'_>> {
        let built_in = catalogue();
        self.kinds_of_honey()
            .chain(self.others())
            .map(Item::Ingredient)
            .chain(self.yeasts().map(Item::Yeast))
            .chain(self.feeds().map(Item::Feed))
            .chain(built_in.vessels().iter().map(Item::Vessel))
            .chain(built_in.families().iter().map(Item::Family))
            .chain(built_in.style_words().iter().map(Item::Word))
    }

    /// The thing of a key, offered or not.
    pub fn item(&self, key: &str) -> Option<Item<'_>> {
        let gone = catalogue().retired().iter().map(Item::Ingredient);
        let withdrawn = self.own().iter().map(|own| Item::from(&own.thing));
        let jar = self.jar(key).map(|jar| Item::Ingredient(&jar.entry));
        self.items()
            .chain(gone)
            .chain(withdrawn)
            .chain(jar)
            .find(|item| item.key() == key)
    }

    /// Things in which every word of `text` occurs, those whose name begins with it first; all of them for no text.
    pub fn search(&self, text: &str, group: Option<Group>) -> Vec<Item<'_>> {
        let wanted = folded(text);
        let words: Vec<&str> = wanted.split_whitespace().collect();
        let wanted = words.join(" ");
        let mut found: Vec<(u8, Item<'_>)> = self
            .items()
            .filter(|item| group.is_none_or(|group| item.group() == group))
            .filter_map(|item| rank(item, &wanted, &words).map(|rank| (rank, item)))
            .collect();
        found.sort_by_key(|(rank, _)| *rank);
        found.into_iter().map(|(_, item)| item).collect()
    }
}

fn rank(item: Item<'_>, wanted: &str, words: &[&str]) -> Option<u8> {
    let name = folded(item.name());
    let group = item.group();
    let all = format!(
        "{name} {} {} {}",
        folded(item.words()),
        group.word(),
        folded(group.heading())
    );
    if !words.iter().all(|word| all.contains(word)) {
        None
    } else if name == wanted {
        Some(0)
    } else if name.starts_with(wanted) {
        Some(1)
    } else if words.iter().all(|word| name.contains(word)) {
        Some(2)
    } else {
        Some(3)
    }
}

/// Lower case, with the accents that occur in names taken off.
fn folded(text: &str) -> String {
    text.to_lowercase()
        .chars()
        .map(|c| match c {
            'ñ' => 'n',
            'á' | 'à' | 'â' | 'ä' | 'å' => 'a',
            'é' | 'è' | 'ê' | 'ë' => 'e',
            'í' | 'ï' | 'î' => 'i',
            'ó' | 'ô' | 'ö' | 'ø' => 'o',
            'ú' | 'û' | 'ü' => 'u',
            'ł' => 'l',
            c => c,
        })
        .collect()
}
