//! What is refused stands beside its field, the text with it; what can hurt is said beside its number and leads on.

use mustwright::calculations::ALL;
use mustwright::calculations::model::Kind;

use super::{ask, fault, sentence, text, words};
use crate::support::{Club, Page};

/// Whether a field is typed and not chosen.
fn is_typed(kind: Kind) -> bool {
    !matches!(
        kind,
        Kind::Choice(_) | Kind::Level(_) | Kind::Honey | Kind::Sweetener | Kind::Yeast
    )
}

#[tokio::test]
async fn what_cannot_be_read_is_said_beside_its_field_and_comes_back() {
    let club = Club::open().await;
    let browser = club.browser();
    let mut seen = 0;
    for page in ALL {
        for field in page.fields() {
            let name = field.name();
            let odd = "a bit \"<b>";
            let answer = ask(&browser, page.name, &[(&name, odd)]).await;
            let told = format!("{}: {name}", page.name);
            assert_eq!(answer.status, 422, "{told}");
            assert_eq!(text(&answer, &name), odd, "{told}");
            assert!(fault(&answer, &name).starts_with("Fault: "), "{told}");
            assert!(
                answer.text.contains(&format!("href=\"#{name}\"")),
                "{told}: the summary leads to it"
            );
            let faults: Vec<String> = words(&answer, ".fault")
                .into_iter()
                .filter(|fault| !fault.is_empty())
                .collect();
            // A row that was empty has to be filled in whole, once something stands in it.
            let begun = name.starts_with("parts-2") || name.starts_with("parts-3");
            assert!(faults.len() == 1 || begun, "{told}: {faults:?}");
            assert!(words(&answer, "title")[0].starts_with("Error: "), "{told}");
            assert!(
                words(&answer, ".answer .note").is_empty(),
                "{told}: no old answer stays"
            );
            seen += 1;
        }
    }
    assert!(seen > 70, "{seen}");
}

#[tokio::test]
async fn two_faults_are_told_at_once() {
    let club = Club::open().await;
    let browser = club.browser();
    let page = ask(
        &browser,
        "keg",
        &[
            ("temperature_c", "cold"),
            ("volumes_co2", "70"),
            ("abv_percent", ""),
        ],
    )
    .await;
    assert_eq!(page.status, 422);
    assert!(
        fault(&page, "temperature_c").contains("such as 20 °C"),
        "{}",
        fault(&page, "temperature_c")
    );
    assert!(
        fault(&page, "volumes_co2").contains("from 0 to 5"),
        "{}",
        fault(&page, "volumes_co2")
    );
    let page = ask(&browser, "sulfite", &[("ph", ""), ("litres", "")]).await;
    assert!(
        fault(&page, "ph").contains("Write a number"),
        "{}",
        fault(&page, "ph")
    );
    assert!(
        fault(&page, "litres").contains("Write a volume"),
        "{}",
        fault(&page, "litres")
    );
}

#[tokio::test]
async fn what_the_engine_refuses_stands_beside_the_field_that_it_is_about() {
    let club = Club::open().await;
    let browser = club.browser();
    for (page, fields, name, says) in [
        (
            "sorbate",
            vec![("sorbic_acid_mg_per_l", "400 mg/L")],
            "sorbic_acid_mg_per_l",
            "more than 300 mg/L",
        ),
        (
            "sulfite",
            vec![("ph", "4.9")],
            "molecular_so2_mg_per_l",
            "no rule for drinks",
        ),
        (
            "acid",
            vec![("acid", "KHCO3")],
            "ta_change_g_per_l",
            "potassium bicarbonate",
        ),
        (
            "prime",
            vec![("volumes_co2", "0.2")],
            "volumes_co2",
            "Add no sugar",
        ),
        (
            "prime",
            vec![("volumes_co2", "6")],
            "volumes_co2",
            "use a keg",
        ),
        ("alcohol", vec![("fg", "0.950")], "fg", "no yeast gets to"),
        (
            "triangle",
            vec![("correct", "13")],
            "correct",
            "from 0 to 12",
        ),
        (
            "sweeten",
            vec![("target_sg", "0.990")],
            "target_sg",
            "ends by itself at 0.998",
        ),
        (
            "step_feeding",
            vec![("abv_percent", "18 %")],
            "abv_percent",
            "gets no further than about 16.0 %",
        ),
        (
            "feeding",
            vec![("mixed_g_per_l", "")],
            "mixed_g_per_l",
            "Write an amount per litre",
        ),
        (
            "blend",
            vec![("parts-2-litres", "2 L")],
            "parts-2-sg",
            "Write a gravity",
        ),
        (
            "boil",
            vec![("water_lost_kg", "11 L")],
            "water_lost_kg",
            "outside what can be reckoned with",
        ),
        (
            "water",
            vec![("report-calcium", "200000")],
            "report-calcium",
            "outside what can be reckoned with",
        ),
        (
            "hydrometer",
            vec![("temperature_c", "70 °C")],
            "temperature_c",
            "from 0 °C to 40 °C",
        ),
    ] {
        let answer = ask(&browser, page, &fields).await;
        assert_eq!(answer.status, 422, "{page}");
        let found = fault(&answer, name);
        assert!(
            found.contains(says),
            "{page}, {name}: {found}\n{:?}",
            words(&answer, ".fault")
        );
    }
    // The second row is empty: what is wrong with the third stands beside the third.
    let empty = [
        ("parts-1-litres", ""),
        ("parts-1-sg", ""),
        ("parts-1-abv_percent", ""),
    ];
    let third = [
        ("parts-2-litres", "2 L"),
        ("parts-2-sg", "1.000"),
        ("parts-2-abv_percent", "100 %"),
        ("parts-2-ta_g_per_l", "500"),
    ];
    let answer = ask(&browser, "blend", &[empty.as_slice(), &third].concat()).await;
    assert!(
        fault(&answer, "parts-2-ta_g_per_l").contains("from 0 g/L to 100 g/L"),
        "{:?}",
        words(&answer, ".fault")
    );
    assert_eq!(fault(&answer, "parts-1-ta_g_per_l"), "");
}

