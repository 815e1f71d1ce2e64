//! The club's own figures where a batch is started: what is offered in place of the book's, and what was taken of it.

use chrono::{DateTime, Datelike, Utc};
use sqlx::PgConnection;

use super::forms::Going;
use crate::batches::house::figures::{days, fg_off, loss, season_of};
use crate::batches::house::offered::{self, DAYS, FG, LOSS, Offer};
use crate::batches::house::store::{Done, finished};
use crate::batches::outlook;
use crate::engine::log::house::Figure;
use crate::engine::log::own::Own;
use crate::engine::recipe::Recipe;
use crate::recipes::scale::batch::Makings;
use crate::web::error::Error;
use crate::web::typed::Typed;

/// What the club's finished batches tell.
pub(super) struct Club {
    all: Vec<Done>,
    /// From how many batches forecasts begin; 0 while the book's judgement stands.
    forecast_from: usize,
}

impl Club {
    /// As it stands now.
    pub(super) async fn now(conn: &mut PgConnection) -> Result<Club, Error> {
        let all = finished(conn).await?;
        let earlier = outlook::store::earlier(conn).await?;
        Ok(Club {
            all,
            forecast_from: match outlook::has_own_prior(&earlier) {
                true => earlier.len(),
                false => 0,
            },
        })
    }

    /// From what the forecast begins, in words.
    pub(super) fn forecast_words(&self) -> String {
        offered::forecast_words(self.forecast_from)
    }

    /// What is offered for a batch of this.
    pub(super) fn offers(&self, made: &Makings) -> Vec<Offer> {
        let finished = made.numbers.finished.as_ref();
        let book = finished.map(|finished| finished.natural_fg);
        // What was made to fit knows already what stays behind.
        let losses = match made.fitted {
            true => None,
            false => offered::losses(&self.all, &kinds(made)),
        };
        let end = offered::end(&self.all, yeast(&made.document), book);
        let days = offered::course(&self.all);
        end.into_iter().chain(losses).chain(days).collect()
    }

    /// What was taken, of a batch that is mixed then; its vessel stands in the document.
    ///
    /// # Errors
    /// When a field came twice.
    pub(super) fn taken(
        &self,
        typed: &mut Typed<'_>,
        made: &Makings,
        began_at: Option<DateTime<Utc>>,
    ) -> Result<Own, Error> {
        let mut own = Own {
            fg_off: self.end_taken(typed, yeast(&made.document))?,
            loss_part: None,
            end_days: self.days_taken(typed, began_at)?,
        };
        let kind = made.document.vessel.as_ref();
        let kind = kind.and_then(|vessel| vessel.kind.as_deref());
        if made.fitted {
            own.loss_part = made.club_loss;
        } else if typed.text(LOSS)? == "yes" {
            own.loss_part = kind.and_then(|kind| loss(&self.all, kind));
            if own.loss_part.is_none() {
                let why = "The club has no figure for this vessel. Leave this unticked, or choose another vessel.";
                typed.form.refuse(LOSS, why);
            }
        }
        Ok(own.sound())
    }

    /// What is offered for a mead that is going already; nothing is known of it before it is typed.
    pub(super) fn offers_of_any(&self, yeasts: &[(String, String)]) -> Vec<Offer> {
        let ends = offered::ends(&self.all, yeasts);
        ends.into_iter().chain(offered::course(&self.all)).collect()
    }

    /// What was taken of that. In what it stands is not told, so that nothing is known of what stays behind.
    ///
    /// # Errors
    /// When a field came twice.
    pub(super) fn taken_of_going(
        &self,
        typed: &mut Typed<'_>,
        going: &Going,
    ) -> Result<Own, Error> {
        let own = Own {
            fg_off: self.end_taken(typed, yeast(&going.document))?,
            loss_part: None,
            end_days: self.days_taken(typed, Some(going.began_at))?,
        };
        Ok(own.sound())
    }

    fn end_taken(
        &self,
        typed: &mut Typed<'_>,
        yeast: Option<&str>,
    ) -> Result<Option<Figure>, Error> {
        if typed.text(FG)? != "yes" {
            return Ok(None);
        }
        let off = yeast.and_then(|key| fg_off(&self.all, key));
        if off.is_none() {
            let why = "The club has no figure for this yeast. Leave this unticked.";
            typed.form.refuse(FG, why);
        }
        Ok(off)
    }

    fn days_taken(
        &self,
        typed: &mut Typed<'_>,
        began_at: Option<DateTime<Utc>>,
    ) -> Result<Option<Figure>, Error> {
        let is_taken = typed.text(DAYS)? == "yes";
        let season = began_at.and_then(|at| season_of(at.month()));
        let Some(season) = season.filter(|_| is_taken) else {
            return Ok(None);
        };
        let days = days(&self.all, season);
        if days.is_none() {
            typed.form.refuse(DAYS, offered::no_days(season.0));
        }
        Ok(days)
    }
}

fn yeast(document: &Recipe) -> Option<&str> {
    document.yeasts.first()?.key.as_deref()
}

/// The kinds of vessels that may be chosen: the recipe's own, and those of the member.
fn kinds(made: &Makings) -> Vec<&str> {
    let own = made.document.vessel.as_ref();
    let own = own.and_then(|vessel| vessel.kind.as_deref());
    let mine = made.choices.iter().filter(|choice| choice.is_mine());
    own.into_iter()
        .chain(mine.map(|choice| choice.kind.word()))
        .collect()
}
