//! One case of a calculation: what was asked, and what the engine answers; and the same with one thing changed, for pictures.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::engine::calculations::{self, Calculation};
use crate::engine::json::Json;
use crate::engine::problem::{Caution, Problem};
use crate::web::units::Units;

/// What was asked and answered.
#[derive(Clone, Debug)]
pub struct Case {
    pub units: Units,
    calculation: &'static Calculation,
    input: Json,
    output: Json,
    called: Arc<Names>,
}

/// What the reader chose, as it is called, by the keys of the fields.
pub type Names = BTreeMap<&'static str, String>;

/// The member of an object or list at the end of a path without its first `/`.
pub fn at<'a>(json: &'a Json, path: &str) -> Option<&'a Json> {
    let found = path.split('/').try_fold(json, |json, part| match json {
        Json::Object(members) => members.iter().find(|(key, _)| key == part).map(|(_, v)| v),
        Json::List(items) => items.get(part.parse::<usize>().ok()?),
        _ => None,
    });
    found.filter(|json| **json != Json::Null)
}

/// Puts a value at the end of a path, making what leads there; the places of a list come in order.
pub fn put(json: &mut Json, path: &str, value: Json) {
    let (part, rest) = path.split_once('/').unwrap_or((path, ""));
    let slot = match part.parse::<usize>() {
        Ok(place) => {
            if !matches!(json, Json::List(_)) {
                *json = Json::List(Vec::new());
            }
            let Json::List(items) = json else { return };
            while items.len() <= place {
                items.push(Json::Object(Vec::new()));
            }
            items.get_mut(place)
        }
        Err(_) => {
            if !matches!(json, Json::Object(_)) {
                *json = Json::Object(Vec::new());
            }
            let Json::Object(members) = json else { return };
            if !members.iter().any(|(key, _)| key == part) {
                members.push((part.to_owned(), Json::Null));
            }
            let found = members.iter_mut().find(|(key, _)| key == part);
            found.map(|(_, value)| value)
        }
    };
    match slot {
        Some(slot) if rest.is_empty() => *slot = value,
        Some(slot) => put(slot, rest, value),
        None => {}
    }
}

impl Case {
    /// Asks the engine.
    ///
    /// # Errors
    /// The problems that keep it from an answer.
    pub fn ask(
        calculation: &'static Calculation,
        input: Json,
        units: Units,
        called: Arc<Names>,
    ) -> Result<Case, Vec<Problem>> {
        let answer = calculations::calculate(calculation.name, &input);
        let output = answer.unwrap_or(Ok(Json::Null))?;
        Ok(Case {
            units,
            calculation,
            input,
            output,
            called,
        })
    }

    /// A number of the answer.
    pub fn number(&self, path: &str) -> Option<f64> {
        match at(&self.output, path) {
            Some(Json::Number(number)) => Some(*number),
            _ => None,
        }
    }

    /// A number of the answer that is always there; what is not is no number and prints as a dash.
    pub fn out(&self, path: &str) -> f64 {
        self.number(path).unwrap_or(f64::NAN)
    }

    /// Whether the answer says yes.
    pub fn says(&self, key: &str) -> bool {
        at(&self.output, key) == Some(&Json::Bool(true))
    }

    /// How many things a list of the answer holds.
    pub fn count(&self, key: &str) -> usize {
        match at(&self.output, key) {
            Some(Json::List(items)) => items.len(),
            _ => 0,
        }
    }

    /// A number as the engine took it: as given, or the calculation's own.
    pub fn given(&self, path: &str) -> Option<f64> {
        match at(&self.input, path) {
            Some(Json::Number(number)) => Some(*number),
            _ => self.default_of(path),
        }
    }

    /// A number that was given or has a value of the calculation's own.
    pub fn had(&self, path: &str) -> f64 {
        self.given(path).unwrap_or(f64::NAN)
    }

    /// How many things a list of the input holds.
    pub fn parts(&self, key: &str) -> usize {
        match at(&self.input, key) {
            Some(Json::List(items)) => items.len(),
            _ => 0,
        }
    }

    /// What the calculation takes where nothing is given.
    pub fn default_of(&self, key: &str) -> Option<f64> {
        let known = self
            .calculation
            .inputs
            .iter()
            .find(|known| known.name == key);
        known.and_then(|known| known.default)
    }

    /// What the reader chose in a field, as it is called.
    pub fn called(&self, key: &str) -> String {
        self.called.get(key).cloned().unwrap_or_default()
    }

    /// The same with other numbers; `None` where the engine has no answer.
    pub fn with(&self, changes: &[(&str, f64)]) -> Option<Case> {
        let mut input = self.input.clone();
        for (path, number) in changes {
            put(&mut input, path, Json::from(*number));
        }
        Case::ask(
            self.calculation,
            input,
            self.units,
            Arc::clone(&self.called),
        )
        .ok()
    }

    /// The same with another word.
    pub fn choosing(&self, key: &str, word: &str) -> Option<Case> {
        let mut input = self.input.clone();
        put(&mut input, key, Json::Text(word.to_owned()));
        Case::ask(
            self.calculation,
            input,
            self.units,
            Arc::clone(&self.called),
        )
        .ok()
    }

    /// The same without one thing.
    pub fn without(&self, key: &str) -> Option<Case> {
        let mut input = self.input.clone();
        put(&mut input, key, Json::Null);
        Case::ask(
            self.calculation,
            input,
            self.units,
            Arc::clone(&self.called),
        )
        .ok()
    }

    /// The same calculation of these numbers alone.
    pub fn alone(&self, numbers: &[(&str, f64)]) -> Option<Case> {
        let mut input = Json::Object(Vec::new());
        for (path, number) in numbers {
            put(&mut input, path, Json::from(*number));
        }
        Case::ask(
            self.calculation,
            input,
            self.units,
            Arc::clone(&self.called),
        )
        .ok()
    }

    /// A line: `steps` steps from `low` to `high`; where there is no answer, the line has no point.
    pub fn line(
        &self,
        (low, high, steps): (f64, f64, u32),
        at: impl Fn(&Case, f64) -> Option<(f64, f64)>,
    ) -> Vec<(f64, f64)> {
        let places = (0..=steps).map(|n| low + (high - low) * f64::from(n) / f64::from(steps));
        places.filter_map(|place| at(self, place)).collect()
    }

    /// What the engine says to beware of, as JSON: code, severity and arguments.
    pub fn cautions(&self) -> Vec<serde_json::Value> {
        let found = serde_json::to_value(&self.output).unwrap_or_default();
        let list = found.get("cautions").and_then(|list| list.as_array());
        list.cloned().unwrap_or_default()
    }
}

/// A caution as the engine's answers have it.
pub fn caution_json(caution: &Caution) -> serde_json::Value {
    serde_json::to_value(caution).unwrap_or_default()
}
