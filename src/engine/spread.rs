//! Give or take: what the spread of the ingredients and of the yeast's limit makes of gravities and strength.

use super::balance::Liquid;
use super::course::{Plan, follow};
use super::formulate::Balance;
use super::formulation::Spread;
use super::prepare::{dissolved, solved_by_aim};
use super::recipe::{Composition, When};

/// One standard deviation of a yeast's tolerance, % ABV: ± 1.5 % are two (common practice, no published source).
pub const TOLERANCE_SD_ABV: f64 = 0.75;
/// Standard deviations from the middle of a bell curve to its 10th and 90th centile.
const TENTH_CENTILE: f64 = 1.281_551_565_544_600_4;
/// Three kinds of matter in three liquids: the whole must, what joins later, what sweetens.
const AXES: usize = 9;
/// A variance this small beside the one it is left over from is rounding.
const ROUNDING: f64 = 1e-12;

/// Kilograms of water, sugar and extract by which the whole must, what joins later and what sweetens miss their amounts.
type Miss = [f64; AXES];

/// By how much a kilogram changes when the water, and when the sugar, is one standard deviation more: water at the cost of
/// all solids in proportion, sugar at the cost of what is dissolved and does not ferment.
fn misses_per_kg(kind: super::recipe::Kind, parts: &Composition) -> [Option<Liquid>; 2] {
    let Some(spread) = parts.spread else {
        return [None; 2];
    };
    let changed = |other: Composition| {
        let (now, then) = (dissolved(kind, parts), dissolved(kind, &other));
        then + now * -1.0
    };
    let solids = parts.fermentable + parts.unfermentable + parts.insoluble;
    let by_water = spread
        .water
        .filter(|sd| *sd > 0.0 && solids > 0.0)
        .map(|sd| {
            let left = 1.0 - sd / solids;
            changed(Composition {
                water: parts.water + sd,
                fermentable: parts.fermentable * left,
                unfermentable: parts.unfermentable * left,
                insoluble: parts.insoluble * left,
                ..Composition::default()
            })
        });
    let by_sugar = spread.fermentable.filter(|sd| *sd > 0.0).map(|sd| {
        changed(Composition {
            water: parts.water,
            fermentable: parts.fermentable + sd,
            unfermentable: parts.unfermentable - sd,
            insoluble: parts.insoluble,
            ..Composition::default()
        })
    });
    [by_water, by_sugar]
}

/// The covariances of all misses: ingredients are independent, one ingredient misses alike wherever it goes in.
fn covariances(balance: &Balance<'_>) -> [Miss; AXES] {
    let mut sums = [[0.0; AXES]; AXES];
    let sweetening = balance.amounts.sweetening_of_each();
    let stated = balance.items.iter().zip(&balance.amounts.kg).enumerate();
    for (index, (item, kg)) in stated {
        let composition = balance
            .recipe
            .ingredients
            .get(index)
            .and_then(|ingredient| ingredient.composition.as_ref());
        let Some(composition) = composition.filter(|parts| parts.spread.is_some()) else {
            continue;
        };
        let stage = match item.when {
            when if solved_by_aim(when) => 0,
            When::Sweeten => 2,
            _ => 1,
        };
        let mut kilograms = [0.0; 3];
        if let Some(there) = kilograms.get_mut(stage) {
            *there += kg;
        }
        kilograms[2] += sweetening.get(index).copied().flatten().unwrap_or(0.0);
        for per_kg in misses_per_kg(item.kind, composition).into_iter().flatten() {
            let parts = [per_kg.water_kg, per_kg.sugar_kg, per_kg.extract_kg];
            let mut miss = [0.0; AXES];
            for (axis, miss) in miss.iter_mut().enumerate() {
                *miss = kilograms[axis / 3] * parts[axis % 3];
            }
            for (row, a) in sums.iter_mut().zip(miss) {
                for (sum, b) in row.iter_mut().zip(miss) {
                    *sum += a * b;
                }
            }
        }
    }
    sums
}

/// Independent misses of one standard deviation each that together have these covariances (Cholesky); few, for what varies
/// is mostly water and sugar of the must.
fn independent(mut covariances: [Miss; AXES]) -> Vec<Miss> {
    let whole = covariances;
    let mut misses = Vec::new();
    for axis in 0..AXES {
        let pivot = covariances[axis][axis];
        if pivot <= ROUNDING * whole[axis][axis] || pivot <= 0.0 {
            continue;
        }
        let miss = covariances[axis].map(|covariance| covariance / pivot.sqrt());
        for (row, a) in covariances.iter_mut().zip(miss) {
            for (left, b) in row.iter_mut().zip(miss) {
                *left -= a * b;
            }
        }
        misses.push(miss);
    }
    misses
}

/// What a mead would be with other contents and another tolerance, the amounts as they are: OG, FG, % ABV.
fn outcome(balance: &Balance<'_>, plan: &Plan, miss: &Miss, tolerance: f64) -> [f64; 3] {
    let part = |first: usize| Liquid {
        water_kg: miss[first],
        sugar_kg: miss[first + 1],
        extract_kg: miss[first + 2],
        ethanol_kg: 0.0,
    };
    let whole = *balance.whole_liquid + part(0);
    let other = Plan {
        tolerance_abv: plan.tolerance_abv + tolerance,
        secondary: plan.secondary + part(3),
        fixed_sweetening: plan.fixed_sweetening + part(6),
        ..*plan
    };
    let end = follow(&whole, &other).end.state();
    [whole.state().sg, end.sg, end.abv_percent]
}

/// Low and high of gravities and strength: 10th and 90th centile, to the first order.
///
/// Amounts stay as solved; `plan` holds the sweetening as weighed. Each independent miss is tried to either side, as far as its own
/// 10th and 90th centile, and counts with the wider: so a limit of the yeast that is near enough to matter does. What two reach
/// together and neither alone is left out, about half a gravity point at worst. `None` where
/// nothing spreads: no ingredient does and the yeast's limit is out of reach.
pub(super) fn spread(balance: &Balance<'_>, plan: &Plan) -> Option<Spread> {
    let middle = [
        balance.whole.og,
        balance.finished.fg,
        balance.finished.abv_percent,
    ];
    let mut squares = [0.0; 3];
    let mut count = |miss: &Miss, tolerance: f64| {
        let outcome = |times: f64| {
            let miss = miss.map(|part| times * part);
            outcome(balance, plan, &miss, times * tolerance)
        };
        let (more, less) = (outcome(TENTH_CENTILE), outcome(-TENTH_CENTILE));
        for (((square, middle), more), less) in squares.iter_mut().zip(middle).zip(more).zip(less) {
            let wider = (more - middle).abs().max((middle - less).abs());
            *square += wider * wider;
        }
    };
    for miss in independent(covariances(balance)) {
        count(&miss, 0.0);
    }
    count(&[0.0; AXES], TOLERANCE_SD_ABV);
    let [og, fg, abv_percent] = [0, 1, 2].map(|place: usize| {
        let reach = f64::sqrt(squares[place]);
        [middle[place] - reach, middle[place] + reach]
    });
    let nothing = squares.into_iter().all(|square| square <= NOTHING);
    (!nothing).then(|| Spread {
        og,
        fg,
        abv_percent: abv_percent.map(|abv| abv.clamp(0.0, 100.0)),
    })
}

/// Squares below this are rounding: a hundred-millionth of a gravity point, or of a percent.
const NOTHING: f64 = 1e-22;
