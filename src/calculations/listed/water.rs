//! What the water holds, with salts in it.

use crate::calculations::case::Case;
use crate::calculations::model::{Field, Kind, Method, Moment, Page, Said, field, fold, group};
use crate::calculations::words::table;
use crate::engine::problem::CautionCode;
use crate::engine::water::Ions;
use crate::web::units::fixed;

const fn ion(key: &'static str, label: &'static str, start: &'static str) -> Field {
    field(key, label, Kind::Milligrams).start(start)
}

pub const PAGE: Page = Page {
    name: "water",
    title: "What is in the water?",
    moment: Moment::BeforePitching,
    line: "The minerals of the water by its report, and what salts make of them.",
    groups: &[
        group(
            "The water",
            &[field("litres", "How much", Kind::Volume).starts("15 L", "4 gal", "3 gal")],
        ),
        group(
            "What its report says",
            &[
                ion("report/calcium", "Calcium", "40 mg/L"),
                ion("report/magnesium", "Magnesium", "6 mg/L"),
                ion("report/sodium", "Sodium", "12 mg/L"),
                ion("report/potassium", "Potassium", "2 mg/L"),
                ion("report/bicarbonate", "Bicarbonate", "120 mg/L"),
                ion("report/sulfate", "Sulfate", "20 mg/L"),
                ion("report/chloride", "Chloride", "18 mg/L"),
                ion("report/nitrate", "Nitrate", "10 mg/L"),
            ],
        ),
        group(
            "Salts that go in",
            &[
                field(
                    "salts/potassium_bicarbonate",
                    "Potassium bicarbonate",
                    Kind::Grams,
                )
                .hint("0.25 g/L for a plain honey must: common practice")
                .start("4 g"),
                field("salts/gypsum", "Gypsum", Kind::Grams),
                field(
                    "salts/calcium_chloride_dihydrate",
                    "Calcium chloride",
                    Kind::Grams,
                )
                .hint("with its water, as it is sold"),
                field("salts/epsom_salt", "Epsom salt", Kind::Grams),
                field("salts/table_salt", "Table salt", Kind::Grams),
                field("salts/sodium_bicarbonate", "Baking soda", Kind::Grams),
            ],
        ),
        fold(
            "Rarer salts, and alkalinity in place of bicarbonate",
            &[
                field(
                    "report/alkalinity_caco3",
                    "Alkalinity, as calcium carbonate",
                    Kind::Milligrams,
                )
                .hint("leave bicarbonate empty then"),
                field("salts/chalk", "Chalk", Kind::Grams).hint("hardly dissolves in plain water"),
                field("salts/slaked_lime", "Slaked lime", Kind::Grams).hint("caustic"),
                field(
                    "salts/potassium_carbonate",
                    "Potassium carbonate",
                    Kind::Grams,
                )
                .hint("caustic"),
                field(
                    "salts/potassium_chloride",
                    "Potassium chloride",
                    Kind::Grams,
                ),
                field("salts/potassium_sulfate", "Potassium sulfate", Kind::Grams),
                field(
                    "salts/magnesium_chloride",
                    "Magnesium chloride",
                    Kind::Grams,
                )
                .hint("with its water, as it is sold"),
                field(
                    "salts/calcium_chloride_anhydrous",
                    "Calcium chloride, dry",
                    Kind::Grams,
                ),
            ],
        ),
    ],
    answer,
    beside: &[(CautionCode::WaterReportUneven, "charge_imbalance_percent")],
    method: Method {
        formula: &[
            "mg/L of an ion = report + 1000 × grams of salt × its share of the ion ÷ litres",
            "alkalinity = 50.043 × milliequivalents of bicarbonate, carbonate and hydroxide",
            "imbalance = (positive − negative) ÷ (positive + negative) milliequivalents",
        ],
        source: "stoichiometry with the IUPAC atomic weights of 2021; ion shares and alkalinity agree with phreeqc; 5 % of imbalance as the sign of a slip: common practice, no published source",
        range: "all salts count as dissolved; what does not dissolve is said beside the number",
        leaves_out: "Water is reported as it was on one day of one year; a softener changes all of it. Salts draw water from the air and then weigh too much. What the honey and the fruit bring is not counted, and no pH follows from these numbers alone.",
    },
};

fn answer(case: &Case) -> Said {
    let alkalinity = case.out("alkalinity_mg_per_l_caco3");
    let ion = |case: &Case, name: &str| case.out(&format!("ions/{name}"));
    let whole = |value: f64| format!("{} mg/L", fixed(value, 0));
    let sentence = format!(
        "With its salts this water holds {} of potassium, {} of calcium and {} of magnesium; its alkalinity is {}.",
        whole(ion(case, "potassium")),
        whole(ion(case, "calcium")),
        whole(ion(case, "magnesium")),
        whole(alkalinity),
    );
    let before = case.without("salts");
    let rows = Ions::names().map(|name| {
        let was = before.as_ref().map_or(f64::NAN, |case| ion(case, name));
        [name.to_owned(), fixed(was, 0), fixed(ion(case, name), 0)]
    });
    let imbalance = case.number("charge_imbalance_percent");
    Said::new(sentence)
        .figure("alkalinity_mg_per_l_caco3", "alkalinity", whole(alkalinity))
        .words("as calcium carbonate: what has to be soured before the pH moves")
        .figure(
            "charge_imbalance_percent",
            "the report's balance",
            imbalance.map_or("–".to_owned(), |off| {
                format!("{} % off", fixed(off.abs(), 1))
            }),
        )
        .words("positive and negative charges must be equal; up to 5 % is well")
        .tabled(table(
            "Ions, mg/L",
            ["ion", "as it comes", "with the salts"],
            rows,
        ))
}
