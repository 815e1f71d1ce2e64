//! What the pages answer: the engine's own numbers, whatever units were typed.

use mustwright::engine::calculations::calculate;
use mustwright::engine::json::Json;
use mustwright::web::units::Units;
use mustwright::web::viewer::Settings;
use serde_json::{Value, json};

use super::{ask, figure, sentence, text, words};
use crate::support::{Club, Page, a_member};

/// What the engine says to this input.
fn engine(name: &str, input: &Value) -> Value {
    let input = Json::parse(&input.to_string()).expect("JSON");
    let answer = calculate(name, &input).expect("a calculation");
    let answer = answer.unwrap_or_else(|problems| panic!("{name}: {problems:?}"));
    serde_json::to_value(&answer).expect("JSON")
}

/// A number of an answer with so many decimals.
fn fixed(answer: &Value, path: &str, decimals: usize) -> String {
    let number = answer.pointer(path).and_then(Value::as_f64);
    let number = number.unwrap_or_else(|| panic!("no {path} in {answer}"));
    format!("{number:.decimals$}")
}

/// The number at the beginning of a printed value.
fn number(printed: &str) -> f64 {
    let end = printed.find(|c: char| !c.is_ascii_digit() && c != '.');
    let number = &printed[..end.unwrap_or(printed.len())];
    number
        .parse()
        .unwrap_or_else(|_| panic!("no number in {printed}"))
}

/// Wildflower honey as the catalogue has it.
fn wildflower() -> Value {
    let entry = mustwright::catalogue::catalogue().find("honey-wildflower");
    let parts = entry
        .and_then(|entry| entry.composition)
        .expect("its parts");
    json!({
        "water": parts.water, "fermentable": parts.fermentable,
        "unfermentable": parts.unfermentable, "insoluble": parts.insoluble,
    })
}

