//! Lots in words.

use chrono::NaiveDate;
use chrono_tz::Tz;

use super::model::{Lot, Taken, TakenFor};
use super::paths;
use crate::web::dates::{date, day};
use crate::web::paths::Base;
use crate::web::units::{self, Units};

/// For whom a cellar is drawn.
#[derive(Clone, Copy)]
pub struct Reader<'a> {
    pub base: &'a Base,
    pub units: Units,
    pub zone: Tz,
    pub today: NaiveDate,
}

/// A lot as a line.
pub struct LotRow {
    pub url: String,
    /// "12 of 24 bottles of 750 ml".
    pub left: String,
    /// "good from 3 May 2027, at its best from 3 November 2027, keeps until about 3 May 2031".
    pub when: String,
    /// "on the lower shelf · filled 3 March 2027 · 2 kept back".
    pub meta: String,
    /// What has come: it may be drunk, or should be soon.
    pub now: String,
    pub is_empty: bool,
}

/// "1 bottle", "12 bottles".
pub fn bottles(count: i64) -> String {
    match count {
        1 => "1 bottle".to_owned(),
        many => format!("{many} bottles"),
    }
}

/// "3 bottles"; of a keg "1.5 L".
pub fn amount(lot: &Lot, count: i64, reads: Units) -> String {
    match lot.keg {
        true => units::volume(lot.litres(count), reads),
        false => bottles(count),
    }
}

/// "12 of 24 bottles of 750 ml", "12 L of 18 L in a keg".
fn left(lot: &Lot, reads: Units) -> String {
    let (left, all) = (lot.left(), i64::from(lot.filled));
    let filled = match lot.keg {
        true => format!("{} in a keg", amount(lot, all, reads)),
        false => format!("{} of {}", bottles(all), units::volume(lot.size_l(), reads)),
    };
    match left {
        0 => format!("none left of {filled}"),
        left if left == all => filled,
        left if lot.keg => format!("{} of {filled}", amount(lot, left, reads)),
        left => format!("{left} of {filled}"),
    }
}

impl LotRow {
    /// Of a lot.
    pub fn of(lot: &Lot, reader: &Reader<'_>) -> LotRow {
        let mut meta = Vec::new();
        meta.extend((!lot.place.is_empty()).then(|| lot.place.clone()));
        meta.push(format!("filled {}", day(lot.filled_at, reader.zone)));
        meta.extend(lot.gas.then(|| "with gas".to_owned()));
        meta.extend(kept(lot));
        LotRow {
            url: reader.base.link(&paths::LOT.with(&[&lot.public_id])),
            left: left(lot, reader.units),
            when: when(lot),
            meta: meta.join(" · "),
            now: now(lot, reader.today).to_owned(),
            is_empty: lot.left() == 0,
        }
    }
}

/// When such a mead is usually good.
pub fn when(lot: &Lot) -> String {
    let said = [
        (lot.good_on, "good from about"),
        (lot.best_on, "at its best from about"),
        (lot.keeps_until, "keeps until about"),
    ];
    let said = said.into_iter();
    let said = said.filter_map(|(on, words)| Some(format!("{words} {}", date(on?))));
    said.collect::<Vec<_>>().join(", ")
}

/// "2 kept back until 3 May 2028".
pub fn kept(lot: &Lot) -> Option<String> {
    let kept = lot.kept();
    let until = match lot.kept_until {
        Some(until) => format!(" until {}", date(until)),
        None => String::new(),
    };
    (kept > 0).then(|| format!("{kept} kept back{until}"))
}

/// What the day has come for.
fn now(lot: &Lot, today: NaiveDate) -> &'static str {
    let come = |on: Option<NaiveDate>| on.is_some_and(|on| on <= today);
    match lot.left() {
        0 => "",
        _ if come(lot.keeps_until) => "It has lain as long as such a mead usually keeps: taste it.",
        _ if lot.is_kept_time(today) => "The day has come to taste those kept back side by side.",
        _ if come(lot.best_on) => "It should be at its best by now.",
        _ if come(lot.good_on) => "It may be drunk.",
        _ => "",
    }
}

/// "2 bottles, given away: Tobias".
pub fn taken_words(lot: &Lot, taken: &Taken, reads: Units) -> String {
    let why = TakenFor::from_word(&taken.why).map_or("taken", TakenFor::words);
    let whom = match taken.whom.as_str() {
        "" => String::new(),
        whom => format!(": {whom}"),
    };
    format!("{}, {why}{whom}", amount(lot, taken.bottles.into(), reads))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::batches::cellar::model::DRAWN_ML;
    use crate::web::viewer::MemberId;

    fn lot(filled: i32, taken: i64) -> Lot {
        let on = |month| NaiveDate::from_ymd_opt(2027, month, 1);
        Lot {
            id: 1,
            public_id: "a".repeat(20),
            code: "b".repeat(12),
            batch: "c".repeat(20).parse().unwrap(),
            batch_name: "Heather".to_owned(),
            owner: MemberId(1),
            size_ml: 750,
            filled,
            taken,
            gas: false,
            keg: false,
            filled_at: chrono::DateTime::UNIX_EPOCH,
            good_on: on(5),
            best_on: on(8),
            keeps_until: on(11),
            place: "lower shelf".to_owned(),
            kept_back: 2,
            kept_until: on(7),
        }
    }

    #[test]
    fn a_lot_says_what_is_left_and_what_its_day_has_come_for() {
        let base = Base::default();
        let row = |lot: &Lot, month| {
            let reader = Reader {
                base: &base,
                units: Units::Metric,
                zone: chrono_tz::UTC,
                today: NaiveDate::from_ymd_opt(2027, month, 2).unwrap(),
            };
            LotRow::of(lot, &reader)
        };
        assert_eq!(row(&lot(24, 0), 1).left, "24 bottles of 750 ml");
        assert_eq!(row(&lot(24, 12), 1).left, "12 of 24 bottles of 750 ml");
        assert_eq!(row(&lot(1, 1), 1).left, "none left of 1 bottle of 750 ml");
        assert_eq!(row(&lot(2, 5), 1).left, "none left of 2 bottles of 750 ml");
        let keg = |taken| Lot {
            keg: true,
            size_ml: DRAWN_ML,
            ..lot(1_800, taken)
        };
        assert_eq!(row(&keg(0), 1).left, "18 L in a keg");
        assert_eq!(row(&keg(70), 1).left, "17.3 L of 18 L in a keg");
        assert_eq!(row(&keg(1_800), 1).left, "none left of 18 L in a keg");
        for (month, said) in [
            (4, ""),
            (5, "It may be drunk."),
            (7, "The day has come to taste those kept back side by side."),
            (
                11,
                "It has lain as long as such a mead usually keeps: taste it.",
            ),
        ] {
            assert_eq!(row(&lot(24, 0), month).now, said, "{month}");
        }
        assert_eq!(row(&lot(24, 24), 12).now, "", "nothing is left to taste");
        let none_kept = Lot {
            kept_back: 0,
            ..lot(24, 0)
        };
        assert_eq!(row(&none_kept, 8).now, "It should be at its best by now.");
    }

    #[test]
    fn never_more_is_kept_back_than_there_is() {
        assert_eq!(lot(24, 0).kept(), 2);
        assert_eq!(lot(24, 23).kept(), 1);
        assert_eq!(kept(&lot(24, 24)), None);
    }
}
