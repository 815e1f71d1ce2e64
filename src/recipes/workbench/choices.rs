//! The lists behind the workbench's selects: value and words.

use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::{Entry, Feed, VesselKind, catalogue};
use crate::engine::recipe::{FeedingLevel, Form, Kind, NitrogenNeed, When, YeastWhen};
use crate::engine::water::{SALTS, Salt};
use crate::recipes::forms::{Group, Workbench};
use crate::recipes::numbers::{Reader, salt_words, when_words};
use crate::vessels::Vessel;

use super::advice::Ranked;
use super::assume::{Answer, OWN, STRENGTHS, SWEETNESSES, pick_of};

type Pairs = Vec<(String, String)>;

/// All of them.
pub struct Choices {
    pub aims: Pairs,
    pub finishes: Pairs,
    pub honeys: Pairs,
    pub others: Pairs,
    pub yeasts: Pairs,
    pub feeds: Pairs,
    pub kinds: Pairs,
    pub forms: Pairs,
    pub whens: Pairs,
    pub needs: Pairs,
    pub yeast_whens: Pairs,
    pub levels: Pairs,
    /// Answers to "How strong?" and "How sweet?".
    pub strengths: Pairs,
    pub sweetnesses: Pairs,
    pub vessels: Pairs,
    pub vessel_kinds: Pairs,
    pub mouths: Pairs,
    pub salts: Pairs,
    pub sharing: Pairs,
}

fn pair(value: &str, words: &str) -> (String, String) {
    (value.to_owned(), words.to_owned())
}

fn plain(words: impl Iterator<Item = &'static str>) -> Pairs {
    words.map(|word| pair(word, word)).collect()
}

fn after(first: (String, String), rest: Pairs) -> Pairs {
    std::iter::once(first).chain(rest).collect()
}

fn entry(entry: &Entry) -> (String, String) {
    pair(&entry.key, &entry.name)
}

/// What a row of the group holds though it is offered no more: it is not lost, and bears its name.
fn no_longer_offered(
    form: &Workbench,
    group: Group,
    offered: &Pairs,
    catalogue: &ClubCatalogue,
) -> Pairs {
    let mut gone = Pairs::new();
    for row in form.rows(group) {
        let key = row.cell("pick");
        let listed = |pairs: &Pairs| pairs.iter().any(|(known, _)| known == key);
        if let Some(item) = catalogue
            .item(key)
            .filter(|_| !listed(offered) && !listed(&gone))
        {
            let words = match catalogue.jar(key) {
                Some(jar) => format!("from the shelf: {}, {}", jar.entry.name, jar.gone_words()),
                None => format!("{}, no longer offered", item.name()),
            };
            gone.push((key.to_owned(), words));
        }
    }
    gone
}

impl Choices {
    /// From the club's catalogue, the reader's own vessels and the words of the recipe document.
    pub fn of(form: &Workbench, ranked: &[Ranked], reader: &Reader) -> Self {
        let catalogue = &reader.catalogue;
        let gone = |group, offered: &Pairs| no_longer_offered(form, group, offered, catalogue);
        let from_shelf = |honey: &Entry| match catalogue.jar(&honey.key) {
            Some(_) => pair(&honey.key, &format!("from the shelf: {}", honey.name)),
            None => entry(honey),
        };
        let mut honeys: Pairs = catalogue.honeys().map(from_shelf).collect();
        honeys.extend(gone(Group::Honey, &honeys));
        honeys.push(pair(OWN, "a honey of my own"));
        let mut others: Pairs = catalogue.others().map(entry).collect();
        others.extend(gone(Group::Other, &others));
        others.sort_by_key(|(_, name)| name.to_lowercase());
        others.push(pair(OWN, "something of my own"));
        let feed = |feed: &Feed| pair(&feed.key, &feed.name);
        let mut feeds: Pairs = catalogue.feeds().map(feed).collect();
        feeds.extend(gone(Group::Feed, &feeds));
        feeds.push(pair(OWN, "a feed of my own"));
        Choices {
            strengths: answers(
                &STRENGTHS,
                pair("abv", "another strength"),
                &aims(),
                form.text("aim"),
            ),
            sweetnesses: after(
                pair("dry", "dry: no sugar left"),
                answers(
                    &SWEETNESSES,
                    pair("sweeten", "sweetened to a gravity of my own"),
                    &finishes(),
                    form.text("finish"),
                ),
            ),
            aims: aims(),
            finishes: finishes(),
            vessels: vessels(form.text("vessel_pick"), &reader.vessels),
            honeys,
            others: after(pair("", "choose"), others),
            yeasts: yeasts(form, ranked, catalogue),
            feeds,
            kinds: plain(
                Kind::ALL
                    .iter()
                    .filter(|kind| **kind != Kind::Honey)
                    .map(|kind| kind.as_str()),
            ),
            forms: after(
                pair("", "as usual"),
                plain(Form::ALL.iter().map(|form| form.as_str())),
            ),
            whens: after(
                pair("", "as usual for it"),
                When::ALL
                    .iter()
                    .map(|when| pair(when.as_str(), when_in_short(*when)))
                    .collect(),
            ),
            needs: after(
                pair("", "as usual for it"),
                plain(NitrogenNeed::ALL.iter().map(|need| need.as_str())),
            ),
            yeast_whens: YeastWhen::ALL
                .iter()
                .map(|when| pair(when.as_str(), yeast_when(*when)))
                .collect(),
            levels: FeedingLevel::ALL
                .iter()
                .map(|level| pair(level.as_str(), gentleness(*level)))
                .collect(),
            vessel_kinds: after(
                pair("", "not chosen"),
                plain(VesselKind::ALL.iter().map(|kind| kind.word())),
            ),
            mouths: vec![
                pair("", "not said"),
                pair("wide", "wide: a bag goes through"),
                pair("narrow", "narrow"),
            ],
            salts: salts(form),
            sharing: share_choices(),
        }
    }
}

