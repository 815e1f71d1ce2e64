//! Forms of the members' pages: from typed text to what is meant, with the faults beside the fields.

use super::names::Name;
use super::strength;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::shell::Theme;
use crate::web::units::Units;
use crate::web::viewer::Settings;

/// The systems of units in words, as forms offer them.
pub const UNITS: &[(&str, &str)] = &[
    ("metric", "Metric: kilograms, litres, °C"),
    ("us", "US: pounds, US gallons of 3.8 L, °F"),
    (
        "imperial",
        "Imperial: pounds, imperial gallons of 4.5 L, °C",
    ),
];

/// The set-up of the first keeper: a name and a password.
#[derive(Clone, Debug)]
pub struct SetUp {
    /// The keeper's name.
    pub name: Name,
    /// The keeper's password.
    pub password: String,
}

/// Reads the set-up form.
pub fn set_up(posted: &Posted, club: &str) -> Result<Result<SetUp, FormState>, Error> {
    let mut state = FormState::of(posted);
    let typed = posted.one("name")?;
    let name = Name::read(typed);
    if let Err(why) = &name {
        state.refuse("name", why.message());
    }
    let password = new_password(posted, &[club, typed], &mut state)?;
    Ok(match (name, password) {
        (Ok(name), Some(password)) if state.is_sound() => Ok(SetUp { name, password }),
        _ => Err(state),
    })
}

/// Reads a new password that is typed twice; faults go beside the two fields.
pub fn new_password(
    posted: &Posted,
    context: &[&str],
    state: &mut FormState,
) -> Result<Option<String>, Error> {
    let (password, again) = (
        posted.one("new_password")?,
        posted.one("new_password_again")?,
    );
    if let Some(why) = strength::refusal(password, context) {
        state.refuse("new_password", why);
        return Ok(None);
    }
    if password != again {
        state.refuse(
            "new_password_again",
            "Type the same password here as above.",
        );
        return Ok(None);
    }
    Ok(Some(password.to_owned()))
}

/// The settings of a member, as the form shows them.
pub fn of_settings(settings: &Settings) -> FormState {
    let mut state = FormState::new();
    state.set("units", settings.units.word());
    state.set("theme", settings.theme.as_str());
    state.set("zone", settings.zone.name());
    state.set("sachet", format!("{} g", settings.sachet_g));
    state.set("powder_step", format!("{} g", settings.powder_step_g));
    state.set("honey_step", format!("{} g", settings.honey_step_g));
    state
}

/// Reads the settings form.
pub fn settings(posted: &Posted) -> Result<Result<Settings, FormState>, Error> {
    let mut state = FormState::of(posted);
    let units = posted.one("units")?.parse::<Units>().ok();
    if units.is_none() {
        state.refuse("units", "Choose one of the units offered.");
    }
    let word = posted.one("theme")?;
    let theme = Theme::from_word(word);
    if theme.as_str() != word {
        state.refuse("theme", "Choose one of the themes offered.");
    }
    let zone = posted.one("zone")?.parse::<chrono_tz::Tz>().ok();
    if zone.is_none() {
        state.refuse("zone", "Choose a time zone from the list.");
    }
    let sachet_g = grams(posted.one("sachet")?, 0.5, 500.0);
    if sachet_g.is_none() {
        state.refuse(
            "sachet",
            "Enter what one sachet weighs in grams, from 0.5 to 500.",
        );
    }
    let mut step = |field: &str, most: f64| {
        let typed = posted.one(field)?;
        let step = grams(typed, 0.01, most);
        if step.is_none() {
            let why =
                format!("Enter what your scale shows in steps of, in grams, from 0.01 to {most}.");
            state.refuse(field, why);
        }
        Ok::<_, Error>(step)
    };
    let powder_step = step("powder_step", 100.0)?;
    let honey_step = step("honey_step", 1000.0)?;
    Ok(match (units, zone, sachet_g, powder_step, honey_step) {
        (Some(units), Some(zone), Some(sachet_g), Some(powder_step_g), Some(honey_step_g))
            if state.is_sound() =>
        {
            Ok(Settings {
                units,
                theme,
                zone,
                sachet_g,
                powder_step_g,
                honey_step_g,
            })
        }
        _ => Err(state),
    })
}

/// Grams within a range, with a decimal point or comma; the unit may stand behind.
fn grams(typed: &str, least: f64, most: f64) -> Option<f64> {
    let bare = typed.trim().trim_end_matches(['g', 'G']).trim_end();
    let digits = bare
        .bytes()
        .all(|byte| byte.is_ascii_digit() || byte == b'.' || byte == b',');
    let value = bare
        .replace(',', ".")
        .parse::<f64>()
        .ok()
        .filter(|_| digits)?;
    let rounded = (value * 100.0).round() / 100.0;
    (least..=most).contains(&rounded).then_some(rounded)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sachet_is_weighed_in_any_writing() {
        for (typed, wanted) in [
            ("5", 5.0),
            (" 11,5 g ", 11.5),
            ("0.5g", 0.5),
            ("500", 500.0),
        ] {
            assert_eq!(grams(typed, 0.5, 500.0), Some(wanted), "{typed}");
        }
        for typed in [
            "", "0,4", "501", "-5", "NaN", "inf", "1e2", "1,5,5", "0x10", "5 oz",
        ] {
            assert_eq!(grams(typed, 0.5, 500.0), None, "{typed}");
        }
    }
}
