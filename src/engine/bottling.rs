//! Closing a mead up: still, primed or in a keg; what gas it will hold, what that presses, and what stands against it.

use super::bottle::{Bottle, MOST_VOLUMES, PrimingSugar, WARM_DAY_C};
use super::carbonation::{BAR_KPA, gauge_kpa, residual_volumes};
use super::log::{Start, State};
use super::priming::{NoSugar, coming_volumes, priming_g_per_l};

/// Above this strength a yeast may not make gas any more, % ABV (common practice, no published source: 13 to 14).
pub const TIRED_ABV: f64 = 13.0;
/// A mead older than this has little yeast left, months (common practice, no published source).
pub const TIRED_MONTHS: f64 = 6.0;
/// Fresh yeast for bottles, g/L (common practice, no published source).
pub const BOTTLE_YEAST_G_PER_L: [f64; 2] = [0.1, 0.2];
/// As warm as a cold cellar, where much gas stays: taken for still bottles where nobody knows, °C (our judgement).
const COLD_CELLAR_C: f64 = 10.0;
/// What a mead that nobody stirred may hold beyond what it holds at rest: half as much again (our judgement, no published source).
const UNSTIRRED: f64 = 1.5;

/// How a mead is closed up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// In bottles, without more gas than it has.
    Still,
    /// In bottles, with sugar for gas.
    Primed,
    /// In a keg, with gas from a cylinder.
    Kegged,
}

impl Way {
    /// Every way.
    pub const ALL: [Way; 3] = [Way::Still, Way::Primed, Way::Kegged];

    /// Its word in forms.
    pub fn as_str(self) -> &'static str {
        match self {
            Way::Still => "still",
            Way::Primed => "primed",
            Way::Kegged => "kegged",
        }
    }
}

/// What a batch's log says of a mead that is to be closed up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mead {
    /// Strength, % ABV.
    pub abv_percent: f64,
    /// Sugar, g/L: less gas dissolves in it.
    pub sugar_g_per_l: f64,
    /// Sugar that may still ferment, g/L.
    pub fermentable_g_per_l: f64,
    /// Whether it was ever stabilised; yeast that is pitched afterwards changes nothing of that.
    pub stabilised: bool,
    /// Whether it stands still by the rule of two equal readings.
    pub stands_still: bool,
    /// Months since the yeast went in.
    pub months: f64,
}

impl Mead {
    /// Of a batch: while it does not stand still, or where its sugar was only held back, all its sugar may become gas.
    pub fn of(start: &Start, state: &State, stands_still: bool, months: f64) -> Mead {
        let stabilised = ever_stabilised(start, state);
        let expected = state.expected.fermentable_g_per_l.max(0.0);
        let sugar_g_per_l = state.sugar_g_per_l.max(0.0);
        Mead {
            abv_percent: state.abv_percent,
            sugar_g_per_l,
            fermentable_g_per_l: match stands_still {
                true => expected,
                false => expected.max(sugar_g_per_l),
            },
            stabilised,
            stands_still,
            months,
        }
    }
}

/// Whether a batch was stabilised at any time, or holds sorbic acid wherever it came from.
pub fn ever_stabilised(start: &Start, state: &State) -> bool {
    start.stabilised
        || state.stabilised
        || state.marks.stabilised.is_some()
        || state.sorbic_mg_per_l > 0.0
}

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// How.
    pub way: Way,
    /// Litres that are filled.
    pub litres: f64,
    /// Into what kind of bottle; counts for still and primed.
    pub bottle: Bottle,
    /// Volumes of carbon dioxide that are wanted; `None` for still.
    pub volumes: Option<f64>,
    /// What it is primed with.
    pub sugar: PrimingSugar,
    /// The warmest that it was since the fermentation ended, °C; `None` where nobody knows.
    pub warmest_c: Option<f64>,
    /// Whether the gas was stirred out since.
    pub degassed: bool,
    /// How cold the keg stands, °C.
    pub keg_c: Option<f64>,
}

/// What is missing, or cannot be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Refusal {
    /// It was stabilised: no sugar makes gas of it, or too much.
    Stabilised,
    /// The warmest temperature is not known.
    WarmestUnknown,
    /// Nobody said how much gas it is to have.
    VolumesMissing,
    /// The keg's temperature is not known.
    KegTemperatureMissing,
    /// No bottle may hold that.
    NoBottleHolds {
        /// What the strongest may, volumes.
        most_volumes: f64,
    },
    /// This kind of bottle may not; `stronger` may.
    BottleTooWeak {
        /// What this kind may, volumes.
        most_volumes: f64,
        /// The weakest kind that may.
        stronger: Option<Bottle>,
    },
    /// It has, or will have, more gas than that without any sugar.
    AlreadyFizzier {
        /// Volumes.
        volumes: f64,
    },
    /// No pressure within reach holds it.
    OutsideTheModel,
}

/// What can hurt somebody, and is passed only with a written reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Danger {
    /// It does not stand still by the rule.
    NotStill,
    /// More gas than such a bottle may hold.
    WeakBottle,
}

/// What comes of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bottled {
    /// Gas that is dissolved in it now, volumes; `None` without a temperature.
    pub residual_volumes: Option<f64>,
    /// Gas that comes by itself with that, volumes.
    pub coming_volumes: Option<f64>,
    /// Gas in the closed bottle in the end, volumes.
    pub final_volumes: Option<f64>,
    /// What that presses above the air on a day of 30 °C, bar; `None` beyond what can be reckoned.
    pub warm_day_bar: Option<f64>,
    /// Sugar to prime with, g in all, rounded down to a tenth.
    pub sugar_g: Option<f64>,
    /// Pressure to set at the keg, kPa above the air.
    pub keg_kpa: Option<f64>,
    /// Fresh yeast for the bottles, g, least and most; `None` where its own will do.
    pub yeast_g: Option<[f64; 2]>,
    /// Why there is no answer.
    pub refusals: Vec<Refusal>,
    /// What to think of first.
    pub dangers: Vec<Danger>,
}

