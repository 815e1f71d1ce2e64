//! The forecast drawn: gravity upwards, days from left to right, and what stands below.

use std::fmt::Write as _;

use super::super::drawing::{Scale, line, open, text, through};
use super::super::words::width_of;
use super::below::{STRIP_HEIGHT, draw_dates, draw_flags, draw_strip};
use super::{Forecast, Range, sg_text};

pub(super) const WIDTH: f64 = 340.0;
pub(super) const LEFT: f64 = 50.0;
pub(super) const RIGHT: f64 = 12.0;
const TOP: f64 = 41.0;
const GROUND: f64 = 236.0;
/// Baselines under the ground: of numbers 20, of dates.
const DATES: f64 = 38.0;
/// One row of the key.
const ROW: f64 = 20.0;

/// The forecast as an SVG element: classes only, titled and described, safe to place into a page as it is.
pub fn render(forecast: &Forecast) -> String {
    let strip = forecast.drawn_strip();
    let strip_height = if strip.is_empty() { 0.0 } else { STRIP_HEIGHT };
    let key = key_of(forecast);
    let key_top = GROUND + DATES + 12.0 + strip_height;
    let height = key_top + ROW * key.len() as f64;
    let values: Vec<f64> = (forecast.drawn_band().iter())
        .flat_map(|range| [range.low, range.high])
        .chain(forecast.drawn_plan().iter().map(|point| point.1))
        .chain(forecast.drawn_readings().iter().map(|one| one.sg))
        .collect();
    let up = Scale::of(values.iter().copied(), GROUND, TOP, true);
    let across = forecast
        .span()
        .and_then(|(first, last)| Scale::of([first, last].into_iter(), LEFT, WIDTH - RIGHT, false));
    let size = match up.is_some() && across.is_some() {
        true => (WIDTH, height),
        false => (WIDTH, 40.0),
    };
    let mut svg = open(
        "graph forecast",
        size,
        &forecast.prefix,
        &forecast.title,
        &forecast.description,
    );
    match (across, up) {
        (Some(across), Some(up)) => {
            draw(&mut svg, forecast, &across, &up);
            if let Some(name) = forecast.temperature.as_ref().map(|strip| &strip.name)
                && !strip.is_empty()
            {
                draw_strip(&mut svg, name, &strip, &across, GROUND + DATES + 6.0);
            }
            draw_key(&mut svg, &key, key_top);
        }
        _ => text(&mut svg, "soft", "start", 0.0, 24.0, "Nothing to draw yet."),
    }
    svg.push_str("</svg>");
    svg
}

fn draw(svg: &mut String, forecast: &Forecast, across: &Scale, up: &Scale) {
    let end = WIDTH - RIGHT;
    for tick in &up.ticks {
        let y = up.at(*tick);
        line(svg, "tick", (LEFT, y), (end, y));
        text(svg, "soft", "end", LEFT - 7.0, y + 4.5, &sg_text(*tick));
    }
    line(svg, "rail", (LEFT, GROUND), (end, GROUND));
    text(svg, "soft name", "start", 0.0, 13.0, "gravity");
    let at = |(hours, sg): (f64, f64)| (across.at(hours), up.at(sg));
    let band = forecast.drawn_band();
    if band.len() > 1 {
        let edge = |of: fn(&Range) -> f64| band.iter().map(move |range| (range.hours, of(range)));
        let around = edge(|range| range.high).chain(edge(|range| range.low).rev());
        let _ = writeln!(
            svg,
            "<path class=\"expected\" d=\"{}Z\"/>",
            through(around.map(at))
        );
    }
    let plan = forecast.drawn_plan();
    if plan.len() > 1 {
        let path = through(plan.into_iter().map(at));
        let _ = writeln!(svg, "<path class=\"planned\" d=\"{path}\"/>");
    }
    if band.len() > 1 {
        let path = through(band.iter().map(|range| at((range.hours, range.best))));
        let _ = writeln!(svg, "<path class=\"curve\" d=\"{path}\"/>");
    }
    if let Some(now) = forecast.drawn_now() {
        let x = across.at(now.hours);
        line(svg, "now", (x, TOP - 6.0), (x, GROUND));
        let half = width_of(&now.words) / 2.0;
        let middle = x.min(WIDTH - half).max(half);
        text(svg, "own", "middle", middle, TOP - 12.0, &now.words);
    }
    for one in forecast.drawn_readings() {
        let (x, y) = at((one.hours, one.sg));
        let _ = writeln!(
            svg,
            "<circle class=\"reading\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3.5\"/>"
        );
    }
    draw_flags(svg, &forecast.drawn_flags(), across, GROUND);
    draw_dates(svg, &forecast.ticks, across, GROUND, GROUND + DATES);
}

/// What a sample in the key looks like.
#[derive(Clone, Copy)]
enum Sample {
    Dot,
    Line,
    Band,
    Dashes,
    Flag,
}

/// The key in rows, as many as it needs: only what is in the picture.
fn key_of(forecast: &Forecast) -> Vec<Vec<(Sample, &'static str, f64)>> {
    let band = forecast.drawn_band().len() > 1;
    let added = !forecast.drawn_flags().is_empty();
    let entries = [
        (!forecast.drawn_readings().is_empty(), Sample::Dot, "read"),
        (band, Sample::Line, "expected"),
        (band, Sample::Band, "nine times in ten"),
        (forecast.drawn_plan().len() > 1, Sample::Dashes, "the plan"),
        (added, Sample::Flag, "added"),
    ];
    let mut rows: Vec<Vec<(Sample, &str, f64)>> = Vec::new();
    let mut x = WIDTH;
    for (_, sample, words) in entries.into_iter().filter(|entry| entry.0) {
        let width = 30.0 + width_of(words);
        if x + width > WIDTH {
            rows.push(Vec::new());
            x = 0.0;
        }
        if let Some(row) = rows.last_mut() {
            row.push((sample, words, x));
        }
        x += width + 14.0;
    }
    rows
}

fn draw_key(svg: &mut String, key: &[Vec<(Sample, &str, f64)>], top: f64) {
    for (number, row) in key.iter().enumerate() {
        let y = top + ROW * number as f64 + ROW / 2.0;
        for (sample, words, x) in row {
            let (from, to) = ((*x, y), (x + 22.0, y));
            match sample {
                Sample::Dot => {
                    let middle = x + 11.0;
                    let _ = writeln!(
                        svg,
                        "<circle class=\"reading\" cx=\"{middle:.1}\" cy=\"{y:.1}\" r=\"3.5\"/>"
                    );
                }
                Sample::Flag => {
                    let middle = x + 11.0;
                    let top = y - 3.5;
                    let _ = writeln!(
                        svg,
                        "<path class=\"flag\" d=\"M{middle:.1} {top:.1}l-4 7h8z\"/>"
                    );
                }
                Sample::Line => line(svg, "curve", from, to),
                Sample::Dashes => line(svg, "planned", from, to),
                Sample::Band => {
                    let _ = writeln!(
                        svg,
                        "<rect class=\"expected\" x=\"{x:.1}\" y=\"{:.1}\" width=\"22\" height=\"12\"/>",
                        y - 6.0
                    );
                }
            }
            text(svg, "soft", "start", x + 30.0, y + 4.5, words);
        }
    }
}
