//! Sulfite that protects, by pH.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, fold, group};
use crate::calculations::words::{milligrams, powder};
use crate::charts::graph::{Axis, Graph, Mark};
use crate::engine::problem::CautionCode;
use crate::engine::sulfite::Salt;
use crate::web::units::{fixed, plain, volume};

fn salts() -> Vec<(&'static str, String)> {
    let words = |salt: Salt| match salt {
        Salt::PotassiumMetabisulfite => "potassium metabisulfite",
        Salt::SodiumMetabisulfite => "sodium metabisulfite",
    };
    Salt::ALL
        .map(|salt| (salt.as_str(), words(salt).to_owned()))
        .into()
}

pub const PAGE: Page = Page {
    name: "sulfite",
    title: "How much sulfite protects it?",
    moment: Moment::Finishing,
    line: "The free sulfur dioxide that protects a finished mead at its pH, and the grams of salt that bring it.",
    groups: &[
        group(
            "The mead",
            &[
                field("litres", "How much", Kind::Volume).starts("19 L", "5 gal", "4 gal"),
                field("ph", "pH", Kind::Number)
                    .hint("measured: without a pH there is no exact dose")
                    .start("3.4"),
                field("free_so2_mg_per_l", "Free sulfur dioxide now", Kind::Milligrams)
                    .hint("measured, or 0")
                    .start("0 mg/L"),
            ],
        ),
        group(
            "The protection",
            &[
                field("molecular_so2_mg_per_l", "Molecular sulfur dioxide", Kind::Milligrams)
                    .hint("0.5 for a dry mead, 0.8 for a sweet one: common practice")
                    .start("0.8 mg/L"),
                field("salt", "Salt", Kind::Choice(salts)).start("potassium_metabisulfite"),
            ],
        ),
        fold(
            "The constant behind it",
            &[field("pka", "pKa", Kind::Number)
                .hint("1.81 is the careful one: it asks for about 1.4 times what the constants in wine do")
                .start("1.81")],
        ),
    ],
    answer,
    beside: &[
        (CautionCode::MuchSulfite, "free_needed_mg_per_l"),
        (CautionCode::LowerPhFirst, "free_needed_mg_per_l"),
    ],
    method: Method {
        formula: &[
            "free needed = molecular × (1 + 10^(pH − pKa))",
            "grams of salt = (free needed − free now) × litres ÷ 1000 ÷ 0.5763, with sodium 0.6739",
        ],
        source: "dissociation of sulfurous acid, pKa 1.81 at 20 °C (from memory: verify); 0.5 and 0.8 mg/L: common practice, no published source; limits OIV-MA-C1-01 and 27 CFR 4.22(b)(1)",
        range: "pH 2.5 to 5; more than 350 mg/L free is refused, the highest limit known here. Those limits are for wine and for all of it, bound or free: look up the law of your place",
        leaves_out: "What binds. Sugar, and what a hard fermentation leaves, take up a third to a half of a first dose: common practice gives half as much again at first, and measures after a day. A pH meter wrong by 0.1 is wrong by a quarter here. Old powder has lost strength: keep it dry, and no longer than a year (common practice). Sulfite neither stops a fermentation nor kills yeast.",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let (ph, needed, grams) = (
        case.had("ph"),
        case.out("free_needed_mg_per_l"),
        case.out("grams"),
    );
    let amount = match grams > 0.0 {
        true => format!(
            "{} of {} in {}",
            powder(grams, units),
            case.called("salt"),
            volume(case.had("litres"), units)
        ),
        false => "as much as is there already".to_owned(),
    };
    let sentence = format!(
        "At pH {} it takes {} free to have {} molecular: {amount}.",
        plain(ph, 2),
        milligrams(needed),
        milligrams(case.had("molecular_so2_mg_per_l")),
    );
    let line = case.line((2.8, 4.3, 30), |case, ph| {
        let there = case.with(&[("ph", ph)])?;
        Some((ph, there.number("free_needed_mg_per_l")?))
    });
    Said::new(sentence)
        .figure("grams", "salt to give", powder(grams, units))
        .words("a third to a half of a first dose binds: measure after a day, then give what lacks")
        .figure("free_needed_mg_per_l", "free, then", milligrams(needed))
        .figure(
            "molecular_now_mg_per_l",
            "molecular now",
            format!("{} mg/L", fixed(case.out("molecular_now_mg_per_l"), 2)),
        )
        .drawn(Graph {
            prefix: "sulfite".to_owned(),
            title: "Free sulfur dioxide needed, by pH".to_owned(),
            description:
                "What must be free for the same protection: it doubles with every 0.3 of pH."
                    .to_owned(),
            x: Axis::new("pH", 2),
            y: Axis::new("free sulfur dioxide, mg/L", 0),
            points: line,
            marks: vec![Mark {
                x: ph,
                y: needed,
                words: format!("pH {}", plain(ph, 2)),
            }],
        })
}
