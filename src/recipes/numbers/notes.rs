//! Margin notes: one number each, a few words, and how it is reckoned.

use super::method::{Material, Method, Number, method};
use super::{CautionLine, Reader, strength};
use crate::engine::formulation::StoppedBy;
use crate::engine::recipe::Finish;
use crate::shelf::page_of;
use crate::web::units;
use crate::web::words::reason;

/// A number in the margin.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    pub number: Number,
    pub label: &'static str,
    pub strong: String,
    pub words: String,
    /// How it is reckoned, and what else its words tell.
    pub methods: Vec<Method>,
    /// Pages of the catalogue about what it is of: below the base, and the name.
    pub entries: Vec<(String, String)>,
    pub cautions: Vec<CautionLine>,
}

impl Note {
    /// Its word in ids.
    pub fn key(&self) -> &'static str {
        self.number.text().slug
    }
}

/// A note of the numbers that there are; none where its own is missing.
fn note(
    material: &Material<'_>,
    label: &'static str,
    numbers: &[Number],
    words: String,
) -> Option<Note> {
    let methods: Vec<Method> = numbers
        .iter()
        .filter_map(|number| method(*number, material))
        .collect();
    let number = *numbers.first()?;
    let own = methods.first()?;
    (own.key == number.text().slug).then(|| Note {
        number,
        label,
        strong: own.value.clone(),
        words,
        cautions: Vec::new(),
        entries: entries(material, number),
        methods: methods.clone(),
    })
}

/// What the catalogue has of the yeasts and the feeds.
fn entries(material: &Material<'_>, number: Number) -> Vec<(String, String)> {
    let recipe = material.recipe;
    let named = |key: Option<&String>, name: &String| {
        let page = entry_of(key?, material.reader)?;
        Some((page, name.clone()))
    };
    match number {
        Number::Yeast => {
            let yeasts = recipe.yeasts.iter();
            yeasts
                .filter_map(|yeast| named(yeast.key.as_ref(), &yeast.name))
                .collect()
        }
        Number::Feeding => {
            let feeds = recipe.nutrients.iter();
            feeds
                .filter_map(|feed| named(feed.key.as_ref(), &feed.name))
                .collect()
        }
        _ => Vec::new(),
    }
}

/// The page of a key in the catalogue, below the base; none where there is no such entry.
pub(super) fn entry_of(key: &str, reader: &Reader) -> Option<String> {
    let item = reader.catalogue.item(key)?;
    Some(page_of(item.key()))
}

