//! The cellar follows the logs: whatever a log says was filled lies there.

use std::collections::BTreeMap;

use chrono::{Months, NaiveDate};
use sqlx::PgConnection;

use super::model::{DRAWN_ML, Days, Filled};
use super::store;
use crate::batches::model::{CameFrom, Logged};
use crate::batches::opened::Opened;
use crate::engine::Formulation;
use crate::engine::ageing::{keeps_months, months};
use crate::engine::log::Deed;
use crate::engine::log::entry::How;
use crate::web::error::Error;
use crate::web::random;

/// Letters of the code on a label: 60 random bits.
const CODE: usize = 12;
/// Above this a mead ages as a strong one, % ABV.
const STRONG_ABV: f64 = 14.0;

/// Makes the lots of a batch what its log says.
///
/// # Errors
/// When the database does not answer.
pub async fn follow(conn: &mut PgConnection, opened: &Opened) -> Result<(), Error> {
    let packaged = |logged: &Logged| matches!(logged.deed, Deed::Package(_));
    if !opened.log.iter().any(packaged) {
        return Ok(());
    }
    let mut named = Vec::new();
    for one in filled(opened) {
        named.push((one, [random::public_id()?, random::text(CODE)?]));
    }
    let mixed = opened.batch.began_at.date_naive();
    let days = days(&opened.planned, opened.state.abv_percent, mixed);
    Ok(store::follow(conn, opened.batch.id, &named, days).await?)
}

/// What the log of a batch filled into bottles and kegs; of what came along from the batch that it was parted from, that batch keeps account.
pub fn filled(opened: &Opened) -> Vec<Filled> {
    let own = opened
        .log
        .iter()
        .filter(|logged| !logged.struck && logged.came_from != CameFrom::Import.word());
    let mut all = Vec::new();
    for logged in own {
        let Deed::Package(package) = &logged.deed else {
            continue;
        };
        let mut sizes: BTreeMap<i32, u32> = BTreeMap::new();
        for bottles in &package.bottles {
            let size_ml = (bottles.size_l * 1000.0).round() as i32;
            let count = sizes.entry(size_ml).or_default();
            *count = count.saturating_add(bottles.count);
        }
        let sound = sizes
            .into_iter()
            .filter(|(size_ml, count)| (1..=1_000_000).contains(size_ml) && *count > 0);
        all.extend(sound.map(|(size_ml, count)| Filled {
            entry: logged.entry,
            size_ml,
            count: i32::try_from(count.min(1_000_000)).unwrap_or(0),
            gas: package.how == Some(How::Gas),
            keg: false,
            at: logged.at,
        }));
        // What is in no bottle is in a keg.
        let litres = package.litres.filter(|_| package.bottles.is_empty());
        let count = litres.map(|litres| (1000.0 * litres / f64::from(DRAWN_ML)).round());
        all.extend(count.filter(|count| *count >= 1.0).map(|count| Filled {
            entry: logged.entry,
            size_ml: DRAWN_ML,
            count: count.min(1e6) as i32,
            gas: package.how == Some(How::Gas),
            keg: true,
            at: logged.at,
        }));
    }
    all
}

/// When a mead of that style and strength, mixed on that day, is usually good, at its best, and until when it keeps.
pub fn days(planned: &Formulation, abv_percent: f64, mixed: NaiveDate) -> Days {
    let style = planned.style.as_ref();
    let family = style
        .and_then(|style| style.family.value.as_deref())
        .unwrap_or_default();
    let strength = match abv_percent > STRONG_ABV {
        true => "sack",
        false => style
            .and_then(|style| style.strength.value.as_deref())
            .unwrap_or_default(),
    };
    let on = |months: u32| mixed.checked_add_months(Months::new(months));
    let [good, best] = months(family, strength);
    Days {
        good_on: on(good),
        best_on: on(best),
        keeps_until: on(keeps_months(family, strength)),
    }
}
