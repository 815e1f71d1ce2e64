//! Blending: what meads make when they are poured together, and how much of each makes a wanted gravity, strength and acidity.

pub mod risk;
mod solve;

use super::balance::Liquid;
use solve::{Row, away, nearest};

/// The fewest and the most meads that are blended at once.
pub const PARTS: std::ops::RangeInclusive<usize> = 2..=6;

/// A mead that can go into a blend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// Litres that are there, at 20 °C.
    pub litres: f64,
    /// What a litre of it holds, kg.
    pub per_litre: Liquid,
    /// Titratable acidity as tartaric, g/L; `None` where it is not known.
    pub ta_g_per_l: Option<f64>,
}

impl Source {
    /// All of a liquid; `None` where there is none of it.
    pub fn of(liquid: Liquid, ta_g_per_l: Option<f64>) -> Option<Source> {
        let litres = liquid.state().volume_l;
        (litres > 1e-6).then(|| Source {
            litres,
            per_litre: liquid * (1.0 / litres),
            ta_g_per_l,
        })
    }
}

/// What was poured together. Masses add; the volume follows from the density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blended {
    /// All of it, kg.
    pub liquid: Liquid,
    /// Litres at 20 °C.
    pub litres: f64,
    /// SG 20/20.
    pub sg: f64,
    /// % ABV.
    pub abv_percent: f64,
    /// Sugar that yeast can use, g/L.
    pub sugar_g_per_l: f64,
    /// Titratable acidity as tartaric, g/L; `None` where that of a part is not known.
    pub ta_g_per_l: Option<f64>,
    /// Litres that it is more than was poured; below 0: less.
    pub volume_change_l: f64,
}

/// Pours so many litres of each together; what is not a number, or below 0, counts as nothing.
pub fn poured(parts: &[(Source, f64)]) -> Blended {
    let parts = parts.iter().filter(|(_, litres)| *litres > 0.0);
    let liquid: Liquid = parts
        .clone()
        .map(|(of, litres)| of.per_litre * *litres)
        .sum();
    let poured: f64 = parts.clone().map(|(_, litres)| litres).sum();
    let acid_g: Option<f64> = parts
        .map(|(of, litres)| of.ta_g_per_l.map(|ta| ta * litres))
        .sum();
    let state = liquid.state();
    let per_litre = |grams: f64| match state.volume_l > 0.0 {
        true => grams / state.volume_l,
        false => 0.0,
    };
    Blended {
        liquid,
        litres: state.volume_l,
        sg: state.sg,
        abv_percent: state.abv_percent,
        sugar_g_per_l: per_litre(1000.0 * liquid.sugar_kg),
        ta_g_per_l: acid_g.map(per_litre),
        volume_change_l: state.volume_l - poured,
    }
}

/// What a blend can be wanted to have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quality {
    /// SG 20/20.
    Gravity,
    /// % ABV.
    Strength,
    /// Titratable acidity as tartaric, g/L.
    Acidity,
}

impl Quality {
    /// All of them.
    pub const ALL: [Quality; 3] = [Quality::Gravity, Quality::Strength, Quality::Acidity];

    /// What a careful reading tells apart: so much of one counts like so much of another (our judgement, no published source).
    pub fn told_apart(self) -> f64 {
        match self {
            Quality::Gravity => 0.001,
            Quality::Strength | Quality::Acidity => 0.1,
        }
    }

    fn of_source(self, source: &Source) -> f64 {
        let state = source.per_litre.state();
        match self {
            Quality::Gravity => state.sg,
            Quality::Strength => state.abv_percent,
            Quality::Acidity => source.ta_g_per_l.unwrap_or(0.0),
        }
    }

    fn of_blend(self, blended: &Blended) -> f64 {
        match self {
            Quality::Gravity => blended.sg,
            Quality::Strength => blended.abv_percent,
            Quality::Acidity => blended.ta_g_per_l.unwrap_or(0.0),
        }
    }
}

/// What is wanted of a blend.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wish {
    /// Litres to be poured in all.
    pub litres: f64,
    /// SG 20/20.
    pub sg: Option<f64>,
    /// % ABV.
    pub abv_percent: Option<f64>,
    /// Titratable acidity as tartaric, g/L.
    pub ta_g_per_l: Option<f64>,
}

impl Wish {
    /// What is wanted of one quality.
    pub fn of(&self, quality: Quality) -> Option<f64> {
        match quality {
            Quality::Gravity => self.sg,
            Quality::Strength => self.abv_percent,
            Quality::Acidity => self.ta_g_per_l,
        }
    }
}