/// A note: its name, the numbers it stands beside, and how it is made.
type Way = (
    &'static str,
    &'static [Number],
    fn(&Material<'_>) -> Option<String>,
);

/// All notes but that of the feeding, in the order in which a maker asks.
pub(super) fn all(material: &Material<'_>) -> Vec<Note> {
    let ways: [Way; 14] = [
        ("strength", &[Number::Strength], strength_words),
        ("start", &[Number::Start], start_words),
        ("end", &[Number::End], end_words),
        ("sweetness", &[Number::Sweetness], sweetness_words),
        ("acid", &[Number::Acidity], acid_words),
        ("give or take", &[Number::Spread], spread_words),
        ("yeast", &[Number::Yeast, Number::Waking], yeast_words),
        ("gas", &[Number::Gas], gas_words),
        ("minerals", &[Number::Minerals], mineral_words),
        ("vessel", &[Number::Vessel], vessel_words),
        ("to bottle", &[Number::Bottles], bottle_words),
        ("good from", &[Number::Ready], ready_words),
        ("style", &[Number::Style], style_words),
        ("cost", &[Number::Cost], cost_words),
    ];
    ways.into_iter()
        .filter_map(|(label, numbers, words)| note(material, label, numbers, words(material)?))
        .collect()
}

/// The note of the feeding, which stands with its plan.
pub(super) fn feeding(material: &Material<'_>) -> Option<Note> {
    let plan = material.numbers.feeding.as_ref()?;
    let mg = |value: f64| units::plain(value, 0);
    let words = match plan.why {
        "nothing_needed" => "the must brings all the nitrogen that the yeast wants".to_owned(),
        "no_feed" => format!(
            "of nitrogen, for no feed is to hand; the yeast would want {}",
            mg(plan.deficit_mg_per_l)
        ),
        "all_at_pitch" => "of nitrogen, all at once, for the must is weak".to_owned(),
        _ => format!(
            "of nitrogen in parts, of {} aimed at; stir the gas out before each",
            mg(plan.target_mg_per_l)
        ),
    };
    let mut fed = note(
        material,
        "feeding",
        &[Number::Feeding, Number::Doses],
        words,
    )?;
    if plan.why == "nothing_needed" {
        fed.strong = "nothing".to_owned();
    }
    Some(fed)
}

fn strength_words(material: &Material<'_>) -> Option<String> {
    let (finished, limits) = (
        material.numbers.finished.as_ref()?,
        material.numbers.limits.as_ref()?,
    );
    let sweetened = finished.abv_before_sweetening_percent - finished.abv_percent > 0.05;
    let after = if sweetened { "after sweetening; " } else { "" };
    let limit = finished.abv_before_sweetening_percent + limits.headroom_abv_percent;
    Some(match limits.stopped_by {
        StoppedBy::Tolerance => format!("{after}the yeast stops there, give or take 1.5 %"),
        StoppedBy::Sugar => format!("{after}the yeast could reach {}", strength(limit)),
    })
}

fn start_words(material: &Material<'_>) -> Option<String> {
    let whole = material.numbers.whole.as_ref()?;
    let before = material
        .numbers
        .must
        .as_ref()
        .filter(|must| (must.og - whole.og).abs() > super::fall::SAME);
    Some(match before {
        Some(must) => format!(
            "once the fruit has given its sugar; the hydrometer reads {} before it",
            units::gravity(must.og)
        ),
        None => format!(
            "{:.1} °Bx in {} of must",
            whole.brix,
            units::volume(whole.volume_l, material.reader.units)
        ),
    })
}

fn end_words(material: &Material<'_>) -> Option<String> {
    let (finished, limits) = (
        material.numbers.finished.as_ref()?,
        material.numbers.limits.as_ref()?,
    );
    let natural = units::gravity(finished.natural_fg);
    let moved = (finished.fg - finished.natural_fg).abs() > super::fall::SAME;
    Some(match (material.recipe.finish, limits.stopped_by) {
        (Finish::SweetenTo(_), _) if moved => format!("sweetened; by itself it ends at {natural}"),
        (Finish::ArrestTo(_), _) if moved => {
            format!("stopped there; by itself it would end at {natural}")
        }
        (_, StoppedBy::Sugar) => "where the sugar is gone".to_owned(),
        (_, StoppedBy::Tolerance) => "where the yeast reaches its limit".to_owned(),
    })
}

fn sweetness_words(material: &Material<'_>) -> Option<String> {
    let style = material.numbers.style.as_ref()?;
    Some(match &style.sweetness.value {
        Some(word) => format!("of sugar left: {word}"),
        None => "of sugar left".to_owned(),
    })
}

fn acid_words(material: &Material<'_>) -> Option<String> {
    let band = material.numbers.balance.as_ref();
    Some(match band.and_then(|balance| reason(balance.band)) {
        Some(words) => format!("as tartaric; {words}"),
        None => "as tartaric".to_owned(),
    })
}

fn spread_words(material: &Material<'_>) -> Option<String> {
    let spread = material.numbers.spread.as_ref()?;
    let from_to =
        |[low, high]: [f64; 2]| format!("{} to {}", units::gravity(low), units::gravity(high));
    Some(format!(
        "in four meads of five; start {}, end {}",
        from_to(spread.og),
        from_to(spread.fg)
    ))
}

fn mineral_words(material: &Material<'_>) -> Option<String> {
    let water = material.numbers.water.as_ref()?;
    Some(format!(
        "of ions in the water, alkalinity {} mg/L as CaCO3",
        units::plain(water.alkalinity_mg_per_l_caco3, 0)
    ))
}

fn gas_words(material: &Material<'_>) -> Option<String> {
    let finished = material.numbers.finished.as_ref()?;
    (finished.co2_kg > 0.0).then(|| "of carbon dioxide go off while it works".to_owned())
}

fn yeast_words(material: &Material<'_>) -> Option<String> {
    let pitching = material.numbers.pitching.as_ref()?;
    let sachets = match pitching.sachets {
        1 => "one sachet".to_owned(),
        many => format!("{many} sachets"),
    };
    Some(match pitching.rehydration.wanted {
        true => format!(
            "dry, {sachets}; woken in {} of warm water",
            units::volume(pitching.rehydration.water_g / 1000.0, material.reader.units)
        ),
        false => format!("dry, {sachets}, strewn on the must"),
    })
}

fn vessel_words(material: &Material<'_>) -> Option<String> {
    let fit = material.numbers.vessel.as_ref()?;
    let units = material.reader.units;
    let fill = units::volume(fit.fill_l, units);
    Some(match &material.recipe.vessel {
        Some(own) => format!(
            "to the brim would be right for {fill}; yours holds {}: {}",
            units::volume(own.brim_l, units),
            reason(fit.advice).unwrap_or_default()
        ),
        None => format!("to the brim hold {fill} with room for foam"),
    })
}

fn bottle_words(material: &Material<'_>) -> Option<String> {
    let package = material.numbers.package.as_ref()?;
    let full = package.bottles.first().map_or(0, |bottles| bottles.count);
    let bottles = match full {
        1 => "1 bottle".to_owned(),
        many => format!("{many} bottles"),
    };
    Some(format!(
        "once lees and losses, {}, are gone: {bottles} of 0.75 L",
        units::volume(package.losses_l, material.reader.units)
    ))
}

fn ready_words(material: &Material<'_>) -> Option<String> {
    let [_, better] = super::lead::ready(material.numbers, material.reader.today());
    Some(format!("on, better by {better}"))
}

fn style_words(material: &Material<'_>) -> Option<String> {
    let style = material.numbers.style.as_ref()?;
    let why = [&style.family, &style.strength, &style.sweetness];
    let why: Vec<&str> = why.iter().filter_map(|word| reason(word.rule)).collect();
    Some(why.join("; "))
}

fn cost_words(material: &Material<'_>) -> Option<String> {
    let package = material.numbers.package.as_ref()?;
    Some(package.cost_per_bottle.map_or(String::new(), |each| {
        format!("in all, {} a bottle of 0.75 L", units::fixed(each, 2))
    }))
}
