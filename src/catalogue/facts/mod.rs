//! What the page of an entry says, section by section: each figure in words, with where it comes from.

mod ingredient;

use super::colour::Class;
use super::item::Item;
use super::own::KEY_PREFIX;
use super::sources::{Provenance, parts};
use super::{Certainty, Family, Feed, StyleSort, StyleWord, Vessel, Yeast};
use crate::web::units::{self, Units};

pub use ingredient::{FormLine, forms_of};

/// One line of a section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fact {
    pub label: &'static str,
    pub value: String,
    /// Where this figure comes from and how sure it is; empty where the section says so.
    pub source: String,
    /// Colours to show before the words.
    pub colours: Vec<Class>,
}

/// A section: lines, and the source of those that name none.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    pub heading: &'static str,
    pub facts: Vec<Fact>,
    pub source: String,
}

const PRACTICE: &str = "common practice, no published source";

/// Everything that is known of a thing, for a reader of these units.
pub fn sections(item: Item<'_>, units: Units) -> Vec<Section> {
    let all = match item {
        Item::Ingredient(entry) => ingredient::sections(entry, units),
        Item::Yeast(yeast) => self::yeast(yeast, units),
        Item::Feed(feed) => self::feed(feed, units),
        Item::Vessel(vessel) => self::vessel(vessel, units),
        Item::Family(family) => self::family(family),
        Item::Word(word) => style_word(word),
    };
    let told = all.into_iter().filter(|section| !section.facts.is_empty());
    match item.key().starts_with(KEY_PREFIX) {
        true => told.map(unsourced).chain([where_from(item)]).collect(),
        false => told.map(checked_later).collect(),
    }
}

/// Of the club's own entries all figures have one source, which stands at the end.
fn unsourced(section: Section) -> Section {
    let facts = section.facts.into_iter().map(|fact| Fact {
        source: String::new(),
        ..fact
    });
    Section {
        facts: facts.collect(),
        source: String::new(),
        ..section
    }
}

fn where_from(item: Item<'_>) -> Section {
    let (source, certainty) = item.source();
    Section {
        heading: "Where the figures come from",
        facts: vec![
            fact("Source", source),
            fact("How sure they are", certainty.words()),
        ],
        source: String::new(),
    }
}

/// The mark of the tables as a reader understands it.
fn checked_later(section: Section) -> Section {
    let plain = |text: String| text.replace("from memory: verify", Certainty::FromMemory.words());
    let facts = section.facts.into_iter().map(|fact| Fact {
        source: plain(fact.source),
        ..fact
    });
    Section {
        facts: facts.collect(),
        source: plain(section.source),
        ..section
    }
}

/// A source with its mark behind it, unless it says the mark itself.
pub fn with_mark(source: &str, certainty: Certainty) -> String {
    let said = source.contains("from memory")
        || (certainty == Certainty::CommonPractice && source.contains("common practice"));
    match said {
        true => source.to_owned(),
        false => format!("{source} ({})", certainty.words()),
    }
}

fn fact(label: &'static str, value: impl Into<String>) -> Fact {
    Fact {
        label,
        value: value.into(),
        ..Fact::default()
    }
}

fn sourced(label: &'static str, value: impl Into<String>, source: impl Into<String>) -> Fact {
    Fact {
        source: source.into(),
        ..fact(label, value)
    }
}

fn percent(fraction: f64) -> String {
    format!("{} %", units::plain(fraction * 100.0, 2))
}

/// "16 to 18 %", or "85 %" where both ends are one.
fn span([low, high]: [f64; 2], write: impl Fn(f64) -> String) -> String {
    let (from, to) = (write(low), write(high));
    if from == to {
        return to;
    }
    // The unit once, behind the second number.
    let unit = to
        .rfind(|c: char| c.is_ascii_digit())
        .map_or("", |at| &to[at + 1..]);
    let from = from.strip_suffix(unit).unwrap_or(&from);
    format!("{from} to {to}")
}

fn plain_span(range: [f64; 2], decimals: usize, unit: &str) -> String {
    let unit = match unit {
        "" => String::new(),
        unit => format!(" {unit}"),
    };
    span(range, |x| format!("{}{unit}", units::plain(x, decimals)))
}

fn degrees(range: [f64; 2], units: Units) -> String {
    span(range, |celsius| units::temperature(celsius, units))
}

/// An amount per litre; what is counted in kilograms, in kilograms.
fn amount(range: [f64; 2], units: Units) -> String {
    match units {
        Units::Metric if range[1] >= 1_000.0 => {
            plain_span(range.map(|grams| grams / 1_000.0), 2, "kg/L")
        }
        _ => span(range, |grams| units::dose(grams, units)),
    }
}

/// Sources of single values of an entry.
struct Sources(Vec<Provenance>);

impl Sources {
    fn of(item: Item<'_>) -> Sources {
        let (source, certainty) = item.source();
        Sources(parts(source, certainty))
    }

    /// That of a value that has its own, by any of its names; else nothing.
    fn own(&self, names: &[&str]) -> String {
        let found = self.0.iter().find(|part| names.contains(&part.of));
        found.map_or_else(String::new, |part| with_mark(&part.text, part.certainty))
    }

    /// That of what the entry is made of.
    fn main(&self) -> String {
        let of_it = ["", "sugars", "fibre", "share"];
        let told = self.0.iter().filter(|part| of_it.contains(&part.of));
        told.map(|part| match part.of {
            "" => with_mark(&part.text, part.certainty),
            name => format!("{name}: {}", with_mark(&part.text, part.certainty)),
        })
        .collect::<Vec<_>>()
        .join("; ")
    }
}

