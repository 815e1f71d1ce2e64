//! What the page of a honey or another ingredient says; how the sugar of fruit comes out.

use super::{Fact, PRACTICE, Section, Sources, amount, fact, percent, plain_span, sourced};
use crate::catalogue::item::Item;
use crate::catalogue::{Certainty, Entry, HoneyTraits, Kind, Stage, catalogue, colour};
use crate::web::units::{self, Units};

const MEASURED: &str = "White et al. 1962, a survey of 490 honeys (published)";

pub(super) fn sections(entry: &Entry, units: Units) -> Vec<Section> {
    let sources = Sources::of(Item::Ingredient(entry));
    let mut all = Vec::new();
    if let Some(honey) = &entry.honey {
        all.push(character(honey));
    }
    all.push(made_of(entry, &sources));
    all.push(acid_and_food(entry, &sources));
    all.push(in_a_recipe(entry, &sources, units));
    all
}

fn character(honey: &HoneyTraits) -> Section {
    let mut facts = Vec::new();
    if let Some(range) = honey.pfund_mm {
        let classes = colour::classes(range);
        let hue = honey.hue.as_ref().map(|hue| format!(", {hue}"));
        let value = format!("{}{}", colour::words(&classes), hue.unwrap_or_default());
        let range = plain_span(range, 0, "mm on the Pfund scale");
        facts.push(Fact {
            colours: classes,
            ..sourced("Colour", value, format!("{range}: {}", honey.source_colour))
        });
    }
    if let Some(loud) = honey.intensity {
        let words = HoneyTraits::loudness(loud);
        facts.push(fact("Strength of taste", format!("{loud} of 5: {words}")));
    }
    if !honey.pairing.is_empty() {
        facts.push(fact("Goes with", honey.pairing.clone()));
    }
    Section {
        heading: "Character",
        facts,
        source: format!("taste and company in our own words: {PRACTICE}"),
    }
}

fn made_of(entry: &Entry, sources: &Sources) -> Section {
    let mut facts = Vec::new();
    if let Some(parts) = entry.composition {
        let spread = |sd: Option<f64>| match sd {
            Some(sd) => format!(", give or take {}", percent(sd)),
            None => String::new(),
        };
        let water = spread(entry.spread.map(|spread| spread.water));
        let sugar = spread(entry.spread.map(|spread| spread.fermentable));
        facts.push(fact("Water", format!("{}{water}", percent(parts.water))));
        facts.push(fact(
            "Sugar that ferments",
            format!("{}{sugar}", percent(parts.fermentable)),
        ));
        facts.push(fact("Dissolved, stays", percent(parts.unfermentable)));
        facts.push(fact("Does not dissolve", percent(parts.insoluble)));
    }
    if let Some(honey) = &entry.honey
        && let (Some(fructose), Some(glucose)) = (honey.fructose_percent, honey.glucose_percent)
    {
        let mut value = format!(
            "fruit sugar {} %, grape sugar {} %",
            units::plain(fructose, 2),
            units::plain(glucose, 2)
        );
        if let Some(sucrose) = honey.sucrose_percent {
            value.push_str(&format!(", table sugar {} %", units::plain(sucrose, 2)));
        }
        // Above about one and a half the honey sets slowly, and a weak fermentation leaves fruit sugar behind.
        if fructose > 1.5 * glucose {
            value.push_str(
                "; so much fruit sugar sets slowly, and a tired yeast may leave some of it",
            );
        }
        facts.push(fact("Of its sugars", value));
    }
    if let Some(density) = entry.density_kg_per_l {
        let own = sources.own(&["density"]);
        let reckoned = "reckoned from the densities of its parts (Choi and Okos 1986, coefficients from memory: verify)";
        let source = match own.as_str() {
            "" => reckoned.to_owned(),
            own => own.to_owned(),
        };
        let value = format!("{} kg/L", units::plain(density, 3));
        facts.push(sourced("Weighs, at 20 °C", value, source));
    }
    Section {
        heading: "Made of",
        facts,
        source: sources.main(),
    }
}

