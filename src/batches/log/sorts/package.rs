//! Filled into bottles or a keg.

use super::typing::{fill_volume, number, volume};
use super::{Case, Field, Is, Sort, field, hinted};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Bottles, How, Package};
use crate::engine::plan::Beware;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::typed::Typed;
use crate::web::units::{self, parse_whole};

/// The filling.
pub const PACKAGE: Sort = Sort {
    word: "package",
    heading: "Filled it into bottles or a keg",
    link: "Filled into bottles",
    fields,
    begins,
    reads,
    fills,
    care,
};

/// Sizes of bottles in one filling: fields of size and number, with their labels.
const ROWS: [[(&str, &str); 2]; 3] = [
    [("size_1", "Bottles of"), ("count_1", "How many")],
    [
        ("size_2", "And bottles of"),
        ("count_2", "How many of these"),
    ],
    [("size_3", "And also of"), ("count_3", "How many of those")],
];

fn fields(case: &Case<'_>) -> Vec<Field> {
    let mut fields = Vec::new();
    for [(size, of), (count, many)] in ROWS {
        fields.push(hinted(size, of, Is::Number, "Such as 750 ml."));
        fields.push(field(count, many, Is::Number));
    }
    let how = [("", "not said"), ("still", "still"), ("gas", "with gas")];
    let how = how.map(|(word, words)| (word.to_owned(), words.to_owned()));
    fields.extend([
        hinted(
            "litres",
            "How much in all",
            Is::Number,
            "For a keg, or where the bottles do not say it.",
        ),
        field("how", "Still, or with gas", Is::Choice(how.into())),
        hinted(
            "co2",
            "Volumes of CO2 that are wanted",
            Is::Number,
            "Only with gas.",
        ),
    ]);
    // A correction neither ends a batch nor lets it go on.
    if case.before.is_none() {
        fields.push(hinted(
            "all",
            "That is all of it",
            Is::Tick,
            "Then the batch is done; it can go on again any time.",
        ));
    }
    fields
}

fn begins(case: &Case<'_>, form: &mut FormState) {
    let planned = case.opened.planned.package.as_ref();
    let bottles = planned.map(|plan| plan.bottles.as_slice());
    for (bottle, [(size, _), _]) in bottles.unwrap_or_default().iter().zip(ROWS) {
        form.set(size, units::volume(bottle.size_l, case.to.units));
    }
    form.set("all", "yes");
}

fn reads(typed: &mut Typed<'_>, case: &Case<'_>) -> Result<Option<Deed>, Error> {
    let mut bottles = Vec::new();
    for [(size, _), (count, _)] in ROWS {
        let size_l = volume(typed, case, size, "size_l")?;
        let many = typed.read(count, |text| {
            parse_whole(text, 1, 1_000_000).map_err(|_| "Write a whole number, such as 12.")
        })?;
        let many = many.map(i32::unsigned_abs);
        if many.is_some() && typed.text(size)?.is_empty() {
            typed
                .form
                .refuse(size, "Write what one holds, such as 750 ml.");
        }
        bottles.extend(
            size_l
                .zip(many)
                .map(|(size_l, count)| Bottles { size_l, count }),
        );
    }
    let litres = volume(typed, case, "litres", "litres")?;
    let how = match typed.text("how")? {
        "" => None,
        word => {
            let how = How::from_word(word);
            if how.is_none() {
                typed.form.refuse("how", "Choose one of the list.");
            }
            how
        }
    };
    let volumes_co2 = number(typed, "co2", "volumes_co2")?;
    if bottles.is_empty() && litres.is_none() && typed.form.is_sound() {
        let [_, (count, _)] = ROWS[0];
        typed
            .form
            .refuse(count, "Write how many bottles, or how much in all.");
    }
    Ok(Some(Deed::Package(Package {
        litres,
        bottles,
        how,
        volumes_co2,
    })))
}

fn fills(deed: &Deed, case: &Case<'_>, form: &mut FormState) {
    let Deed::Package(data) = deed else {
        return;
    };
    for (bottle, [(size, _), (count, _)]) in data.bottles.iter().zip(ROWS) {
        fill_volume(case, form, size, Some(bottle.size_l));
        form.set(count, bottle.count.to_string());
    }
    fill_volume(case, form, "litres", data.litres);
    form.set("how", data.how.map_or("", How::as_str));
    if let Some(volumes) = data.volumes_co2 {
        form.set("co2", units::plain(volumes, 2));
    }
}

/// A closed bottle bears only what stands still.
fn care(case: &Case<'_>) -> Vec<Beware> {
    let state = &case.opened.state;
    let at_work = state.marks.end.is_none() && !state.stabilised;
    let first = at_work.then_some(Beware::ReadingsFirst);
    first.into_iter().chain([Beware::HeavyGlass]).collect()
}
