//! Ranking: whether tasters who put meads in order agree more than luck would have it. Method: ISO 8587, Friedman's test.

use std::collections::BTreeMap;

/// The fewest and the most meads that are ranked at once.
pub const MEADS: std::ops::RangeInclusive<usize> = 3..=6;
/// The most tasters.
pub const MOST_TASTERS: usize = 1_000;

/// How many steps the exact chance may take; beyond it the approximation is good.
const STEPS: usize = 200_000;
/// The normal quantile of a two-sided 5 %.
const Z_5_PERCENT: f64 = 1.959_963_984_540_054;

/// What the orders of a panel say.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranking {
    /// Of each mead the sum of its ranks; the lowest comes first. Equal places share the mean of theirs.
    pub sums: Vec<f64>,
    /// Friedman's statistic, corrected for equal places; 0 where everybody put all of them level.
    pub statistic: f64,
    /// The chance that luck alone makes a statistic so large or larger.
    pub p_value: f64,
    /// Whether that chance was counted out, and not read off the chi-squared distribution, which is rough for small panels.
    pub exact: bool,
    /// By how much two sums must differ to tell those two apart, at 5 %; counts only where the panel as a whole tells them apart.
    pub least_difference: f64,
}

/// Ranks from places: equal places share the mean of the ranks that they take. Any numbers do: the lowest comes first.
pub fn mid_ranks(places: &[u32]) -> Vec<f64> {
    let rank = |place: &u32| {
        let before = places.iter().filter(|other| *other < place).count();
        let level = places.iter().filter(|other| *other == place).count();
        before as f64 + (level as f64 + 1.0) / 2.0
    };
    places.iter().map(rank).collect()
}

/// Weighs the places that each taster gave to each mead. `None` unless there are 2 to [`MOST_TASTERS`] tasters, who all placed the
/// same 3 to 6 meads.
///
/// Statistic: 12/(j p (p+1)) Σ R² − 3 j (p+1) for j tasters and p meads, divided by 1 − Σ(t³ − t)/(j p (p² − 1)) for ties of t.
/// Least difference: 1.96 √(j p (p+1)/6). The chance is exact, given which places each taster made level, while that is quickly
/// counted; else chi-squared with p − 1 degrees of freedom.
pub fn weigh(places: &[Vec<u32>]) -> Option<Ranking> {
    let meads = places.first()?.len();
    let sound = MEADS.contains(&meads)
        && (2..=MOST_TASTERS).contains(&places.len())
        && places.iter().all(|one| one.len() == meads);
    if !sound {
        return None;
    }
    let ranks: Vec<Vec<f64>> = places.iter().map(|one| mid_ranks(one)).collect();
    let sums = (0..meads).map(|mead| ranks.iter().filter_map(|one| one.get(mead)).sum());
    let sums: Vec<f64> = sums.collect();
    let (j, p) = (places.len() as f64, meads as f64);
    let plain = 12.0 / (j * p * (p + 1.0)) * sums.iter().map(|sum| sum * sum).sum::<f64>()
        - 3.0 * j * (p + 1.0);
    let ties: f64 = places.iter().map(|one| tied(one)).sum();
    let room = 1.0 - ties / (j * p * (p * p - 1.0));
    // Everybody put everything level: nothing to tell.
    let statistic = if room > 1e-12 {
        (plain / room).max(0.0)
    } else {
        0.0
    };
    let counted = exact_p(&ranks, &sums);
    Some(Ranking {
        p_value: counted.unwrap_or_else(|| chi_squared_tail(statistic, meads - 1)),
        exact: counted.is_some(),
        sums,
        statistic,
        least_difference: Z_5_PERCENT * (j * p * (p + 1.0) / 6.0).sqrt(),
    })
}

/// Σ(t³ − t) over the groups of equal places of one taster.
fn tied(places: &[u32]) -> f64 {
    let mut groups: BTreeMap<u32, f64> = BTreeMap::new();
    for place in places {
        *groups.entry(*place).or_default() += 1.0;
    }
    groups.values().map(|t| t * t * t - t).sum()
}

