//! A member's page of tokens: made under the password, shown once, ended one by one or all together.

use askama::Template;
use axum::extract::{Extension, Path, Query, State};
use chrono::TimeDelta;
use serde::Deserialize;
use sqlx::PgConnection;

use super::{Token, forms, store};
use crate::app::App;
use crate::members::middleware::Source;
use crate::members::names::key_of;
use crate::members::passwords::Checked;
use crate::members::sessions::Standing;
use crate::members::throttle::Try;
use crate::members::{paths, store as members};
use crate::web::Error;
use crate::web::dates::{day, moment};
use crate::web::form::{FormState, Posted};
use crate::web::grant::Grant;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::paths::Routes;
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// Below what addresses feeds and calendars live; they themselves stand further down the arrows.
const FEEDS: &str = "/feeds/";
const CALENDARS: &str = "/calendar/";

#[derive(Template)]
#[template(path = "members/tokens.html")]
struct TokensPage {
    shell: Shell,
    form: FormState,
    once: String,
    name: String,
    action: String,
    end_all: String,
    settings: String,
    description: String,
    good: Vec<Row>,
    dead: Vec<Row>,
}

/// One token in words.
struct Row {
    name: String,
    opens: &'static str,
    state: String,
    used: String,
    end_at: String,
}

#[derive(Template)]
#[template(path = "members/token.html")]
struct TokenPage {
    shell: Shell,
    /// The token, or the address that holds it.
    text: String,
    opens: Grant,
    name: String,
    until: String,
    description: String,
    back: String,
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
struct Done {
    done: Option<String>,
}

/// Binds the handlers of the page.
pub fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::TOKENS, show)
        .on(paths::MAKE_TOKEN, make)
        .on(paths::END_TOKEN, end)
        .on(paths::END_TOKENS, end_all)
}

fn row(app: &App, member: &Member, token: &Token) -> Row {
    let zone = member.settings.zone;
    let opens = match token.opens {
        Grant::Read => "reads recipes",
        Grant::Write => "reads recipes and changes yours",
        Grant::Feed => "the club’s feed",
        Grant::Calendar => "the calendar of your batches",
    };
    let until = moment(token.expires_at, zone);
    Row {
        name: token.name.clone(),
        opens,
        state: match token.is_good {
            true => format!("good until {until}"),
            false => "opens nothing any more".to_owned(),
        },
        used: match token.last_used_at {
            Some(at) => format!("last used {}", moment(at, zone)),
            None => "never used".to_owned(),
        },
        end_at: app
            .site
            .base()
            .link(&paths::END_TOKEN.with(&[&token.public_id])),
    }
}

/// Who comes by a token that stands in an address.
///
/// # Errors
/// When it opens something else or nothing at all, or was used too often.
pub async fn comes_by(
    app: &App,
    conn: &mut PgConnection,
    token: &str,
    opens: Grant,
) -> Result<Member, Error> {
    let used = store::use_token(conn, token, app.api_per_minute)
        .await?
        .filter(|used| used.opens == opens)
        .filter(|used| {
            let role = used.member.role;
            !app.second_step.holds(role, used.standing.has_second_step)
        })
        .ok_or_else(Error::not_found)?;
    match used.wait {
        Some(seconds) => Err(Error::too_often(seconds)),
        None => Ok(used.member),
    }
}

async fn tokens_page(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    form: FormState,
) -> Result<TokensPage, Error> {
    let mut conn = app.pool.acquire().await?;
    let tokens = store::list(&mut conn, member.id).await?;
    let (good, dead): (Vec<&Token>, Vec<&Token>) = tokens.iter().partition(|token| token.is_good);
    let rows = |tokens: Vec<&Token>| {
        tokens
            .into_iter()
            .map(|token| row(app, member, token))
            .collect()
    };
    let once = Once::for_form(&form, viewer)?;
    let base = app.site.base();
    Ok(TokensPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        form,
        once,
        name: member.name.clone(),
        action: base.link(paths::MAKE_TOKEN.path),
        end_all: base.link(paths::END_TOKENS.path),
        settings: base.link(paths::SETTINGS.path),
        description: app.site.address("/api/v1/openapi.json"),
        good: rows(good),
        dead: rows(dead),
    })
}

