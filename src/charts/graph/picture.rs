//! The graph drawn: axes with round figures, the line, and marks led to both axes.

use std::fmt::Write as _;

use super::super::words::{escape, width_of, wrap};
use super::{Graph, Mark};

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 250.0;
const LEFT: f64 = 50.0;
const RIGHT: f64 = 12.0;
const TOP: f64 = 30.0;
const BOTTOM: f64 = 46.0;
const LINE: f64 = 16.0;
/// Steps between figures on an axis at most.
const STEPS: f64 = 6.0;

/// One axis: from where to where in the picture, and the round figures on it.
struct Scale {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
    ticks: Vec<f64>,
}

impl Scale {
    /// Over these values; `rounded`: from one round figure to another.
    fn of(
        values: impl Iterator<Item = f64> + Clone,
        from: f64,
        to: f64,
        rounded: bool,
    ) -> Option<Scale> {
        let mut low = values.clone().reduce(f64::min)?;
        let mut high = values.reduce(f64::max)?;
        if high - low < 1e-9 * high.abs().max(1e-3) {
            let air = (high.abs() * 0.1).max(1e-3);
            (low, high) = (low - air, high + air);
        }
        let step = round_step(high - low);
        if rounded {
            (low, high) = ((low / step).floor() * step, (high / step).ceil() * step);
        }
        let first = (low / step - 1e-6).ceil() as i64;
        let last = (high / step + 1e-6).floor() as i64;
        Some(Scale {
            low,
            high,
            from,
            to,
            ticks: (first..=last).map(|n| n as f64 * step).collect(),
        })
    }

    fn at(&self, value: f64) -> f64 {
        self.from + (value - self.low) / (self.high - self.low) * (self.to - self.from)
    }
}

/// A step of 1, 2 or 5 in some decimal place that leaves few figures.
fn round_step(range: f64) -> f64 {
    let rough = range / STEPS;
    let power = 10_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|digit| digit * power)
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// The graph as an SVG element: classes only, titled and described, safe to place into a page as it is.
pub fn render(graph: &Graph) -> String {
    let prefix: String = graph
        .prefix
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
        .collect();
    let mut svg = format!(
        "<svg class=\"graph\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" aria-labelledby=\"{prefix}-title {prefix}-desc\">\
         <title id=\"{prefix}-title\">{}</title><desc id=\"{prefix}-desc\">{}</desc>\n",
        escape(&graph.title),
        escape(&graph.description)
    );
    let points = graph.drawn();
    let all = || {
        let marks = graph.marked().map(|mark| (mark.x, mark.y));
        points.iter().copied().chain(marks).collect::<Vec<_>>()
    };
    let all = all();
    let across = Scale::of(all.iter().map(|point| point.0), LEFT, WIDTH - RIGHT, false);
    let up = Scale::of(all.iter().map(|point| point.1), HEIGHT - BOTTOM, TOP, true);
    match (across, up) {
        (Some(across), Some(up)) if points.len() > 1 => {
            draw(&mut svg, graph, &points, &across, &up);
        }
        _ => text(&mut svg, "soft", "start", 0.0, 24.0, "Nothing to draw yet."),
    }
    svg.push_str("</svg>");
    svg
}

fn draw(svg: &mut String, graph: &Graph, points: &[(f64, f64)], across: &Scale, up: &Scale) {
    for tick in &up.ticks {
        let y = up.at(*tick);
        line(svg, "tick", (LEFT, y), (WIDTH - RIGHT, y));
        text(
            svg,
            "soft",
            "end",
            LEFT - 7.0,
            y + 4.5,
            &graph.y.text(*tick),
        );
    }
    let ground = HEIGHT - BOTTOM;
    for tick in &across.ticks {
        let x = across.at(*tick);
        line(svg, "rail", (x, ground), (x, ground + 5.0));
        // The last figure stays inside the picture.
        let words = graph.x.text(*tick);
        let half = width_of(&words) / 2.0;
        let x = x.min(WIDTH - half);
        text(svg, "soft", "middle", x, ground + 19.0, &words);
    }
    line(svg, "rail", (LEFT, ground), (WIDTH - RIGHT, ground));
    text(svg, "soft name", "start", 0.0, 13.0, &graph.y.name);
    let end = WIDTH - RIGHT;
    text(svg, "soft name", "end", end, HEIGHT - 6.0, &graph.x.name);
    let mut path = String::new();
    for (at, (x, y)) in points.iter().enumerate() {
        let sign = if at == 0 { 'M' } else { 'L' };
        let _ = write!(path, "{sign}{:.1} {:.1}", across.at(*x), up.at(*y));
    }
    let _ = writeln!(svg, "<path class=\"curve\" d=\"{path}\"/>");
    for mark in graph.marked() {
        draw_mark(svg, mark, across, up);
    }
}

/// A dot, led to both axes, with its words on the side that has room.
fn draw_mark(svg: &mut String, mark: &Mark, across: &Scale, up: &Scale) {
    let (x, y) = (across.at(mark.x), up.at(mark.y));
    let ground = HEIGHT - BOTTOM;
    line(svg, "leader", (LEFT, y), (x, y));
    line(svg, "leader", (x, y), (x, ground));
    let _ = writeln!(
        svg,
        "<circle class=\"end\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4.5\"/>"
    );
    let right = WIDTH - RIGHT - x - 9.0;
    let left = x - LEFT - 9.0;
    let (anchor, at, room) = match left > right {
        true => ("end", x - 9.0, left),
        false => ("start", x + 9.0, right),
    };
    let lines = wrap(&mark.words, room, room);
    let above = y - 8.0 - LINE * (lines.len().saturating_sub(1)) as f64;
    let top = if above < TOP { y + 18.0 } else { above };
    for (number, words) in lines.iter().enumerate() {
        text(svg, "own", anchor, at, top + LINE * number as f64, words);
    }
}

fn line(svg: &mut String, class: &str, from: (f64, f64), to: (f64, f64)) {
    let _ = writeln!(
        svg,
        "<line class=\"{class}\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\"/>",
        from.0, from.1, to.0, to.1
    );
}

fn text(svg: &mut String, class: &str, anchor: &str, x: f64, y: f64, words: &str) {
    let _ = writeln!(
        svg,
        "<text class=\"{class}\" x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\">{}</text>",
        escape(words)
    );
}