/// The chance that sums so far apart, or further, come about when each taster's ranks fall on the meads by luck. `None` where it
/// would take too long. Sums are kept in order, since which mead is which does not matter to luck; ranks are doubled, so that
/// shared ones are whole.
fn exact_p(ranks: &[Vec<f64>], sums: &[f64]) -> Option<f64> {
    let mut reached: BTreeMap<Sums, f64> = BTreeMap::from([(Sums::default(), 1.0)]);
    let (mut steps, mut ways) = (0, 1.0);
    // In an order of their own, so that who comes first does not decide whether it is counted.
    let mut tasters: Vec<Sums> = ranks.iter().map(|taster| doubled(taster)).collect();
    for taster in &mut tasters {
        taster[..sums.len()].sort_unstable();
    }
    tasters.sort_unstable();
    for mut taster in tasters {
        let mut orders = Vec::new();
        arrange(&mut taster, sums.len(), 0, &mut orders);
        // Those that look alike come about equally often.
        orders.sort_unstable();
        orders.dedup();
        steps += reached.len() * orders.len();
        if steps > STEPS {
            return None;
        }
        ways *= orders.len() as f64;
        let mut next: BTreeMap<Sums, f64> = BTreeMap::new();
        for (before, count) in &reached {
            for order in &orders {
                let mut after = *before;
                for (sum, rank) in after.iter_mut().zip(order) {
                    *sum += rank;
                }
                // The largest first: meads that are not there stay last.
                after.sort_unstable_by(|one, other| other.cmp(one));
                *next.entry(after).or_default() += count;
            }
        }
        reached = next;
    }
    let apart = |sums: &Sums| -> u64 { sums.iter().map(|sum| u64::from(*sum).pow(2)).sum() };
    let found = apart(&doubled(sums));
    let further = reached.iter().filter(|(sums, _)| apart(sums) >= found);
    Some(further.map(|(_, count)| count).sum::<f64>() / ways)
}

/// Twice the sum of ranks of each mead; meads that are not there have none.
type Sums = [u32; *MEADS.end()];

fn doubled(ranks: &[f64]) -> Sums {
    let mut sums = Sums::default();
    for (sum, rank) in sums.iter_mut().zip(ranks) {
        *sum = (2.0 * rank).round() as u32;
    }
    sums
}

/// Every order of the first `meads` ranks; shared ones make some of them look alike.
fn arrange(ranks: &mut Sums, meads: usize, from: usize, orders: &mut Vec<Sums>) {
    if from == meads {
        orders.push(*ranks);
        return;
    }
    for at in from..meads {
        ranks.swap(from, at);
        arrange(ranks, meads, from + 1, orders);
        ranks.swap(from, at);
    }
}

/// P(X ≥ x) of the chi-squared distribution with so many degrees of freedom (at least 1), by its closed sums; good to about 1e-14.
/// Source: repeated parts of the incomplete gamma integral (any table of integrals).
pub fn chi_squared_tail(x: f64, degrees: usize) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    let half = x / 2.0;
    let even = degrees.is_multiple_of(2);
    // Even: e^−h Σ h^k/k!. Odd: erfc √h + e^−h Σ h^(k+½)/Γ(k+3/2).
    let (mut sum, mut term, mut k) = match even {
        true => (0.0, (-half).exp(), 0.0),
        false => (
            erfc(half.sqrt()),
            (-half).exp() * half.sqrt() * 2.0 / std::f64::consts::PI.sqrt(),
            0.5,
        ),
    };
    for _ in 0..degrees / 2 {
        sum += term;
        k += 1.0;
        term *= half / k;
    }
    sum.clamp(0.0, 1.0)
}

/// The complementary error function of x ≥ 0: its series near 0, a continued fraction further out; good to about 1e-14 of 1.
fn erfc(x: f64) -> f64 {
    let scale = (-x * x).exp() / std::f64::consts::PI.sqrt();
    if x < 2.5 {
        // erf = 2/√π e^−x² Σ 2^n x^(2n+1)/(1·3·…·(2n+1)).
        let (mut term, mut sum) = (x, x);
        for n in 1..200 {
            term *= 2.0 * x * x / f64::from(2 * n + 1);
            sum += term;
            if term < 1e-17 * sum {
                break;
            }
        }
        return 1.0 - 2.0 * scale * sum;
    }
    // From the far end: x + (1/2)/(x + 1/(x + (3/2)/(x + …))).
    let mut below = x;
    for n in (1..=100).rev() {
        below = x + f64::from(n) / 2.0 / below;
    }
    scale / below
}
