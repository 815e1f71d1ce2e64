//! Single calculations: JSON in, JSON out, by name. Each is one file; strict reading names every fault.

mod acid;
mod alcohol;
mod blend;
mod boil;
mod bottle_strength;
mod feeding;
mod gravity;
mod hydrometer;
mod input;
mod keg;
mod prime;
mod sorbate;
mod step_feeding;
mod sulfite;
mod sweeten;
mod triangle;
mod water;

use self::input::Input;
use super::json::{Json, Reader};
use super::problem::{Argument, Caution, Problem};

/// What a calculation answers: its output, or everything that keeps it from one.
pub type Answer = Result<Json, Vec<Problem>>;

/// One input of a calculation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Key {
    /// Its name, the unit in it.
    pub name: &'static str,
    /// What is taken where it is absent; `None` where it must be there, or is one of several.
    pub default: Option<f64>,
    /// The same for a word.
    pub default_word: Option<&'static str>,
    /// Whether it must be there.
    pub required: bool,
}

impl Key {
    const fn required(name: &'static str) -> Self {
        Key {
            name,
            default: None,
            default_word: None,
            required: true,
        }
    }

    const fn or(name: &'static str, default: f64) -> Self {
        Key {
            name,
            default: Some(default),
            default_word: None,
            required: false,
        }
    }

    const fn or_word(name: &'static str, default: &'static str) -> Self {
        Key {
            name,
            default: None,
            default_word: Some(default),
            required: false,
        }
    }

    const fn optional(name: &'static str) -> Self {
        Key {
            name,
            default: None,
            default_word: None,
            required: false,
        }
    }
}

/// One calculation: its name, its keys, and how it is made.
#[derive(Clone, Copy, Debug)]
pub struct Calculation {
    /// The name it is asked for by.
    pub name: &'static str,
    /// What it takes.
    pub inputs: &'static [Key],
    /// What it answers, in this order.
    pub outputs: &'static [&'static str],
    make: fn(&mut Input<'_>) -> Option<Output>,
}

/// The values of an answer, in the order of the calculation's `outputs`, without its cautions.
type Output = Vec<Json>;

/// The output that holds what to beware of, last where a calculation has it.
const CAUTIONS: &str = "cautions";

/// Every calculation.
pub const LIST: &[Calculation] = &[
    water::CALCULATION,
    gravity::CALCULATION,
    hydrometer::CALCULATION,
    alcohol::CALCULATION,
    sweeten::CALCULATION,
    feeding::CALCULATION,
    step_feeding::CALCULATION,
    blend::CALCULATION,
    boil::CALCULATION,
    sulfite::CALCULATION,
    sorbate::CALCULATION,
    acid::CALCULATION,
    prime::CALCULATION,
    bottle_strength::CALCULATION,
    keg::CALCULATION,
    triangle::CALCULATION,
];

/// The calculation of that name.
pub fn find(name: &str) -> Option<&'static Calculation> {
    LIST.iter().find(|calculation| calculation.name == name)
}

/// Makes the calculation of that name; `None` when there is none.
///
/// The input is an object with the calculation's keys. Unknown, doubled, missing and wrong values are problems, each with
/// its place. No NaN or infinity is ever answered: what cannot be said is null.
pub fn calculate(name: &str, input: &Json) -> Option<Answer> {
    let calculation = find(name)?;
    let known: Vec<&str> = calculation.inputs.iter().map(|key| key.name).collect();
    let mut reader = Reader::default();
    let members = reader.object(input, "", &known);
    let output = members.and_then(|members| {
        let mut input = Input::new(&mut reader, members, calculation.inputs);
        let mut values = (calculation.make)(&mut input)?;
        if calculation.outputs.last() == Some(&CAUTIONS) {
            values.push(cautions(input.cautions));
        }
        Some(object(calculation.outputs, values))
    });
    Some(match output {
        Some(output) if reader.problems.is_empty() => Ok(output),
        _ => Err(reader.problems),
    })
}

fn object(keys: &[&'static str], values: Output) -> Json {
    let members = keys.iter().zip(values);
    Json::Object(
        members
            .map(|(key, value)| ((*key).to_owned(), value))
            .collect(),
    )
}

/// Cautions as they stand in a formulation, the weightiest first.
fn cautions(mut list: Vec<Caution>) -> Json {
    list.sort_by_key(|caution| std::cmp::Reverse(caution.severity));
    let argument = |argument: &Argument| match argument {
        Argument::Number(number) => Json::from(*number),
        Argument::Text(text) => Json::Text(text.clone()),
    };
    let one = |caution: &Caution| {
        let arguments = caution.arguments.iter();
        let arguments = arguments.map(|(name, value)| (name.to_owned(), argument(value)));
        object(
            &["code", "severity", "arguments"],
            vec![
                Json::Text(caution.code.as_str().to_owned()),
                Json::Text(caution.severity.as_str().to_owned()),
                Json::Object(arguments.collect()),
            ],
        )
    };
    Json::List(list.iter().map(one).collect())
}