/// What is expected of one answer's figure; see [`starts`].
type Figure = (&'static str, &'static str, usize, &'static str);

/// For each calculation what its page starts with, written down here once more, and the numbers that it must print.
fn starts() -> Vec<(&'static str, Value, Vec<Figure>)> {
    let report = json!({"calcium": 40, "magnesium": 6, "sodium": 12, "potassium": 2, "bicarbonate": 120, "sulfate": 20, "chloride": 18, "nitrate": 10});
    vec![
        (
            "gravity",
            json!({"sg": 1.090}),
            vec![
                ("density", "/density_kg_per_m3", 1, " kg/m³"),
                ("strength at most", "/potential_abv_percent", 1, " %"),
            ],
        ),
        (
            "water",
            json!({"litres": 15, "report": report, "salts": {"potassium_bicarbonate": 4}}),
            vec![("alkalinity", "/alkalinity_mg_per_l_caco3", 0, " mg/L")],
        ),
        (
            "hydrometer",
            json!({"reading_sg": 1.050, "temperature_c": 28, "abv_percent": 6}),
            vec![("gravity", "/sg", 4, "")],
        ),
        (
            "alcohol",
            json!({"og": 1.090, "fg": 1.002}),
            vec![
                ("strength by volume", "/abv_percent", 2, " %"),
                (
                    "by the British duty factors",
                    "/abv_by_duty_table_percent",
                    2,
                    " %",
                ),
            ],
        ),
        (
            "sweeten",
            json!({"litres": 19, "fg": 0.998, "abv_percent": 12, "target_sg": 1.010, "composition": wildflower()}),
            vec![
                ("strength then", "/abv_percent", 2, " %"),
                ("gravity then", "/sg", 4, ""),
            ],
        ),
        (
            "feeding",
            json!({"litres": 20, "og": 1.090, "nitrogen_need": "medium", "plan": "mixed_then_dap_then_organic", "mixed_g_per_l": 0.8}),
            vec![
                ("nitrogen to bring", "/deficit_mg_per_l", 0, " mg/L"),
                ("DAP", "/dap_g", 0, " g"),
                ("one-third break", "/one_third_break_sg", 3, ""),
            ],
        ),
        (
            "step_feeding",
            json!({"litres": 10, "start_sg": 1.080, "abv_percent": 15.5, "nitrogen_need": "low", "tolerance_abv_percent": 17, "composition": wildflower()}),
            vec![
                ("honey at first", "/first_honey_kg", 2, " kg"),
                ("gravity at the end", "/fg", 3, ""),
                ("everything at once", "/whole_sg", 3, ""),
            ],
        ),
        (
            "blend",
            json!({"parts": [{"litres": 10, "sg": 1.020, "abv_percent": 11}, {"litres": 6, "sg": 0.996, "abv_percent": 14}]}),
            vec![
                ("strength", "/abv_percent", 2, " %"),
                ("gravity", "/sg", 4, ""),
            ],
        ),
        (
            "sulfite",
            json!({"litres": 19, "ph": 3.4, "molecular_so2_mg_per_l": 0.8}),
            vec![
                ("salt to give", "/grams", 1, " g"),
                ("free, then", "/free_needed_mg_per_l", 0, " mg/L"),
            ],
        ),
        (
            "sorbate",
            json!({"litres": 19, "sorbic_acid_mg_per_l": 200}),
            vec![("potassium sorbate", "/grams", 1, " g")],
        ),
        (
            "acid",
            json!({"litres": 19, "acid": "tartaric", "ta_change_g_per_l": 0.5}),
            vec![("to add", "/grams", 1, " g")],
        ),
        (
            "prime",
            json!({"litres": 19, "warmest_temperature_c": 20, "volumes_co2": 2.4, "sugar": "sucrose", "abv_percent": 8}),
            vec![
                ("sugar to add", "/grams", 0, " g"),
                ("gas that is there", "/residual_volumes", 2, " volumes"),
            ],
        ),
        (
            "keg",
            json!({"temperature_c": 4, "volumes_co2": 2.5, "abv_percent": 12, "sugar_g_per_l": 10}),
            vec![],
        ),
        (
            "bottle_strength",
            json!({"bottle": "beer", "volumes_co2": 2.4, "abv_percent": 8}),
            vec![],
        ),
        (
            "triangle",
            json!({"panel": 12, "correct": 8, "alpha": 0.05}),
            vec![("right picks needed", "/critical_number", 0, "")],
        ),
        ("boil", boiled(), vec![("gravity", "/sg", 4, "")]),
    ]
}

/// 10 L of 1.080 that lose 2 L of water, by weight: gravity times the density of water at 20 °C, 0.998203 kg/L.
fn boiled() -> Value {
    let before = engine("gravity", &json!({"sg": 1.080}));
    json!({"kg": 10.0 * 1.080 * 0.998_202_7, "brix": before["brix"], "water_lost_kg": 2.0 * 0.998_202_7})
}

#[tokio::test]
async fn what_stands_there_first_gets_the_engines_own_answer() {
    let club = Club::open().await;
    let browser = club.browser();
    let starts = starts();
    for known in mustwright::engine::calculations::LIST {
        let (name, input, figures) = starts
            .iter()
            .find(|(name, ..)| *name == known.name)
            .unwrap_or_else(|| panic!("nobody says what {} starts with", known.name));
        let answer = engine(name, input);
        let page = browser.get(&format!("/calculations/{name}")).await;
        for (called, path, decimals, unit) in figures {
            let wanted = format!("{}{unit}", fixed(&answer, path, *decimals));
            // Zeros at the end of a weight are not printed.
            let plain = |text: &str| match unit.trim() {
                "g" | "kg" | "volumes" => format!("{}", number(text)),
                _ => text.to_owned(),
            };
            let printed = figure(&page, called);
            assert_eq!(plain(&printed), plain(&wanted), "{name}: {called}");
        }
    }
    let page = browser.get("/calculations/keg").await;
    let keg = engine("keg", &starts[12].1);
    let bar = keg["gauge_kpa"].as_f64().expect("a pressure") / 100.0;
    assert_eq!(
        figure(&page, "on the gauge"),
        format!("{bar:.2} bar ({} psi)", fixed(&keg, "/gauge_psi", 1))
    );
    let page = browser.get("/calculations/bottle_strength").await;
    let bottle = engine("bottle_strength", &starts[13].1);
    let wanted = format!(
        "{} bar ({} psi)",
        fixed(&bottle, "/gauge_bar", 2),
        fixed(&bottle, "/gauge_psi", 1)
    );
    assert_eq!(figure(&page, "pressure"), wanted);
    assert!(
        sentence(&page).contains("within the 2.5 volumes"),
        "{}",
        sentence(&page)
    );
    let page = browser.get("/calculations/sweeten").await;
    let sweet = engine("sweeten", &starts[4].1);
    let kg = sweet["kg"].as_f64().expect("a mass");
    assert!(
        sentence(&page).starts_with(&format!("{:.0} g of wildflower", kg * 1000.0)),
        "{}",
        sentence(&page)
    );
    let page = browser.get("/calculations/triangle").await;
    let chance = 100.0
        * engine("triangle", &starts[14].1)["p_value"]
            .as_f64()
            .expect("a chance");
    assert_eq!(
        figure(&page, "chance by luck alone"),
        format!("{chance:.2} %")
    );
}

#[tokio::test]
async fn another_address_is_another_answer_and_says_what_went_in() {
    let club = Club::open().await;
    let browser = club.browser();
    let page = ask(
        &browser,
        "alcohol",
        &[("og", "26 °Bx"), ("fg", "12 points")],
    )
    .await;
    assert_eq!(page.status, 200);
    assert_eq!(
        (text(&page, "og").as_str(), text(&page, "fg").as_str()),
        ("26 °Bx", "12 points")
    );
    let og = engine("gravity", &json!({"brix": 26}));
    let answer = engine("alcohol", &json!({"og": og["sg"], "fg": 1.012}));
    assert_eq!(
        figure(&page, "strength by volume"),
        format!("{} %", fixed(&answer, "/abv_percent", 2))
    );
    assert_eq!(
        words(&page, ".pairs dd"),
        [fixed(&og, "/sg", 4), "1.0120".to_owned()]
    );
    // A density, a yeast of the catalogue, a row left out: each is what it stands for.
    let page = ask(&browser, "gravity", &[("sg", "1100 kg/m³")]).await;
    let dense = engine("gravity", &json!({"density_kg_per_m3": 1100}));
    assert_eq!(figure(&page, "gravity"), fixed(&dense, "/sg", 4));
    let page = ask(
        &browser,
        "feeding",
        &[("nitrogen_need", "yeast-champagne-type")],
    )
    .await;
    let low = engine(
        "feeding",
        &json!({"litres": 20, "og": 1.09, "nitrogen_need": "low", "plan": "mixed_only"}),
    );
    assert_eq!(
        figure(&page, "nitrogen to bring"),
        format!("{} mg/L", fixed(&low, "/deficit_mg_per_l", 0))
    );
    let rows = [
        ("parts-1-litres", ""),
        ("parts-1-sg", ""),
        ("parts-1-abv_percent", ""),
        ("parts-3-litres", "2 L"),
        ("parts-3-sg", "1.000"),
        ("parts-3-abv_percent", "0"),
    ];
    let page = ask(&browser, "blend", &rows).await;
    let blend = engine(
        "blend",
        &json!({"parts": [{"litres": 10, "sg": 1.02, "abv_percent": 11}, {"litres": 2, "sg": 1}]}),
    );
    assert_eq!(
        figure(&page, "strength"),
        format!("{} %", fixed(&blend, "/abv_percent", 2))
    );
    // A limit typed counts more than the yeast's own.
    let page = ask(
        &browser,
        "step_feeding",
        &[("tolerance_abv_percent", "18.5 %"), ("abv_percent", "17 %")],
    )
    .await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(words(&page, ".pairs dd").contains(&"18.5 %".to_owned()));
}

#[tokio::test]
async fn amounts_are_read_and_shown_in_the_readers_units() {
    let club = Club::open().await;
    let us = Settings {
        units: Units::Us,
        ..Settings::default()
    };
    let ada = a_member().with(us).of(&club).await;
    let (stranger, reader) = (club.browser(), club.browser_of(&ada).await);
    let keg = engine(
        "keg",
        &json!({"temperature_c": (39.0 - 32.0) / 1.8, "volumes_co2": 2.5, "abv_percent": 12, "sugar_g_per_l": 10}),
    );
    let psi = format!("{} psi", fixed(&keg, "/gauge_psi", 1));
    let page = reader.get("/calculations/keg").await;
    assert_eq!(text(&page, "temperature_c"), "39 °F");
    assert!(
        figure(&page, "on the gauge").starts_with(&psi),
        "{}",
        figure(&page, "on the gauge")
    );
    let page = ask(&stranger, "keg", &[("temperature_c", "39 °F")]).await;
    assert!(figure(&page, "on the gauge").ends_with(&format!("({psi})")));
    assert_eq!(words(&page, "#temperature_c-note"), ["= 3.9 °C"]);
    // A number without a unit is in the reader's own, and the page says so.
    let (page, other) = (
        ask(&reader, "sorbate", &[("litres", "5")]).await,
        ask(&stranger, "sorbate", &[("litres", "5")]).await,
    );
    let grams = |litres: f64| {
        engine(
            "sorbate",
            &json!({"litres": litres, "sorbic_acid_mg_per_l": 200}),
        )
    };
    assert!(figure(&page, "potassium sorbate").starts_with(&fixed(
        &grams(5.0 * 3.785_411_784),
        "/grams",
        1
    )));
    assert!(figure(&other, "potassium sorbate").starts_with(&fixed(&grams(5.0), "/grams", 1)));
    assert_eq!(words(&page, "#litres-note"), ["read as 5 gal (18.9 L)"]);
    assert_eq!(words(&other, "#litres-note"), ["read as 5 L"]);
    // mg/L in other words, gas in g/L, a must by weight.
    let page = ask(
        &stranger,
        "sulfite",
        &[
            ("molecular_so2_mg_per_l", "0.0005 g/L"),
            ("litres", "5 US gal"),
        ],
    )
    .await;
    let dose = engine(
        "sulfite",
        &json!({"litres": 18.927_058_92, "ph": 3.4, "molecular_so2_mg_per_l": 0.5}),
    );
    assert_eq!(
        figure(&page, "free, then"),
        format!("{} mg/L", fixed(&dose, "/free_needed_mg_per_l", 0))
    );
    let page = ask(&stranger, "keg", &[("volumes_co2", "5 g/L")]).await;
    let gas = engine(
        "keg",
        &json!({"temperature_c": 4, "volumes_co2": 5.0 / 1.9768, "abv_percent": 12, "sugar_g_per_l": 10}),
    );
    assert!(figure(&page, "on the gauge").contains(&fixed(&gas, "/gauge_psi", 1)));
    let page = ask(
        &stranger,
        "boil",
        &[
            ("brix", "20 °Bx"),
            ("kg", "10 kg"),
            ("water_lost_kg", "1 kg"),
        ],
    )
    .await;
    assert_eq!(
        figure(&page, "gravity"),
        fixed(
            &engine("boil", &json!({"kg": 10, "brix": 20, "water_lost_kg": 1})),
            "/sg",
            4
        )
    );
}

#[tokio::test]
async fn what_stands_there_first_can_be_read_in_every_unit() {
    let club = Club::open().await;
    for (units, name) in [(Units::Us, "Ada"), (Units::Imperial, "Bea")] {
        let settings = Settings {
            units,
            ..Settings::default()
        };
        let reader = a_member().named(name).with(settings).of(&club).await;
        let browser = club.browser_of(&reader).await;
        for page in mustwright::calculations::ALL {
            let shown = browser.get(&format!("/calculations/{}", page.name)).await;
            let faults = words(&shown, ".fault").concat();
            assert_eq!((shown.status, faults.as_str()), (200, ""), "{}", page.name);
            let volumes = words(&shown, ".pairs dd").into_iter();
            let litres: Vec<String> = volumes.filter(|value| value.ends_with(" L")).collect();
            assert!(litres.is_empty(), "{} in {units}: {litres:?}", page.name);
        }
    }
}

#[tokio::test]
async fn a_field_left_empty_counts_as_the_calculation_says() {
    let club = Club::open().await;
    let browser = club.browser();
    let page = ask(
        &browser,
        "hydrometer",
        &[("calibration_c", ""), ("abv_percent", "")],
    )
    .await;
    let answer = engine(
        "hydrometer",
        &json!({"reading_sg": 1.050, "temperature_c": 28}),
    );
    assert_eq!(page.status, 200);
    assert_eq!(figure(&page, "gravity"), fixed(&answer, "/sg", 4));
    assert_eq!(words(&page, "#calibration_c-note"), ["left empty: 20 °C"]);
    assert_eq!(text(&page, "calibration_c"), "");
}

#[tokio::test]
async fn each_picture_has_a_table_of_the_same_numbers() {
    let club = Club::open().await;
    let browser = club.browser();
    let mut pictures = 0;
    for page in mustwright::calculations::ALL {
        let shown = browser.get(&format!("/calculations/{}", page.name)).await;
        let svg = shown.text.matches("<svg class=\"graph\"").count();
        let rows = words(&shown, ".drawn tbody tr").len();
        assert!(
            svg == 0 || rows > 1,
            "{}: a picture without its table",
            page.name
        );
        pictures += svg;
    }
    assert!(pictures >= 9, "{pictures}");
    // The table's own numbers are the engine's.
    let page = browser.get("/calculations/sulfite").await;
    let dose = engine(
        "sulfite",
        &json!({"litres": 19, "ph": 3.4, "molecular_so2_mg_per_l": 0.8}),
    );
    let needed = fixed(&dose, "/free_needed_mg_per_l", 0);
    assert_eq!(row(&page, "3.40"), [needed]);
    let page = browser.get("/calculations/triangle").await;
    let least = |alpha: f64| {
        let input = json!({"panel": 24, "correct": 0, "alpha": alpha});
        fixed(&engine("triangle", &input), "/critical_number", 0)
    };
    assert_eq!(row(&page, "24"), [0.05, 0.01, 0.001].map(least));
}

/// The figures of the row of that name.
fn row(page: &Page, name: &str) -> Vec<String> {
    let names = words(page, ".drawn tbody th");
    let place = names.iter().position(|known| known == name);
    let place = place.unwrap_or_else(|| panic!("no row {name}: {names:?}"));
    words(
        page,
        &format!(".drawn tbody tr:nth-child({}) td", place + 1),
    )
}
