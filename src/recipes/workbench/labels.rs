//! A form read back in the words of its page: each field under its label, choices as they are offered.

use super::choices::Choices;
use crate::catalogue::club::ClubCatalogue;
use crate::recipes::compare::Change;
use crate::recipes::forms::{Group, Row, Workbench, filler_parts};

/// Fields that stand once, under the labels of the page. What says how the form is laid out is not among them.
const SINGLE: &[(&str, &str)] = &[
    ("title", "Name"),
    ("aim", "Aim for"),
    ("strength", "Strength"),
    ("gravity", "Gravity at the start"),
    ("honey_to_use", "Honey there is"),
    ("volume", "Volume of must"),
    ("finish", "How it ends"),
    ("final_gravity", "Gravity at the end"),
    ("filler", "What fills up"),
    ("water_report", "Report of the water"),
    ("water_calcium", "Water, calcium"),
    ("water_magnesium", "Water, magnesium"),
    ("water_sodium", "Water, sodium"),
    ("water_potassium", "Water, potassium"),
    ("water_bicarbonate", "Water, bicarbonate"),
    ("water_alkalinity", "Water, alkalinity"),
    ("water_sulfate", "Water, sulfate"),
    ("water_chloride", "Water, chloride"),
    ("water_nitrate", "Water, nitrate"),
    ("water_carbonate", "Water, carbonate"),
    ("water_hydroxide", "Water, hydroxide"),
    ("temperature", "Temperature of the must"),
    ("feeding", "How gently to feed"),
    ("vessel_pick", "Vessel"),
    ("vessel_name", "Vessel, called"),
    ("vessel_kind", "Vessel, kind"),
    ("vessel_brim", "Vessel, to the brim"),
    ("vessel_mouth", "Vessel, mouth"),
    ("vessel_headspace", "Room to leave free"),
    ("vessel_loss", "Stays behind"),
    ("notes", "Notes"),
    ("style", "Style, in your words"),
    ("sweetness_word", "Sweetness, in your words"),
    ("strength_word", "Strength, in your words"),
    ("carbonation_word", "Bubbles, in your words"),
];

/// Columns of rows, under the labels of the page.
const COLUMNS: &[(&str, &str)] = &[
    ("pick", "choice"),
    ("name", "called"),
    ("kind", "kind"),
    ("form", "form"),
    ("when", "when"),
    ("days", "days in it"),
    ("amount", "amount"),
    ("price", "price"),
    ("water", "water, %"),
    ("fermentable", "sugar that ferments, %"),
    ("unfermentable", "dissolved, stays, %"),
    ("insoluble", "does not dissolve, %"),
    ("yan", "nitrogen for yeast, mg/kg"),
    ("acid", "acid, as tartaric, g/kg"),
    ("density", "density, kg/L"),
    ("spread", "spread"),
    ("remark", "remark"),
    ("tolerance", "stops at, %"),
    ("need", "need of nitrogen"),
    ("coldest", "coldest"),
    ("warmest", "warmest"),
    ("attenuation", "share of sugar used"),
    ("ammonium", "nitrogen as ammonium, mg/g"),
    ("organic", "nitrogen, organic, mg/g"),
    ("most", "at most"),
    ("share", "part it should cover, %"),
    ("grams", "how much"),
    ("text", "what to do"),
];

fn group_words(group: Group) -> &'static str {
    match group {
        Group::Honey => "Honey",
        Group::Other => "Fruit and others",
        Group::Yeast => "Yeast",
        Group::Feed => "Feed",
        Group::Salt => "Salt",
        Group::Step => "Step",
    }
}

/// The words of a chosen value, or the text itself; nothing chosen has no words.
fn said(pairs: &[(String, String)], value: &str) -> String {
    if value.is_empty() {
        return String::new();
    }
    let found = pairs.iter().find(|(known, _)| known == value);
    found.map_or_else(|| value.to_owned(), |(_, words)| words.clone())
}

