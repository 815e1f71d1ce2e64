//! What the five questions leave unsaid: their answers spelled out, and the usual where nothing was typed.

use std::collections::BTreeSet;

use crate::catalogue::club::ClubCatalogue;
use crate::catalogue::{VesselKind, catalogue};
use crate::recipes::forms::fill;
use crate::recipes::forms::quantity::{Quantity, same, write_amount};
use crate::recipes::forms::{Group, Workbench, cell_id};
use crate::recipes::numbers::Reader;
use crate::vessels::Vessel;
use crate::web::units::{TypedAmount, Units};

/// The hidden field that tells how the form is laid out.
pub const WAY: &str = "way";
/// Its value for the five questions; anything else is the whole form.
pub const QUESTIONS: &str = "questions";
/// Picked in place of a usual vessel: one of the maker's own.
pub const OWN: &str = "own";

/// Before the id of a vessel of the member's own, where one of those is picked.
const MINE: &str = "mine-";

/// Where the size of a vessel stands in the document.
const BRIM: &str = "/vessel/brim_l";

/// An answer to a question, with what it stands for.
#[derive(Clone, Copy, Debug)]
pub struct Answer {
    /// In the form.
    pub word: &'static str,
    /// What it means, as one would type it.
    pub text: &'static str,
    /// On the page.
    pub said: &'static str,
}

/// How strong: common strengths (common practice, no published source).
pub const STRENGTHS: [Answer; 3] = [
    Answer {
        word: "light",
        text: "7 %",
        said: "light, about 7 %: like a strong cider",
    },
    Answer {
        word: "table",
        text: "12 %",
        said: "like wine, about 12 %",
    },
    Answer {
        word: "strong",
        text: "14 %",
        said: "strong, about 14 %: wants more patience",
    },
];

/// How sweet: gravities from the middle of each band (bands: the reference on styles).
pub const SWEETNESSES: [Answer; 2] = [
    Answer {
        word: "semi-sweet",
        text: "1.015",
        said: "a little sweet",
    },
    Answer {
        word: "sweet",
        text: "1.030",
        said: "sweet",
    },
];

/// A form with everything said, and the fields in which something was assumed.
#[derive(Clone, Debug, Default)]
pub struct Assumed {
    pub form: Workbench,
    pub fields: BTreeSet<String>,
}

/// Whether the form begins with the five questions.
pub fn asks(form: &Workbench) -> bool {
    form.text(WAY) == QUESTIONS
}

/// The form as it is reckoned with.
pub fn assume(form: &Workbench, reader: &Reader) -> Assumed {
    let (units, catalogue) = (reader.units, &reader.catalogue);
    let mut assumed = Assumed {
        form: form.clone(),
        fields: BTreeSet::new(),
    };
    spell_out(&mut assumed.form);
    assumed.vessel(reader);
    if asks(form) {
        assumed.amounts(units, catalogue);
        assumed.title(catalogue);
    }
    assumed
}

/// Puts what an answer stands for in place of the answer.
pub fn spell_out(form: &mut Workbench) {
    for (choice, field, open, answers) in [
        ("aim", "strength", "abv", STRENGTHS.as_slice()),
        ("finish", "final_gravity", "sweeten", SWEETNESSES.as_slice()),
    ] {
        let chosen = form.text(choice);
        if let Some(answer) = answers.iter().find(|answer| answer.word == chosen) {
            form.set(choice, open);
            form.set(field, answer.text);
        }
    }
}

/// Puts answers in place of what they stand for, for a page that asks.
pub fn put_as_answers(form: &mut Workbench, units: Units) {
    for (choice, field, open, answers, place) in [
        (
            "aim",
            "strength",
            "abv",
            STRENGTHS.as_slice(),
            "/aim/abv_percent",
        ),
        (
            "finish",
            "final_gravity",
            "sweeten",
            SWEETNESSES.as_slice(),
            "/finish/sweeten_to_sg",
        ),
    ] {
        let read = |text: &str| Quantity::at(place).read(text, units).ok();
        let typed = read(form.text(field));
        let same = |answer: &&Answer| typed.is_some() && read(answer.text) == typed;
        if form.text(choice) == open
            && let Some(answer) = answers.iter().find(same)
        {
            form.set(choice, answer.word);
        }
    }
}

