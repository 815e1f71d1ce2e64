//! What is looked at when something seems wrong, and what the facts say of it.

use super::facts::Facts;
use crate::engine::formulate::AMMONIUM_LIMIT_ABV;
use crate::engine::pitching::grams_per_litre;
use crate::engine::problem::{Arguments, codes};
use crate::engine::sulfite::{USUAL_PKA, molecular_part};

codes! {
    /// Something that may be so; yes means that it is, or may be, a cause. Arguments are there where they are known.
    Check {
        /// Gas leaves beside the airlock: a silent airlock says nothing.
        LidLeaks = "lid_leaks",
        /// The gravity has fallen: it works (`og`, `sg`).
        WorkingAfterAll = "working_after_all",
        /// Not 72 hours have passed since the pitch (`hours`).
        FirstDays = "first_days",
        /// Colder than this yeast likes (`temperature_c`, `low_c`).
        TooCold = "too_cold",
        /// Warmer than this yeast likes (`temperature_c`, `high_c`).
        TooWarm = "too_warm",
        /// Under the pH at which yeast begins to suffer (`ph`, `least_ph`).
        LowPh = "low_ph",
        /// Sulfite went in less than a day ago (`hours`).
        SulfitedLately = "sulfited_lately",
        /// A must at which any yeast has a hard start (`og`).
        VeryStrong = "very_strong",
        /// Less yeast than usual for this must (`given_g_per_l`, `usual_g_per_l`).
        LittleYeast = "little_yeast",
        /// Less nitrogen so far than the plan wants in all (`given_mg_per_l`, `target_mg_per_l`).
        Hungry = "hungry",
        /// Past the one-third break or 9 % by volume: ammonium is no longer taken up (`done_percent`, `abv_percent`).
        FeedTooLate = "feed_too_late",
        /// On its sediment for longer than four weeks (`days`).
        OnLees = "on_lees",
        /// More air above it than a mead should have once it is quiet (`headspace_percent`).
        AirAbove = "air_above",
        /// Air was stirred in after the one-third break.
        AiredLate = "aired_late",
        /// Fur, or spots in colours.
        FurSeen = "fur_seen",
        /// A strong smell of nail varnish or vinegar.
        NailVarnish = "nail_varnish",
        /// A smell of rot.
        RottenSmell = "rotten_smell",
        /// Too little room for foam (`headspace_percent`).
        TooFull = "too_full",
        /// The gas was not stirred out within the last day (`hours`).
        GasNotStirredOut = "gas_not_stirred_out",
        /// Less free sulfite than holds back what lives on air (`free_mg_per_l`, `wanted_mg_per_l`).
        LittleFreeSulfite = "little_free_sulfite",
        /// The gravity still falls (`points_a_day`).
        StillFalling = "still_falling",
        /// Younger than two months (`days`).
        JustMade = "just_made",
        /// Younger than four months (`days`).
        Young = "young",
        /// Fruit without pectinase.
        Pectin = "pectin",
        /// Near what the yeast bears (`abv_percent`, `tolerance_abv_percent`).
        AtLimit = "at_limit",
        /// Next to no sugar is left: it has ended (`sugar_g_per_l`).
        NearDry = "near_dry",
        /// Sulfite and sorbate have stopped the yeast.
        IsStabilised = "is_stabilised",
        /// It was warmer than the yeast likes while it worked (`warmest_c`, `high_c`).
        HotFerment = "hot_ferment",
        /// Sourer than most like (`ph`, `ta_g_per_l`).
        Sour = "sour",
        /// Less acid than gives it life (`ph`, `ta_g_per_l`).
        LittleAcid = "little_acid",
        /// It was meant to sparkle.
        MeantToSparkle = "meant_to_sparkle",
        /// No sugar and no gas went in for bubbles.
        NotPrimed = "not_primed",
        /// Not three weeks in the bottle (`days`).
        ShortInBottle = "short_in_bottle",
        /// The bottles stand too cold to make gas (`temperature_c`).
        ColdBottles = "cold_bottles",
        /// Too strong for yeast to make gas in bottles for sure (`abv_percent`).
        TooStrongForBottles = "too_strong_for_bottles",
    }
}

codes! {
    /// What the facts say.
    Answer {
        /// It is so.
        Yes = "yes",
        /// It is not so.
        No = "no",
        /// Nothing in the log says.
        NotKnown = "not_known",
    }
}

/// A check with its answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What was looked at.
    pub check: Check,
    /// What the facts say.
    pub answer: Answer,
    /// What the sentence about it needs, as far as it is known.
    pub arguments: Arguments,
}

