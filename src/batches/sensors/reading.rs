//! From what a sensor sends to a reading: its own names, its own units, each fault with its place.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};

use super::model::{Fields, GravityAs, TemperatureAs};
use crate::engine::check::Range;
use crate::engine::density::sg_of_fraction;
use crate::engine::json::{Json, NotJson, pointer};
use crate::engine::log::entry::Reading;
use crate::engine::log::ranges::range_of;
use crate::engine::problem::{Arguments, Problem, ProblemCode};
use crate::web::form::Posted;

/// The largest body, bytes.
pub const MAX_BYTES: usize = 4096;
/// The most values in it.
const MOST: usize = 200;
/// How far a device's clock may be ahead.
const AHEAD: TimeDelta = TimeDelta::minutes(10);
/// How long before the mixing it may have begun to tell.
const BEFORE: TimeDelta = TimeDelta::days(1);
/// Numbers of at least this are milliseconds, lesser ones seconds since 1970.
const MILLISECONDS: f64 = 1e11;

/// What was sent: each value under its name, nested names with slashes between.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sent(BTreeMap<String, String>);

/// What a post says.
#[derive(Clone, Debug, PartialEq)]
pub struct Read {
    /// When it was measured, if the sensor tells.
    pub at: Option<DateTime<Utc>>,
    pub data: Reading,
}

/// Reads a body: JSON when it begins as an object, else a form.
///
/// # Errors
/// [`NotJson`] when it is neither, and where a name stands twice.
pub fn sent(body: &str) -> Result<Sent, NotJson> {
    let mut values = BTreeMap::new();
    let mut put = |name: String, value: String| -> Result<(), NotJson> {
        let told: String = name.chars().take(60).collect();
        let twice = values.insert(name, value).is_some();
        match (twice, values.len() > MOST) {
            (true, _) => Err(NotJson(format!("“{told}” stands there twice"))),
            (_, true) => Err(NotJson(format!("more than {MOST} values"))),
            _ => Ok(()),
        }
    };
    if body.trim_start().starts_with('{') {
        flatten(&Json::parse(body)?, "", &mut put)?;
    } else {
        let posted = Posted::read(body.trim().as_bytes(), MOST);
        let posted = posted.map_err(|_| NotJson("neither JSON nor a form".to_owned()))?;
        for (name, value) in posted.pairs() {
            put(name.clone(), value.clone())?;
        }
    }
    Ok(Sent(values))
}

type Put<'a> = dyn FnMut(String, String) -> Result<(), NotJson> + 'a;

fn flatten(json: &Json, name: &str, put: &mut Put<'_>) -> Result<(), NotJson> {
    let below = |key: &str| match name {
        "" => key.to_owned(),
        name => format!("{name}/{key}"),
    };
    match json {
        Json::Null | Json::Bool(_) => Ok(()),
        Json::Number(number) => put(name.to_owned(), number.to_string()),
        Json::Text(text) => put(name.to_owned(), text.clone()),
        Json::List(items) => {
            for (at, item) in items.iter().enumerate() {
                flatten(item, &below(&at.to_string()), put)?;
            }
            Ok(())
        }
        Json::Object(members) => {
            for (key, value) in members {
                flatten(value, &below(key), put)?;
            }
            Ok(())
        }
    }
}

