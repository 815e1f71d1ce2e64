//! A line on two axes: safe words, no number that is none, the mark where it belongs, the table of the same numbers.

use mustwright::charts::graph::{Axis, Graph, Mark, render};
use proptest::prelude::*;
use scraper::{ElementRef, Html, Selector};

fn graph(points: Vec<(f64, f64)>) -> Graph {
    Graph {
        prefix: "a graph".to_owned(),
        title: "Pressure & warmth".to_owned(),
        description: "It <rises>.".to_owned(),
        x: Axis::new("warmth, °C", 0),
        y: Axis::new("pressure, bar", 2),
        points,
        marks: Vec::new(),
    }
}

fn rising() -> Graph {
    graph(
        (0..=40)
            .map(|n| (f64::from(n), 1.0 + f64::from(n) * 0.1))
            .collect(),
    )
}

fn select<'a>(html: &'a Html, css: &str) -> Vec<ElementRef<'a>> {
    html.select(&Selector::parse(css).expect("a selector"))
        .collect()
}

fn number(element: ElementRef<'_>, name: &str) -> f64 {
    let value = element.value().attr(name).expect("an attribute");
    value.parse().expect("a number")
}

#[test]
fn words_are_escaped_and_said_aloud() {
    let mut graph = rising();
    graph.marks = vec![Mark {
        x: 20.0,
        y: 3.0,
        words: "<here>".to_owned(),
    }];
    let svg = render(&graph);
    assert!(!svg.contains("<rises>") && !svg.contains("<here>"), "{svg}");
    let html = Html::parse_fragment(&svg);
    let picture = select(&html, "svg")[0];
    assert_eq!(picture.value().attr("role"), Some("img"));
    let named: Vec<&str> = picture
        .value()
        .attr("aria-labelledby")
        .expect("a name")
        .split(' ')
        .collect();
    for (id, words) in named.iter().zip(["Pressure & warmth", "It <rises>."]) {
        let found = select(&html, &format!("[id='{id}']"));
        assert_eq!(found[0].text().collect::<String>(), words);
    }
    assert!(!svg.contains(" style="), "{svg}");
}

#[test]
fn the_line_rises_and_the_mark_lies_on_it() {
    let mut graph = rising();
    graph.marks = vec![Mark {
        x: 20.0,
        y: 3.0,
        words: "here".to_owned(),
    }];
    let svg = render(&graph);
    let html = Html::parse_fragment(&svg);
    let path = select(&html, "path.curve")[0]
        .value()
        .attr("d")
        .expect("a path");
    let places: Vec<(f64, f64)> = path
        .split(['M', 'L'])
        .filter_map(|place| place.split_once(' '))
        .map(|(x, y)| (x.parse().expect("x"), y.parse().expect("y")))
        .collect();
    assert_eq!(places.len(), 41);
    assert!(
        places
            .windows(2)
            .all(|pair| pair[1].0 > pair[0].0 && pair[1].1 < pair[0].1)
    );
    let dot = select(&html, "circle.end")[0];
    assert_eq!((number(dot, "cx"), number(dot, "cy")), places[20]);
    // From its larger end a line runs from left to right as well.
    let mut falling = rising();
    falling.points.reverse();
    let svg = render(&falling);
    let first = svg
        .split("d=\"M")
        .nth(1)
        .and_then(|rest| rest.split(' ').next());
    let first: f64 = first.expect("a place").parse().expect("a number");
    assert_eq!(first, places[0].0);
}

#[test]
fn the_table_has_both_ends_and_few_lines() {
    let rows = rising().rows();
    assert_eq!(rows.first(), Some(&["0".to_owned(), "1.00".to_owned()]));
    assert_eq!(rows.last(), Some(&["40".to_owned(), "5.00".to_owned()]));
    assert_eq!(rows.len(), 11);
    assert_eq!(
        graph(vec![(-2.0, -0.001), (3.0, -1.0)]).rows(),
        [["−2", "0.00"], ["3", "−1.00"]]
    );
    assert_eq!(graph(Vec::new()).rows().len(), 0);
    assert!(render(&graph(Vec::new())).contains("Nothing to draw yet."));
}

proptest! {
    #[test]
    fn no_number_breaks_the_picture(points in prop::collection::vec((any::<f64>(), any::<f64>()), 0..30), x in any::<f64>(), y in any::<f64>()) {
        let mut graph = graph(points);
        graph.marks = vec![Mark { x, y, words: "a place of its own".to_owned() }];
        let svg = render(&graph);
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf"), "{}", svg);
        prop_assert!(svg.len() < 20_000, "{}", svg.len());
        for [x, y] in graph.rows() {
            prop_assert!(!x.contains("NaN") && !y.contains("NaN"));
        }
    }

    #[test]
    fn every_mark_keeps_its_words_inside(x in 0.0..40.0_f64, words in "[a-z0-9 ,.%]{1,24}") {
        let mut graph = rising();
        graph.marks = vec![Mark { x, y: 1.0 + x * 0.1, words }];
        let svg = render(&graph);
        let html = Html::parse_fragment(&svg);
        for text in select(&html, "text") {
            let (x, y) = (number(text, "x"), number(text, "y"));
            let words: String = text.text().collect();
            let width = mustwright::charts::words::width_of(&words);
            let left = match text.value().attr("text-anchor") {
                Some("end") => x - width,
                Some("middle") => x - width / 2.0,
                _ => x,
            };
            prop_assert!(left >= -8.0 && left + width <= 348.0, "{} from {} to {}", words, left, left + width);
            prop_assert!((8.0..=250.0).contains(&y), "{} at {}", words, y);
        }
    }
}