/// From here on, h after the pitch, silence means something.
pub(super) const FIRST_DAYS_H: f64 = 72.0;
/// Under this pH a must is helped.
pub(super) const LEAST_PH: f64 = 3.1;
const FALLEN_SG: f64 = 0.002;
const SULFITE_H: f64 = 24.0;
/// As the caution on very strong musts.
const VERY_STRONG_OG: f64 = 1.140;
/// Less than this part of the usual is little.
const LITTLE: f64 = 0.7;
const HUNGRY: f64 = 0.8;
const BREAK: f64 = 1.0 / 3.0;
const LEES_DAYS: f64 = 28.0;
/// As for ageing in glass.
pub(super) const QUIET_HEADSPACE: f64 = crate::engine::vessel::AGEING_HEADSPACE;
/// As for a traditional mead that works.
pub(super) const FOAM_HEADSPACE: f64 = 0.15;
const DEGASSED_H: f64 = 24.0;
/// Molecular sulfur dioxide that protects a dry mead, mg/L.
pub(super) const MOLECULAR_MG_PER_L: f64 = 0.5;
/// One point in two days.
const FALLING_SG_PER_DAY: f64 = 0.0005;
pub(super) const CLEAR_DAYS: f64 = 60.0;
pub(super) const MELLOW_DAYS: f64 = 120.0;
/// A yeast's limit is known to this, % by volume.
const NEAR_LIMIT_ABV: f64 = 1.5;
const DRY_G_PER_L: f64 = 3.0;
const SOUR: (f64, f64) = (3.1, 8.0);
const DULL: (f64, f64) = (3.9, 4.0);
pub(super) const BOTTLE_DAYS: f64 = 21.0;
pub(super) const BOTTLE_C: f64 = 18.0;
const BOTTLE_ABV: f64 = 13.5;

/// A test of two numbers: not known unless both are.
fn both<A, B>(a: Option<A>, b: Option<B>, is: impl Fn(A, B) -> bool) -> Option<bool> {
    a.zip(b).map(|(a, b)| is(a, b))
}

/// One of two is enough for yes; for no, one that is known is enough.
fn either(a: Option<bool>, b: Option<bool>) -> Option<bool> {
    match (a, b) {
        (Some(true), _) | (_, Some(true)) => Some(true),
        (None, None) => None,
        _ => Some(false),
    }
}

impl Check {
    /// What the facts say of it.
    pub(super) fn of(self, facts: &Facts) -> Finding {
        let answer = match self.is_so(facts) {
            Some(true) => Answer::Yes,
            Some(false) => Answer::No,
            None => Answer::NotKnown,
        };
        let mut arguments = Arguments::none();
        for (name, value) in self.told(facts) {
            if let Some(value) = value {
                arguments = arguments.with(name, value);
            }
        }
        Finding {
            check: self,
            answer,
            arguments,
        }
    }

    fn is_so(self, facts: &Facts) -> Option<bool> {
        let [low, high] = [0, 1].map(|end| facts.yeast_temperature_c.map(|range| range[end]));
        match self {
            Check::LidLeaks => facts.lid_is_tight.map(|tight| !tight),
            Check::WorkingAfterAll => {
                both(facts.og, facts.sg, |og, sg| og - sg >= FALLEN_SG - 1e-9)
            }
            Check::FirstDays => facts.hours_since_pitch.map(|hours| hours < FIRST_DAYS_H),
            Check::TooCold => both(facts.temperature_c, low, |is, low| is < low),
            Check::TooWarm => both(facts.temperature_c, high, |is, high| is > high),
            Check::LowPh => facts.ph.map(|ph| ph < LEAST_PH),
            Check::SulfitedLately => facts.hours_since_sulfite.map(|hours| hours < SULFITE_H),
            Check::VeryStrong => facts.og.map(|og| og > VERY_STRONG_OG),
            Check::LittleYeast => both(facts.pitch_g_per_l, usual_pitch(facts), |is, usual| {
                is < LITTLE * usual
            }),
            Check::Hungry => both(
                facts.nitrogen_given_mg_per_l,
                facts.nitrogen_target_mg_per_l,
                |given, target| given < HUNGRY * target,
            ),
            Check::FeedTooLate => either(
                facts.fall_done.map(|done| done >= BREAK),
                facts.abv_percent.map(|abv| abv >= AMMONIUM_LIMIT_ABV),
            ),
            Check::OnLees => facts.days_on_lees.map(|days| days > LEES_DAYS),
            // While it works, gas keeps the air away.
            Check::AirAbove => match facts.fall_sg_per_day {
                Some(fall) if fall >= FALLING_SG_PER_DAY => Some(false),
                _ => facts.headspace_fraction.map(|part| part > QUIET_HEADSPACE),
            },
            Check::AiredLate => facts.aired_after_break,
            Check::FurSeen => facts.fur_is_seen,
            Check::NailVarnish => facts.smells_of_nail_varnish,
            Check::RottenSmell => facts.smells_rotten,
            Check::TooFull => facts.headspace_fraction.map(|part| part < FOAM_HEADSPACE),
            Check::GasNotStirredOut => facts.hours_since_degassed.map(|hours| hours > DEGASSED_H),
            Check::LittleFreeSulfite => both(facts.free_so2_mg_per_l, facts.ph, |free, ph| {
                free < free_needed(ph)
            }),
            Check::StillFalling => facts.fall_sg_per_day.map(|fall| fall >= FALLING_SG_PER_DAY),
            Check::JustMade => facts.age_days.map(|days| days < CLEAR_DAYS),
            Check::Young => facts.age_days.map(|days| days < MELLOW_DAYS),
            Check::Pectin => match facts.has_fruit {
                Some(false) => Some(false),
                _ => both(facts.has_fruit, facts.has_pectinase, |fruit, pectinase| {
                    fruit && !pectinase
                }),
            },
            Check::AtLimit => both(
                facts.abv_percent,
                facts.tolerance_abv_percent,
                |abv, tolerance| abv >= tolerance - NEAR_LIMIT_ABV,
            ),
            Check::NearDry => facts.sugar_left_g_per_l.map(|left| left <= DRY_G_PER_L),
            Check::IsStabilised => facts.is_stabilised,
            Check::HotFerment => both(facts.warmest_c, high, |warmest, high| warmest > high),
            Check::Sour => either(
                facts.ph.map(|ph| ph < SOUR.0),
                facts.ta_g_per_l.map(|ta| ta > SOUR.1),
            ),
            Check::LittleAcid => either(
                facts.ph.map(|ph| ph > DULL.0),
                facts.ta_g_per_l.map(|ta| ta < DULL.1),
            ),
            Check::MeantToSparkle => facts.meant_to_sparkle,
            Check::NotPrimed => facts.is_primed.map(|primed| !primed),
            Check::ShortInBottle => facts.days_in_bottle.map(|days| days < BOTTLE_DAYS),
            Check::ColdBottles => facts.bottle_temperature_c.map(|is| is < BOTTLE_C),
            Check::TooStrongForBottles => facts.abv_percent.map(|abv| abv > BOTTLE_ABV),
        }
    }

