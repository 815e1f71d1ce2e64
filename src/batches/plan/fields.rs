//! What a step asks when it is done, with what the plan has for it.

use crate::engine::plan::{Amount, Step, StepKind as Kind};
use crate::web::units::{self, KG_PER_POUND, Units};

/// A field of the form in which a step is done.
pub struct Field {
    pub name: String,
    pub label: String,
    /// What stands in it first.
    pub begins: String,
    pub hint: &'static str,
    pub is: Is,
}

/// How a field is filled in.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Is {
    /// In a line.
    Line,
    /// In several lines.
    Lines,
    /// By a tick.
    Tick,
}

impl Field {
    pub fn is_lines(&self) -> bool {
        self.is == Is::Lines
    }

    pub fn is_tick(&self) -> bool {
        self.is == Is::Tick
    }
}

const TASTED: &str = "taste";
pub const DEGASSED: &str = "degassed";
const SHOWN: &str =
    "As the hydrometer shows it: 1058 will do. Stir the gas out of the sample first.";

fn field(name: &str, label: &str, hint: &'static str) -> Field {
    Field {
        name: name.to_owned(),
        label: label.to_owned(),
        begins: String::new(),
        hint,
        is: match name {
            TASTED => Is::Lines,
            DEGASSED => Is::Tick,
            _ => Is::Line,
        },
    }
}

/// The name of the field for the amount at a place of the step's list.
pub fn of_amount(index: usize) -> String {
    format!("much-{index}")
}

/// A mass as it is weighed: to the gram, below 100 g to a tenth.
fn weighed(kg: f64, reads: Units) -> String {
    let rounded = match reads {
        _ if kg < 0.1 => (kg * 1e4).round() / 1e4,
        Units::Metric => (kg * 1e3).round() / 1e3,
        Units::Us | Units::Imperial => (kg / KG_PER_POUND * 100.0).round() / 100.0 * KG_PER_POUND,
    };
    units::mass_text(rounded, reads)
}

/// What goes in and is written down as it was weighed: the field's label and kilograms.
pub fn weighs(step: &Step, amount: &Amount) -> Option<(String, f64)> {
    match (step.kind, amount) {
        (
            _,
            Amount::Feed {
                nutrient, grams, ..
            },
        ) => Some((nutrient.clone(), grams / 1000.0)),
        (Kind::Pitch, Amount::Yeast { grams, .. }) => {
            Some(("Dry yeast".to_owned(), grams / 1000.0))
        }
        (Kind::HoneyFeed, Amount::Honey { kg }) => Some(("Honey".to_owned(), *kg)),
        (_, Amount::Metabisulfite { grams, .. }) => {
            Some(("Potassium metabisulfite".to_owned(), grams / 1000.0))
        }
        (_, Amount::Sorbate { grams }) => Some(("Potassium sorbate".to_owned(), grams / 1000.0)),
        (
            Kind::AddSecondary | Kind::AddAgeing | Kind::Sweeten | Kind::Fine | Kind::Stabilise,
            Amount::Ingredient {
                name, kg: Some(kg), ..
            },
        ) => Some((name.clone(), *kg)),
        _ => None,
    }
}

/// What is reckoned by a calculation, so that nothing stands in its field first.
pub fn reckoned(step: &Step, amount: &Amount) -> Option<&'static str> {
    match (step.kind, amount) {
        (Kind::Stabilise, Amount::Reckon { calculation, .. }) => match *calculation {
            "sulfite" => Some("Potassium metabisulfite"),
            "sorbate" => Some("Potassium sorbate"),
            _ => None,
        },
        (Kind::FreeSo2, Amount::Reckon { .. }) => Some("Potassium metabisulfite that you added"),
        _ => None,
    }
}

/// All fields of a step but day and time.
pub fn of(step: &Step, reads: Units) -> Vec<Field> {
    let gravity = || field("gravity", "Gravity", SHOWN);
    let warm = || {
        field(
            "temperature",
            "Temperature of the sample",
            "The gravity is corrected by it.",
        )
    };
    let ph = || field("ph", "pH", "");
    let mut fields = match step.kind {
        Kind::Mix => vec![
            gravity(),
            warm(),
            field("volume", "How much must there is", ""),
        ],
        Kind::Break | Kind::Stop | Kind::FruitOut | Kind::HoneyFeed => vec![gravity(), warm()],
        Kind::End => vec![
            gravity(),
            warm(),
            field(
                "must_temperature",
                "Temperature of the mead itself",
                "Below 18 °C a reading says nothing of the end: yeast sleeps.",
            ),
            field(
                DEGASSED,
                "The gas was stirred out of the sample",
                "Gas lifts the hydrometer: only without it does the reading count for the end.",
            ),
        ],
        Kind::Ph => vec![ph()],
        Kind::FreeSo2 => vec![field("free", "Free sulfite, in mg/L", ""), ph()],
        Kind::Rack => vec![field(
            "volume",
            "How much is left",
            "Empty: what usually stays behind is taken off.",
        )],
        Kind::Taste => vec![
            field(TASTED, "What it tastes like", ""),
            field(
                "liking",
                "How much you like it, 1 to 9",
                "1 is not to be drunk, 5 neither good nor bad, 9 as good as it can be.",
            ),
        ],
        _ => Vec::new(),
    };
    for (index, amount) in step.amounts.iter().enumerate() {
        let name = of_amount(index);
        if let Some((label, kg)) = weighs(step, amount) {
            fields.push(Field {
                begins: weighed(kg, reads),
                ..field(&name, &label, "")
            });
        } else if let Some(label) = reckoned(step, amount) {
            fields.push(field(&name, label, "As you weighed it."));
        }
    }
    fields
}

/// Whether it cannot be done without anything being written.
pub fn asks(step: &Step) -> bool {
    let weighs = |amount: &Amount| reckoned(step, amount).is_some();
    let asking = matches!(
        step.kind,
        Kind::Mix
            | Kind::Break
            | Kind::End
            | Kind::Stop
            | Kind::FruitOut
            | Kind::HoneyFeed
            | Kind::Ph
            | Kind::FreeSo2
            | Kind::Rack
            | Kind::Taste
            | Kind::Stabilise
            | Kind::Sweeten
    );
    asking || step.amounts.iter().any(weighs)
}
