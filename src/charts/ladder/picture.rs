//! The ladder drawn: rail, marks and their words, which never overlap, bands and ticks.

use std::fmt::Write as _;

use super::super::spacing::settle;
use super::super::words::{escape, width_of, wrap};
use super::{Ladder, Mark, MarkKind, drawable, drawable_bands, is_gravity, sg_text};

const WIDTH: f64 = 296.0;
const NUMERAL_X: f64 = 52.0;
const BAND_X: f64 = 59.5;
const RAIL_X: f64 = 72.0;
const MARK_END_X: f64 = 86.0;
const WORDS_X: f64 = 100.0;
const TOP: f64 = 14.0;
const LINE: f64 = 16.0;
/// With a line it is a target that a finger hits, also in a picture on a narrow phone.
const GAP: f64 = 9.0;
/// From the top of a line to its baseline, and to the middle of its figures.
const BASELINE: f64 = 12.0;
const MIDDLE: f64 = 7.5;

/// A mark's words in lines, and where they stand.
struct Label<'a> {
    mark: &'a Mark,
    lines: Vec<(String, bool)>,
    top: f64,
}

impl Label<'_> {
    fn height(&self) -> f64 {
        self.lines.len() as f64 * LINE
    }
}

fn label(mark: &Mark) -> Label<'_> {
    let room = WIDTH - WORDS_X;
    let value = width_of(&format!("{} ", sg_text(mark.sg))) * 1.1;
    let soft = mark.kind == MarkKind::Read;
    let mut lines: Vec<(String, bool)> = wrap(&mark.words, room - value, room)
        .into_iter()
        .map(|line| (line, soft))
        .collect();
    if lines.is_empty() {
        lines.push((String::new(), soft));
    }
    if let Some(more) = &mark.more {
        lines.extend(wrap(more, room, room).into_iter().map(|line| (line, true)));
    }
    Label {
        mark,
        lines,
        top: 0.0,
    }
}

/// A step between ticks that leaves four to nine of them.
fn tick_step(range: f64) -> f64 {
    [0.005, 0.010, 0.020, 0.050, 0.100]
        .into_iter()
        .find(|step| range / step <= 9.0)
        .unwrap_or(0.200)
}

/// Where a gravity stands in the picture.
struct Scale {
    low: f64,
    high: f64,
    height: f64,
}

impl Scale {
    fn y(&self, sg: f64) -> f64 {
        TOP + (self.high - sg) / (self.high - self.low) * self.height
    }

    fn bottom(&self) -> f64 {
        TOP + self.height
    }

    fn shows(&self, sg: f64) -> bool {
        (self.low..=self.high).contains(&sg)
    }

    /// The range of all values with some air, at least 0.020 high; taller when the words need it.
    fn of(values: &[f64], words_height: f64) -> Option<Scale> {
        let high = values.iter().copied().reduce(f64::max)?;
        let low = values.iter().copied().reduce(f64::min)?;
        let short = (0.020 - (high - low)).max(0.0) / 2.0;
        let air = (high - low).max(0.020) * 0.05;
        let (low, high) = (low - short - air, high + short + air);
        let height = (150.0 + 2000.0 * (high - low))
            .clamp(240.0, 430.0)
            .max(words_height);
        Some(Scale { low, high, height })
    }
}

/// The ladder as an SVG element: classes only, `role="img"` (`group` where its marks lead somewhere), titled and described, safe to place into a page as it is.
pub fn render(ladder: &Ladder) -> String {
    let prefix: String = ladder
        .prefix
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || *c == '-')
        .collect();
    let prefix = if prefix.is_empty() {
        "ladder".to_owned()
    } else {
        prefix
    };
    let mut labels: Vec<Label<'_>> = drawable(ladder).into_iter().map(label).collect();
    let fall = match (ladder.og, ladder.fg) {
        (Some(og), Some(fg)) if is_gravity(og) && is_gravity(fg) => Some((og, fg)),
        _ => None,
    };
    let mut values: Vec<f64> = labels.iter().map(|label| label.mark.sg).collect();
    values.extend(fall.iter().flat_map(|&(og, fg)| [og, fg]));
    let words_height = labels.iter().map(|label| label.height() + GAP).sum::<f64>();
    let scale = Scale::of(&values, words_height);
    let height = scale.as_ref().map_or(40.0, |scale| scale.bottom() + 14.0);

    // A picture that leads somewhere is no plain image: what is inside an image cannot be reached.
    let role = match labels.iter().any(|label| label.mark.href.is_some()) {
        true => "group",
        false => "img",
    };
    let mut svg = format!(
        "<svg class=\"ladder\" viewBox=\"0 0 {WIDTH} {height:.1}\" role=\"{role}\" aria-labelledby=\"{prefix}-title {prefix}-desc\">\
         <title id=\"{prefix}-title\">{}</title><desc id=\"{prefix}-desc\">{}</desc>\n",
        escape(&ladder.title),
        escape(&ladder.description)
    );
    match scale {
        Some(scale) => draw(&mut svg, ladder, &scale, &mut labels, fall),
        None => text(&mut svg, "soft", 0.0, 24.0, "", "Nothing to draw yet."),
    }
    svg.push_str("</svg>");
    svg
}

