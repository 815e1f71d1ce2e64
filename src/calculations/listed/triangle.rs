//! Whether a panel can tell two meads apart.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::calculations::words::table;
use crate::web::units::{fixed, plain};

/// How sure one wants to be, as the chance of being fooled by luck.
const LEVELS: &[(&str, &str)] = &[
    ("0.05", "fairly: fooled by luck once in 20"),
    ("0.01", "very: once in 100"),
    ("0.001", "beyond doubt: once in 1000"),
];

pub const PAGE: Page = Page {
    name: "triangle",
    title: "Can they taste the difference?",
    moment: Moment::AtTable,
    line: "Three glasses, two of them alike: whether so many right picks are more than luck.",
    groups: &[group(
        "The tasting",
        &[
            field("panel", "Tasters", Kind::Number).start("12"),
            field("correct", "Picked the odd glass", Kind::Number).start("8"),
            field("alpha", "How sure", Kind::Level(LEVELS)).start("0.05"),
        ],
    )],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "chance of that many or more by luck = Σ over k from right picks to tasters of C(n, k) (1/3)^k (2/3)^(n − k)",
            "tasters who really can tell = 1.5 × right ÷ all − 0.5, never below 0",
        ],
        source: "exact binomial with 1/3; method ISO 4120",
        range: "1 to 1000 tasters, each tasting once",
        leaves_out: "Everything around the glasses: the same colour, temperature and fill, coded at random, all six orders equally often, nobody talking. Few right picks do not prove that two meads are alike; for that the panel must be far larger. Whoever does not drink may spit: it is a tasting.",
    },
};

/// Panels of the table.
const PANELS: [f64; 11] = [
    5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 18.0, 20.0, 24.0, 30.0, 36.0,
];

fn answer(case: &Case) -> Said {
    let (panel, correct) = (case.had("panel"), case.had("correct"));
    let chance = case.out("p_value");
    let needed = case.number("critical_number");
    let verdict = match needed {
        Some(needed) if correct >= needed => "so they most likely can tell",
        Some(_) => "so it may well be luck",
        None => "and so few tasters cannot show it, whatever they pick",
    };
    let sentence = format!(
        "{} of {} picked the odd glass; by luck alone that happens {}, {verdict}.",
        plain(correct, 0),
        plain(panel, 0),
        times(chance),
    );
    let rows = PANELS.map(|panel| {
        let least = LEVELS.iter().map(|(level, _)| {
            let alpha = level.parse().unwrap_or(f64::NAN);
            let there = case.with(&[("panel", panel), ("correct", 0.0), ("alpha", alpha)]);
            let needed = there.and_then(|there| there.number("critical_number"));
            needed.map_or("–".to_owned(), |needed| plain(needed, 0))
        });
        let mut least = least.collect::<Vec<_>>().into_iter();
        let mut next = || least.next().unwrap_or_default();
        [plain(panel, 0), next(), next(), next()]
    });
    Said::new(sentence)
        .figure(
            "p_value",
            "chance by luck alone",
            format!("{} %", fixed(100.0 * chance, 2)),
        )
        .words("of so many right picks or more")
        .figure(
            "critical_number",
            "right picks needed",
            needed.map_or("–".to_owned(), |needed| plain(needed, 0)),
        )
        .words(format!("of {} tasters", plain(panel, 0)))
        .figure(
            "part_who_can_tell",
            "who really can tell",
            format!(
                "about {} %",
                fixed(100.0 * case.out("part_who_can_tell"), 0)
            ),
        )
        .words("of the panel; the others guessed")
        .tabled(table(
            "Right picks needed, by the size of the panel",
            ["tasters", "once in 20", "once in 100", "once in 1000"],
            rows,
        ))
}

/// A chance in words: "once in 50 tastings", "in 3 of 10 tastings".
fn times(chance: f64) -> String {
    match chance {
        chance if chance < 1e-4 => "hardly ever".to_owned(),
        chance if chance < 0.1 => format!("once in {} tastings", fixed(1.0 / chance, 0)),
        chance => format!("in {} of 100 tastings", fixed(100.0 * chance, 0)),
    }
}
