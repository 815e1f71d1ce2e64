//! The must as planned and as made, with the likely reason where they differ.
//!
//! The rules are asked in their order and the first that holds is told; all of them are our judgement, no published source.

use super::judge::SAME_SG;
use super::start::{Planned, Start};
use crate::engine::balance::{Liquid, add_water_for_volume};
use crate::engine::hydrometer::correct_reading;
use crate::engine::problem::{Arguments, codes};
use crate::engine::units::{Abv, Celsius, SpecificGravity};

/// Litres by which a mark on a vessel may be misread, and that as a part.
const SAME_VOLUME: (f64, f64) = (0.1, 0.015);
/// A must further below the plan than this, its volume not known, is more likely layered than wrongly mixed.
const LAYERED_SG: f64 = 0.010;
/// Most that a honey's water is usually beyond what it was taken for, as a mass fraction.
const WETTER: f64 = 0.04;
/// Warmer or colder than this a hydrometer errs so that it shows, K from 20 °C.
const WARM_K: f64 = 3.0;

codes! {
    /// Why a must is not as planned, most likely.
    ReasonCode {
        /// Read while honey lay at the bottom (`sg`, `later_sg`: as it was later, or as planned).
        Layered = "layered",
        /// Read warm or cold and not corrected (`temperature_c`, `corrected_sg`).
        WarmSample = "warm_sample",
        /// As planned for the must: what the fruit gives is not out yet, and then it will be another (`whole_sg`).
        FruitNotOutYet = "fruit_not_out_yet",
        /// More water than planned (`litres`).
        MoreWater = "more_water",
        /// Less water than planned (`litres`).
        LessWater = "less_water",
        /// More honey than planned, or a richer one (`kg`).
        MoreHoney = "more_honey",
        /// Less honey than planned (`kg`).
        LessHoney = "less_honey",
        /// The honey holds more water than it was taken for (`water_percent`).
        HoneyWetterThanThought = "honey_wetter_than_thought",
    }
}

/// The likely reason of a difference.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Reason {
    /// Which.
    pub code: ReasonCode,
    /// What the sentence about it needs.
    pub arguments: Arguments,
}

/// The must as planned and as made.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Compared {
    /// SG 20/20 that was planned for the must, without its fruit's sugar.
    pub planned_sg: f64,
    /// SG 20/20 that was planned for everything that ferments.
    pub planned_whole_sg: f64,
    /// SG 20/20 as it was read.
    pub actual_sg: f64,
    /// Litres that were planned for the must.
    pub planned_volume_l: f64,
    /// Litres as measured.
    pub actual_volume_l: Option<f64>,
    /// Where both are as planned there is nothing to explain.
    pub reason: Option<Reason>,
}

/// What was read of the must before it fermented.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct MustRead {
    /// The first gravity.
    pub first_sg: Option<f64>,
    /// The first that counts.
    pub sg: Option<f64>,
    pub volume_l: Option<f64>,
    /// The sample's temperature, where the reading does not look corrected, °C.
    pub uncorrected_c: Option<f64>,
}

/// Compares; `None` without a plan or a gravity of the must.
pub(super) fn compare(start: &Start, read: &MustRead) -> Option<Compared> {
    let plan = start.plan.as_ref()?;
    let actual_sg = read.sg.or(read.first_sg)?;
    Some(Compared {
        planned_sg: plan.must_sg,
        planned_whole_sg: plan.whole_sg,
        actual_sg,
        planned_volume_l: plan.must_volume_l,
        actual_volume_l: read.volume_l,
        reason: reason(start, plan, read, actual_sg),
    })
}

