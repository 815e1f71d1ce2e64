//! What a member measures with: hydrometers, pH meters, scales, thermometers; what each is wrong by, and how finely it shows.

pub mod forms;
pub mod pages;
pub mod store;
pub mod words;

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::engine::hydrometer::correct_reading;
use crate::engine::units::{Abv, Celsius, SpecificGravity};

/// Days after which a pH meter is not to be believed any more (our judgement, no published source).
pub const CALIBRATION_DAYS: i64 = 14;

/// The kinds of instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Hydrometer,
    PhMeter,
    Scale,
    Thermometer,
}

impl Kind {
    /// All of them, in the order in which pages offer them.
    pub const ALL: [Kind; 4] = [
        Kind::Hydrometer,
        Kind::Scale,
        Kind::PhMeter,
        Kind::Thermometer,
    ];

    /// The word in addresses and rows.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Hydrometer => "hydrometer",
            Kind::PhMeter => "ph_meter",
            Kind::Scale => "scale",
            Kind::Thermometer => "thermometer",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// On pages.
    pub fn words(self) -> &'static str {
        match self {
            Kind::Hydrometer => "hydrometer",
            Kind::PhMeter => "pH meter",
            Kind::Scale => "kitchen scale",
            Kind::Thermometer => "thermometer",
        }
    }

    /// What the way to its form says.
    pub fn add_words(self) -> &'static str {
        match self {
            Kind::Hydrometer => "Add a hydrometer",
            Kind::PhMeter => "Add a pH meter",
            Kind::Scale => "Add a scale",
            Kind::Thermometer => "Add a thermometer",
        }
    }
}

/// A hydrometer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hydrometer {
    /// What it shows in plain water at the temperature it is marked for.
    pub in_water_sg: f64,
    /// The temperature it is marked for, °C.
    pub marked_for_c: f64,
    /// One step of its scale, SG.
    pub step_sg: f64,
}

impl Hydrometer {
    /// The gravity behind what it showed: less what it is wrong by in water, and at the temperature it is marked for.
    ///
    /// `reading_sg` 0.75 to 1.5, `at_c` 0 to 80 °C (to 40 with alcohol), `abv_percent` of a plain mix. `None` outside: the
    /// engine's correction says where.
    pub fn corrected(&self, reading_sg: f64, at_c: f64, abv_percent: f64) -> Option<f64> {
        let shown = reading_sg - (self.in_water_sg - 1.0);
        let corrected = correct_reading(
            SpecificGravity::new(shown)?,
            Celsius::new(at_c)?,
            Celsius::new(self.marked_for_c)?,
            Abv::new(abv_percent)?,
        )?;
        Some(corrected.get())
    }

    /// The least difference that two readings can show, SG: half a step.
    pub fn sees_sg(&self) -> f64 {
        self.step_sg / 2.0
    }
}

/// A kitchen scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KitchenScale {
    /// What it shows in steps of, g.
    pub step_g: f64,
    /// The most that it weighs, g.
    pub most_g: f64,
}

/// What an instrument is, with what is known of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    Hydrometer(Hydrometer),
    /// When it was last calibrated; its step.
    PhMeter {
        calibrated_on: Option<NaiveDate>,
        step: Option<f64>,
    },
    Scale(KitchenScale),
    /// What it shows in melting ice, °C.
    Thermometer {
        in_ice_c: f64,
    },
}

impl What {
    /// The kind of it.
    pub fn kind(&self) -> Kind {
        match self {
            What::Hydrometer(_) => Kind::Hydrometer,
            What::PhMeter { .. } => Kind::PhMeter,
            What::Scale(_) => Kind::Scale,
            What::Thermometer { .. } => Kind::Thermometer,
        }
    }
}

/// An instrument as its owner describes it.
#[derive(Clone, Debug, PartialEq)]
pub struct Described {
    pub name: String,
    pub what: What,
    pub notes: String,
    /// The fields as they were typed.
    pub typed: BTreeMap<String, String>,
}

/// An instrument of a member.
#[derive(Clone, Debug, PartialEq)]
pub struct Owned {
    pub public_id: String,
    pub version: i32,
    pub retired: bool,
    pub is: Described,
}

/// Days since a pH meter was calibrated, where that is too long ago; `None` where it may be believed. Never calibrated is told
/// as no day at all.
pub fn calibration_due(calibrated_on: Option<NaiveDate>, today: NaiveDate) -> Option<Option<i64>> {
    match calibrated_on {
        None => Some(None),
        Some(day) => {
            let days = (today - day).num_days();
            (days > CALIBRATION_DAYS).then_some(Some(days))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// It shows 1.002 in water: everything it shows is 0.002 too much. At the temperature it is marked for nothing else is
    /// corrected; warmer, the must is heavier than it looks.
    #[test]
    fn what_it_is_wrong_by_in_water_is_taken_off() {
        let own = Hydrometer {
            in_water_sg: 1.002,
            marked_for_c: 20.0,
            step_sg: 0.001,
        };
        let at = |reading, t| own.corrected(reading, t, 0.0).expect("a gravity");
        assert!((at(1.002, 20.0) - 1.0).abs() < 1e-9);
        assert!((at(1.086, 20.0) - 1.084).abs() < 1e-9);
        assert!(at(1.086, 26.0) > 1.0845);
        let right = Hydrometer {
            in_water_sg: 1.0,
            ..own
        };
        let difference = right.corrected(1.086, 26.0, 0.0).unwrap() - at(1.088, 26.0);
        assert!(difference.abs() < 1e-12);
        assert_eq!(own.corrected(1.086, 95.0, 0.0), None);
    }

    #[test]
    fn a_ph_meter_is_believed_for_two_weeks() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let due = |on| calibration_due(on, day("2026-11-28"));
        assert_eq!(due(Some(day("2026-11-28"))), None);
        assert_eq!(due(Some(day("2026-11-14"))), None);
        assert_eq!(due(Some(day("2026-11-13"))), Some(Some(15)));
        assert_eq!(due(None), Some(None));
    }
}
