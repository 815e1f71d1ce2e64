//! That every code of the engine has plain English, with arguments the engine gives, in the reader's units.

mod log;
mod plan;

use std::collections::{BTreeSet, HashMap};
use std::fs;
use std::path::PathBuf;

use mustwright::engine::allergens;
use mustwright::engine::plants::PLANTS;
use mustwright::engine::problem::{CautionCode, ProblemCode};
use mustwright::web::units::Units;
use mustwright::web::words::{
    Saying, WAYS, caution_sayings, caution_sentence, problem_sayings, problem_sentence,
    problem_sentence_at, reason,
};
use serde_json::json;

fn source(file: &str) -> String {
    fs::read_to_string(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(file)).unwrap()
}

/// Code → the words in backticks of its comment, which name its arguments.
fn arguments_by_code() -> HashMap<String, BTreeSet<String>> {
    let mut found = HashMap::new();
    let mut comment = String::new();
    for line in source("src/engine/problem.rs").lines().map(str::trim) {
        if let Some(text) = line.strip_prefix("///") {
            comment.push_str(text);
        } else if let Some((_, code)) = line
            .strip_suffix("\",")
            .and_then(|line| line.split_once(" = \""))
        {
            let names = comment
                .split('`')
                .skip(1)
                .step_by(2)
                .map(str::to_owned)
                .collect();
            found.insert(code.to_owned(), names);
            comment.clear();
        } else {
            comment.clear();
        }
    }
    found
}

fn slots(saying: &Saying) -> Vec<(&'static str, &'static str)> {
    saying
        .sentence
        .split('{')
        .skip(1)
        .map(|slot| {
            let (slot, _) = slot
                .split_once('}')
                .unwrap_or_else(|| panic!("{}: open brace", saying.code));
            slot.split_once(':').unwrap_or((slot, ""))
        })
        .collect()
}

#[test]
fn every_code_of_the_engine_has_words_and_no_words_are_left_over() {
    let codes = |sayings: &[Saying]| sayings.iter().map(|saying| saying.code).collect::<Vec<_>>();
    let cautions: BTreeSet<&str> = CautionCode::ALL.iter().map(|code| code.as_str()).collect();
    let problems: BTreeSet<&str> = ProblemCode::ALL.iter().map(|code| code.as_str()).collect();
    for (sayings, wanted) in [
        (codes(caution_sayings()), cautions),
        (codes(problem_sayings()), problems),
    ] {
        assert_eq!(sayings.iter().copied().collect::<BTreeSet<_>>(), wanted);
        assert_eq!(sayings.len(), wanted.len(), "a code twice");
    }
}

#[test]
fn sentences_use_only_the_arguments_that_the_engine_gives() {
    let known = arguments_by_code();
    assert!(known.len() >= 50, "{}", known.len());
    for saying in caution_sayings().iter().chain(problem_sayings()) {
        for (name, way) in slots(saying) {
            assert!(
                known[saying.code].contains(name),
                "{} knows no {name}",
                saying.code
            );
            assert!(WAYS.contains(&way), "{}: {way}", saying.code);
        }
    }
}

#[test]
fn sayings_are_plain() {
    for saying in caution_sayings().iter().chain(problem_sayings()) {
        assert!(
            (1..=6).contains(&saying.lead.split(' ').count()),
            "{}",
            saying.code
        );
        assert!(saying.sentence.ends_with('.'), "{}", saying.code);
        let lower = format!("{} {}", saying.lead, saying.sentence).to_lowercase();
        for word in [
            "invalid", "please", "oops", "error", "warning", "sorry", "json", "_ ",
        ] {
            assert!(!lower.contains(word), "{}: {word}", saying.code);
        }
    }
}

#[test]
fn arguments_are_printed_in_the_readers_units() {
    let words = problem_sentence(
        "yeast_cannot_reach",
        &json!({"wanted": 18.0, "reachable": 14.26}),
        Units::Metric,
    );
    assert_eq!(words.lead, "Too strong for this yeast");
    assert!(
        words.sentence.starts_with(
            "18.0 % is wanted, but this yeast gets no further than about 14.3 % here."
        )
    );
    let arguments = json!({"temperature_c": 28.0, "low_c": 10.0, "high_c": 20.0});
    let words = caution_sentence("outside_yeast_temperature", &arguments, Units::Us);
    assert_eq!(
        words.sentence,
        "82.4 °F is planned; this yeast works well from 50 °F to 68 °F."
    );
    let arguments = json!({"fill_l": 22.0, "brim_l": 20.0, "wanted_brim_l": 25.882});
    let words = caution_sentence("vessel_too_small", &arguments, Units::Metric);
    assert!(
        words
            .sentence
            .starts_with("22 L do not go into a vessel of 20 L. Take one of 25.9 L")
    );
    let missing =
        |key: &str| problem_sentence("missing", &json!({"key": key}), Units::Metric).sentence;
    assert_eq!(missing("volume_l"), "The volume is needed here.");
    assert_eq!(missing("when"), "“when” is needed here.");
    let words = problem_sentence("composition_sum", &json!({"sum": 1.0125}), Units::Metric);
    assert!(words.sentence.ends_with("here they make 101.25 %."));
}

