//! What the invented members think of each other's recipes.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};

use super::broken;
use super::people::{DESMOND, INES, MAREN, OSKAR, PIA, TOBIAS};
use crate::app::App;
use crate::recipes::opinions::comments::{Draft, store as comments};
use crate::recipes::opinions::model::{Basis, Rating};
use crate::recipes::opinions::store::rate;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// Whose opinion of what.
pub struct Opinion {
    pub of: &'static str,
    pub by: &'static str,
    pub revision: i32,
    pub days_ago: i64,
    pub rating: Option<Rating>,
    /// What they wrote, and what they wrote instead later.
    pub words: &'static [&'static str],
}

fn rated(
    by: &'static str,
    of: &'static str,
    revision: i32,
    days_ago: i64,
    (stars, basis): (u8, Basis),
    words: &'static [&'static str],
) -> Opinion {
    Opinion {
        of,
        by,
        revision,
        days_ago,
        rating: Some(Rating { stars, basis }),
        words,
    }
}

fn said(
    by: &'static str,
    of: &'static str,
    revision: i32,
    days_ago: i64,
    words: &'static [&'static str],
) -> Opinion {
    Opinion {
        of,
        by,
        revision,
        days_ago,
        rating: None,
        words,
    }
}

/// All of them.
pub fn all() -> Vec<Opinion> {
    use Basis::{Made, Read, Tasted};
    vec![
        rated(
            TOBIAS,
            "Plain and patient",
            2,
            11,
            (5, Made),
            &[
                "Made it at 4.2 litres, in my only demijohn. Three things that I would tell the next one:\n\n- the acacia matters more than I thought\n- feed it **on time**\n- it is good after two months, and I hear that it will be *better* after eight",
            ],
        ),
        rated(
            INES,
            "Plain and patient",
            3,
            95,
            (4, Tasted),
            &["The touch of sweetness is right. I would have guessed less than 12 %."],
        ),
        rated(OSKAR, "Plain and patient", 3, 80, (4, Tasted), &[]),
        rated(
            DESMOND,
            "Plain and patient",
            4,
            12,
            (5, Made),
            &[
                "Ready a month sooner indeed.",
                "Ready a month sooner indeed: bottled on day 74, and nobody at the table knew.",
            ],
        ),
        rated(
            PIA,
            "Plain and patient",
            4,
            6,
            (3, Read),
            &[
                "> Down to 11.5 %\n\nWhat did it start at on your hydrometer? I like to see it before I believe it.",
            ],
        ),
        said(
            MAREN,
            "Plain and patient",
            4,
            5,
            &["Pia: 1.084 at 20 °C, and 0.998 at the end, then sweetened."],
        ),
        rated(
            TOBIAS,
            "Sour cherry Sunday",
            1,
            40,
            (4, Tasted),
            &["The stones were out, I hope?"],
        ),
        rated(
            MAREN,
            "Sour cherry Sunday",
            1,
            33,
            (5, Made),
            &["Best thing on the table in October. Take the ripest cherries that there are."],
        ),
        rated(
            DESMOND,
            "Hedge in August",
            2,
            60,
            (5, Made),
            &["I put it over a fire's worth of oak afterwards: see mine."],
        ),
        rated(MAREN, "Hedge in August", 2, 50, (4, Tasted), &[]),
        rated(TOBIAS, "Ginger by the window", 1, 30, (3, Read), &[]),
        rated(
            INES,
            "Lower orchard",
            1,
            70,
            (4, Made),
            &["With two apples that nobody would eat and one that everybody would."],
        ),
        rated(
            PIA,
            "Roses on the sill",
            1,
            21,
            (4, Tasted),
            &["Like a garden after rain. More than a second glass would be too much for me."],
        ),
        rated(
            OSKAR,
            "My first carboy",
            2,
            14,
            (4, Tasted),
            &["For a first one? For *anybody's*."],
        ),
    ]
}

/// Gives them, in the order in which they were said.
pub async fn give(
    app: &App,
    ids: &HashMap<&'static str, MemberId>,
    made: &HashMap<&str, PublicId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut opinions = all();
    opinions.sort_by_key(|opinion| std::cmp::Reverse(opinion.days_ago));
    for opinion in opinions {
        let by = *ids.get(opinion.by).ok_or_else(|| broken(opinion.by))?;
        let recipe = made.get(opinion.of).ok_or_else(|| broken(opinion.of))?;
        let at = now - TimeDelta::days(opinion.days_ago);
        let mut tx = app.pool.begin().await?;
        if let Some(rating) = opinion.rating {
            rate(&mut tx, by, recipe, opinion.revision, rating, at)
                .await
                .map_err(Error::unexpected)?;
        }
        let mut written: Option<PublicId> = None;
        for (version, words) in (0..).zip(opinion.words) {
            let draft = Draft {
                words: (*words).to_owned(),
                revision: Some(opinion.revision),
            };
            match &written {
                None => {
                    let id = comments::write(&mut tx, by, recipe, &draft, at).await;
                    written = Some(id.map_err(Error::unexpected)?);
                }
                Some(id) => comments::change(&mut tx, by, recipe, id, version, &draft, at)
                    .await
                    .map_err(Error::unexpected)?,
            }
        }
        tx.commit().await?;
    }
    Ok(())
}
