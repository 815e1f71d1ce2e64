//! Letters on their way: each is a job, written when it is sent.

use std::time::Duration;

use chrono_tz::Tz;
use serde_json::Value;
use sqlx::PgConnection;

use super::asking::{CONFIRM, INVITE, NOTICE, Notice, REMINDER, RESET};
use super::letters::Writer;
use super::{Letter, Mailer, paths, reminding, store};
use crate::app::App;
use crate::config::Config;
use crate::jobs::{Failed, Held, Job, Rhythm};
use crate::members::{self, invites, links};
use crate::web::dates::moment;
use crate::web::site::Site;
use crate::web::viewer::MemberId;

/// What is not sent within a day is not sent any more.
const WITHIN: Rhythm = Rhythm::Asked {
    within: Duration::from_secs(24 * 60 * 60),
};

/// The jobs that send, where there is a mail server.
pub fn jobs(app: &App) -> Vec<Job> {
    let Some(mailer) = app.mail.mailer() else {
        return Vec::new();
    };
    let one = |kind, words| {
        let (app, mailer) = (app.clone(), mailer.clone());
        Job::new(kind, words, WITHIN, move |held| {
            send(app.clone(), mailer.clone(), held)
        })
    };
    let remind = app.clone();
    vec![
        one(CONFIRM, "Sending letters that confirm an address"),
        one(RESET, "Sending links for a new password"),
        one(INVITE, "Sending invites"),
        one(NOTICE, "Sending word of a changed password or second step"),
        one(REMINDER, "Sending reminders of what batches want"),
        Job::new(
            "reminders",
            "Looking through batches for what to remind of",
            Rhythm::Every(Duration::from_secs(30 * 60)),
            move |_| reminding::look(remind.clone()),
        ),
    ]
}

/// Who letters are from, in words.
fn writer<'a>(site: &Site, club: &'a str) -> Writer<'a> {
    Writer {
        club,
        address: site.address("/"),
    }
}

async fn send(app: App, mailer: Mailer, held: Held) -> Result<(), Failed> {
    // Before anything is begun: what fails here may be tried again.
    mailer.reach().await?;
    let mut tx = app.pool.begin().await?;
    app.site.look_again(&mut tx).await?;
    let Some(letter) = written(&app, &mut tx, &held).await? else {
        return Ok(());
    };
    if !held.begin(&mut tx).await? {
        return Err(Failed::for_now("Another server is at it."));
    }
    tx.commit().await?;
    mailer.send(&app.site.club_name(), &letter).await
}

/// The letter, with whatever it needs made for it; `None` when there is nobody to write to any more.
async fn written(
    app: &App,
    conn: &mut PgConnection,
    held: &Held,
) -> Result<Option<Letter>, Failed> {
    let club = app.site.club_name();
    let from = writer(&app.site, &club);
    let text = |name: &str| held.about[name].as_str().unwrap_or_default();
    let member = MemberId(held.about["member"].as_i64().unwrap_or_default());
    let letter = match held.kind.as_str() {
        CONFIRM => store::ask_to_confirm(conn, member)
            .await?
            .map(|(address, token)| {
                let link = app.site.address(&paths::CONFIRM.with(&[&token]));
                let hours = store::CONFIRM_HOURS;
                read(&address).map(|to| from.confirmation(to, &link, hours))
            }),
        RESET => match store::by_name(conn, text("name")).await? {
            Some((member, address)) => {
                let token = links::store::make_link(conn, Some(member)).await?;
                let link = app.site.address(&members::paths::RENEW.with(&[&token]));
                let hours = links::store::RENEW_HOURS;
                Some(read(&address).map(|to| from.reset(to, &link, hours)))
            }
            None => None,
        },
        INVITE => invited(app, conn, &from, &held.about).await?.map(Ok),
        NOTICE => Notice::of_word(text("what"))
            .map(|notice| read(text("to")).map(|to| from.notice(to, notice))),
        _ => reminding::letter(app, conn, &from, member, text("day"))
            .await?
            .map(Ok),
    };
    letter.transpose()
}

async fn invited(
    app: &App,
    conn: &mut PgConnection,
    from: &Writer<'_>,
    about: &Value,
) -> Result<Option<Letter>, Failed> {
    let (id, to) = (
        about["invite"].as_str().unwrap_or_default(),
        about["to"].as_str().unwrap_or_default(),
    );
    let token = invites::store::make_invite_link(conn, id).await?;
    let invite = invites::store::find_invite(conn, id).await?;
    let (Some(token), Some(invite)) = (token, invite) else {
        return Ok(None);
    };
    let link = app.site.address(&members::paths::JOIN.with(&[&token]));
    let keeper = invite.made_by.unwrap_or_else(|| "A keeper".to_owned());
    let until = format!("{} (UTC)", moment(invite.expires_at, Tz::UTC));
    Ok(Some(from.invite(read(to)?, &link, &keeper, &until)))
}

/// An address as it was kept.
pub(super) fn read(address: &str) -> Result<lettre::Address, Failed> {
    super::read_address(address)
        .ok_or_else(|| Failed::for_good("There is no address that could be written to."))
}

/// Sends a letter at once, to see whether the settings are right; what went wrong, in words.
///
/// # Errors
/// A sentence for whoever asked.
pub async fn trial(config: &Config, to: &str) -> Result<String, String> {
    let to = super::read_address(to).ok_or("this is no mail address")?;
    let base = config.base_url_at(config.listen.clone());
    let site = Site::new(&config.club_name, &base);
    let said = |failed: Failed| match failed.cause {
        Some(cause) => format!("{} ({cause})", failed.words),
        None => failed.words,
    };
    let mail = super::Mail::of(config.mail.as_ref(), &site).map_err(said)?;
    let mailer = mail
        .mailer()
        .ok_or("no mail server is set: MUSTWRIGHT_MAIL_SERVER and MUSTWRIGHT_MAIL_FROM name one")?;
    let from = writer(&site, &config.club_name);
    mailer.reach().await.map_err(said)?;
    let letter = from.trial(to.clone());
    mailer
        .send(&config.club_name, &letter)
        .await
        .map_err(said)?;
    Ok(format!(
        "The mail server took a letter to {to}. See whether it arrives, also among the unwanted ones."
    ))
}
