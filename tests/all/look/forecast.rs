//! A fermentation over its days: words that never overlap and stay inside, the table of the same numbers, nothing of what is no number.

use mustwright::charts::forecast::{Flag, Forecast, Range, Reading, Strip, Tick, render};
use proptest::prelude::*;
use scraper::{Html, Selector};

use super::pieces::assert_apart;

fn tick(day: u32) -> Tick {
    Tick {
        hours: 24.0 * f64::from(day),
        words: format!("{day} March"),
    }
}

fn gravity(hours: f64) -> f64 {
    0.998 + 0.1 * (-hours / 150.0).exp()
}

fn usual() -> Forecast {
    let hours = (0..=100).map(|n| 6.0 * f64::from(n));
    Forecast {
        prefix: "f<1>".to_owned(),
        title: "Cherry & honey".to_owned(),
        description: "It <falls>.".to_owned(),
        ticks: (0..=25).map(tick).collect(),
        band: hours
            .clone()
            .map(|hours| Range {
                hours,
                low: gravity(hours) - 0.003,
                best: gravity(hours),
                high: gravity(hours) + 0.004,
            })
            .collect(),
        planned: hours.map(|hours| (hours, gravity(0.8 * hours))).collect(),
        readings: (0..8)
            .map(|day| Reading {
                hours: 24.0 * f64::from(day),
                sg: gravity(24.0 * f64::from(day)) + 0.001,
                when: format!("{day} March, evening"),
            })
            .collect(),
        flags: [24.0, 48.0, 72.0, 100.0]
            .map(|hours| Flag {
                hours,
                when: format!("hour {hours}"),
                words: "3 g of feed".to_owned(),
            })
            .to_vec(),
        temperature: Some(Strip {
            name: "must, °C".to_owned(),
            points: vec![(0.0, 18.0), (60.0, 21.5), (300.0, 19.0)],
        }),
        now: Some(Tick {
            hours: 170.0,
            words: "today".to_owned(),
        }),
    }
}

fn count(svg: &str, css: &str) -> usize {
    let page = Html::parse_fragment(svg);
    page.select(&Selector::parse(css).expect("a selector"))
        .count()
}

/// The data of a path as places.
fn places(svg: &str, class: &str) -> Vec<(f64, f64)> {
    let page = Html::parse_fragment(svg);
    let css = Selector::parse(&format!("path.{class}")).expect("a selector");
    let path = page.select(&css).next().expect("a path");
    path.value()
        .attr("d")
        .expect("data")
        .trim_end_matches('Z')
        .split(['M', 'L'])
        .filter_map(|place| place.split_once(' '))
        .map(|(x, y)| (x.parse().expect("x"), y.parse().expect("y")))
        .collect()
}

#[test]
fn everything_is_drawn_and_nothing_overlaps() {
    let svg = render(&usual());
    assert_apart(&svg);
    // One of each in the picture, and readings and band once more in the key.
    assert_eq!(count(&svg, "circle.reading"), 8 + 1);
    assert_eq!(count(&svg, "path.expected"), 1);
    assert_eq!(count(&svg, "path.flag"), 4 + 1);
    assert_eq!(count(&svg, "line.now"), 1);
    assert_eq!(count(&svg, "path.warmth"), 1);
    let key = |words: &str| svg.contains(&format!(">{words}</text>"));
    assert!(
        key("read")
            && key("expected")
            && key("nine times in ten")
            && key("the plan")
            && key("added")
    );
    assert!(
        !svg.contains("<falls>") && !svg.contains(" style="),
        "{svg}"
    );
    assert!(svg.contains("aria-labelledby=\"f1-title f1-desc\""));
}

#[test]
fn the_band_is_around_the_line_and_the_line_falls() {
    let svg = render(&usual());
    let line = places(&svg, "curve");
    let band = places(&svg, "expected");
    assert_eq!((line.len(), band.len()), (101, 202));
    for (at, (x, y)) in line.iter().enumerate() {
        let (upper, lower) = (band[at], band[201 - at]);
        assert!((upper.0 - x).abs() < 0.06 && (lower.0 - x).abs() < 0.06);
        assert!(upper.1 < *y && *y < lower.1, "{upper:?} {y} {lower:?}");
    }
    assert!(
        line.windows(2)
            .all(|pair| pair[0].0 < pair[1].0 && pair[0].1 <= pair[1].1)
    );
}