async fn show(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Query(query): Query<Done>,
) -> Answer {
    let mut shown = tokens_page(&app, &viewer, &member, forms::fresh()).await?;
    shown.shell = match query.done.as_deref() {
        Some("ended") => shown.shell.saying("It opens nothing any more."),
        Some("all-ended") => shown.shell.saying("None of them opens anything any more."),
        Some("made-before") => shown.shell.saying(
            "This form was sent before: the token is made, and was shown that one time. If you did not keep it, end it and make another.",
        ),
        _ => shown.shell,
    };
    not_stored(page(&shown))
}

/// Whether a member's own password was typed; tries are counted as at the sign-in.
async fn is_their_password(
    app: &App,
    member: &Member,
    source: Source,
    typed: &str,
) -> Result<bool, Error> {
    let attempt = Try::of(&key_of(&member.name), source.0);
    let mut conn = app.pool.acquire().await?;
    attempt.count(&mut conn).await?;
    let stored = members::password_hash(&mut conn, member.id).await?;
    drop(conn);
    if app.hasher.check(typed, stored.as_deref()).await? == Checked::Wrong {
        tracing::warn!(member = member.id.0, "wrong password at a token");
        return Ok(false);
    }
    let mut conn = app.pool.acquire().await?;
    attempt.forgive(&mut conn).await?;
    Ok(true)
}

/// The page again with a fault that the form itself could not find.
async fn refuse(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    posted: &Posted,
    (field, why): (&str, &str),
) -> Answer {
    let mut form = FormState::of(posted);
    form.refuse(field, why);
    not_stored(form_again(&tokens_page(app, viewer, member, form).await?))
}

async fn make(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Extension(source): Extension<Source>,
    Extension(standing): Extension<Standing>,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    // The password is asked for in the form; the second step is not.
    if standing.has_second_step && !standing.is_proven {
        return Err(Error::sign_in());
    }
    let zone = member.settings.zone;
    let new = match forms::read(&posted, app.clock.now(), zone)? {
        Ok(new) => new,
        Err(form) => {
            let shown = tokens_page(&app, &viewer, &member, form).await?;
            return not_stored(form_again(&shown));
        }
    };
    if !is_their_password(&app, &member, source, posted.one("password")?).await? {
        let why = "This is not your password.";
        return refuse(&app, &viewer, &member, &posted, ("password", why)).await;
    }
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::MAKE_TOKEN).await? {
        return see_other(app.site.base(), &location);
    }
    let Some((_, text)) = store::make(&mut tx, member.id, &new).await? else {
        tx.rollback().await?;
        let why = "You have 20 tokens. End one that you no longer need first.";
        return refuse(&app, &viewer, &member, &posted, ("name", why)).await;
    };
    let location = format!("{}?done=made-before", paths::TOKENS.path);
    once::settle(&mut tx, &once, &member, paths::MAKE_TOKEN, &location).await?;
    tx.commit().await?;
    tracing::info!(
        member = member.id.0,
        opens = new.opens.as_str(),
        "token made"
    );
    not_stored(page(&TokenPage {
        shell: app.shell(&viewer).at_place(Nav::Settings),
        text: match new.opens {
            Grant::Feed => app.site.address(&format!("{FEEDS}{text}.atom")),
            Grant::Calendar => app.site.address(&format!("{CALENDARS}{text}.ics")),
            Grant::Read | Grant::Write => text,
        },
        opens: new.opens,
        name: new.name,
        // The last day, not the midnight at which it is over.
        until: day(new.expires_at - TimeDelta::seconds(1), zone),
        description: app.site.address("/api/v1/openapi.json"),
        back: app.site.base().link(paths::TOKENS.path),
    }))
}

async fn end(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    if !store::end(&mut conn, member.id, &id).await? {
        return Err(Error::not_found());
    }
    tracing::info!(member = member.id.0, "token ended");
    see_other(
        app.site.base(),
        &format!("{}?done=ended", paths::TOKENS.path),
    )
}

async fn end_all(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    store::end_all(&mut conn, member.id).await?;
    tracing::info!(member = member.id.0, "all tokens ended");
    see_other(
        app.site.base(),
        &format!("{}?done=all-ended", paths::TOKENS.path),
    )
}
