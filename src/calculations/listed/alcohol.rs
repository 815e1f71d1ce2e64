//! Strength from two gravities.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::charts::graph::{Axis, Graph, Mark};
use crate::web::units::{abv, fixed, grams_per_litre, gravity};

pub const PAGE: Page = Page {
    name: "alcohol",
    title: "How strong is it?",
    moment: Moment::Working,
    line: "The strength by volume from the gravity at the start and the gravity now.",
    groups: &[group(
        "Two readings",
        &[
            field("og", "Gravity at the start", Kind::Gravity)
                .hint("everything that fermented counted in: fruit too, honey fed later not")
                .start("1.090"),
            field("fg", "Gravity now", Kind::Gravity)
                .hint(
                    "the gas stirred out, read at the temperature that the hydrometer is made for",
                )
                .start("1.002"),
        ],
    )],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "each gram of sugar that is gone: 0.46895 g of alcohol, 0.4486 g of gas, 0.0516 g of yeast, 0.0309 g that stays dissolved",
            "gravity of the mead = gravity of that alcohol in water + gravity of what is dissolved − 1",
            "how much sugar is gone is solved until that gravity is the one read",
        ],
        source: "extract lost to a gram of alcohol 2.0665 (Balling, read in a university course sheet); densities ICUMSA SPS-4 and OIML R 22; additivity Tabarié, OIV-MA-AS2-03B. Beside it the factors of Notice 226 of the British tax office, from memory: verify",
        range: "start 1.000 to 1.449; to about 1.120 it agrees with the tax factors within 0.2 % by volume",
        leaves_out: "Sugar or water added between the readings, evaporation, and gas in the sample, which lifts a hydrometer by several points (each about 0.13 % by volume). Two readings wrong by a point each: 0.2 to 0.3 %. A floating sensor's own error counts as well. For a label, a duty or a sale only the analysis of a licensed laboratory counts.",
    },
};

fn answer(case: &Case) -> Said {
    let (og, fg) = (case.had("og"), case.had("fg"));
    let strength = case.out("abv_percent");
    let sentence = format!(
        "A fall from {} to {} has made {} of alcohol by volume.",
        gravity(og),
        gravity(fg),
        abv(strength),
    );
    let duty = match case.number("abv_by_duty_table_percent") {
        Some(duty) => (
            format!("{} %", fixed(duty, 2)),
            "drop in gravity times a factor; the office cuts it to one decimal",
        ),
        None => ("–".to_owned(), "the table ends at a drop of 100.7 points"),
    };
    let said = Said::new(sentence)
        .figure(
            "abv_percent",
            "strength by volume",
            format!("{} %", fixed(strength, 2)),
        )
        .words("two readings a point off each move it by 0.2 to 0.3 %")
        .figure(
            "abw_percent",
            "by weight",
            format!("{} %", fixed(case.out("abw_percent"), 2)),
        )
        .figure(
            "residual_extract_g_per_l",
            "still dissolved",
            grams_per_litre(case.out("residual_extract_g_per_l")),
        )
        .words("sugar that is left, and what never ferments")
        .figure(
            "abv_by_duty_table_percent",
            "by the British duty factors",
            duty.0,
        )
        .words(duty.1);
    let at = |case: &Case, sg: f64| {
        let there = case.with(&[("fg", sg)])?;
        Some((sg, there.number("abv_percent")?))
    };
    said.drawn(Graph {
        prefix: "alcohol".to_owned(),
        title: "Strength on the way down".to_owned(),
        description: format!(
            "How the strength grows while the gravity falls from {} to {}.",
            gravity(og),
            gravity(fg)
        ),
        x: Axis::new("gravity", 3),
        y: Axis::new("strength, % by volume", 1),
        points: case.line((og, fg, 40), at),
        marks: vec![Mark {
            x: fg,
            y: strength,
            words: format!("now, {}", abv(strength)),
        }],
    })
}
