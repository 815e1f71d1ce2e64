//! The graph drawn: axes with round figures, the line, and marks led to both axes.

use std::fmt::Write as _;

use super::super::drawing::{Scale, line, open, text, through};
use super::super::words::{width_of, wrap};
use super::Graph;

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 250.0;
const LEFT: f64 = 50.0;
const RIGHT: f64 = 12.0;
const TOP: f64 = 30.0;
const BOTTOM: f64 = 46.0;
const LINE: f64 = 16.0;
/// Between a dot and its words.
const AIR: f64 = 9.0;

/// The graph as an SVG element: classes only, titled and described, safe to place into a page as it is.
pub fn render(graph: &Graph) -> String {
    let mut svg = open(
        "graph",
        (WIDTH, HEIGHT),
        &graph.prefix,
        &graph.title,
        &graph.description,
    );
    let points = graph.drawn();
    let all = || {
        let marks = graph.marked().map(|mark| (mark.x, mark.y));
        points.iter().copied().chain(marks).collect::<Vec<_>>()
    };
    let all = all();
    // A line that begins at its larger end runs that way: a gravity that falls.
    let falls = matches!(points.as_slice(), [first, .., last] if first.0 > last.0);
    let (from, to) = match falls {
        true => (WIDTH - RIGHT, LEFT),
        false => (LEFT, WIDTH - RIGHT),
    };
    let across = Scale::of(all.iter().map(|point| point.0), from, to, false);
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
    let drawn: Vec<(f64, f64)> = points
        .iter()
        .map(|(x, y)| (across.at(*x), up.at(*y)))
        .collect();
    let path = through(drawn.iter().copied());
    let _ = writeln!(svg, "<path class=\"curve\" d=\"{path}\"/>");
    for mark in graph.marked() {
        draw_mark(svg, &mark.words, (across.at(mark.x), up.at(mark.y)), &drawn);
    }
}

/// A dot, led to both axes, with its words where the line is not.
fn draw_mark(svg: &mut String, words: &str, (x, y): (f64, f64), drawn: &[(f64, f64)]) {
    let ground = HEIGHT - BOTTOM;
    line(svg, "leader", (LEFT, y), (x, y));
    line(svg, "leader", (x, y), (x, ground));
    let _ = writeln!(
        svg,
        "<circle class=\"end\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4.5\"/>"
    );
    let right = WIDTH - RIGHT - x - AIR;
    let left = x - LEFT - AIR;
    let widest = width_of(words) * 1.1;
    let (fits_right, fits_left) = (widest <= right, widest <= left);
    let upward = climbs(x, drawn);
    let low_enough = y - LINE - 8.0 > TOP;
    let high_enough = y + LINE + 8.0 < ground;
    // Beside a line that climbs there is room above to the left and below to the right; beside one that falls, the others.
    let (is_right, is_above) = match upward {
        true if low_enough && fits_left => (false, true),
        true if high_enough && fits_right => (true, false),
        false if low_enough && fits_right => (true, true),
        false if high_enough && fits_left => (false, false),
        _ => (right > left, low_enough),
    };
    let (anchor, at, room) = match is_right {
        true => ("start", x + AIR, right),
        false => ("end", x - AIR, left),
    };
    let lines = wrap(words, room, room);
    let top = match is_above {
        true => y - 8.0 - LINE * (lines.len().saturating_sub(1)) as f64,
        false => y + 19.0,
    };
    for (number, words) in lines.iter().enumerate() {
        text(svg, "own", anchor, at, top + LINE * number as f64, words);
    }
}

/// Whether the line goes up in the picture, from left to right, where it is nearest to `x`.
fn climbs(x: f64, drawn: &[(f64, f64)]) -> bool {
    let near = |pair: &&[(f64, f64)]| ((pair[0].0 + pair[1].0) / 2.0 - x).abs();
    let nearest = drawn.windows(2).min_by(|a, b| near(a).total_cmp(&near(b)));
    nearest.is_some_and(|pair| (pair[1].0 - pair[0].0) * (pair[1].1 - pair[0].1) < 0.0)
}
