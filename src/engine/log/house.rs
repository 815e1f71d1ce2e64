//! A house's own figures: what its finished batches have in common, once there are enough of them.

/// Fewer batches tell nothing (our judgement, no published source).
pub const FEWEST: usize = 3;

/// What a finished batch tells.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Finished {
    /// The key of its yeast.
    pub yeast: Option<String>,
    /// FG as read less FG as formulated, SG.
    pub fg_off: Option<f64>,
    /// The key of the vessel it fermented in.
    pub vessel: Option<String>,
    /// What stayed behind, as a part of what it began with.
    pub loss_part: Option<f64>,
    /// Days from the pitch to the end.
    pub days_to_end: Option<f64>,
    /// A word for the season in which it was mixed.
    pub season: Option<String>,
}

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
        // Halved apart, so that the largest numbers have a middle too.
        median: middle.0 / 2.0 + middle.1 / 2.0,
        low: *sorted.first()?,
        high: *sorted.last()?,
    })
}

/// How far from the formulated FG this yeast ends here, SG.
pub fn fg_off(batches: &[Finished], yeast: &str) -> Option<Figure> {
    let of = batches
        .iter()
        .filter(|batch| batch.yeast.as_deref() == Some(yeast));
    figure(of.filter_map(|batch| batch.fg_off))
}

/// What part stays behind of what ferments in this vessel.
pub fn loss_part(batches: &[Finished], vessel: &str) -> Option<Figure> {
    let of = batches
        .iter()
        .filter(|batch| batch.vessel.as_deref() == Some(vessel));
    figure(of.filter_map(|batch| batch.loss_part))
}

/// Days to the end with this yeast, mixed in this season (`None`: in any).
pub fn days_to_end(batches: &[Finished], yeast: &str, season: Option<&str>) -> Option<Figure> {
    let of = batches.iter().filter(|batch| {
        batch.yeast.as_deref() == Some(yeast)
            && (season.is_none() || batch.season.as_deref() == season)
    });
    figure(of.filter_map(|batch| batch.days_to_end))
}
