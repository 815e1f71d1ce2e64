//! Honey that sweetens a finished mead.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::calculations::words::{fine_gravity, heavy};
use crate::charts::graph::{Axis, Graph, Mark};
use crate::engine::problem::{Arguments, CautionCode, Severity};
use crate::web::units::{abv, fixed, grams_per_litre, gravity, mass, mass_both, volume};

pub const PAGE: Page = Page {
    name: "sweeten",
    title: "How much honey to sweeten it?",
    moment: Moment::Finishing,
    line: "The honey or sugar that brings a finished, stabilised mead to a gravity, and what the mead is then.",
    groups: &[
        group(
            "The mead",
            &[
                field("litres", "How much", Kind::Volume).starts("19 L", "5 gal", "4 gal"),
                field("fg", "Gravity now", Kind::Gravity).start("0.998"),
                field("abv_percent", "Strength", Kind::Percent).start("12 %"),
                field("residual_sugar_g_per_l", "Sugar that is left", Kind::Dose)
                    .hint("0 in a dry mead; only for the sugar told at the end")
                    .start("0 g/L"),
            ],
        ),
        group(
            "The aim",
            &[
                field("target_sg", "Gravity wanted", Kind::Gravity)
                    .hint("to 1.010 counts as dry, to 1.025 as medium, above as sweet; stop 2 or 3 points short, and taste again")
                    .start("1.010"),
                field("composition", "Sweetened with", Kind::Sweetener).start("honey-wildflower"),
            ],
        ),
    ],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "what is dissolved in the mead follows from its gravity and its strength",
            "water, sugar and the rest of the honey are added to it by weight; volume and gravity follow from the density",
            "the amount is solved until the gravity is the one wanted; alcohol stays, so the strength falls",
        ],
        source: "Tabarié, OIV-MA-AS2-03B; densities ICUMSA SPS-4 and OIML R 22; composition of the sweetener: the catalogue, with its sources",
        range: "gravity 0.975 to 1.200; nothing ferments",
        leaves_out: "Whether it stays quiet: that is what sulfite and sorbate are for, after racking, and two weeks under the airlock. Honeys differ in water by a few percent, and so does the amount. Taste depends on acid and tannin as much as on sugar: try it in a glass first, with a weighed spoon.",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let kg = case.out("kg");
    let (from, to) = (case.had("fg"), case.had("target_sg"));
    let with = case.called("composition");
    let sentence = format!(
        "{} of {} bring it from {} to {}; that makes {} at {}.",
        mass(kg, units),
        lower(&with),
        gravity(from),
        gravity(to),
        volume(case.out("litres"), units),
        abv(case.out("abv_percent")),
    );
    let high = to.max(from + 0.02);
    let line = case.line((from, high, 40), |case, sg| {
        let there = case.with(&[("target_sg", sg)])?;
        Some((sg, heavy(there.number("kg")?, units)))
    });
    let sugar = case.out("sugar_g_per_l");
    let said = Said::new(sentence)
        .figure("kg", "to add", mass_both(kg, units))
        .figure("litres", "volume then", volume(case.out("litres"), units))
        .figure(
            "abv_percent",
            "strength then",
            format!("{} %", fixed(case.out("abv_percent"), 2)),
        )
        .figure("sg", "gravity then", fine_gravity(case.out("sg")))
        .figure(
            "sugar_g_per_l",
            "sugar that ferments, then",
            grams_per_litre(sugar),
        )
        .drawn(Graph {
            prefix: "sweeten".to_owned(),
            title: "How much, by the gravity wanted".to_owned(),
            description: format!(
                "The amount of {} for a gravity from {} to {}.",
                lower(&with),
                gravity(from),
                gravity(high)
            ),
            x: Axis::new("gravity wanted", 3),
            y: Axis::new(format!("to add, {}", units.mass_words()), 2),
            points: line,
            marks: vec![Mark {
                x: to,
                y: heavy(kg, units),
                words: mass(kg, units),
            }],
        });
    match kg > 0.0 {
        true => said.beware(
            CautionCode::StabiliseBeforeBottling,
            Severity::Danger,
            Arguments::none().with("residual_sugar_g_per_l", sugar),
        ),
        false => said,
    }
}

/// A name within a sentence.
fn lower(name: &str) -> String {
    let mut letters = name.chars();
    let first = letters.next();
    first
        .map(|first| first.to_lowercase().chain(letters).collect())
        .unwrap_or_default()
}
