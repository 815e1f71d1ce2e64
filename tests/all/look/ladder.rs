//! The gravity ladder: words that never overlap, numbers that are never made up, a picture that is safe to print.

use mustwright::charts::ladder::{Band, Ladder, Mark, MarkKind, render, table_rows};
use mustwright::charts::words::{width_of, wrap};
use proptest::prelude::*;
use scraper::{Html, Selector};

use super::pieces::{assert_apart, number, pieces};

fn ladder(og: f64, fg: f64, marks: Vec<Mark>) -> Ladder {
    Ladder {
        prefix: "fall".into(),
        og: Some(og),
        fg: Some(fg),
        marks,
        title: "Gravity ladder".into(),
        description: "From the start down to the finish.".into(),
        ..Ladder::default()
    }
}

fn hedgerow() -> Ladder {
    let mut ladder = ladder(
        1.089,
        0.997,
        vec![
            Mark::new(MarkKind::Dry, 0.997, "dry: sugar gone"),
            Mark::new(MarkKind::Start, 1.089, "all sugar counted"),
            Mark::new(MarkKind::Read, 1.084, "read before the fruit"),
            Mark::new(MarkKind::Break, 1.058, "one third gone").with_more("last feed, no more air"),
            Mark::new(MarkKind::AmmoniumEnds, 1.021, "ammonium ends"),
            Mark::new(MarkKind::Sweetened, 1.010, "sweetened"),
        ],
    );
    ladder.bands = vec![
        Band {
            from_sg: 0.980,
            to_sg: 1.006,
            words: "dry".into(),
        },
        Band {
            from_sg: 1.006,
            to_sg: 1.015,
            words: "semi-sweet".into(),
        },
        Band {
            from_sg: 1.015,
            to_sg: 1.025,
            words: "sweet".into(),
        },
    ];
    ladder
}

/// All lines of one class: (x1, y1, x2, y2).
fn lines(svg: &str, class: &str) -> Vec<[f64; 4]> {
    let page = Html::parse_fragment(svg);
    page.select(&Selector::parse(&format!("line.{class}")).unwrap())
        .map(|line| ["x1", "y1", "x2", "y2"].map(|name| number(line, name)))
        .collect()
}

#[test]
fn reads_from_the_start_at_the_top_to_the_finish_at_the_bottom() {
    let svg = render(&hedgerow());
    assert_apart(&svg);
    let [fall] = lines(&svg, "fall")[..] else {
        panic!("one fall")
    };
    assert!(fall[1] < fall[3]);
    let (pieces, ..) = pieces(&svg);
    let right: Vec<&str> = pieces
        .iter()
        .filter(|p| p.left >= 100.0)
        .map(|p| p.words.as_str())
        .collect();
    assert_eq!(
        right,
        [
            "1.089 all sugar counted",
            "1.084 read before the fruit",
            "1.058 one third gone",
            "last feed, no more air",
            "1.021 ammonium ends",
            "1.010 sweetened",
            "0.997 dry: sugar gone",
        ]
    );
    // The break stands one third of the way down the fall.
    let marks = lines(&svg, "mark");
    let third = fall[1] + (fall[3] - fall[1]) * (1.089 - 1.058) / (1.089 - 0.997);
    assert!(
        marks.iter().any(|mark| (mark[1] - third).abs() < 0.11),
        "{marks:?} has none at {third}"
    );
    assert_eq!(marks.len(), 5, "the sweetened end is a dot");
    assert!(svg.contains("<circle class=\"end\""));
}

#[test]
fn is_a_titled_picture_without_style_of_its_own() {
    let svg = render(&hedgerow());
    let page = Html::parse_fragment(&svg);
    let root = page
        .select(&Selector::parse("svg[role=img]").unwrap())
        .next()
        .unwrap();
    assert_eq!(
        root.value().attr("aria-labelledby"),
        Some("fall-title fall-desc")
    );
    for (css, text) in [
        ("#fall-title", "Gravity ladder"),
        ("#fall-desc", "From the start down to the finish."),
    ] {
        let found = page.select(&Selector::parse(css).unwrap()).next().unwrap();
        assert_eq!(found.text().collect::<String>(), text);
    }
    for evil in ["style", "fill=", "stroke=", "onload"] {
        assert!(!svg.contains(evil), "{evil}");
    }
}

