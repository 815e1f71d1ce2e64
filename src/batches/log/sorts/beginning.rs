//! The must as it was really made, and the yeast.

use super::typing::{
    NAME_MAX, by_hydrometer, fill_grams, fill_gravity, fill_temperature, fill_volume, grams,
    instrument, some, temperature, usual_instrument, volume,
};
use super::{Case, Field, Is, Sort, field, hinted, no_care};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Mixed, Pitch};
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;
use crate::web::units;

/// The mixing.
pub const MIXED: Sort = Sort {
    word: "mixed",
    heading: "Mixed the must",
    link: "Mixed",
    fields: mixed_fields,
    begins: mixed_begins,
    reads: read_mixed,
    fills: fill_mixed,
    care: no_care,
};

/// The yeast.
pub const PITCH: Sort = Sort {
    word: "pitch",
    heading: "Pitched the yeast",
    link: "Pitched the yeast",
    fields: pitch_fields,
    begins: pitch_begins,
    reads: read_pitch,
    fills: fill_pitch,
    care: no_care,
};

fn mixed_fields(case: &Case<'_>) -> Vec<Field> {
    let plan = case.opened.start.plan.as_ref();
    let planned = plan.map(|plan| {
        format!(
            "As the hydrometer shows it; {} is planned.",
            units::gravity(plan.must_sg)
        )
    });
    vec![
        hinted(
            "volume",
            "How much must there is",
            Is::Number,
            "Without fruit that goes in later.",
        ),
        hinted(
            "gravity",
            "Gravity",
            Is::Number,
            planned.unwrap_or_default(),
        ),
        hinted(
            "temperature",
            "Temperature of the must",
            Is::Number,
            "The gravity is corrected by it.",
        ),
        instrument(case),
    ]
}

fn mixed_begins(case: &Case<'_>, form: &mut FormState) {
    let plan = case.opened.start.plan.as_ref();
    if let Some(litres) = plan.map(|plan| plan.must_volume_l) {
        // What a jug shows, not what was reckoned.
        form.set("volume", units::volume(litres, case.to.units));
    }
    usual_instrument(case, form);
}

fn read_mixed(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    let temperature_c = temperature(typed, case, "temperature", "temperature_c")?;
    let data = Mixed {
        volume_l: volume(typed, case, "volume", "volume_l")?,
        sg: by_hydrometer(typed, case, temperature_c)?.sg,
        temperature_c,
    };
    Ok(Some(Deed::Mixed(data)))
}

fn fill_mixed(deed: &Deed, case: &Case<'_>, form: &mut FormState) {
    let Deed::Mixed(data) = deed else {
        return;
    };
    fill_volume(case, form, "volume", data.volume_l);
    // The gravity is corrected already: with its temperature it would be corrected once more.
    fill_gravity(form, "gravity", data.sg);
    if data.sg.is_none() {
        fill_temperature(case, form, "temperature", data.temperature_c);
    }
}

/// The yeasts of the recipe, then those of the catalogue: key, name, and where it stops.
fn yeasts(case: &Case<'_>) -> Vec<(String, String, f64)> {
    let own = case.opened.recipe.yeasts.iter().enumerate();
    let own = own.map(|(index, yeast)| {
        let key = format!("recipe-{index}");
        (key, yeast.name.clone(), yeast.tolerance_abv_percent)
    });
    let others = case.catalogue.yeasts().map(|yeast| {
        (
            yeast.key.clone(),
            yeast.name.clone(),
            yeast.tolerance_abv_percent(),
        )
    });
    own.chain(others).collect()
}

fn pitch_fields(case: &Case<'_>) -> Vec<Field> {
    let choices = yeasts(case).into_iter();
    let choices = choices.map(|(key, name, _)| (key, name));
    let other = (String::new(), "another one, named below".to_owned());
    vec![
        field(
            "yeast",
            "Yeast",
            Is::Choice(choices.chain([other]).collect()),
        ),
        hinted(
            "name",
            "Its name, if it is another",
            Is::Line,
            "Where it stops is then not known.",
        ),
        hinted("grams", "How much", Is::Number, "Dry yeast, such as 5 g."),
        field("rehydrated", "It was woken in water first", Is::Tick),
    ]
}

fn pitch_begins(case: &Case<'_>, form: &mut FormState) {
    if let Some((key, _, _)) = yeasts(case).first() {
        form.set("yeast", key.clone());
    }
    let planned = case.opened.planned.pitching.as_ref();
    if let Some(planned) = planned {
        fill_grams(form, "grams", Some((10.0 * planned.yeast_g).round() / 10.0));
        if planned.rehydration.wanted {
            form.set("rehydrated", "yes");
        }
    }
}

fn read_pitch(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    let key = typed.text("yeast")?;
    let chosen = yeasts(case).into_iter().find(|(own, _, _)| own == key);
    if chosen.is_none() && !key.is_empty() {
        typed.form.refuse("yeast", "Choose one of the list.");
    }
    let named = some(typed.line("name", NAME_MAX)?);
    let rehydrated = typed.text("rehydrated")? == "yes";
    let (name, tolerance) = match chosen {
        Some((_, name, tolerance)) => (Some(name), Some(tolerance)),
        None => (named, None),
    };
    Ok(Some(Deed::Pitch(Pitch {
        name,
        yeast_g: grams(typed, "grams", "yeast_g")?,
        tolerance_abv_percent: tolerance,
        rehydrated: Some(rehydrated),
    })))
}

fn fill_pitch(deed: &Deed, case: &Case<'_>, form: &mut FormState) {
    let Deed::Pitch(data) = deed else {
        return;
    };
    let name = data.name.clone().unwrap_or_default();
    match yeasts(case).into_iter().find(|(_, own, _)| *own == name) {
        Some((key, _, _)) => form.set("yeast", key),
        None => form.set("name", name),
    }
    fill_grams(form, "grams", data.yeast_g);
    if data.rehydrated == Some(true) {
        form.set("rehydrated", "yes");
    }
}
