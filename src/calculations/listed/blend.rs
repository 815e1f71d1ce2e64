//! Meads, musts, spirits and water poured together.

use crate::calculations::case::Case;
use crate::calculations::model::{Field, Kind, Method, Moment, Page, Said, field, row};
use crate::calculations::words::fine_gravity;
use crate::charts::graph::{Axis, Graph, Mark};
use crate::engine::problem::{Arguments, CautionCode, Severity};
use crate::web::units::{abv, fixed, grams_per_litre, gravity, volume};

const fn litres(key: &'static str) -> Field {
    field(key, "How much", Kind::Volume)
}
const fn sg(key: &'static str) -> Field {
    field(key, "Gravity", Kind::Gravity)
}
const fn strength(key: &'static str) -> Field {
    field(key, "Strength", Kind::Percent)
}
const fn acidity(key: &'static str) -> Field {
    field(key, "Acidity", Kind::Dose)
}

pub const PAGE: Page = Page {
    name: "blend",
    title: "What does the blend make?",
    moment: Moment::Finishing,
    line: "Two to four meads, or a mead with water, juice or spirit: strength, gravity, acidity and volume together.",
    groups: &[
        row(
            "First",
            &[
                litres("parts/0/litres").starts("10 L", "3 gal", "2 gal"),
                sg("parts/0/sg").start("1.020"),
                strength("parts/0/abv_percent").start("11 %"),
                acidity("parts/0/ta_g_per_l").hint("as tartaric, if known"),
            ],
        ),
        row(
            "Second",
            &[
                litres("parts/1/litres").starts("6 L", "2 gal", "1 gal"),
                sg("parts/1/sg").start("0.996"),
                strength("parts/1/abv_percent").start("14 %"),
                acidity("parts/1/ta_g_per_l"),
            ],
        ),
        row(
            "Third, if there is one",
            &[
                litres("parts/2/litres"),
                sg("parts/2/sg").hint("water: 1.000"),
                strength("parts/2/abv_percent"),
                acidity("parts/2/ta_g_per_l"),
            ],
        ),
        row(
            "Fourth, if there is one",
            &[
                litres("parts/3/litres"),
                sg("parts/3/sg"),
                strength("parts/3/abv_percent"),
                acidity("parts/3/ta_g_per_l"),
            ],
        ),
    ],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "of each part: alcohol from its strength, what is dissolved from its gravity, the rest water",
            "masses add; the volume follows from the density of the whole",
            "acidity = Σ litres × g/L ÷ litres of the blend",
        ],
        source: "ICUMSA SPS-4, OIML R 22 and the additivity of Tabarié, OIV-MA-AS2-03B",
        range: "gravity 0.79 to 1.449, strength to 100 %, all at 20 °C",
        leaves_out: "Whether it stays clear and quiet: two stable meads may cloud or ferment together, and sulfite mixes with what binds it. Averages of gravity points err by about a point in strong musts, sums of litres by half a percent, with spirit by three. Taste a small blend first: measure it with a syringe.",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let (total, strength, sg) = (case.out("litres"), case.out("abv_percent"), case.out("sg"));
    let change = 1000.0 * case.out("volume_change_l");
    let sentence = format!(
        "The blend makes {} at {} by volume and {}.",
        volume(total, units),
        abv(strength),
        gravity(sg),
    );
    let acidity = match case.number("ta_g_per_l") {
        Some(acidity) => (grams_per_litre(acidity), "as tartaric"),
        None => ("–".to_owned(), "known once every part's acidity is"),
    };
    let change_words = match change.abs() < 0.5 {
        true => "as much as was poured".to_owned(),
        false => format!(
            "{} ml {} than was poured",
            fixed(change.abs(), 0),
            if change < 0.0 { "less" } else { "more" }
        ),
    };
    let said = Said::new(sentence)
        .figure(
            "abv_percent",
            "strength",
            format!("{} %", fixed(strength, 2)),
        )
        .figure("sg", "gravity", fine_gravity(sg))
        .figure("litres", "volume", volume(total, units))
        .words(change_words)
        .figure("ta_g_per_l", "acidity", acidity.0)
        .words(acidity.1);
    let said = match sweetest(case) {
        true => said.beware(
            CautionCode::SecondaryCanFerment,
            Severity::Danger,
            Arguments::none().with("name", "A sweeter part"),
        ),
        false => said,
    };
    match case.parts("parts") {
        2 => said.drawn(of_two(case)),
        _ => said,
    }
}

/// Whether a part may still hold sugar.
fn sweetest(case: &Case) -> bool {
    (0..case.parts("parts")).any(|part| case.had(&format!("parts/{part}/sg")) > 1.0)
}

/// Strength of every blend of the two.
fn of_two(case: &Case) -> Graph {
    let (first, second) = (case.had("parts/0/litres"), case.had("parts/1/litres"));
    let all = first + second;
    let line = case.line((0.0, 100.0, 20), |case, percent| {
        // Neither part may be nothing; so little of it changes nothing that is printed.
        let litres = (10.0 * percent).clamp(0.1, 999.9);
        let there = case.with(&[
            ("parts/0/litres", litres),
            ("parts/1/litres", 1000.0 - litres),
        ])?;
        Some((percent, there.number("abv_percent")?))
    });
    Graph {
        prefix: "blend".to_owned(),
        title: "Strength of every blend of the two".to_owned(),
        description: "The strength of the blend, by how much of it is the first.".to_owned(),
        x: Axis::new("of the first, %", 0),
        y: Axis::new("strength, % by volume", 1),
        points: line,
        marks: vec![Mark {
            x: 100.0 * first / all,
            y: case.out("abv_percent"),
            words: "your blend".to_owned(),
        }],
    }
}