#[test]
fn sweetness_bands_are_named_beside_the_scale() {
    let svg = render(&hedgerow());
    assert_eq!(lines(&svg, "band").len(), 3);
    let (pieces, ..) = pieces(&svg);
    for words in ["dry", "semi-", "sweet"] {
        assert!(
            pieces
                .iter()
                .any(|piece| piece.words == words && piece.right < 60.0),
            "{words} in {pieces:?}"
        );
    }
}

#[test]
fn close_marks_move_apart_with_a_leader() {
    let close = vec![
        Mark::new(MarkKind::AmmoniumEnds, 1.002, "ammonium ends"),
        Mark::new(MarkKind::YeastLimit, 1.001, "the yeast's limit"),
        Mark::new(MarkKind::Sweetened, 1.000, "sweetened"),
        Mark::new(MarkKind::Arrested, 0.999, "stopped by hand"),
    ];
    let svg = render(&ladder(1.100, 0.999, close));
    assert_apart(&svg);
    assert!(
        lines(&svg, "leader")
            .iter()
            .any(|leader| (leader[1] - leader[3]).abs() > 4.0)
    );
    let far = vec![Mark::new(MarkKind::Break, 1.070, "one third gone")];
    assert!(lines(&render(&ladder(1.100, 0.999, far)), "leader").is_empty());
}

#[test]
fn weak_and_strong_musts_both_fit_with_round_ticks() {
    for (og, fg) in [
        (1.030, 0.998),
        (1.250, 1.150),
        (1.250, 0.990),
        (1.000, 1.000),
    ] {
        let svg = render(&ladder(
            og,
            fg,
            vec![
                Mark::new(MarkKind::Start, og, "start"),
                Mark::new(MarkKind::Dry, fg, "end"),
            ],
        ));
        assert_apart(&svg);
        let (pieces, _, height) = pieces(&svg);
        assert!((200.0..=480.0).contains(&height), "{og}: {height}");
        let ticks: Vec<f64> = pieces
            .iter()
            .filter(|p| p.right < 60.0)
            .map(|p| p.words.parse().unwrap())
            .collect();
        assert!((2..=10).contains(&ticks.len()), "{og}: {ticks:?}");
        for tick in ticks {
            let steps = tick / 0.005;
            assert!((steps - steps.round()).abs() < 1e-6, "{tick} is not round");
        }
    }
}

#[test]
fn what_is_unknown_is_left_out() {
    let nothing = render(&Ladder::default());
    assert!(nothing.contains("Nothing to draw yet.") && nothing.contains("id=\"ladder-title\""));
    let mut half = hedgerow();
    half.fg = None;
    assert!(lines(&render(&half), "fall").is_empty());
    let mut broken = hedgerow();
    broken.og = Some(f64::NAN);
    broken
        .marks
        .push(Mark::new(MarkKind::YeastLimit, f64::NAN, "never drawn"));
    broken.marks.push(Mark::new(
        MarkKind::YeastLimit,
        f64::INFINITY,
        "never drawn",
    ));
    broken
        .marks
        .push(Mark::new(MarkKind::YeastLimit, 58.0, "never drawn"));
    let svg = render(&broken);
    assert!(!svg.contains("NaN") && !svg.contains("inf") && !svg.contains("never drawn"));
    assert!(
        table_rows(&broken)
            .iter()
            .all(|row| row.words != "never drawn")
    );
    assert!(lines(&svg, "fall").is_empty());
}