/// What the choice of a vessel says of one of the member's own.
pub fn pick_of(vessel: &Vessel) -> String {
    format!("{MINE}{}", vessel.public_id)
}

/// The one of the member's own vessels that was picked, in use or not.
fn own_vessel<'a>(pick: &str, vessels: &'a [Vessel]) -> Option<&'a Vessel> {
    let id = pick.strip_prefix(MINE)?;
    vessels.iter().find(|vessel| vessel.public_id == id)
}

/// Says of a vessel that was filled in from a document which of the member's own or of the usual ones it is.
pub fn recognise_vessel(form: &mut Workbench, reader: &Reader) {
    let units = reader.units;
    let texts = ["vessel_name", "vessel_kind", "vessel_brim", "vessel_mouth"];
    if !form.text("vessel_pick").is_empty() || texts.iter().all(|field| form.text(field).is_empty())
    {
        return;
    }
    let is = |name: &str, kind: VesselKind, wide: bool, brim_l: f64| {
        let brim = Quantity::at(BRIM).read(form.text("vessel_brim"), units);
        brim.is_ok_and(|brim| same(brim, brim_l))
            && form.text("vessel_name") == name
            && form.text("vessel_kind") == kind.word()
            && form.text("vessel_mouth") == mouth(wide)
    };
    let mut mine = reader.vessels.iter().filter(|vessel| !vessel.retired);
    let mine = mine.find(|vessel| {
        let of = &vessel.is;
        is(&of.name, of.kind, of.wide_mouth, of.brim_l)
    });
    let mut usual = catalogue().vessels().iter();
    let usual = usual.find(|of| is(&of.name, of.kind, of.wide_mouth, of.brim_l));
    match mine.map(pick_of).or(usual.map(|usual| usual.key.clone())) {
        Some(pick) => {
            form.set("vessel_pick", pick);
            for field in texts {
                form.set(field, "");
            }
        }
        None => form.set("vessel_pick", OWN),
    }
}

fn mouth(wide: bool) -> &'static str {
    match wide {
        true => "wide",
        false => "narrow",
    }
}

impl Assumed {
    fn put(&mut self, field: &str, text: &str) {
        if self.form.text(field).trim().is_empty() {
            self.form.set(field, text);
            self.fields.insert(field.to_owned());
        }
    }

    /// Size and kind of the vessel that was picked, where nothing else was typed.
    fn vessel(&mut self, reader: &Reader) {
        let units = reader.units;
        let picked = self.form.text("vessel_pick").to_owned();
        if let Some(vessel) = own_vessel(&picked, &reader.vessels) {
            let of = &vessel.is;
            let write = |place: &str, value: f64| Quantity::at(place).write(value, units);
            self.put("vessel_brim", &write(BRIM, of.brim_l));
            self.put("vessel_kind", of.kind.word());
            self.put("vessel_mouth", mouth(of.wide_mouth));
            self.put("vessel_name", &of.name);
            if let Some(fraction) = of.headspace_fraction {
                let text = write("/vessel/headspace_fraction", fraction);
                self.put("vessel_headspace", &text);
            }
        }
        if let Some(vessel) = catalogue().find_vessel(&picked) {
            let brim = Quantity::at(BRIM).write(vessel.brim_l, units);
            self.put("vessel_brim", &brim);
            self.put("vessel_kind", vessel.kind.word());
            self.put("vessel_mouth", mouth(vessel.wide_mouth));
            self.put("vessel_name", &vessel.name);
        }
    }

