//! A hydrometer read away from its own temperature.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::calculations::words::{degrees, fine_gravity};
use crate::charts::graph::{Axis, Graph, Mark};
use crate::web::units::{fixed, gravity, temperature};

pub const PAGE: Page = Page {
    name: "hydrometer",
    title: "What does the hydrometer really say?",
    moment: Moment::Working,
    line: "A reading in a warm or cold sample, as it would be at the temperature that the hydrometer is made for.",
    groups: &[group(
        "The reading",
        &[
            field("reading_sg", "What it shows", Kind::Gravity)
                .hint("with the gas stirred out")
                .start("1.050"),
            field(
                "temperature_c",
                "Temperature of the sample",
                Kind::Temperature,
            )
            .starts("28 °C", "82 °F", "28 °C"),
            field(
                "calibration_c",
                "Temperature it is made for",
                Kind::Temperature,
            )
            .hint("stands on its paper: mostly 20 °C, or 60 °F")
            .starts("20 °C", "68 °F", "20 °C"),
            field("abv_percent", "Strength by now", Kind::Percent)
                .hint("0 before it ferments; a rough guess will do")
                .start("6 %"),
        ],
    )],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "density of the sample = reading × density of water at the hydrometer's temperature ÷ (1 + 0.000025 × degrees of difference)",
            "the sugar solution of that density is found, then cooled or warmed in thought",
            "with alcohol, what it adds to the density at both temperatures is counted in",
        ],
        source: "buoyancy of a glass hydrometer, expansion of glass as in OIML R 22; densities of sugar solutions ICUMSA SPS-4, of alcohol and water OIML R 22",
        range: "both temperatures 0 to 80 °C, 0 to 40 °C with alcohol; ± 0.0002 against its sources",
        leaves_out: "The thermometer's error (near room temperature 1 °C is about 0.0003), bubbles, a dirty stem, reading at the rim instead of the surface, and what is wrong with the scale itself: in water at its own temperature it must show 1.000. Above 40 °C let the sample cool: alcohol goes off, and glass may crack.",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let (reading, at, made_for) = (
        case.had("reading_sg"),
        case.had("temperature_c"),
        case.had("calibration_c"),
    );
    let sg = case.out("sg");
    let points = 1000.0 * (sg - reading);
    let sentence = format!(
        "{}, read at {}, is {} at the {} that the hydrometer is made for.",
        gravity(reading),
        temperature(at, units),
        gravity(sg),
        temperature(made_for, units),
    );
    let shift = match points.abs() < 0.05 {
        true => "the reading is right as it stands".to_owned(),
        false => format!(
            "{} {} points",
            if points > 0.0 {
                "it reads low by"
            } else {
                "it reads high by"
            },
            fixed(points.abs(), 1)
        ),
    };
    let high = if at > 40.0 || made_for > 40.0 {
        80.0
    } else {
        40.0
    };
    let line = case.line((0.0, high, 40), |case, celsius| {
        let there = case.with(&[("temperature_c", celsius)])?;
        Some((degrees(celsius, units), there.number("sg")?))
    });
    Said::new(sentence)
        .figure("sg", "gravity", fine_gravity(sg))
        .words(shift)
        .drawn(Graph {
            prefix: "hydrometer".to_owned(),
            title: format!("What a reading of {} means", gravity(reading)),
            description: "The true gravity behind the same reading, by the temperature of the sample: the warmer it is, the more the hydrometer sinks and the lower it reads.".to_owned(),
            x: Axis::new(format!("temperature of the sample, {}", units.temperature_unit()), 0),
            y: Axis::new("gravity", 4),
            points: line,
            marks: vec![Mark { x: degrees(at, units), y: sg, words: fine_gravity(sg) }],
        })
}