/// Why no amounts can be told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unable {
    /// Fewer than two or more than six meads, an amount that is none, or a wish that is no number.
    NotAsked,
    /// There is not so much.
    NotSoMuch {
        /// Litres of all together.
        there_l: f64,
    },
    /// An acidity is wanted, and that of this mead (its place in the list) is not known.
    AcidityNotKnown(usize),
}

/// A wish that is missed by more than half of what a reading tells apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Missed {
    /// Of what.
    pub quality: Quality,
    /// What was wanted.
    pub wished: f64,
    /// What it comes to.
    pub comes_to: f64,
    /// The least and the most that these meads can make of it, with nothing else wanted.
    pub reach: [f64; 2],
}

impl Missed {
    /// Whether these meads could make it if nothing else were wanted.
    pub fn alone_it_could_be(&self) -> bool {
        let slack = self.quality.told_apart() / 2.0;
        (self.reach[0] - slack..=self.reach[1] + slack).contains(&self.wished)
    }
}

/// The amounts that come nearest.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Litres of each.
    pub litres: Vec<f64>,
    /// What they make.
    pub blended: Blended,
    /// What is missed.
    pub missed: Vec<Missed>,
}

/// Rounds of straight lines from one start: where volumes nearly add, three are enough to rounding.
const ROUNDS: usize = 12;
/// Halvings of a step that a straight line drew too far.
const HALVINGS: usize = 20;
/// What is missed by less than this, squared, is met: no reading shows it.
const MET: f64 = 1e-3;
/// A share by which slopes are told.
const LITTLE: f64 = 1e-5;

/// How much of each mead, 0 to what is there, makes the wish: the least sum of squares of what is missed, each counted in what a
/// reading tells apart. Of many ways to make it the one nearest to the amounts that are there.
///
/// # Errors
/// See [`Unable`].
pub fn amounts(sources: &[Source], wish: &Wish) -> Result<Found, Unable> {
    let sound = |value: f64| value.is_finite() && value >= 0.0;
    let wished: Vec<(Quality, f64)> = Quality::ALL
        .into_iter()
        .filter_map(|quality| Some((quality, wish.of(quality)?)))
        .collect();
    let counts = PARTS.contains(&sources.len())
        && wish.litres.is_finite()
        && wish.litres > 0.0
        && wished.iter().all(|(_, value)| sound(*value))
        && sources.iter().all(|of| sound(of.litres));
    if !counts {
        return Err(Unable::NotAsked);
    }
    let there_l: f64 = sources.iter().map(|of| of.litres).sum();
    if wish.litres > there_l * (1.0 + 1e-12) {
        return Err(Unable::NotSoMuch { there_l });
    }
    let unknown = sources.iter().position(|of| of.ta_g_per_l.is_none());
    if let (Some(_), Some(index)) = (wish.ta_g_per_l, unknown) {
        return Err(Unable::AcidityNotKnown(index));
    }
    let most: Vec<f64> = sources.iter().map(|of| of.litres / wish.litres).collect();
    let there: Vec<f64> = sources.iter().map(|of| of.litres / there_l).collect();
    let asked = Asked {
        sources,
        wished: &wished,
        most: &most,
        there: &there,
    };
    let shares = asked.best();
    let blended = poured(&parts(sources, &shares, wish.litres));
    let missed = wished.iter().filter_map(|(quality, value)| {
        let comes_to = quality.of_blend(&blended);
        let far = (comes_to - value).abs() > quality.told_apart() / 2.0;
        far.then(|| Missed {
            quality: *quality,
            wished: *value,
            comes_to,
            reach: reach(sources, *quality, &most),
        })
    });
    Ok(Found {
        missed: missed.collect(),
        litres: shares.iter().map(|share| share * wish.litres).collect(),
        blended,
    })
}

/// A wish in shares of what is poured.
struct Asked<'a> {
    sources: &'a [Source],
    wished: &'a [(Quality, f64)],
    most: &'a [f64],
    there: &'a [f64],
}

