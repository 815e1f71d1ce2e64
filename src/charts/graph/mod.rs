//! A line on two axes: how one number follows from another, and where somebody's own case lies on it.

mod picture;

pub use picture::render;

/// What one side of the picture measures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Axis {
    /// With its unit: "strength, %".
    pub name: String,
    /// Decimals of its figures, on the axis and in the table.
    pub decimals: usize,
}

impl Axis {
    /// An axis of that name, its figures with so many decimals.
    pub fn new(name: impl Into<String>, decimals: usize) -> Self {
        Axis {
            name: name.into(),
            decimals,
        }
    }

    fn text(&self, value: f64) -> String {
        let decimals = self.decimals;
        let text = format!("{:.decimals$}", value.abs());
        let zero = text.chars().all(|c| matches!(c, '0' | '.'));
        if value < 0.0 && !zero {
            format!("−{text}")
        } else {
            text
        }
    }
}

/// A place of its own on the line, in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    pub x: f64,
    pub y: f64,
    pub words: String,
}

/// All that the picture and its table show, in the reader's units. Points that are no numbers are left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Graph {
    /// Begins every id in the picture; two graphs on one page need two prefixes.
    pub prefix: String,
    pub title: String,
    /// The same in one sentence, for those who do not see the picture.
    pub description: String,
    pub x: Axis,
    pub y: Axis,
    /// The line, from one end to the other.
    pub points: Vec<(f64, f64)>,
    pub marks: Vec<Mark>,
}

/// Rows that a table has at most, beside those of the marks.
const ROWS: usize = 11;
/// Larger numbers than any page has; they would draw nothing.
const TOO_LARGE: f64 = 1e9;

fn drawable(x: f64, y: f64) -> bool {
    x.abs() < TOO_LARGE && y.abs() < TOO_LARGE
}

impl Graph {
    fn drawn(&self) -> Vec<(f64, f64)> {
        let points = self.points.iter().copied();
        points.filter(|(x, y)| drawable(*x, *y)).collect()
    }

    fn marked(&self) -> impl Iterator<Item = &Mark> {
        self.marks.iter().filter(|mark| drawable(mark.x, mark.y))
    }

    /// Lines of the table: some points of the line, evenly taken, its end among them.
    pub fn rows(&self) -> Vec<[String; 2]> {
        let points = self.drawn();
        let last = points.len().saturating_sub(1);
        let step = last.div_ceil(ROWS - 1).max(1);
        let taken = points
            .iter()
            .enumerate()
            .filter(|(at, _)| at % step == 0 || *at == last);
        taken
            .map(|(_, (x, y))| [self.x.text(*x), self.y.text(*y)])
            .collect()
    }
}
