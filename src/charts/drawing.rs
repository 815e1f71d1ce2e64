//! What pictures on two axes are drawn from: scales with round figures, lines, words.

use std::fmt::Write as _;

use super::words::escape;

/// Steps between figures on an axis at most.
const STEPS: f64 = 6.0;

/// One axis: from where to where in the picture, and the round figures on it.
pub(super) struct Scale {
    pub low: f64,
    pub high: f64,
    from: f64,
    to: f64,
    pub ticks: Vec<f64>,
}

impl Scale {
    /// Over these values; `rounded`: from one round figure to another.
    pub fn of(
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

    pub fn at(&self, value: f64) -> f64 {
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

/// The beginning of a picture: classes only, titled and described.
pub(super) fn open(
    class: &str,
    (width, height): (f64, f64),
    prefix: &str,
    title: &str,
    description: &str,
) -> String {
    let allowed = |c: &char| c.is_ascii_alphanumeric() || *c == '-';
    let prefix: String = prefix.chars().filter(allowed).collect();
    format!(
        "<svg class=\"{class}\" viewBox=\"0 0 {width} {height}\" role=\"img\" aria-labelledby=\"{prefix}-title {prefix}-desc\">\
         <title id=\"{prefix}-title\">{}</title><desc id=\"{prefix}-desc\">{}</desc>\n",
        escape(title),
        escape(description)
    )
}

/// A line through places of the picture, as the data of a path.
pub(super) fn through(places: impl Iterator<Item = (f64, f64)>) -> String {
    let mut path = String::new();
    for (at, (x, y)) in places.enumerate() {
        let sign = if at == 0 { 'M' } else { 'L' };
        let _ = write!(path, "{sign}{x:.1} {y:.1}");
    }
    path
}

/// A straight line.
pub(super) fn line(svg: &mut String, class: &str, from: (f64, f64), to: (f64, f64)) {
    let _ = writeln!(
        svg,
        "<line class=\"{class}\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\"/>",
        from.0, from.1, to.0, to.1
    );
}

/// Words from, around or up to a place.
pub(super) fn text(svg: &mut String, class: &str, anchor: &str, x: f64, y: f64, words: &str) {
    let _ = writeln!(
        svg,
        "<text class=\"{class}\" x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\">{}</text>",
        escape(words)
    );
}
