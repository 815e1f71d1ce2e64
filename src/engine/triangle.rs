//! The triangle test: three glasses, two alike; how likely so many right picks are by luck alone. Method: ISO 4120.

/// The largest panel told apart.
pub const LARGEST_PANEL: u32 = 1_000;

/// Chance of a right pick by luck.
const LUCK: f64 = 1.0 / 3.0;

/// P(X ≥ c) for every c from 0 to `panel` (and 0 beyond), X right picks of which each has this chance, above 0 and below 1: binomial.
///
/// Each term follows from its neighbour, outwards from the likeliest, so that nothing overflows and nothing is lost in
/// differences; good to about 1e-13 of each value. A panel above [`LARGEST_PANEL`] counts as that.
fn tails(panel: u32, chance: f64) -> Vec<f64> {
    let n = panel.min(LARGEST_PANEL);
    let likeliest = (f64::from(n + 1) * chance).floor().clamp(0.0, f64::from(n)) as u32;
    let odds = chance / (1.0 - chance);
    let mut terms = vec![0.0; n as usize + 2];
    terms[likeliest as usize] = 1.0;
    for k in likeliest..n {
        let factor = f64::from(n - k) / f64::from(k + 1) * odds;
        terms[k as usize + 1] = terms[k as usize] * factor;
    }
    for k in (1..=likeliest).rev() {
        let factor = f64::from(k) / f64::from(n - k + 1) / odds;
        terms[k as usize - 1] = terms[k as usize] * factor;
    }
    // Summed from the small end.
    let mut sum = 0.0;
    for term in terms.iter_mut().rev() {
        sum += *term;
        *term = sum;
    }
    terms.iter().map(|tail| tail / sum).collect()
}

/// Chance that `correct` or more of `panel` tasters pick right by luck alone; `None` where more are right than tasted, or the panel is too large.
pub fn p_value(panel: u32, correct: u32) -> Option<f64> {
    if correct > panel || panel > LARGEST_PANEL {
        return None;
    }
    tails(panel, LUCK).get(correct as usize).copied()
}

/// The least number of right picks whose chance by luck alone is at most `alpha`; `None` where not even all right would do.
pub fn critical_number(panel: u32, alpha: f64) -> Option<u32> {
    if panel > LARGEST_PANEL {
        return None;
    }
    let tails = tails(panel, LUCK);
    (0..=panel).find(|c| tails.get(*c as usize).is_some_and(|tail| *tail <= alpha))
}

/// Estimate of the part of tasters who really tell the difference: 1.5 × right/all − 0.5, never below 0. 0 for an empty panel.
pub fn part_who_can_tell(panel: u32, correct: u32) -> f64 {
    if panel == 0 {
        return 0.0;
    }
    (1.5 * f64::from(correct.min(panel)) / f64::from(panel) - 0.5).max(0.0)
}

/// The chance that a panel notices a difference which this part of all people (0 to 1) really can tell: that at least
/// [`critical_number`] pick right, where whoever cannot tell guesses. `None` for a part outside 0 to 1, and where not even all
/// right would do. Source: binomial with p = part + (1 − part)/3; method ISO 4120.
pub fn power(panel: u32, alpha: f64, part: f64) -> Option<f64> {
    if !(0.0..=1.0).contains(&part) {
        return None;
    }
    let needed = critical_number(panel, alpha)?;
    let chance = part + (1.0 - part) * LUCK;
    if chance >= 1.0 {
        return Some(1.0);
    }
    tails(panel, chance).get(needed as usize).copied()
}