fn single_text(choices: &Choices, name: &str, text: &str) -> String {
    match name {
        "aim" => said(&choices.aims, text),
        "finish" => said(&choices.finishes, text),
        "feeding" => said(&choices.levels, text),
        "vessel_pick" => said(&choices.vessels, text),
        "vessel_mouth" => said(&choices.mouths, text),
        "filler" => match filler_parts(text) {
            (word, "") => word.to_owned(),
            (_, called) => called.to_owned(),
        },
        _ => text.to_owned(),
    }
}

fn cell_text(
    choices: &Choices,
    catalogue: &ClubCatalogue,
    group: Group,
    row: &Row,
    column: &str,
) -> String {
    let text = row.cell(column);
    match (column, group) {
        ("pick", _) if !text.is_empty() => row.called(catalogue).unwrap_or_else(|| text.to_owned()),
        ("when", Group::Yeast) => said(&choices.yeast_whens, text),
        ("when", Group::Honey | Group::Other) => said(&choices.whens, text),
        _ => text.to_owned(),
    }
}

/// The fields in which two forms differ, under the labels of the page.
pub fn changes(
    before: &Workbench,
    after: &Workbench,
    choices: &Choices,
    catalogue: &ClubCatalogue,
) -> Vec<Change> {
    let before = labelled(before, choices, catalogue);
    let after = labelled(after, choices, catalogue);
    let mut labels: Vec<&String> = before.iter().map(|(label, _)| label).collect();
    let more = after.iter().map(|(label, _)| label);
    labels.extend(more.filter(|label| !before.iter().any(|(known, _)| known == *label)));
    let text = |pairs: &[(String, String)], label: &str| {
        let found = pairs.iter().find(|(of, _)| of == label);
        found.map(|(_, text)| text.clone()).unwrap_or_default()
    };
    labels
        .into_iter()
        .filter_map(|label| Change::between(label, text(&before, label), text(&after, label)))
        .collect()
}

/// Everything that was typed or chosen, under its label, in the order of the page.
pub fn labelled(
    form: &Workbench,
    choices: &Choices,
    catalogue: &ClubCatalogue,
) -> Vec<(String, String)> {
    let single = SINGLE.iter().map(|(name, label)| {
        (
            (*label).to_owned(),
            single_text(choices, name, form.text(name).trim()),
        )
    });
    let rows = Group::ALL.into_iter().flat_map(|group| {
        let rows = form.rows(group).iter().enumerate();
        rows.flat_map(move |(index, row)| {
            COLUMNS.iter().map(move |(column, label)| {
                let label = format!("{} {}, {label}", group_words(group), index + 1);
                (label, cell_text(choices, catalogue, group, row, column))
            })
        })
    });
    single
        .chain(rows)
        .filter(|(_, text)| !text.trim().is_empty())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipes::forms::SINGLE as FIELDS;

    #[test]
    fn every_field_of_the_form_has_a_label() {
        // Asked for the revision, not part of its text.
        let besides = ["note", "visibility"];
        for name in FIELDS.iter().filter(|name| !besides.contains(name)) {
            assert!(SINGLE.iter().any(|(known, _)| known == name), "{name}");
        }
        for column in Group::ALL.iter().flat_map(|group| group.columns()) {
            // The key of an entry is not for the eye.
            let known = COLUMNS.iter().any(|(known, _)| known == column);
            assert!(known || *column == "entry", "{column}");
        }
    }

    #[test]
    fn a_form_is_read_back_in_the_words_of_its_page() {
        let mut form = Workbench::default();
        form.set("title", "Mine");
        form.set("aim", "abv");
        form.set("base_version", "3");
        form.add_row(Group::Step, &[("when", "day 3"), ("text", "stir")]);
        let catalogue = ClubCatalogue::default();
        let viewer = crate::web::viewer::Viewer::stranger();
        let now = chrono::DateTime::UNIX_EPOCH;
        let reader = crate::recipes::workbench::reader(&viewer, now, catalogue.clone());
        let choices = Choices::of(&form, &[], &reader);
        let said = labelled(&form, &choices, &catalogue);
        let said: Vec<_> = said
            .iter()
            .map(|(label, text)| format!("{label}: {text}"))
            .collect();
        assert_eq!(
            said,
            [
                "Name: Mine",
                "Aim for: a strength",
                "Step 1, when: day 3",
                "Step 1, what to do: stir"
            ]
        );
    }
}