/// What a sensor with these names means by what it sent.
///
/// # Errors
/// Every fault with its place.
pub fn read(
    fields: &Fields,
    Sent(values): &Sent,
    now: DateTime<Utc>,
    began_at: DateTime<Utc>,
) -> Result<Read, Vec<Problem>> {
    let mut problems = Vec::new();
    let told = |name: &str| values.get(name).filter(|_| !name.is_empty());
    let number = |name: &str, key: &str, turn: &dyn Fn(f64) -> f64, problems: &mut Vec<Problem>| {
        let text = told(name)?;
        let value = text
            .trim()
            .parse::<f64>()
            .ok()
            .filter(|value| value.is_finite());
        let Some(value) = value.map(turn) else {
            problems.push(wrong(name, "a number"));
            return None;
        };
        let within = |range: Range| range.holds(value);
        if range_of(key).is_some_and(within) {
            return Some(value);
        }
        problems.push(outside(name, value, range_of(key)));
        None
    };
    let sg = number(
        &fields.gravity,
        "sg",
        &|value| match fields.gravity_as {
            GravityAs::Sg => value,
            GravityAs::Points => 1.0 + value / 1000.0,
            GravityAs::Percent => sg_of_fraction(value / 100.0),
        },
        &mut problems,
    );
    let must_temperature_c = number(
        &fields.temperature,
        "must_temperature_c",
        &|value| match fields.temperature_as {
            TemperatureAs::Celsius => value,
            TemperatureAs::Fahrenheit => (value - 32.0) / 1.8,
        },
        &mut problems,
    );
    if problems.is_empty() && sg.is_none() && must_temperature_c.is_none() {
        let named = [&fields.gravity, &fields.temperature];
        let named = named.into_iter().find(|name| !name.is_empty());
        let key = named.map_or("gravity", String::as_str);
        let arguments = Arguments::none().with("key", key);
        problems.push(Problem::new(ProblemCode::Missing, place(key), arguments));
    }
    let at = told(&fields.time).and_then(|text| {
        let at = instant(text.trim());
        let fits = at.filter(|at| (began_at - BEFORE..=now + AHEAD).contains(at));
        match (at, fits) {
            (None, _) => problems.push(wrong(
                &fields.time,
                "a moment, such as 2026-11-28T18:00:00Z",
            )),
            (Some(_), None) => problems.push(wrong(
                &fields.time,
                "a moment since the mixing and not ahead",
            )),
            _ => {}
        }
        fits
    });
    match problems.is_empty() {
        true => Ok(Read {
            at,
            data: Reading {
                sg,
                must_temperature_c,
                ..Reading::default()
            },
        }),
        false => Err(problems),
    }
}

/// A JSON Pointer to a name.
fn place(name: &str) -> String {
    name.split('/')
        .fold(String::new(), |parent, part| pointer(&parent, part))
}

fn wrong(name: &str, expected: &str) -> Problem {
    let arguments = Arguments::none().with("expected", expected);
    Problem::new(ProblemCode::WrongKind, place(name), arguments)
}

fn outside(name: &str, given: f64, range: Option<Range>) -> Problem {
    let (low, high) = range.map_or((0.0, 0.0), |range| (range.low, range.high));
    let arguments = Arguments::none()
        .with("given", given)
        .with("low", low)
        .with("high", high);
    Problem::new(ProblemCode::OutOfRange, place(name), arguments)
}

/// A moment as devices write it: RFC 3339, or seconds or milliseconds since 1970.
fn instant(text: &str) -> Option<DateTime<Utc>> {
    if let Ok(number) = text.parse::<f64>() {
        let seconds = match number.abs() >= MILLISECONDS {
            true => number / 1000.0,
            false => number,
        };
        // Beyond this no calendar goes.
        let fits = seconds.abs() < 1e11;
        return DateTime::from_timestamp_micros((seconds * 1e6).round() as i64).filter(|_| fits);
    }
    let at = DateTime::parse_from_rfc3339(text).ok()?;
    Some(at.with_timezone(&Utc))
}