impl Asked<'_> {
    /// The best shares. Volumes do not add exactly, so that of two meads of nearly one gravity each may by itself be lighter
    /// than their blend: where the wish is not met from what is there, it is sought from as much as there is of each one too.
    fn best(&self) -> Vec<f64> {
        let (mut least, mut best) = self.settled(self.there.to_vec());
        if least > MET {
            for index in 0..self.sources.len() {
                let (far, shares) = self.settled(self.much_of(index));
                if far < least {
                    (least, best) = (far, shares);
                }
            }
        }
        best
    }

    /// As much of one as there is, the others as they are there.
    fn much_of(&self, index: usize) -> Vec<f64> {
        let of = |list: &[f64]| list.get(index).copied().unwrap_or(0.0);
        let (own, others) = (of(self.most).min(1.0), 1.0 - of(self.there));
        let rest = (1.0 - own) / others.max(f64::MIN_POSITIVE);
        let mut shares: Vec<f64> = self.there.iter().map(|share| share * rest).collect();
        if let Some(share) = shares.get_mut(index) {
            *share = own;
        }
        shares
    }

    /// From a start to where no straight line leads further down, with how far off it is, squared.
    fn settled(&self, start: Vec<f64>) -> (f64, Vec<f64>) {
        let mut here = (self.far(&start), start);
        for _ in 0..ROUNDS {
            let rows: Vec<Row> = self
                .wished
                .iter()
                .map(|(quality, value)| self.row(&here.1, *quality, *value))
                .collect();
            let to = nearest(&rows, self.most);
            let Some(next) = self.downhill(&here, &to) else {
                break;
            };
            let gained = here.0 - next.0;
            here = next;
            if gained <= 1e-12 * here.0 {
                break;
            }
        }
        here
    }

    /// The first point on the way there, halving by halving, that is nearer to the wish; `None` where none is.
    fn downhill(&self, here: &(f64, Vec<f64>), to: &[f64]) -> Option<(f64, Vec<f64>)> {
        let mut part = 1.0;
        for _ in 0..HALVINGS {
            let shares: Vec<f64> = here
                .1
                .iter()
                .zip(to)
                .map(|(from, to)| from + part * (to - from))
                .collect();
            let far = self.far(&shares);
            if far < here.0 {
                return Some((far, shares));
            }
            part /= 2.0;
        }
        None
    }

    /// How far from the wish, squared, and a little for being away from what is there.
    fn far(&self, shares: &[f64]) -> f64 {
        let blended = poured(&parts(self.sources, shares, 1.0));
        let missed = self.wished.iter().map(|(quality, wished)| {
            ((quality.of_blend(&blended) - wished) / quality.told_apart()).powi(2)
        });
        missed.sum::<f64>() + away(shares, self.there)
    }

    /// What is missed as a straight line in the shares, taken at these: exact where volumes add.
    fn row(&self, shares: &[f64], quality: Quality, wished: f64) -> Row {
        let at = |shares: &[f64]| quality.of_blend(&poured(&parts(self.sources, shares, 1.0)));
        let is = at(shares);
        let slopes: Vec<f64> = (0..shares.len())
            .map(|index| {
                let mut more = shares.to_vec();
                if let Some(share) = more.get_mut(index) {
                    *share += LITTLE;
                }
                (at(&more) - is) / LITTLE
            })
            .collect();
        let here: f64 = slopes
            .iter()
            .zip(shares)
            .map(|(slope, share)| slope * share)
            .sum();
        let unit = quality.told_apart();
        slopes
            .iter()
            .map(|slope| (slope + is - wished - here) / unit)
            .collect()
    }
}

fn parts(sources: &[Source], shares: &[f64], litres: f64) -> Vec<(Source, f64)> {
    let each = sources.iter().zip(shares);
    each.map(|(of, share)| (*of, share * litres)).collect()
}

/// The least and the most of a quality: as much as there is of the one that has least, then of the next.
fn reach(sources: &[Source], quality: Quality, most: &[f64]) -> [f64; 2] {
    let mut order: Vec<usize> = (0..sources.len()).collect();
    let value = |index: &usize| sources.get(*index).map_or(0.0, |of| quality.of_source(of));
    order.sort_by(|one, other| value(one).total_cmp(&value(other)));
    let filled = |order: &[usize]| {
        let mut shares = vec![0.0; sources.len()];
        let mut left = 1.0_f64;
        for index in order {
            let share = most.get(*index).copied().unwrap_or(0.0).min(left);
            if let Some(place) = shares.get_mut(*index) {
                *place = share;
            }
            left -= share;
        }
        quality.of_blend(&poured(&parts(sources, &shares, 1.0)))
    };
    let least = filled(&order);
    order.reverse();
    [least, filled(&order)]
}
