//! How points were spread, and how far judges of one table agreed. Told after the results; nothing of it decides anything.

use std::collections::{BTreeMap, BTreeSet};

use super::frozen::{Flight, Mark};
use crate::engine::senses::ranking::mid_ranks;

/// Columns of the picture of totals.
const COLUMNS: u32 = 10;

/// How totals were spread, in points.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    pub count: usize,
    pub least: u32,
    pub most: u32,
    pub mean: f64,
    /// Quartiles by the usual straight line between the two nearest (type 7 of Hyndman and Fan, 1996, from memory).
    pub quartiles: [f64; 3],
    /// Ten equal steps from 0 to the most of the sheet: from, to (not reached, but for the last one), how many.
    pub columns: Vec<(u32, u32, usize)>,
}

/// Spreads totals; `None` for none of them, or a sheet of no points.
pub fn spread(totals: &[u32], most_of_sheet: u32) -> Option<Spread> {
    let mut sorted = totals.to_vec();
    sorted.sort_unstable();
    let (least, most) = (*sorted.first()?, *sorted.last()?);
    if most_of_sheet == 0 {
        return None;
    }
    let edge = |step: u32| (u64::from(most_of_sheet) * u64::from(step) / u64::from(COLUMNS)) as u32;
    let columns = (0..COLUMNS).map(|step| {
        let (from, to) = (edge(step), edge(step + 1));
        let last = step + 1 == COLUMNS;
        let inside = |total: &&u32| **total >= from && (**total < to || last);
        (from, to, sorted.iter().filter(inside).count())
    });
    let sum: f64 = sorted.iter().map(|total| f64::from(*total)).sum();
    Some(Spread {
        count: sorted.len(),
        least,
        most,
        mean: sum / sorted.len() as f64,
        quartiles: [0.25, 0.5, 0.75].map(|part| quantile(&sorted, part)),
        columns: columns.collect(),
    })
}

fn quantile(sorted: &[u32], part: f64) -> f64 {
    let at = part * sorted.len().saturating_sub(1) as f64;
    let value = |index: f64| sorted.get(index as usize).copied().map_or(0.0, f64::from);
    let (below, above) = (value(at.floor()), value(at.ceil()));
    below + (above - below) * at.fract()
}

/// How far one table agreed.
#[derive(Clone, Debug, PartialEq)]
pub struct Agreement {
    pub flight: u32,
    pub judges: usize,
    pub entries: usize,
    /// Kendall's coefficient of concordance, 0 (none) to 1 (the same order); none where nobody told anything apart.
    pub concordance: Option<f64>,
    /// Mean difference between two judges of one entry, points.
    pub apart: f64,
    /// The largest.
    pub widest: u32,
}

/// Agreement at one table, over what all its judges tasted; `None` with fewer than two judges or two entries.
///
/// Kendall's W = 12 S / (m² (n³ − n) − m Σ(t³ − t)) for m judges, n entries, S the sum of squares of rank sums about their mean, t
/// the sizes of groups that a judge put level. Source: Kendall and Babington Smith, The problem of m rankings, 1939 (from memory).
pub fn agreement(flight: &Flight) -> Option<Agreement> {
    let judges: BTreeSet<u32> = flight.marks.iter().map(|mark| mark.judge).collect();
    let of = |judge: u32, code: &str| {
        let mut own = flight.marks.iter();
        own.find(|mark| mark.judge == judge && mark.code == code)
            .map(|mark| mark.total)
    };
    let all: BTreeSet<&String> = flight.marks.iter().map(|mark| &mark.code).collect();
    // Row by entry, column by judge.
    let rows: Vec<Vec<u32>> = all
        .into_iter()
        .filter_map(|code| judges.iter().map(|judge| of(*judge, code)).collect())
        .collect();
    let (m, n) = (judges.len(), rows.len());
    if m < 2 || n < 2 {
        return None;
    }
    let differences = rows.iter().flat_map(|row| pairs(row));
    let differences: Vec<u32> = differences.collect();
    let sum: f64 = differences.iter().map(|one| f64::from(*one)).sum();
    Some(Agreement {
        flight: flight.number,
        judges: m,
        entries: n,
        concordance: concordance(&rows, m),
        apart: sum / differences.len() as f64,
        widest: differences.iter().copied().max().unwrap_or(0),
    })
}

/// Differences of every two.
fn pairs(row: &[u32]) -> Vec<u32> {
    let one = row.iter().enumerate();
    one.flat_map(|(at, one)| {
        row.iter()
            .skip(at + 1)
            .map(move |other| one.abs_diff(*other))
    })
    .collect()
}

fn concordance(rows: &[Vec<u32>], judges: usize) -> Option<f64> {
    let mut sums = vec![0.0; rows.len()];
    let mut level = 0.0;
    for judge in 0..judges {
        let totals: Vec<u32> = rows
            .iter()
            .filter_map(|row| row.get(judge).copied())
            .collect();
        for (sum, rank) in sums.iter_mut().zip(mid_ranks(&totals)) {
            *sum += rank;
        }
        let mut groups: BTreeMap<u32, f64> = BTreeMap::new();
        for total in totals {
            *groups.entry(total).or_default() += 1.0;
        }
        level += groups.values().map(|t| t * t * t - t).sum::<f64>();
    }
    let (m, n) = (judges as f64, rows.len() as f64);
    let mean = m * (n + 1.0) / 2.0;
    let squares: f64 = sums.iter().map(|sum| (sum - mean) * (sum - mean)).sum();
    let room = m * m * (n * n * n - n) - m * level;
    (room > 1e-9).then(|| (12.0 * squares / room).clamp(0.0, 1.0))
}

/// How a judge stood to the others of the same tables.
#[derive(Clone, Debug, PartialEq)]
pub struct Leaning {
    pub judge: u32,
    /// Sheets that others filled too.
    pub sheets: usize,
    /// Mean of own total less the mean of the others', points: above 0 more generous.
    pub above: f64,
}

/// Of every judge whose sheets can be held against others', by number.
pub fn leanings(flights: &[Flight]) -> Vec<Leaning> {
    let mut own: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
    for flight in flights {
        for mark in &flight.marks {
            let others = flight.marks.iter().filter(|other| is_other(other, mark));
            let others: Vec<f64> = others.map(|other| f64::from(other.total)).collect();
            if others.is_empty() {
                continue;
            }
            let mean = others.iter().sum::<f64>() / others.len() as f64;
            let above = f64::from(mark.total) - mean;
            own.entry(mark.judge).or_default().push(above);
        }
    }
    let leaning = |(judge, above): (u32, Vec<f64>)| Leaning {
        judge,
        sheets: above.len(),
        above: above.iter().sum::<f64>() / above.len() as f64,
    };
    own.into_iter().map(leaning).collect()
}

fn is_other(other: &Mark, mark: &Mark) -> bool {
    other.code == mark.code && other.judge != mark.judge
}
