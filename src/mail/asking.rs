//! What is to be sent, asked for in the transaction of what it tells of. Bounded: of each kind so many wait and no more.

use serde_json::json;
use sha2::{Digest, Sha256};
use sqlx::PgConnection;

use super::Mail;
use crate::jobs::store::{ask, now};
use crate::web::MemberId;

/// The kinds of jobs that send.
pub const CONFIRM: &str = "mail_confirm";
pub const RESET: &str = "mail_reset";
pub const INVITE: &str = "mail_invite";
pub const NOTICE: &str = "mail_notice";
pub const REMINDER: &str = "mail_reminder";

/// How many letters of a kind may wait to be sent.
const MOST_WAITING: i64 = 200;
/// How many of a kind that anybody can ask for are sent to one reader a day.
const MOST_A_DAY: u32 = 5;

/// What a notice is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Notice {
    /// The password was changed.
    Password,
    /// Something of the second step was added or taken away.
    SecondStep,
    /// Letters go to another address from now on, or to none.
    Address,
}

impl Notice {
    const ALL: [(Notice, &str); 3] = [
        (Notice::Password, "password"),
        (Notice::SecondStep, "second step"),
        (Notice::Address, "address"),
    ];

    /// Its word in what is asked for.
    pub fn word(self) -> &'static str {
        let found = Notice::ALL.iter().find(|(notice, _)| *notice == self);
        found.map_or("", |(_, word)| word)
    }

    /// From its word.
    pub fn of_word(word: &str) -> Option<Notice> {
        let found = Notice::ALL.iter().find(|(_, known)| *known == word);
        found.map(|(notice, _)| *notice)
    }
}

impl Mail {
    /// Tells a member that what lets them in has changed, if they can be written to.
    ///
    /// # Errors
    /// The database.
    pub async fn notice(
        &self,
        conn: &mut PgConnection,
        member: MemberId,
        notice: Notice,
    ) -> Result<(), sqlx::Error> {
        if !self.is_on() {
            return Ok(());
        }
        let Some(address) = super::store::confirmed(conn, member).await? else {
            return Ok(());
        };
        // A moment tells apart what is done twice.
        let key = format!(
            "{} {} {}",
            member.0,
            notice.word(),
            now(conn).await?.timestamp_micros()
        );
        let about = json!({"member": member.0, "what": notice.word(), "to": address});
        ask(conn, NOTICE, &key, &about, MOST_WAITING).await?;
        Ok(())
    }
}

/// Asks for the letter by which a member's address is confirmed. False when they had as many today as anybody gets.
///
/// # Errors
/// The database.
pub async fn confirmation(conn: &mut PgConnection, member: MemberId) -> Result<bool, sqlx::Error> {
    let about = json!({"member": member.0});
    up_to(conn, CONFIRM, &member.0.to_string(), &about).await
}

/// Asks for a letter with a link for a new password. The same is done whether or not anybody has this name, so that
/// neither the answer nor its time tells; who it is for is looked up when it is sent.
///
/// # Errors
/// The database.
pub async fn reset(conn: &mut PgConnection, name_key: &str) -> Result<(), sqlx::Error> {
    let hash = Sha256::digest(name_key.as_bytes());
    let subject: String = hash.iter().map(|byte| format!("{byte:02x}")).collect();
    up_to(conn, RESET, &subject, &json!({"name": name_key})).await?;
    Ok(())
}

/// Asks for a letter with a link of an invite. False when it was asked for already, or too many wait.
///
/// # Errors
/// The database.
pub async fn invite(conn: &mut PgConnection, invite: &str, to: &str) -> Result<bool, sqlx::Error> {
    let about = json!({"invite": invite, "to": to});
    ask(conn, INVITE, invite, &about, MOST_WAITING).await
}

/// Asks for the day's reminder of a member; false when they had it.
///
/// # Errors
/// The database.
pub(super) async fn reminder(
    conn: &mut PgConnection,
    member: MemberId,
    day: chrono::NaiveDate,
) -> Result<bool, sqlx::Error> {
    let about = json!({"member": member.0, "day": day.to_string()});
    ask(
        conn,
        REMINDER,
        &format!("{} {day}", member.0),
        &about,
        10 * MOST_WAITING,
    )
    .await
}

/// Asks under the first key of the day that is free.
async fn up_to(
    conn: &mut PgConnection,
    kind: &str,
    subject: &str,
    about: &serde_json::Value,
) -> Result<bool, sqlx::Error> {
    let day = now(conn).await?.date_naive();
    for nth in 1..=MOST_A_DAY {
        let key = format!("{subject} {day} {nth}");
        if ask(conn, kind, &key, about, MOST_WAITING).await? {
            return Ok(true);
        }
    }
    Ok(false)
}
