//! When something seems wrong: for each symptom what to look at, what the batch's own log says of it, what then to do, and when
//! to pour it away.
//!
//! Everything here is common practice, no published source, unless a line names one. Codes with arguments; no sentence.

mod checks;
mod doses;
mod facts;
mod remedies;

pub use checks::{Answer, Check, Finding};
pub use facts::Facts;
pub use remedies::{Remedy, RemedyCode};

use super::problem::codes;

codes! {
    /// What one sees, smells or tastes.
    Symptom {
        /// Nothing seems to happen after the pitch.
        NoStart = "no_start",
        /// It smells of rotten eggs, matches or rubber.
        RottenEgg = "rotten_egg",
        /// A skin, spots or fur on it.
        Film = "film",
        /// It climbs out of its vessel.
        FoamOver = "foam_over",
        /// It does not clear.
        Haze = "haze",
        /// It has stopped, or seems to, with sugar left.
        Stuck = "stuck",
        /// It burns, bites or smells of solvent.
        Harsh = "harsh",
        /// It has no bubbles, or no life in its taste.
        Flat = "flat",
    }
}

codes! {
    /// What makes a batch one for the drain.
    PourAway {
        /// Fur or spots in any colour across it.
        FurAcross = "fur_across",
        /// It smells of rot, not of eggs alone.
        RottenSmell = "rotten_smell",
        /// It smells strongly of nail varnish or vinegar, and airing does not help.
        NailVarnish = "nail_varnish",
        /// A must that stood for days without working and smells or looks odd.
        StoodTooLong = "stood_too_long",
        /// No reason to pour it away.
        NoReason = "no_reason",
    }
}

/// What is to be looked at, in order, what was found, and what to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Guide {
    /// What it is about.
    pub symptom: Symptom,
    /// Each check with what the log says.
    pub findings: Vec<Finding>,
    /// What to do, the most urgent first.
    pub remedies: Vec<Remedy>,
    /// When to pour it away.
    pub pour_away: &'static [PourAway],
}

impl Symptom {
    /// What is looked at, in this order.
    pub fn checks(self) -> &'static [Check] {
        use Check::*;
        match self {
            Symptom::NoStart => &[
                LidLeaks,
                WorkingAfterAll,
                FirstDays,
                TooCold,
                TooWarm,
                LowPh,
                SulfitedLately,
                VeryStrong,
                LittleYeast,
            ],
            Symptom::RottenEgg => &[
                RottenSmell,
                Hungry,
                FeedTooLate,
                TooWarm,
                OnLees,
                StillFalling,
            ],
            Symptom::Film => &[
                FurSeen,
                NailVarnish,
                StillFalling,
                AirAbove,
                LittleFreeSulfite,
            ],
            Symptom::FoamOver => &[TooFull, GasNotStirredOut, FirstDays, TooWarm],
            Symptom::Haze => &[StillFalling, JustMade, Pectin],
            Symptom::Stuck => &[
                StillFalling,
                NearDry,
                AtLimit,
                IsStabilised,
                TooCold,
                TooWarm,
                LowPh,
                Hungry,
                FeedTooLate,
            ],
            Symptom::Harsh => &[NailVarnish, Young, HotFerment, Sour, AiredLate],
            Symptom::Flat => &[
                MeantToSparkle,
                NotPrimed,
                IsStabilised,
                ShortInBottle,
                ColdBottles,
                TooStrongForBottles,
                LittleAcid,
            ],
        }
    }

    /// When it is one for the drain.
    pub fn pour_away(self) -> &'static [PourAway] {
        match self {
            Symptom::NoStart => &[PourAway::FurAcross, PourAway::StoodTooLong],
            Symptom::RottenEgg => &[PourAway::RottenSmell],
            Symptom::Film => &[
                PourAway::FurAcross,
                PourAway::RottenSmell,
                PourAway::NailVarnish,
            ],
            Symptom::Stuck => &[PourAway::FurAcross, PourAway::NailVarnish],
            Symptom::Harsh => &[PourAway::NailVarnish],
            Symptom::FoamOver | Symptom::Haze | Symptom::Flat => &[PourAway::NoReason],
        }
    }
}

/// All that can be said of a symptom from what is known.
pub fn guide(symptom: Symptom, facts: &Facts) -> Guide {
    let facts = facts.cleaned();
    let checks = symptom.checks();
    let findings: Vec<Finding> = checks.iter().map(|check| check.of(&facts)).collect();
    Guide {
        symptom,
        remedies: remedies::of(symptom, &findings, &facts),
        findings,
        pour_away: symptom.pour_away(),
    }
}