#[test]
fn words_are_escaped_and_two_ladders_do_not_share_ids() {
    let mut nasty = ladder(
        1.090,
        1.000,
        vec![Mark::new(MarkKind::Start, 1.090, "<script>\"&'\u{0}x")],
    );
    nasty.title = "</title><b>".into();
    nasty.prefix = "a\" onload=\"x".into();
    let svg = render(&nasty);
    assert!(
        !svg.contains("<script")
            && !svg.contains("<b>")
            && !svg.contains("onload=")
            && !svg.contains('\u{0}')
    );
    assert!(svg.contains("&lt;script&gt;"));
    let mut other = hedgerow();
    other.prefix = "second".into();
    assert!(!render(&other).contains("fall-title"));
}

#[test]
fn the_table_holds_the_same_numbers() {
    let rows = table_rows(&hedgerow());
    let gravities: Vec<&str> = rows.iter().map(|row| row.gravity.as_str()).collect();
    assert_eq!(
        gravities[..6],
        ["1.089", "1.084", "1.058", "1.021", "1.010", "0.997"]
    );
    assert_eq!(
        gravities[6..],
        ["1.015 to 1.025", "1.006 to 1.015", "0.980 to 1.006"]
    );
    assert_eq!(
        (rows[2].words.as_str(), rows[2].more.as_str()),
        ("one third gone", "last feed, no more air")
    );
}

#[test]
fn lines_break_at_spaces_and_hyphens_and_only_then_inside_words() {
    assert_eq!(wrap("semi-sweet", 52.0, 52.0), ["semi-", "sweet"]);
    assert_eq!(wrap("one third gone", 1000.0, 1000.0), ["one third gone"]);
    assert_eq!(wrap("  ", 50.0, 50.0), Vec::<String>::new());
    let lines = wrap(&"x".repeat(100), 60.0, 60.0);
    assert!(lines.len() > 5 && lines.iter().all(|line| width_of(line) <= 60.0));
    assert_eq!(lines.concat(), "x".repeat(100));
}

fn any_mark() -> impl Strategy<Value = Mark> {
    let kind = prop_oneof![
        Just(MarkKind::Start),
        Just(MarkKind::Read),
        Just(MarkKind::Break),
        Just(MarkKind::AmmoniumEnds),
        Just(MarkKind::YeastLimit),
        Just(MarkKind::Dry),
        Just(MarkKind::Arrested),
        Just(MarkKind::Sweetened),
    ];
    let sg = prop_oneof![8 => 0.98..1.25f64, 3 => Just(1.010), 1 => any::<f64>()];
    (
        kind,
        sg,
        "\\PC{0,60}",
        proptest::option::of("[a-z ,]{0,40}"),
    )
        .prop_map(|(kind, sg, words, more)| Mark {
            kind,
            sg,
            words,
            more,
            href: None,
        })
}

fn any_band() -> impl Strategy<Value = Band> {
    (0.95..1.2f64, 0.0..0.1f64, "[a-z-]{0,14}").prop_map(|(from_sg, wide, words)| Band {
        from_sg,
        to_sg: from_sg + wide,
        words,
    })
}

proptest! {
    #[test]
    fn words_never_overlap(
        marks in proptest::collection::vec(any_mark(), 0..14),
        bands in proptest::collection::vec(any_band(), 0..6),
        og in proptest::option::of(0.98..1.25f64),
        fg in proptest::option::of(0.97..1.20f64),
    ) {
        let ladder = Ladder { og, fg, marks, bands, ..Ladder::default() };
        let svg = render(&ladder);
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf\""));
        assert_apart(&svg);
        // Every gravity of the table stands in the picture.
        for row in table_rows(&ladder).iter().filter(|row| !row.gravity.contains("to")) {
            prop_assert!(svg.contains(&row.gravity));
        }
    }

    #[test]
    fn no_number_breaks_the_picture(og in any::<f64>(), fg in any::<f64>(), sg in any::<f64>(), from in any::<f64>(), to in any::<f64>()) {
        let mut ladder = ladder(og, fg, vec![Mark::new(MarkKind::Break, sg, "one third gone")]);
        ladder.bands = vec![Band { from_sg: from, to_sg: to, words: "dry".into() }];
        let svg = render(&ladder);
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf\""));
    }
}
