//! A house's own figures in the place of the book's: the recipe as it turns out in this house.

use super::house::Figure;
use crate::engine::check::TOLERANCE;
use crate::engine::formulate::{Settings, formulate, tolerance};
use crate::engine::formulation::{Formulation, StoppedBy};
use crate::engine::numeric::find_root;
use crate::engine::prepare::solved_by_aim;
use crate::engine::recipe::{Kind, Recipe, Yeast, YeastWhen};
use crate::engine::scaling::with_amounts;

/// The farthest that a house may end from the book, SG (our judgement, no published source).
const FARTHEST_SG: f64 = 0.05;
/// The most that stays behind, and the longest fermentation in days (our judgement, no published source).
const MOST_LOSS: f64 = 0.9;
const MOST_DAYS: f64 = 3650.0;
/// How finely the strength at which a yeast stops is found, % ABV, and the part of sugar that does not ferment.
const FINE_ABV: f64 = 1e-5;
const FINE_PART: f64 = 1e-7;
/// The most of the sugar that can be taken not to ferment, and of the rest that can be taken to ferment.
const MOST_MOVED: f64 = 0.5;

/// Figures of a house that were taken in place of the book's, each as it was then.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(default)]
pub struct Own {
    /// FG as read less FG as formulated, SG, −0.05 to 0.05.
    pub fg_off: Option<Figure>,
    /// What stays behind, as a part of the finished mead, 0 to 0.9.
    pub loss_part: Option<Figure>,
    /// Days from the pitch to the end, above 0 to 3650.
    pub end_days: Option<Figure>,
}

impl Own {
    /// Whether all stands as in the book.
    pub fn is_empty(&self) -> bool {
        *self == Own::default()
    }

    /// The same without what cannot be.
    pub fn sound(self) -> Own {
        let within = |figure: Option<Figure>, low: f64, high: f64| {
            figure.filter(|of| {
                let in_order = of.low <= of.median && of.median <= of.high;
                in_order && low <= of.low && of.high <= high
            })
        };
        Own {
            fg_off: within(self.fg_off, -FARTHEST_SG, FARTHEST_SG),
            loss_part: within(self.loss_part, 0.0, MOST_LOSS),
            end_days: within(self.end_days, 1e-3, MOST_DAYS),
        }
    }

    /// The recipe as it turns out in this house, of the recipe of the book and its numbers: the same amounts; a yeast that stops
    /// where it does here, or honey of which so much more or less ferments; and what stays behind. Days change no recipe.
    ///
    /// Its FG without sweetening is that of the book and the middle of `fg_off`, as near as a mead can come to that.
    pub fn recipe(&self, book: &Recipe, numbers: &Formulation) -> Recipe {
        let ends = self
            .fg_off
            .and_then(|off| ending(book, numbers, off.median));
        let mut own = ends.unwrap_or_else(|| book.clone());
        if let (Some(part), Some(finished), Some(vessel)) =
            (self.loss_part, &numbers.finished, &mut own.vessel)
        {
            vessel.loss_l = Some(part.median * finished.volume_l);
        }
        own
    }
}

/// The recipe with these amounts that ends so far from where the book ends it.
fn ending(book: &Recipe, numbers: &Formulation, off: f64) -> Option<Recipe> {
    let wanted = numbers.finished.as_ref()?.natural_fg + off;
    let mut own = with_amounts(book, numbers);
    let miss = |recipe: &Recipe| {
        let finished = formulate(recipe, &Settings::default()).finished;
        finished.map_or(f64::NAN, |finished| finished.natural_fg - wanted)
    };
    if numbers.limits.as_ref()?.stopped_by == StoppedBy::Tolerance {
        let of = |abv: f64| miss(&bearing(&own, abv));
        match find_root(of, TOLERANCE.low, TOLERANCE.high, FINE_ABV) {
            Some(abv) => return Some(bearing(&own, abv)),
            // Even dry it does not come down there.
            None => own = bearing(&own, TOLERANCE.high),
        }
    }
    let of = |part: f64| miss(&moved(&own, part));
    let nearest = || {
        [-MOST_MOVED, 0.0, MOST_MOVED]
            .into_iter()
            .filter(|part| of(*part).is_finite())
            .min_by(|one, other| of(*one).abs().total_cmp(&of(*other).abs()))
    };
    let part = find_root(of, -MOST_MOVED, MOST_MOVED, FINE_PART).or_else(nearest)?;
    Some(moved(&own, part))
}

/// The recipe with a yeast that stops at this strength in place of the one that bears most; none bears more.
fn bearing(recipe: &Recipe, abv_percent: f64) -> Recipe {
    let mut other = recipe.clone();
    let most = tolerance(recipe);
    let ferments = |yeast: &&mut Yeast| yeast.when != YeastWhen::Bottle;
    for yeast in other.yeasts.iter_mut().filter(ferments) {
        yeast.tolerance_abv_percent = match yeast.tolerance_abv_percent < most {
            true => yeast.tolerance_abv_percent.min(abv_percent),
            false => abv_percent,
        };
    }
    other
}

/// The recipe with so great a part of its sugar as what does not ferment; where it is negative, with such a part of what does
/// not ferment as sugar. All weighs what it did, so that its OG stays.
fn moved(recipe: &Recipe, part: f64) -> Recipe {
    let mut other = recipe.clone();
    let fermenting = other
        .ingredients
        .iter_mut()
        .filter(|item| solved_by_aim(item.when) && item.kind != Kind::Sweetener);
    for made_of in fermenting.filter_map(|item| item.composition.as_mut()) {
        let kg = match part > 0.0 {
            true => part * made_of.fermentable,
            false => part * made_of.unfermentable,
        };
        made_of.fermentable -= kg;
        made_of.unfermentable += kg;
    }
    other
}
