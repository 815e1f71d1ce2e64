//! The page of a lineage: a nested list of recipes, each with what changed, by whom, when and how it is liked; and the
//! revisions of the recipe itself.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, State};

use super::told::{Reckoned, in_a_line};
use super::tree::{Place, in_order};
use super::{Family, Kin, store};
use crate::app::App;
use crate::batches;
use crate::recipes::list::encoded;
use crate::recipes::model::{RecipeId, RevisionLine, StartedFrom};
use crate::recipes::numbers::Reader;
use crate::recipes::opened::reader_for;
use crate::recipes::public_id::PublicId;
use crate::recipes::revisions::note_words;
use crate::recipes::{paths, store as recipes};
use crate::web::dates;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::shell::{Nav, Shell};
use crate::web::units;
use crate::web::viewer::{Member, Viewer};

/// Revisions of the recipe itself that are told.
const REVISIONS: usize = 20;

/// One recipe of the list.
struct Branch {
    /// Begins a list below the one before; else it ends so many.
    opens: bool,
    closes: usize,
    /// Whether it is the recipe whose lineage this is.
    here: bool,
    url: String,
    title: String,
    meta: String,
    /// "From revision 2: strength from 13 % to 11 %."
    step: String,
    changes_url: String,
    /// "Rated 4.2 of 5 by 6."
    rated: String,
}

/// One revision of the recipe itself.
struct Step {
    number: i32,
    url: String,
    words: String,
    meta: String,
    changed: String,
    changes_url: Option<String>,
}

#[derive(Template)]
#[template(path = "recipes/lineage.html")]
struct LineagePage {
    shell: Shell,
    title: String,
    sheet_url: String,
    /// What the oldest shown was started from, where that is not shown.
    unseen: String,
    branches: Vec<Branch>,
    /// Lists that end after the last.
    ends: usize,
    cut: bool,
    best: String,
    steps: Vec<Step>,
    revisions_url: String,
    compare_url: String,
    batches_url: String,
}

pub(in crate::recipes) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(&app, &mut conn, &member).await?;
    let family = store::find_family(&mut conn, viewer.id(), &id).await?;
    let own = family.kin.iter().find(|kin| kin.public_id == id);
    let own = own.cloned().ok_or_else(Error::not_found)?;
    let ids: Vec<RecipeId> = family.kin.iter().map(|kin| kin.id).collect();
    let documents = store::list_documents(&mut conn, viewer.id(), &ids).await?;
    let lines = recipes::list_revisions(&mut conn, viewer.id(), &id, None, REVISIONS).await?;
    let texts = store::list_revision_documents(&mut conn, viewer.id(), &id, REVISIONS + 1).await?;
    let oldest = family.kin.iter().find(|kin| kin.parent.is_none());
    let unseen = match oldest {
        Some(kin) => recipes::find_started_from(&mut conn, viewer.id(), &kin.public_id).await?,
        None => None,
    };
    drop(conn);
    let changed: BTreeMap<i64, String> = documents
        .iter()
        .filter_map(|both| {
            let before = Reckoned::of(&both.source, &reader)?;
            let after = Reckoned::of(&both.newest, &reader)?;
            Some((both.id.0, in_a_line(&before, &after)))
        })
        .collect();
    let look = Look {
        app: &app,
        member: &member,
        id: &id,
    };
    let branches = look.branches(&family, &changed);
    let base = app.site.base();
    let places = in_order(&family.kin);
    page(&LineagePage {
        shell: app.shell(&viewer).at_place(Nav::Recipes),
        sheet_url: base.link(&paths::SHEET.with(&[id.as_str()])),
        unseen: unseen_words(oldest, unseen),
        ends: places.last().map_or(0, |place| place.depth + 1),
        branches,
        cut: family.cut,
        best: best_words(&own),
        steps: look.steps(&lines, &texts, &reader),
        revisions_url: base.link(&paths::REVISIONS.with(&[id.as_str()])),
        compare_url: base.link(&paths::COMPARE.with(&[id.as_str()])),
        batches_url: base.link(&format!(
            "{}?recipe={}",
            batches::paths::COMPARE.path,
            id.as_str()
        )),
        title: own.title,
    })
}

/// "Meadow was itself started from a recipe by Ada that is not shared with you."
fn unseen_words(oldest: Option<&Kin>, from: Option<StartedFrom>) -> String {
    let (Some(kin), Some(from)) = (oldest, from) else {
        return String::new();
    };
    let by = from.author_name.map(|name| format!(" by {name}"));
    format!(
        "{} was itself started from a recipe{}, revision {}, that is not shown here.",
        kin.title,
        by.unwrap_or_default(),
        from.number
    )
}