/// What a post is known by, so that the same again is the same entry: its own key, else its time with its values. `None` when
/// it has neither: then nobody can tell.
pub fn source_key(sensor: &str, given: Option<&str>, read: &Read) -> Option<String> {
    if let Some(key) = given {
        return Some(format!("{sensor}={key}"));
    }
    let micros = read.at?.timestamp_micros();
    let value = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
    let (sg, heat) = (value(read.data.sg), value(read.data.must_temperature_c));
    Some(format!("{sensor}@{micros}:{sg}:{heat}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn now() -> DateTime<Utc> {
        "2026-11-28T18:00:00Z".parse().unwrap()
    }

    fn fields(gravity_as: GravityAs, temperature_as: TemperatureAs) -> Fields {
        Fields {
            gravity: "float/density".to_owned(),
            gravity_as,
            temperature: "temp".to_owned(),
            temperature_as,
            time: "when".to_owned(),
        }
    }

    fn told(fields: &Fields, body: &str) -> Result<Read, Vec<Problem>> {
        read(
            fields,
            &sent(body).unwrap(),
            now(),
            now() - TimeDelta::days(10),
        )
    }

    #[test]
    fn each_unit_is_turned_into_ours() {
        for (gravity_as, value, sg) in [
            (GravityAs::Sg, "1.058", 1.058),
            (GravityAs::Points, "58", 1.058),
            // 10 % sucrose: 1.04003 by the house's own check table of sucrose solutions.
            (GravityAs::Percent, "10", sg_of_fraction(0.1)),
        ] {
            let fields = fields(gravity_as, TemperatureAs::Fahrenheit);
            let body =
                format!(r#"{{"float": {{"density": "{value}"}}, "temp": 68, "battery": 3.7}}"#);
            let read = told(&fields, &body).unwrap();
            assert!((read.data.sg.unwrap() - sg).abs() < 1e-9, "{value}");
            assert!((read.data.must_temperature_c.unwrap() - 20.0).abs() < 1e-9);
            assert_eq!(read.at, None);
        }
    }

    #[test]
    fn a_form_is_read_as_json_is() {
        let fields = fields(GravityAs::Sg, TemperatureAs::Celsius);
        let json = told(
            &fields,
            r#"{"float": {"density": 1.05}, "temp": 21, "when": 1795888800}"#,
        );
        let form = told(
            &fields,
            "float%2Fdensity=1.05&temp=21&when=2026-11-28T18%3A00%3A00Z",
        );
        let millis = told(
            &fields,
            r#"{"float": {"density": 1.05}, "temp": 21, "when": "1795888800000"}"#,
        );
        assert_eq!(json, form);
        assert_eq!(json, millis);
        assert_eq!(json.unwrap().at, Some(now()));
    }

    #[test]
    fn faults_are_told_with_their_places() {
        let fields = fields(GravityAs::Sg, TemperatureAs::Celsius);
        for (body, place, code) in [
            (
                r#"{"float": {"density": 58}}"#,
                "/float/density",
                ProblemCode::OutOfRange,
            ),
            (
                r#"{"float": {"density": "heavy"}}"#,
                "/float/density",
                ProblemCode::WrongKind,
            ),
            (
                r#"{"float": {"density": "NaN"}}"#,
                "/float/density",
                ProblemCode::WrongKind,
            ),
            (r#"{"other": 1}"#, "/float/density", ProblemCode::Missing),
            (
                r#"{"temp": 20, "when": "noon"}"#,
                "/when",
                ProblemCode::WrongKind,
            ),
            (
                r#"{"temp": 20, "when": 1e300}"#,
                "/when",
                ProblemCode::WrongKind,
            ),
            (
                r#"{"temp": 20, "when": "2026-11-28T19:00:00Z"}"#,
                "/when",
                ProblemCode::WrongKind,
            ),
            (
                r#"{"temp": 20, "when": "1970-01-01T00:00:00Z"}"#,
                "/when",
                ProblemCode::WrongKind,
            ),
        ] {
            let problems = told(&fields, body).unwrap_err();
            assert_eq!(
                (problems[0].path.as_str(), problems[0].code),
                (place, code),
                "{body}"
            );
        }
        for body in [
            r#"{"a": 1, "a": 2}"#,
            "{",
            "a=%ff",
            "a=1&a=2",
            r#"{"a/b": 1, "a": {"b": 2}}"#,
        ] {
            assert!(sent(body).is_err(), "{body}");
        }
    }

    #[test]
    fn the_same_again_has_the_same_key() {
        let fields = fields(GravityAs::Sg, TemperatureAs::Celsius);
        let read = |body: &str| told(&fields, body).unwrap();
        let one = read(r#"{"temp": 20, "when": "2026-11-28T18:00:00Z"}"#);
        let other = read(r#"{"temp": 20.5, "when": "2026-11-28T18:00:00Z"}"#);
        let timeless = read(r#"{"temp": 20}"#);
        assert_eq!(source_key("s", None, &one), source_key("s", None, &one));
        assert_ne!(source_key("s", None, &one), source_key("s", None, &other));
        assert_ne!(source_key("s", None, &one), source_key("t", None, &one));
        assert_eq!(source_key("s", None, &timeless), None);
        assert_eq!(
            source_key("s", Some("k"), &one),
            source_key("s", Some("k"), &other)
        );
    }
}
