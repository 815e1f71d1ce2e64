//! What was answered of a batch, wherever it was asked, and what is known of the batch besides.

use sqlx::PgConnection;

use crate::batches::model::Shelf;
use crate::batches::opened::Opened;
use crate::batches::store;
use crate::engine::blend::risk::LITTLE_SUGAR_G_PER_L;
use crate::engine::decide::Answer;
use crate::engine::decide::mend::Batch;
use crate::engine::log::Deed;
use crate::web::error::Error;
use crate::web::viewer::Member;

/// A mead of another gravity than this differs enough to be blended with.
const APART_SG: f64 = 0.004;
/// Batches that are looked at for a blend.
const MOST: usize = 100;

/// The tastings of a log.
pub fn of_log(opened: &Opened) -> Vec<Answer> {
    let tasted = opened.entries.iter().filter_map(|entry| match &entry.deed {
        Deed::Tasting(tasting) => Some(Answer {
            age_days: entry.hours / 24.0,
            tasting: tasting.clone(),
        }),
        _ => None,
    });
    tasted.collect()
}

/// What is known of a batch that could be mended.
///
/// # Errors
/// When the database does not answer.
pub async fn batch(
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
) -> Result<Batch, Error> {
    let state = &opened.state;
    let others = store::list(conn, member.id, Shelf::Going, None, MOST).await?;
    let others: Vec<f64> = others
        .into_iter()
        .filter(|line| line.public_id != opened.batch.public_id)
        .filter_map(|line| line.sg)
        .collect();
    let sg = state.sg;
    let mut packaged = opened.entries.iter().filter_map(|entry| match &entry.deed {
        Deed::Package(package) => Some(package),
        _ => None,
    });
    let goes_on = state.fermenting && !state.stabilised;
    Ok(Batch {
        in_keg: matches!(packaged.next_back(), Some(package) if package.bottles.is_empty()),
        is_over: opened.batch.ended_at.is_some() || state.volume_l < 0.05,
        still_ferments: goes_on && state.expected.fermentable_g_per_l > LITTLE_SUGAR_G_PER_L,
        stabilised: state.stabilised,
        has_drier: others.iter().any(|other| *other < sg - APART_SG),
        has_sweeter: others.iter().any(|other| *other > sg + APART_SG),
    })
}
