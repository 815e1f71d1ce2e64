//! Looking through recipes: what is asked for, in which order, and how a page of it is found.
//!
//! Two ways lead to the recipes that fit: along the order, until enough were met, which is quick where many fit; and by the
//! words, all that fit at once, which is quick where few do. Both find the same.

pub mod asked;
pub mod choices;
pub mod filter;
pub mod nearness;
mod place;
mod search;
mod shelf;
pub mod store;
mod words;

use sqlx::PgConnection;

use self::filter::Filter;
use self::place::{After, READ};
use self::store::{Asking, Own, Spot, best, by_name, newest};
use self::words::{ANYWHERE, Sought, TIERS, lexeme, within};
use super::model::{Cursor, RecipePage, Shelf};
use super::public_id::PublicId;
use crate::web::viewer::MemberId;

/// Fewer recipes than these, and mistyped words are thought of.
const FEW: usize = 5;
/// The words that one mistyped word is read as, at most.
const READINGS: usize = 3;
/// So many that fit are sorted at once.
const AT_ONCE: i64 = 2_000;
/// Rows of a look along an order, and those of a walk: where the look meets too little for the walk to be enough, all that
/// fit are so few that they are quicker gathered by their words.
const LOOK: i64 = 400;
const WALK: i64 = 1_500;

/// The order of a list.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sort {
    /// The closest first where words were typed, else the newest.
    #[default]
    Usual,
    Newest,
    Best,
    Name,
}

/// What somebody looks at.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct View {
    pub shelf: Shelf,
    /// As typed.
    pub words: String,
    pub filter: Filter,
    pub sort: Sort,
}

impl View {
    /// A whole shelf, newest first.
    pub fn of(shelf: Shelf) -> View {
        View {
            shelf,
            ..View::default()
        }
    }
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    pub page: RecipePage,
    /// Words that led to few recipes, with what they were read as besides.
    pub read_as: Vec<(String, Vec<String>)>,
}

/// One page of what the viewer may see of it. Text without a letter or a figure finds nothing.
pub async fn find(
    conn: &mut PgConnection,
    viewer: Option<MemberId>,
    view: &View,
    after: Option<&Cursor>,
    limit: usize,
) -> Result<Found, sqlx::Error> {
    let Some(viewer) = viewer else {
        return Ok(Found::default());
    };
    let words = match view.words.trim() {
        "" => Vec::new(),
        typed => store::words_of(conn, typed).await?,
    };
    if words.is_empty() && !view.words.trim().is_empty() {
        return Ok(Found::default());
    }
    let limit = limit.clamp(1, 100);
    let mut search = Search {
        conn: &mut *conn,
        viewer,
        view,
        need: limit + 1,
        read_as: Vec::new(),
    };
    let sort = match view.sort {
        Sort::Usual if words.is_empty() => Sort::Newest,
        sort => sort,
    };
    if sort == Sort::Newest && search.is_whole() {
        return Ok(Found {
            page: search.whole(after).await?,
            read_as: Vec::new(),
        });
    }
    let spots = match sort {
        Sort::Usual => search.closest(&words, after).await?,
        _ => {
            let want = search.wanting(within(&words, ANYWHERE));
            search.ordered(sort, &want, after).await?
        }
    };
    let read_as = search.read_as;
    let page = page_of(conn, viewer, sort, spots, limit).await?;
    Ok(Found { page, read_as })
}

async fn page_of(
    conn: &mut PgConnection,
    viewer: MemberId,
    sort: Sort,
    mut spots: Vec<Spot>,
    limit: usize,
) -> Result<RecipePage, sqlx::Error> {
    let more = spots.len() > limit;
    spots.truncate(limit);
    let next = spots.last().filter(|_| more).map(|spot| spot.cursor(sort));
    let keys: Vec<i64> = spots.iter().map(|spot| spot.recipe).collect();
    let mut lines = store::lines(conn, viewer, &keys).await?;
    let place = |id: &PublicId| spots.iter().position(|spot| spot.public_id == *id);
    lines.sort_by_key(|line| place(&line.public_id));
    Ok(RecipePage { lines, next })
}

