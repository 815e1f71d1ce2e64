//! A member's own pages: how pages speak, the password, the other sessions.

use askama::Template;
use axum::extract::{Extension, Path, Query, State};
use serde::Deserialize;

use super::mentors::pages::{Mentoring, of_member};
use super::middleware::Source;
use super::names::key_of;
use super::passwords::Checked;
use super::second::overview::Summary;
use super::sessions::Standing;
use super::sign_in::enter;
use super::throttle::Try;
use super::{forms, paths, sessions, store};
use crate::app::App;
use crate::mail::asking::Notice;
use crate::mail::paths as mail;
use crate::portability::paths as portability;
use crate::web::dates::moment;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// One place at which the member is signed in, in words.
struct Session {
    since: String,
    used: String,
    is_this: bool,
    end_at: String,
}

#[derive(Template)]
#[template(path = "members/settings.html")]
struct SettingsPage {
    shell: Shell,
    form: FormState,
    action: String,
    end_others: String,
    password: String,
    tokens: String,
    /// Where the member's vessels and instruments are.
    vessels: String,
    /// Where the member says where to write to; empty where nothing is sent.
    mail: String,
    sessions: Vec<Session>,
    mentoring: Mentoring,
    export: String,
    import: String,
    leave: String,
    second: Summary,
    zones: Vec<(&'static str, &'static str)>,
}

impl SettingsPage {
    const THEMES: &[(&str, &str)] = &[
        ("device", "As the device says"),
        ("light", "Light"),
        ("dark", "Dark"),
    ];
}

#[derive(Template)]
#[template(path = "members/password.html")]
struct PasswordPage {
    shell: Shell,
    form: FormState,
    action: String,
    name: String,
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
pub(super) struct Done {
    done: Option<String>,
}

async fn settings_page(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    form: FormState,
) -> Result<SettingsPage, crate::web::Error> {
    let mut conn = app.pool.acquire().await?;
    let open = sessions::store::list_sessions(&mut conn, member).await?;
    let mentoring = of_member(app, &mut conn, member).await?;
    let second = Summary::read(app, &mut conn, member).await?;
    let zone = member.settings.zone;
    let session = |open: sessions::OpenSession| Session {
        since: moment(open.created_at, zone),
        used: moment(open.seen_at, zone),
        is_this: open.is_this,
        end_at: app
            .site
            .base()
            .link(&paths::END_SESSION.with(&[&open.public_id])),
    };
    Ok(SettingsPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        form,
        action: app.site.base().link(paths::SAVE_SETTINGS.path),
        end_others: app.site.base().link(paths::END_OTHERS.path),
        password: app.site.base().link(paths::PASSWORD.path),
        tokens: app.site.base().link(paths::TOKENS.path),
        vessels: app.site.base().link(crate::vessels::paths::LIST.path),
        mail: match app.mail.is_on() {
            true => app.site.base().link(mail::MAIL.path),
            false => String::new(),
        },
        sessions: open.into_iter().map(session).collect(),
        mentoring,
        export: app.site.base().link(portability::EXPORT.path),
        import: app.site.base().link(portability::IMPORT.path),
        leave: app.site.base().link(portability::LEAVE.path),
        second,
        zones: chrono_tz::TZ_VARIANTS
            .iter()
            .map(|zone| (zone.name(), zone.name()))
            .collect(),
    })
}

pub(super) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Query(query): Query<Done>,
) -> Answer {
    let mut shown =
        settings_page(&app, &viewer, &member, forms::of_settings(&member.settings)).await?;
    shown.shell = match query.done.as_deref() {
        Some("saved") => shown.shell.saying("Your settings are saved."),
        Some("password") => shown
            .shell
            .saying("Your password is changed; everywhere else you are signed out, and your tokens are ended."),
        Some("mentor") => shown.shell.saying("Newcomers may ask you from now on."),
        Some("no-mentor") => shown
            .shell
            .saying("Newcomers read another name from now on."),
        Some("one-ended") => shown.shell.saying("There you are signed out."),
        Some("ended") => shown.shell.saying("Everywhere else you are signed out."),
        _ => shown.shell,
    };
    not_stored(page(&shown))
}

