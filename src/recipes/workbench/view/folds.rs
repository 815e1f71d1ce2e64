//! What the five questions fold away: in a few words what it holds, and whether that was assumed.

use std::collections::HashMap;

use super::Material;
use crate::engine::recipe::FeedingLevel;
use crate::recipes::forms::{Group, filler_parts};
use crate::recipes::workbench::assume;
use crate::recipes::workbench::choices::{gentleness, share_choices};

/// A part of the form that is folded away.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FoldView {
    /// What it holds.
    pub says: String,
    /// Whether that is as usual, and nobody said it.
    pub assumed: bool,
    /// Whether it stands open: something is wrong in it, or a button of it was pressed.
    pub open: bool,
}

/// A fold: its word, its fields and its groups of rows.
const FOLDS: &[(&str, &[&str], &[Group])] = &[
    ("yeast", &["temperature"], &[Group::Yeast]),
    ("feed", &["feeding"], &[Group::Feed]),
    (
        "water",
        &[
            "filler",
            "water_calcium",
            "water_magnesium",
            "water_sodium",
            "water_potassium",
            "water_bicarbonate",
            "water_alkalinity",
            "water_sulfate",
            "water_chloride",
            "water_nitrate",
            "water_carbonate",
            "water_hydroxide",
        ],
        &[Group::Salt],
    ),
    (
        "notes",
        &[
            "notes",
            "style",
            "sweetness_word",
            "strength_word",
            "carbonation_word",
        ],
        &[Group::Step],
    ),
    ("save", &["visibility", "note"], &[]),
];

/// All of them, by their words. `wrong` tells whether something is wrong with a field.
pub(super) fn all(
    material: &Material<'_>,
    wrong: &dyn Fn(&str) -> bool,
) -> HashMap<&'static str, FoldView> {
    let form = material.form;
    FOLDS
        .iter()
        .map(|(word, singles, groups)| {
            let faulty = singles.iter().any(|name| wrong(name))
                || groups
                    .iter()
                    .any(|group| wrong(&format!("{}-", group.word())))
                || (*word == "feed" && wrong("mixing_day"));
            let fold = FoldView {
                says: says(material, word),
                assumed: assume::is_as_usual(form, singles, groups, material.units),
                open: faulty || groups.iter().any(|group| material.touched == Some(*group)),
            };
            (*word, fold)
        })
        .collect()
}

fn says(material: &Material<'_>, word: &str) -> String {
    let form = material.form;
    let names = |group: Group| {
        let names: Vec<String> = form
            .rows(group)
            .iter()
            .filter_map(|row| row.called(material.catalogue))
            .collect();
        match names.as_slice() {
            [] => "none".to_owned(),
            names => names.join(", "),
        }
    };
    match word {
        "yeast" => match form.text("temperature").trim() {
            "" => names(Group::Yeast),
            warmth => format!("{}, at {warmth}", names(Group::Yeast)),
        },
        "feed" => format!("{}, {}", names(Group::Feed), gentle(form.text("feeding"))),
        "water" => match filler_parts(form.text("filler")) {
            ("" | "water", _) => water(material),
            (_, "") => "an ingredient".to_owned(),
            (_, name) => name.to_owned(),
        },
        "notes" => match (form.rows(Group::Step).len(), form.text("notes").trim()) {
            (0, "") => "none yet".to_owned(),
            (0, _) => "some notes".to_owned(),
            (1, _) => "one step of your own".to_owned(),
            (many, _) => format!("{many} steps of your own"),
        },
        _ => {
            let chosen = form.text("visibility");
            let of_choice = share_choices()
                .into_iter()
                .find(|(value, _)| value == chosen);
            of_choice.map_or(String::new(), |(_, words)| words)
        }
    }
}

/// Water, and what is known of it.
fn water(material: &Material<'_>) -> String {
    let report = material.checked.recipe.water_report.as_ref();
    let reported = report.is_some_and(|report| !report.ions.is_empty());
    let salted = report.is_some_and(|report| !report.salts.is_empty());
    let told = match (reported, salted) {
        (true, true) => "water, with its report and salts",
        (true, false) => "water, with its report",
        (false, true) => "water with salts",
        (false, false) => "water",
    };
    told.to_owned()
}

fn gentle(word: &str) -> &'static str {
    let level = FeedingLevel::from_word(word).unwrap_or(FeedingLevel::Usual);
    gentleness(level).split(':').next().unwrap_or_default()
}
