//! The page on which batches are compared, and the choice of them.

use askama::Template;
use axum::extract::{RawQuery, State};
use sqlx::PgConnection;

use super::store::Choice;
use super::table::{Table, table};
use super::{MOST, store};
use crate::app::App;
use crate::batches::opened::{Opened, open, settings_of};
use crate::batches::{outlook, paths};
use crate::charts::overlay::{self, Overlay, Series, render};
use crate::recipes::lineage;
use crate::recipes::model::RecipeId;
use crate::recipes::public_id::PublicId;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Batches to choose among.
const CHOICES: usize = 40;
/// Letters of a name in the picture.
const SHORT: usize = 28;

struct Head {
    name: String,
    url: String,
    by: String,
    /// What its tasters said, and what follows from that; of one's own.
    next_url: Option<String>,
}

/// A batch that can be ticked.
struct Tick {
    id: String,
    label: String,
    chosen: bool,
}

#[derive(Template)]
#[template(path = "batches/compare.html")]
struct ComparePage {
    shell: Shell,
    list_url: String,
    action: String,
    /// What there was asked for and is not shown.
    cut: bool,
    none_of_lineage: bool,
    heads: Vec<Head>,
    /// Its parts: heading and lines.
    table: Option<Table>,
    chart_svg: String,
    days: overlay::Table,
    ticks: Vec<Tick>,
}

pub(super) async fn compare(
    State(app): State<App>,
    member: Member,
    RawQuery(query): RawQuery,
) -> Answer {
    let sent = Posted::asked(query, 100)?;
    let mut conn = app.pool.acquire().await?;
    let (mut ids, of_lineage) = match sent.one("recipe")? {
        "" => (sent.all("id").map(str::to_owned).collect(), false),
        recipe => (of_lineage(&mut conn, &member, recipe).await?, true),
    };
    let cut = ids.len() > MOST;
    ids.truncate(MOST);
    let batches = opened(&mut conn, &member, &ids).await?;
    let earlier = outlook::store::earlier(&mut conn).await?;
    let choices = store::choices(&mut conn, member.id, CHOICES).await?;
    drop(conn);
    let picture = picture(&app, &batches, &earlier);
    let base = app.site.base();
    page(&ComparePage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        list_url: base.link(paths::LIST.path),
        action: base.link(paths::COMPARE.path),
        cut,
        none_of_lineage: of_lineage && batches.is_empty(),
        heads: batches.iter().map(|one| head(&app, &member, one)).collect(),
        table: (!batches.is_empty()).then(|| table(&batches, member.settings.units)),
        chart_svg: match batches.is_empty() {
            true => String::new(),
            false => render(&picture),
        },
        days: picture.table(),
        ticks: ticks(&member, choices, &batches),
    })
}

/// Batches of a recipe, of what it came from and of what came of it.
async fn of_lineage(
    conn: &mut PgConnection,
    member: &Member,
    recipe: &str,
) -> Result<Vec<String>, Error> {
    let recipe: PublicId = recipe.parse().map_err(|_| Error::not_found())?;
    let family = lineage::store::find_family(conn, Some(member.id), &recipe).await?;
    if family.kin.is_empty() {
        return Err(Error::not_found());
    }
    let recipes: Vec<RecipeId> = family.kin.iter().map(|kin| kin.id).collect();
    let found = store::of_recipes(conn, member.id, &recipes, MOST + 1).await?;
    Ok(found.iter().map(|id| id.as_str().to_owned()).collect())
}

/// Those of them that the member may see, each once.
async fn opened(
    conn: &mut PgConnection,
    member: &Member,
    ids: &[String],
) -> Result<Vec<Opened>, Error> {
    let settings = settings_of(member);
    let mut batches: Vec<Opened> = Vec::new();
    for id in ids {
        let is_there = batches.iter().any(|one| one.batch.public_id.as_str() == id);
        if !is_there {
            batches.push(open(conn, Some(member.id), &settings, id).await?);
        }
    }
    batches.sort_by_key(|one| one.batch.began_at);
    Ok(batches)
}

fn head(app: &App, member: &Member, opened: &Opened) -> Head {
    let batch = &opened.batch;
    let path = paths::BATCH.with(&[batch.public_id.as_str()]);
    let begun = day(batch.began_at, member.settings.zone);
    Head {
        name: batch.name.clone(),
        url: app.site.base().link(&path),
        next_url: (batch.owner == member.id).then(|| {
            let path = paths::NEXT.with(&[batch.public_id.as_str()]);
            app.site.base().link(&path)
        }),
        by: match batch.owner == member.id {
            true => begun,
            false => format!("by {}, {begun}", batch.owner_name),
        },
    }
}

fn ticks(member: &Member, choices: Vec<Choice>, batches: &[Opened]) -> Vec<Tick> {
    let tick = |choice: Choice| {
        let begun = day(choice.began_at, member.settings.zone);
        Tick {
            chosen: batches
                .iter()
                .any(|one| one.batch.public_id == choice.public_id),
            id: choice.public_id.as_str().to_owned(),
            label: match choice.owner == member.id {
                true => format!("{}, {begun}", choice.name),
                false => format!("{} by {}, {begun}", choice.name, choice.owner_name),
            },
        }
    };
    choices.into_iter().map(tick).collect()
}

/// Their fermentations, each from its own pitch.
fn picture(app: &App, batches: &[Opened], earlier: &[(f64, f64)]) -> Overlay {
    let series = batches.iter().map(|one| {
        let now_h = one.batch.hours_at(app.clock.now());
        let sight = outlook::sight(one, now_h, earlier.to_vec(), false);
        let known = &sight.case.known;
        let line = match &sight.outlook {
            Ok(outlook) if outlook.is_fitted => {
                let points = outlook.points.iter();
                let past = points.filter(|point| point.hours <= known.now_h);
                past.map(|point| (point.hours / 24.0, point.sg.best))
                    .collect()
            }
            _ => Vec::new(),
        };
        Series {
            words: short(&one.batch.name),
            line,
            readings: known
                .readings
                .iter()
                .map(|read| (read.hours / 24.0, read.sg))
                .collect(),
        }
    });
    Overlay {
        prefix: "compared".to_owned(),
        title: "Gravity of each batch".to_owned(),
        description: "Gravity over the days since the pitch, a line for each batch.".to_owned(),
        axis: "days since the pitch".to_owned(),
        series: series.collect(),
    }
}

fn short(name: &str) -> String {
    match name.chars().count() > SHORT {
        true => name.chars().take(SHORT - 1).chain(['…']).collect(),
        false => name.to_owned(),
    }
}
