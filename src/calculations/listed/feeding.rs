//! Food for the yeast by a plan, followed exactly.

use crate::calculations::case::Case;
use crate::calculations::model::{Kind, Method, Moment, Page, Said, field, fold, group};
use crate::calculations::words::{milligrams, powder, table, teaspoons};
use crate::engine::problem::{Arguments, CautionCode, Severity};
use crate::web::units::{grams_per_litre, gravity, volume};

fn plans() -> Vec<(&'static str, String)> {
    [
        (
            "mixed_then_dap_then_organic",
            "mixed nutrient, then DAP, then organic",
        ),
        ("dap_then_organic", "DAP as far as it may go, then organic"),
        ("mixed_only", "mixed nutrient alone"),
        ("organic_only", "organic nutrient alone"),
        ("organic_first_then_dap", "organic nutrient, then DAP"),
    ]
    .map(|(plan, words)| (plan, words.to_owned()))
    .into()
}

pub const PAGE: Page = Page {
    name: "feeding",
    title: "How much does the yeast need?",
    moment: Moment::BeforePitching,
    line: "The nitrogen that a must of this gravity asks for, and the grams of food that bring it.",
    groups: &[
        group(
            "The must",
            &[
                field("litres", "How much", Kind::Volume).starts("20 L", "5 gal", "4 gal"),
                field("og", "Gravity at the start", Kind::Gravity)
                    .hint("of all that will ferment")
                    .start("1.090"),
                field("must_yan_mg_per_l", "Nitrogen that is there", Kind::Milligrams)
                    .hint("measured, or 0: honey brings next to none")
                    .start("0 mg/L"),
                field("nitrogen_need", "Yeast", Kind::Yeast)
                    .hint("a class, or a yeast of the catalogue")
                    .start("medium"),
            ],
        ),
        group(
            "What you feed",
            &[
                field("plan", "In which order", Kind::Choice(plans)).start("mixed_then_dap_then_organic"),
                field("mixed_g_per_l", "Mixed nutrient", Kind::Dose)
                    .hint("where it comes first: 0.8 to 0.9 g/L is common practice")
                    .start("0.8 g/L"),
                field("organic_g_per_l", "Organic nutrient", Kind::Dose)
                    .hint("where it comes first: 0.6 to 1 g/L is common practice")
                    .start("0.6 g/L"),
            ],
        ),
        fold(
            "Ceiling for DAP, and the gravity at the end",
            &[
                field("dap_cap_g_per_l", "DAP at most", Kind::Dose)
                    .hint("0.96 g/L: rule for wine in the United States (27 CFR 24.246, from memory: verify). Your own law may differ; half of it is mostly enough")
                    .start("0.96 g/L"),
                field("expected_fg", "Gravity expected at the end", Kind::Gravity)
                    .hint("for the one-third break; empty: honey of whose solids 89 % ferment"),
            ],
        ),
    ],
    answer,
    beside: &[],
    method: Method {
        formula: &[
            "sugar S = 10 × °Bx × gravity × 0.998203 g/L",
            "nitrogen asked for = 0.75, 0.90 or 1.25 mg to a gram of sugar, by the yeast's class",
            "what is missing, by the plan: DAP 212.13, mixed nutrient 100, organic nutrient 40 mg of nitrogen to a gram",
            "one-third break = start − (start − end) ÷ 3",
        ],
        source: "classes and yields of mixed and organic nutrient: common practice, no published source; DAP by its formula (2 × 14.0067 ÷ 132.056); ceiling 27 CFR 24.246, from memory: verify",
        range: "gravity 1.000 to 1.200; grams per teaspoon ± 20 %, from memory: verify",
        leaves_out: "It follows the plan to the letter and asks for the whole demand. In practice four fifths of it, and at most 250 mg/L, are enough, and DAP above 0.6 g/L seldom helps (common practice). Labels of mixed nutrients range from 80 to 140 mg/g, of organic ones from 20 to 60: read yours. Cold musts, minerals and vitamins are not counted. Never DAP in the water that the yeast is woken in.",
    },
};

/// Feeds of a plan: output, name, feed of the catalogue.
const FEEDS: [(&str, &str, &str); 3] = [
    ("mixed_g", "mixed nutrient", "feed-mixed"),
    ("dap_g", "DAP", "feed-dap"),
    ("organic_g", "organic nutrient", "feed-organic"),
];

fn answer(case: &Case) -> Said {
    let units = case.units;
    let litres = case.had("litres");
    let fed: Vec<_> = FEEDS
        .into_iter()
        .filter(|(key, ..)| case.out(key) > 0.0)
        .collect();
    let list: Vec<String> = fed
        .iter()
        .map(|(key, name, _)| format!("{} of {name}", powder(case.out(key), units)))
        .collect();
    let list = match list.split_last() {
        None => "nothing".to_owned(),
        Some((only, [])) => only.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
    };
    let sentence = format!(
        "{} at {} ask for {} of nitrogen: {list}.",
        volume(litres, units),
        gravity(case.had("og")),
        milligrams(case.out("demand_mg_per_l")),
    );
    let said = fed
        .iter()
        .fold(Said::new(sentence), |said, (key, name, feed)| {
            let grams = case.out(key);
            said.figure(key, name, powder(grams, units))
                .words(teaspoons(feed, grams))
        });
    let shortfall = case.out("shortfall_mg_per_l");
    let rows = FEEDS.map(|(key, name, _)| {
        let grams = case.out(key);
        [
            name.to_owned(),
            powder(grams, units),
            grams_per_litre(grams / litres),
            powder(grams / 4.0, units),
        ]
    });
    let said = said
        .figure(
            "deficit_mg_per_l",
            "nitrogen to bring",
            milligrams(case.out("deficit_mg_per_l")),
        )
        .words(match shortfall > 0.0 {
            true => format!(
                "{} of it stay unmet; that is seldom a loss",
                milligrams(shortfall)
            ),
            false => String::new(),
        })
        .figure(
            "sugar_g_per_l",
            "sugar",
            grams_per_litre(case.out("sugar_g_per_l")),
        )
        .figure(
            "one_third_break_sg",
            "one-third break",
            gravity(case.out("one_third_break_sg")),
        )
        .words("no ammonium, such as DAP, once it stands here")
        .tabled(table(
            "Feeds of this plan",
            ["feed", "in all", "in a litre", "one of four parts"],
            rows,
        ));
    match fed.is_empty() {
        true => said,
        false => said.beware(
            CautionCode::StirBeforeFeeding,
            Severity::Watch,
            Arguments::none(),
        ),
    }
}
