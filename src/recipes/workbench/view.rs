//! The workbench as its template wants it: every field with its text, its fault and its note.

use std::collections::HashMap;

use crate::catalogue::catalogue;
use crate::engine::formulation::Formulation;
use crate::engine::recipe::{Amount, Recipe};
use crate::recipes::forms::check::Checked;
use crate::recipes::forms::{Group, Row, Workbench, cell_id};
use crate::recipes::numbers::{NumbersView, ProblemLine};
use crate::web::units::{self, Bare, Units};

/// One field.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FieldView {
    pub id: String,
    pub name: String,
    pub value: String,
    pub message: String,
    pub note: String,
}

/// One row of fields.
#[derive(Clone, Debug, PartialEq)]
pub struct RowView {
    pub key: String,
    /// Its place, from 1.
    pub number: usize,
    /// Whether it is one's own and not of the catalogue, or shows more than the usual fields.
    pub open: bool,
    /// Where the catalogue's figures come from.
    pub source: String,
    cells: HashMap<&'static str, FieldView>,
}

impl RowView {
    /// A cell by its column.
    pub fn cell(&self, column: &str) -> FieldView {
        self.cells.get(column).cloned().unwrap_or_default()
    }

    /// Whether this row's choice is "my own".
    pub fn is_own(&self) -> bool {
        self.cell("pick").value == "own"
    }
}

/// The whole form.
#[derive(Clone, Debug, Default)]
pub struct FormView {
    single: HashMap<&'static str, FieldView>,
    rows: HashMap<Group, Vec<RowView>>,
    /// Faults of fields, for the summary.
    pub faults: Vec<(String, String)>,
}

impl FormView {
    /// A single field.
    pub fn field(&self, name: &str) -> FieldView {
        self.single.get(name).cloned().unwrap_or_default()
    }

    /// The rows of a group, by its word.
    pub fn rows(&self, group: &str) -> &[RowView] {
        Group::from_word(group)
            .and_then(|group| self.rows.get(&group))
            .map_or(&[], Vec::as_slice)
    }

    /// Id of the first field of the row that would be added next.
    pub fn next(&self, group: &str) -> String {
        let most = self
            .rows(group)
            .iter()
            .filter_map(|row| row.key.parse::<u32>().ok())
            .max()
            .unwrap_or(0);
        let column = if group == "step" { "when" } else { "pick" };
        format!("{group}-{}-{column}", most + 1)
    }

    /// Every fault and note region: id and content.
    pub fn regions(&self) -> Vec<(String, String, String)> {
        let rows = self
            .rows
            .values()
            .flatten()
            .flat_map(|row| row.cells.values());
        let mut all: Vec<_> = self
            .single
            .values()
            .chain(rows)
            .map(|field| (field.id.clone(), field.message.clone(), field.note.clone()))
            .collect();
        all.sort();
        all
    }

    /// Adds a fault that only the database could find.
    pub fn add_fault(&mut self, field: &str, why: &str) {
        let of_field = self.single.values_mut().find(|single| single.name == field);
        if let Some(single) = of_field {
            single.message = why.to_owned();
        }
        self.faults.push((field.to_owned(), why.to_owned()));
    }

    /// Choices of what fills up.
    pub fn fillers(&self) -> Vec<(String, String)> {
        let mut choices = vec![("water".to_owned(), "water".to_owned())];
        for group in [Group::Honey, Group::Other] {
            for row in self.rows.get(&group).into_iter().flatten() {
                let pick = row.cell("pick").value;
                let named = row.cell("name").value;
                let name = match catalogue().find(&pick) {
                    _ if !named.trim().is_empty() => named,
                    Some(entry) => entry.name.clone(),
                    None => continue,
                };
                if group == Group::Other {
                    choices.push((format!("{}-{}", group.word(), row.key), name));
                }
            }
        }
        choices
    }
}

/// What the view is made from.
pub struct Material<'a> {
    pub form: &'a Workbench,
    pub checked: &'a Checked,
    pub numbers: &'a Formulation,
    pub view: &'a NumbersView,
    pub units: Units,
    /// Whether faults of the text are shown: on live edits only those of fields that say something.
    pub scold: bool,
}

