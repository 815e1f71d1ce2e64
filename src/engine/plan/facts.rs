//! What the log of a batch makes known to its plan.

/// All hours count since the batch's beginning. Whatever is not finite or out of reach counts as not known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Facts {
    /// The hour at which the plan is looked at: what is overdue moves what follows it. `None`: nothing is overdue.
    pub now_h: Option<f64>,
    /// When the must was mixed.
    pub mixed_h: Option<f64>,
    /// When the yeast was pitched.
    pub pitch_h: Option<f64>,
    /// Local hour of the day of the pitch, done or planned, 0 to 24.
    pub pitch_hour_of_day: Option<f64>,
    /// When the gravity was first seen at or below the one-third break.
    pub break_seen_h: Option<f64>,
    /// When that is forecast.
    pub break_forecast: Option<Forecast>,
    /// When it was first seen at its end.
    pub end_seen_h: Option<f64>,
    /// When that is forecast.
    pub end_forecast: Option<Forecast>,
    /// The last gravity, SG 20/20, and its hour.
    pub gravity: Option<Measured>,
    /// Strength now, % ABV.
    pub abv_percent: Option<f64>,
    /// The last pH and its hour.
    pub ph: Option<Measured>,
    /// Litres now.
    pub volume_l: Option<f64>,
    /// When the second of two equal readings 14 days apart was taken, the last time.
    pub readings_agree_h: Option<f64>,
    /// Rackings, in order.
    pub racked_h: Vec<f64>,
    /// When it was stabilised.
    pub stabilised_h: Option<f64>,
    /// Whether it was stabilised at any time, so that it cannot be primed.
    pub never_primed: bool,
    /// Whether sulfite has gone in after the fermentation.
    pub sulfited: bool,
    /// When it was sweetened.
    pub sweetened_h: Option<f64>,
    /// When it was bottled or filled into a keg.
    pub packaged_h: Option<f64>,
    /// What was put in besides the recipe and gives its taste for days.
    pub steeping: Vec<Steeping>,
    /// What was said of steps, in order; of one step the last counts. An undone mark is not here.
    pub marks: Vec<Mark>,
}

/// Spice or wood that was put in, and how long it usually stays.
#[derive(Clone, Debug, PartialEq)]
pub struct Steeping {
    /// The entry of the log.
    pub entry: u32,
    /// Its name.
    pub name: String,
    /// When it went in, hours.
    pub hours: f64,
    /// Days after which one begins to taste, and after which it has given what is wanted.
    pub days: [f64; 2],
}

/// A forecast time: the best guess, and an interval around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// The earliest, hours.
    pub low_h: f64,
    /// The best guess, hours.
    pub best_h: f64,
    /// The latest, hours.
    pub high_h: f64,
}

/// A number that was measured, and when.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The number.
    pub value: f64,
    /// Hours.
    pub hours: f64,
}

/// What the log says of a step.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The step's key.
    pub key: String,
    /// When it was said, hours; for what is done, when it was done.
    pub hours: f64,
    /// What.
    pub is: Said,
}

/// What was said of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Said {
    /// Done.
    Done,
    /// Left out on purpose.
    Skipped,
    /// To be done at another time.
    Moved {
        /// Hours.
        to_hours: f64,
    },
}

/// A century either way, hours: what lies outside is no time of a batch.
const REACH_H: f64 = 876_600.0;

fn hour(hours: f64) -> Option<f64> {
    (hours.abs() <= REACH_H).then_some(hours)
}

fn within(value: f64, low: f64, high: f64) -> Option<f64> {
    (low..=high).contains(&value).then_some(value)
}

fn measured(what: Option<Measured>, low: f64, high: f64) -> Option<Measured> {
    what.filter(|what| hour(what.hours).is_some() && within(what.value, low, high).is_some())
}

fn forecast(times: Option<Forecast>) -> Option<Forecast> {
    let times = times?;
    let best_h = hour(times.best_h)?;
    // An end that nobody can tell is as far as the best guess.
    let low_h = hour(times.low_h).map_or(best_h, |low| low.min(best_h));
    let high_h = hour(times.high_h).map_or(best_h, |high| high.max(best_h));
    Some(Forecast {
        low_h,
        best_h,
        high_h,
    })
}