fn yeast(yeast: &Yeast, units: Units) -> Vec<Section> {
    let sources = Sources::of(Item::Yeast(yeast));
    let middle = units::plain(yeast.tolerance_abv_percent(), 1);
    let limit = plain_span(yeast.tolerance_range, 1, "% alcohol");
    let need = match yeast.nitrogen_need.word() {
        "low" => "low: about 0.75 mg for each gram of sugar",
        "high" => "high: about 1.25 mg for each gram of sugar",
        _ => "medium: about 0.9 mg for each gram of sugar",
    };
    let mut does = vec![fact(
        "Stops at",
        format!(
            "{limit} when well fed, two to four less when not; a new recipe reckons with {middle} %"
        ),
    )];
    does.push(fact("Works well at", degrees(yeast.temperature_c, units)));
    does.push(fact("Need of nitrogen", need));
    for (label, text) in [
        ("How far it goes", &yeast.attenuation),
        ("Tastes of", &yeast.character),
        ("Species", &yeast.species),
    ] {
        if !text.is_empty() {
            does.push(fact(label, text.clone()));
        }
    }
    let wake = sourced(
        "Wake it in water of",
        degrees(yeast.rehydrate_c, units),
        match sources.own(&["rehydration temperature"]).as_str() {
            "" => PRACTICE.to_owned(),
            own => own.to_owned(),
        },
    );
    vec![
        Section {
            heading: "What it does and wants",
            facts: does,
            source: sources.main(),
        },
        Section {
            heading: "In a recipe",
            facts: vec![
                wake,
                sourced(
                    "More than one",
                    "a recipe may hold several: one after another, or one for the bottle",
                    PRACTICE,
                ),
            ],
            source: String::new(),
        },
    ]
}

fn feed(feed: &Feed, units: Units) -> Vec<Section> {
    let sources = Sources::of(Item::Feed(feed));
    let nitrogen = |label, milligrams: f64| {
        fact(
            label,
            format!("{} mg in a gram", units::plain(milligrams, 1)),
        )
    };
    let brings = vec![
        nitrogen("Nitrogen as ammonium", feed.ammonium_yan_mg_per_g),
        nitrogen("Nitrogen, organic", feed.organic_yan_mg_per_g),
    ];
    let dose = span(feed.usual_g_per_l, |grams| units::dose(grams, units));
    let mut use_of = vec![sourced("Usual dose", dose, sources.own(&["usual dose"]))];
    if let Some(most) = feed.max_g_per_l {
        use_of.push(fact("Never more than", units::dose(most, units)));
    }
    if let Some(grams) = feed.grams_per_teaspoon {
        use_of.push(sourced(
            "A level teaspoon",
            format!(
                "about {} g, give or take a fifth: a scale is better",
                units::plain(grams, 1)
            ),
            sources.own(&["grams per level teaspoon"]),
        ));
    }
    vec![
        Section {
            heading: "What it brings",
            facts: brings,
            source: sources.main(),
        },
        Section {
            heading: "How much",
            facts: use_of,
            source: String::new(),
        },
    ]
}

fn vessel(vessel: &Vessel, units: Units) -> Vec<Section> {
    let mouth = match vessel.wide_mouth {
        true => "wide: a bag of fruit goes through",
        false => "narrow",
    };
    let facts = vec![
        fact(
            "Holds to the brim",
            units::volume_both(vessel.brim_l, units),
        ),
        fact("Mouth", mouth),
    ];
    vec![Section {
        heading: "What it holds",
        facts,
        source: with_mark(&vessel.source, vessel.certainty),
    }]
}

fn family(family: &Family) -> Vec<Section> {
    let known = match family.recognised {
        true => "by what goes in; your own word wins",
        false => "only by your own word for it",
    };
    vec![Section {
        heading: "What makes it so",
        facts: vec![
            fact("It is one if", family.makes.clone()),
            fact("Recognised", known),
        ],
        source: with_mark(&family.source, family.certainty),
    }]
}

fn style_word(word: &StyleWord) -> Vec<Section> {
    let mut facts = Vec::new();
    if let Some(range) = word.abv_percent {
        facts.push(fact("Alcohol", plain_span(range, 1, "% by volume")));
    }
    if let Some(range) = word.og {
        facts.push(fact(
            "Gravity at the start, as a rule",
            span(range, units::gravity),
        ));
    }
    if let Some(range) = word.fg {
        facts.push(fact("Gravity at the end", span(range, units::gravity)));
    }
    if let Some([low, high]) = word.pressure_bar {
        let value = match (low, high) {
            (Some(low), Some(high)) => plain_span([low, high], 1, "bar"),
            (Some(low), None) => format!("{} bar or more", units::plain(low, 1)),
            (None, Some(high)) => format!("less than {} bar", units::plain(high, 1)),
            (None, None) => "not said".to_owned(),
        };
        facts.push(fact("Pressure at 20 °C, above the air’s", value));
    }
    let ties = match word.sort {
        StyleSort::Bubbles => None,
        _ => Some(fact(
            "On the border",
            "the next word up, which is our own choice",
        )),
    };
    facts.extend(ties);
    vec![Section {
        heading: "What the word means",
        facts,
        source: with_mark(&word.source, word.certainty),
    }]
}
