//! What goes in and when: the lines of ingredients and water, and of the feeding plan.

use super::method::{Material, Number, method, of_line};
use super::notes::entry_of;
use super::{AmountLine, FeedLine, listed, salt_words, spoons, when_words};
use crate::engine::formulation::{FeedAt, Formulation, Line};
use crate::engine::recipe::{Kind, When};
use crate::engine::scaling::Scale;
use crate::engine::water::read_salts;
use crate::web::units::{self, Units};

/// The lines of what goes in, water among them.
pub(super) fn amounts(material: &Material<'_>) -> Vec<AmountLine> {
    let numbers = material.numbers;
    let mut lines: Vec<(When, AmountLine)> = numbers
        .ingredients
        .iter()
        .enumerate()
        .map(|(at, line)| (line.when, amount(material, at, line)))
        .collect();
    if let Some(water) = water_line(material) {
        let after_must = lines
            .iter()
            .position(|(when, _)| *when != When::Must)
            .unwrap_or(lines.len());
        let salts = salt_lines(material).into_iter();
        let watery = std::iter::once(water).chain(salts);
        lines.splice(
            after_must..after_must,
            watery.map(|line| (When::Must, line)),
        );
    }
    lines.into_iter().map(|(_, line)| line).collect()
}

fn amount(material: &Material<'_>, at: usize, line: &Line) -> AmountLine {
    let units = material.reader.units;
    let item = material.recipe.ingredients.get(line.index);
    let mut detail = vec![when_words(line.when).to_owned()];
    if let Some(days) = item.and_then(|item| item.days) {
        detail.push(format!("{} days", units::plain(days, 1)));
    }
    if let Some(form) = item.and_then(|item| item.form) {
        detail.push(form.as_str().to_owned());
    }
    if line.solved {
        detail.push("solved".to_owned());
    }
    let is_liquid = item.is_some_and(|item| matches!(item.kind, Kind::Juice));
    let before = material
        .exact
        .ingredients
        .get(at)
        .filter(|before| before.kg != line.kg);
    AmountLine {
        at: Some(at),
        key: format!("amount-{}", at + 1),
        name: line.name.clone(),
        detail: detail.join(", "),
        amount: match (is_liquid, line.litres, line.kg) {
            (_, _, Some(kg)) if kg <= 0.0 => "none".to_owned(),
            (true, Some(litres), _) => units::volume(litres, units),
            (_, _, Some(kg)) => units::mass(kg, units),
            _ => "not known yet".to_owned(),
        },
        exact: before
            .and_then(|before| before.kg)
            .map(|kg| match units {
                Units::Metric if kg < 1.0 => {
                    format!("{} g before rounding", units::fixed(kg * 1000.0, 2))
                }
                Units::Metric => format!("{} kg before rounding", units::fixed(kg, 3)),
                _ => format!("{} before rounding", units::mass(kg, units)),
            })
            .filter(|_| line.kg.is_some())
            .unwrap_or_default(),
        solved: line.solved,
        goes_in: line.kg.is_some_and(|kg| kg > 0.0),
        entry: item
            .and_then(|item| item.key.as_deref())
            .and_then(|key| entry_of(key, material.reader)),
        methods: of_line(at, material).into_iter().collect(),
        cautions: Vec::new(),
    }
}

impl AmountLine {
    /// Where the jar is that it is taken from, below the base.
    pub fn jar(&self) -> Option<&str> {
        self.entry.as_deref().filter(|path| is_jar(path))
    }

    /// Its page in the catalogue, below the base.
    pub fn in_catalogue(&self) -> Option<&str> {
        self.entry.as_deref().filter(|path| !is_jar(path))
    }
}

fn is_jar(path: &str) -> bool {
    path.starts_with(crate::shelf::paths::SHELF.path)
}

/// Water is no ingredient, but always printed, with the mark to fill to.
fn water_line(material: &Material<'_>) -> Option<AmountLine> {
    let units = material.reader.units;
    let must = material.numbers.must.as_ref()?;
    let fruit = material
        .numbers
        .vessel
        .as_ref()
        .is_some_and(|fit| fit.fruit_displacement_l > 0.0);
    let mark = units::volume(must.volume_l, units);
    let before = if fruit {
        " before the fruit goes in"
    } else {
        ""
    };
    let (detail, amount) = match &material.recipe.filler {
        Some(filler) => (
            format!("{filler} fills up to the {mark} mark{before}"),
            "none".to_owned(),
        ),
        None => (
            format!("fill to the {mark} mark{before}"),
            units::volume(must.water_l, units),
        ),
    };
    let methods = [Number::Water, Number::Mark];
    Some(AmountLine {
        at: None,
        key: Number::Water.text().slug.to_owned(),
        name: "Water".to_owned(),
        detail,
        amount,
        entry: None,
        exact: String::new(),
        solved: true,
        goes_in: true,
        methods: methods
            .into_iter()
            .filter_map(|number| method(number, material))
            .collect(),
        cautions: Vec::new(),
    })
}

