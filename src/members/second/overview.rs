//! What a member has for the second step, in words: for the settings and for the page of the second step.

use sqlx::PgConnection;

use super::{Means, Taken, paths, store};
use crate::app::App;
use crate::web::Error;
use crate::web::dates::day;
use crate::web::viewer::{Member, Role};

/// What the settings say of it.
pub struct Summary {
    /// What there is, a line each.
    pub lines: Vec<String>,
    /// Who took it away, empty if nobody did.
    pub taken: String,
    /// Where it is set up and changed.
    pub at: String,
}

impl Summary {
    /// Reads what a member has.
    pub async fn read(
        app: &App,
        conn: &mut PgConnection,
        member: &Member,
    ) -> Result<Summary, Error> {
        let means = store::find_means(conn, member.id).await?;
        let taken = store::find_taken(conn, member.id).await?;
        Ok(Summary {
            lines: lines(&means, member),
            taken: taken.map_or_else(String::new, |taken| taken_in_words(&taken, member)),
            at: app.site.base().link(paths::SECOND_STEP.path),
        })
    }
}

fn lines(means: &Means, member: &Member) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(since) = means.app_since {
        let since = day(since, member.settings.zone);
        lines.push(format!("Codes from an app, set up on {since}"));
    }
    match means.passkeys {
        0 => {}
        1 => lines.push("One passkey".to_owned()),
        many => lines.push(format!("{many} passkeys")),
    }
    if means.is_any() {
        lines.push(unused(means.recovery_codes));
    }
    lines
}

/// How many recovery codes are left.
pub fn unused(codes: i64) -> String {
    match codes {
        0 => "No recovery code is left".to_owned(),
        1 => "One unused recovery code".to_owned(),
        many => format!("{many} unused recovery codes"),
    }
}

/// Who took the second step away, and when.
pub fn taken_in_words(taken: &Taken, member: &Member) -> String {
    let on = day(taken.at, member.settings.zone);
    match (taken.by_keeper, &taken.by) {
        (true, Some(keeper)) => format!("Taken away on {on} by {keeper}, a keeper."),
        (true, None) => format!("Taken away on {on} by a keeper who has left the club."),
        (false, _) => format!("Taken away on {on} from the command line of the club’s server."),
    }
}

/// Why a member must have one, empty if they need not.
pub fn demanded(app: &App, member: &Member) -> &'static str {
    match (app.second_step.asks(member.role), member.role) {
        (false, _) => "",
        (true, Role::Keeper) => "A keeper of this club needs one.",
        (true, Role::Organiser) => "An organiser of this club needs one.",
        (true, _) => "Every member of this club needs one.",
    }
}
