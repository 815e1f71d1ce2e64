//! Sugar that makes a mead sparkle in the bottle.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, fold, group};
use crate::calculations::words::{powder, table, volumes};
use crate::engine::bottle::PrimingSugar;
use crate::engine::problem::CautionCode;
use crate::web::units::{fixed, grams_per_litre, plain, volume};

fn name(sugar: PrimingSugar) -> &'static str {
    match sugar {
        PrimingSugar::Sucrose => "table sugar",
        PrimingSugar::GlucoseMonohydrate => "glucose powder, with its water",
        PrimingSugar::GlucoseAnhydrous => "glucose, dry",
        PrimingSugar::Fructose => "fruit sugar",
        PrimingSugar::Honey80 => "honey, 80 % of it sugar that ferments",
        PrimingSugar::Honey77 => "honey, 77 % of it sugar that ferments",
    }
}

fn sugars() -> Vec<(&'static str, String)> {
    PrimingSugar::ALL
        .map(|sugar| (sugar.as_str(), name(sugar).to_owned()))
        .into()
}

pub const PAGE: Page = Page {
    name: "prime",
    title: "How much sugar makes it sparkle?",
    moment: Moment::Finishing,
    line: "Sugar for a dry, finished mead that is to ferment once more in bottles made for pressure.",
    groups: &[
        group(
            "The mead",
            &[
                field("litres", "How much", Kind::Volume).starts("19 L", "5 gal", "4 gal"),
                field("warmest_temperature_c", "Warmest since it finished", Kind::Temperature)
                    .hint("the warmer it stood, the less gas is still in it")
                    .starts("20 °C", "68 °F", "20 °C"),
                field("abv_percent", "Strength", Kind::Percent).start("8 %"),
            ],
        ),
        group(
            "The sparkle",
            &[
                field("volumes_co2", "Gas wanted", Kind::Gas)
                    .hint("an ordinary beer bottle holds 2.5 volumes, a heavy one 3.5, one for sparkling wine 5: common practice")
                    .start("2.4 volumes"),
                field("sugar", "Sugar", Kind::Choice(sugars)).start("sucrose"),
            ],
        ),
        fold(
            "Sugar that is in it already",
            &[
                field("sugar_g_per_l", "Dissolved sugar", Kind::Dose)
                    .hint("a sweet drink dissolves less gas")
                    .start("0 g/L"),
                field("fermentable_g_per_l", "Of it, what may still ferment", Kind::Dose)
                    .hint("counted as gas that will come")
                    .start("0 g/L"),
            ],
        ),
    ],
    answer,
    beside: &[(CautionCode::CountsOnSugar, "residual_volumes")],
    method: Method {
        formula: &[
            "gas that is there = what dissolves at the warmest temperature under air pressure",
            "grams in a litre = (volumes wanted − volumes there − volumes to come) × 1.9768 ÷ gas from a gram",
            "gas from a gram: glucose and fruit sugar 0.4886 g, table sugar 0.5143, glucose with its water 0.4442",
        ],
        source: "stoichiometry; solubility Carroll, Slupsky and Mather 1991, alcohol and sugar by the EU's formula for sparkling wine; what bottles hold: common practice, no published source",
        range: "0 to 40 °C, to 30 % by volume; more than 5 volumes, or less than is there, is refused",
        leaves_out: "Nothing on the careful side: the yield is the most that sugar can give, and about 95 % of it comes in practice. Gas that was stirred out is not known, so a degassed mead sparkles less. A stabilised mead does not ferment again: it cannot be primed. Above 13 to 14 % or after six months it wants fresh yeast, and may stay flat.",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let (grams, litres) = (case.out("grams"), case.had("litres"));
    let sentence = format!(
        "{} of {} bring {} to {} volumes of gas.",
        powder(grams, units),
        case.called("sugar"),
        volume(litres, units),
        plain(case.had("volumes_co2"), 2),
    );
    let rows = PrimingSugar::ALL.into_iter().filter_map(|sugar| {
        let grams = case.choosing("sugar", sugar.as_str())?.number("grams")?;
        Some([
            name(sugar).to_owned(),
            powder(grams, units),
            grams_per_litre(grams / litres),
        ])
    });
    Said::new(sentence)
        .figure("grams", "sugar to add", powder(grams, units))
        .words(format!(
            "weighed; that is {}",
            grams_per_litre(grams / litres)
        ))
        .figure(
            "residual_volumes",
            "gas that is there",
            volumes(case.out("residual_volumes")),
        )
        .words(format!(
            "{} g in a litre, if it was not stirred out",
            fixed(case.out("residual_volumes") * 1.9768, 1)
        ))
        .tabled(table(
            "The same sparkle with another sugar",
            ["sugar", "in all", "in a litre"],
            rows,
        ))
}
