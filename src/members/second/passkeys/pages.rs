//! A member's passkeys: made, named, removed.

use askama::Template;
use axum::extract::{Path, State};
use sqlx::PgConnection;

use super::store::{self, NewPasskey};
use super::{NAME_MAX, PasskeyEntry, Passkeys};
use crate::app::App;
use crate::mail::asking::Notice;
use crate::members::proven::Proven;
use crate::members::second::pages::{after_removal, codes_page, first_codes, overview_again, told};
use crate::members::second::{self, paths};
use crate::members::sessions::store::end_sessions;
use crate::web::Error;
use crate::web::dates::day;
use crate::web::form::{FormState, Posted};
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

/// One passkey in words.
pub struct Row {
    pub name: String,
    pub state: String,
    pub rename_at: String,
    pub remove_at: String,
    /// The field of its name, what stands in it, and what is wrong with that.
    pub field: String,
    pub typed: String,
    pub fault: String,
}

#[derive(Template)]
#[template(path = "members/second/make_passkey.html")]
struct MakePage {
    shell: Shell,
    action: String,
    back: String,
    name: String,
    ceremony: String,
    options: String,
}

/// The passkeys of a member in words.
pub(in crate::members::second) async fn rows(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    form: &FormState,
) -> Result<Vec<Row>, Error> {
    let here = app.passkeys.as_ref().map_or("", Passkeys::host);
    let zone = member.settings.zone;
    let base = app.site.base();
    let entries = store::list(conn, member.id).await?;
    let row = |entry: PasskeyEntry| {
        let field = field_of(&entry.public_id);
        let fault = form.message(&field).to_owned();
        let typed = match fault.as_str() {
            "" => entry.name.as_str(),
            _ => form.typed(&field),
        };
        Row {
            state: state(&entry, here, zone),
            rename_at: base.link(&paths::RENAME_PASSKEY.with(&[&entry.public_id])),
            remove_at: base.link(&paths::REMOVE_PASSKEY.with(&[&entry.public_id])),
            typed: typed.to_owned(),
            name: entry.name,
            field,
            fault,
        }
    };
    Ok(entries.into_iter().map(row).collect())
}

fn state(entry: &PasskeyEntry, here: &str, zone: chrono_tz::Tz) -> String {
    let made = format!("made on {}", day(entry.made_at, zone));
    match entry.used_at {
        _ if entry.host != here => {
            format!(
                "{made} for {}; it does not work at this address",
                entry.host
            )
        }
        Some(used) => format!("{made}, last used on {}", day(used, zone)),
        None => format!("{made}, not used yet"),
    }
}

/// The field of the name of one passkey among several.
fn field_of(public_id: &str) -> String {
    format!("name_of_{public_id}")
}

/// A passkey's name as typed, or why it is none.
fn name(typed: &str) -> Result<String, String> {
    let words: Vec<&str> = typed.split_whitespace().collect();
    let name = words.join(" ");
    if name.is_empty() {
        return Err("Enter where the passkey will live, such as “phone” or “blue key”.".to_owned());
    }
    if name.chars().count() > NAME_MAX || name.chars().any(char::is_control) {
        return Err(format!("Enter a name of at most {NAME_MAX} letters."));
    }
    Ok(name)
}

fn service(app: &App) -> Result<&Passkeys, Error> {
    app.passkeys.as_ref().ok_or_else(Error::not_found)
}

pub(in crate::members::second) async fn make(
    State(app): State<App>,
    viewer: Viewer,
    Proven(member): Proven,
    posted: Posted,
) -> Answer {
    let passkeys = service(&app)?;
    let name = match name(posted.one("passkey_name")?) {
        Ok(name) => name,
        Err(why) => {
            let mut form = FormState::of(&posted);
            form.refuse("passkey_name", why);
            return overview_again(&app, &viewer, &member, form).await;
        }
    };
    let mut conn = app.pool.acquire().await?;
    let known = store::list(&mut conn, member.id).await?;
    let known = known.into_iter().map(|entry| entry.credential_id);
    let asked = passkeys.ask_for_new(&member, known.collect())?;
    let ceremony = store::begin_ceremony(&mut conn, Some(member.id), &asked.state).await?;
    not_stored(page(&MakePage {
        shell: app.shell(&viewer).at_place(Nav::Settings),
        action: app.site.base().link(paths::KEEP_PASSKEY.path),
        back: app.site.base().link(paths::SECOND_STEP.path),
        name,
        ceremony,
        options: asked.options.to_string(),
    }))
}

