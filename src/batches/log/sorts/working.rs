//! What is done with it: stirred, racked, sampled, moved.

use super::typing::{NAME_MAX, fill_volume, some, volume};
use super::{Case, Field, Is, Sort, begins_empty, field, hinted, no_care};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Move, Rack, Sample};
use crate::engine::plan::Beware;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;

/// Gas stirred out, or air in.
pub const STIR: Sort = Sort {
    word: "stir",
    heading: "Stirred",
    link: "Stirred",
    fields: stir_fields,
    begins: |case, form| {
        // Air goes in until the one-third break; gas goes out all the time.
        let early = case.opened.state.marks.pitch.is_none();
        form.set("stirred", if early { "air" } else { "gas" });
    },
    reads: read_stir,
    fills: |deed, _, form| {
        let air = *deed == Deed::Aerate;
        form.set("stirred", if air { "air" } else { "gas" });
    },
    care: |case| match case.opened.state.marks.one_third {
        Some(_) => vec![Beware::NoMoreAir],
        None => Vec::new(),
    },
};

/// Racked.
pub const RACK: Sort = Sort {
    word: "rack",
    heading: "Racked",
    link: "Racked",
    fields: rack_fields,
    begins: begins_empty,
    reads: read_rack,
    fills: fill_rack,
    care: |_| vec![Beware::NoMoreAir, Beware::HeavyGlass],
};

/// Some was taken out.
pub const SAMPLE: Sort = Sort {
    word: "sample",
    heading: "Took a sample",
    link: "Took a sample",
    fields: sample_fields,
    begins: |case, form| fill_volume(case, form, "litres", Some(USUAL_SAMPLE_L)),
    reads: read_sample,
    fills: fill_sample,
    care: no_care,
};

/// Into another vessel, all of it.
pub const MOVE: Sort = Sort {
    word: "move",
    heading: "Moved it into another vessel",
    link: "Moved it",
    fields: move_fields,
    begins: begins_empty,
    reads: read_move,
    fills: fill_move,
    care: |_| vec![Beware::HeavyGlass],
};

/// What a trial jar holds, L (common practice, no published source).
const USUAL_SAMPLE_L: f64 = 0.1;

fn stir_fields(_: &Case<'_>) -> Vec<Field> {
    let choices = [("gas", "gas out"), ("air", "air in")];
    let choices = choices.map(|(word, words)| (word.to_owned(), words.to_owned()));
    vec![field("stirred", "Stirred", Is::Choice(choices.into()))]
}

fn read_stir(typed: &mut Typed<'_>, _: &Case<'_>) -> Result<Option<Deed>, Error> {
    Ok(match typed.text("stirred")? {
        "gas" => Some(Deed::Degas),
        "air" => Some(Deed::Aerate),
        _ => {
            typed.form.refuse("stirred", "Choose one of the two.");
            None
        }
    })
}

fn rack_fields(_: &Case<'_>) -> Vec<Field> {
    vec![
        hinted(
            "into",
            "Into",
            Is::Line,
            "Such as glass, 5 L. May stay empty.",
        ),
        hinted(
            "volume",
            "How much there is afterwards",
            Is::Number,
            "Empty: the usual loss is reckoned.",
        ),
        hinted(
            "loss",
            "How much stayed behind",
            Is::Number,
            "Only where you measured it instead.",
        ),
    ]
}

fn read_rack(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    Ok(Some(Deed::Rack(Rack {
        into: some(typed.line("into", NAME_MAX)?),
        volume_l: volume(typed, case, "volume", "volume_l")?,
        loss_l: volume(typed, case, "loss", "loss_l")?,
    })))
}

fn fill_rack(deed: &Deed, case: &Case<'_>, form: &mut FormState) {
    if let Deed::Rack(data) = deed {
        form.set("into", data.into.clone().unwrap_or_default());
        fill_volume(case, form, "volume", data.volume_l);
        fill_volume(case, form, "loss", data.loss_l);
    }
}

fn sample_fields(_: &Case<'_>) -> Vec<Field> {
    vec![
        hinted("litres", "How much", Is::Number, "Such as 100 ml."),
        hinted(
            "returned",
            "It was poured back",
            Is::Tick,
            "Only from clean, sanitised glass.",
        ),
    ]
}

fn read_sample(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    let litres = volume(typed, case, "litres", "litres")?;
    if typed.text("litres")?.is_empty() {
        typed
            .form
            .refuse("litres", "Write how much, such as 100 ml.");
    }
    let returned = typed.text("returned")? == "yes";
    Ok(litres.map(|litres| Deed::Sample(Sample { litres, returned })))
}

fn fill_sample(deed: &Deed, case: &Case<'_>, form: &mut FormState) {
    if let Deed::Sample(data) = deed {
        fill_volume(case, form, "litres", Some(data.litres));
        if data.returned {
            form.set("returned", "yes");
        }
    }
}

fn move_fields(_: &Case<'_>) -> Vec<Field> {
    vec![
        hinted("vessel", "Into", Is::Line, "Such as glass, 10 L."),
        hinted(
            "brim",
            "It holds, filled to the brim",
            Is::Number,
            "May stay empty.",
        ),
    ]
}

fn read_move(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    let vessel = typed.wanted("vessel", NAME_MAX, "Write into which vessel.")?;
    Ok(Some(Deed::Move(Move {
        vessel: some(vessel),
        brim_l: volume(typed, case, "brim", "brim_l")?,
        kind: None,
    })))
}

fn fill_move(deed: &Deed, case: &Case<'_>, form: &mut FormState) {
    if let Deed::Move(data) = deed {
        form.set("vessel", data.vessel.clone().unwrap_or_default());
        fill_volume(case, form, "brim", data.brim_l);
    }
}