fn reason(start: &Start, plan: &Planned, read: &MustRead, actual: f64) -> Option<Reason> {
    let none = Arguments::none;
    let tell = |code, arguments| Some(Reason { code, arguments });
    let difference = actual - plan.must_sg;
    if let (Some(first), Some(counted)) = (read.first_sg, read.sg)
        && counted > first + SAME_SG
    {
        let arguments = none().with("sg", first).with("later_sg", counted);
        return tell(ReasonCode::Layered, arguments);
    }
    if read.sg.is_none() && difference < -SAME_SG {
        let arguments = none().with("sg", actual).with("later_sg", plan.must_sg);
        return tell(ReasonCode::Layered, arguments);
    }
    if difference.abs() <= SAME_SG + 1e-9 {
        if (plan.whole_sg - plan.must_sg).abs() > SAME_SG {
            let arguments = none().with("whole_sg", plan.whole_sg);
            return tell(ReasonCode::FruitNotOutYet, arguments);
        }
        return None;
    }
    if let Some(temperature_c) = read.uncorrected_c
        && let Some(corrected) = corrected(actual, temperature_c)
        && (corrected - plan.must_sg).abs() < 0.5 * difference.abs()
    {
        let arguments = none()
            .with("temperature_c", temperature_c)
            .with("corrected_sg", corrected);
        return tell(ReasonCode::WarmSample, arguments);
    }
    match read.volume_l {
        Some(volume_l) => {
            let off_l = volume_l - plan.must_volume_l;
            let same_l = SAME_VOLUME.0.max(SAME_VOLUME.1 * plan.must_volume_l);
            let by_volume = gravity_in(&start.must, volume_l);
            let explained =
                by_volume.is_some_and(|sg| (sg - actual).abs() < 0.5 * difference.abs());
            if off_l.abs() > same_l && explained {
                return water(off_l);
            }
            honey(start, plan, actual, volume_l)
        }
        None if difference < -LAYERED_SG => {
            let arguments = none().with("sg", actual).with("later_sg", plan.must_sg);
            tell(ReasonCode::Layered, arguments)
        }
        None => water(volume_at(&start.must, actual)? - plan.must_volume_l),
    }
}

fn water(litres: f64) -> Option<Reason> {
    let code = if litres > 0.0 {
        ReasonCode::MoreWater
    } else {
        ReasonCode::LessWater
    };
    let arguments = Arguments::none().with("litres", litres.abs());
    Some(Reason { code, arguments })
}

/// The volume is known and does not explain it: the honey does.
fn honey(start: &Start, plan: &Planned, actual: f64, volume_l: f64) -> Option<Reason> {
    if plan.honey_kg <= 0.0 || plan.honey_solids <= 0.0 {
        return None;
    }
    let found = Liquid::must_of_gravity(volume_l, actual)?;
    let more_kg = found.solids_kg() - start.must.solids_kg();
    let solids = plan.honey_solids + more_kg / plan.honey_kg;
    let (code, arguments) = if more_kg > 0.0 {
        (
            ReasonCode::MoreHoney,
            Arguments::none().with("kg", more_kg / plan.honey_solids),
        )
    } else if solids >= plan.honey_solids - WETTER {
        (
            ReasonCode::HoneyWetterThanThought,
            Arguments::none().with("water_percent", 100.0 * (1.0 - solids)),
        )
    } else {
        (
            ReasonCode::LessHoney,
            Arguments::none().with("kg", -more_kg / plan.honey_solids),
        )
    };
    Some(Reason { code, arguments })
}

/// The gravity of the planned solids in another volume.
fn gravity_in(must: &Liquid, volume_l: f64) -> Option<f64> {
    let solids = Liquid {
        water_kg: 0.0,
        ..*must
    };
    let water_kg = add_water_for_volume(&solids, volume_l);
    (water_kg >= 0.0).then(|| (solids + Liquid::water(water_kg)).state().sg)
}

/// The volume in which the planned solids have another gravity.
fn volume_at(must: &Liquid, sg: f64) -> Option<f64> {
    let one = Liquid::must_of_gravity(1.0, sg)?;
    let litres = must.solids_kg() / one.solids_kg();
    litres.is_finite().then_some(litres)
}

/// The gravity that a hydrometer marked for 20 °C would have shown, had the sample been at 20 °C; `None` where it nearly was.
fn corrected(sg: f64, temperature_c: f64) -> Option<f64> {
    if (temperature_c - 20.0).abs() < WARM_K {
        return None;
    }
    let marked = Celsius::new(20.0)?;
    let corrected = correct_reading(
        SpecificGravity::new(sg)?,
        Celsius::new(temperature_c)?,
        marked,
        Abv::new(0.0)?,
    )?;
    Some(corrected.get())
}
