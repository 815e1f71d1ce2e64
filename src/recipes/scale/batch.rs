//! What a batch is made of: a revision as it is, or made to fit with what is weighed out.

use super::asked::Asked;
use super::weigh::Weighing;
use super::{Choice, choices, make};
use crate::app::App;
use crate::batches::house::figures::losses_of_kinds;
use crate::batches::house::store::finished;
use crate::engine;
use crate::engine::Formulation;
use crate::engine::log::house::Figure;
use crate::recipes::model::Recipe;
use crate::recipes::numbers::{NumbersView, Reader, view};
use crate::recipes::opened::{Opened, open};
use crate::recipes::workbench::engine_settings;
use crate::vessels::instruments;
use crate::web::error::Error;
use crate::web::viewer::{Member, Viewer};

/// A revision that may be made, weighed out.
pub struct Makings {
    pub recipe: Recipe,
    pub number: i32,
    pub title: String,
    pub document: engine::Recipe,
    pub numbers: Formulation,
    pub reader: Reader,
    /// The vessels that may be chosen.
    pub choices: Vec<Choice>,
    /// Whether it was made to fit, so that its vessel is known.
    pub fitted: bool,
    /// What stays behind by the club's own batches, where it was made to fit with that in a vessel that the document knows.
    pub club_loss: Option<Figure>,
}

impl Makings {
    /// What a page says of it.
    pub fn view(&self) -> NumbersView {
        view(&self.document, &self.numbers, &self.reader)
    }
}

/// Finds a revision and weighs it out as asked. `None` when it cannot be made so.
///
/// # Errors
/// When the member may not see it.
pub async fn makings(
    app: &App,
    member: &Member,
    id: &str,
    number: Option<i32>,
    asked: &Asked,
) -> Result<Option<Makings>, Error> {
    let opened = open(app, member, id, number, "", "").await?;
    let mut conn = app.pool.acquire().await?;
    let tools = instruments::store::list(&mut conn, member.id).await?;
    let club = losses_of_kinds(&finished(&mut conn).await?);
    drop(conn);
    let settings = engine_settings(&Viewer::known(member.clone()));
    let choices = choices(&opened.reader.vessels);
    let Opened {
        recipe,
        revision,
        document,
        rounded,
        reader,
        ..
    } = opened;
    let fitted = !asked.is_empty();
    let (document, numbers, club_loss) = if fitted {
        let units = member.settings.units;
        let weighing = Weighing::of(&member.settings, &tools);
        let wish = asked.clone().chosen().check(&choices, &club, units).ok();
        let made = wish.and_then(|wish| make(&document, &wish, &weighing, &settings, units).ok());
        match made {
            Some(made) => {
                let known = made.wish.club_loss.filter(|_| made.given.vessel.is_some());
                (made.given, made.numbers, known)
            }
            None => return Ok(None),
        }
    } else {
        (document, rounded.exact, None)
    };
    Ok(Some(Makings {
        number: revision.number,
        title: revision.title,
        recipe,
        document,
        numbers,
        reader,
        choices,
        fitted,
        club_loss,
    }))
}
