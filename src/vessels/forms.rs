//! The form of a vessel: every field a text, read in the member's units, all faults beside their fields.

use std::collections::BTreeMap;

use super::model::{Described, MadeOf, kind_of, usual_material, usually_wide, weighed_full_l};
use crate::catalogue;
use crate::engine::check::{HEADSPACE, VOLUME_L};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::units::{
    self, Units, parse_mass, parse_percent, parse_temperature, parse_volume, parse_whole,
};

/// Lengths, in characters; the database has the same.
pub const NAME_LONGEST: usize = 80;
pub const NOTES_LONGEST: usize = 1000;
/// The most of one vessel.
pub const MOST_OF_ONE: i32 = 99;
/// Fields whose texts are kept as they were typed.
const KEPT: [&str; 6] = ["brim", "empty", "full", "water", "headspace", "loss"];
/// A narrow and a wide mouth.
pub const MOUTHS: [(&str, &str); 2] = [
    ("wide", "wide: a bag of fruit goes through"),
    ("narrow", "narrow: a rod goes through, no fruit"),
];

/// Reads fields one by one and puts each fault beside its own.
pub(super) struct Reading<'a> {
    posted: &'a Posted,
    pub state: FormState,
    units: Units,
}

impl<'a> Reading<'a> {
    pub(super) fn of(posted: &'a Posted, units: Units) -> Reading<'a> {
        Reading {
            posted,
            state: FormState::of(posted),
            units,
        }
    }

    /// The text without what stands around it.
    pub(super) fn text(&self, name: &str) -> Result<&'a str, Error> {
        self.posted.one(name).map(str::trim)
    }

    pub(super) fn refuse(&mut self, name: &str, why: impl Into<String>) {
        self.state.refuse(name, why);
    }

    /// A text that must be there, and no longer than this.
    pub(super) fn wanted(
        &mut self,
        name: &str,
        longest: usize,
        why: &str,
    ) -> Result<String, Error> {
        let text = self.text(name)?;
        if text.is_empty() {
            self.refuse(name, why);
        }
        self.short(name, longest)
    }

    /// A text of its own lines, no longer than this.
    pub(super) fn short(&mut self, name: &str, longest: usize) -> Result<String, Error> {
        let text = self.text(name)?.replace("\r\n", "\n");
        let long = text.chars().count();
        if long > longest {
            let why = format!("Shorten this to {longest} characters; it has {long}.");
            self.refuse(name, why);
        }
        Ok(text)
    }

    /// A quantity that may be left out.
    pub(super) fn quantity<T, F: std::fmt::Display>(
        &mut self,
        name: &str,
        read: impl Fn(&str, Units) -> Result<T, F>,
    ) -> Result<Option<T>, Error> {
        let text = self.text(name)?;
        if text.is_empty() {
            return Ok(None);
        }
        match read(text, self.units) {
            Ok(value) => Ok(Some(value)),
            Err(fault) => {
                self.refuse(name, fault.to_string());
                Ok(None)
            }
        }
    }

    /// The texts of these fields, where anything was typed.
    pub(super) fn kept(&self, names: &[&str]) -> Result<BTreeMap<String, String>, Error> {
        let mut kept = BTreeMap::new();
        for name in names {
            let text: String = self.text(name)?.chars().take(200).collect();
            if !text.is_empty() {
                kept.insert((*name).to_owned(), text);
            }
        }
        Ok(kept)
    }
}

