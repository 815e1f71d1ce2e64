//! In what a gravity was read: whether the gas was out of its sample, and how warm the must was.

use super::entry::{Deed, Entry};

/// Gas that was stirred out so shortly before a reading is out of its sample too, hours (our judgement, no published source).
const STIRRED_H: f64 = 6.0;
/// A must is as warm as it was measured so shortly before or after, hours (our judgement, no published source).
const AS_WARM_H: f64 = 48.0;

/// What a log says of the must around its readings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Samples {
    /// When the gas was stirred out, hours, in their order.
    stirred: Vec<f64>,
    /// Temperatures of the must: hours and °C, in their order.
    warm: Vec<(f64, f64)>,
}

impl Samples {
    /// Of a log; the order of `entries` does not matter.
    pub fn of<'a>(entries: impl Iterator<Item = &'a Entry>) -> Samples {
        let mut found = Samples::default();
        for entry in entries {
            let celsius = match &entry.deed {
                Deed::Mixed(mixed) => mixed.temperature_c,
                Deed::Reading(reading) => reading.must_temperature_c,
                Deed::Degas => {
                    found.stirred.push(entry.hours);
                    None
                }
                _ => None,
            };
            found
                .warm
                .extend(celsius.map(|celsius| (entry.hours, celsius)));
        }
        found.stirred.sort_by(f64::total_cmp);
        found
            .warm
            .sort_by(|(one, _), (other, _)| one.total_cmp(other));
        found
    }

    /// Whether the sample of an entry had no gas; `None` where nobody said.
    pub fn degassed(&self, at: &Entry) -> Option<bool> {
        let before = self.stirred.partition_point(|hours| *hours <= at.hours);
        let last = before
            .checked_sub(1)
            .and_then(|place| self.stirred.get(place));
        if last.is_some_and(|stirred| at.hours - stirred <= STIRRED_H) {
            return Some(true);
        }
        match &at.deed {
            Deed::Reading(reading) => reading.degassed,
            _ => None,
        }
    }

    /// How warm the must was, °C: as it was read with an entry, else the nearest that was measured within two days.
    pub fn must_c(&self, at: &Entry) -> Option<f64> {
        if let Deed::Reading(reading) = &at.deed
            && reading.must_temperature_c.is_some()
        {
            return reading.must_temperature_c;
        }
        let later = self.warm.partition_point(|(hours, _)| *hours < at.hours);
        let around = [later.checked_sub(1), Some(later)].into_iter().flatten();
        let away = |hours: f64| (hours - at.hours).abs();
        around
            .filter_map(|place| self.warm.get(place).copied())
            .filter(|(hours, _)| away(*hours) <= AS_WARM_H)
            .min_by(|(one, _), (other, _)| away(*one).total_cmp(&away(*other)))
            .map(|(_, celsius)| celsius)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::log::entry::Reading;

    fn read(hours: f64, reading: Reading) -> Entry {
        Entry {
            entry: 1,
            hours,
            deed: Deed::Reading(reading),
        }
    }

    fn stirred(hours: f64) -> Entry {
        Entry {
            entry: 2,
            hours,
            deed: Deed::Degas,
        }
    }

    fn warm(hours: f64, celsius: f64) -> Entry {
        let must_temperature_c = Some(celsius);
        read(
            hours,
            Reading {
                must_temperature_c,
                ..Reading::default()
            },
        )
    }

    #[test]
    fn gas_is_out_where_it_was_said_or_stirred_out_just_before() {
        let plain = read(100.0, Reading::default());
        let said = |degassed| {
            read(
                100.0,
                Reading {
                    degassed,
                    ..Reading::default()
                },
            )
        };
        let with = |log: &[Entry], at: &Entry| Samples::of(log.iter()).degassed(at);
        assert_eq!(with(&[], &plain), None);
        assert_eq!(with(&[], &said(Some(true))), Some(true));
        assert_eq!(with(&[], &said(Some(false))), Some(false));
        assert_eq!(with(&[stirred(94.0)], &plain), Some(true));
        assert_eq!(with(&[stirred(93.9)], &plain), None);
        assert_eq!(
            with(&[stirred(100.1), stirred(20.0)], &plain),
            None,
            "afterwards"
        );
    }

    #[test]
    fn a_must_is_as_warm_as_it_was_measured_nearest() {
        let plain = read(100.0, Reading::default());
        let with = |log: &[Entry], at: &Entry| Samples::of(log.iter()).must_c(at);
        assert_eq!(with(&[], &plain), None);
        assert_eq!(
            with(&[warm(130.0, 19.0), warm(80.0, 17.0)], &plain),
            Some(17.0)
        );
        assert_eq!(
            with(&[warm(110.0, 19.0), warm(80.0, 17.0)], &plain),
            Some(19.0)
        );
        assert_eq!(
            with(&[warm(51.9, 19.0), warm(148.1, 17.0)], &plain),
            None,
            "too far away"
        );
        assert_eq!(
            with(&[warm(100.0, 15.0)], &warm(100.0, 22.0)),
            Some(22.0),
            "its own"
        );
    }
}
