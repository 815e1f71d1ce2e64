//! Sorbate that keeps yeast from growing again.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::calculations::words::{milligrams, powder, table};
use crate::web::units::volume;

pub const PAGE: Page = Page {
    name: "sorbate",
    title: "How much sorbate?",
    moment: Moment::Finishing,
    line: "Potassium sorbate for a clear mead that is to be sweetened and kept from fermenting again.",
    groups: &[group(
        "The mead",
        &[
            field("litres", "How much", Kind::Volume).starts("19 L", "5 gal", "4 gal"),
            field("sorbic_acid_mg_per_l", "Sorbic acid", Kind::Milligrams)
                .hint("200 to 12 % by volume, 150 at 13 to 14, 100 above: common practice")
                .start("200 mg/L"),
        ],
    )],
    answer,
    beside: &[],
    method: Method {
        formula: &["grams of potassium sorbate = mg/L of sorbic acid × litres ÷ 1000 ÷ 0.7464"],
        source: "molar masses 112.128 and 150.218; 200 mg/L OIV Code II.3.4.5, 300 mg/L 27 CFR 24.246 (from memory: verify); doses by strength: common practice, no published source",
        range: "to 300 mg/L; more is refused. The limits are for wine: look up the law of your place",
        leaves_out: "Whether it holds. Sorbate keeps few yeasts from growing, not many, and stops none at work: rack the clear mead first, give sulfite the same day, wait a day or two before sweetening, two weeks before bottling. Dissolve it in water, never in something sour. Old sorbate is yellow and weak. All of this is common practice.",
    },
};

/// Strength in words, and the usual dose, mg/L (common practice, no published source).
const USUAL: [(&str, f64); 3] = [
    ("to 12 %", 200.0),
    ("13 to 14 %", 150.0),
    ("above 14 %", 100.0),
];

fn answer(case: &Case) -> Said {
    let units = case.units;
    let (dose, grams) = (case.had("sorbic_acid_mg_per_l"), case.out("grams"));
    let litres = volume(case.had("litres"), units);
    let sentence = format!(
        "{} of potassium sorbate bring {litres} to {} of sorbic acid.",
        powder(grams, units),
        milligrams(dose),
    );
    let rows = USUAL.map(|(strength, dose)| {
        let there = case.with(&[("sorbic_acid_mg_per_l", dose)]);
        let grams = there.map_or(f64::NAN, |there| there.out("grams"));
        [strength.to_owned(), milligrams(dose), powder(grams, units)]
    });
    Said::new(sentence)
        .figure("grams", "potassium sorbate", powder(grams, units))
        .tabled(table(
            format!("Usual doses for {litres}; common practice"),
            ["strength of the mead", "sorbic acid", "potassium sorbate"],
            rows,
        ))
}