/// Builds the view.
pub fn form_view(material: &Material<'_>) -> FormView {
    let Material { form, checked, .. } = material;
    let mut messages: HashMap<&str, &str> = HashMap::new();
    for ProblemLine { field, words } in &material.view.problems {
        if !field.is_empty() {
            messages.entry(field).or_insert(&words.sentence);
        }
    }
    let mut faults = Vec::new();
    for (field, why) in &checked.faults {
        // While somebody types, an empty field is not scolded.
        if material.scold || !is_empty(form, field) {
            messages.insert(field, why);
            faults.push((field.clone(), why.clone()));
        }
    }
    let message = |id: &str| {
        messages
            .get(id)
            .map(|text| (*text).to_owned())
            .unwrap_or_default()
    };
    let names = super::super::forms::SINGLE.iter();
    let single = names.map(|name| {
        let field = FieldView {
            id: (*name).to_owned(),
            name: (*name).to_owned(),
            value: form.text(name).to_owned(),
            message: message(name),
            note: single_note(material, name),
        };
        (*name, field)
    });
    let mut view = FormView {
        single: single.collect(),
        rows: HashMap::new(),
        faults,
    };
    for group in Group::ALL {
        let rows = form.rows(group).iter().enumerate().map(|(at, row)| {
            let cells: HashMap<&'static str, FieldView> = group
                .columns()
                .iter()
                .map(|column| {
                    let id = cell_id(group, &row.key, column);
                    let field = FieldView {
                        name: group.field(column),
                        value: row.cell(column).to_owned(),
                        message: message(&id),
                        note: cell_note(material, group, row, column),
                        id,
                    };
                    (*column, field)
                })
                .collect();
            let seldom: &[&str] = match group {
                Group::Honey | Group::Other => &[
                    "name",
                    "kind",
                    "form",
                    "days",
                    "water",
                    "fermentable",
                    "unfermentable",
                    "insoluble",
                    "yan",
                    "acid",
                    "density",
                    "price",
                    "remark",
                ],
                Group::Yeast => &["name", "tolerance", "need", "coldest", "warmest"],
                Group::Feed => &["name", "ammonium", "organic", "most", "price", "share"],
                Group::Step => &[],
            };
            let faulty = seldom.iter().any(|column| {
                cells
                    .get(column)
                    .is_some_and(|cell| !cell.message.is_empty())
            });
            RowView {
                key: row.key.clone(),
                number: at + 1,
                open: row.cell("pick") == "own" || faulty,
                source: source(group, row),
                cells,
            }
        });
        view.rows.insert(group, rows.collect());
    }
    view
}

/// Source and mark of what was picked from the catalogue.
fn source(group: Group, row: &Row) -> String {
    let pick = row.cell("pick");
    let found = match group {
        Group::Honey | Group::Other => catalogue()
            .find(pick)
            .map(|entry| (&entry.source, entry.certainty)),
        Group::Yeast => catalogue()
            .find_yeast(pick)
            .map(|yeast| (&yeast.source, yeast.certainty)),
        Group::Feed => catalogue()
            .find_feed(pick)
            .map(|feed| (&feed.source, feed.certainty)),
        Group::Step => None,
    };
    found.map_or_else(String::new, |(source, certainty)| {
        format!("Source: {source} ({}).", certainty.words())
    })
}

fn is_empty(form: &Workbench, field: &str) -> bool {
    if let Some((group, rest)) = field.split_once('-')
        && let Some(group) = Group::from_word(group)
        && let Some((key, column)) = rest.split_once('-')
    {
        let row = form.rows(group).iter().find(|row| row.key == key);
        return row.is_none_or(|row| row.cell(column).trim().is_empty());
    }
    form.text(field).trim().is_empty()
}

/// What stands under a single field.
fn single_note(material: &Material<'_>, name: &str) -> String {
    let (form, units) = (material.form, material.units);
    let text = form.text(name);
    let numbers = material.numbers;
    match name {
        "volume" => match (form.text("aim").starts_with("honey_"), &numbers.whole) {
            (true, Some(whole)) => format!("solved: {}", units::volume(whole.volume_l, units)),
            _ => both(units::beside_volume(text, units), || {
                other_volume(material.checked.recipe.volume_l, units)
            }),
        },
        "strength" => match (&numbers.whole, form.text("aim")) {
            (Some(whole), "abv" | "honey_abv") => {
                format!("gravity {} at the start", units::gravity(whole.og))
            }
            _ => String::new(),
        },
        "gravity" => match (&numbers.finished, form.text("aim")) {
            (Some(finished), "gravity" | "honey_gravity") => {
                format!(
                    "{} in the end",
                    super::super::numbers::strength(finished.abv_percent)
                )
            }
            _ => String::new(),
        },
        "final_gravity" if form.text("finish") != "dry" => numbers
            .style
            .as_ref()
            .filter(|_| !text.trim().is_empty())
            .and_then(|style| style.sweetness.value.clone())
            .unwrap_or_default(),
        "temperature" => units::beside_temperature(text, units).unwrap_or_default(),
        "honey_to_use" => units::beside_mass(text, units).unwrap_or_default(),
        "vessel_brim" => match &numbers.vessel {
            Some(fit) => format!("wanted: {}", units::volume(fit.brim_wanted_l, units)),
            None => units::beside_volume(text, units).unwrap_or_default(),
        },
        "vessel_loss" => units::beside_volume(text, units).unwrap_or_default(),
        _ => String::new(),
    }
}