/// What comes of closing a mead up. Priming is reckoned by the most gas that can come, and rounded down: with the sugar that may
/// still ferment and the gas that is dissolved it never exceeds the volumes asked for. A mead that was stabilised gets no dose
/// by any way. Limits of bottles, and yeast: common practice, no published source.
pub fn bottled(mead: &Mead, asked: &Asked) -> Bottled {
    let mut is = Bottled::default();
    if !mead.stands_still {
        is.dangers.push(Danger::NotStill);
    }
    let still = (asked.way == Way::Still).then_some(COLD_CELLAR_C);
    let residual = asked.warmest_c.or(still).map(|warmest| {
        let at_rest = residual_volumes(warmest, mead.abv_percent, mead.sugar_g_per_l);
        at_rest * if asked.degassed { 1.0 } else { UNSTIRRED }
    });
    is.residual_volumes = residual;
    is.coming_volumes = residual.map(|residual| coming_volumes(residual, fermentable(mead)));
    match asked.way {
        Way::Still => is.final_volumes = is.coming_volumes,
        Way::Primed => prime(mead, asked, &mut is),
        Way::Kegged => keg(mead, asked, &mut is),
    }
    is.warm_day_bar = is.final_volumes.and_then(|volumes| {
        let kpa = gauge_kpa(WARM_DAY_C, volumes, mead.abv_percent, mead.sugar_g_per_l);
        kpa.map(|kpa| (kpa / BAR_KPA).max(0.0))
    });
    // What stands still and is filled still holds no more than it held.
    let more = is
        .final_volumes
        .is_some_and(|volumes| volumes > asked.bottle.most_volumes());
    let with_gas = asked.way == Way::Primed || asked.way == Way::Still && !mead.stands_still;
    let refused = is.refusals.iter();
    let mut refused = refused.filter(|one| matches!(one, Refusal::BottleTooWeak { .. }));
    if more && with_gas || refused.next().is_some() {
        is.dangers.push(Danger::WeakBottle);
    }
    is
}

/// What was stabilised and stands still ferments no more.
fn fermentable(mead: &Mead) -> f64 {
    match mead.stabilised && mead.stands_still {
        true => 0.0,
        false => mead.fermentable_g_per_l.max(0.0),
    }
}

fn prime(mead: &Mead, asked: &Asked, is: &mut Bottled) {
    if mead.stabilised {
        is.refusals.push(Refusal::Stabilised);
        return;
    }
    let Some(volumes) = asked.volumes else {
        is.refusals.push(Refusal::VolumesMissing);
        return;
    };
    is.final_volumes = Some(volumes);
    let most_volumes = asked.bottle.most_volumes();
    if !(0.0..=MOST_VOLUMES).contains(&volumes) {
        let most_volumes = MOST_VOLUMES;
        is.refusals.push(Refusal::NoBottleHolds { most_volumes });
        return;
    }
    if volumes > most_volumes || asked.bottle == Bottle::Still {
        let stronger = Bottle::for_gas(volumes);
        is.refusals.push(Refusal::BottleTooWeak {
            most_volumes,
            stronger,
        });
        return;
    }
    let Some(coming) = is.coming_volumes else {
        is.refusals.push(Refusal::WarmestUnknown);
        return;
    };
    match priming_g_per_l(volumes, coming, asked.sugar) {
        Ok(g_per_l) => {
            let grams = rounded_down(g_per_l * asked.litres.max(0.0));
            is.sugar_g = Some(grams).filter(|grams| grams.is_finite());
            if mead.abv_percent > TIRED_ABV || mead.months > TIRED_MONTHS {
                is.yeast_g = Some(BOTTLE_YEAST_G_PER_L.map(|dose| dose * asked.litres.max(0.0)));
            }
        }
        Err(NoSugar::NoBottleHolds) => {
            let most_volumes = MOST_VOLUMES;
            is.refusals.push(Refusal::NoBottleHolds { most_volumes });
        }
        Err(NoSugar::AlreadyFizzier { volumes }) => {
            is.final_volumes = Some(volumes);
            is.refusals.push(Refusal::AlreadyFizzier { volumes });
        }
    }
}

/// The pressure at a keg; without volumes it is only kept in it.
fn keg(mead: &Mead, asked: &Asked, is: &mut Bottled) {
    let Some(volumes) = asked.volumes else {
        return;
    };
    let Some(keg_c) = asked.keg_c else {
        is.refusals.push(Refusal::KegTemperatureMissing);
        return;
    };
    is.final_volumes = Some(volumes);
    if !(0.0..=MOST_VOLUMES).contains(&volumes) {
        let most_volumes = MOST_VOLUMES;
        is.refusals.push(Refusal::NoBottleHolds { most_volumes });
        return;
    }
    match gauge_kpa(keg_c, volumes, mead.abv_percent, mead.sugar_g_per_l) {
        Some(kpa) => is.keg_kpa = Some(kpa),
        None => is.refusals.push(Refusal::OutsideTheModel),
    }
}

/// To a tenth of a gram, never upwards.
fn rounded_down(grams: f64) -> f64 {
    (grams * 10.0).floor() / 10.0
}
