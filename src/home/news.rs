//! What is new in the club, room by room, in one order.

use std::fmt;
use std::str::FromStr;

use chrono::{DateTime, Datelike, Utc};
use sqlx::PgConnection;

use crate::members::roll::Joined;
use crate::members::roll::store::list_joined;
use crate::recipes::news::{RecipeNews, store as recipe_news};
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// Something that happened.
#[derive(Clone, Debug, PartialEq)]
pub enum News {
    Recipe(RecipeNews),
    Joined(Joined),
}

impl News {
    /// When.
    pub fn at(&self) -> DateTime<Utc> {
        match self {
            News::Recipe(recipe) => recipe.at,
            News::Joined(joined) => joined.at,
        }
    }

    fn id(&self) -> &str {
        match self {
            News::Recipe(recipe) => recipe.public_id.as_str(),
            News::Joined(joined) => &joined.public_id,
        }
    }
}

/// The place in the news after which the older ones begin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Before {
    at: DateTime<Utc>,
    id: String,
}

impl fmt::Display for Before {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}", self.at.timestamp_micros(), self.id)
    }
}

impl FromStr for Before {
    type Err = ();

    fn from_str(text: &str) -> Result<Before, ()> {
        let (micros, id) = text.split_once('.').ok_or(())?;
        let at = micros
            .parse()
            .ok()
            .and_then(DateTime::from_timestamp_micros);
        // The range a database holds is narrower than chrono's.
        let at = at
            .filter(|at| (1970..10_000).contains(&at.year()))
            .ok_or(())?;
        let shaped = id.len() == 20 && id.bytes().all(|byte| byte.is_ascii_alphanumeric());
        match shaped {
            true => Ok(Before {
                at,
                id: id.to_owned(),
            }),
            false => Err(()),
        }
    }
}

/// So many of the newest before a place, and where older ones begin, if there are any.
pub async fn list(
    conn: &mut PgConnection,
    viewer: MemberId,
    before: Option<&Before>,
    limit: usize,
) -> Result<(Vec<News>, Option<Before>), Error> {
    let from = before.map(|before| (before.at, before.id.as_str()));
    let recipes = recipe_news::list(conn, viewer, from, limit + 1).await?;
    let joined = list_joined(conn, viewer, from, limit + 1).await?;
    let mut news: Vec<News> = recipes.into_iter().map(News::Recipe).collect();
    news.extend(joined.into_iter().map(News::Joined));
    news.sort_by(|one, other| (other.at(), other.id()).cmp(&(one.at(), one.id())));
    let more = news.len() > limit;
    news.truncate(limit);
    let next = news.last().filter(|_| more).map(|last| Before {
        at: last.at(),
        id: last.id().to_owned(),
    });
    Ok((news, next))
}
