//! Is it finished? Two readings of one mead without gas, warm enough and long enough apart, and a yeast that could have gone on.

/// Two readings this far apart and equal to [`END_SG`] show that it stands still, hours (common practice, no published source).
pub const END_H: f64 = 14.0 * 24.0;
/// See [`END_H`].
pub const END_SG: f64 = 0.001;
/// A reading in a colder must says nothing of the end: yeast sleeps, °C (common practice, no published source).
pub const LEAST_C: f64 = 18.0;
/// A yeast nearer than this to its limit may have stopped with sugar left, % ABV (common practice, no published source).
pub const BELOW_TOLERANCE_ABV: f64 = 1.5;
/// Sugar that a mead which passes may still have to ferment, g/L at the most (common practice, no published source).
pub const LEFT_G_PER_L: f64 = 3.0;
/// Strengths nearer than this are one strength, % ABV.
const SAME_ABV: f64 = 1e-9;

/// One gravity with what it was read in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Read {
    /// Hours since the batch began.
    pub hours: f64,
    /// SG 20/20, temperature corrected.
    pub sg: f64,
    /// Whether the gas was stirred out first; `None` where nobody said.
    pub degassed: Option<bool>,
    /// Of the must then, °C; `None` where nobody measured.
    pub must_c: Option<f64>,
}

impl Read {
    fn is_sound(&self) -> bool {
        self.degassed == Some(true) && self.must_c.is_some_and(|celsius| celsius >= LEAST_C)
    }

    /// Why it does not count.
    fn faults(&self) -> Vec<Lacking> {
        let hours = self.hours;
        let gas = (self.degassed != Some(true)).then_some(Lacking::Degassing { hours });
        let warmth = match self.must_c {
            None => Some(Lacking::Temperature { hours }),
            Some(celsius) if celsius < LEAST_C => Some(Lacking::Warmth { hours, celsius }),
            Some(_) => None,
        };
        gas.into_iter().chain(warmth).collect()
    }
}

/// What is known of a batch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// Its gravities that count.
    pub reads: Vec<Read>,
    /// When something last went in that changes the gravity, hours.
    pub changed_h: Option<f64>,
    /// Strength now, % ABV.
    pub abv_percent: f64,
    /// Where the yeast stops, % ABV.
    pub tolerance_abv_percent: Option<f64>,
    /// The hour at which this is asked.
    pub now_h: f64,
}

/// What is missing before it counts as finished.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lacking {
    /// No gravity was read since the last sugar, or at all.
    Reading,
    /// The last two readings differ: fallen by so much (negative: risen) within so many days.
    Rest {
        /// SG.
        by_sg: f64,
        /// Days between the two.
        days: f64,
    },
    /// The readings that count lie only so many days apart; 0 where there is but one.
    Time {
        /// Days.
        days: f64,
    },
    /// Nobody said of the reading at that hour that the gas was stirred out.
    Degassing {
        /// Hours since the batch began.
        hours: f64,
    },
    /// It was too cold at that hour.
    Warmth {
        /// Hours since the batch began.
        hours: f64,
        /// °C.
        celsius: f64,
    },
    /// Nobody said how warm it was at that hour.
    Temperature {
        /// Hours since the batch began.
        hours: f64,
    },
    /// The yeast's limit is not known.
    Tolerance,
    /// The yeast may have stopped of the alcohol, with sugar left.
    Headroom {
        /// % ABV.
        abv_percent: f64,
        /// % ABV.
        tolerance_abv_percent: f64,
    },
}

/// The answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The two readings that show it.
    pub shown_by: Option<(Read, Read)>,
    /// Everything that is missing; nothing where it is finished.
    pub lacking: Vec<Lacking>,
    /// When the next reading can settle it, hours; `None` where no reading is missing.
    pub read_again_h: Option<f64>,
}

impl Verdict {
    /// Whether it counts as finished.
    pub fn is_finished(&self) -> bool {
        self.lacking.is_empty()
    }