/// The salts that are weighed into the water.
fn salt_lines(material: &Material<'_>) -> Vec<AmountLine> {
    let report = material.recipe.water_report.as_ref();
    let salts = report.map(|report| read_salts(&report.salts, ""));
    let known = salts.and_then(Result::ok).unwrap_or_default();
    let weighed = known.into_iter().filter(|(_, grams)| *grams > 0.0);
    weighed
        .map(|(salt, grams)| AmountLine {
            at: None,
            key: format!("salt-{}", salt.name()),
            name: capitalised(&salt_words(salt)),
            detail: "a salt, stirred into the water".to_owned(),
            amount: units::mass(Scale::Kitchen.round(grams / 1000.0), material.reader.units),
            entry: None,
            exact: String::new(),
            solved: false,
            goes_in: true,
            methods: Vec::new(),
            cautions: Vec::new(),
        })
        .collect()
}

fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}

/// What each feed is given when.
pub(super) fn feeds(material: &Material<'_>) -> Vec<FeedLine> {
    let Some(plan) = &material.numbers.feeding else {
        return Vec::new();
    };
    let units = material.reader.units;
    let mut lines: Vec<(FeedAt, FeedLine)> = Vec::new();
    for addition in &plan.additions {
        let feed = material.recipe.nutrients.get(addition.index);
        let spoons = spoons::of_feed(addition.grams, feed, &material.reader.catalogue);
        let spoons = spoons.map_or(String::new(), |spoons| format!(", {spoons}"));
        let gift = (
            units::mass(addition.grams / 1000.0, units),
            format!("{}{spoons}", addition.nutrient),
        );
        if let Some((_, line)) = lines.iter_mut().find(|(at, _)| *at == addition.at) {
            line.gifts.push(gift);
            continue;
        }
        let (when, detail) = match addition.at {
            FeedAt::Hours(hours) if hours <= 0.0 => (
                "at the pitch".to_owned(),
                "with the yeast, or within a day".to_owned(),
            ),
            FeedAt::Hours(hours) => (
                format!("{} hours after the pitch", units::plain(hours, 0)),
                "six hours earlier or later do no harm".to_owned(),
            ),
            FeedAt::Gravity(sg) => (
                format!("when it reads {}", units::gravity(sg)),
                "one third of the sugar is gone then; on day 7 at the latest".to_owned(),
            ),
        };
        lines.push((
            addition.at,
            FeedLine {
                when,
                detail,
                gifts: vec![gift],
                missed: String::new(),
            },
        ));
    }
    alike_together(lines)
}

/// Doses that are the same and only hours apart share a line: "24, 48 and 72 hours after the pitch".
fn alike_together(lines: Vec<(FeedAt, FeedLine)>) -> Vec<FeedLine> {
    let mut together: Vec<(Vec<f64>, FeedLine)> = Vec::new();
    for (at, line) in lines {
        let hours = match at {
            FeedAt::Hours(hours) if hours > 0.0 => vec![hours],
            _ => Vec::new(),
        };
        match together.last_mut() {
            Some((before, same))
                if !before.is_empty() && !hours.is_empty() && same.gifts == line.gifts =>
            {
                before.extend(hours);
                let told: Vec<String> =
                    before.iter().map(|hours| units::plain(*hours, 0)).collect();
                let told: Vec<&str> = told.iter().map(String::as_str).collect();
                same.when = format!("{} hours after the pitch", listed(&told));
            }
            _ => together.push((hours, line)),
        }
    }
    together.into_iter().map(|(_, line)| line).collect()
}

/// What to do about a dose that was missed (common practice, no published source).
pub(super) fn feeding_note(numbers: &Formulation) -> &'static str {
    match numbers.feeding.as_ref().map(|plan| plan.why) {
        Some("four_parts") => {
            "Missed one? Give it as soon as you can; if the next one is due, give both together. Once a third of the sugar is gone, leave out what holds ammonium."
        }
        _ => "",
    }
}