    /// The usual amount of what was picked without one: its low end, for one can add.
    fn amounts(&mut self, units: Units, catalogue: &ClubCatalogue) {
        let filler = |form: &Workbench, key: &str| form.fills_up(Group::Other, key);
        let missing: Vec<(String, String)> = self
            .form
            .rows(Group::Other)
            .iter()
            .filter(|row| row.is_blank(&["amount"]) && !filler(&self.form, &row.key))
            .filter_map(|row| {
                let usual = catalogue.find(row.cell("pick"))?.default_amount?;
                let TypedAmount::GramsPerLitre(dose) = usual else {
                    return None;
                };
                let amount = crate::engine::recipe::Amount::GramsPerLitre(dose);
                Some((row.key.clone(), write_amount(amount, false, units)))
            })
            .collect();
        for (key, text) in missing {
            let rows = self.form.rows_mut(Group::Other);
            if let Some(row) = rows.iter_mut().find(|row| row.key == key) {
                row.set("amount", text);
                self.fields.insert(cell_id(Group::Other, &key, "amount"));
            }
        }
    }

    /// A name after what is in it.
    fn title(&mut self, catalogue: &ClubCatalogue) {
        let fruit = self.form.rows(Group::Other).iter();
        let honey = self.form.rows(Group::Honey).iter();
        let names = fruit.chain(honey).filter_map(|row| row.called(catalogue));
        let Some(name) = names
            .map(|name| after_what(&name))
            .find(|name| !name.is_empty())
        else {
            return;
        };
        self.put("title", &name);
    }
}

/// "Sour cherry, pitted" → "Sour cherry mead"; "Wildflower or mixed honey" → "Wildflower mead".
fn after_what(name: &str) -> String {
    let plain = name.split([',', '(']).next().unwrap_or(name).trim();
    let plain = plain.split(" or ").next().unwrap_or(plain);
    let plain = plain.strip_suffix(" honey").unwrap_or(plain).trim();
    match plain {
        "" => String::new(),
        plain => format!("{plain} mead"),
    }
}

/// Whether these fields are as in a new recipe.
pub fn is_as_usual(form: &Workbench, singles: &[&str], groups: &[Group], units: Units) -> bool {
    let fresh = fill::fresh(units);
    let same_single = |name: &&str| form.text(name).trim() == fresh.text(name);
    let same_group = |group: &Group| {
        let (ours, usual) = (form.rows(*group), fresh.rows(*group));
        let same_row =
            |(one, other): (&crate::recipes::forms::Row, &crate::recipes::forms::Row)| {
                let columns = group.columns().iter();
                columns
                    .filter(|column| **column != "entry")
                    .all(|column| one.cell(column).trim() == other.cell(column))
            };
        ours.len() == usual.len() && ours.iter().zip(usual).all(same_row)
    };
    singles.iter().all(same_single) && groups.iter().all(same_group)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mead_is_named_after_what_is_in_it() {
        for (name, mead) in [
            ("Sour cherry, pitted", "Sour cherry mead"),
            ("Wildflower or mixed honey", "Wildflower mead"),
            ("Acacia honey", "Acacia mead"),
            ("honey", "honey mead"),
            (" , ", ""),
        ] {
            assert_eq!(after_what(name), mead);
        }
    }

    #[test]
    fn an_answer_and_what_it_stands_for_are_one() {
        let units = Units::Metric;
        for (choice, field, open, answers) in [
            ("aim", "strength", "abv", STRENGTHS.as_slice()),
            ("finish", "final_gravity", "sweeten", SWEETNESSES.as_slice()),
        ] {
            for answer in answers {
                let mut form = Workbench::default();
                form.set(choice, answer.word);
                spell_out(&mut form);
                assert_eq!((form.text(choice), form.text(field)), (open, answer.text));
                put_as_answers(&mut form, units);
                assert_eq!(form.text(choice), answer.word);
            }
        }
        let mut own = Workbench::default();
        own.set("aim", "abv");
        own.set("strength", "11 %");
        put_as_answers(&mut own, units);
        assert_eq!(own.text("aim"), "abv");
    }
}
