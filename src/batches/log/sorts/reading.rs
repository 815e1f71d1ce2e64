//! What was measured. Gravity leads; the rest is folded where it stands on the page of the log.

use super::typing::{
    by_hydrometer, fill_gravity, fill_instrument, fill_number, fill_temperature, fill_volume,
    instrument, number, temperature, usual_instrument, volume,
};
use super::{Case, Field, Is, Sort, field, hinted, no_care};
use crate::engine::log::Deed;
use crate::engine::log::entry::Reading;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;

/// A reading.
pub const READING: Sort = Sort {
    word: "reading",
    heading: "A reading",
    link: "Measured",
    fields,
    begins: usual_instrument,
    reads,
    fills,
    care: no_care,
};

fn fields(case: &Case<'_>) -> Vec<Field> {
    vec![
        hinted(
            "gravity",
            "Gravity",
            Is::Number,
            "As the hydrometer shows it: 1058 will do.",
        ),
        hinted(
            "temperature",
            "Temperature of the sample",
            Is::Number,
            "The gravity is corrected by it.",
        ),
        instrument(case),
        field("must_temperature", "Temperature of the must", Is::Number),
        field("ph", "pH", Is::Number),
        field("volume", "How much there is", Is::Number),
        hinted(
            "brix",
            "Refractometer, °Bx",
            Is::Number,
            "Counts only before the yeast is at work: alcohol misleads it.",
        ),
        hinted(
            "ta",
            "Titratable acidity (TA), g/L",
            Is::Number,
            "As tartaric acid.",
        ),
        field("free_so2", "Free SO2, mg/L", Is::Number),
        field(
            "degassed",
            "The gas was stirred out of the sample",
            Is::Tick,
        ),
    ]
}

fn reads(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    let sample_c = temperature(typed, case, "temperature", "temperature_c")?;
    let shown = by_hydrometer(typed, case, sample_c)?;
    let data = Reading {
        temperature_c: sample_c.filter(|_| shown.read_sg.is_some()),
        must_temperature_c: temperature(typed, case, "must_temperature", "must_temperature_c")?,
        brix: number(typed, "brix", "brix")?,
        ph: number(typed, "ph", "ph")?,
        ta_g_per_l: number(typed, "ta", "ta_g_per_l")?,
        volume_l: volume(typed, case, "volume", "volume_l")?,
        free_so2_mg_per_l: number(typed, "free_so2", "free_so2_mg_per_l")?,
        degassed: None,
        sg: shown.sg,
        read_sg: shown.read_sg,
        instrument: shown.instrument,
    };
    let measured = data != Reading::default();
    let degassed = typed.text("degassed")? == "yes" && shown.read_sg.is_some();
    Ok(measured.then_some(Deed::Reading(Reading {
        degassed: degassed.then_some(true),
        ..data
    })))
}

fn fills(deed: &Deed, case: &Case<'_>, form: &mut FormState) {
    let Deed::Reading(data) = deed else {
        return;
    };
    fill_gravity(form, "gravity", data.read_sg.or(data.sg));
    fill_temperature(case, form, "temperature", data.temperature_c);
    fill_instrument(case, form, data.instrument.as_ref());
    fill_temperature(case, form, "must_temperature", data.must_temperature_c);
    fill_number(form, "ph", data.ph, 3);
    fill_volume(case, form, "volume", data.volume_l);
    fill_number(form, "brix", data.brix, 2);
    fill_number(form, "ta", data.ta_g_per_l, 3);
    fill_number(form, "free_so2", data.free_so2_mg_per_l, 2);
    if data.degassed == Some(true) {
        form.set("degassed", "yes");
    }
}