/// Which revision scored best, where any was rated.
fn best_words(kin: &Kin) -> String {
    match (kin.best_number, kin.best_mean, kin.best_count) {
        (Some(number), Some(mean), Some(many)) => format!(
            "Of its revisions, {number} is liked best: {} of 5 by {}.",
            units::plain(mean, 1),
            people(many)
        ),
        _ => String::new(),
    }
}

fn people(many: i64) -> String {
    match many {
        1 => "one member".to_owned(),
        many => format!("{many} members"),
    }
}

/// For whom and about which recipe the page speaks.
struct Look<'a> {
    app: &'a App,
    member: &'a Member,
    id: &'a PublicId,
}

impl Look<'_> {
    fn link(&self, path: &str) -> String {
        self.app.site.base().link(path)
    }

    fn day(&self, at: chrono::DateTime<chrono::Utc>) -> String {
        dates::day(at, self.member.settings.zone)
    }

    fn branches(&self, family: &Family, changed: &BTreeMap<i64, String>) -> Vec<Branch> {
        let by_id: BTreeMap<i64, &Kin> = family.kin.iter().map(|kin| (kin.id.0, kin)).collect();
        let mut before: Option<usize> = None;
        let branch = |Place { kin, depth }: &Place<'_>| {
            let opens = before.is_none_or(|before| before < *depth);
            let closes = before.map_or(0, |before| before.saturating_sub(*depth));
            before = Some(*depth);
            let parent = kin.parent.and_then(|id| by_id.get(&id.0));
            Branch {
                opens,
                closes,
                here: kin.public_id == *self.id,
                url: self.link(&paths::SHEET.with(&[kin.public_id.as_str()])),
                title: kin.title.clone(),
                meta: self.meta(kin),
                step: self.step(kin, changed),
                changes_url: parent.map_or(String::new(), |parent| self.changes(kin, parent)),
                rated: rated_words(kin),
            }
        };
        in_order(&family.kin).iter().map(branch).collect()
    }

    /// "by Ada, started on 3 May 2026, 4 revisions".
    fn meta(&self, kin: &Kin) -> String {
        let by = match kin.owner == self.member.id {
            true => "you",
            false => kin.owner_name.as_str(),
        };
        let revisions = match kin.version {
            1 => "1 revision".to_owned(),
            many => format!("{many} revisions"),
        };
        format!(
            "by {by}, begun on {}, {revisions}",
            self.day(kin.created_at)
        )
    }

    fn step(&self, kin: &Kin, changed: &BTreeMap<i64, String>) -> String {
        match (kin.from_number, changed.get(&kin.id.0)) {
            (Some(number), Some(line)) => format!("From revision {number}: {line}"),
            (Some(number), None) => format!("From revision {number}."),
            _ => String::new(),
        }
    }

    fn changes(&self, kin: &Kin, parent: &Kin) -> String {
        let at = paths::CHANGES.with(&[kin.public_id.as_str(), &kin.version.to_string()]);
        let number = kin.from_number.unwrap_or(1).to_string();
        let pairs = [("of", parent.public_id.as_str()), ("since", &number)];
        self.link(&format!("{at}?{}", encoded(&pairs)))
    }

    fn steps(
        &self,
        lines: &[RevisionLine],
        texts: &[(i32, serde_json::Value)],
        reader: &Reader,
    ) -> Vec<Step> {
        let reckoned: BTreeMap<i32, Reckoned> = texts
            .iter()
            .filter_map(|(number, text)| Some((*number, Reckoned::of(text, reader)?)))
            .collect();
        let step = |line: &RevisionLine| {
            let id = self.id.as_str();
            let number = line.number.to_string();
            let both = reckoned
                .get(&(line.number - 1))
                .zip(reckoned.get(&line.number));
            Step {
                number: line.number,
                url: self.link(&paths::REVISION.with(&[id, &number])),
                words: match note_words(&line.note, line.restored_from) {
                    note if note.is_empty() => line.title.clone(),
                    note => note,
                },
                meta: format!("by {}, {}", line.author_name, self.day(line.created_at)),
                changed: both.map_or(String::new(), |(before, after)| in_a_line(before, after)),
                changes_url: (line.number > 1)
                    .then(|| self.link(&paths::CHANGES.with(&[id, &number]))),
            }
        };
        lines.iter().map(step).collect()
    }
}

/// "Rated 4.2 of 5 by 6 members, revision 2 best."
fn rated_words(kin: &Kin) -> String {
    let Some(mean) = kin.rating_mean.filter(|_| kin.rating_count > 0) else {
        return String::new();
    };
    let best = kin.best_number.filter(|_| kin.version > 1);
    format!(
        "rated {} of 5 by {}{}",
        units::plain(mean, 1),
        people(kin.rating_count.into()),
        best.map_or(String::new(), |number| format!(", revision {number} best"))
    )
}
