//! The forms of the honey shelf: from text to what is kept, and back.

use super::model::{DEED_NOTE_MAX, Jar, LINE_MAX, MOST_KG, NOTE_MAX, Said, WORDS_MAX};
use crate::catalogue::Kind;
use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::colour::Class;
use crate::engine::honey::water_percent_of_refraction;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::money::Currency;
use crate::web::typed::Typed;
use crate::web::units::{self, Units};

/// The fields of a jar, with their labels: what two texts of it are compared by.
pub const FIELDS: &[(&str, &str)] = &[
    ("varietal", "Kind of honey"),
    ("name", "What the label says"),
    ("whose", "Whose it is"),
    ("bee_keeper", "Bee-keeper"),
    ("year", "Harvest"),
    ("place", "Where the bees flew"),
    ("water", "Measured water"),
    ("colour", "Colour"),
    ("smell", "Smell"),
    ("taste", "Taste"),
    ("price", "Price"),
    ("note", "Note"),
];

/// Whose a jar is and who may take from it: the words in the form, and what they mean.
pub const WHOSE: &[(&str, &str)] = &[
    ("shared", "mine, and members may take from it"),
    ("mine", "mine, and only I take from it"),
    ("club", "the club’s"),
];

/// Reads what is said of a jar; a new one also says how much is in it.
///
/// # Errors
/// When a field came twice.
pub fn jar(
    posted: &Posted,
    catalogue: &ClubCatalogue,
    currency: Currency,
) -> Result<(Said, FormState), Error> {
    let mut typed = Typed::of(posted);
    let varietal = typed.line("varietal", 100)?;
    let kind = catalogue
        .find(&varietal)
        .filter(|entry| entry.kind == Kind::Honey && catalogue.jar(&varietal).is_none());
    if !varietal.is_empty() && kind.is_none() {
        typed.form.refuse("varietal", "Choose one of the list.");
    }
    let name = typed.wanted(
        "name",
        LINE_MAX,
        "Write what the label says, such as Moor heather, Tarn Hill.",
    )?;
    let whose = typed.text("whose")?;
    if !WHOSE.iter().any(|(word, _)| *word == whose) {
        typed.form.refuse("whose", "Choose whose it is.");
    }
    let (of_club, shared) = (whose == "club", whose != "mine");
    let bee_keeper = typed.line("bee_keeper", LINE_MAX)?;
    let harvest_year = typed.read("year", |text| {
        units::parse_whole(text, 1950, 2200).map_err(|_| "Write the year, such as 2026.")
    })?;
    let place = typed.line("place", LINE_MAX)?;
    let water = typed.read("water", water)?;
    let colour = typed.line("colour", 40)?;
    if !colour.is_empty() && !Class::ALL.iter().any(|class| class.words() == colour) {
        typed.form.refuse("colour", "Choose one of the list.");
    }
    let smell = typed.lines("smell", WORDS_MAX)?;
    let taste = typed.lines("taste", WORDS_MAX)?;
    let price_per_kg = typed.read("price", |text| currency.read(text))?;
    let note = typed.lines("note", NOTE_MAX)?;
    let said = Said {
        name,
        varietal: kind.map(|entry| entry.key.clone()),
        of_club,
        shared,
        bee_keeper,
        harvest_year,
        place,
        water,
        colour: (!colour.is_empty()).then_some(colour),
        smell,
        taste,
        note,
        price_per_kg,
    };
    Ok((said, typed.form))
}

/// Reads the water of honey as a fraction: "17.2 %", or the refractive index at 20 °C that a laboratory tells.
///
/// # Errors
/// What to write instead.
pub fn water(text: &str) -> Result<f64, String> {
    let index = units::parse_number(text).ok();
    let percent = match index.filter(|index| (1.3..1.6).contains(index)) {
        Some(index) => water_percent_of_refraction(index)
            .ok_or("Write an index from 1.474 to 1.504, or the water in percent.")?,
        None => units::parse_percent(text, 10.0, 30.0).map_err(|fault| fault.to_string())?,
    };
    match (10.0..=30.0).contains(&percent) {
        true => Ok(percent / 100.0),
        false => Err("Write water from 10 % to 30 %.".to_owned()),
    }
}

/// The form that holds a jar.
pub fn filled(jar: &Jar, currency: Currency) -> FormState {
    let said = &jar.said;
    let mut form = FormState::new();
    form.set("varietal", said.varietal.clone().unwrap_or_default());
    form.set("name", said.name.clone());
    form.set(
        "whose",
        match (said.of_club, said.shared) {
            (true, _) => "club",
            (false, true) => "shared",
            (false, false) => "mine",
        },
    );
    form.set("bee_keeper", said.bee_keeper.clone());
    form.set(
        "year",
        said.harvest_year
            .map_or(String::new(), |year| year.to_string()),
    );
    form.set("place", said.place.clone());
    form.set("water", said.water.map_or(String::new(), water_text));
    form.set("colour", said.colour.clone().unwrap_or_default());
    form.set("smell", said.smell.clone());
    form.set("taste", said.taste.clone());
    let price = said.price_per_kg.map(|price| currency.plain(price));
    form.set("price", price.unwrap_or_default());
    form.set("note", said.note.clone());
    form
}

/// Water as it is read: "17.2 %".
pub fn water_text(water: f64) -> String {
    format!("{} %", units::plain(water * 100.0, 2))
}

/// Reads how much is in a jar or taken from it.
///
/// # Errors
/// When a field came twice.
pub fn kilograms(
    typed: &mut Typed<'_>,
    name: &str,
    units: Units,
    why: &str,
) -> Result<Option<f64>, Error> {
    let kg = typed.read(name, |text| units::parse_mass(text, units))?;
    match kg {
        Some(kg) if kg <= 0.0 || kg > MOST_KG => typed.form.refuse(name, why),
        None if typed.text(name)?.is_empty() => typed.form.refuse(name, why),
        _ => {}
    }
    Ok(kg)
}

/// Reads how much is taken, and for what.
///
/// # Errors
/// When a field came twice.
pub fn taking(
    posted: &Posted,
    jar: &Jar,
    units: Units,
) -> Result<Result<(f64, String), FormState>, Error> {
    let mut typed = Typed::of(posted);
    let note = typed.line("for", DEED_NOTE_MAX)?;
    let kg = match typed.text("all")? {
        "yes" => Some(jar.left_kg).filter(|kg| *kg > 0.0),
        _ => kilograms(
            &mut typed,
            "kg",
            units,
            "Write how much you take, such as 1.5 kg.",
        )?,
    };
    Ok(match kg {
        Some(kg) if typed.form.is_sound() => Ok((kg, note)),
        Some(_) => Err(typed.form),
        None => {
            if typed.form.is_sound() {
                typed.form.refuse("kg", "There is nothing left in it.");
            }
            Err(typed.form)
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn water_is_read_in_percent_or_from_the_index() {
        assert!((water("17.2 %").unwrap() - 0.172).abs() < 1e-12);
        assert!((water("17,2").unwrap() - 0.172).abs() < 1e-12);
        // 1.4940 is 17.0 % in the usual table of honey (Codex, ISO 16002 draft: from memory).
        assert!(
            (water("1.4940").unwrap() - 0.170).abs() < 0.002,
            "{:?}",
            water("1.4940")
        );
        for text in ["", "9", "31 %", "1.35", "much", "-17"] {
            assert!(water(text).is_err(), "{text}");
        }
    }
}