fn both(beside: Option<String>, otherwise: impl FnOnce() -> Option<String>) -> String {
    beside.or_else(otherwise).unwrap_or_default()
}

/// The volume in the other system, for whoever buys in it.
fn other_volume(litres: Option<f64>, units: Units) -> Option<String> {
    let litres = litres?;
    Some(match units {
        Units::Metric => format!("= {}", units::volume(litres, Units::Us)),
        Units::Us | Units::Imperial => format!("= {}", units::volume(litres, Units::Metric)),
    })
}

/// What stands under a cell.
fn cell_note(material: &Material<'_>, group: Group, row: &Row, column: &str) -> String {
    match (group, column) {
        (Group::Honey | Group::Other, "pick") => match catalogue().find(row.cell("pick")) {
            Some(entry) => match entry.composition {
                Some(parts) => format!(
                    "{}: {} water, {} sugar that ferments",
                    entry.words,
                    percent(parts.water),
                    percent(parts.fermentable)
                ),
                None => entry.words.clone(),
            },
            None => String::new(),
        },
        (Group::Honey | Group::Other, "amount") => amount_note(material, group, row),
        (Group::Yeast, "pick") => match catalogue().find_yeast(row.cell("pick")) {
            Some(yeast) => format!(
                "{}; stops near {}, likes {} to {}, {} need of nitrogen",
                yeast.words,
                super::super::numbers::strength(yeast.tolerance_abv_percent()),
                units::temperature(yeast.temperature_c[0], material.units),
                units::temperature(yeast.temperature_c[1], material.units),
                yeast.nitrogen_need.word()
            ),
            None => String::new(),
        },
        (Group::Feed, "pick") => match catalogue().find_feed(row.cell("pick")) {
            Some(feed) => match given(material, row).as_str() {
                "" => feed.words.clone(),
                given => format!("{}; {given}", feed.words),
            },
            None => given(material, row),
        },
        _ => String::new(),
    }
}

fn percent(fraction: f64) -> String {
    format!("{} %", units::plain((fraction * 1000.0).round() / 10.0, 1))
}

/// Grams of a feed over the whole plan.
fn given(material: &Material<'_>, row: &Row) -> String {
    let at = material
        .checked
        .feed_rows
        .iter()
        .position(|key| *key == row.key);
    let plan = material.numbers.feeding.as_ref();
    match at.zip(plan) {
        Some((at, plan)) => {
            let grams: f64 = plan
                .additions
                .iter()
                .filter(|gift| gift.index == at)
                .map(|gift| gift.grams)
                .sum();
            match grams {
                grams if grams > 0.0 => {
                    format!("{} in all", units::mass(grams / 1000.0, material.units))
                }
                _ => "none needed".to_owned(),
            }
        }
        None => String::new(),
    }
}

fn amount_note(material: &Material<'_>, group: Group, row: &Row) -> String {
    let units = material.units;
    let at = material
        .checked
        .item_rows
        .iter()
        .position(|(of, key)| *of == group && *key == row.key);
    let Some(at) = at else { return String::new() };
    let recipe: &Recipe = &material.checked.recipe;
    let Some(item) = recipe.ingredients.get(at) else {
        return String::new();
    };
    let lines: Vec<_> = material
        .numbers
        .ingredients
        .iter()
        .filter(|line| line.index == at)
        .collect();
    let solved: Vec<String> = lines
        .iter()
        .filter(|line| line.solved)
        .filter_map(|line| line.kg.map(|kg| (kg, line.when)))
        .map(
            |(kg, when)| match when == crate::engine::recipe::When::Sweeten && item.when != when {
                true => format!("and {} to sweeten", units::mass(kg, units)),
                false => format!("solved: {}", units::mass(kg, units)),
            },
        )
        .collect();
    let bare = match item.kind {
        crate::engine::recipe::Kind::Juice => Bare::Volume,
        _ => Bare::LargeMass,
    };
    let beside = units::beside_amount(row.cell("amount"), units, bare);
    let per_litre = lines
        .first()
        .and_then(|line| line.kg)
        .zip(material.numbers.whole.as_ref())
        .and_then(|(kg, whole)| {
            let fruit = matches!(item.kind, crate::engine::recipe::Kind::Fruit);
            let weighed = matches!(item.amount, Some(Amount::Kg(_) | Amount::Litres(_)));
            (fruit && weighed && kg > 0.0).then(|| units::dose(kg * 1000.0 / whole.volume_l, units))
        });
    let dosed = lines
        .first()
        .and_then(|line| line.kg)
        .filter(|_| matches!(item.amount, Some(Amount::GramsPerLitre(_))));
    let parts = solved
        .into_iter()
        .chain(beside)
        .chain(per_litre)
        .chain(dosed.map(|kg| format!("= {}", units::mass(kg, units))));
    parts.collect::<Vec<_>>().join(", ")
}
