//! Which honey goes with which fruit, flower or spice: by how loud both are and by what the honey tastes of.
//!
//! How loud a honey is stands in its entry. How loud the others are, what honeys taste of, what likes what, and the points
//! that order it are common practice in our own judgement, no published source. What is delicate wants a mild honey; what
//! is loud bears a strong one; a honey much louder than its partner covers it, one much milder is hardly tasted.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::{Entry, Kind};

/// What a honey tastes of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Character {
    Floral,
    Citrus,
    Vanilla,
    Caramel,
    Spice,
    Malt,
    Wood,
    Herb,
    Fruit,
    Earth,
}

impl Character {
    /// What it does beside something else, as half a sentence.
    fn does(self) -> &'static str {
        match self {
            Character::Floral => "its flowers lift the rest",
            Character::Citrus => "its citrus blossom brightens it",
            Character::Vanilla => "its soft vanilla rounds the edges",
            Character::Caramel => "its caramel warms it",
            Character::Spice => "its own spice meets it",
            Character::Malt => "its malt and dark fruit stand up to it",
            Character::Wood => "its wood and grip give it length",
            Character::Herb => "its mint and herbs freshen it",
            Character::Fruit => "its own fruit adds to it",
            Character::Earth => "its earth and smoke deepen it",
        }
    }
}

/// In which list a partner of honey stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Sort {
    Fruit,
    Flower,
    Spice,
}

impl Sort {
    /// All of them, in the order of the page.
    pub const ALL: [Sort; 3] = [Sort::Fruit, Sort::Flower, Sort::Spice];

    /// What a page calls many of them.
    pub fn heading(self) -> &'static str {
        match self {
            Sort::Fruit => "Fruit",
            Sort::Flower => "Flowers",
            Sort::Spice => "Spices and the like",
        }
    }
}

/// A fruit, flower or spice that goes with honey.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Partner {
    /// Its entry.
    pub key: String,
    pub sort: Sort,
    /// As of a honey, 1 to 5.
    pub loudness: u8,
    /// What it likes in a honey, most of all first.
    likes: Vec<Character>,
    /// Other entries that taste of the same.
    #[serde(default)]
    pub also: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Data {
    honeys: HashMap<String, Vec<Character>>,
    partners: Vec<Partner>,
}

static DATA: LazyLock<Data> = LazyLock::new(|| {
    match serde_json::from_str(include_str!("data/pairings.json")) {
        Ok(data) => data,
        // The text is compiled in, so this can only be met while changing it, and a test meets it first.
        Err(error) => panic!("the pairings of the catalogue cannot be read: {error}"),
    }
});

/// All of them.
pub fn partners() -> &'static [Partner] {
    &DATA.partners
}

/// The partner whose taste the entry of this key has.
pub fn partner_of(key: &str) -> Option<&'static Partner> {
    let mut all = DATA.partners.iter();
    all.find(|partner| partner.key == key || partner.also.iter().any(|also| also == key))
}

/// What the honey of this key tastes of; nothing of the club's own.
pub fn characters(key: &str) -> &'static [Character] {
    DATA.honeys.get(key).map_or(&[], Vec::as_slice)
}

/// How heavy a honey is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    Light,
    Middle,
    Heavy,
}

impl Weight {
    /// All of them.
    pub const ALL: [Weight; 3] = [Weight::Light, Weight::Middle, Weight::Heavy];

    /// Of a honey so loud.
    pub fn of(intensity: u8) -> Weight {
        match intensity {
            0..=2 => Weight::Light,
            3 => Weight::Middle,
            _ => Weight::Heavy,
        }
    }

    /// What a page calls honeys of this weight.
    pub fn heading(self) -> &'static str {
        match self {
            Weight::Light => "Light honeys",
            Weight::Middle => "Honeys in between",
            Weight::Heavy => "Heavy honeys",
        }
    }
}

/// How well two go together.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair<'a> {
    pub honey: &'a Entry,
    pub partner: &'static Partner,
    pub weight: Weight,
    /// By how much the honey is louder, -4 to 4.
    pub louder: i8,
    /// What of the honey the partner likes most.
    pub shared: Option<Character>,
    pub points: i8,
}

/// From so many points on two go well together.
pub const GOOD: i8 = 4;

impl<'a> Pair<'a> {
    /// Of a honey whose loudness is known.
    pub fn of(honey: &'a Entry, partner: &'static Partner) -> Option<Pair<'a>> {
        let intensity = honey.honey.as_ref()?.intensity?;
        let louder = i8::try_from(intensity).ok()? - i8::try_from(partner.loudness).ok()?;
        let own = characters(&honey.key);
        let liked = partner.likes.iter().enumerate();
        let liked: Vec<(i8, Character)> = liked
            .filter(|(_, character)| own.contains(character))
            .map(|(at, character)| {
                (
                    if at == 0 {
                        3
                    } else if at == 1 {
                        2
                    } else {
                        1
                    },
                    *character,
                )
            })
            .collect();
        let weighs = match louder {
            0 => 3,
            -1 => 2,
            -2 | 1 => 1,
            -3 => 0,
            -4 => -1,
            louder => 2 - 2 * louder,
        };
        Some(Pair {
            honey,
            partner,
            weight: Weight::of(intensity),
            louder,
            shared: liked.first().map(|(_, character)| *character),
            points: weighs + liked.iter().map(|(points, _)| points).sum::<i8>(),
        })
    }

    /// Whether the two go well together.
    pub fn is_good(&self) -> bool {
        self.points >= GOOD
    }

    /// Whether the honey covers the other.
    pub fn covers(&self) -> bool {
        self.louder >= 2
    }

    /// Why, in half a sentence each; `other` is what stands beside the honey.
    pub fn why(&self, other: &str) -> String {
        let weight = match self.louder {
            0 => format!("as loud as {other}"),
            1 => format!("a little louder than {other}, so that the honey speaks first"),
            2.. => format!("louder: it covers {other}"),
            -1 => format!("a little milder, which leaves {other} in front"),
            -2 => format!("milder, so that {other} leads"),
            _ => "much milder: it lends body more than taste".to_owned(),
        };
        match self.shared {
            Some(character) => format!("{weight}; {}", character.does()),
            None => weight,
        }
    }

    /// What to look out for; nothing where there is nothing.
    pub fn beware(&self) -> &'static str {
        let very_strong = self.honey.honey.as_ref().and_then(|honey| honey.intensity) == Some(5);
        match self.louder {
            2.. => "Blend it with a mild honey, or take more of the other.",
            _ if very_strong => "Very strong: a tenth to a third of the honey is enough for most.",
            ..=-3 => "The honey will hardly be tasted.",
            _ => "",
        }
    }
}

