//! Single calculations against their tables, and their strict reading.

use std::collections::HashMap;

use mustwright::engine::calculations::{Answer, LIST, calculate};
use mustwright::engine::json::Json;
use mustwright::engine::problem::ProblemCode;
use proptest::prelude::*;

use crate::support::{any_number, close, table};

pub fn ask(name: &str, input: &str) -> Answer {
    let input = Json::parse(input).expect("JSON");
    calculate(name, &input).expect("a calculation of that name")
}

/// The numbers of an answer; null is left out.
#[track_caller]
pub fn numbers(name: &str, input: &str) -> HashMap<String, f64> {
    let Json::Object(members) =
        ask(name, input).unwrap_or_else(|problems| panic!("{input}: {problems:?}"))
    else {
        panic!("no object");
    };
    let numbers = members.into_iter().filter_map(|(key, value)| match value {
        Json::Number(number) => Some((key, number)),
        _ => None,
    });
    numbers.collect()
}

#[track_caller]
pub fn faults(name: &str, input: &str) -> Vec<(ProblemCode, String)> {
    match ask(name, input) {
        Ok(output) => panic!("{input}: {output:?}"),
        Err(problems) => problems
            .into_iter()
            .map(|problem| (problem.code, problem.path))
            .collect(),
    }
}