/// What is known of the vessel, or the form with its faults.
pub fn read(posted: &Posted, units: Units) -> Result<Result<Described, FormState>, Error> {
    let mut form = Reading::of(posted, units);
    let name = form.wanted(
        "name",
        NAME_LONGEST,
        "Give it a name that tells it from your others, such as “blue bucket”.",
    )?;
    let kind = kind_of(form.text("kind")?);
    if kind.is_none() {
        form.refuse("kind", "Choose what kind of vessel it is.");
    }
    let made_of = MadeOf::from_word(form.text("made_of")?);
    if made_of.is_none() {
        form.refuse("made_of", "Choose what it is made of.");
    }
    let brim_l = brim(&mut form, units)?;
    let wide_mouth = match form.text("mouth")? {
        "wide" => Some(true),
        "narrow" => Some(false),
        _ => {
            form.refuse("mouth", "Choose how wide its mouth is.");
            None
        }
    };
    let headspace = form.quantity("headspace", |text, _| {
        parse_percent(text, 0.0, HEADSPACE.high * 100.0)
    })?;
    let loss_l = form.quantity("loss", parse_volume)?;
    if let (Some(loss), Some(brim)) = (loss_l, brim_l)
        && loss >= brim
    {
        form.refuse(
            "loss",
            "Write less than the vessel holds: this is what cannot be racked out of it.",
        );
    }
    let how_many = match form.text("how_many")? {
        "" => Some(1),
        text => match parse_whole(text, 1, MOST_OF_ONE) {
            Ok(many) => Some(many),
            Err(_) => {
                let why = format!("Write how many you have, from 1 to {MOST_OF_ONE}.");
                form.refuse("how_many", why);
                None
            }
        },
    };
    let notes = form.short("notes", NOTES_LONGEST)?;
    let typed = form.kept(&KEPT)?;
    Ok(
        match (kind, made_of, brim_l, wide_mouth, how_many, form.state) {
            (Some(kind), Some(made_of), Some(brim_l), Some(wide_mouth), Some(how_many), state)
                if state.is_sound() =>
            {
                Ok(Described {
                    name,
                    kind,
                    made_of,
                    brim_l,
                    wide_mouth,
                    headspace_fraction: headspace.map(|percent| percent / 100.0),
                    loss_l,
                    how_many,
                    notes,
                    typed,
                })
            }
            (.., state) => Err(state),
        },
    )
}

/// What it holds: as written, or as weighed.
fn brim(form: &mut Reading<'_>, units: Units) -> Result<Option<f64>, Error> {
    let written = form.text("brim")?;
    let weighed: Vec<&str> = ["empty", "full", "water"]
        .into_iter()
        .map(|name| form.text(name))
        .collect::<Result<_, _>>()?;
    if weighed.iter().all(|text| text.is_empty()) {
        if written.is_empty() {
            let why = match units {
                Units::Metric => {
                    "Write what it holds filled to the brim, such as 25 L, or weigh it full."
                }
                _ => "Write what it holds filled to the brim, such as 6.5 gal, or weigh it full.",
            };
            form.refuse("brim", why);
            return Ok(None);
        }
        let litres = form.quantity("brim", parse_volume)?;
        return Ok(in_range(form, "brim", litres, units));
    }
    if !written.is_empty() {
        form.refuse(
            "brim",
            "Give what it holds, or its two weights, not both: clear one of them.",
        );
        return Ok(None);
    }
    let empty = form.quantity("empty", parse_mass)?;
    let full = form.quantity("full", parse_mass)?;
    let water = form.quantity("water", parse_temperature)?;
    for (name, text, why) in [
        ("empty", weighed.first(), "Write what it weighs empty."),
        (
            "full",
            weighed.get(1),
            "Write what it weighs full of water.",
        ),
        ("water", weighed.get(2), "Write how warm the water was."),
    ] {
        if text.is_some_and(|text| text.is_empty()) {
            form.refuse(name, why);
        }
    }
    let (Some(empty), Some(full), Some(water)) = (empty, full, water) else {
        return Ok(None);
    };
    if !(0.0..=60.0).contains(&water) {
        let [cold, warm] = [0.0, 60.0].map(|t| units::temperature(t, units));
        form.refuse("water", format!("Weigh it with water of {cold} to {warm}."));
        return Ok(None);
    }
    let litres = weighed_full_l(empty, full, water);
    if litres.is_none() {
        form.refuse(
            "full",
            "Full of water it weighs more than empty: look at both again.",
        );
    }
    Ok(in_range(form, "full", litres, units))
}