pub(super) async fn save(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    posted: Posted,
) -> Answer {
    let settings = match forms::settings(&posted)? {
        Ok(settings) => settings,
        Err(form) => {
            return not_stored(form_again(
                &settings_page(&app, &viewer, &member, form).await?,
            ));
        }
    };
    let mut conn = app.pool.acquire().await?;
    store::save_settings(&mut conn, member.id, &settings).await?;
    see_other(
        app.site.base(),
        &format!("{}?done=saved", paths::SETTINGS.path),
    )
}

fn password_page(app: &App, viewer: &Viewer, member: &Member, form: FormState) -> PasswordPage {
    let action = app.site.base().link(paths::CHANGE_PASSWORD.path);
    PasswordPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        form,
        action,
        name: member.name.clone(),
    }
}

pub(super) async fn show_password(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
) -> Answer {
    not_stored(page(&password_page(
        &app,
        &viewer,
        &member,
        FormState::new(),
    )))
}

pub(super) async fn change_password(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    Extension(source): Extension<Source>,
    Extension(standing): Extension<Standing>,
    posted: Posted,
) -> Answer {
    let mut form = FormState::of(&posted);
    let new = forms::new_password(&posted, &[&*app.site.club_name(), &member.name], &mut form)?;
    let old = posted.one("password")?;
    if old.is_empty() {
        form.refuse("password", "Enter the password that you have now.");
    }
    if new.as_deref() == Some(old) {
        form.refuse(
            "new_password",
            "Choose another password than the one that you have now.",
        );
    }
    let (Some(new), true) = (new, form.is_sound()) else {
        return not_stored(form_again(&password_page(&app, &viewer, &member, form)));
    };
    let attempt = Try::of(&key_of(&member.name), source.0);
    let mut conn = app.pool.acquire().await?;
    attempt.count(&mut conn).await?;
    let stored = store::password_hash(&mut conn, member.id).await?;
    drop(conn);
    if app.hasher.check(old, stored.as_deref()).await? == Checked::Wrong {
        tracing::warn!(member = member.id.0, "wrong password at its change");
        form.refuse("password", "This is not the password that you have now.");
        return not_stored(form_again(&password_page(&app, &viewer, &member, form)));
    }
    let hash = app.hasher.hash(&new).await?;
    let mut tx = app.pool.begin().await?;
    attempt.forgive(&mut tx).await?;
    store::set_password(&mut tx, member.id, &hash).await?;
    sessions::store::end_sessions(&mut tx, member.id, None).await?;
    let answer = see_other(
        app.site.base(),
        &format!("{}?done=password", paths::SETTINGS.path),
    )?;
    let response = enter(&app, &mut tx, member.id, answer).await?;
    if standing.has_second_step && !standing.is_proven {
        // The password was right, the second step was not asked for.
        sessions::store::forget_proof(&mut tx, member.id).await?;
    }
    app.mail
        .notice(&mut tx, member.id, Notice::Password)
        .await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, "password changed");
    Ok(response)
}

pub(super) async fn end_others(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    sessions::store::end_sessions(&mut conn, member.id, Some(member.session)).await?;
    tracing::info!(member = member.id.0, "other sessions ended");
    see_other(
        app.site.base(),
        &format!("{}?done=ended", paths::SETTINGS.path),
    )
}

pub(super) async fn end_session(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    if !sessions::store::end_named(&mut conn, member.id, &id).await? {
        return Err(crate::web::Error::not_found());
    }
    tracing::info!(member = member.id.0, "one session ended");
    see_other(
        app.site.base(),
        &format!("{}?done=one-ended", paths::SETTINGS.path),
    )
}
