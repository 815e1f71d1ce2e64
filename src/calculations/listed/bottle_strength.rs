//! Whether a bottle bears its gas.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, fold, group};
use crate::calculations::words::{degrees, gauge, pressure_axis, pressure_unit, volumes};
use crate::charts::graph::{Axis, Graph, Mark};
use crate::engine::bottle::Bottle;
use crate::engine::problem::CautionCode;
use crate::web::units::{plain, pressure, temperature};

fn name(bottle: Bottle) -> &'static str {
    match bottle {
        Bottle::Still => "a bottle or jar made for still drinks",
        Bottle::Beer => "an ordinary beer bottle",
        Bottle::Heavy => "a heavy bottle sold with a rating for gas",
        Bottle::SparklingWine => "a bottle made for sparkling wine, wired",
    }
}

fn bottles() -> Vec<(&'static str, String)> {
    Bottle::ALL
        .map(|bottle| (bottle.as_str(), name(bottle).to_owned()))
        .into()
}

pub const PAGE: Page = Page {
    name: "bottle_strength",
    title: "Will the bottle hold?",
    moment: Moment::Finishing,
    line: "The pressure in a closed bottle on a warm day, and whether a bottle of its kind bears it.",
    groups: &[
        group(
            "The bottle and what is in it",
            &[
                field("bottle", "Bottle", Kind::Choice(bottles)).start("beer"),
                field("volumes_co2", "Gas in it", Kind::Gas)
                    .hint("a still mead keeps about 0.8 volumes of its own fermentation")
                    .start("2.4 volumes"),
                field(
                    "warmest_temperature_c",
                    "Warmest it may get",
                    Kind::Temperature,
                )
                .hint("a parcel or a car in the sun: 30 °C and more")
                .starts("30 °C", "86 °F", "30 °C"),
            ],
        ),
        fold(
            "Strength and sugar",
            &[
                field("abv_percent", "Strength", Kind::Percent).start("8 %"),
                field("sugar_g_per_l", "Dissolved sugar", Kind::Dose).start("0 g/L"),
                field(
                    "fermentable_g_per_l",
                    "Of it, what may still ferment",
                    Kind::Dose,
                )
                .hint("4 g/L make a volume of gas; a point of gravity is about 2 g/L")
                .start("0 g/L"),
            ],
        ),
    ],
    answer,
    beside: &[(CautionCode::CountsOnSugar, "volumes_co2")],
    method: Method {
        formula: &[
            "gas in all = volumes + 0.4886 × sugar that may ferment ÷ 1.9768",
            "pressure = what holds that gas dissolved at this temperature + water vapour − 1.013 bar",
        ],
        source: "Carroll, Slupsky and Mather 1991; alcohol and sugar by the EU's formula for sparkling wine; what kinds of bottles hold: common practice, no published source",
        range: "0 to 40 °C, to 10 volumes; ± 3 % against its sources; at sea level",
        leaves_out: "The bottle itself. Where a rating is printed on it, or its maker gives one in writing, that one counts. A scratch, a knock, a used or unknown bottle has no rating at all. A bottle filled to the brim has no cushion: a liquid that warms then presses far harder than said here.",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let (gas, kpa) = (case.out("volumes_co2"), case.out("gauge_kpa"));
    let warmest = case.had("warmest_temperature_c");
    let most = case.out("most_volumes");
    let verdict = match case.says("holds") {
        true => format!(
            "within the {} volumes that such a bottle may hold",
            plain(most, 1)
        ),
        false => format!(
            "more than the {} volumes that such a bottle may hold: it may burst",
            plain(most, 1)
        ),
    };
    let sentence = format!(
        "{} press with {} at {}; that is {verdict}.",
        volumes(gas),
        pressure(kpa / 100.0, units),
        temperature(warmest, units),
    );
    let line = case.line((0.0, 40.0, 40), |case, celsius| {
        let there = case.with(&[("warmest_temperature_c", celsius)])?;
        Some((
            degrees(celsius, units),
            pressure_axis(there.number("gauge_kpa")?, units),
        ))
    });
    Said::new(sentence)
        .figure("gauge_bar", "pressure", gauge(kpa, units))
        .words("above the air's, at sea level")
        .figure("volumes_co2", "gas in all", volumes(gas))
        .figure("most_volumes", "it may hold", format!("{} volumes", plain(most, 1)))
        .words("by its kind: common practice, no published source")
        .drawn(Graph {
            prefix: "bottle".to_owned(),
            title: format!("Pressure of {} by warmth", volumes(gas)),
            description: "The pressure in the closed bottle, by its temperature: the warmer, the harder it presses.".to_owned(),
            x: Axis::new(format!("temperature, {}", units.temperature_unit()), 0),
            y: Axis::new(format!("pressure, {}", pressure_unit(units)), 1),
            points: line,
            marks: vec![Mark {
                x: degrees(warmest, units),
                y: pressure_axis(kpa, units),
                words: pressure(kpa / 100.0, units),
            }],
        })
}
