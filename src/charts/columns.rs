//! How many of each: a bar for each step, its words to the left and its count at its end.

use std::fmt::Write as _;

use super::drawing::{line, open, text};
use super::words::width_of;

const WIDTH: f64 = 340.0;
const ROW: f64 = 22.0;
const TOP: f64 = 6.0;
const BAR: f64 = 14.0;
/// Room for the count at the end of the longest bar.
const COUNT: f64 = 40.0;

/// One step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    pub words: String,
    pub count: usize,
}

/// All that the picture shows. Words and counts stand in it as text, so that it needs no table beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// Begins every id in the picture; two of them on one page need two prefixes.
    pub prefix: String,
    pub title: String,
    /// The same in one sentence, for those who do not see the picture.
    pub description: String,
    pub columns: Vec<Column>,
}

/// As an SVG element: classes only, titled and described, safe to place into a page as it is.
pub fn render(columns: &Columns) -> String {
    let height = TOP * 2.0 + ROW * columns.columns.len() as f64;
    let mut svg = open(
        "graph",
        (WIDTH, height),
        &columns.prefix,
        &columns.title,
        &columns.description,
    );
    let words = columns.columns.iter().map(|one| width_of(&one.words));
    let left = words.fold(0.0, f64::max).min(WIDTH / 2.0) + 8.0;
    let most = columns.columns.iter().map(|one| one.count).max();
    let unit = (WIDTH - left - COUNT) / most.unwrap_or(0).max(1) as f64;
    for (at, one) in columns.columns.iter().enumerate() {
        let y = TOP + ROW * at as f64;
        let (base, long) = (y + BAR - 2.5, unit * one.count as f64);
        text(&mut svg, "soft", "end", left - 8.0, base, &one.words);
        if one.count > 0 {
            let _ = writeln!(
                svg,
                "<rect class=\"bar\" x=\"{left:.1}\" y=\"{y:.1}\" width=\"{long:.1}\" height=\"{BAR}\"/>"
            );
        }
        let count = one.count.to_string();
        text(&mut svg, "own", "start", left + long + 6.0, base, &count);
    }
    line(&mut svg, "rail", (left, TOP - 3.0), (left, height - TOP));
    svg.push_str("</svg>");
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(counts: &[usize]) -> String {
        let columns = counts.iter().enumerate().map(|(at, count)| Column {
            words: format!("{at} to <{}>", at + 1),
            count: *count,
        });
        render(&Columns {
            prefix: "totals".to_owned(),
            title: "Totals".to_owned(),
            description: "How many & where".to_owned(),
            columns: columns.collect(),
        })
    }

    #[test]
    fn bars_are_as_long_as_their_counts() {
        let svg = drawn(&[2, 0, 4]);
        let widths: Vec<f64> = svg
            .split("<rect ")
            .skip(1)
            .filter_map(|bar| {
                bar.split("width=\"")
                    .nth(1)?
                    .split('"')
                    .next()?
                    .parse()
                    .ok()
            })
            .collect();
        assert_eq!(widths.len(), 2, "nothing is drawn of nobody");
        assert!((widths[1] - 2.0 * widths[0]).abs() < 0.11, "{widths:?}");
        assert!(svg.contains("&lt;1&gt;") && svg.contains("How many &amp; where"));
    }

    #[test]
    fn nothing_at_all_is_a_picture_too() {
        assert!(drawn(&[]).ends_with("</svg>"));
        assert!(!drawn(&[0, 0]).contains("<rect"));
    }
}