fn draw(
    svg: &mut String,
    ladder: &Ladder,
    scale: &Scale,
    labels: &mut [Label<'_>],
    fall: Option<(f64, f64)>,
) {
    let taken = draw_bands(svg, ladder, scale);
    draw_ticks(svg, scale, &taken);
    line(
        svg,
        "rail",
        (RAIL_X, TOP - 8.0),
        (RAIL_X, scale.bottom() + 8.0),
    );
    if let Some((og, fg)) = fall {
        line(svg, "fall", (RAIL_X, scale.y(og)), (RAIL_X, scale.y(fg)));
    }
    let wanted: Vec<f64> = labels
        .iter()
        .map(|label| scale.y(label.mark.sg) - MIDDLE)
        .collect();
    let heights: Vec<f64> = labels.iter().map(Label::height).collect();
    let tops = settle(
        &heights,
        &wanted,
        GAP,
        (TOP - MIDDLE, scale.bottom() + LINE - MIDDLE),
    );
    for (label, top) in labels.iter_mut().zip(tops) {
        label.top = top;
    }
    for label in labels.iter() {
        let y = scale.y(label.mark.sg);
        let class = match label.mark.kind {
            MarkKind::Read => "mark read",
            MarkKind::YeastLimit => "mark limit",
            _ => "mark",
        };
        if label.mark.kind != MarkKind::Sweetened {
            line(svg, class, (RAIL_X - 8.0, y), (MARK_END_X, y));
        }
        let words_y = label.top + MIDDLE;
        if (words_y - y).abs() > 1.0 || label.mark.kind == MarkKind::Sweetened {
            line(svg, "leader", (MARK_END_X, y), (WORDS_X - 4.0, words_y));
        }
        if label.mark.kind == MarkKind::Sweetened {
            line(svg, "leader", (RAIL_X, y), (MARK_END_X, y));
            let _ = writeln!(
                svg,
                "<circle class=\"end\" cx=\"{RAIL_X}\" cy=\"{y:.1}\" r=\"6\"/>"
            );
        }
        if let Some(href) = &label.mark.href {
            let _ = writeln!(svg, "<a href=\"{}\">", escape(href));
        }
        for (number, (words, soft)) in label.lines.iter().enumerate() {
            let value = if number == 0 {
                sg_text(label.mark.sg)
            } else {
                String::new()
            };
            let class = if *soft { "soft" } else { "" };
            text(
                svg,
                class,
                WORDS_X,
                label.top + BASELINE + number as f64 * LINE,
                &value,
                words,
            );
        }
        if label.mark.href.is_some() {
            svg.push_str("</a>\n");
        }
    }
}

/// Draws the named stretches left of the rail; returns the heights where their words stand.
fn draw_bands(svg: &mut String, ladder: &Ladder, scale: &Scale) -> Vec<f64> {
    let mut taken: Vec<f64> = Vec::new();
    for (low, high, words) in drawable_bands(ladder) {
        if high <= scale.low || low >= scale.high {
            continue;
        }
        let (upper, lower) = (
            scale.y(high.min(scale.high)) + 1.5,
            scale.y(low.max(scale.low)) - 1.5,
        );
        if lower <= upper {
            continue;
        }
        line(svg, "band", (BAND_X, upper), (BAND_X, lower));
        let middle = (upper + lower) / 2.0;
        let lines = wrap(words, NUMERAL_X, NUMERAL_X);
        let top = middle - lines.len() as f64 * LINE / 2.0;
        let ys: Vec<f64> = (0..lines.len())
            .map(|n| top + MIDDLE + n as f64 * LINE)
            .collect();
        let crowded = ys
            .iter()
            .any(|y| taken.iter().any(|other| (other - y).abs() < LINE));
        if crowded || lower - upper < lines.len() as f64 * LINE - 4.0 {
            continue;
        }
        for (words, y) in lines.iter().zip(&ys) {
            text_end(svg, "soft name", y - MIDDLE + BASELINE, words);
        }
        taken.extend(ys);
    }
    taken
}

/// Draws the scale; a figure gives way to the words of a band.
fn draw_ticks(svg: &mut String, scale: &Scale, taken: &[f64]) {
    let step = tick_step(scale.high - scale.low);
    let first = (scale.low / step).ceil() as i64;
    let last = (scale.high / step).floor() as i64;
    for tick in (first..=last)
        .map(|n| n as f64 * step)
        .filter(|tick| scale.shows(*tick))
    {
        let y = scale.y(tick);
        line(svg, "tick", (RAIL_X - 6.0, y), (RAIL_X, y));
        if taken.iter().all(|other| (other - y).abs() >= LINE - 1.0) {
            text_end(svg, "soft", y - MIDDLE + BASELINE, &sg_text(tick));
        }
    }
}

fn line(svg: &mut String, class: &str, from: (f64, f64), to: (f64, f64)) {
    let _ = writeln!(
        svg,
        "<line class=\"{class}\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\"/>",
        from.0, from.1, to.0, to.1
    );
}

fn text(svg: &mut String, class: &str, x: f64, y: f64, value: &str, words: &str) {
    let class = if class.is_empty() {
        String::new()
    } else {
        format!(" class=\"{class}\"")
    };
    let value = if value.is_empty() {
        String::new()
    } else {
        format!("<tspan class=\"sg\">{value}</tspan> ")
    };
    let _ = writeln!(
        svg,
        "<text{class} x=\"{x:.1}\" y=\"{y:.1}\">{value}{}</text>",
        escape(words)
    );
}

fn text_end(svg: &mut String, class: &str, y: f64, words: &str) {
    let _ = writeln!(
        svg,
        "<text class=\"{class}\" x=\"{NUMERAL_X:.1}\" y=\"{y:.1}\" text-anchor=\"end\">{}</text>",
        escape(words)
    );
}
