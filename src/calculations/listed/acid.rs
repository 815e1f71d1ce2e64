//! Acid, and what takes it away.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, group};
use crate::calculations::words::{powder, table};
use crate::engine::acid::{Acid, Addition};
use crate::web::units::{grams_per_litre, volume};

fn name(addition: Addition) -> &'static str {
    match addition {
        Addition::Acid(Acid::CitricMonohydrate) => "citric acid, with its water",
        Addition::Acid(Acid::Tartaric) => "tartaric acid",
        Addition::Acid(Acid::Malic) => "malic acid",
        Addition::Acid(Acid::Citric) => "citric acid, dry",
        Addition::Acid(Acid::Lactic) => "lactic acid, pure",
        Addition::Acid(other) => other.as_str(),
        Addition::PotassiumCarbonate => "potassium carbonate",
        Addition::PotassiumBicarbonate => "potassium bicarbonate",
        Addition::CalciumCarbonate => "chalk (calcium carbonate)",
        Addition::SodiumBicarbonate => "baking soda (sodium bicarbonate)",
    }
}

fn additions() -> Vec<(&'static str, String)> {
    Addition::ALL
        .map(|addition| (addition.as_str(), name(addition).to_owned()))
        .into()
}

pub const PAGE: Page = Page {
    name: "acid",
    title: "Sharper or softer: how much acid, or chalk?",
    moment: Moment::Finishing,
    line: "The grams that raise or lower the acidity of a finished mead by so much.",
    groups: &[group(
        "The mead",
        &[
            field("litres", "How much", Kind::Volume).starts("19 L", "5 gal", "4 gal"),
            field("acid", "With", Kind::Choice(additions)).start("tartaric"),
            field("ta_change_g_per_l", "Change of acidity", Kind::Dose)
                .hint("g/L counted as tartaric acid; with a minus it is lowered. Begin with half a gram, and taste")
                .start("0.5 g/L"),
        ],
    )],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "grams = change × litres ÷ what a gram of it changes",
            "to a gram in a litre: tartaric 1, malic 1.119, citric 1.172 (with its water 1.071), lactic 0.833 g/L as tartaric",
            "potassium carbonate −1.086, potassium bicarbonate −0.750, chalk −1.500, baking soda −0.893",
        ],
        source: "stoichiometry with the IUPAC atomic weights of 2021, every proton up to pH 8.2; carbon dioxide escapes, no bitartrate falls out (right for mead, wrong for grape wine)",
        range: "changes to 20 g/L; pure, dry substances. Lactic acid is sold as a solution of 80 to 88 %: take so much more",
        leaves_out: "The pH, which does not follow from acidity alone: measure it before and after. Taste goes by acid, sugar and tannin together. Never sour a must before it ferments: a honey must holds its pH poorly, and the yeast stalls. Chalk leaves a chalky taste in large doses, baking soda a salty one (common practice).",
    },
};

fn answer(case: &Case) -> Said {
    let units = case.units;
    let (change, grams) = (case.had("ta_change_g_per_l"), case.out("grams"));
    let litres = volume(case.had("litres"), units);
    let sentence = format!(
        "{} of {} {} the acidity of {litres} by {}.",
        powder(grams, units),
        case.called("acid"),
        if change < 0.0 { "lower" } else { "raise" },
        grams_per_litre(change.abs()),
    );
    let rows = Addition::ALL.into_iter().filter_map(|addition| {
        let there = case.choosing("acid", addition.as_str())?;
        Some([
            name(addition).to_owned(),
            powder(there.number("grams")?, units),
        ])
    });
    Said::new(sentence)
        .figure("grams", "to add", powder(grams, units))
        .words("give half, wait a day, measure and taste, then decide")
        .tabled(table(
            "The same change with others",
            ["with", "to add"],
            rows,
        ))
}