#[test]
fn the_table_has_the_numbers_of_the_picture() {
    let rows = usual().rows();
    let read: Vec<_> = rows.iter().filter(|row| row.words == "read").collect();
    assert_eq!(read.len(), 8);
    assert_eq!(
        (read[0].when.as_str(), read[0].gravity.as_str()),
        ("0 March, evening", "1.099")
    );
    let fed: Vec<&str> = rows
        .iter()
        .filter(|row| row.gravity.is_empty())
        .map(|row| row.words.as_str())
        .collect();
    assert_eq!(fed.first(), Some(&"1: 3 g of feed"));
    assert_eq!(fed.last(), Some(&"must, °C: 18 to 21.5"));
    let expected = rows.iter().find(|row| row.when == "today").expect("today");
    let now = gravity(170.0);
    assert_eq!(
        expected.gravity,
        format!("{:.3} to {:.3}", now - 0.003, now + 0.004)
    );
    assert!(
        expected.words.contains(&format!("{now:.3}")),
        "{}",
        expected.words
    );
    let ahead = rows
        .iter()
        .filter(|row| row.when.ends_with("March") && row.words.starts_with("expected"));
    assert_eq!(ahead.count(), 9, "every second of 18 dates ahead");
    assert!(
        !rows.iter().any(|row| row.when == "3 March"),
        "what lies behind is not expected"
    );
}

#[test]
fn a_sensor_that_reads_every_minute_makes_no_larger_picture_than_a_hand() {
    let mut forecast = usual();
    forecast.readings = (0..20_000)
        .map(|minute| Reading {
            hours: f64::from(minute) / 60.0,
            sg: gravity(f64::from(minute) / 60.0),
            when: format!("minute {minute}"),
        })
        .collect();
    let svg = render(&forecast);
    let drawn = count(&svg, "circle.reading") - 1;
    assert!((30..=130).contains(&drawn), "{drawn}");
    let rows = forecast.rows();
    let read: Vec<_> = rows.iter().filter(|row| row.words == "read").collect();
    assert_eq!(read.len(), drawn);
    assert_eq!(read.first().expect("a row").when, "minute 0");
    assert_eq!(read.last().expect("a row").when, "minute 19999");
}

#[test]
fn many_additions_share_their_numbers() {
    let mut forecast = usual();
    forecast.flags = (0..30)
        .map(|n| Flag {
            hours: 20.0 * f64::from(n),
            when: n.to_string(),
            words: "honey".to_owned(),
        })
        .collect();
    let svg = render(&forecast);
    assert_apart(&svg);
    assert_eq!(count(&svg, "path.flag"), 30 + 1);
    assert!(svg.contains('–'), "{svg}");
    assert_eq!(
        forecast
            .rows()
            .iter()
            .filter(|row| row.words.ends_with(": honey"))
            .count(),
        30
    );
}

#[test]
fn before_anything_is_known_it_says_so() {
    let svg = render(&Forecast::default());
    assert!(svg.contains("Nothing to draw yet."));
    assert!(Forecast::default().rows().is_empty());
    // A plan alone is a picture.
    let plan = Forecast {
        band: Vec::new(),
        readings: Vec::new(),
        temperature: None,
        now: None,
        ..usual()
    };
    let svg = render(&plan);
    assert_apart(&svg);
    assert_eq!(count(&svg, "path.planned"), 1);
    assert_eq!(count(&svg, "path.curve"), 0);
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        prop::num::f64::ANY,
        0.9..1.2,
        -1e4..1e4,
        prop::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, 1e300]),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn hostile_numbers_and_words_leave_a_sound_picture(
        numbers in prop::collection::vec(any_number(), 40),
        words in ".{0,40}",
    ) {
        let at = |n: usize| numbers[n % numbers.len()];
        let forecast = Forecast {
            title: words.clone(),
            ticks: (0..6).map(|n| Tick { hours: at(n), words: words.clone() }).collect(),
            band: (0..6).map(|n| Range { hours: at(n), low: at(n + 7), best: at(n + 13), high: at(n + 20) }).collect(),
            planned: (0..6).map(|n| (at(n + 2), at(n + 9))).collect(),
            readings: (0..6).map(|n| Reading { hours: at(n + 3), sg: at(n + 11), when: words.clone() }).collect(),
            flags: (0..6).map(|n| Flag { hours: at(n + 5), when: words.clone(), words: words.clone() }).collect(),
            temperature: Some(Strip { name: words.clone(), points: (0..6).map(|n| (at(n), at(n + 1))).collect() }),
            now: Some(Tick { hours: at(17), words: words.clone() }),
            ..Forecast::default()
        };
        let svg = render(&forecast);
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf\""), "{svg}");
        prop_assert!(svg.len() < 60_000);
        for row in forecast.rows() {
            prop_assert!(!row.gravity.contains("NaN") && !row.gravity.contains("inf"));
        }
    }

    #[test]
    fn words_stay_apart_wherever_things_lie(
        hours in prop::collection::vec(0.0..900.0_f64, 1..25),
        now in 0.0..900.0_f64,
        days in 2..90_u32,
    ) {
        let mut sorted = hours;
        sorted.sort_by(f64::total_cmp);
        let forecast = Forecast {
            ticks: (0..=days).map(tick).collect(),
            flags: sorted.iter().map(|hours| Flag { hours: *hours, when: String::new(), words: String::new() }).collect(),
            now: Some(Tick { hours: now, words: "today".to_owned() }),
            ..usual()
        };
        assert_apart(&render(&forecast));
    }
}
