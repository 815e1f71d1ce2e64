//! What the template prints: fields, answer, cautions beside their numbers, picture and table, method.

use serde_json::Value;

use super::case::{Case, caution_json};
use super::fields;
use super::forms::{Asked, start};
use super::model::{Field, Figure, Group, Look, Said, Table};
use crate::charts::graph::{Graph, render};
use crate::engine::calculations;
use crate::engine::problem::CautionCode;
use crate::safety::place_of;
use crate::web::words::{Words, caution_sentence};

/// A field as it is drawn.
pub struct FieldView {
    pub id: String,
    pub label: &'static str,
    /// Words of the label that are heard and not seen: the row.
    pub spoken: &'static str,
    pub hint: &'static str,
    pub text: String,
    pub fault: String,
    pub note: String,
    pub choices: Vec<(String, String)>,
    pub is_choice: bool,
}

/// A group of fields as it is drawn.
pub struct GroupView {
    pub legend: &'static str,
    pub row: bool,
    pub fold: bool,
    /// A fold with something in it is open.
    pub open: bool,
    pub fields: Vec<FieldView>,
}

/// A caution as it stands beside a number.
pub struct CautionLine {
    pub class: &'static str,
    pub words: Words,
    /// Where more is said of it, below the base.
    pub safety: Option<String>,
}

/// A number with what to beware of.
pub struct FigureView {
    pub figure: Figure,
    pub cautions: Vec<CautionLine>,
}

/// The answer, if there is one.
#[derive(Default)]
pub struct AnswerView {
    pub sentence: String,
    pub figures: Vec<FigureView>,
    pub chart_svg: String,
    pub table: Option<Table>,
    /// What went in, as the engine took it.
    pub inputs: Vec<(String, String)>,
}

/// The groups of the form, with texts and faults.
pub fn groups(asked: &Asked<'_>) -> Vec<GroupView> {
    let groups = asked.page.groups.iter();
    groups.map(|group| group_view(group, asked)).collect()
}

fn group_view(group: &'static Group, asked: &Asked<'_>) -> GroupView {
    let row = group.look == Look::Row;
    let fold = group.look == Look::Fold;
    let fields: Vec<FieldView> = group
        .fields
        .iter()
        .map(|field| {
            let id = field.name();
            let text = asked.form.typed(&id).to_owned();
            let default = default_of(asked.page.name, field.key);
            let note = match (text.trim().is_empty(), default) {
                (true, Some(value)) => {
                    let shown = fields::shown(field.kind, value, asked.units);
                    format!("left empty: {shown}")
                }
                _ => fields::beside(field.kind, &text, asked.units),
            };
            FieldView {
                label: field.label,
                spoken: if row { group.legend } else { "" },
                hint: field.hint,
                fault: asked.form.message(&id).to_owned(),
                note,
                choices: fields::options(field, asked.club),
                is_choice: fields::is_choice(field.kind),
                text,
                id,
            }
        })
        .collect();
    let used =
        |field: &FieldView, start: &str| !field.fault.is_empty() || field.text.trim() != start;
    let starts = group.fields.iter().map(|field| start(field, asked.units));
    GroupView {
        legend: group.legend,
        row,
        fold,
        open: fold
            && fields
                .iter()
                .zip(starts)
                .any(|(field, start)| used(field, start)),
        fields,
    }
}

/// What the calculation takes where nothing is given.
fn default_of(name: &str, key: &str) -> Option<f64> {
    let known = calculations::find(name)?.inputs.iter();
    known
        .filter(|known| known.name == key)
        .find_map(|known| known.default)
}

/// The answer as it is drawn.
pub fn answer(asked: &Asked<'_>, case: &Case) -> AnswerView {
    let said = (asked.page.answer)(case);
    let mut cautions = case.cautions();
    cautions.extend(said.cautions.iter().map(caution_json));
    let table = said
        .table
        .clone()
        .or_else(|| said.graph.as_ref().map(table_of));
    AnswerView {
        figures: with_cautions(asked, &said, cautions),
        chart_svg: said.graph.as_ref().map(render).unwrap_or_default(),
        table,
        inputs: inputs(asked, case),
        sentence: said.sentence,
    }
}

fn with_cautions(asked: &Asked<'_>, said: &Said, cautions: Vec<Value>) -> Vec<FigureView> {
    let mut views: Vec<FigureView> = said
        .figures
        .iter()
        .map(|figure| FigureView {
            figure: figure.clone(),
            cautions: Vec::new(),
        })
        .collect();
    for caution in cautions {
        let text = |key: &str| caution.get(key).and_then(Value::as_str).unwrap_or_default();
        let code = text("code");
        let known = CautionCode::ALL.iter().find(|known| known.as_str() == code);
        let beside = asked.page.beside.iter();
        let mut beside = beside
            .filter(|(told, _)| Some(told) == known)
            .map(|(_, key)| *key);
        let place = beside
            .next_back()
            .and_then(|key| views.iter().position(|view| view.figure.key == key));
        let arguments = caution.get("arguments").cloned().unwrap_or_default();
        let line = CautionLine {
            class: match text("severity") {
                "danger" => "danger",
                "watch" => "watch",
                _ => "",
            },
            words: caution_sentence(code, &arguments, asked.units),
            safety: known
                .and_then(|known| place_of(*known))
                .map(|place| place.path()),
        };
        if let Some(view) = views.get_mut(place.unwrap_or(0)) {
            view.cautions.push(line);
        }
    }
    views
}

fn table_of(graph: &Graph) -> Table {
    let rows = graph.rows().into_iter().map(Vec::from).collect();
    Table {
        caption: graph.title.clone(),
        heads: vec![graph.x.name.clone(), graph.y.name.clone()],
        rows,
    }
}

/// What went in: choices by their names, numbers as they were taken.
fn inputs(asked: &Asked<'_>, case: &Case) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for (group, view) in asked.page.groups.iter().zip(groups(asked)) {
        let rows = group.look == Look::Row;
        if rows && view.fields.iter().all(|field| field.text.trim().is_empty()) {
            continue;
        }
        for (field, shown) in group.fields.iter().zip(&view.fields) {
            let name = match rows {
                true => format!("{}: {}", group.legend, field.label),
                false => field.label.to_owned(),
            };
            let value = match asked.names.get(field.key) {
                Some(chosen) => Some(chosen.clone()),
                None => taken(asked, case, field, shown),
            };
            all.extend(value.map(|value| (name, value)));
        }
    }
    all
}

fn taken(asked: &Asked<'_>, case: &Case, field: &Field, shown: &FieldView) -> Option<String> {
    let path = asked.path_of(field);
    match case.given(&path) {
        Some(value) => Some(fields::shown(field.kind, value, asked.units)),
        // Read as another key, as a gravity in kg/m³.
        None if !shown.text.trim().is_empty() => Some(shown.text.trim().to_owned()),
        None => None,
    }
}