/// The caution of these leading words: its class, the number it stands beside, and where it leads.
fn caution(page: &Page, lead: &str) -> (String, String, Option<String>) {
    let html = scraper::Html::parse_document(&page.text);
    let css = |css: &str| scraper::Selector::parse(css).expect("a selector");
    for noted in html.select(&css(".noted")) {
        for found in noted.select(&css(".caution")) {
            let bold: String = found.select(&css("b")).flat_map(|b| b.text()).collect();
            if bold != format!("{lead}.") {
                continue;
            }
            let class = found.value().attr("class").unwrap_or_default();
            let name: String = noted
                .select(&css(".note b"))
                .flat_map(|b| b.text())
                .collect();
            let link = found.select(&css("a")).next();
            let to = link
                .and_then(|link| link.value().attr("href"))
                .map(str::to_owned);
            return (class.to_owned(), name, to);
        }
    }
    panic!("nothing says {lead}: {:?}", words(page, ".caution b"));
}

#[tokio::test]
async fn what_can_hurt_is_said_beside_its_number_and_leads_to_safety() {
    let club = Club::open().await;
    let browser = club.browser();
    for (page, fields, lead, class, beside, to) in [
        (
            "prime",
            vec![],
            "Bottles can burst",
            "danger",
            "sugar to add",
            "/safety/bottles#under-pressure",
        ),
        (
            "prime",
            vec![("fermentable_g_per_l", "2 g/L")],
            "It counts on what is left",
            "danger",
            "gas that is there",
            "/safety/bottles#under-pressure",
        ),
        (
            "bottle_strength",
            vec![("bottle", "still")],
            "This bottle may burst",
            "danger",
            "pressure",
            "/safety/bottles#under-pressure",
        ),
        (
            "bottle_strength",
            vec![],
            "Bottles can burst",
            "danger",
            "pressure",
            "/safety/bottles#under-pressure",
        ),
        (
            "keg",
            vec![],
            "A vessel under pressure",
            "danger",
            "on the gauge",
            "/safety/gas#cylinders",
        ),
        (
            "sulfite",
            vec![],
            "Do not breathe it",
            "danger",
            "salt to give",
            "/safety/sulfite#powder",
        ),
        (
            "sulfite",
            vec![("ph", "4.2")],
            "Much sulfite",
            "danger",
            "free, then",
            "/safety/sulfite#sensitive-people",
        ),
        (
            "sorbate",
            vec![],
            "Never sorbate alone",
            "watch",
            "potassium sorbate",
            "/safety/sulfite#sorbate",
        ),
        (
            "sorbate",
            vec![("sorbic_acid_mg_per_l", "250 mg/L")],
            "Much sorbate",
            "watch",
            "potassium sorbate",
            "/safety/sulfite#sorbate",
        ),
        (
            "acid",
            vec![],
            "Acid hurts the eyes",
            "danger",
            "to add",
            "/safety/cleaning#lye-and-acid",
        ),
        (
            "acid",
            vec![("acid", "K2CO3"), ("ta_change_g_per_l", "-1 g/L")],
            "A caustic powder",
            "danger",
            "to add",
            "/safety/cleaning#lye-and-acid",
        ),
        (
            "acid",
            vec![("acid", "CaCO3"), ("ta_change_g_per_l", "−1")],
            "It foams",
            "watch",
            "to add",
            "/safety/bottles#foam",
        ),
        (
            "water",
            vec![("salts-slaked_lime", "2 g")],
            "A caustic powder",
            "danger",
            "alkalinity",
            "/safety/cleaning#lye-and-acid",
        ),
        (
            "sweeten",
            vec![],
            "Bottles can burst",
            "danger",
            "to add",
            "/safety/bottles#sugar-left",
        ),
        (
            "blend",
            vec![],
            "It can start again",
            "danger",
            "strength",
            "/safety/bottles#starts-again",
        ),
        (
            "boil",
            vec![],
            "Hot honey burns",
            "danger",
            "gravity",
            "/safety/heat#browned-honey",
        ),
        (
            "feeding",
            vec![],
            "It foams over",
            "watch",
            "mixed nutrient",
            "/safety/bottles#foam",
        ),
        (
            "step_feeding",
            vec![],
            "It foams over",
            "watch",
            "honey fed",
            "/safety/bottles#foam",
        ),
    ] {
        let answer = ask(&browser, page, &fields).await;
        assert_eq!(
            answer.status,
            200,
            "{page} {fields:?}: {}",
            sentence(&answer)
        );
        let found = caution(&answer, lead);
        assert_eq!(
            found,
            (
                format!("caution {class}"),
                beside.to_owned(),
                Some(to.to_owned())
            ),
            "{page}"
        );
        let (path, anchor) = to.split_once('#').expect("a section");
        let safety = browser.get(path).await;
        assert!(safety.text.contains(&format!("id=\"{anchor}\"")), "{to}");
    }
    // Nothing to warn of where nothing is done.
    let page = ask(&browser, "sulfite", &[("free_so2_mg_per_l", "60 mg/L")]).await;
    assert!(
        words(&page, ".caution").is_empty(),
        "{:?}",
        words(&page, ".caution")
    );
    let page = ask(&browser, "blend", &[("parts-0-sg", "0.996")]).await;
    assert!(
        words(&page, ".caution").is_empty(),
        "{:?}",
        words(&page, ".caution")
    );
}

