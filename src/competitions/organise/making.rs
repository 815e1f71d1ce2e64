//! A new competition: with the rules and categories that a club starts from, and whoever opens it as its organiser.

use chrono::{DateTime, Utc};
use serde_json::json;
use sqlx::PgConnection;

use super::store;
use crate::competitions::deeds::{self, Deed};
use crate::competitions::model::{Category, Competition, CompetitionId, Duty};
use crate::engine::contest::categories::{Kind, usual};
use crate::engine::contest::rules::Rules;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// Where a competition starts.
#[derive(Clone, Debug, PartialEq)]
pub struct Beginning {
    pub title: String,
    pub rehearsal: bool,
    pub rules: Rules,
    pub terms: String,
    pub prizes: String,
    pub kinds: Vec<Kind>,
}

impl Default for Beginning {
    fn default() -> Beginning {
        Beginning {
            title: String::new(),
            rehearsal: false,
            rules: Rules::default(),
            terms: String::new(),
            prizes: String::new(),
            kinds: usual(),
        }
    }
}

impl Beginning {
    /// As an earlier one was, without its days and its draw.
    pub fn like(earlier: &Competition, categories: &[Category]) -> Beginning {
        let own = categories.iter().filter(|one| one.part_of.is_none());
        let kinds = own.map(|one| Kind {
            name: one.name.clone(),
            about: one.about.clone(),
            family: one.family.clone(),
            strength: one.strength.clone(),
        });
        Beginning {
            title: String::new(),
            rehearsal: false,
            rules: Rules {
                closes_on: None,
                drop_off_until: None,
                judged_on: None,
                draw_from: String::new(),
                ..earlier.rules.clone()
            },
            terms: earlier.terms.clone(),
            prizes: earlier.prizes.clone(),
            kinds: kinds.collect(),
        }
    }
}

/// Makes a draft of it, within the caller's transaction.
pub async fn make(
    conn: &mut PgConnection,
    organiser: MemberId,
    beginning: &Beginning,
    now: DateTime<Utc>,
) -> Result<(CompetitionId, PublicId), Error> {
    let public_id = PublicId::random().map_err(Error::unexpected)?;
    let id = store::insert(conn, &public_id, beginning, now).await?;
    store::put_categories(conn, id, &beginning.kinds).await?;
    store::add_duty(conn, id, organiser, Duty::Organiser).await?;
    let deed = Deed {
        deed: "made",
        about: json!({ "rehearsal": beginning.rehearsal, "rules": beginning.rules }),
        reason: "",
    };
    deeds::write(conn, id, Some(organiser), &deed, now).await?;
    Ok((id, public_id))
}