    /// Sugar that may still ferment, g/L, where a forecast expects `forecast_g_per_l`: of a finished mead at most 3.
    pub fn fermentable_g_per_l(&self, forecast_g_per_l: f64) -> f64 {
        match self.is_finished() {
            true => forecast_g_per_l.min(LEFT_G_PER_L),
            false => forecast_g_per_l,
        }
    }
}

/// Judges: two degassed readings 14 days apart, each at 18 °C or more, equal to 0.001, nothing sweet gone in between, and at
/// least 1.5 % ABV below the yeast's limit (common practice, no published source).
///
/// Readings before `changed_h` say nothing of what is there now. Never answers with a time before `now_h`.
pub fn verdict(known: &Known) -> Verdict {
    let since = known.changed_h.unwrap_or(f64::NEG_INFINITY);
    let reads = known.reads.iter().copied();
    let mut reads: Vec<Read> = reads.filter(|read| read.hours >= since).collect();
    reads.sort_by(|one, other| one.hours.total_cmp(&other.hours));
    let mut found = of_readings(&reads, known.now_h);
    match known.tolerance_abv_percent {
        None => found.lacking.push(Lacking::Tolerance),
        Some(tolerance_abv_percent) => {
            let most = tolerance_abv_percent - BELOW_TOLERANCE_ABV;
            if known.abv_percent > most + SAME_ABV {
                found.lacking.push(Lacking::Headroom {
                    abv_percent: known.abv_percent,
                    tolerance_abv_percent,
                });
            }
        }
    }
    found
}

/// The place from which on it has stood at the gravity of the last reading.
fn still_from(reads: &[Read]) -> usize {
    let Some(last) = reads.last() else {
        return 0;
    };
    let differs = |read: &Read| (read.sg - last.sg).abs() > END_SG + 1e-9;
    reads.iter().rposition(differs).map_or(0, |at| at + 1)
}

/// The first and the last of them that count.
fn sound_ends(still: &[Read]) -> Option<(Read, Read)> {
    let first = still.iter().find(|read| read.is_sound())?;
    let last = still.iter().rfind(|read| read.is_sound())?;
    Some((*first, *last))
}

/// The two readings that show that a mead stands still at the last of `reads` (in the order of time, of one mead in which nothing
/// has changed the gravity): without gas, warm enough, equal, and far enough apart; `None` where none do. The only rule of the end:
/// log, plan and finishing ask it.
pub fn at_rest(reads: &[Read]) -> Option<(Read, Read)> {
    let still = reads.get(still_from(reads)..)?;
    sound_ends(still).filter(|(first, second)| second.hours - first.hours >= END_H)
}

fn of_readings(reads: &[Read], now_h: f64) -> Verdict {
    let waits = |lacking: Vec<Lacking>, hours: f64| Verdict {
        shown_by: None,
        lacking,
        read_again_h: Some(hours.max(now_h)),
    };
    let Some(last) = reads.last() else {
        return waits(vec![Lacking::Reading], now_h);
    };
    if let Some(shown_by) = at_rest(reads) {
        return Verdict {
            shown_by: Some(shown_by),
            lacking: Vec::new(),
            read_again_h: None,
        };
    }
    let (before, still) = reads.split_at(still_from(reads));
    let ends = sound_ends(still);
    let mut lacking = Vec::new();
    if let ([.., earlier], [only]) = (before, still) {
        lacking.push(Lacking::Rest {
            by_sg: earlier.sg - only.sg,
            days: (only.hours - earlier.hours) / 24.0,
        });
    }
    lacking.extend(last.faults());
    // Long enough apart, but the first of them does not count.
    if let [first, .., _] = still
        && last.hours - first.hours >= END_H
    {
        lacking.extend(first.faults());
    }
    match ends {
        Some((first, second)) => {
            let days = (second.hours - first.hours) / 24.0;
            lacking.push(Lacking::Time { days });
            waits(lacking, first.hours + END_H)
        }
        None => waits(lacking, now_h),
    }
}