/// ICUMSA SPS-4, the whole table both ways.
#[test]
fn gravity_from_any_of_three() {
    for row in table("brix_sg") {
        let (brix, tolerance) = (row.number("mass_pct"), row.number("tolerance_sg"));
        let from_brix = numbers("gravity", &format!(r#"{{"brix": {brix}}}"#));
        row.expect("sg_20_20", from_brix["sg"], tolerance);
        for (key, value) in [
            ("sg", from_brix["sg"]),
            ("density_kg_per_m3", from_brix["density_kg_per_m3"]),
        ] {
            let other = numbers("gravity", &format!(r#"{{"{key}": {value}}}"#));
            close(other["brix"], brix, 1e-7, "mass %");
            close(other["sg"], from_brix["sg"], 1e-10, "SG");
        }
        let extract = brix / 100.0 * from_brix["density_kg_per_m3"];
        close(from_brix["extract_g_per_l"], extract, 1e-9, "g/L");
    }
    // The potential is what alcohol says of the lowest final gravity.
    let found = numbers("gravity", r#"{"sg": 1.1}"#);
    let floor = mustwright::engine::alcohol::lowest_final_gravity(crate::support::sg(1.1))
        .expect("in range")
        .get();
    let all = numbers("alcohol", &format!(r#"{{"og": 1.1, "fg": {floor}}}"#));
    close(
        found["potential_abv_percent"],
        all["abv_percent"],
        1e-6,
        "potential",
    );
}

/// The whole table of corrections; tolerances of its rows.
#[test]
fn hydrometer_away_from_its_temperature() {
    for row in table("hydrometer_correction") {
        let input = format!(
            r#"{{"reading_sg": {}, "temperature_c": {}, "calibration_c": {}, "abv_percent": {}}}"#,
            row.text("reading_sg"),
            row.text("temp_c"),
            row.text("cal_temp_c"),
            row.text("abv_pct"),
        );
        row.expect(
            "corrected_sg",
            numbers("hydrometer", &input)["sg"],
            row.number("tolerance_sg"),
        );
    }
    // Defaults: marked for 20 °C, no alcohol.
    let short = numbers("hydrometer", r#"{"reading_sg": 1.05, "temperature_c": 30}"#);
    let long = numbers(
        "hydrometer",
        r#"{"reading_sg": 1.05, "temperature_c": 30, "calibration_c": 20, "abv_percent": 0}"#,
    );
    assert_eq!(short["sg"], long["sg"]);
    close(short["sg"], 1.0528, 0.0002, "the reference's own row");
}

/// The whole table of gravities, and the duty table's worked examples and bands, uncut.
#[test]
fn alcohol_from_gravities() {
    let pair = |og: &str, fg: &str| numbers("alcohol", &format!(r#"{{"og": {og}, "fg": {fg}}}"#));
    for row in table("abv_from_gravities") {
        let found = pair(row.text("og"), row.text("fg"));
        row.expect(
            "model_abv_pct",
            found["abv_percent"],
            row.number("tolerance_abv_pct"),
        );
        match row.optional("hmrc_abv_pct") {
            Some(wanted) => close(
                found["abv_by_duty_table_percent"],
                wanted,
                0.0006,
                "duty table",
            ),
            None => assert!(!found.contains_key("abv_by_duty_table_percent")),
        }
    }
    for row in table("hmrc_abv_examples") {
        let found = pair(row.text("og"), row.text("fg"));
        row.expect("abv_pct", found["abv_by_duty_table_percent"], 1e-9);
    }
    for row in table("hmrc_abv_factor") {
        for drop in ["drop_min_degrees", "drop_max_degrees"] {
            let drop = row.number(drop);
            let found = pair(&format!("{:.4}", 1.0 + drop / 1000.0), "1.0");
            let wanted = drop * row.number("factor");
            close(found["abv_by_duty_table_percent"], wanted, 1e-9, "band");
        }
    }
    let beyond = pair("1.1008", "1.0");
    assert!(!beyond.contains_key("abv_by_duty_table_percent") && beyond["abv_percent"] > 13.0);
}

/// The whole table of sweetened meads; tolerances of its header.
#[test]
fn sweetening_a_mead() {
    for row in table("backsweeten") {
        let input = format!(
            r#"{{"litres": {}, "fg": {}, "abv_percent": {}, "target_sg": {}, "composition":
            {{"water": {}, "fermentable": {}, "unfermentable": {}, "insoluble": {}}}}}"#,
            row.text("volume_before_l"),
            row.text("fg_before"),
            row.text("abv_before_pct"),
            row.text("target_fg"),
            row.text("sweet_water_frac"),
            row.text("sweet_sugar_frac"),
            row.text("sweet_extract_frac"),
            row.text("sweet_insoluble_frac"),
        );
        let found = numbers("sweeten", &input);
        // The gravity before is printed to five digits: 0.00001 of it is 0.0004 kg of honey in ten litres.
        let kg = row.number("sweet_honey_kg");
        row.expect("sweet_honey_kg", found["kg"], kg * 0.005);
        close(
            found["sg"],
            row.number("target_fg"),
            1e-9,
            "the wanted gravity",
        );
        row.expect("abv_after_pct", found["abv_percent"], 0.02);
        row.expect(
            "volume_after_l",
            found["litres"],
            row.number("volume_after_l") * 0.001,
        );
        row.expect("sugar_after_g_l", found["sugar_g_per_l"], 0.5);
        // Sugar that is there already is counted on.
        let with_sugar = input.replacen('{', r#"{"residual_sugar_g_per_l": 10, "#, 1);
        let more = numbers("sweeten", &with_sugar);
        let kept = 10.0 * row.number("volume_before_l") / row.number("volume_after_l");
        close(
            more["sugar_g_per_l"],
            found["sugar_g_per_l"] + kept,
            0.01,
            "sugar",
        );
        assert_eq!(more["kg"], found["kg"]);
    }
}

const TWENTY_LITRES: &str = r#""litres": 20, "og": 1.090, "nitrogen_need": "medium""#;

/// Nutrition reference section 4, worked by hand: 20 L, SG 1.090, medium.
#[test]
fn feeding_as_worked_by_hand() {
    let found = numbers(
        "feeding",
        &format!(r#"{{{TWENTY_LITRES}, "plan": "dap_then_organic"}}"#),
    );
    close(found["sugar_g_per_l"], 234.7, 0.05, "S");
    close(found["demand_mg_per_l"], 211.2, 0.05, "demand");
    close(found["deficit_mg_per_l"], 211.2, 0.05, "deficit");
    close(found["dap_g"], 19.2, 1e-9, "0.96 g/L of DAP");
    close(found["organic_g"], 3.8, 0.05, "3.8 g of organic");
    assert_eq!((found["mixed_g"], found["shortfall_mg_per_l"]), (0.0, 0.0));
    // Section 5: OG 1.100, FG 0.998: 1.0660.
    let input = r#"{"litres": 1, "og": 1.1, "nitrogen_need": "low", "plan": "organic_only", "expected_fg": 0.998}"#;
    close(
        numbers("feeding", input)["one_third_break_sg"],
        1.0660,
        1e-9,
        "break",
    );
    // Without an expected gravity, as a usual honey would end: a 12 % traditional at about 0.996.
    let break_sg = found["one_third_break_sg"];
    let fg = 1.090 - 3.0 * (1.090 - break_sg);
    assert!((0.994..0.998).contains(&fg), "{fg}");
}

#[test]
fn every_plan_is_followed_exactly() {
    let plan = |plan: &str, more: &str| {
        numbers(
            "feeding",
            &format!(r#"{{{TWENTY_LITRES}, "plan": "{plan}"{more}}}"#),
        )
    };
    let demand = plan("organic_only", "")["demand_mg_per_l"];
    // Nitrogen of all feeds and the shortfall is the deficit, whatever the plan.
    for (name, more) in [
        ("dap_then_organic", ""),
        ("dap_then_organic", r#", "dap_cap_g_per_l": 0.5"#),
        ("organic_only", ""),
        ("mixed_only", r#", "must_yan_mg_per_l": 60"#),
        ("mixed_then_dap_then_organic", r#", "mixed_g_per_l": 0.8"#),
        (
            "mixed_then_dap_then_organic",
            r#", "mixed_g_per_l": 0.8, "dap_cap_g_per_l": 0.4"#,
        ),
        ("organic_first_then_dap", r#", "organic_g_per_l": 0.4"#),
        (
            "organic_first_then_dap",
            r#", "organic_g_per_l": 0.4, "dap_cap_g_per_l": 0.3"#,
        ),
    ] {
        let found = plan(name, more);
        let fed =
            (found["dap_g"] * 212.13 + found["organic_g"] * 40.0 + found["mixed_g"] * 100.0) / 20.0;
        close(
            fed + found["shortfall_mg_per_l"],
            found["deficit_mg_per_l"],
            1e-9,
            name,
        );
    }
    close(
        plan("organic_only", "")["organic_g"],
        demand / 40.0 * 20.0,
        1e-9,
        "organic",
    );
    close(
        plan("mixed_only", "")["mixed_g"],
        demand / 100.0 * 20.0,
        1e-9,
        "mixed",
    );
    let found = plan(
        "mixed_then_dap_then_organic",
        r#", "mixed_g_per_l": 0.8, "dap_cap_g_per_l": 0.4"#,
    );
    close(found["mixed_g"], 16.0, 1e-9, "as fixed");
    // A cap of 0.4 g/L less 0.35 × 0.8 that is in the mixed feed.
    close(found["dap_g"], 0.12 * 20.0, 1e-9, "DAP");
    let found = plan(
        "organic_first_then_dap",
        r#", "organic_g_per_l": 0.4, "dap_cap_g_per_l": 0.3"#,
    );
    close(found["organic_g"], 8.0, 1e-9, "as fixed");
    close(found["dap_g"], 6.0, 1e-9, "to the cap");
    close(
        found["shortfall_mg_per_l"],
        demand - 16.0 - 0.3 * 212.13,
        1e-9,
        "the rest is told",
    );
    let found = plan("dap_then_organic", r#", "must_yan_mg_per_l": 400"#);
    assert_eq!(
        (
            found["deficit_mg_per_l"],
            found["dap_g"],
            found["organic_g"]
        ),
        (0.0, 0.0, 0.0)
    );
}

#[test]
fn every_fault_is_named() {
    let one = |code: ProblemCode, path: &str| vec![(code, path.to_owned())];
    assert_eq!(faults("gravity", "{}"), one(ProblemCode::OneOf, ""));
    assert_eq!(
        faults("gravity", r#"{"sg": 1.05, "brix": 12}"#),
        one(ProblemCode::OneOf, "")
    );
    assert_eq!(
        faults("gravity", r#"{"sg": 0.99}"#),
        one(ProblemCode::OutOfRange, "/sg")
    );
    assert_eq!(
        faults("gravity", r#"{"brix": 86}"#),
        one(ProblemCode::OutOfRange, "/brix")
    );
    assert_eq!(
        faults("gravity", r#"{"sg": "1.05"}"#),
        one(ProblemCode::WrongKind, "/sg")
    );
    assert_eq!(
        faults("gravity", r#"{"sg": 1.05, "sg": 1.05}"#),
        one(ProblemCode::DuplicateKey, "/sg")
    );
    assert_eq!(
        faults("gravity", r#"{"sg": 1.05, "SG": 1.05}"#),
        one(ProblemCode::UnknownKey, "/SG")
    );
    assert_eq!(faults("gravity", "5"), one(ProblemCode::WrongKind, ""));
    assert_eq!(
        faults("hydrometer", r#"{"reading_sg": 1.05}"#),
        one(ProblemCode::Missing, "/temperature_c")
    );
    assert_eq!(
        faults(
            "hydrometer",
            r#"{"reading_sg": 1.05, "temperature_c": 50, "abv_percent": 10}"#
        ),
        one(ProblemCode::OutOfRange, "/temperature_c")
    );
    assert_eq!(
        faults("hydrometer", r#"{"reading_sg": 0.7, "temperature_c": 20}"#),
        one(ProblemCode::OutsideTheModel, "/reading_sg")
    );
    assert_eq!(
        faults("alcohol", r#"{"og": 1.05, "fg": 1.06}"#),
        one(ProblemCode::ImpossibleGravities, "/fg")
    );
    // Physics reference: the floor of 1.050 is 0.9908.
    match ask("alcohol", r#"{"og": 1.05, "fg": 0.98}"#) {
        Err(problems) => {
            let floor = problems[0]
                .arguments
                .number("lowest_fg")
                .expect("the floor");
            close(floor, 0.9908, 0.0001, "the floor");
        }
        Ok(output) => panic!("{output:?}"),
    }
    let sweeten = |change: (&str, &str)| {
        let input = r#"{"litres": 10, "fg": 0.996, "abv_percent": 12, "target_sg": 1.01,
            "composition": {"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0}}"#;
        numbers("sweeten", input);
        let changed = input.replacen(change.0, change.1, 1);
        assert_ne!(changed, input);
        faults("sweeten", &changed)
    };
    assert_eq!(
        sweeten(("1.01,", "0.99,")),
        one(ProblemCode::AlreadySweeter, "/target_sg")
    );
    assert_eq!(
        sweeten((
            r#"0.18, "fermentable": 0.73, "unfermentable": 0.09"#,
            r#"0.98, "fermentable": 0.02, "unfermentable": 0.0"#
        )),
        one(ProblemCode::SweetenerTooWeak, "/target_sg")
    );
    assert_eq!(
        sweeten(("1.01,", "1.3,")),
        one(ProblemCode::OutOfRange, "/target_sg")
    );
    assert_eq!(
        sweeten((r#"0.996, "abv_percent": 12"#, r#"0.976, "abv_percent": 1"#)),
        one(ProblemCode::OutsideTheModel, "/fg")
    );
    assert_eq!(
        sweeten((r#""insoluble": 0"#, r#""insoluble": 0.1"#)),
        one(ProblemCode::CompositionSum, "/composition")
    );
    assert_eq!(
        sweeten((r#""water": 0.18, "#, "")),
        one(ProblemCode::Missing, "/composition/water")
    );
    assert_eq!(
        sweeten((
            r#""litres": 10"#,
            r#""litres": 10, "residual_sugar_g_per_l": 300"#
        )),
        one(ProblemCode::OutOfRange, "/residual_sugar_g_per_l")
    );
    let feeding = |more: &str| faults("feeding", &format!("{{{TWENTY_LITRES}{more}}}"));
    assert_eq!(feeding(""), one(ProblemCode::Missing, "/plan"));
    assert_eq!(
        feeding(r#", "plan": "more""#),
        one(ProblemCode::UnknownWord, "/plan")
    );
    assert_eq!(
        feeding(r#", "plan": "organic_first_then_dap""#),
        one(ProblemCode::Missing, "/organic_g_per_l")
    );
    assert_eq!(
        feeding(r#", "plan": "mixed_then_dap_then_organic""#),
        one(ProblemCode::Missing, "/mixed_g_per_l")
    );
    assert_eq!(
        feeding(r#", "plan": "mixed_only", "expected_fg": 1.2"#),
        one(ProblemCode::OutOfRange, "/expected_fg")
    );
}

fn words(known: &[&'static str]) -> BoxedStrategy<String> {
    let quoted: Vec<String> = known.iter().map(|word| format!("{word:?}")).collect();
    prop::sample::select(quoted).boxed()
}

/// Lists of what is poured together, some of them empty, some with a member that is anything.
fn any_parts() -> BoxedStrategy<String> {
    let number = |sound: std::ops::Range<f64>| {
        prop_oneof![12 => sound, 1 => any_number()].prop_map(|x| {
            if x.is_finite() {
                format!("{x:e}")
            } else {
                "null".to_owned()
            }
        })
    };
    let part = (
        number(0.05..50.0),
        number(0.98..1.2),
        number(0.0..20.0),
        number(0.0..9.0),
    )
        .prop_map(|(litres, sg, abv, ta)| {
            format!(
                r#"{{"litres": {litres}, "sg": {sg}, "abv_percent": {abv}, "ta_g_per_l": {ta}}}"#
            )
        });
    prop::collection::vec(part, 0..4)
        .prop_map(|parts| format!("[{}]", parts.join(", ")))
        .boxed()
}

/// Objects of names with numbers, mostly sound ones.
fn any_names(known: &'static [&'static str]) -> BoxedStrategy<String> {
    let number = prop_oneof![12 => 0.0..300.0, 1 => any_number()].prop_map(|x: f64| {
        if x.is_finite() {
            format!("{x:e}")
        } else {
            "null".to_owned()
        }
    });
    prop::collection::vec((prop::sample::select(known), number), 0..3)
        .prop_map(|members| {
            let members: Vec<String> = members
                .iter()
                .map(|(name, x)| format!("{name:?}: {x}"))
                .collect();
            format!("{{{}}}", members.join(", "))
        })
        .boxed()
}

/// Every number in a value, however deep, is one.
fn no_number_is_lost(value: &Json) -> bool {
    match value {
        Json::Number(number) => number.is_finite(),
        Json::List(items) => items.iter().all(no_number_is_lost),
        Json::Object(members) => members.iter().all(|(_, value)| no_number_is_lost(value)),
        _ => true,
    }
}

/// Outputs that may be null: beyond the duty table, acidity not given, a panel too small for that alpha, no water report.
const MAY_BE_NULL: [&str; 4] = [
    "abv_by_duty_table_percent",
    "ta_g_per_l",
    "critical_number",
    "charge_imbalance_percent",
];

/// Texts of inputs, mostly sound ones.
fn any_input(name: &'static str) -> BoxedStrategy<String> {
    let calculation = LIST.iter().find(|c| c.name == name).expect("in the list");
    let keys: Vec<&'static str> = calculation.inputs.iter().map(|key| key.name).collect();
    let sound = |key: &str| match key {
        "sg" | "og" => 1.0..1.2,
        "fg" | "expected_fg" | "target_sg" | "reading_sg" => 0.98..1.1,
        "brix" => 0.0..40.0,
        "density_kg_per_m3" => 998.0..1200.0,
        "litres" => 0.05..100.0,
        "start_sg" => 1.03..1.11,
        "ph" => 2.8..4.2,
        "molecular_so2_mg_per_l" | "alpha" | "water_lost_kg" => 0.0..0.9,
        "pka" => 1.7..2.1,
        "sorbic_acid_mg_per_l" => 0.0..300.0,
        "ta_change_g_per_l" => -5.0..5.0,
        "volumes_co2" => 0.0..5.0,
        "feed_at_sg" => 0.995..1.015,
        "step_sg" => 0.005..0.02,
        "tolerance_abv_percent" => 10.0..20.0,
        "kg" => 0.5..50.0,
        _ => 0.0..20.0,
    };
    let members: Vec<BoxedStrategy<String>> = keys
        .into_iter()
        .map(|key| {
            let number = prop_oneof![8 => sound(key), 1 => any_number()];
            let given = match key {
                "composition" => Just(
                    r#"{"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0}"#.to_owned(),
                )
                .boxed(),
                "plan" => prop::sample::select(vec![
                    "dap_then_organic",
                    "organic_only",
                    "mixed_only",
                    "mixed_then_dap_then_organic",
                    "organic_first_then_dap",
                    "none",
                ])
                .prop_map(|word| format!("{word:?}"))
                .boxed(),
                "parts" => any_parts(),
                "report" => any_names(&["calcium", "hco3", "alkalinity_caco3", "SO4", "lead", "chloride"]),
                "salts" => any_names(&["gypsum", "CaCO3", "K2CO3", "table salt", "sugar"]),
                "salt" => words(&["potassium_metabisulfite", "sodium_metabisulfite", "salt"]),
                "acid" => words(&["tartaric", "citric_monohydrate", "lactic", "K2CO3", "KHCO3", "CaCO3", "vinegar"]),
                "sugar" => words(&["glucose_monohydrate", "sucrose", "honey_77pct_fermentable_hexose", "sand"]),
                "bottle" => words(&["still", "beer", "heavy", "sparkling_wine", "jar"]),
                "feeding" => words(&["lean", "usual", "full", "none"]),
                "panel" | "correct" => (0..60_u32).prop_map(|n| n.to_string()).boxed(),
                "nitrogen_need" => prop::sample::select(vec!["low", "medium", "high"])
                    .prop_map(|word| format!("{word:?}"))
                    .boxed(),
                _ => number.prop_map(|x: f64| if x.is_finite() { format!("{x:e}") } else { "null".to_owned() }).boxed(),
            };
            prop_oneof![6 => given.prop_map(move |value| format!("{key:?}: {value}")), 1 => Just(String::new())].boxed()
        })
        .collect();
    members
        .prop_map(|members| {
            let there: Vec<String> = members
                .into_iter()
                .filter(|member| !member.is_empty())
                .collect();
            format!("{{{}}}", there.join(", "))
        })
        .boxed()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    /// No number makes a NaN, an infinity or a crash, and every answer has all its keys.
    #[test]
    fn any_input_gets_an_honest_answer(
        inputs in LIST.iter().map(|calculation| any_input(calculation.name)).collect::<Vec<_>>(),
    ) {
        for (calculation, input) in LIST.iter().zip(&inputs) {
            match ask(calculation.name, input) {
                Ok(Json::Object(members)) => {
                    let keys: Vec<&str> = members.iter().map(|(key, _)| key.as_str()).collect();
                    prop_assert_eq!(&keys, calculation.outputs);
                    for (key, value) in &members {
                        prop_assert!(no_number_is_lost(value), "{key} of {input}");
                        let known = *value != Json::Null || MAY_BE_NULL.contains(&key.as_str());
                        prop_assert!(known, "{key} of {input}");
                    }
                }
                Ok(other) => prop_assert!(false, "{other:?}"),
                Err(problems) => prop_assert!(!problems.is_empty(), "{input}"),
            }
        }
    }
}

#[test]
fn an_unknown_name_is_none() {
    assert!(calculate("brew", &Json::Null).is_none());
    assert!(calculate("", &Json::Null).is_none());
}

/// As many as are taken, and one more.
#[test]
fn the_longest_list_is_taken() {
    let part = r#"{"litres": 1, "sg": 1.01, "abv_percent": 12}"#;
    let of = |count: usize| format!(r#"{{"parts": [{}]}}"#, vec![part; count].join(", "));
    close(numbers("blend", &of(50))["litres"], 50.0, 1e-9, "litres");
    assert_eq!(
        faults("blend", &of(51)),
        [(ProblemCode::OutOfRange, "/parts".to_owned())]
    );
}
