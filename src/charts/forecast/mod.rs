//! A fermentation over its days: readings, the band of what is expected, the plan, what was added, the must's temperature.

mod below;
mod picture;

pub use picture::render;

/// A place on the axis of time that has words, such as a date. Formatted by whoever knows the reader.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    pub hours: f64,
    pub words: String,
}

/// The expected range at an hour, SG.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    pub hours: f64,
    pub low: f64,
    pub best: f64,
    pub high: f64,
}

/// A gravity that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub hours: f64,
    pub sg: f64,
    /// Its day in words, for the table.
    pub when: String,
}

/// Something that was added, or will be.
#[derive(Debug, Clone, PartialEq)]
pub struct Flag {
    pub hours: f64,
    /// Its day in words, for the table.
    pub when: String,
    /// What it is, for the table; in the picture it has a number.
    pub words: String,
}

/// The must's temperature under the picture, in the reader's unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// With its unit: "must, °C".
    pub name: String,
    /// Hours and temperatures in order of time.
    pub points: Vec<(f64, f64)>,
}

/// All that the picture and its table show. What is no number is left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Forecast {
    /// Begins every id in the picture; two on one page need two prefixes.
    pub prefix: String,
    pub title: String,
    /// The same in one sentence, for those who do not see the picture.
    pub description: String,
    /// Dates in order of time; those that would run into another are left out.
    pub ticks: Vec<Tick>,
    /// The expected range with its most likely line, in order of time.
    pub band: Vec<Range>,
    /// The line of the plan, before any reading: hours, SG, in order of time.
    pub planned: Vec<(f64, f64)>,
    /// In order of time; of readings that would lie on one another one is shown.
    pub readings: Vec<Reading>,
    /// In order of time.
    pub flags: Vec<Flag>,
    pub temperature: Option<Strip>,
    /// Where today is, with its word: "today".
    pub now: Option<Tick>,
}

/// One line of the table beside the picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ForecastRow {
    pub when: String,
    /// "1.058", "1.010 to 1.018", or empty for what was added.
    pub gravity: String,
    pub words: String,
}

/// Dates ahead that the table has at most.
const EXPECTED_ROWS: usize = 14;

/// Hours that a picture can have; anything else is not drawn.
fn is_time(hours: f64) -> bool {
    hours.abs() < 1e6
}

/// Gravities that a liquid of this trade can have; anything else is not drawn.
pub(super) fn is_gravity(sg: f64) -> bool {
    (0.7..=1.7).contains(&sg)
}

pub(super) fn sg_text(sg: f64) -> String {
    format!("{sg:.3}")
}

impl Forecast {
    fn drawn_band(&self) -> Vec<Range> {
        let sound = |range: &&Range| {
            is_time(range.hours)
                && [range.low, range.best, range.high]
                    .into_iter()
                    .all(is_gravity)
        };
        self.band.iter().filter(sound).copied().collect()
    }

    fn drawn_plan(&self) -> Vec<(f64, f64)> {
        let sound = |(hours, sg): &&(f64, f64)| is_time(*hours) && is_gravity(*sg);
        self.planned.iter().filter(sound).copied().collect()
    }

    fn drawn_strip(&self) -> Vec<(f64, f64)> {
        let strip = self.temperature.iter().flat_map(|strip| &strip.points);
        let sound = |(hours, value): &&(f64, f64)| is_time(*hours) && value.abs() < 1e4;
        strip.filter(sound).copied().collect()
    }

    fn drawn_flags(&self) -> Vec<&Flag> {
        self.flags
            .iter()
            .filter(|flag| is_time(flag.hours))
            .collect()
    }

    fn drawn_now(&self) -> Option<&Tick> {
        self.now.as_ref().filter(|now| is_time(now.hours))
    }

    /// The first and the last hour that anything is drawn at.
    fn span(&self) -> Option<(f64, f64)> {
        let sound = |one: &&Reading| is_time(one.hours) && is_gravity(one.sg);
        let hours: Vec<f64> = (self.drawn_band().iter().map(|range| range.hours))
            .chain(self.drawn_plan().iter().map(|point| point.0))
            .chain(self.readings.iter().filter(sound).map(|one| one.hours))
            .chain(self.drawn_now().map(|now| now.hours))
            .collect();
        let first = hours.iter().copied().reduce(f64::min)?;
        let last = hours.iter().copied().reduce(f64::max)?;
        (last - first > 1e-3).then_some((first, last))
    }