fn in_range(form: &mut Reading<'_>, field: &str, litres: Option<f64>, units: Units) -> Option<f64> {
    let found = litres.filter(|litres| VOLUME_L.holds(*litres));
    if let (Some(_), None) = (litres, found) {
        let [low, high] = [VOLUME_L.low, VOLUME_L.high].map(|l| units::volume(l, units));
        form.refuse(field, format!("It should hold from {low} to {high}."));
    }
    found
}

/// A text as it was typed, where it still says this number to this reader; else the number written anew.
pub(super) fn as_typed<F>(
    typed: &BTreeMap<String, String>,
    field: &str,
    value: f64,
    read: impl Fn(&str) -> Result<f64, F>,
    write: impl Fn(f64) -> String,
) -> String {
    let same = |text: &&String| {
        read(text).is_ok_and(|found| (found - value).abs() <= 1e-9 * value.abs().max(1e-9))
    };
    let kept = typed.get(field).filter(same).cloned();
    kept.unwrap_or_else(|| write(value))
}

/// The form of a vessel as it is.
pub fn filled(of: &Described, units: Units) -> FormState {
    let mut form = FormState::new();
    form.set("name", of.name.as_str());
    form.set("kind", of.kind.word());
    form.set("made_of", of.made_of.word());
    form.set("mouth", if of.wide_mouth { "wide" } else { "narrow" });
    form.set("how_many", of.how_many.to_string());
    form.set("notes", of.notes.as_str());
    let volume = |field: &str, litres: f64| {
        as_typed(
            &of.typed,
            field,
            litres,
            |text| parse_volume(text, units),
            |litres| units::volume_text(litres, units),
        )
    };
    match weighed(of, units) {
        Some(texts) => {
            for (field, text) in ["empty", "full", "water"].into_iter().zip(texts) {
                form.set(field, text);
            }
        }
        None => form.set("brim", volume("brim", of.brim_l)),
    }
    if let Some(fraction) = of.headspace_fraction {
        let text = as_typed(
            &of.typed,
            "headspace",
            fraction * 100.0,
            |text| parse_percent(text, 0.0, 100.0),
            |percent| units::plain(percent, 4),
        );
        form.set("headspace", text);
    }
    if let Some(litres) = of.loss_l {
        form.set("loss", volume("loss", litres));
    }
    form
}

/// The weights as typed, where they still make this volume to this reader.
fn weighed(of: &Described, units: Units) -> Option<[String; 3]> {
    let text = |field: &str| of.typed.get(field).cloned();
    let texts = [text("empty")?, text("full")?, text("water")?];
    let litres = weighed_full_l(
        parse_mass(&texts[0], units).ok()?,
        parse_mass(&texts[1], units).ok()?,
        parse_temperature(&texts[2], units).ok()?,
    )?;
    ((litres - of.brim_l).abs() <= 1e-9 * of.brim_l).then_some(texts)
}

/// The form of a vessel that begins as a usual one.
pub fn begun(usual: &catalogue::Vessel, units: Units) -> FormState {
    let mut form = FormState::new();
    form.set("name", usual.name.as_str());
    form.set("kind", usual.kind.word());
    form.set("made_of", usual_material(usual.kind).word());
    form.set("mouth", if usual.wide_mouth { "wide" } else { "narrow" });
    form.set("brim", units::volume_text(usual.brim_l, units));
    form.set("how_many", "1");
    form
}

/// The form of a vessel of which nothing is said yet.
pub fn fresh() -> FormState {
    let mut form = FormState::new();
    let kind = catalogue::VesselKind::Bucket;
    form.set("kind", kind.word());
    form.set("made_of", usual_material(kind).word());
    let mouth = if usually_wide(kind) { "wide" } else { "narrow" };
    form.set("mouth", mouth);
    form.set("how_many", "1");
    form
}
