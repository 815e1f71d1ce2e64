//! The page that decides the next one, and the draft that it leads to.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::{answers, words};
use crate::app::App;
use crate::batches::opened::{Opened, open_own, settings_of};
use crate::batches::paths;
use crate::calculations;
use crate::engine::decide::mend::{Mend, mends};
use crate::engine::decide::{
    Answer as Said, Change, ChangeCode, Heard, changes, heard, taste_again,
};
use crate::engine::{self, formulate};
use crate::recipes;
use crate::recipes::next::Next;
use crate::tastings;
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::units::fixed;
use crate::web::viewer::{Member, Viewer};
use crate::web::words::Words;

/// Changes that are offered.
const MOST: usize = 6;

#[derive(Template)]
#[template(path = "batches/next.html")]
struct NextPage {
    shell: Shell,
    name: String,
    batch_url: String,
    taste_url: String,
    lead: String,
    again: Vec<Words>,
    mends: Vec<(Words, Option<(&'static str, String)>)>,
    senses: Vec<SenseLine>,
    changes: Vec<ChangeLine>,
    /// The recipe whose next revision it is.
    recipe: Option<(String, String)>,
    is_own: bool,
    action: String,
    form: FormState,
    once: String,
}

/// What was said of a sense.
struct SenseLine {
    name: &'static str,
    little: String,
    right: String,
    much: String,
    costs: [String; 2],
    early: usize,
}

/// One change that is offered.
struct ChangeLine {
    /// What a form calls it.
    key: String,
    id: String,
    words: String,
    reason: String,
    does: Vec<String>,
    is_first: bool,
    message: String,
}

/// Everything that the page and its form go by.
struct Case {
    opened: Opened,
    answers: Vec<Said>,
    heard: Vec<Heard>,
    next: Option<Next>,
}

async fn case(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Case, Error> {
    let opened = open_own(conn, member, id).await?;
    let mut answers = answers::of_log(&opened);
    answers.extend(of_tastings(conn, member, &opened).await?);
    let next = match &opened.batch.made_of {
        Some(made) => Next::of(app, conn, member, &made.recipe).await?,
        None => None,
    };
    Ok(Case {
        heard: heard(&answers),
        opened,
        answers,
        next,
    })
}

/// What was said of it at tastings that are over, as far as the member may read that.
async fn of_tastings(
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
) -> Result<Vec<Said>, Error> {
    let batch = &opened.batch;
    let all = tastings::store::of_batch(conn, member.id, &batch.public_id).await?;
    let mut found = Vec::new();
    for tasting in all.into_iter().filter(|tasting| tasting.readable) {
        let pours = tastings::store::pours(conn, Some(member.id), tasting.id).await?;
        let own = pours
            .iter()
            .filter(|pour| pour.batch.as_ref() == Some(&batch.public_id));
        let places: Vec<i32> = own.map(|pour| pour.place).collect();
        let said = tastings::seats::store::answers(conn, tasting.id).await?;
        // It was as old as on the day on which it was tasted, whenever the tasting was closed.
        let of_it = said.into_iter().flat_map(|answer| {
            let own = answer.said.into_iter().zip(answer.said_at);
            own.map(|((place, said), at)| (place, (at, said)))
        });
        let of_it = of_it.filter(|(place, _)| places.contains(place));
        found.extend(of_it.map(|(_, (said_at, tasting))| Said {
            age_days: batch.hours_at(said_at) / 24.0,
            tasting,
        }));
    }
    Ok(found)
}

/// What a form calls a change: the sense and the change's own word.
fn key(change: &Change) -> String {
    format!("{}.{}", change.sense.as_str(), change.code.word())
}

/// What could be changed in a recipe, what matters most first; the same thing for two senses is told once.
fn offered(heard: &[Heard], recipe: &engine::Recipe, numbers: &engine::Formulation) -> Vec<Change> {
    let all = heard.iter().filter_map(|one| Some((one.sense, one.asks?)));
    let mut found: Vec<Change> = Vec::new();
    for (sense, way) in all {
        for change in changes(recipe, numbers, sense, way) {
            if found.iter().all(|other| other.code != change.code) {
                found.push(change);
            }
        }
    }
    found.truncate(MOST);
    found
}

/// Why a change is offered: everything that was heard for which it is made.
fn reasons(
    heard: &[Heard],
    (recipe, numbers): (&engine::Recipe, &engine::Formulation),
    code: ChangeCode,
) -> String {
    let found = heard.iter().filter_map(|one| {
        let way = one.asks?;
        let all = changes(recipe, numbers, one.sense, way);
        let does = all.iter().any(|change| change.code == code);
        does.then(|| words::reason(one, way))
    });
    found.collect::<Vec<_>>().join("; ")
}

fn lead(answers: &[Said]) -> String {
    let liked: Vec<f64> = answers
        .iter()
        .filter_map(|one| one.tasting.liked().map(f64::from))
        .collect();
    let times = match answers.len() {
        0 => return "Nobody has said yet what it tastes like.".to_owned(),
        1 => "Tasted once".to_owned(),
        many => format!("Tasted {many} times"),
    };
    match liked.is_empty() {
        true => format!("{times}."),
        false => {
            let mean = liked.iter().sum::<f64>() / liked.len() as f64;
            format!("{times}, liked {} of 9.", fixed(mean, 1))
        }
    }
}

fn sense_line(heard: &Heard) -> SenseLine {
    let [little, right, much] = heard.counts.map(|count| match heard.answers() {
        0 => "none".to_owned(),
        all => format!("{count} of {all}"),
    });
    SenseLine {
        name: words::sense(heard.sense),
        little,
        right,
        much,
        costs: heard.penalties.map(words::penalty),
        early: heard.early,
    }
}

/// The page that does it, and what its link says.
fn way_to(app: &App, mend: Mend, id: &str) -> Option<(&'static str, String)> {
    let link = |path: String| app.site.base().link(&path);
    match mend {
        Mend::BlendDrier | Mend::BlendSweeter => Some(("Blend it", link(paths::BLEND.with(&[id])))),
        Mend::Sweeten => Some(("Sweeten it", link(paths::SWEETEN.with(&[id])))),
        Mend::StabiliseFirst => Some(("Stabilise it", link(paths::STABILISE.with(&[id])))),
        Mend::AcidTrial | Mend::LessAcidTrial | Mend::TanninTrial => {
            Some(("Glasses on the bench", link(paths::TRIALS.with(&[id]))))
        }
        Mend::GasAtBottling => Some((
            "What is next before the bottle",
            link(paths::FINISHING.with(&[id])),
        )),
        Mend::MoreOfIt => Some((
            "Log what goes in",
            link(paths::DEED.with(&[id, "addition"])),
        )),
        Mend::KegPressure => Some((
            "Work out the pressure",
            link(calculations::paths::page("keg")),
        )),
        Mend::StirGasOut => Some(("Log the stirring", link(paths::DEED.with(&[id, "stir"])))),
        Mend::Filled | Mend::LetItFinish | Mend::Wait => None,
    }
}

async fn next_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    case: &Case,
    form: FormState,
) -> Result<NextPage, Error> {
    let viewer = Viewer::known(member.clone());
    let (base, batch) = (app.site.base(), &case.opened.batch);
    let id = batch.public_id.as_str();
    let units = member.settings.units;
    let known = answers::batch(conn, member, &case.opened).await?;
    let again = taste_again(&case.answers).into_iter().filter_map(|again| {
        let at = batch.at_hours(again.at_days * 24.0)?;
        Some(words::again(&again, &day(at, member.settings.zone)))
    });
    let mends = mends(&case.heard, &known).into_iter();
    let offered = case.next.iter().flat_map(|next| {
        let all = offered(&case.heard, next.document(), next.numbers());
        all.into_iter().map(move |change| (next, change))
    });
    let line = |(index, (next, change)): (usize, (&Next, Change))| {
        let key = key(&change);
        let now = (next.document(), next.numbers());
        ChangeLine {
            words: words::change(change.code, units),
            reason: reasons(&case.heard, now, change.code),
            does: next.does(member, &change.recipe),
            is_first: index == 0,
            message: match index {
                0 => form.message("change").to_owned(),
                _ => String::new(),
            },
            id: match index {
                0 => "change".to_owned(),
                index => format!("change-{}", index + 1),
            },
            key,
        }
    };
    Ok(NextPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        name: batch.name.clone(),
        batch_url: base.link(&paths::BATCH.with(&[id])),
        taste_url: base.link(&paths::DEED.with(&[id, "tasting"])),
        lead: lead(&case.answers),
        again: again.collect(),
        mends: mends
            .map(|mend| (words::mend(mend), way_to(app, mend, id)))
            .collect(),
        senses: case.heard.iter().map(sense_line).collect(),
        changes: offered.enumerate().map(line).collect(),
        recipe: case.next.as_ref().map(|next| {
            let path = recipes::paths::SHEET.with(&[next.recipe.public_id.as_str()]);
            let words = format!("{}, revision {}", next.revision.title, next.revision.number);
            (words, base.link(&path))
        }),
        is_own: case.next.as_ref().is_some_and(|next| next.is_own),
        action: base.link(&paths::NEXT_DRAFT.with(&[id])),
        once: Once::for_form(&form, &viewer)?,
        form,
    })
}

pub(super) async fn show(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let case = case(&app, &mut conn, &member, &id).await?;
    page(&next_page(&app, &mut conn, &member, &case, FormState::new()).await?)
}

pub(super) async fn keep(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let case = case(&app, &mut tx, &member, &id).await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::NEXT_DRAFT).await? {
        return see_other(app.site.base(), &location);
    }
    let chosen: Vec<&str> = posted.all("change").collect();
    let made = case
        .next
        .as_ref()
        .and_then(|next| made(&case, next, &chosen, &member));
    let (Some(next), Some((changed, note))) = (&case.next, made) else {
        let mut typed = Typed::of(&posted);
        typed
            .form
            .refuse("change", "Choose what you would do otherwise.");
        let shown = next_page(&app, &mut tx, &member, &case, typed.form).await?;
        return form_again(&shown);
    };
    let location = next.keep(&app, &mut tx, &member, (&changed, &note)).await?;
    once::settle(&mut tx, &once, &member, paths::NEXT_DRAFT, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// The recipe with what was chosen, one after another, and the note that says why; `None` where nothing was.
fn made(
    case: &Case,
    next: &Next,
    chosen: &[&str],
    member: &Member,
) -> Option<(engine::Recipe, String)> {
    let mut recipe = next.document().clone();
    let mut lines = Vec::new();
    for key_of in chosen {
        let numbers = formulate(&recipe, &settings_of(member));
        let all = offered(&case.heard, &recipe, &numbers);
        let change = all.into_iter().find(|change| key(change) == *key_of)?;
        lines.push(format!(
            "{} ({}).",
            words::change(change.code, member.settings.units),
            reasons(&case.heard, (&recipe, &numbers), change.code)
        ));
        recipe = change.recipe;
    }
    let note = format!(
        "After tasting {}: {}",
        case.opened.batch.name,
        lines.join(" ")
    );
    (!lines.is_empty()).then_some((recipe, note))
}
