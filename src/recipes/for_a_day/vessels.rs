//! The vessels that a mead stands in after its first fermentation: usual ones, as few as may be, and full.

use crate::catalogue::{Vessel, VesselKind, catalogue};
use crate::engine::chain::{Batch, Chain};
use crate::engine::vessel::AGEING_HEADSPACE;
use crate::web::units::Units;

/// How full a vessel is to be that a mead ages in: at most 3 % of it empty (common practice, no published source), and a
/// hundredth left for warm days (our judgement, no published source).
pub const FULL: [f64; 2] = [1.0 - AGEING_HEADSPACE, 0.99];
/// The largest that one carries full, litres.
const CARRIED_L: f64 = 25.0;
/// So many of one size are thought of.
const MOST_OF_A_SIZE: u32 = 12;
/// What one more vessel may save of the mead, as a part of it, before it is worth its trouble (our judgement, no published
/// source).
const TROUBLE: f64 = 0.05;

/// So many of one usual vessel.
pub type Several = (u32, &'static Vessel);

/// Vessels and what goes through them.
#[derive(Clone, Debug)]
pub struct Filled {
    pub ages_in: Vec<Several>,
    pub chain: Chain,
}

/// The least batch that leaves so many litres to fill and of whose later vessels each is full; `ferments_in` counts the
/// vessels of the first fermentation. None where the usual vessels are too small, or the fruit keeps everything.
pub fn fill(litres: f64, fruit_kg_per_l: f64, ferments_in: u32, units: Units) -> Option<Filled> {
    let batch = |count: u32| Batch {
        fruit_kg_per_l,
        vessels: [ferments_in, count],
        ..Batch::default()
    };
    let least: Vec<f64> = (0..=MOST_OF_A_SIZE + 2)
        .map(|count| {
            let chain = batch(count).for_packaged(litres);
            chain.map_or(f64::INFINITY, |chain| chain.secondary_l)
        })
        .collect();
    let mut best: Option<(f64, f64, Vec<Several>)> = None;
    for vessels in combinations(units) {
        let count: u32 = vessels.iter().map(|(count, _)| *count).sum();
        let brim_l: f64 = vessels
            .iter()
            .map(|(n, of)| f64::from(*n) * of.brim_l)
            .sum();
        let least_l = least.get(count as usize).copied().unwrap_or(f64::INFINITY);
        if least_l > FULL[1] * brim_l {
            continue;
        }
        let fill_l = least_l.max(FULL[0] * brim_l);
        let cost = (fill_l - least_l) / least_l + TROUBLE * f64::from(count);
        if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
            best = Some((cost, fill_l, vessels));
        }
    }
    let (_, fill_l, ages_in) = best?;
    let count = ages_in.iter().map(|(count, _)| *count).sum();
    let chain = batch(count).for_secondary(fill_l)?;
    Some(Filled { ages_in, chain })
}

/// Several of one size, and at most one of each of two smaller ones.
fn combinations(units: Units) -> Vec<Vec<Several>> {
    let mut glass: Vec<&Vessel> = catalogue()
        .vessels()
        .iter()
        .filter(|vessel| matches!(vessel.kind, VesselKind::Demijohn | VesselKind::Carboy))
        .filter(|vessel| vessel.brim_l <= CARRIED_L)
        .filter(|vessel| vessel.key.contains("-us-") == (units == Units::Us))
        .collect();
    glass.sort_by(|one, other| other.brim_l.total_cmp(&one.brim_l));
    let mut all = Vec::new();
    for (at, large) in glass.iter().enumerate() {
        for count in 1..=MOST_OF_A_SIZE {
            let first = (count, *large);
            all.push(vec![first]);
            for (then, middle) in glass.iter().enumerate().skip(at + 1) {
                all.push(vec![first, (1, *middle)]);
                let smaller = glass.iter().skip(then + 1);
                all.extend(smaller.map(|small| vec![first, (1, *middle), (1, *small)]));
            }
        }
    }
    all
}
