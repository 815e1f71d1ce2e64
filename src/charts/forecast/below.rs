//! What stands under the forecast: numbers of what was added, dates, the strip of temperatures.

use std::fmt::Write as _;

use super::super::drawing::{Scale, line, text, through};
use super::super::words::width_of;
use super::picture::{LEFT, RIGHT, WIDTH};
use super::{Flag, Tick};

/// Between words of one row.
const GAP: f64 = 5.0;

/// One figure of the temperature.
pub(super) fn degrees(value: f64) -> String {
    let text = format!("{:.1}", value.abs());
    let text = text.trim_end_matches('0').trim_end_matches('.');
    match value < 0.0 && text != "0" {
        true => format!("−{text}"),
        false => text.to_owned(),
    }
}

/// Neighbours among what was added whose numbers would run into each other: one label for them.
pub(super) struct Group {
    first: usize,
    last: usize,
    from: f64,
    to: f64,
}

impl Group {
    fn words(&self) -> String {
        match self.first == self.last {
            true => format!("{}", self.first + 1),
            false => format!("{}–{}", self.first + 1, self.last + 1),
        }
    }

    /// Left and right of its words.
    fn place(&self) -> (f64, f64) {
        let width = width_of(&self.words());
        let left = ((self.from + self.to - width) / 2.0).clamp(LEFT - 10.0, WIDTH - width);
        (left, left + width)
    }
}

/// Flags in order of time, put together until none of their numbers overlap.
pub(super) fn grouped(places: &[f64]) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (at, x) in places.iter().enumerate() {
        groups.push(Group {
            first: at,
            last: at,
            from: *x,
            to: *x,
        });
        while let [.., a, b] = groups.as_slice()
            && a.place().1 + GAP > b.place().0
        {
            let joined = Group {
                first: a.first,
                last: b.last,
                from: a.from,
                to: b.to,
            };
            groups.truncate(groups.len() - 2);
            groups.push(joined);
        }
    }
    groups
}

/// A little flag at each place on the ground, its number under it.
pub(super) fn draw_flags(svg: &mut String, flags: &[&Flag], across: &Scale, ground: f64) {
    let shown = |hours: &f64| (across.low..=across.high).contains(hours);
    let places: Vec<f64> = flags
        .iter()
        .map(|flag| flag.hours.clamp(across.low, across.high))
        .map(|hours| across.at(hours))
        .collect();
    for (flag, x) in flags.iter().zip(&places) {
        if shown(&flag.hours) {
            let _ = writeln!(
                svg,
                "<path class=\"flag\" d=\"M{x:.1} {ground:.1}l-4 7h8z\"/>"
            );
        }
    }
    for group in grouped(&places) {
        let words = group.words();
        text(svg, "own", "start", group.place().0, ground + 20.0, &words);
    }
}

/// Dates under their places: every one, or every second, or third …, so that none runs into another.
pub(super) fn draw_dates(svg: &mut String, ticks: &[Tick], across: &Scale, ground: f64, y: f64) {
    let within = |tick: &&Tick| (across.low..=across.high).contains(&tick.hours);
    let ticks: Vec<&Tick> = ticks.iter().filter(within).collect();
    let place = |tick: &Tick| {
        let width = width_of(&tick.words);
        let left = (across.at(tick.hours) - width / 2.0).min(WIDTH - width);
        (left.max(0.0), left.max(0.0) + width)
    };
    let fits = |step: &usize| {
        let shown: Vec<(f64, f64)> = ticks
            .iter()
            .step_by(*step)
            .map(|tick| place(tick))
            .collect();
        shown.windows(2).all(|pair| pair[0].1 + GAP <= pair[1].0)
    };
    let step = (1..=ticks.len()).find(fits).unwrap_or(1);
    for tick in ticks.into_iter().step_by(step) {
        let x = across.at(tick.hours);
        line(svg, "rail", (x, ground), (x, ground + 5.0));
        text(svg, "soft", "start", place(tick).0, y, &tick.words);
    }
}

/// The strip: the name, two figures, the line. Takes the space from `top` on; answers how high it is.
pub(super) fn draw_strip(
    svg: &mut String,
    name: &str,
    points: &[(f64, f64)],
    across: &Scale,
    top: f64,
) {
    const HEIGHT: f64 = 34.0;
    let within = |point: &&(f64, f64)| (across.low..=across.high).contains(&point.0);
    let shown: Vec<(f64, f64)> = points.iter().filter(within).copied().collect();
    text(svg, "soft name", "start", 0.0, top + 14.0, name);
    let (upper, lower) = (top + 30.0, top + 30.0 + HEIGHT);
    let Some(up) = Scale::of(shown.iter().map(|point| point.1), lower, upper, true) else {
        return;
    };
    for (value, y) in [(up.high, upper), (up.low, lower)] {
        line(svg, "tick", (LEFT, y), (WIDTH - RIGHT, y));
        text(svg, "soft", "end", LEFT - 7.0, y + 4.5, &degrees(value));
    }
    let places = shown
        .iter()
        .map(|(hours, value)| (across.at(*hours), up.at(*value)));
    let path = through(places);
    let _ = writeln!(svg, "<path class=\"warmth\" d=\"{path}\"/>");
}

/// How much space the strip takes.
pub(super) const STRIP_HEIGHT: f64 = 74.0;
