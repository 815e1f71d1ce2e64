//! The catalogue as a club sees it: what is built in, the club's own entries and the jars of its honey shelf beside it.

use std::sync::Arc;

use super::jars::{self, Jar};
use super::own::{Sort, Thing};
use super::{Entry, Feed, Kind, Yeast, catalogue};

/// One of the club's own entries.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnEntry {
    pub key: String,
    pub sort: Sort,
    /// Offered no more, though recipes may hold it.
    pub withdrawn: bool,
    pub thing: Thing,
}

/// Both together, cheap to clone. Without own entries it is the built-in catalogue alone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ClubCatalogue {
    own: Arc<[OwnEntry]>,
    jars: Arc<[Jar]>,
}

impl ClubCatalogue {
    /// With these own entries, in this order.
    pub fn of(own: Vec<OwnEntry>) -> ClubCatalogue {
        ClubCatalogue {
            own: own.into(),
            jars: Arc::default(),
        }
    }

    /// The same with these jars on the honey shelf.
    pub fn with_jars(self, jars: Vec<Jar>) -> ClubCatalogue {
        ClubCatalogue {
            jars: jars.into(),
            ..self
        }
    }

    /// The jar of a key, emptied and put away or not.
    pub fn jar(&self, key: &str) -> Option<&Jar> {
        jars::id_of(key)?;
        self.jars.iter().find(|jar| jar.entry.key == key)
    }

    /// The club's own entries, withdrawn ones included.
    pub fn own(&self) -> &[OwnEntry] {
        &self.own
    }

    /// Own entries that are offered.
    pub fn offered(&self) -> impl Iterator<Item = &OwnEntry> {
        self.own.iter().filter(|own| !own.withdrawn)
    }

    fn ingredients(&self) -> impl Iterator<Item = &Entry> {
        self.offered().filter_map(|own| match &own.thing {
            Thing::Ingredient(entry) => Some(entry),
            _ => None,
        })
    }

    /// Honeys that are offered, the club's own and then the jars of the shelf last.
    pub fn honeys(&self) -> impl Iterator<Item = &Entry> {
        let jars = self.jars.iter().filter(|jar| jar.offered);
        self.kinds_of_honey().chain(jars.map(|jar| &jar.entry))
    }

    /// Honeys that are offered, without the jars.
    pub fn kinds_of_honey(&self) -> impl Iterator<Item = &Entry> {
        let own = self.ingredients().filter(|entry| entry.kind == Kind::Honey);
        catalogue().honeys().iter().chain(own)
    }

    /// Other ingredients that are offered, the club's own last.
    pub fn others(&self) -> impl Iterator<Item = &Entry> {
        let own = self.ingredients().filter(|entry| entry.kind != Kind::Honey);
        catalogue().others().iter().chain(own)
    }

    /// Yeasts that are offered, the club's own last.
    pub fn yeasts(&self) -> impl Iterator<Item = &Yeast> {
        let own = self.offered().filter_map(|own| match &own.thing {
            Thing::Yeast(yeast) => Some(yeast),
            _ => None,
        });
        catalogue().yeasts().iter().chain(own)
    }

    /// Feeds that are offered, the club's own last.
    pub fn feeds(&self) -> impl Iterator<Item = &Feed> {
        let own = self.offered().filter_map(|own| match &own.thing {
            Thing::Feed(feed) => Some(feed),
            _ => None,
        });
        catalogue().feeds().iter().chain(own)
    }

    fn thing(&self, key: &str) -> Option<&Thing> {
        let found = self.own.iter().find(|own| own.key == key)?;
        Some(&found.thing)
    }

    /// The honey or other ingredient of a key, offered or not: a key stays good for ever.
    pub fn find(&self, key: &str) -> Option<&Entry> {
        match self.thing(key) {
            Some(Thing::Ingredient(entry)) => Some(entry),
            Some(_) => None,
            None => self
                .jar(key)
                .map(|jar| &jar.entry)
                .or_else(|| catalogue().find(key)),
        }
    }

    /// The yeast of a key, offered or not.
    pub fn find_yeast(&self, key: &str) -> Option<&Yeast> {
        match self.thing(key) {
            Some(Thing::Yeast(yeast)) => Some(yeast),
            Some(_) => None,
            None => catalogue().find_yeast(key),
        }
    }

    /// The feed of a key, offered or not.
    pub fn find_feed(&self, key: &str) -> Option<&Feed> {
        match self.thing(key) {
            Some(Thing::Feed(feed)) => Some(feed),
            Some(_) => None,
            None => catalogue().find_feed(key),
        }
    }

    /// Whether something else that is offered has this name already.
    pub fn has_name(&self, name: &str, except: &str) -> bool {
        let wanted = name.to_lowercase();
        let names = self
            .kinds_of_honey()
            .chain(self.others())
            .map(|entry| (&entry.key, &entry.name))
            .chain(self.yeasts().map(|yeast| (&yeast.key, &yeast.name)))
            .chain(self.feeds().map(|feed| (&feed.key, &feed.name)));
        names
            .filter(|(key, _)| *key != except)
            .any(|(_, name)| name.to_lowercase() == wanted)
    }
}
