//! Tastings of a log at their age, in words.

use crate::batches::opened::Opened;
use crate::engine::log::Deed;
use crate::engine::log::entry::Tasting;
use crate::web::units;
use crate::web::words::tasting::short;

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

/// What everybody said of it at one age.
pub struct AtAge<'a> {
    /// Days since the mixing, of the first of them.
    pub age_days: f64,
    pub said: Vec<&'a Tasting>,
}

impl AtAge<'_> {
    /// "at 62 days: 4 of 5, a little too much sweetness"; of several the mean.
    pub fn words(&self) -> String {
        let age = age_words(self.age_days);
        match (self.said.as_slice(), self.liked()) {
            ([one], _) => format!("at {age}: {}", short(one)),
            (several, None) => format!("at {age}: tasted by {}", several.len()),
            (_, Some((mean, many))) => format!(
                "at {age}: {} of 9, the mean of {many}",
                units::fixed(mean, 1)
            ),
        }
    }

    /// How much it was liked, 1 to 9, in the mean of how many; `None` where nobody said.
    pub fn liked(&self) -> Option<(f64, usize)> {
        let liked = self.said.iter().filter_map(|one| one.liked());
        let liked: Vec<f64> = liked.map(f64::from).collect();
        let many = liked.len();
        (many > 0).then(|| (liked.iter().sum::<f64>() / many as f64, many))
    }
}

/// All of a batch by its ages, as they are told.
pub fn by_age<'a>(all: &[Tasted<'a>]) -> Vec<AtAge<'a>> {
    let mut ages: Vec<AtAge<'a>> = Vec::new();
    for one in all {
        let told = age_words(one.age_days);
        match ages
            .last_mut()
            .filter(|last| age_words(last.age_days) == told)
        {
            Some(last) => last.said.push(one.tasting),
            None => ages.push(AtAge {
                age_days: one.age_days,
                said: vec![one.tasting],
            }),
        }
    }
    ages
}

/// Of two batches the ages that are nearest to equal; of several the oldest pair. `None` where one was not tasted.
pub fn at_equal_age<'a, 'b>(
    one: &'a [AtAge<'a>],
    other: &'b [AtAge<'b>],
) -> Option<(&'a AtAge<'a>, &'b AtAge<'b>)> {
    let pairs = one.iter().flat_map(|a| other.iter().map(move |b| (a, b)));
    pairs.min_by(|(a, b), (c, d)| {
        let apart = |x: &AtAge<'_>, y: &AtAge<'_>| (x.age_days - y.age_days).abs();
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
        let (one, other) = (by_age(&one), by_age(&other));
        let (a, b) = at_equal_age(&one, &other).unwrap();
        assert_eq!((a.age_days, b.age_days), (92.0, 90.0));
        assert!(at_equal_age(&one, &[]).is_none());
    }

    #[test]
    fn several_at_one_age_are_told_by_their_mean() {
        let liked = |liking: Option<i32>| Tasting {
            liking,
            ..Tasting::default()
        };
        let [nine, six, silent] = [Some(9), Some(6), None].map(liked);
        let told =
            |all: &[Tasted<'_>]| -> Vec<String> { by_age(all).iter().map(AtAge::words).collect() };
        assert_eq!(
            told(&[
                tasted(30.0, &nine),
                tasted(304.0, &nine),
                tasted(305.0, &six),
                tasted(305.0, &silent),
            ]),
            [
                "at 30 days: 9 of 9",
                "at 10 months: 7.5 of 9, the mean of 2"
            ]
        );
        assert_eq!(
            told(&[tasted(30.0, &silent), tasted(30.0, &silent)]),
            ["at 30 days: tasted by 2"]
        );
    }
}
