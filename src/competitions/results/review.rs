//! The organiser's look through sheets and results: what is odd, what is open, the number of the draw, and then the freezing.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use serde_json::json;
use sqlx::PgConnection;

use super::gather::gather;
use super::look::{Look, Reader, Scope};
use super::model::Frozen;
use super::{paths, store};
use crate::app::App;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::flights::conflicts;
use crate::competitions::model::{CategoryId, Duty};
use crate::competitions::opened::Opened;
use crate::competitions::organise::paths as organise;
use crate::competitions::paths as competitions;
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::competitions::store::categories;
use crate::engine::contest::account::account;
use crate::engine::contest::draw;
use crate::engine::contest::rules::Tie;
use crate::web::dates::moment;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// Letters of a public number, with the words around it.
const NUMBER_MAX: usize = 200;

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::REVIEW, show)
        .on(paths::NOTE_DRAW, note_draw)
        .on(paths::RECKON, reckon)
}

/// Results that were frozen, as their hash.
struct FrozenLine {
    hash: String,
    when: String,
    /// What is there now gives the same.
    stands: bool,
}

#[derive(Template)]
#[template(path = "competitions/review.html")]
struct ReviewPage {
    shell: Shell,
    title: String,
    competition_url: String,
    look: Look,
    walled: Vec<String>,
    /// Where the public number comes from, if ties are drawn.
    draw_from: Option<String>,
    drawn: String,
    draw_at: String,
    reckon_at: String,
    frozen: Option<FrozenLine>,
    move_on_url: String,
    form: FormState,
    once: String,
    /// The other form has a key of its own.
    reckon_once: String,
}

impl ReviewPage {
    /// What stands in the field: what was typed, else what is noted.
    fn number(&self) -> &str {
        match self.form.typed("number") {
            "" => &self.drawn,
            typed => typed,
        }
    }

    /// Whether what is frozen still stands.
    fn stands(&self) -> bool {
        self.frozen.as_ref().is_some_and(|frozen| frozen.stands)
    }
}

#[derive(Deserialize)]
struct Told {
    done: Option<String>,
}

/// Opens it for its organiser, while it is looked through.
async fn opened(conn: &mut PgConnection, member: &Member, id: &str) -> Result<Opened, Error> {
    let opened = Opened::read(conn, member, id).await?;
    opened.demand(&[Duty::Organiser])?;
    match opened.allows(Act::ReviewSheets) {
        true => Ok(opened),
        false => Err(Error::not_found()),
    }
}

async fn review_page(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    form: FormState,
) -> Result<ReviewPage, Error> {
    let competition = &opened.competition;
    let base = app.site.base();
    let id = competition.public_id.as_str();
    let gathered = gather(conn, competition).await?;
    let (answer, text) = account(&gathered.inputs);
    let frozen = store::frozen(conn, competition.id).await?;
    let categories = categories(conn, competition.id).await?;
    let walled: BTreeSet<CategoryId> =
        conflicts::store::walled_off(conn, competition.id, member.id).await?;
    let reader = Reader {
        base,
        competition: id,
        rules: &competition.rules,
        scope: Scope {
            categories: &categories,
            walled: &walled,
        },
    };
    let line = |frozen: Frozen| FrozenLine {
        hash: frozen.hash_text(),
        when: moment(frozen.at, member.settings.zone),
        stands: frozen.is_hash_of(&text),
    };
    let left = categories.iter().filter(|one| walled.contains(&one.id));
    let viewer = Viewer::known(member.clone());
    let draws = competition.rules.ties.contains(&Tie::Drawn);
    Ok(ReviewPage {
        title: competition.title.clone(),
        competition_url: base.link(&competitions::COMPETITION.with(&[id])),
        look: reader.look(&gathered, &answer),
        walled: left.map(|one| one.name.clone()).collect(),
        draw_from: draws.then(|| competition.rules.draw_from.clone()),
        drawn: gathered.inputs.drawn_number.clone().unwrap_or_default(),
        draw_at: base.link(&paths::NOTE_DRAW.with(&[id])),
        reckon_at: base.link(&paths::RECKON.with(&[id])),
        frozen: frozen.map(line),
        move_on_url: base.link(&organise::PHASE.with(&[id])),
        once: Once::for_form(&form, &viewer)?,
        reckon_once: Once::fresh(&viewer)?,
        shell: shell(app, member),
        form,
    })
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = opened(&mut conn, &member, &id).await?;
    let mut shown = review_page(&app, &mut conn, &member, &opened, FormState::new()).await?;
    shown.shell = shown.shell.saying(match told.done.as_deref() {
        Some("draw") => "The number is noted.",
        Some("reckoned") => "Reckoned and frozen.",
        _ => "",
    });
    page(&shown)
}

async fn note_draw(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = opened(&mut tx, &member, &id).await?;
    let mut typed = Typed::of(&posted);
    let why = "Write the number as it was published.";
    let number = typed.wanted("number", NUMBER_MAX, why)?;
    if typed.form.is_sound() && draw::written(&number).is_none() {
        typed.form.refuse("number", "There is no digit in it.");
    }
    if !typed.form.is_sound() {
        return form_again(&review_page(&app, &mut tx, &member, &opened, typed.form).await?);
    }
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::NOTE_DRAW).await? {
        return see_other(app.site.base(), &location);
    }
    opened.hold(&mut tx, Act::NoteDraw).await?;
    let competition = opened.competition.id;
    let before = store::drawn(&mut tx, competition).await?;
    store::note_drawn(&mut tx, competition, &number, app.clock.now()).await?;
    let deed = Deed {
        deed: "draw_noted",
        about: json!({ "before": before, "number": number }),
        reason: "",
    };
    deeds::write(
        &mut tx,
        competition,
        Some(member.id),
        &deed,
        app.clock.now(),
    )
    .await?;
    let location = format!("{}?done=draw", paths::REVIEW.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::NOTE_DRAW, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

async fn reckon(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let opened = opened(&mut tx, &member, &id).await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::RECKON).await? {
        return see_other(app.site.base(), &location);
    }
    opened.hold(&mut tx, Act::Reckon).await?;
    // Gathered while it is held: nothing changes between reading and freezing.
    let gathered = gather(&mut tx, &opened.competition).await?;
    let (answer, text) = account(&gathered.inputs);
    if answer.is_held_up() {
        let mut form = FormState::of(&posted);
        form.refuse_whole("Something still holds the results up: it stands below.");
        return form_again(&review_page(&app, &mut tx, &member, &opened, form).await?);
    }
    let hash = draw::sha256_bytes(&text);
    let (competition, now) = (opened.competition.id, app.clock.now());
    let frozen = (&gathered.inputs, &answer, &hash[..]);
    let number = store::freeze(&mut tx, competition, frozen, now).await?;
    let deed = Deed {
        deed: "reckoned",
        about: json!({ "results": number, "hash": draw::sha256(&text) }),
        reason: "",
    };
    deeds::write(&mut tx, competition, Some(member.id), &deed, now).await?;
    let location = format!("{}?done=reckoned", paths::REVIEW.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::RECKON, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
