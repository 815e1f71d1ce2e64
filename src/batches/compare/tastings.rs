//! Tastings of a log at their age, in words.

use crate::batches::opened::Opened;
use crate::engine::log::Deed;
use crate::engine::log::entry::Tasting;

/// A tasting that counts.
pub struct Tasted<'a> {
    /// Days since the mixing.
    pub age_days: f64,
    pub tasting: &'a Tasting,
}

/// All of a batch, in order of time.
pub fn of(opened: &Opened) -> Vec<Tasted<'_>> {
    let entries = opened.entries.iter();
    entries
        .filter_map(|entry| match &entry.deed {
            Deed::Tasting(tasting) => Some(Tasted {
                age_days: entry.hours / 24.0,
                tasting,
            }),
            _ => None,
        })
        .collect()
}

/// Of two batches the tastings that are nearest to equal age; of several the oldest pair. `None` where one was not tasted.
pub fn at_equal_age<'a, 'b>(
    one: &'a [Tasted<'a>],
    other: &'b [Tasted<'b>],
) -> Option<(&'a Tasted<'a>, &'b Tasted<'b>)> {
    let pairs = one.iter().flat_map(|a| other.iter().map(move |b| (a, b)));
    pairs.min_by(|(a, b), (c, d)| {
        let apart = |x: &Tasted<'_>, y: &Tasted<'_>| (x.age_days - y.age_days).abs();
        // As near in age, the older pair tells more.
        apart(a, b)
            .total_cmp(&apart(c, d))
            .then(c.age_days.total_cmp(&a.age_days))
    })
}

/// "62 days".
pub fn age_words(days: f64) -> String {
    match days.round() as i64 {
        1 => "1 day".to_owned(),
        days if days < 120 => format!("{days} days"),
        days => format!("{} months", (days as f64 / 30.44).round() as i64),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tasted(age_days: f64, tasting: &Tasting) -> Tasted<'_> {
        Tasted { age_days, tasting }
    }

    #[test]
    fn tastings_are_compared_at_equal_age() {
        let plain = Tasting::default();
        let one = [tasted(30.0, &plain), tasted(92.0, &plain)];
        let other = [
            tasted(10.0, &plain),
            tasted(90.0, &plain),
            tasted(200.0, &plain),
        ];
        let (a, b) = at_equal_age(&one, &other).unwrap();
        assert_eq!((a.age_days, b.age_days), (92.0, 90.0));
        assert!(at_equal_age(&one, &[]).is_none());
    }
}