    /// What its sentence may print.
    fn told(self, facts: &Facts) -> Vec<(&'static str, Option<f64>)> {
        let [low, high] = [0, 1].map(|end| facts.yeast_temperature_c.map(|range| range[end]));
        let percent = |part: Option<f64>| part.map(|part| 100.0 * part);
        match self {
            Check::WorkingAfterAll => vec![("og", facts.og), ("sg", facts.sg)],
            Check::FirstDays => vec![("hours", facts.hours_since_pitch)],
            Check::TooCold => vec![("temperature_c", facts.temperature_c), ("low_c", low)],
            Check::TooWarm => vec![("temperature_c", facts.temperature_c), ("high_c", high)],
            Check::LowPh => vec![("ph", facts.ph), ("least_ph", Some(LEAST_PH))],
            Check::SulfitedLately => vec![("hours", facts.hours_since_sulfite)],
            Check::VeryStrong => vec![("og", facts.og)],
            Check::LittleYeast => vec![
                ("given_g_per_l", facts.pitch_g_per_l),
                ("usual_g_per_l", usual_pitch(facts)),
            ],
            Check::Hungry => vec![
                ("given_mg_per_l", facts.nitrogen_given_mg_per_l),
                ("target_mg_per_l", facts.nitrogen_target_mg_per_l),
            ],
            Check::FeedTooLate => vec![
                ("done_percent", percent(facts.fall_done)),
                ("abv_percent", facts.abv_percent),
            ],
            Check::OnLees => vec![("days", facts.days_on_lees)],
            Check::AirAbove | Check::TooFull => {
                vec![("headspace_percent", percent(facts.headspace_fraction))]
            }
            Check::GasNotStirredOut => vec![("hours", facts.hours_since_degassed)],
            Check::LittleFreeSulfite => vec![
                ("free_mg_per_l", facts.free_so2_mg_per_l),
                ("wanted_mg_per_l", facts.ph.map(free_needed)),
            ],
            Check::StillFalling => vec![(
                "points_a_day",
                facts.fall_sg_per_day.map(|fall| 1_000.0 * fall),
            )],
            Check::JustMade | Check::Young => vec![("days", facts.age_days)],
            Check::AtLimit => vec![
                ("abv_percent", facts.abv_percent),
                ("tolerance_abv_percent", facts.tolerance_abv_percent),
            ],
            Check::NearDry => vec![("sugar_g_per_l", facts.sugar_left_g_per_l)],
            Check::HotFerment => vec![("warmest_c", facts.warmest_c), ("high_c", high)],
            Check::Sour | Check::LittleAcid => {
                vec![("ph", facts.ph), ("ta_g_per_l", facts.ta_g_per_l)]
            }
            Check::ShortInBottle => vec![("days", facts.days_in_bottle)],
            Check::ColdBottles => vec![("temperature_c", facts.bottle_temperature_c)],
            Check::TooStrongForBottles => vec![("abv_percent", facts.abv_percent)],
            Check::LidLeaks
            | Check::AiredLate
            | Check::FurSeen
            | Check::NailVarnish
            | Check::RottenSmell
            | Check::Pectin
            | Check::IsStabilised
            | Check::MeantToSparkle
            | Check::NotPrimed => Vec::new(),
        }
    }
}

/// Yeast usual for this must, g/L.
pub(super) fn usual_pitch(facts: &Facts) -> Option<f64> {
    facts.og.map(|og| grams_per_litre(og, facts.temperature_c))
}

/// Free sulfur dioxide that protects at a pH, mg/L.
pub(super) fn free_needed(ph: f64) -> f64 {
    MOLECULAR_MG_PER_L / molecular_part(ph, USUAL_PKA)
}
