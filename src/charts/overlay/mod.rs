//! Several fermentations on one picture, each from its own pitch, told apart without colour.

mod picture;

pub use picture::render;

use super::forecast::{is_gravity, sg_text};

/// One fermentation.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Series {
    /// Few words that name it, written at the end of its line.
    pub words: String,
    /// Its line: days since the pitch, SG, in order of time. May be empty.
    pub line: Vec<(f64, f64)>,
    /// Its readings: days since the pitch, SG, in order of time.
    pub readings: Vec<(f64, f64)>,
}

/// All that the picture and its table show. What is no number is left out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Overlay {
    /// Begins every id in the picture; two on one page need two prefixes.
    pub prefix: String,
    pub title: String,
    /// The same in one sentence, for those who do not see the picture.
    pub description: String,
    /// What the axis of time is called: "days since the pitch".
    pub axis: String,
    pub series: Vec<Series>,
}

/// The numbers of the picture: a line for each day, a column for each fermentation.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Table {
    /// The axis, then the name of each fermentation.
    pub head: Vec<String>,
    /// The day, then each gravity; empty where it is not known.
    pub rows: Vec<Vec<String>>,
}

/// Lines that a table has at most.
const ROWS: usize = 12;

fn sound(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let drawable = |(days, sg): &&(f64, f64)| days.abs() < 1e5 && is_gravity(*sg);
    points.iter().filter(drawable).copied().collect()
}

impl Series {
    /// The line, or where there is none the readings joined.
    fn drawn_line(&self) -> Vec<(f64, f64)> {
        let line = sound(&self.line);
        if line.len() > 1 {
            line
        } else {
            self.drawn_readings()
        }
    }

    fn drawn_readings(&self) -> Vec<(f64, f64)> {
        sound(&self.readings)
    }

    /// Gravity on a day: of the line, between its points.
    fn at(&self, days: f64) -> Option<f64> {
        let line = self.drawn_line();
        let after = line.iter().position(|point| point.0 >= days - 1e-9)?;
        let (a, b) = (line[after.saturating_sub(1)], line[after]);
        if days < a.0 - 1e-9 {
            return None;
        }
        let along = match b.0 - a.0 {
            width if width > 0.0 => (days - a.0) / width,
            _ => 0.0,
        };
        Some(a.1 + along.clamp(0.0, 1.0) * (b.1 - a.1))
    }
}

impl Overlay {
    /// Those that have anything to draw.
    fn drawn(&self) -> impl Iterator<Item = &Series> {
        let has = |series: &&Series| !series.drawn_line().is_empty();
        self.series.iter().filter(has)
    }

    /// The first and the last day of anything.
    fn span(&self) -> Option<(f64, f64)> {
        let days = || {
            self.drawn()
                .flat_map(|series| {
                    series
                        .drawn_line()
                        .into_iter()
                        .chain(series.drawn_readings())
                })
                .map(|point| point.0)
        };
        days().reduce(f64::min).zip(days().reduce(f64::max))
    }

    /// The table beside the picture, on whole days, few enough to be read.
    pub fn table(&self) -> Table {
        let head = std::iter::once(self.axis.clone())
            .chain(self.drawn().map(|series| series.words.clone()));
        let (first, last) = match self.span() {
            Some((first, last)) => (first.ceil() as i64, last.floor() as i64),
            None => return Table::default(),
        };
        let step = (last - first).max(0) as usize / (ROWS - 1) + 1;
        let rows = (first..=last).step_by(step).map(|day| {
            let gravity = |series: &Series| series.at(day as f64).map_or(String::new(), sg_text);
            std::iter::once(day.to_string())
                .chain(self.drawn().map(gravity))
                .collect()
        });
        Table {
            rows: rows.collect(),
            head: head.collect(),
        }
    }
}