#[tokio::test]
async fn every_page_defers_to_the_law() {
    let club = Club::open().await;
    for page in ALL {
        let answer = ask(&club.browser(), page.name, &[]).await;
        let small = words(&answer, ".reckoned .small").concat();
        assert!(
            small.contains("law where you live") && small.contains("licensed practice"),
            "{small}"
        );
    }
}

#[tokio::test]
async fn anything_at_all_gets_an_honest_answer() {
    let club = Club::open().await;
    let browser = club.browser();
    let odd = [
        "1e308",
        "NaN",
        "0",
        "99999999999",
        "0.000001",
        "−5",
        "1,5",
        "１２",
    ];
    for page in ALL {
        for field in page.fields().filter(|field| is_typed(field.kind)) {
            for text in odd {
                let answer = ask(&browser, page.name, &[(&field.name(), text)]).await;
                let told = format!("{} {}={text}", page.name, field.name());
                assert!(
                    [200, 422].contains(&answer.status),
                    "{told}: {}",
                    answer.status
                );
                let faulty = words(&answer, ".fault")
                    .iter()
                    .any(|fault| !fault.is_empty());
                assert_eq!(
                    answer.status == 422,
                    faulty,
                    "{told}: a fault is said, or there is none"
                );
                for printed in words(&answer, ".answer .note strong, .lead, .drawn td") {
                    assert!(
                        !printed.contains("NaN") && !printed.contains("inf"),
                        "{told}: {printed}"
                    );
                }
                let picture = answer.text.split("<svg").nth(1).unwrap_or_default();
                let picture = picture.split("</svg>").next().unwrap_or_default();
                assert!(
                    !picture.contains("NaN") && !picture.contains("inf"),
                    "{told}"
                );
            }
        }
    }
    let many = vec![("og", "1"); 150];
    assert_eq!(ask(&browser, "alcohol", &many).await.status, 400);
    assert_eq!(
        browser.get("/calculations/alcohol?og=%00").await.status,
        400
    );
    assert_eq!(
        ask(&browser, "alcohol", &[("nothing", "of ours")])
            .await
            .status,
        200
    );
}