pub(in crate::members::second) async fn keep(
    State(app): State<App>,
    viewer: Viewer,
    Proven(member): Proven,
    posted: Posted,
) -> Answer {
    let passkeys = service(&app)?;
    let typed = posted.one("passkey_name")?;
    let mut form = FormState::new();
    form.set("passkey_name", typed);
    let name = match name(typed) {
        Ok(name) => name,
        Err(why) => {
            form.refuse("passkey_name", why);
            return overview_again(&app, &viewer, &member, form).await;
        }
    };
    let mut conn = app.pool.acquire().await?;
    let state = store::take_ceremony(&mut conn, Some(member.id), posted.one("ceremony")?).await?;
    drop(conn);
    let Some(state) = state else {
        form.refuse(
            "passkey_name",
            "That took too long, or it was sent before. Make the passkey once more.",
        );
        return overview_again(&app, &viewer, &member, form).await;
    };
    let passkey = match passkeys.read_new(state, posted.one("credential")?) {
        Ok(passkey) => passkey,
        Err(refused) => {
            tracing::warn!(member = member.id.0, cause = %refused, "a new passkey was refused");
            form.refuse(
                "passkey_name",
                "The device’s answer was not in order, so nothing was kept. Make the passkey once more, or use another device.",
            );
            return overview_again(&app, &viewer, &member, form).await;
        }
    };
    let new = NewPasskey {
        credential_id: passkey.cred_id(),
        credential: &serde_json::to_value(&passkey).map_err(Error::unexpected)?,
        host: passkeys.host(),
        name: &name,
    };
    let codes = first_codes(&app, &member).await?;
    let mut tx = app.pool.begin().await?;
    second::store::lock(&mut tx, member.id).await?;
    if !store::keep(&mut tx, member.id, &new).await? {
        form.refuse(
            "passkey_name",
            format!(
                "This device is known already, or you have {} passkeys, which is the most. Remove one first.",
                store::MOST
            ),
        );
        drop(tx);
        return overview_again(&app, &viewer, &member, form).await;
    }
    second::store::renew_recovery_codes(&mut tx, member.id, &codes).await?;
    end_sessions(&mut tx, member.id, Some(member.session)).await?;
    app.mail
        .notice(&mut tx, member.id, Notice::SecondStep)
        .await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, "a passkey made");
    match codes.is_empty() {
        true => told(&app, "passkey"),
        false => codes_page(&app, &viewer, &member, codes),
    }
}

pub(in crate::members::second) async fn rename(
    State(app): State<App>,
    viewer: Viewer,
    Proven(member): Proven,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let field = field_of(&id);
    let name = match name(posted.one(&field)?) {
        Ok(name) => name,
        Err(why) => {
            let mut form = FormState::of(&posted);
            form.refuse(&field, why);
            return overview_again(&app, &viewer, &member, form).await;
        }
    };
    let mut conn = app.pool.acquire().await?;
    if !store::rename(&mut conn, member.id, &id, &name).await? {
        return Err(Error::not_found());
    }
    told(&app, "named")
}

pub(in crate::members::second) async fn remove(
    State(app): State<App>,
    Proven(member): Proven,
    Path(id): Path<String>,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    second::store::lock(&mut tx, member.id).await?;
    if !store::remove(&mut tx, member.id, &id).await? {
        return Err(Error::not_found());
    }
    after_removal(&mut tx, &member).await?;
    app.mail
        .notice(&mut tx, member.id, Notice::SecondStep)
        .await?;
    tx.commit().await?;
    tracing::info!(member = member.id.0, "a passkey removed");
    told(&app, "no-passkey")
}
