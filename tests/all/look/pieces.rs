//! The words of a picture as boxes, for tests that none lies on another.

use mustwright::charts::words::width_of;
use scraper::{Html, Selector};

/// One piece of text in the picture: left, right, top, bottom.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    pub words: String,
}

pub(super) fn number(element: scraper::ElementRef<'_>, name: &str) -> f64 {
    element.value().attr(name).unwrap().parse().unwrap()
}

/// The texts of a picture with the boxes that a 13 px face takes: 11 above the baseline, 4 below.
pub(super) fn pieces(svg: &str) -> (Vec<Piece>, f64, f64) {
    let page = Html::parse_fragment(svg);
    let root = page
        .select(&Selector::parse("svg").unwrap())
        .next()
        .unwrap();
    let view: Vec<f64> = root
        .value()
        .attr("viewBox")
        .unwrap()
        .split(' ')
        .map(|n| n.parse().unwrap())
        .collect();
    let texts = page
        .select(&Selector::parse("text").unwrap())
        .map(|text| {
            let words: String = text.text().collect();
            let (x, y, width) = (number(text, "x"), number(text, "y"), width_of(&words));
            let (left, right) = match text.value().attr("text-anchor") {
                Some("end") => (x - width, x),
                Some("middle") => (x - width / 2.0, x + width / 2.0),
                _ => (x, x + width),
            };
            Piece {
                left,
                right,
                top: y - 11.0,
                bottom: y + 4.0,
                words,
            }
        })
        .collect();
    (texts, view[2], view[3])
}

#[track_caller]
pub(super) fn assert_apart(svg: &str) {
    let (pieces, width, height) = pieces(svg);
    for (n, a) in pieces.iter().enumerate() {
        assert!(
            a.left >= -1.0 && a.right <= width + 12.0,
            "outside, {width} wide: {a:?}"
        );
        assert!(
            a.top >= -1.0 && a.bottom <= height + 1.0,
            "outside, {height} high: {a:?}"
        );
        for b in &pieces[n + 1..] {
            let apart = a.right <= b.left
                || b.right <= a.left
                || a.bottom <= b.top + 0.11
                || b.bottom <= a.top + 0.11;
            assert!(apart, "{a:?} overlaps {b:?}");
        }
    }
}
