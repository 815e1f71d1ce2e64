//! What is known when an entry is answered: in which range its gravity was expected, how the batch goes, what comes next.

use sqlx::PgConnection;

use super::answer::{self, Known};
use super::part::Reader;
use super::view;
use crate::app::App;
use crate::batches::model::Logged;
use crate::batches::opened::{Opened, reckon, settings_of};
use crate::batches::outlook::{self, Sight, sight};
use crate::batches::plan;
use crate::batches::plan::when::Reads;
use crate::engine::forecast::Band;
use crate::engine::log::Deed;
use crate::web::error::Error;
use crate::web::viewer::Member;

/// The answer to an entry that was just written.
///
/// # Errors
/// When the database does not answer.
pub async fn said(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    (opened, written): (&Opened, &Logged),
    to: &Reader<'_>,
) -> Result<String, Error> {
    let now = app.clock.now();
    let (reads, goes_on) = (
        Reads { now, zone: to.zone },
        opened.batch.ended_at.is_none(),
    );
    let number = written.entry.unsigned_abs();
    let mut points = opened.state.points.iter();
    let mut asked = opened.state.questions.iter();
    let mut known = Known {
        is_used: points.any(|point| point.entry == number && point.used),
        is_asked: asked.any(|question| question.entry == number),
        next: plan::comes_next(opened, reads, to.units).filter(|_| goes_on),
        ..Known::default()
    };
    if matches!(&written.deed, Deed::Reading(reading) if reading.sg.is_some()) {
        let earlier = outlook::store::earlier(conn).await?;
        let without = before(opened, written, member)?;
        let then_h = opened.batch.hours_at(written.at);
        known.expected = expected(&sight(&without, then_h, earlier.clone(), false));
        known.course = sight(opened, opened.batch.hours_at(now), earlier, false).course();
    }
    let (lead, _) = view::told(&written.deed, to.units);
    Ok(answer::sentence(written, &lead, &known))
}

/// The range of gravities to be read at the hour of a sight; `None` before the pitch and once it is over.
pub fn expected(sight: &Sight) -> Option<Band> {
    let outlook = sight.outlook.as_ref().ok()?;
    (sight.case.is_pitched && !sight.case.is_over).then_some(outlook.now)
}

/// The batch as it was known without an entry.
fn before(opened: &Opened, written: &Logged, member: &Member) -> Result<Opened, Error> {
    let others = opened.log.iter().filter(|one| one.entry != written.entry);
    reckon(
        opened.batch.clone(),
        others.cloned().collect(),
        &settings_of(member),
    )
}
