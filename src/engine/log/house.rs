//! A figure of a house: what its finished batches have in common, once there are enough of them.

/// Fewer batches tell nothing (our judgement, no published source).
pub const FEWEST: usize = 3;

/// A figure of the house: of so many batches the middle, the lowest and the highest.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Figure {
    /// How many batches.
    pub count: usize,
    /// Half of them are below, half above.
    pub median: f64,
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

/// The figure of some values; `None` for fewer than [`FEWEST`] finite ones.
pub fn figure(values: impl IntoIterator<Item = f64>) -> Option<Figure> {
    let mut sorted: Vec<f64> = values
        .into_iter()
        .filter(|value| value.is_finite())
        .collect();
    sorted.sort_by(f64::total_cmp);
    let count = sorted.len();
    if count < FEWEST {
        return None;
    }
    let middle = (sorted.get((count - 1) / 2)?, sorted.get(count / 2)?);
    Some(Figure {
        count,
        // The largest and the smallest numbers have a middle too.
        median: f64::midpoint(*middle.0, *middle.1),
        low: *sorted.first()?,
        high: *sorted.last()?,
    })
}