/// Honeys with something, the best first; those whose loudness nobody wrote down are left out.
pub fn honeys_for<'a>(
    partner: &'static Partner,
    honeys: impl Iterator<Item = &'a Entry>,
) -> Vec<Pair<'a>> {
    let mut pairs: Vec<_> = honeys
        .filter_map(|honey| Pair::of(honey, partner))
        .collect();
    pairs.sort_by(|a, b| (b.points, &a.honey.name).cmp(&(a.points, &b.honey.name)));
    pairs
}

/// Fruit, flowers and spices with a honey, the best first.
pub fn partners_for(honey: &Entry) -> Vec<Pair<'_>> {
    let pairs = partners().iter();
    let mut pairs: Vec<_> = pairs
        .filter_map(|partner| Pair::of(honey, partner))
        .collect();
    pairs.sort_by_key(|pair| std::cmp::Reverse(pair.points));
    pairs
}

/// Whether an entry may stand beside a honey.
pub fn is_partner(kind: Kind) -> bool {
    matches!(kind, Kind::Fruit | Kind::Juice | Kind::Spice)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::catalogue;

    fn pair(honey: &str, partner: &str) -> Pair<'static> {
        let honey = catalogue().find(honey).expect("a honey");
        Pair::of(honey, partner_of(partner).expect("a partner")).expect("a loudness")
    }

    #[test]
    fn every_key_is_of_the_catalogue_and_every_honey_has_its_taste() {
        let honeys = catalogue().honeys();
        for honey in honeys {
            assert!(!characters(&honey.key).is_empty(), "{}", honey.key);
        }
        assert_eq!(DATA.honeys.len(), honeys.len());
        let mut seen = std::collections::HashSet::new();
        for partner in partners() {
            assert!((1..=5).contains(&partner.loudness) && !partner.likes.is_empty());
            for key in std::iter::once(&partner.key).chain(&partner.also) {
                let entry = catalogue().find(key).unwrap_or_else(|| panic!("{key}"));
                assert!(is_partner(entry.kind), "{key}");
                assert!(seen.insert(key), "{key} stands twice");
            }
        }
        // Whatever one may want to put beside honey has an answer.
        for entry in catalogue()
            .others()
            .iter()
            .filter(|entry| is_partner(entry.kind))
        {
            let sap = entry.key.ends_with("-sap");
            assert!(sap || partner_of(&entry.key).is_some(), "{}", entry.key);
        }
    }

    #[test]
    fn what_makers_would_expect() {
        let best = |partner: &str| {
            let pairs = honeys_for(partner_of(partner).unwrap(), catalogue().honeys().iter());
            let good = pairs.iter().filter(|pair| pair.is_good());
            good.map(|pair| pair.honey.key.clone()).collect::<Vec<_>>()
        };
        for (partner, among, not) in [
            ("elderflower", "honey-acacia", "honey-buckwheat"),
            ("raspberry", "honey-orange-blossom", "honey-chestnut"),
            ("cocoa-nibs", "honey-buckwheat", "honey-acacia"),
            ("coffee", "honey-forest", "honey-clover"),
            ("lemon-juice", "honey-orange-blossom", "honey-avocado"),
            ("pear", "honey-acacia", "honey-heather"),
            ("cinnamon", "honey-sourwood", "honey-fireweed"),
            ("apple-juice", "honey-fireweed", "honey-forest"),
            ("elderberry", "honey-heather", "honey-acacia"),
        ] {
            let best = best(partner);
            assert!(best.contains(&among.to_owned()), "{partner}: {best:?}");
            assert!(!best.contains(&not.to_owned()), "{partner}: {best:?}");
        }
        for partner in partners() {
            let best = best(&partner.key);
            assert!(best.len() >= 2, "{}: {best:?}", partner.key);
        }
        for honey in catalogue().honeys() {
            let good = partners_for(honey)
                .iter()
                .filter(|pair| pair.is_good())
                .count();
            assert!(good >= 3, "{}: {good}", honey.key);
        }
    }

    #[test]
    fn louder_covers_and_milder_is_lost() {
        let covering = pair("honey-buckwheat", "elderflower");
        assert!(covering.covers() && !covering.is_good());
        assert!(covering.why("elderflower").starts_with("louder: it covers"));
        assert!(covering.beware().starts_with("Blend it"));
        let lost = pair("honey-acacia", "coffee");
        assert!(!lost.covers() && lost.beware().contains("hardly"));
        let strong = pair("honey-buckwheat", "coffee");
        assert!(strong.is_good() && strong.beware().starts_with("Very strong"));
        assert_eq!(pair("honey-clover", "pear").beware(), "");
        // The same character counts more the more it is liked.
        assert!(
            pair("honey-orange-blossom", "ginger").points > pair("honey-fireweed", "ginger").points
        );
    }
}
