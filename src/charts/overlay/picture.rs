//! The fermentations drawn: each with its own dashes and marks, its name at the end of its line.

use std::fmt::Write as _;

use super::super::drawing::{Scale, line, open, text, through};
use super::super::forecast::sg_text;
use super::super::spacing::settle;
use super::super::words::{width_of, wrap};
use super::{Overlay, Series};

const WIDTH: f64 = 340.0;
const LEFT: f64 = 50.0;
const TOP: f64 = 30.0;
const LEAST_HEIGHT: f64 = 206.0;
const BOTTOM: f64 = 46.0;
const LINE: f64 = 16.0;
const GAP: f64 = 4.0;
/// The widest that names may be, the sample of the line before each, and what lies before that.
const NAMES: f64 = 88.0;
const SAMPLE: f64 = 22.0;
const AIR: f64 = 10.0;
/// By how much bold words are wider.
const BOLD: f64 = 1.1;
/// Kinds of dashes and of marks before they begin again.
const KINDS: usize = 6;
const MARKS: usize = 5;

/// The picture as an SVG element: classes only, titled and described, safe to place into a page as it is.
pub fn render(overlay: &Overlay) -> String {
    let names: Vec<Vec<String>> = overlay
        .drawn()
        .map(|series| wrap(&series.words, NAMES / BOLD, NAMES / BOLD))
        .collect();
    let widest = names
        .iter()
        .flatten()
        .map(|line| width_of(line) * BOLD)
        .fold(0.0, f64::max);
    let end = WIDTH - widest.min(NAMES) - SAMPLE - 4.0 - AIR;
    let heights: Vec<f64> = names
        .iter()
        .map(|lines| lines.len().max(1) as f64 * LINE)
        .collect();
    let needed: f64 = heights.iter().map(|height| height + GAP).sum();
    let ground = TOP + LEAST_HEIGHT.max(needed);
    let points: Vec<(f64, f64)> = overlay
        .drawn()
        .flat_map(|series| {
            series
                .drawn_line()
                .into_iter()
                .chain(series.drawn_readings())
        })
        .collect();
    let across = Scale::of(points.iter().map(|point| point.0), LEFT, end, false);
    let up = Scale::of(points.iter().map(|point| point.1), ground, TOP, true);
    let height = match points.is_empty() {
        true => 40.0,
        false => ground + BOTTOM,
    };
    let mut svg = open(
        "graph overlay",
        (WIDTH, height),
        &overlay.prefix,
        &overlay.title,
        &overlay.description,
    );
    match (across, up) {
        (Some(across), Some(up)) => {
            draw_axes(&mut svg, overlay, &across, &up, (end, ground));
            let ends: Vec<(f64, f64)> = overlay
                .drawn()
                .enumerate()
                .map(|(number, series)| draw_series(&mut svg, number, series, &across, &up))
                .collect();
            draw_names(&mut svg, &names, &heights, &ends, (end + AIR, ground));
        }
        _ => text(&mut svg, "soft", "start", 0.0, 24.0, "Nothing to draw yet."),
    }
    svg.push_str("</svg>");
    svg
}

fn draw_axes(
    svg: &mut String,
    overlay: &Overlay,
    across: &Scale,
    up: &Scale,
    (end, ground): (f64, f64),
) {
    for tick in &up.ticks {
        let y = up.at(*tick);
        line(svg, "tick", (LEFT, y), (end, y));
        text(svg, "soft", "end", LEFT - 7.0, y + 4.5, &sg_text(*tick));
    }
    line(svg, "rail", (LEFT, ground), (end, ground));
    // Whole days only.
    for tick in across
        .ticks
        .iter()
        .filter(|tick| (*tick - tick.round()).abs() < 1e-6)
    {
        let x = across.at(*tick);
        line(svg, "rail", (x, ground), (x, ground + 5.0));
        text(
            svg,
            "soft",
            "middle",
            x,
            ground + 19.0,
            &format!("{}", tick.round() as i64),
        );
    }
    text(svg, "soft name", "start", 0.0, 13.0, "gravity");
    text(
        svg,
        "soft name",
        "start",
        LEFT,
        ground + 38.0,
        &overlay.axis,
    );
}

/// Draws the line and its marks; answers where it ends.
fn draw_series(
    svg: &mut String,
    number: usize,
    series: &Series,
    across: &Scale,
    up: &Scale,
) -> (f64, f64) {
    let at = |(days, sg): (f64, f64)| (across.at(days), up.at(sg));
    let places: Vec<(f64, f64)> = series.drawn_line().into_iter().map(at).collect();
    if places.len() > 1 {
        let path = through(places.iter().copied());
        let kind = number % KINDS + 1;
        let _ = writeln!(svg, "<path class=\"line-{kind}\" d=\"{path}\"/>");
    }
    let mut before: Option<(f64, f64)> = None;
    for place in series.drawn_readings().into_iter().map(at) {
        let crowded = before.is_some_and(|(x, y)| (place.0 - x).hypot(place.1 - y) < 3.0);
        if !crowded {
            draw_mark(svg, number % MARKS, place);
            before = Some(place);
        }
    }
    places.last().copied().unwrap_or((LEFT, TOP))
}

/// A mark whose shape tells whose it is.
fn draw_mark(svg: &mut String, kind: usize, (x, y): (f64, f64)) {
    let shape = match kind {
        0 => "m-3.5 0a3.5 3.5 0 1 0 7 0a3.5 3.5 0 1 0 -7 0z",
        1 => "m-3.2 -3.2h6.4v6.4h-6.4z",
        2 => "m0 -4.2l4 7h-8z",
        3 => "m0 -4.5l4.5 4.5l-4.5 4.5l-4.5 -4.5z",
        _ => "m0 4.2l-4 -7h8z",
    };
    let _ = writeln!(svg, "<path class=\"read\" d=\"M{x:.1} {y:.1}{shape}\"/>");
}

/// Names beside the ends of their lines, moved apart where they would overlap and led to them.
fn draw_names(
    svg: &mut String,
    names: &[Vec<String>],
    heights: &[f64],
    ends: &[(f64, f64)],
    (left, ground): (f64, f64),
) {
    let mut order: Vec<usize> = (0..ends.len()).collect();
    order.sort_by(|a, b| ends[*a].1.total_cmp(&ends[*b].1));
    let sorted: Vec<f64> = order.iter().map(|at| heights[*at]).collect();
    let wanted: Vec<f64> = order.iter().map(|at| ends[*at].1 - LINE / 2.0).collect();
    let tops = settle(
        &sorted,
        &wanted,
        GAP,
        (TOP - LINE / 2.0, ground + LINE / 2.0),
    );
    for (at, top) in order.into_iter().zip(tops) {
        let middle = top + LINE / 2.0;
        line(svg, "leader", ends[at], (left - 2.0, middle));
        let kind = at % KINDS + 1;
        line(
            svg,
            &format!("line-{kind}"),
            (left, middle),
            (left + SAMPLE, middle),
        );
        draw_mark(svg, at % MARKS, (left + SAMPLE / 2.0, middle));
        let left = left + SAMPLE + 4.0;
        for (number, words) in names[at].iter().enumerate() {
            text(
                svg,
                "own",
                "start",
                left,
                top + 12.5 + LINE * number as f64,
                words,
            );
        }
    }
}
