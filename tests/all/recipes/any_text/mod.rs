//! Whatever is typed into a field, and whatever bytes come as a form: reckoned with, or asked about.

mod fuzz;
mod limits;
mod odd;

use mustwright::engine::check::check as engine_check;
use mustwright::engine::problem::ProblemCode;
use mustwright::engine::reading;
use mustwright::recipes::forms::check::Checked;
use mustwright::recipes::forms::{Group, Workbench};
use mustwright::web::units::Units;
use serde_json::{Value, json};

use super::{check, filled};

/// One field for a number: where it stands in the form and in the document, the unit that makes a bare number the
/// document's own, and what a bare number is multiplied by to be so.
struct Field {
    place: Place,
    pointer: &'static str,
    unit: &'static str,
    size: f64,
    aim: &'static str,
}

#[derive(Clone, Copy)]
enum Place {
    Single(&'static str),
    Cell(Group, &'static str),
}

const fn single(name: &'static str, pointer: &'static str, unit: &'static str) -> Field {
    Field {
        place: Place::Single(name),
        pointer,
        unit,
        size: 1.0,
        aim: "honey_abv",
    }
}

const fn cell(
    group: Group,
    column: &'static str,
    pointer: &'static str,
    unit: &'static str,
) -> Field {
    Field {
        place: Place::Cell(group, column),
        pointer,
        unit,
        size: 1.0,
        aim: "abv",
    }
}

const fn percent(field: Field) -> Field {
    Field {
        unit: " %",
        size: 0.01,
        ..field
    }
}

const GRAVITIES: &[Field] = &[
    Field {
        aim: "gravity",
        ..single("gravity", "/aim/gravity_sg", "")
    },
    single("final_gravity", "/finish/sweeten_to_sg", ""),
];

const FIELDS: &[Field] = &[
    Field {
        aim: "abv",
        ..single("volume", "/volume_l", " L")
    },
    single("strength", "/aim/abv_percent", " %"),
    single("honey_to_use", "/aim/use_honey_kg", " kg"),
    single("temperature", "/temperature_c", " °C"),
    single("vessel_brim", "/vessel/brim_l", " L"),
    percent(single("vessel_headspace", "/vessel/headspace_fraction", "")),
    single("vessel_loss", "/vessel/loss_l", " L"),
    single("water_calcium", "/water_report/ions/calcium", " mg/L"),
    single(
        "water_alkalinity",
        "/water_report/ions/alkalinity_caco3",
        "",
    ),
    cell(Group::Salt, "grams", "/water_report/salts/gypsum", " g"),
    cell(Group::Honey, "amount", "/ingredients/0/amount/kg", " kg"),
    cell(Group::Honey, "days", "/ingredients/0/days", ""),
    cell(
        Group::Honey,
        "price",
        "/ingredients/0/price_per_kg",
        " per kg",
    ),
    percent(cell(
        Group::Honey,
        "water",
        "/ingredients/0/composition/water",
        "",
    )),
    percent(cell(
        Group::Honey,
        "insoluble",
        "/ingredients/0/composition/insoluble",
        "",
    )),
    cell(
        Group::Honey,
        "yan",
        "/ingredients/0/composition/yan_mg_per_kg",
        "",
    ),
    cell(
        Group::Honey,
        "acid",
        "/ingredients/0/composition/ta_g_per_kg",
        "",
    ),
    cell(
        Group::Honey,
        "density",
        "/ingredients/0/composition/density_kg_per_l",
        "",
    ),
    cell(Group::Other, "amount", "/ingredients/1/amount/l", " L"),
    cell(
        Group::Yeast,
        "tolerance",
        "/yeasts/0/tolerance_abv_percent",
        " %",
    ),
    cell(Group::Yeast, "coldest", "/yeasts/0/temperature_c/0", " °C"),
    cell(Group::Yeast, "warmest", "/yeasts/0/temperature_c/1", " °C"),
    cell(
        Group::Feed,
        "ammonium",
        "/nutrients/0/ammonium_yan_mg_per_g",
        "",
    ),
    cell(Group::Feed, "most", "/nutrients/0/max_g_per_l", " g/L"),
    percent(cell(Group::Feed, "share", "/nutrients/0/share", "")),
];

impl Field {
    fn id(&self) -> String {
        match self.place {
            Place::Single(name) => name.to_owned(),
            Place::Cell(group, column) => format!("{}-1-{column}", group.word()),
        }
    }
}

/// A form without a fault and with something in every field, one text put in.
fn typed(field: &Field, text: &str) -> Workbench {
    let mut form = Workbench::default();
    for (name, value) in [
        ("title", "Tried"),
        ("volume", "20 L"),
        ("aim", field.aim),
        ("strength", "12 %"),
        ("gravity", "1.090"),
        ("honey_to_use", "3 kg"),
        ("finish", "sweeten"),
        ("final_gravity", "1.010"),
        ("filler", "water"),
        ("temperature", "20 °C"),
        ("vessel_brim", "25 L"),
        ("vessel_headspace", "10"),
        ("vessel_loss", "1 L"),
        ("water_calcium", "40"),
        ("water_alkalinity", "100"),
    ] {
        form.set(name, value);
    }
    let parts = [
        ("pick", "own"),
        ("water", "18"),
        ("fermentable", "74"),
        ("unfermentable", "7"),
        ("insoluble", "1"),
        ("yan", "100"),
        ("acid", "2"),
        ("density", "1.4"),
        ("days", "7"),
        ("price", "8 per kg"),
    ];
    let honey = [("name", "Honey"), ("amount", "6 kg"), ("when", "must")];
    form.add_row(Group::Honey, &[&parts[..], &honey[..]].concat());
    let juice = [("name", "Juice"), ("amount", "2 L"), ("kind", "juice")];
    form.add_row(Group::Other, &[&parts[..], &juice[..]].concat());
    form.add_row(
        Group::Yeast,
        &[
            ("pick", "own"),
            ("name", "Yeast"),
            ("tolerance", "14"),
            ("coldest", "12 °C"),
            ("warmest", "25 °C"),
            ("when", "pitch"),
        ],
    );
    form.add_row(
        Group::Feed,
        &[
            ("pick", "own"),
            ("name", "Feed"),
            ("ammonium", "100"),
            ("organic", "10"),
            ("most", "0.5 g/L"),
            ("share", "50"),
        ],
    );
    form.add_row(Group::Salt, &[("pick", "gypsum"), ("grams", "1")]);
    match field.place {
        Place::Single(name) => form.set(name, text),
        Place::Cell(group, column) => form.rows_mut(group)[0].set(column, text),
    }
    form
}

fn document(checked: &Checked) -> Value {
    serde_json::to_value(&checked.recipe).expect("a document")
}

fn number_at(checked: &Checked, field: &Field) -> Option<f64> {
    document(checked)
        .pointer(field.pointer)
        .and_then(Value::as_f64)
}

fn fault_of(checked: &Checked, field: &Field) -> Option<String> {
    let found = checked.faults.iter().find(|(id, _)| *id == field.id());
    found.map(|(_, why)| why.clone())
}

/// Whether the engine reckons with this number at this place.
fn engine_takes(field: &Field, number: f64) -> bool {
    let mut document = document(&check(&typed(field, usual(field)), Units::Metric));
    *document.pointer_mut(field.pointer).expect("the place") = json!(number);
    let recipe = reading::read(&document.to_string()).expect("a document");
    let problems = engine_check(&recipe);
    !problems
        .iter()
        .any(|problem| problem.code == ProblemCode::OutOfRange && problem.path == field.pointer)
}

/// Something that each of these fields takes.
fn usual(field: &Field) -> &'static str {
    match field.pointer {
        "/aim/gravity_sg" | "/finish/sweeten_to_sg" => "1.01",
        "/ingredients/0/composition/density_kg_per_l" => "1",
        _ => "2",
    }
}
