//! Recalculation and drafts.

use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue};
use sqlx::PgConnection;

use super::super::{press, work};
use super::page::{LiveAnswer, Showing, glance, show, view_of};
use crate::app::App;
use crate::recipes::drafts::{Kept, PutDraft, store as drafts};
use crate::recipes::forms::Workbench;
use crate::recipes::public_id::PublicId;
use crate::recipes::saving::Source;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, page};
use crate::web::viewer::Member;

/// Recalculates. A live edit gets the regions alone; a button gets the whole page.
pub(super) async fn recalculate(
    State(app): State<App>,
    member: Member,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let live = headers.contains_key("x-live");
    let mut form = Workbench::read(&posted)?;
    press(&mut form, posted.one("press")?);
    let recipe = form_recipe(&posted)?;
    let mut conn = app.pool.acquire().await?;
    let kept = keep_draft(
        &app,
        &mut conn,
        &member,
        &form,
        recipe.as_ref(),
        !live || posted.has("at_once"),
    )
    .await?;
    drop(conn);
    if !live {
        return show(
            &app,
            &member,
            form,
            Showing {
                recipe,
                dirty: true,
                scold: true,
                ..Showing::default()
            },
        )
        .await;
    }
    let now = app.clock.now();
    let worked = work(&form, &member, now);
    let view = view_of(&form, &worked, &member, false);
    let answer = LiveAnswer {
        form: view,
        glance: glance(&worked.numbers),
        numbers: worked.view,
        draft_state: draft_state(&app, &member, kept.as_ref()),
    };
    let mut response = page(&answer)?;
    if let Some(Kept::Deferred { again_in }) = kept
        && let Ok(value) = HeaderValue::try_from((again_in.as_millis() + 50).to_string())
    {
        response.headers_mut().insert("x-draft-again", value);
    }
    Ok(response)
}

/// The recipe that a form edits, if it is not a new one.
pub(super) fn form_recipe(posted: &Posted) -> Result<Option<PublicId>, Error> {
    match posted.one("recipe")? {
        "" => Ok(None),
        id => id.parse().map(Some).map_err(|_| Error::not_found()),
    }
}

pub(super) async fn keep_draft(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    form: &Workbench,
    recipe: Option<&PublicId>,
    at_once: bool,
) -> Result<Option<Kept>, Error> {
    let Ok(draft) = form.text("draft").parse::<PublicId>() else {
        return Ok(None);
    };
    let base: i32 = form.text("base_version").parse().unwrap_or(0);
    let from = form.text("from_recipe").parse::<PublicId>().ok();
    let source = from.as_ref().zip(form.text("from_number").parse().ok());
    let mut fields = form.pairs();
    if let Some(recipe) = recipe {
        fields.push(("recipe".to_owned(), recipe.to_string()));
    }
    let put = PutDraft {
        member: member.id,
        draft: &draft,
        editing: recipe.map(|recipe| (recipe, base)),
        started_from: source.map(|(recipe, number)| Source { recipe, number }),
        title: form.text("title"),
        fields: &fields,
        sequence: form.text("sequence").parse().ok(),
        at_once,
    };
    Ok(Some(drafts::put(conn, &put, app.clock.now()).await?))
}

pub(super) fn draft_state(app: &App, member: &Member, kept: Option<&Kept>) -> String {
    match kept {
        Some(Kept::Written { .. }) => {
            let now = app.clock.now().with_timezone(&member.settings.zone);
            format!("Draft kept {}.", now.format("%H:%M"))
        }
        Some(Kept::Deferred { .. }) => "Draft is being kept.".to_owned(),
        Some(Kept::Late) | None => "A newer draft is kept.".to_owned(),
    }
}
