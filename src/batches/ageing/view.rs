//! The curve of likings by age, with its table.

use std::collections::BTreeMap;

use askama::Template;
use askama::filters::HtmlSafe;

use super::store::Liked;
use crate::charts::graph::{Axis, Graph, Mark, render};
use crate::web::units;

/// One line of the table: age, liking, how many tastings.
type Row = [String; 3];

/// The section of a page.
#[derive(Template)]
#[template(path = "batches/_ageing.html")]
pub struct AgeingPart {
    lead: String,
    /// Empty where one age alone is known.
    chart_svg: String,
    rows: Vec<Row>,
}

/// A template has escaped what it printed.
impl HtmlSafe for AgeingPart {}

/// The mean of one month.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Mean {
    month: u32,
    liking: f64,
    tastings: usize,
}

/// Means by the month in which it was tasted, the youngest first.
fn means(liked: &[Liked]) -> Vec<Mean> {
    let mut months: BTreeMap<u32, Vec<i32>> = BTreeMap::new();
    for one in liked.iter().filter(|one| one.months.is_finite()) {
        let month = one.months.round().clamp(0.0, 1e4) as u32;
        months.entry(month).or_default().push(one.liking);
    }
    months
        .into_iter()
        .map(|(month, likings)| Mean {
            month,
            liking: likings.iter().map(|liking| f64::from(*liking)).sum::<f64>()
                / likings.len() as f64,
            tastings: likings.len(),
        })
        .collect()
}

fn months(count: u32) -> String {
    match count {
        1 => "1 month".to_owned(),
        many => format!("{many} months"),
    }
}

impl AgeingPart {
    /// Of tastings; `whose` says of what. `None` where nothing was tasted yet.
    pub fn of(liked: &[Liked], whose: &str) -> Option<AgeingPart> {
        let means = means(liked);
        // Of equals the youngest: nobody waits for nothing.
        let best = means.iter().rev().max_by(|one, other| {
            one.liking
                .total_cmp(&other.liking)
                .then(other.month.cmp(&one.month))
        })?;
        let tastings: usize = means.iter().map(|mean| mean.tastings).sum();
        let alone = match best.tastings == 1 && tastings > 1 {
            true => " One tasting alone says so.",
            false => "",
        };
        let tastings = match tastings {
            1 => "1 tasting".to_owned(),
            many => format!("{many} tastings"),
        };
        let liking = units::plain(best.liking, 1);
        let lead = format!(
            "{tastings} {whose}. Liked most at {}: {liking} of 9.{alone}",
            months(best.month)
        );
        let chart_svg = match means.as_slice() {
            [_, _, ..] => render(&graph(&means, best, &lead)),
            _ => String::new(),
        };
        Some(AgeingPart {
            lead,
            chart_svg,
            rows: means.iter().map(row).collect(),
        })
    }
}

fn graph(means: &[Mean], best: &Mean, lead: &str) -> Graph {
    let place = |mean: &Mean| (f64::from(mean.month), mean.liking);
    let (x, y) = place(best);
    Graph {
        prefix: "ageing".to_owned(),
        title: "How much it is liked, by its age".to_owned(),
        description: lead.to_owned(),
        x: Axis::new("age, months", 0),
        y: Axis::new("liking, 1 to 9", 1),
        points: means.iter().map(place).collect(),
        marks: vec![Mark {
            x,
            y,
            words: format!("{} at {}", units::plain(best.liking, 1), months(best.month)),
        }],
    }
}

fn row(mean: &Mean) -> Row {
    [
        months(mean.month),
        units::fixed(mean.liking, 1),
        mean.tastings.to_string(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn liked(months: f64, liking: i32) -> Liked {
        Liked { months, liking }
    }

    #[test]
    fn tastings_of_one_month_are_one_point_and_the_youngest_of_the_best_is_named() {
        let all = [liked(2.9, 5), liked(3.2, 7), liked(8.0, 9), liked(14.0, 9)];
        let found = means(&all);
        assert_eq!(found.len(), 3);
        assert_eq!(
            (found[0].month, found[0].liking, found[0].tastings),
            (3, 6.0, 2)
        );
        let part = AgeingPart::of(&all, "of this recipe").unwrap();
        assert_eq!(
            part.lead,
            "4 tastings of this recipe. Liked most at 8 months: 9 of 9. One tasting alone says so."
        );
        let more = [&all[..], &[liked(8.2, 9)]].concat();
        let sure = AgeingPart::of(&more, "of this recipe").unwrap();
        assert!(sure.lead.ends_with("9 of 9."), "{}", sure.lead);
        assert!(part.chart_svg.contains("<svg"), "{}", part.chart_svg);
        assert_eq!(part.rows[0], ["3 months", "6.0", "2"]);
    }

    #[test]
    fn one_age_is_a_line_of_a_table_and_no_picture() {
        assert!(AgeingPart::of(&[], "of this batch").is_none());
        let part = AgeingPart::of(&[liked(1.0, 3)], "of this batch").unwrap();
        assert_eq!(part.chart_svg, "");
        assert_eq!(
            part.lead,
            "1 tasting of this batch. Liked most at 1 month: 3 of 9."
        );
    }
}
