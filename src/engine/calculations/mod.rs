//! Single calculations: JSON in, JSON out, by name. Each is one file; strict reading names every fault.

mod alcohol;
mod feeding;
mod gravity;
mod hydrometer;
mod input;
mod sweeten;

use self::input::Input;
use super::json::{Json, Reader};
use super::problem::Problem;

/// What a calculation answers: its output, or everything that keeps it from one.
pub type Answer = Result<Json, Vec<Problem>>;

/// One input of a calculation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Key {
    /// Its name, the unit in it.
    pub name: &'static str,
    /// What is taken where it is absent; `None` where it must be there, or is one of several.
    pub default: Option<f64>,
    /// Whether it must be there.
    pub required: bool,
}

impl Key {
    const fn required(name: &'static str) -> Self {
        Key {
            name,
            default: None,
            required: true,
        }
    }

    const fn or(name: &'static str, default: f64) -> Self {
        Key {
            name,
            default: Some(default),
            required: false,
        }
    }

    const fn optional(name: &'static str) -> Self {
        Key {
            name,
            default: None,
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

/// The numbers of an answer, in the order of the calculation's `outputs`; `None` is null.
type Output = Vec<Option<f64>>;

/// Every calculation.
pub const LIST: &[Calculation] = &[
    gravity::CALCULATION,
    hydrometer::CALCULATION,
    alcohol::CALCULATION,
    sweeten::CALCULATION,
    feeding::CALCULATION,
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
        (calculation.make)(&mut input)
    });
    Some(match output {
        Some(numbers) if reader.problems.is_empty() => Ok(object(calculation.outputs, numbers)),
        _ => Err(reader.problems),
    })
}

fn object(keys: &[&'static str], numbers: Output) -> Json {
    let number = |number: Option<f64>| match number {
        Some(number) if number.is_finite() => Json::Number(number),
        _ => Json::Null,
    };
    let members = keys.iter().zip(numbers);
    Json::Object(
        members
            .map(|(key, value)| ((*key).to_owned(), number(value)))
            .collect(),
    )
}
