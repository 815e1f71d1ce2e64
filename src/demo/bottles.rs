//! Where the bottles of the demonstration lie, and who drank the rest.

use std::collections::HashMap;

use chrono::{DateTime, Days, TimeDelta, Utc};

use super::people::{MAREN, TOBIAS};
use crate::app::App;
use crate::batches::cellar::model::{TakenFor, Taking};
use crate::batches::cellar::store;
use crate::web::error::Error;
use crate::web::random;
use crate::web::viewer::MemberId;

/// Whose, where they lie, and what was taken: days ago, how many, why, for whom.
struct Told {
    by: &'static str,
    place: &'static str,
    taken: &'static [(i64, i32, TakenFor, &'static str)],
}

const CELLARS: &[Told] = &[
    Told {
        by: MAREN,
        place: "under the stairs, left",
        taken: &[
            (140, 1, TakenFor::Drunk, ""),
            (60, 3, TakenFor::Given, "Ines, for the hedge"),
            (30, 1, TakenFor::Drunk, "the last Thursday"),
        ],
    },
    Told {
        by: TOBIAS,
        place: "kitchen shelf",
        taken: &[(10, 1, TakenFor::Drunk, "")],
    },
];

/// Lays them down.
pub async fn lay_down(
    app: &App,
    ids: &HashMap<&'static str, MemberId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut conn = app.pool.acquire().await?;
    for told in CELLARS {
        let Some(owner) = ids.get(told.by).copied() else {
            continue;
        };
        for lot in store::lots(&mut conn, owner, None).await? {
            for (days_ago, bottles, why, whom) in told.taken {
                let at = now - TimeDelta::days(*days_ago);
                let taking = Taking {
                    bottles: *bottles,
                    why: *why,
                    whom: (*whom).to_owned(),
                    at,
                };
                let public_id = random::public_id()?;
                store::take(&mut conn, (&lot, owner), &public_id, &taking, at).await?;
            }
            let until = now.date_naive().checked_add_days(Days::new(120));
            store::save(&mut conn, lot.id, told.place, (2, until)).await?;
        }
    }
    Ok(())
}