fn acid_and_food(entry: &Entry, sources: &Sources) -> Section {
    let is_honey = entry.kind == Kind::Honey;
    let or_main = |own: String| match own.as_str() {
        "" => sources.main(),
        _ => own,
    };
    let mut facts = Vec::new();
    if let Some(acid) = entry.ta_g_per_kg {
        let (label, acid) = match acid < 0.0 {
            true => ("Takes acid away, as tartaric", -acid),
            false => ("Acid, as tartaric", acid),
        };
        let value = format!("{} g/kg", units::plain(acid, 1));
        let source = match is_honey {
            true => MEASURED.to_owned(),
            false => or_main(sources.own(&["TA"])),
        };
        facts.push(sourced(label, value, source));
    }
    if let Some(ph) = entry.ph {
        facts.push(sourced(
            "pH",
            units::plain(ph, 2),
            or_main(sources.own(&["pH"])),
        ));
    }
    match entry.yan_mg_per_kg {
        Some(yan) => {
            let value = format!("{} mg/kg", units::plain(yan, 0));
            facts.push(sourced(
                "Nitrogen for the yeast",
                value,
                or_main(sources.own(&["YAN"])),
            ));
        }
        None if is_honey => {
            let value = "counted as none: there are only 10 to 60 mg/kg";
            facts.push(sourced(
                "Nitrogen for the yeast",
                value,
                "from memory: verify",
            ));
        }
        None if matches!(entry.kind, Kind::Fruit | Kind::Juice) => {
            let value = "not known, and counted as none until it is measured";
            facts.push(fact("Nitrogen for the yeast", value));
        }
        None => {}
    }
    Section {
        heading: "Acid, and food for the yeast",
        facts,
        source: String::new(),
    }
}

fn in_a_recipe(entry: &Entry, sources: &Sources, units: Units) -> Section {
    let when = match entry.when {
        Stage::Must => "in the must, before the yeast",
        Stage::Primary => "while it ferments",
        Stage::Secondary => "after the first fermentation",
        Stage::Sweeten => "to sweeten, after stabilising",
        Stage::Ageing => "while it ages",
    };
    let mut facts = vec![sourced("Usually goes in", when, PRACTICE)];
    if let Some(range) = entry.usual_g_per_l {
        let value = format!(
            "{}; begin with the low end, for what is in is in",
            amount(range, units)
        );
        let own = sources.own(&["usual amount", "dose"]);
        let source = match own.as_str() {
            "" => sources.main(),
            own => own.to_owned(),
        };
        facts.push(sourced("Usual amount", value, source));
    }
    if let Some(range) = entry.days {
        let value = format!("{}, tasted every few days", stay(range));
        facts.push(sourced("Stays in", value, sources.own(&["days"])));
    }
    Section {
        heading: "In a recipe",
        facts,
        source: String::new(),
    }
}

/// "3 to 14 days"; from four weeks on, weeks.
fn stay(days: [f64; 2]) -> String {
    match days[0] >= 28.0 {
        true => plain_span(days.map(|days| days / 7.0), 0, "weeks"),
        false => plain_span(days, 0, "days"),
    }
}

/// What a form of fruit gives, for the table.
pub struct FormLine {
    pub words: String,
    pub gives: String,
    pub after: String,
    /// Its mark, where it is less sure than the trade's practice.
    pub mark: &'static str,
    /// Whether the entry usually comes in this form.
    pub usual: bool,
}

/// How a fruit's sugar comes out, form by form; nothing for what is no fruit.
pub fn forms_of(item: Item<'_>) -> Vec<FormLine> {
    let Item::Ingredient(entry) = item else {
        return Vec::new();
    };
    if entry.kind != Kind::Fruit {
        return Vec::new();
    }
    let lines = catalogue().sugar_out().iter().map(|out| FormLine {
        words: out.words.clone(),
        gives: plain_span(out.percent, 0, "%"),
        after: match out.days[1] > 0.0 {
            true => plain_span(out.days, 0, "days"),
            false => "at once".to_owned(),
        },
        mark: match out.certainty {
            Certainty::FromMemory => Certainty::FromMemory.words(),
            Certainty::Published | Certainty::CommonPractice => "",
        },
        usual: entry.form == Some(out.form),
    });
    lines.collect()
}