fn aims() -> Pairs {
    vec![
        pair("abv", "a strength"),
        pair("gravity", "a gravity to start from"),
        pair("amounts", "the amounts I give"),
        pair("honey_abv", "a strength, from the honey I have"),
        pair("honey_gravity", "a gravity, from the honey I have"),
    ]
}

fn finishes() -> Pairs {
    vec![
        pair("dry", "ferments dry"),
        pair("sweeten", "dry, then sweetened"),
        pair("arrest", "stopped while sweet"),
    ]
}

/// The answers, one's own, and what is chosen otherwise, so that it is not lost.
fn answers(known: &[Answer], own: (String, String), all: &Pairs, chosen: &str) -> Pairs {
    let mut pairs: Pairs = known
        .iter()
        .map(|answer| pair(answer.word, answer.said))
        .collect();
    pairs.push(own);
    let missing = |value: &str| value != "dry" && !pairs.iter().any(|(known, _)| known == value);
    let other = all
        .iter()
        .find(|(value, _)| value == chosen && missing(value))
        .cloned();
    pairs.extend(other);
    pairs
}

/// Yeasts, the fittest first, each with what speaks for or against it.
pub fn yeasts(form: &Workbench, ranked: &[Ranked], catalogue: &ClubCatalogue) -> Pairs {
    let known: Pairs = ranked
        .iter()
        .map(|yeast| {
            (
                yeast.key.clone(),
                format!("{}: {}", yeast.name, yeast.verdict),
            )
        })
        .collect();
    let gone = no_longer_offered(form, Group::Yeast, &known, catalogue);
    std::iter::once(pair("", "choose"))
        .chain(known)
        .chain(gone)
        .chain([pair(OWN, "a yeast of my own")])
        .collect()
}

/// The reader's own first, then the usual ones.
fn vessels(picked: &str, own: &[Vessel]) -> Pairs {
    let mine = own.iter().filter_map(|vessel| {
        let pick = pick_of(vessel);
        match vessel.retired {
            false => Some((pick, format!("mine: {}", vessel.is.name))),
            true => {
                (pick == picked).then(|| (pick, format!("mine, out of use: {}", vessel.is.name)))
            }
        }
    });
    let known = catalogue()
        .vessels()
        .iter()
        .map(|vessel| pair(&vessel.key, &vessel.name));
    std::iter::once(pair("", "not chosen yet"))
        .chain(mine)
        .chain(known)
        .chain([pair(OWN, "another, told below")])
        .collect()
}

/// Salts, each in the spelling in which the form has it.
fn salts(form: &Workbench) -> Pairs {
    let spelt = |salt: &Salt| {
        let rows = form.rows(Group::Salt).iter();
        let mut picks = rows.map(|row| row.cell("pick"));
        picks.find(|pick| Salt::named(pick).is_some_and(|known| std::ptr::eq(known, salt)))
    };
    let known = SALTS.iter().map(|salt| {
        let words = format!("{} ({})", salt_words(salt), salt.formula());
        pair(spelt(salt).unwrap_or_else(|| salt.name()), &words)
    });
    std::iter::once(pair("", "choose")).chain(known).collect()
}

/// Short enough to be read in a list on a phone.
fn when_in_short(when: When) -> &'static str {
    match when {
        When::Must => "in the must",
        When::Secondary => "after fermenting",
        When::Sweeten => "to sweeten",
        When::Primary | When::Ageing => when_words(when),
    }
}

fn yeast_when(when: YeastWhen) -> &'static str {
    match when {
        YeastWhen::Pitch => "at the start",
        YeastWhen::Later => "later, after the first",
        YeastWhen::Bottle => "into the bottle",
    }
}

/// How gently to feed, in words.
pub fn gentleness(level: FeedingLevel) -> &'static str {
    match level {
        FeedingLevel::Lean => "lean: slower, cleaner, wants patience",
        FeedingLevel::Usual => "as usual",
        FeedingLevel::Full => "full: for a strong must or a demanding yeast",
    }
}

/// Who may see a recipe, in words.
pub fn share_choices() -> Vec<(String, String)> {
    vec![
        ("private".to_owned(), "only I".to_owned()),
        ("club".to_owned(), "the club, all its revisions".to_owned()),
        (
            "link".to_owned(),
            "whoever has a link, the newest".to_owned(),
        ),
    ]
}
