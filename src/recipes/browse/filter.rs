//! What recipes are narrowed down by, and the marks under which the database finds them.

/// Every part that is not asked for is none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filter {
    /// The engine's codes for the style.
    pub family: Option<String>,
    pub strength: Option<String>,
    pub sweetness: Option<String>,
    /// Keys of the catalogue.
    pub honey: Option<String>,
    pub fruit: Option<String>,
    pub yeast: Option<String>,
    pub abv_low: Option<f64>,
    pub abv_high: Option<f64>,
    /// Mean of the ratings at least, in tenths: one of [`RATINGS`].
    pub rating: Option<i32>,
    /// Made here at least so many times: one of [`MADE`].
    pub made: Option<i32>,
    /// Usually good within so many months: one of [`READY`].
    pub ready: Option<i32>,
    pub little_gear: bool,
    /// The most that a bottle costs.
    pub cost: Option<f64>,
}

/// Steps of ratings, in tenths, of times and of months that recipes are marked with.
pub const RATINGS: [i32; 4] = [30, 35, 40, 45];
pub const MADE: [i32; 5] = [1, 2, 3, 5, 10];
pub const READY: [i32; 6] = [1, 2, 4, 6, 9, 12];
/// The last step of strengths and of costs.
const LAST: i32 = 40;

impl Filter {
    /// Whether anything is asked for.
    pub fn is_empty(&self) -> bool {
        *self == Filter::default()
    }

    /// The marks that all of it have, as a question in the database's words; ranges are compared with the figures.
    pub(super) fn marks(&self) -> String {
        let one = |letter: char, value: &Option<String>| {
            let value = value.as_ref()?.replace('\\', "\\\\").replace('\'', "''");
            Some(format!("'{letter}={value}'"))
        };
        let step = |letter: char, value: Option<i32>| Some(format!("'{letter}={}'", value?));
        let parts = [
            one('f', &self.family),
            one('s', &self.strength),
            one('t', &self.sweetness),
            one('k', &self.honey),
            one('k', &self.fruit),
            one('k', &self.yeast),
            step('r', self.rating),
            step('m', self.made),
            step('y', self.ready),
            self.little_gear.then(|| "'g=little'".to_owned()),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(" & ")
    }

    /// All steps of its ranges, for the index: what lies in the outer ones is compared with the figure.
    pub(super) fn ranges(&self) -> String {
        let steps = |letter: char, low: i32, high: i32| {
            let all: Vec<String> = (low..=high).map(|at| format!("'{letter}={at}'")).collect();
            format!("({})", all.join(" | "))
        };
        let strengths = (self.abv_low.is_some() || self.abv_high.is_some()).then(|| {
            let at = |abv: Option<f64>, none: i32| abv.map_or(none, whole);
            let low = at(self.abv_low, 0);
            steps('p', low, at(self.abv_high, LAST).max(low))
        });
        // Where the database's logarithm may fall on the other side of a step, one step more.
        let costs = self.cost.map(|cost| {
            let step = (4.0 * cost.max(0.001).log10() + 1e-9).ceil() + 12.0;
            steps('n', 0, whole(step))
        });
        let parts = [strengths, costs];
        parts.into_iter().flatten().collect::<Vec<_>>().join(" & ")
    }
}

fn whole(step: f64) -> i32 {
    step.floor().clamp(0.0, f64::from(LAST)) as i32
}
