//! Sulfite, sorbate, acids, blending, boiling, honey by the refractometer.

use std::collections::HashSet;

use mustwright::engine::acid::{Acid, Addition, counted_as};
use mustwright::engine::calculations::calculate;
use mustwright::engine::density::{sg_of_fraction, sucrose_density_20};
use mustwright::engine::honey::water_percent_of_refraction;
use mustwright::engine::json::Json;
use mustwright::engine::problem::ProblemCode;
use mustwright::engine::stoichiometry::*;
use mustwright::engine::sulfite::{molecular_part, pka_in_wine};
use proptest::prelude::*;

use crate::calculations::{ask, faults, numbers};
use crate::carbonation::caution_codes;
use crate::support::{any_number, close, table};

fn one(code: ProblemCode, path: &str) -> Vec<(ProblemCode, String)> {
    vec![(code, path.to_owned())]
}

/// Every caution that single calculations give, each found where its own test wants it.
pub fn cautions_of_calculations() -> HashSet<String> {
    let asked = [
        (
            "sulfite",
            r#"{"litres": 19, "ph": 4, "molecular_so2_mg_per_l": 0.8}"#,
        ),
        ("sorbate", r#"{"litres": 1, "sorbic_acid_mg_per_l": 201}"#),
        (
            "acid",
            r#"{"litres": 20, "acid": "malic", "ta_change_g_per_l": 1}"#,
        ),
        (
            "acid",
            r#"{"litres": 20, "acid": "K2CO3", "ta_change_g_per_l": -1}"#,
        ),
        ("bottle_strength", r#"{"bottle": "beer", "volumes_co2": 2}"#),
        (
            "bottle_strength",
            r#"{"bottle": "still", "volumes_co2": 2, "fermentable_g_per_l": 1}"#,
        ),
        (
            "water",
            r#"{"litres": 1, "report": {"calcium": 60}, "salts": {"gypsum": 3}}"#,
        ),
        ("keg", r#"{"temperature_c": 4, "volumes_co2": 2.5}"#),
        ("step_feeding", crate::step_feeding::WHOLE),
    ];
    let codes = asked
        .iter()
        .flat_map(|(name, input)| caution_codes(name, input));
    codes.collect()
}

#[test]
fn additives_by_their_formulas() {
    for row in table("additive_stoichiometry") {
        let found = match row.text("compound") {
            "potassium metabisulfite" => SO2_PER_POTASSIUM_METABISULFITE,
            "potassium sorbate" => SORBIC_ACID_PER_SORBATE,
            "sucrose" => HEXOSE_PER_SUCROSE,
            "glucose" => ETHANOL_PER_HEXOSE,
            other => panic!("{other} is not tested"),
        };
        row.expect("g_per_g", found, 0.0005);
    }
    // Physics reference, sections 7 and 8.
    close(SO2_PER_SODIUM_METABISULFITE, 0.6739, 0.0005, "sodium salt");
    close(CO2_PER_HEXOSE, 0.4886, 0.0001, "carbon dioxide");
    close(
        HEXOSE_PER_MONOHYDRATE * CO2_PER_HEXOSE,
        0.4442,
        0.0001,
        "monohydrate",
    );
    close(
        HEXOSE_PER_SUCROSE * CO2_PER_HEXOSE,
        0.5143,
        0.0001,
        "sucrose",
    );
}

/// Every row: the part that is molecular, what must be free for 0.5 and 0.8, and the salt for it.
#[test]
fn sulfite_by_ph() {
    for row in table("so2") {
        let (ph, pka) = (row.number("ph"), row.number("pka"));
        let tolerance = |column: &str| {
            // The stated part, and half of the last digit printed.
            let digit = if column == "molecular_pct_of_free" {
                0.0005
            } else {
                0.05
            };
            row.number(column) * row.number("tolerance_pct") / 100.0 + digit
        };
        let percent = 100.0 * molecular_part(ph, pka);
        row.expect(
            "molecular_pct_of_free",
            percent,
            tolerance("molecular_pct_of_free"),
        );
        for (column, wanted) in [("free_for_0p5_mg_l", 0.5), ("free_for_0p8_mg_l", 0.8)] {
            let input = format!(
                r#"{{"litres": 1, "ph": {ph}, "pka": {pka}, "molecular_so2_mg_per_l": {wanted}}}"#
            );
            let found = numbers("sulfite", &input);
            row.expect(column, found["free_needed_mg_per_l"], tolerance(column));
            assert_eq!(found["molecular_now_mg_per_l"], 0.0);
            if wanted == 0.8 {
                let column = "k2s2o5_for_0p8_mg_l";
                row.expect(column, 1000.0 * found["grams"], tolerance(column));
            }
        }
    }
    // Physics reference, section 8: 30 mg/L free with the usual constant.
    for (ph, molecular) in [(3.0, 1.819), (3.2, 1.174), (3.5, 0.600), (3.8, 0.304)] {
        let input = format!(
            r#"{{"litres": 20, "ph": {ph}, "free_so2_mg_per_l": 30, "molecular_so2_mg_per_l": 0.2}}"#
        );
        let found = numbers("sulfite", &input);
        close(
            found["molecular_now_mg_per_l"],
            molecular,
            0.0006,
            "molecular",
        );
        assert_eq!(found["grams"], 0.0, "enough is free");
    }
}

#[test]
fn sulfite_takes_what_is_there_into_account_and_keeps_to_limits() {
    let grams = |more: &str| {
        let input = format!(r#"{{"litres": 19, "ph": 3.5, "molecular_so2_mg_per_l": 0.8{more}}}"#);
        numbers("sulfite", &input)["grams"]
    };
    // By hand: 40.0 mg/L needed, 10 there, 19 L: 0.57 g of sulfur dioxide.
    let needed = 0.8 * (1.0 + 10_f64.powf(3.5 - 1.81));
    close(
        grams(""),
        needed * 19.0 / 1000.0 / 0.5763,
        0.001,
        "none there",
    );
    let rest = (needed - 10.0) * 19.0 / 1000.0;
    close(
        grams(r#", "free_so2_mg_per_l": 10"#),
        rest / 0.5763,
        0.001,
        "10 mg/L there",
    );
    let sodium = grams(r#", "free_so2_mg_per_l": 10, "salt": "sodium_metabisulfite""#);
    close(sodium, rest / 0.6739, 0.001, "sodium salt");

    let told = |ph: &str| {
        caution_codes(
            "sulfite",
            &format!(r#"{{"litres": 19, "ph": {ph}, "molecular_so2_mg_per_l": 0.8}}"#),
        )
    };
    assert_eq!(told("3.5"), ["sulfite_fumes"]);
    // Practice: at pH 4.0 0.8 asks for 125 mg/L free.
    assert_eq!(told("4.0"), ["sulfite_fumes", "lower_ph_first"]);
    assert_eq!(
        told("4.2"),
        ["much_sulfite", "sulfite_fumes", "lower_ph_first"],
        "past 150 mg/L too"
    );
    let beyond = r#"{"litres": 19, "ph": 4.5, "molecular_so2_mg_per_l": 0.8}"#;
    assert_eq!(
        faults("sulfite", beyond),
        one(ProblemCode::AboveEveryLimit, "/molecular_so2_mg_per_l")
    );
    let nothing =
        r#"{"litres": 19, "ph": 3.2, "free_so2_mg_per_l": 60, "molecular_so2_mg_per_l": 0.5}"#;
    assert!(
        caution_codes("sulfite", nothing).is_empty(),
        "nothing goes in"
    );
    let salt = r#"{"litres": 19, "ph": 3.2, "molecular_so2_mg_per_l": 0.5, "salt": "table"}"#;
    assert_eq!(
        faults("sulfite", salt),
        one(ProblemCode::UnknownWord, "/salt")
    );
    let range = r#"{"litres": 19, "ph": 7, "molecular_so2_mg_per_l": 0.5}"#;
    assert_eq!(
        faults("sulfite", range),
        one(ProblemCode::OutOfRange, "/ph")
    );
}

/// OIV-MA-AS323-04C, Table I, less the term for the salts in wine.
#[test]
fn dissociation_in_wine() {
    for row in table("so2_pka_oiv") {
        let found = pka_in_wine(row.number("abv_pct"), row.number("temp_c"));
        row.expect("pkm", found, 0.0006);
        let term = 0.075 + 0.00065 * row.number("abv_pct");
        row.expect("pkt", found + term, 1e-9);
    }
    // The head of the table of sulfite: 1.955 for 12 % at 20 °C; and between two temperatures, half way.
    close(pka_in_wine(12.0, 20.0), 1.955, 0.0006, "between strengths");
    close(
        pka_in_wine(10.0, 22.5),
        (1.916 + 2.116) / 2.0,
        0.0006,
        "between temperatures",
    );
    assert_eq!(pka_in_wine(40.0, 60.0), pka_in_wine(15.0, 40.0));
}

#[test]
fn sorbate_by_its_acid() {
    let ask = |dose: &str| format!(r#"{{"litres": 1, "sorbic_acid_mg_per_l": {dose}}}"#);
    // Physics reference: 200 mg/L of the acid is 268 mg/L of the salt.
    close(
        numbers("sorbate", &ask("200"))["grams"],
        0.268,
        0.0005,
        "grams",
    );
    assert_eq!(
        caution_codes("sorbate", &ask("200")),
        ["sorbate_needs_sulfite"]
    );
    assert_eq!(
        caution_codes("sorbate", &ask("201")),
        ["much_sorbate", "sorbate_needs_sulfite"]
    );
    assert!(caution_codes("sorbate", &ask("0")).is_empty());
    assert_eq!(
        faults("sorbate", &ask("301")),
        one(ProblemCode::AboveEveryLimit, "/sorbic_acid_mg_per_l")
    );
}

#[test]
fn one_acid_counted_as_another() {
    let acid = |word: &str| {
        let found = Acid::ALL.into_iter().find(|acid| acid.as_str() == word);
        found.unwrap_or_else(|| panic!("{word}"))
    };
    for row in table("acid_equivalents") {
        let (from, to) = (acid(row.text("from_acid")), acid(row.text("to_acid")));
        row.expect("from_eq_weight_g", from.equivalent_g(), 0.0006);
        row.expect("factor", counted_as(from, to), 0.0005);
        close(
            counted_as(from, to) * counted_as(to, from),
            1.0,
            1e-12,
            "there and back",
        );
    }
}

/// Every row both ways: what g/L do, and the grams for that change.
#[test]
fn acidity_changed() {
    for row in table("ta_change") {
        let known = Addition::ALL
            .into_iter()
            .find(|known| known.as_str() == row.text("addition"));
        let addition = known.unwrap_or_else(|| panic!("{}", row.text("addition")));
        let g_per_l = row.number("g_per_l");
        let change = g_per_l * addition.change_as_tartaric();
        row.expect("ta_change_g_l_as_tartaric", change, 0.0005);
        let as_malic = change * counted_as(Acid::Tartaric, Acid::Malic);
        row.expect("ta_change_g_l_as_malic", as_malic, 0.0005);
        let input = format!(
            r#"{{"litres": 20, "acid": "{}", "ta_change_g_per_l": {}}}"#,
            row.text("addition"),
            row.text("ta_change_g_l_as_tartaric"),
        );
        close(
            numbers("acid", &input)["grams"],
            20.0 * g_per_l,
            0.02,
            "grams",
        );
        let other_way = input
            .replace("\"ta_change_g_per_l\": ", "\"ta_change_g_per_l\": -")
            .replace("--", "");
        assert_eq!(
            faults("acid", &other_way),
            one(ProblemCode::WrongDirection, "/ta_change_g_per_l")
        );
    }
    let told = |acid: &str, change: &str| {
        caution_codes(
            "acid",
            &format!(r#"{{"litres": 20, "acid": "{acid}", "ta_change_g_per_l": {change}}}"#),
        )
    };
    assert_eq!(told("malic", "1"), ["acid_handling"]);
    assert_eq!(told("KHCO3", "-1"), ["neutraliser_foams"]);
    assert_eq!(told("K2CO3", "-1"), ["caustic", "neutraliser_foams"]);
    assert!(told("malic", "0").is_empty() && told("K2CO3", "0").is_empty());
}

/// Two sugar solutions as two parts; the tolerances of the header.
#[test]
fn blending_sugar() {
    for row in table("blend_sugar") {
        let part = |side: &str| {
            let w = row.number(&format!("{side}_mass_pct")) / 100.0;
            let litres = row.number(&format!("{side}_kg")) / sucrose_density_20(w) * 1000.0;
            row.expect(&format!("{side}_volume_l"), litres, 0.0002);
            format!(r#"{{"litres": {litres}, "sg": {}}}"#, sg_of_fraction(w))
        };
        let input = format!(r#"{{"parts": [{}, {}]}}"#, part("a"), part("b"));
        let found = numbers("blend", &input);
        row.expect("mix_sg_20_20", found["sg"], 0.00005);
        row.expect("mix_volume_l", found["litres"], 0.0002);
        row.expect("volume_change_l", found["volume_change_l"], 0.0002);
        close(found["abv_percent"], 0.0, 1e-12, "no alcohol");
    }
}

#[test]
fn blending_alcohol() {
    for row in table("blend_alcohol") {
        let part = |side: &str| {
            let abv = row.number(&format!("{side}_abv_pct"));
            let sg = mustwright::engine::density::relative_density_of_abv(abv);
            let litres = row.text(&format!("{side}_l"));
            format!(r#"{{"litres": {litres}, "sg": {sg}, "abv_percent": {abv}}}"#)
        };
        let input = format!(r#"{{"parts": [{}, {}]}}"#, part("a"), part("b"));
        let found = numbers("blend", &input);
        row.expect("mix_abv_pct", found["abv_percent"], 0.01);
        row.expect("mix_volume_l", found["litres"], 0.001);
        row.expect("volume_change_l", found["volume_change_l"], 0.001);
    }
}

#[test]
fn blending_acidity_and_faults() {
    let blend = |parts: &str| numbers("blend", &format!(r#"{{"parts": [{parts}]}}"#));
    let dry = r#"{"litres": 10, "sg": 0.996, "abv_percent": 12, "ta_g_per_l": 6}"#;
    let sweet = r#"{"litres": 5, "sg": 1.02, "abv_percent": 14, "ta_g_per_l": 9}"#;
    let found = blend(&format!("{dry}, {sweet}"));
    close(
        found["ta_g_per_l"],
        105.0 / found["litres"],
        1e-12,
        "acid is kept",
    );
    // Water brings none; a mead without a figure makes it unknown.
    let watered = blend(&format!(r#"{dry}, {{"litres": 2, "sg": 1}}"#));
    close(
        watered["ta_g_per_l"],
        60.0 / watered["litres"],
        1e-12,
        "watered",
    );
    let unknown = blend(&format!(
        r#"{dry}, {{"litres": 5, "sg": 1.02, "abv_percent": 14}}"#
    ));
    assert!(!unknown.contains_key("ta_g_per_l"));
    // A mead alone is itself.
    let alone = blend(sweet);
    close(alone["sg"], 1.02, 1e-9, "SG");
    close(alone["abv_percent"], 14.0, 1e-9, "strength");
    close(alone["volume_change_l"], 0.0, 1e-9, "no change");

    let fault = |parts: &str| faults("blend", &format!(r#"{{"parts": {parts}}}"#));
    assert_eq!(fault("[]"), one(ProblemCode::OutOfRange, "/parts"));
    assert_eq!(fault("5"), one(ProblemCode::WrongKind, "/parts"));
    assert_eq!(fault("[5]"), one(ProblemCode::WrongKind, "/parts/0"));
    let second = |json: &str| fault(&format!("[{dry}, {json}]"));
    assert_eq!(
        second(r#"{"litres": 1}"#),
        one(ProblemCode::Missing, "/parts/1/sg")
    );
    assert_eq!(
        second(r#"{"litres": 1, "sg": 1, "colour": 2}"#),
        one(ProblemCode::UnknownKey, "/parts/1/colour")
    );
    assert_eq!(
        second(r#"{"litres": 1, "sg": 0.9, "abv_percent": 2}"#),
        one(ProblemCode::OutsideTheModel, "/parts/1/sg")
    );
    assert_eq!(
        second(r#"{"litres": 1, "sg": 1, "ta_g_per_l": -1}"#),
        one(ProblemCode::OutOfRange, "/parts/1/ta_g_per_l")
    );
    let many = vec![dry; 51].join(", ");
    assert_eq!(
        fault(&format!("[{many}]")),
        one(ProblemCode::OutOfRange, "/parts")
    );
    assert_eq!(faults("blend", "{}"), one(ProblemCode::Missing, "/parts"));
}

#[test]
fn boiling_down() {
    for row in table("boil") {
        let input = format!(
            r#"{{"kg": {}, "brix": {}, "water_lost_kg": {}}}"#,
            row.text("mass_kg"),
            row.text("mass_pct_before"),
            row.text("water_loss_kg"),
        );
        let found = numbers("boil", &input);
        row.expect("mass_pct_after", found["brix"], 0.001);
        row.expect("sg_after", found["sg"], 0.0001);
        let wanted = row.number("volume_after_l");
        row.expect("volume_after_l", found["litres"], 0.001 * wanted);
        close(
            found["kg"],
            row.number("mass_kg") - row.number("water_loss_kg"),
            1e-9,
            "kg",
        );
        let lost = format!(r#""water_lost_kg": {}"#, row.text("water_loss_kg"));
        let before = numbers("boil", &input.replace(&lost, r#""water_lost_kg": 0"#));
        row.expect("sg_before", before["sg"], 0.0001);
        row.expect(
            "volume_before_l",
            before["litres"],
            0.001 * row.number("volume_before_l"),
        );
    }
    let fault = |input: &str| faults("boil", input);
    assert_eq!(
        fault(r#"{"kg": 10, "brix": 80, "water_lost_kg": 1}"#),
        one(ProblemCode::OutOfRange, "/water_lost_kg"),
        "stronger than the relations reach"
    );
    assert_eq!(
        fault(r#"{"kg": 10, "brix": 0, "water_lost_kg": 10}"#),
        one(ProblemCode::OutOfRange, "/water_lost_kg")
    );
}

/// Every salt alone in plain water, a gram a litre; the table's tolerance.
#[test]
fn salts_in_water() {
    let ask_water = |input: &str| match ask("water", input) {
        Ok(Json::Object(members)) => members,
        other => panic!("{input}: {other:?}"),
    };
    let number = |members: &[(String, Json)], key: &str| match members
        .iter()
        .find(|(name, _)| name == key)
    {
        Some((_, Json::Number(number))) => *number,
        other => panic!("{key}: {other:?}"),
    };
    for row in table("water_salts") {
        let input = format!(
            r#"{{"litres": 10, "salts": {{"{}": 10}}}}"#,
            row.text("salt")
        );
        let members = ask_water(&input);
        let Some((_, Json::Object(ions))) = members.first() else {
            panic!("no ions: {members:?}");
        };
        let ion = match row.text("ion") {
            "Ca" => "calcium",
            "Mg" => "magnesium",
            "Na" => "sodium",
            "K" => "potassium",
            other => panic!("{other}"),
        };
        row.expect("mg_per_l_per_g_per_l", number(ions, ion), 0.05);
        row.expect(
            "alkalinity_caco3_mg_l_per_g_l",
            number(&members, "alkalinity_mg_per_l_caco3"),
            0.05,
        );
    }
    // A report and a salt: by hand 50 + 232.8 × 0.2 mg/L of calcium, 180 × 0.8202 of alkalinity.
    let input =
        r#"{"litres": 20, "report": {"Ca": 50, "bicarbonate": 180}, "salts": {"gypsum": 4}}"#;
    let members = ask_water(input);
    let Some((_, Json::Object(ions))) = members.first() else {
        panic!("no ions");
    };
    close(number(ions, "calcium"), 96.56, 0.02, "calcium");
    close(
        number(&members, "alkalinity_mg_per_l_caco3"),
        147.6,
        0.05,
        "alkalinity",
    );
    // 2.495 against 2.950 meq/L: 8.4 % of them all.
    close(
        number(&members, "charge_imbalance_percent"),
        -8.35,
        0.05,
        "imbalance",
    );
    assert_eq!(caution_codes("water", input), ["water_report_uneven"]);
    assert!(caution_codes("water", r#"{"litres": 20}"#).is_empty());
    assert_eq!(
        caution_codes("water", r#"{"litres": 20, "salts": {"slaked_lime": 1}}"#),
        ["caustic"]
    );
    assert_eq!(
        caution_codes("water", r#"{"litres": 20, "salts": {"chalk": 1}}"#),
        ["salt_does_not_dissolve"]
    );
    let fault = |input: &str| faults("water", input);
    assert_eq!(
        fault(r#"{"litres": 20, "report": {"lead": 1}}"#),
        one(ProblemCode::UnknownWord, "/report/lead")
    );
    assert_eq!(
        fault(r#"{"litres": 20, "salts": {"sugar": 1}}"#),
        one(ProblemCode::UnknownWord, "/salts/sugar")
    );
    assert_eq!(
        fault(r#"{"litres": 20, "salts": {"NaCl": -1}}"#),
        one(ProblemCode::OutOfRange, "/salts/NaCl")
    );
    assert_eq!(
        fault(r#"{"litres": 20, "report": 5}"#),
        one(ProblemCode::WrongKind, "/report")
    );
    assert_eq!(
        fault(r#"{"litres": 20, "report": {"Ca": "much"}}"#),
        one(ProblemCode::WrongKind, "/report/Ca")
    );
    assert_eq!(
        fault(r#"{"litres": 0}"#),
        one(ProblemCode::OutOfRange, "/litres")
    );
}

/// Wedmore's relation; the table was printed to four digits of the index, 0.04 % of water.
#[test]
fn honey_by_the_refractometer() {
    for row in table("honey_density") {
        let found = water_percent_of_refraction(row.number("refractive_index_20c"));
        row.expect("moisture_pct", found.expect("in range"), 0.04);
    }
    // Bogdanov, Book of Honey, chapter 4.
    for (index, water) in [(1.4940, 17.0), (1.4915, 18.0), (1.4890, 19.0)] {
        close(
            water_percent_of_refraction(index).expect("in range"),
            water,
            0.05,
            "water",
        );
    }
    assert_eq!(water_percent_of_refraction(1.3330), None);
}

proptest! {
    #[test]
    fn no_number_makes_a_nan(a in any_number(), b in any_number()) {
        prop_assert!((0.0..=1.0).contains(&molecular_part(a, b)));
        prop_assert!((1.6..2.7).contains(&pka_in_wine(a, b)));
        prop_assert!(water_percent_of_refraction(a).is_none_or(|water| (10.0..27.0).contains(&water)));
    }

    /// The order in which parts are poured, and splitting one in two, changes nothing.
    #[test]
    fn pouring_order_does_not_matter(l in 0.1..50.0, m in 0.1..50.0, sg in 1.0..1.1, abv in 0.0..15.0) {
        let part = |litres: f64, sg: f64, abv: f64| format!(r#"{{"litres": {litres}, "sg": {sg}, "abv_percent": {abv}}}"#);
        let mix = |parts: Vec<String>| {
            let input = Json::parse(&format!(r#"{{"parts": [{}]}}"#, parts.join(", "))).expect("JSON");
            match calculate("blend", &input) {
                Some(Ok(Json::Object(members))) => match (&members[0].1, &members[1].1) {
                    (Json::Number(litres), Json::Number(sg)) => (*litres, *sg),
                    other => panic!("{other:?}"),
                },
                other => panic!("{other:?}"),
            }
        };
        let one = mix(vec![part(l, sg, abv), part(m, 1.05, 0.0)]);
        let other = mix(vec![part(m, 1.05, 0.0), part(l / 2.0, sg, abv), part(l / 2.0, sg, abv)]);
        prop_assert!((one.0 - other.0).abs() < 1e-9 * one.0 && (one.1 - other.1).abs() < 1e-9);
    }
}
