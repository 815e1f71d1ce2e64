//! The calculations as pages, over HTTP and without script: for everybody, each with answer, method, faults and cautions.

mod answers;
mod refusals;

use std::collections::BTreeSet;

use mustwright::calculations::model::{Kind, Look, Moment, Page as Described};
use mustwright::calculations::{ALL, find, paths};
use mustwright::engine::calculations::{LIST, calculate};
use mustwright::engine::json::Json;
use mustwright::engine::problem::ProblemCode;
use mustwright::engine::water::SALTS;
use scraper::{Html, Selector};

use crate::support::{Browser, Club, Page, a_keeper, a_member};

/// A page with these fields filled in, the others as they start.
async fn ask(browser: &Browser, name: &str, fields: &[(&str, &str)]) -> Page {
    let query = query_of(fields);
    browser.get(&format!("{}?{query}", paths::page(name))).await
}

fn query_of(fields: &[(&str, &str)]) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~".contains(&byte);
    let encode = |text: &str| {
        let bytes = text.bytes().map(|byte| match plain(byte) {
            true => (byte as char).to_string(),
            false => format!("%{byte:02X}"),
        });
        bytes.collect::<String>()
    };
    let pairs = fields
        .iter()
        .map(|(name, text)| format!("{name}={}", encode(text)));
    pairs.collect::<Vec<_>>().join("&")
}

/// Words of everything that a selector finds.
fn words(page: &Page, css: &str) -> Vec<String> {
    let html = Html::parse_document(&page.text);
    let found = Selector::parse(css).expect("a selector");
    let texts = html.select(&found).map(|element| {
        let text = element.text().collect::<String>();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    });
    texts.collect()
}

/// The value printed beside a name in the answer.
fn figure(page: &Page, name: &str) -> String {
    let names = words(page, ".answer .note b");
    let values = words(page, ".answer .note strong");
    let found = names.iter().zip(&values).find(|(known, _)| *known == name);
    found
        .unwrap_or_else(|| panic!("no {name} among {names:?}: {}", page.text))
        .1
        .clone()
}

/// The sentence that leads.
fn sentence(page: &Page) -> String {
    words(page, ".lead").concat()
}

/// The fault beside the field of that name.
fn fault(page: &Page, name: &str) -> String {
    words(page, &format!("[id='{name}-fault']")).concat()
}

/// What stands in the field of that name.
fn text(page: &Page, name: &str) -> String {
    let html = Html::parse_document(&page.text);
    let css = format!("input[name='{name}'], select[name='{name}'] option[selected]");
    let field = Selector::parse(&css).expect("a selector");
    let found = html.select(&field).next();
    let value = found.and_then(|field| field.value().attr("value"));
    value.unwrap_or_default().to_owned()
}

#[tokio::test]
async fn every_calculation_has_a_page_that_opens_for_everybody() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let browsers = [club.browser(), club.browser_of(&ada).await];
    assert!(LIST.len() >= 16);
    let names: BTreeSet<&str> = ALL.iter().map(|page| page.name).collect();
    assert_eq!(names.len(), ALL.len(), "a name stands twice");
    let known: BTreeSet<&str> = LIST.iter().map(|known| known.name).collect();
    assert_eq!(names, known);
    for browser in &browsers {
        for known in LIST {
            let described = find(known.name).expect("a page");
            let page = browser.get(&paths::page(known.name)).await;
            assert_eq!(
                (page.status, page.heading()),
                (200, described.title.to_owned())
            );
            assert!(
                sentence(&page).ends_with('.'),
                "{}: {}",
                known.name,
                sentence(&page)
            );
            assert!(!words(&page, ".answer .note strong").is_empty());
            for printed in words(&page, ".answer .note strong, .lead") {
                assert!(!printed.contains("NaN"), "{printed}");
            }
            let told = words(&page, ".told dd");
            assert_eq!(told.len(), 3, "source, range, what is left out");
            assert!(told.iter().all(|told| told.len() > 20), "{told:?}");
            assert!(!words(&page, ".formula").is_empty());
            assert!(!words(&page, ".pairs dd").is_empty(), "what went in");
            assert!(words(&page, "tbody tr").len() > 1 || known.name == "step_feeding");
            assert!(!page.text.to_lowercase().contains("blood"));
        }
        assert_eq!(browser.get("/calculations/nothing").await.status, 404);
    }
}

#[tokio::test]
async fn the_index_has_each_of_them_once_and_is_led_to() {
    let club = Club::open().await;
    let ada = a_member().new_to_it().of(&club).await;
    for browser in [club.browser(), club.browser_of(&ada).await] {
        let home = browser.get("/").await;
        assert_eq!(home.link("Calculations").as_deref(), Some("/calculations"));
        assert!(
            home.text.matches("href=\"/calculations\"").count() >= 2,
            "not only the masthead"
        );
        let index = browser.get("/calculations").await;
        assert_eq!(index.status, 200);
        assert_eq!(words(&index, "nav [aria-current]"), ["Calculations"]);
        let headings: Vec<String> = Moment::ALL.map(|m| m.heading().to_owned()).into();
        assert_eq!(words(&index, "main h2"), headings);
        let titles: Vec<&str> = Moment::ALL
            .iter()
            .flat_map(|moment| ALL.iter().filter(|page| page.moment == *moment))
            .map(|page| page.title)
            .collect();
        assert_eq!(words(&index, "main h3"), titles);
        assert_eq!(titles.len(), ALL.len());
        for page in ALL {
            assert_eq!(index.link(page.title), Some(paths::page(page.name)));
            assert!(
                page.line.ends_with('.') && index.text.contains(page.line),
                "{}",
                page.line
            );
        }
    }
}

