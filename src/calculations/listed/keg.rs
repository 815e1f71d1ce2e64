//! The pressure to set on a keg.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::calculations::words::{degrees, gauge, pressure_axis, pressure_unit};
use crate::charts::graph::{Axis, Graph, Mark};
use crate::web::units::{plain, temperature};

pub const PAGE: Page = Page {
    name: "keg",
    title: "What pressure for the keg?",
    moment: Moment::Finishing,
    line: "The pressure that holds so much gas in a mead at the temperature of the keg.",
    groups: &[group(
        "The keg",
        &[
            field(
                "temperature_c",
                "Temperature of the mead",
                Kind::Temperature,
            )
            .hint("in the keg, not of the room")
            .starts("4 °C", "39 °F", "4 °C"),
            field("volumes_co2", "Gas wanted", Kind::Gas)
                .hint("1 to 2 volumes prickle, 2.5 sparkle: common practice")
                .start("2.5 volumes"),
            field("abv_percent", "Strength", Kind::Percent).start("12 %"),
            field("sugar_g_per_l", "Dissolved sugar", Kind::Dose)
                .hint("a point of gravity above dry is about 2 g/L")
                .start("10 g/L"),
        ],
    )],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "gas in g/L = volumes × 1.9768",
            "pressure = what holds that gas dissolved at this temperature + water vapour − 1.013 bar",
            "alcohol A and sugar S lower what dissolves by (1 − A ÷ 86)(1 − 0.00144 S)",
        ],
        source: "Carroll, Slupsky and Mather 1991; the term of alcohol and sugar from the EU's formula for sparkling wine at 20 °C, taken over to other temperatures (our judgement)",
        range: "0 to 40 °C, to 5 volumes; ± 3 % against its sources; at sea level: add 0.1 bar (1.5 psi) for each 900 m",
        leaves_out: "Time. The gas needs a week or two to go in by itself, a day when the keg is rocked (common practice). The gauge's own error, and a thermometer in the air instead of the mead. Long or wide lines lose the gas again at the tap.",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let kpa = case.out("gauge_kpa");
    let at = case.had("temperature_c");
    let wanted = plain(case.had("volumes_co2"), 2);
    let sentence = match kpa > 0.0 {
        true => format!(
            "Set {} to hold {wanted} volumes of gas at {}.",
            gauge(kpa, units),
            temperature(at, units)
        ),
        false => format!(
            "No pressure is needed: at {} the mead holds more than {wanted} volumes under the air's alone.",
            temperature(at, units)
        ),
    };
    let line = case.line((0.0, 30.0, 30), |case, celsius| {
        let there = case.with(&[("temperature_c", celsius)])?;
        Some((
            degrees(celsius, units),
            pressure_axis(there.number("gauge_kpa")?, units),
        ))
    });
    Said::new(sentence)
        .figure("gauge_kpa", "on the gauge", gauge(kpa, units))
        .words("above the air's, at sea level")
        .drawn(Graph {
            prefix: "keg".to_owned(),
            title: format!("Pressure for {wanted} volumes, by warmth"),
            description: "The pressure to set for the same gas, by the temperature of the mead: the colder, the less.".to_owned(),
            x: Axis::new(format!("temperature of the mead, {}", units.temperature_unit()), 0),
            y: Axis::new(format!("on the gauge, {}", pressure_unit(units)), 2),
            points: line,
            marks: vec![Mark { x: degrees(at, units), y: pressure_axis(kpa, units), words: temperature(at, units) }],
        })
}