    /// Readings that can be told apart in the picture, the first and the last among them.
    fn drawn_readings(&self) -> Vec<&Reading> {
        let sound = |one: &&Reading| is_time(one.hours) && is_gravity(one.sg);
        let all: Vec<&Reading> = self.readings.iter().filter(sound).collect();
        let apart = self
            .span()
            .map_or(0.0, |(first, last)| (last - first) / 120.0);
        let mut drawn: Vec<&Reading> = Vec::new();
        for (at, one) in all.iter().enumerate() {
            let is_last = at + 1 == all.len();
            if is_last
                && at > 0
                && drawn.len() > 1
                && one.hours - drawn[drawn.len() - 1].hours < apart
            {
                drawn.pop();
            }
            if is_last
                || drawn
                    .last()
                    .is_none_or(|before| one.hours - before.hours >= apart)
            {
                drawn.push(one);
            }
        }
        drawn
    }

    /// The range expected at an hour, between the points of the band.
    fn expected_at(&self, band: &[Range], hours: f64) -> Option<Range> {
        let after = band.iter().position(|range| range.hours >= hours)?;
        let (a, b) = (band[after.saturating_sub(1)], band[after]);
        if hours < a.hours {
            return None;
        }
        let along = match b.hours - a.hours {
            width if width > 0.0 => (hours - a.hours) / width,
            _ => 0.0,
        };
        let mixed = |of: fn(&Range) -> f64| of(&a) + along * (of(&b) - of(&a));
        Some(Range {
            hours,
            low: mixed(|range| range.low),
            best: mixed(|range| range.best),
            high: mixed(|range| range.high),
        })
    }

    /// The numbers of the picture as lines of a table: what was read and added in order of time, then what is expected on the
    /// dates from now on, then the temperatures.
    pub fn rows(&self) -> Vec<ForecastRow> {
        let readings = self.drawn_readings();
        let read = readings.iter().map(|one| {
            let row = ForecastRow {
                when: one.when.clone(),
                gravity: sg_text(one.sg),
                words: "read".to_owned(),
            };
            (one.hours, row)
        });
        let flags = self.drawn_flags();
        let added = flags.iter().enumerate().map(|(at, flag)| {
            let row = ForecastRow {
                when: flag.when.clone(),
                gravity: String::new(),
                words: format!("{}: {}", at + 1, flag.words),
            };
            (flag.hours, row)
        });
        let mut past: Vec<(f64, ForecastRow)> = read.chain(added).collect();
        past.sort_by(|a, b| a.0.total_cmp(&b.0));
        let band = self.drawn_band();
        let now = self.drawn_now();
        let coming: Vec<&Tick> = self
            .ticks
            .iter()
            .filter(|tick| now.is_none_or(|now| tick.hours > now.hours))
            .filter(|tick| self.expected_at(&band, tick.hours).is_some())
            .collect();
        let step = coming.len().div_ceil(EXPECTED_ROWS).max(1);
        let coming = coming.into_iter().step_by(step);
        let expected = now.into_iter().chain(coming).filter_map(|tick| {
            let range = self.expected_at(&band, tick.hours)?;
            Some(ForecastRow {
                when: tick.words.clone(),
                gravity: format!("{} to {}", sg_text(range.low), sg_text(range.high)),
                words: format!("expected, most likely {}", sg_text(range.best)),
            })
        });
        let strip = self.drawn_strip();
        let coldest = strip.iter().map(|point| point.1).reduce(f64::min);
        let warmest = strip.iter().map(|point| point.1).reduce(f64::max);
        let warmth =
            self.temperature
                .iter()
                .zip(coldest.zip(warmest))
                .map(|(strip, (coldest, warmest))| ForecastRow {
                    when: String::new(),
                    gravity: String::new(),
                    words: format!(
                        "{}: {} to {}",
                        strip.name,
                        below::degrees(coldest),
                        below::degrees(warmest)
                    ),
                });
        past.into_iter()
            .map(|(_, row)| row)
            .chain(expected)
            .chain(warmth)
            .collect()
    }
}
