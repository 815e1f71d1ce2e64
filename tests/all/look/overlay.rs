//! Several fermentations on one picture: told apart without colour, names that never overlap, the table of the same numbers.

use std::collections::HashSet;

use mustwright::charts::overlay::{Overlay, Series, render};
use proptest::prelude::*;
use scraper::{Html, Selector};

use super::pieces::assert_apart;

fn falling(words: &str, days: f64) -> Series {
    let at = |n: u32| days * f64::from(n) / 40.0;
    let sg = |day: f64| 0.996 + 0.1 * (-4.0 * day / days).exp();
    Series {
        words: words.to_owned(),
        line: (0..=40).map(|n| (at(n), sg(at(n)))).collect(),
        readings: (0..=4).map(|n| (at(10 * n), sg(at(10 * n)))).collect(),
    }
}

fn overlay(names: &[&str]) -> Overlay {
    Overlay {
        prefix: "o".to_owned(),
        title: "Three batches".to_owned(),
        description: "The second was the slowest.".to_owned(),
        axis: "days since the pitch".to_owned(),
        series: names
            .iter()
            .enumerate()
            .map(|(n, words)| falling(words, 12.0 + 3.0 * n as f64))
            .collect(),
    }
}

fn classes(svg: &str, css: &str) -> Vec<String> {
    let page = Html::parse_fragment(svg);
    page.select(&Selector::parse(css).expect("a selector"))
        .map(|found| found.value().attr("class").expect("a class").to_owned())
        .collect()
}

#[test]
fn each_has_its_own_dashes_and_its_name_beside_a_sample_of_them() {
    let names = ["Spring", "Autumn, the long one", "Cherry"];
    let svg = render(&overlay(&names));
    assert_apart(&svg);
    let lines = classes(&svg, "path[class^=line]");
    assert_eq!(lines.iter().collect::<HashSet<_>>().len(), 3, "{lines:?}");
    let samples = classes(&svg, "line[class^=line]");
    assert_eq!(
        samples.iter().collect::<HashSet<_>>(),
        lines.iter().collect::<HashSet<_>>()
    );
    assert_eq!(classes(&svg, "path.read").len(), 3 * 5 + 3);
    assert!(!svg.contains(" style=") && !svg.contains("fill="));
}

#[test]
fn every_kind_of_dash_is_in_the_stylesheet() {
    let css = include_str!("../../../static/app.css");
    let names = ["a", "b", "c", "d", "e", "f", "g"];
    let svg = render(&overlay(&names));
    let kinds: HashSet<String> = classes(&svg, "path[class^=line]").into_iter().collect();
    assert_eq!(kinds.len(), 6);
    for kind in kinds.iter().filter(|kind| *kind != "line-1") {
        assert!(
            css.contains(&format!(".overlay .{kind} {{ stroke-dasharray")),
            "{kind}"
        );
    }
}

#[test]
fn the_table_has_a_line_for_a_day_and_a_column_for_each() {
    let table = overlay(&["Spring", "Autumn"]).table();
    assert_eq!(table.head, ["days since the pitch", "Spring", "Autumn"]);
    assert_eq!(table.rows.first().expect("a row"), &["0", "1.096", "1.096"]);
    let last = table.rows.last().expect("a row");
    assert!(table.rows.len() <= 12);
    assert_eq!(last[0], "14");
    assert_eq!(last[1], "", "it has ended by then");
    assert!(
        last[2].starts_with("0.99") || last[2].starts_with("1.00"),
        "{last:?}"
    );
}

#[test]
fn readings_alone_are_joined() {
    let mut overlay = overlay(&["Spring"]);
    overlay.series[0].line.clear();
    assert_eq!(classes(&render(&overlay), "path[class^=line]").len(), 1);
    assert!(render(&Overlay::default()).contains("Nothing to draw yet."));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn names_stay_apart_however_many_and_long(
        names in prop::collection::vec("[a-zA-Z ]{1,30}", 1..14),
        days in prop::collection::vec(3.0..90.0_f64, 14),
    ) {
        let mut overlay = overlay(&names.iter().map(String::as_str).collect::<Vec<_>>());
        for (series, days) in overlay.series.iter_mut().zip(&days) {
            *series = falling(&series.words, *days);
        }
        assert_apart(&render(&overlay));
    }

    #[test]
    fn hostile_numbers_leave_a_sound_picture(
        line in prop::collection::vec((prop::num::f64::ANY, prop::num::f64::ANY), 0..9),
        readings in prop::collection::vec((prop_oneof![prop::num::f64::ANY, 0.0..50.0], prop_oneof![prop::num::f64::ANY, 0.9..1.2]), 0..9),
    ) {
        let mut overlay = overlay(&["<a>", "b"]);
        overlay.series[0].line = line;
        overlay.series[0].readings = readings;
        let svg = render(&overlay);
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf\"") && !svg.contains("<a>"));
        for row in overlay.table().rows {
            prop_assert_eq!(row.len(), overlay.table().head.len());
        }
    }
}