struct Search<'a> {
    conn: &'a mut PgConnection,
    viewer: MemberId,
    view: &'a View,
    /// Recipes that are looked for: one more than a page has.
    need: usize,
    read_as: Vec<(String, Vec<String>)>,
}

impl Search<'_> {
    /// The words' part of a question, and that of the filter without its ranges.
    fn wanting(&self, words: String) -> String {
        let parts = [words, self.view.filter.marks()];
        let parts = parts.into_iter().filter(|part| !part.is_empty());
        parts.collect::<Vec<_>>().join(" & ")
    }

    /// What of the viewer's own recipes belongs to the shelf.
    fn own(&self) -> Option<Own> {
        let (binned, unlisted_only) = match self.view.shelf {
            Shelf::Everything => (false, true),
            Shelf::Mine => (false, false),
            Shelf::Bin => (true, false),
            Shelf::Club => return None,
        };
        Some(Own {
            owner: self.viewer,
            binned,
            unlisted_only,
        })
    }

    fn has_the_clubs(&self) -> bool {
        matches!(self.view.shelf, Shelf::Everything | Shelf::Club)
    }

    async fn ordered(
        &mut self,
        sort: Sort,
        want: &str,
        after: Option<&Cursor>,
    ) -> Result<Vec<Spot>, sqlx::Error> {
        let asking = Asking::of(
            want,
            "",
            &self.view.filter,
            After::of(sort, after),
            self.need,
        );
        let mut spots = Vec::new();
        if self.has_the_clubs() {
            spots = self.of_the_club(sort, &asking).await?;
        }
        if let Some(own) = self.own() {
            spots.extend(match sort {
                Sort::Best => best::own(self.conn, &asking, &own).await?,
                Sort::Name => by_name::own(self.conn, &asking, &own).await?,
                _ => newest::own(self.conn, &asking, &own).await?,
            });
        }
        Ok(self.first(sort, spots))
    }

    async fn of_the_club(
        &mut self,
        sort: Sort,
        asking: &Asking<'_>,
    ) -> Result<Vec<Spot>, sqlx::Error> {
        if let Some(walked) = self.along(sort, asking).await? {
            return Ok(walked);
        }
        match sort {
            Sort::Name => by_name::gather(self.conn, asking).await,
            Sort::Newest => newest::gather(self.conn, asking).await,
            _ => best::gather(self.conn, asking).await,
        }
    }

    /// The first along the order; none where too few are met on the way.
    async fn along(
        &mut self,
        sort: Sort,
        asking: &Asking<'_>,
    ) -> Result<Option<Vec<Spot>>, sqlx::Error> {
        let enough = usize::try_from(asking.limit).unwrap_or(usize::MAX);
        for rows in [LOOK, WALK] {
            let met = match sort {
                Sort::Name => by_name::walk(self.conn, asking, rows).await?,
                Sort::Newest => newest::walk(self.conn, asking, rows).await?,
                _ => best::walk(self.conn, asking, rows).await?,
            };
            if asking.sought.is_empty() || met.len() >= enough {
                return Ok(Some(met));
            }
            let promised = i64::try_from(met.len())
                .unwrap_or(i64::MAX)
                .saturating_mul(WALK)
                / LOOK;
            if promised < asking.limit {
                break;
            }
        }
        Ok(None)
    }

    /// By where the words stand, then by rating; where they lead to little, by what they may mean, too.
    async fn closest(
        &mut self,
        words: &[Sought],
        after: Option<&Cursor>,
    ) -> Result<Vec<Spot>, sqlx::Error> {
        let tiers = TIERS.map(|tier| self.wanting(within(words, tier)));
        let [.., widest] = &tiers;
        let after = After::of(Sort::Usual, after);
        let mut spots = Vec::new();
        if after.tier < READ && !words.iter().any(Sought::is_nowhere) {
            if self.has_the_clubs() {
                spots = self.closest_of_the_club(&tiers, &after).await?;
            }
            if let Some(own) = self.own() {
                let asking = Asking::of(widest, "", &self.view.filter, after.clone(), self.need);
                spots.extend(search::own(self.conn, &asking, &tiers, &own).await?);
            }
        }
        let begins = after == After::default();
        if after.tier == READ || begins && self.need > FEW && spots.len() < FEW {
            spots.extend(self.read_otherwise(words, widest, &after).await?);
        }
        Ok(self.first(Sort::Usual, spots))
    }

    async fn closest_of_the_club(
        &mut self,
        tiers: &[String; TIERS.len()],
        after: &After,
    ) -> Result<Vec<Spot>, sqlx::Error> {
        let filter = &self.view.filter;
        let [.., widest] = tiers;
        // What is not met often along the way fits few, as a rule, and is sorted at once.
        let along = Asking::of(widest, "", filter, After::default(), self.need);
        if self.along(Sort::Best, &along).await?.is_none() {
            let asking = Asking::of(widest, "", filter, after.clone(), self.need);
            if let Some(spots) = search::club(self.conn, &asking, tiers, AT_ONCE).await? {
                return Ok(spots);
            }
        }
        let mut spots: Vec<Spot> = Vec::new();
        let first = usize::try_from(after.tier.max(1) - 1).unwrap_or(0);
        for (at, want) in tiers.iter().enumerate().skip(first) {
            let not = at
                .checked_sub(1)
                .map_or("", |closer| tiers[closer].as_str());
            let tier = i32::try_from(at).unwrap_or(0) + 1;
            let from = match after.tier == tier {
                true => after.clone(),
                false => After::default(),
            };
            let need = self.need - spots.len();
            let asking = Asking::of(want, not, filter, from, need);
            let met = self.of_the_club(Sort::Best, &asking).await?;
            spots.extend(met.into_iter().map(|spot| Spot { tier, ..spot }));
            if spots.len() >= self.need {
                break;
            }
        }
        Ok(spots)
    }

    /// What is found when words may be mistyped. A reading is a word of a recipe that the viewer sees.
    async fn read_otherwise(
        &mut self,
        words: &[Sought],
        taken: &str,
        after: &After,
    ) -> Result<Vec<Spot>, sqlx::Error> {
        let mut read_as = Vec::new();
        let mut parts = Vec::new();
        for word in words {
            let near = store::near_words(self.conn, &word.typed).await?;
            let near = nearness::nearest(&word.typed, near);
            let mut known = store::seen_words(self.conn, self.viewer, &near).await?;
            known.truncate(READINGS);
            let exact = known.iter().map(|word| lexeme(word, ANYWHERE, ""));
            let all: Vec<String> = std::iter::once(word.within(ANYWHERE))
                .chain(exact)
                .collect();
            parts.push(format!("({})", all.join(" | ")));
            if !known.is_empty() {
                read_as.push((word.typed.clone(), known));
            }
        }
        if read_as.is_empty() {
            return Ok(Vec::new());
        }
        let want = self.wanting(parts.join(" & "));
        let after = match after.tier {
            READ => after.clone(),
            _ => After::default(),
        };
        let asking = Asking::of(&want, taken, &self.view.filter, after, self.need);
        let mut spots = Vec::new();
        if self.has_the_clubs() {
            spots = self.of_the_club(Sort::Best, &asking).await?;
        }
        if let Some(own) = self.own() {
            spots.extend(best::own(self.conn, &asking, &own).await?);
        }
        if !spots.is_empty() {
            self.read_as = read_as;
        }
        Ok(spots
            .into_iter()
            .map(|spot| Spot { tier: READ, ..spot })
            .collect())
    }

    /// As many as are needed of those that two ways brought.
    fn first(&self, sort: Sort, mut spots: Vec<Spot>) -> Vec<Spot> {
        spots.sort_by(|one, other| one.order(other, sort));
        spots.truncate(self.need);
        spots
    }
}