/// Whether a page asks for an input of the engine.
fn asks_for(page: &Described, key: &str) -> bool {
    page.fields().any(|field| {
        let own = field.key == key || field.key.starts_with(&format!("{key}/"));
        own || (matches!(field.kind, Kind::AnyGravity)
            && ["sg", "brix", "density_kg_per_m3"].contains(&key))
    })
}

#[test]
fn whatever_the_engine_takes_can_be_asked() {
    for known in LIST {
        let page = find(known.name).expect("a page");
        for key in known.inputs {
            assert!(
                asks_for(page, key.name),
                "{} does not ask for {}",
                known.name,
                key.name
            );
        }
        let names: BTreeSet<String> = page.fields().map(|field| field.name()).collect();
        assert_eq!(
            names.len(),
            page.fields().count(),
            "{}: a field twice",
            known.name
        );
    }
    let water = find("water").expect("a page");
    for salt in SALTS {
        let found = water
            .fields()
            .any(|field| field.key == format!("salts/{}", salt.name()));
        assert!(found, "{} cannot be added", salt.name());
    }
    let row = |page: &Described| {
        page.groups
            .iter()
            .filter(|group| group.look == Look::Row)
            .count()
    };
    assert!(row(find("blend").expect("a page")) >= 3);
}

/// The words that the engine knows for a key, by asking it for one that it does not.
fn known_words(name: &str, key: &str) -> Vec<String> {
    let input = Json::Object(vec![(
        key.to_owned(),
        Json::Text("nothing of the kind".to_owned()),
    )]);
    let problems = calculate(name, &input)
        .expect("a calculation")
        .expect_err("problems");
    let found = problems.iter().find(|problem| {
        problem.code == ProblemCode::UnknownWord && problem.path == format!("/{key}")
    });
    let known = found.and_then(|problem| problem.arguments.text("known"));
    let known = known.unwrap_or_else(|| panic!("{name}: {key} is no word: {problems:?}"));
    known.split(", ").map(str::to_owned).collect()
}

#[test]
fn every_word_that_the_engine_knows_is_offered() {
    let mut seen = 0;
    for page in ALL {
        for field in page.fields() {
            let Kind::Choice(all) = field.kind else {
                continue;
            };
            let mut offered: Vec<String> =
                all().iter().map(|(word, _)| (*word).to_owned()).collect();
            let mut known = known_words(page.name, field.key);
            offered.sort();
            known.sort();
            assert_eq!(offered, known, "{}: {}", page.name, field.key);
            assert!(
                all().iter().all(|(word, name)| !name.is_empty()
                    && !name.contains('_')
                    && !word.is_empty())
            );
            seen += 1;
        }
    }
    assert!(seen >= 6, "{seen}");
}

#[tokio::test]
async fn the_clubs_own_honey_is_the_members() {
    let club = Club::open().await;
    let (wren, ada) = (a_keeper().of(&club).await, a_member().of(&club).await);
    let keeper = club.browser_of(&wren).await;
    let form = keeper
        .get("/catalogue/new/ingredient?from=honey-heather")
        .await;
    let saved = keeper
        .submit(&form, "Save as revision 1", &[("Name", "Tarn heather")])
        .await;
    assert_eq!(saved.status, 303, "{}", saved.text);
    for name in ["sweeten", "step_feeding"] {
        let path = paths::page(name);
        let page = club.browser_of(&ada).await.get(&path).await;
        let offered = |page: &Page| {
            words(page, "[name=composition] option").contains(&"Tarn heather".to_owned())
        };
        assert!(offered(&page), "{name}");
        assert!(!offered(&club.browser().get(&path).await), "{name}");
    }
}

#[tokio::test]
async fn a_live_edit_gets_the_same_answer_with_words_to_be_heard() {
    let club = Club::open().await;
    let browser = club.browser();
    for (query, status, heard) in [
        ("og=1.100&fg=1.000", 200, "A fall from 1.100 to 1.000"),
        ("og=much&fg=1.000", 422, "Write a gravity"),
    ] {
        let path = format!("/calculations/alcohol?{query}");
        let whole = browser.get(&path).await;
        let live = browser
            .request(reqwest::Method::GET, &path)
            .header("x-live", "1");
        let live = browser.send(live).await;
        assert_eq!((whole.status, live.status), (status, status));
        assert_eq!(words(&whole, "[data-live-say]"), [""]);
        assert!(
            words(&live, "[data-live-say]")[0].starts_with(heard),
            "{:?}",
            words(&live, "[data-live-say]")
        );
        assert_eq!(sentence(&whole), sentence(&live));
    }
}

#[tokio::test]
async fn every_address_on_a_page_lies_below_the_base() {
    let club = Club::with(&[("MUSTWRIGHT_BASE_URL", "http://mead.example/club")]).await;
    let browser = club.browser();
    for page in ALL {
        let shown = browser.get(&paths::page(page.name)).await;
        assert_eq!(shown.status, 200, "{}", page.name);
        for attribute in ["href=\"/", "action=\"/", "data-live=\"/", "src=\"/"] {
            let mut places = shown.text.split(attribute).skip(1).peekable();
            assert!(places.peek().is_some(), "no {attribute} on {}", page.name);
            for place in places {
                assert!(place.starts_with("club/"), "{}: {attribute}", page.name);
            }
        }
    }
}
