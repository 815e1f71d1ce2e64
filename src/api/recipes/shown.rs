//! What a program is shown of recipes and revisions.

use chrono::{DateTime, Utc};
use serde::Serialize;

use crate::engine::{self, Formulation};
use crate::recipes::model::{Recipe, RecipeLine, Revision, RevisionLine, Visibility};
use crate::web::viewer::{Member, MemberId};

/// The numbers that lists have.
#[derive(Serialize)]
struct Numbers<'a> {
    volume_l: Option<f64>,
    og: Option<f64>,
    fg: Option<f64>,
    abv_percent: Option<f64>,
    honey_kg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    honeys: Option<&'a [String]>,
    problems: i32,
}

/// One recipe of a list.
#[derive(Serialize)]
pub(super) struct Line<'a> {
    id: &'a str,
    title: &'a str,
    maker: &'a str,
    mine: bool,
    visibility: Visibility,
    revision: i32,
    updated_at: DateTime<Utc>,
    numbers: Numbers<'a>,
}

impl<'a> Line<'a> {
    pub fn of(line: &'a RecipeLine, member: MemberId) -> Line<'a> {
        Line {
            id: line.public_id.as_str(),
            title: &line.title,
            maker: &line.owner_name,
            mine: line.owner == member,
            visibility: line.visibility,
            revision: line.version,
            updated_at: line.updated_at,
            numbers: Numbers {
                volume_l: line.volume_l,
                og: line.og,
                fg: line.fg,
                abv_percent: line.abv_percent,
                honey_kg: line.honey_kg,
                honeys: Some(&line.honeys),
                problems: line.problems,
            },
        }
    }
}

/// A page of recipes.
#[derive(Serialize)]
pub(super) struct Page<'a> {
    pub recipes: Vec<Line<'a>>,
    /// What to ask for as `after`; null on the last page.
    pub next: Option<String>,
}

/// One revision of a list.
#[derive(Serialize)]
pub(super) struct RevisionOf<'a> {
    number: i32,
    title: &'a str,
    note: &'a str,
    maker: &'a str,
    created_at: DateTime<Utc>,
    restored_from: Option<i32>,
    numbers: Numbers<'a>,
}

impl<'a> RevisionOf<'a> {
    pub fn of(line: &'a RevisionLine) -> RevisionOf<'a> {
        RevisionOf {
            number: line.number,
            title: &line.title,
            note: &line.note,
            maker: &line.author_name,
            created_at: line.created_at,
            restored_from: line.restored_from,
            numbers: Numbers {
                volume_l: line.volume_l,
                og: line.og,
                fg: line.fg,
                abv_percent: line.abv_percent,
                honey_kg: line.honey_kg,
                honeys: None,
                problems: line.problems,
            },
        }
    }
}

/// A page of revisions.
#[derive(Serialize)]
pub(super) struct RevisionPage<'a> {
    pub revisions: Vec<RevisionOf<'a>>,
    /// What to ask for as `before`; null on the last page.
    pub next: Option<i32>,
}

/// A recipe with one of its revisions.
#[derive(Serialize)]
pub(super) struct Whole<'a> {
    id: &'a str,
    mine: bool,
    visibility: Visibility,
    /// The newest revision's number.
    newest: i32,
    created_at: DateTime<Utc>,
    updated_at: DateTime<Utc>,
    revision: i32,
    title: &'a str,
    note: &'a str,
    maker: &'a str,
    saved_at: DateTime<Utc>,
    restored_from: Option<i32>,
    document: &'a engine::Recipe,
    formulation: Formulation,
}

impl<'a> Whole<'a> {
    pub fn of(
        recipe: &'a Recipe,
        revision: &'a Revision,
        document: &'a engine::Recipe,
        member: &Member,
    ) -> Whole<'a> {
        let settings = engine::Settings {
            sachet_g: member.settings.sachet_g,
        };
        Whole {
            id: recipe.public_id.as_str(),
            mine: recipe.owner == member.id,
            visibility: recipe.visibility,
            newest: recipe.version,
            created_at: recipe.created_at,
            updated_at: recipe.updated_at,
            revision: revision.number,
            title: &revision.title,
            note: &revision.note,
            maker: &revision.author_name,
            saved_at: revision.created_at,
            restored_from: revision.restored_from,
            document,
            formulation: engine::formulate(document, &settings),
        }
    }
}

/// What an edit must have seen: which revision is the newest, and who sees it.
pub(super) fn tag_of(recipe: &Recipe) -> String {
    format!("\"{}.{}\"", recipe.version, recipe.visibility.as_str())
}