impl Steeping {
    fn is_sound(&self) -> bool {
        let few = |days: f64| (0.0..=1500.0).contains(&days);
        hour(self.hours).is_some() && self.days.into_iter().all(few)
    }
}

impl Facts {
    /// The same without what cannot be.
    pub(super) fn sound(&self) -> Facts {
        let mut racked_h: Vec<f64> = self.racked_h.iter().copied().filter_map(hour).collect();
        racked_h.sort_by(f64::total_cmp);
        let marks = self.marks.iter().filter(|mark| {
            let to = match mark.is {
                Said::Moved { to_hours } => hour(to_hours).is_some(),
                Said::Done | Said::Skipped => true,
            };
            to && hour(mark.hours).is_some()
        });
        Facts {
            now_h: self.now_h.and_then(hour),
            mixed_h: self.mixed_h.and_then(hour),
            pitch_h: self.pitch_h.and_then(hour),
            pitch_hour_of_day: self
                .pitch_hour_of_day
                .and_then(|hour| within(hour, 0.0, 24.0)),
            break_seen_h: self.break_seen_h.and_then(hour),
            break_forecast: forecast(self.break_forecast),
            end_seen_h: self.end_seen_h.and_then(hour),
            end_forecast: forecast(self.end_forecast),
            gravity: measured(self.gravity, 0.9, 1.3),
            abv_percent: self.abv_percent.and_then(|abv| within(abv, 0.0, 30.0)),
            ph: measured(self.ph, 2.0, 9.0),
            volume_l: self.volume_l.and_then(|litres| within(litres, 1e-3, 1e6)),
            readings_agree_h: self.readings_agree_h.and_then(hour),
            racked_h,
            stabilised_h: self.stabilised_h.and_then(hour),
            never_primed: self.never_primed,
            sulfited: self.sulfited,
            sweetened_h: self.sweetened_h.and_then(hour),
            packaged_h: self.packaged_h.and_then(hour),
            steeping: self
                .steeping
                .iter()
                .filter(|one| one.is_sound())
                .cloned()
                .collect(),
            marks: marks.cloned().collect(),
        }
    }
}

/// Above this strength ammonium is not taken up any more, % ABV (common practice, no published source).
const AMMONIUM_ENDS_ABV: f64 = 9.0;
/// Gravities nearer than this are one gravity.
const SAME_SG: f64 = 1e-6;

impl Facts {
    /// Whether a step of that key was marked as done, or happened.
    pub(super) fn is_done(&self, key: &str, happened: Option<f64>) -> bool {
        let marked = self.mark(key).map(|mark| mark.is);
        happened.is_some() || marked == Some(Said::Done)
    }

    /// When it last got sugar after its first fermentation.
    pub(super) fn sugared_h(&self) -> Option<f64> {
        let later = ["secondary", "ageing", "sweeten"].map(|key| self.mark(key));
        let later = later.into_iter().flatten();
        let later = later.filter(|mark| mark.is == Said::Done);
        later
            .map(|mark| mark.hours)
            .chain(self.sweetened_h)
            .reduce(f64::max)
    }

    /// Whether two readings 14 days apart agree, and no sugar has gone in since.
    pub fn stands_still(&self) -> bool {
        let since = self.sugared_h().unwrap_or(f64::NEG_INFINITY);
        self.readings_agree_h.is_some_and(|agree| agree > since)
    }

    /// The last mark of a step.
    pub(super) fn mark(&self, key: &str) -> Option<&Mark> {
        self.marks.iter().rev().find(|mark| mark.key == key)
    }

    /// When the break was seen, or the reading that lies below it.
    pub(super) fn broken_h(&self, break_sg: f64) -> Option<f64> {
        let below = self.gravity.filter(|now| now.value <= break_sg + SAME_SG);
        self.break_seen_h
            .or(below.map(|now| now.hours))
            .or(self.end_seen_h)
    }

    /// Whether feeding is over: 9 % ABV by strength or gravity, or the end.
    pub(super) fn feeding_is_over(&self, limit_sg: Option<f64>) -> bool {
        let below = self.gravity.zip(limit_sg);
        self.end_seen_h.is_some()
            || self.packaged_h.is_some()
            || self.abv_percent.is_some_and(|abv| abv >= AMMONIUM_ENDS_ABV)
            || below.is_some_and(|(now, limit)| now.value <= limit + SAME_SG)
    }
}