#[test]
fn a_number_out_of_range_carries_the_unit_of_its_place() {
    let table = [
        ("/volume_l", "20 L", "5.28 gal"),
        ("/vessel/brim_l", "20 L", "5.28 gal"),
        ("/ingredients/3/amount/l", "20 L", "5.28 gal"),
        ("/ingredients/3/amount/kg", "20 kg", "44 lb 1 oz"),
        ("/aim/use_honey_kg", "20 kg", "44 lb 1 oz"),
        ("/ingredients/0/amount/g_per_l", "20 g/L", "20 g/L"),
        ("/nutrients/1/max_g_per_l", "20 g/L", "20 g/L"),
        ("/temperature_c", "20 °C", "68 °F"),
        ("/yeasts/0/temperature_c/1", "20 °C", "68 °F"),
        ("/aim/abv_percent", "20 %", "20 %"),
        ("/yeasts/0/tolerance_abv_percent", "20 %", "20 %"),
        ("/aim/gravity_sg", "20.000", "20.000"),
        ("/finish/arrest_to_sg", "20.000", "20.000"),
        ("/vessel/headspace_fraction", "2000 %", "2000 %"),
        ("/ingredients/0/composition/water", "2000 %", "2000 %"),
        (
            "/ingredients/0/composition/spread/water",
            "2000 %",
            "2000 %",
        ),
        ("/nutrients/0/share", "2000 %", "2000 %"),
        (
            "/ingredients/0/composition/yan_mg_per_kg",
            "20 mg/kg",
            "20 mg/kg",
        ),
        (
            "/ingredients/0/composition/ta_g_per_kg",
            "20 g/kg",
            "20 g/kg",
        ),
        (
            "/ingredients/0/composition/density_kg_per_l",
            "20 kg/L",
            "20 kg/L",
        ),
        ("/nutrients/0/organic_yan_mg_per_g", "20 mg/g", "20 mg/g"),
        ("/ingredients/0/price_per_kg", "20.00 per kg", "9.07 per lb"),
        ("/ingredients/0/days", "20 days", "20 days"),
        ("/water_report/ions/calcium", "20 mg/L", "20 mg/L"),
        ("/water_report/salts/gypsum", "20 g", "20 g"),
        ("/ingredients/0/amount/share", "20", "20"),
    ];
    let arguments = json!({"given": 20.0, "low": 20.0, "high": 20.0});
    for (path, metric, us) in table {
        for (units, wanted) in [(Units::Metric, metric), (Units::Us, us)] {
            let said = problem_sentence_at("out_of_range", path, &arguments, units).sentence;
            assert_eq!(
                said,
                format!(
                    "{wanted} is outside what can be reckoned with. Write a value from {wanted} to {wanted}."
                ),
                "{path}"
            );
        }
    }
    let reversed = json!({"low": 25.0, "high": 20.0});
    let path = "/yeasts/0/temperature_c";
    let said = problem_sentence_at("range_reversed", path, &reversed, Units::Us).sentence;
    assert_eq!(
        said,
        "The lowest, 77 °F, lies above the highest, 68 °F. Swap them."
    );
}

#[test]
fn a_missing_argument_or_an_unknown_code_still_makes_a_sentence() {
    let words = problem_sentence("yeast_cannot_reach", &json!({}), Units::Metric);
    assert!(words.sentence.starts_with("– is wanted"));
    let words = caution_sentence("never_heard_of", &json!({}), Units::Metric);
    assert!(words.sentence.contains("never heard of"));
}

#[test]
fn every_rule_reason_and_advice_has_a_half_sentence() {
    // The codes are words of the engine's own files: those that stand where a rule, a reason or an advice is given.
    let style = source("src/engine/style.rs");
    let mut codes: BTreeSet<String> = BTreeSet::new();
    for (at, _) in style.match_indices("rule: \"") {
        codes.insert(quoted(&style[at..]));
    }
    for line in style
        .lines()
        .filter(|line| line.contains("word(") || line.trim().starts_with("(\""))
    {
        let last = line.rsplit('"').nth(1).unwrap_or_default();
        if !last.is_empty() {
            codes.insert(last.to_owned());
        }
    }
    for code in ["all_at_pitch", "four_parts", "nothing_needed", "no_feed"] {
        assert!(
            source("src/engine/feeding.rs").contains(&format!("\"{code}\"")),
            "{code}"
        );
        codes.insert(code.to_owned());
    }
    for code in ["fits", "foam_may_overflow", "too_small", "choose_a_vessel"] {
        assert!(
            source("src/engine/vessel.rs").contains(&format!("\"{code}\"")),
            "{code}"
        );
        codes.insert(code.to_owned());
    }
    for code in [
        "acid_leads",
        "acid_a_little_ahead",
        "sugar_a_little_ahead",
        "sugar_leads",
    ] {
        assert!(
            source("src/engine/taste.rs").contains(&format!("\"{code}\"")),
            "{code}"
        );
        codes.insert(code.to_owned());
    }
    codes.extend(["sugar", "tolerance"].map(str::to_owned));
    codes.extend(PLANTS.iter().map(|plant| plant.why.to_owned()));
    codes.extend(allergens::codes().map(str::to_owned));
    assert!(codes.len() >= 70, "{codes:?}");
    let without: Vec<&String> = codes.iter().filter(|code| reason(code).is_none()).collect();
    assert!(without.is_empty(), "{without:?}");
    assert_eq!(reason("never_heard_of"), None);
}

fn quoted(text: &str) -> String {
    text.split('"').nth(1).unwrap_or_default().to_owned()
}
