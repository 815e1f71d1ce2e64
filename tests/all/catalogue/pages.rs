//! The pages that everybody reads: the list by kind, search, and a page for each entry.

use mustwright::catalogue::club::ClubCatalogue;
use mustwright::catalogue::facts;
use mustwright::catalogue::item::{Group, Item};
use mustwright::catalogue::{Kind, catalogue};
use mustwright::web::units::Units;

use crate::support::{Club, a_member};

#[tokio::test]
async fn a_stranger_finds_everything_by_kind_and_by_name() {
    let club = Club::open().await;
    let browser = club.browser();
    let home = browser.get("/").await;
    let to = home.link("The catalogue").expect("a way there");
    let list = browser.get(&to).await;
    assert_eq!(list.heading(), "Catalogue");
    for group in Group::all().filter(|group| *group != Group::Of(Kind::Other)) {
        assert!(list.link(group.heading()).is_some(), "{}", group.heading());
    }
    for item in ClubCatalogue::default().items() {
        assert!(list.link(item.name()).is_some(), "{}", item.name());
    }

    let found = browser.get("/catalogue?q=sour+CHERRY").await;
    let to = found.link("Sour cherry, pitted").expect("it is found");
    assert!(found.link("Blackberry").is_none());
    let page = browser.get(&to).await;
    assert_eq!(page.heading(), "Sour cherry, pitted");

    let juices = browser.get("/catalogue?kind=juice").await;
    assert_eq!(juices.heading(), "Juices and saps");
    assert!(juices.link("Apple juice").is_some());
    assert!(juices.link("Apple").is_none());
    let none = browser.get("/catalogue?q=zzz%3Cb%3E&kind=nothing").await;
    assert!(
        none.text.contains("Nothing found for “zzz&#60;b&#62;”"),
        "{}",
        none.text
    );
    assert_eq!(none.value("Find by name"), "zzz<b>");
}

#[tokio::test]
async fn every_entry_has_a_page_with_its_figures_and_their_sources() {
    let club = Club::open().await;
    let browser = club.browser();
    let seen = ClubCatalogue::default();
    let mut count = 0;
    let retired = catalogue().retired().iter().map(Item::Ingredient);
    for item in seen.items().chain(retired) {
        let page = browser.get(&format!("/catalogue/{}", item.key())).await;
        assert_eq!(page.status, 200, "{}", item.key());
        assert_eq!(page.heading(), item.name());
        let words = page.words_of("main").unwrap().to_lowercase();
        for text in [Some(item.words()), item.caution(), item.note()] {
            let text = text.unwrap_or_default().to_lowercase();
            assert!(words.contains(&text), "{text}");
        }
        assert!(words.contains(&item.group().heading().to_lowercase()));
        count += 1;
    }
    assert!(count > 200, "{count}");
    for path in ["/catalogue/nothing", "/catalogue/club-aaaaaaaaaaaaaaaaaaaa"] {
        assert_eq!(browser.get(path).await.status, 404, "{path}");
    }
}

#[test]
fn no_figure_stands_without_its_source() {
    for item in ClubCatalogue::default().items() {
        let sections = facts::sections(item, Units::Metric);
        assert!(!sections.is_empty(), "{}", item.key());
        for section in sections {
            for fact in section.facts {
                let figure = fact.value.chars().any(|c| c.is_ascii_digit());
                let sourced = !fact.source.is_empty() || !section.source.is_empty();
                assert!(!figure || sourced, "{}: {}", item.key(), fact.label);
                assert!(!fact.value.contains("NaN") && !fact.label.is_empty());
            }
            let told = section.source;
            assert!(!told.ends_with("; ") && !told.contains("()"), "{told}");
        }
    }
}

fn told(key: &str, units: Units) -> String {
    let seen = ClubCatalogue::default();
    let sections = facts::sections(seen.item(key).unwrap(), units);
    let lines = sections.iter().flat_map(|section| {
        let facts = section.facts.iter();
        let facts = facts.map(|fact| format!("{}: {} [{}]", fact.label, fact.value, fact.source));
        facts.chain([format!("from: {}", section.source)])
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn a_honey_says_colour_loudness_company_and_make_up() {
    let honey = told("honey-raspberry-blossom", Units::Metric);
    for words in [
        "Colour: white to extra light amber [20 to 50 mm on the Pfund scale: common practice]",
        "Strength of taste: 2 of 5: mild",
        "Goes with: berry melomel, session mead",
        "Water: 17.4 %, give or take 1.46 %",
        "Sugar that ferments: 73.51 %, give or take 1.24 %",
        "Of its sugars: fruit sugar 34.46 %, grape sugar 28.54 %, table sugar 0.51 %",
        "Acid, as tartaric: 2.2 g/kg [White et al. 1962",
        "pH: 4.04 [White et al. 1962 (USDA TB 1261), from memory, still to be checked",
        "from: water: White et al. 1962 (USDA TB 1261), from memory, still to be checked",
    ] {
        assert!(honey.contains(words), "{words}\n{honey}");
    }
    assert!(told("honey-heather", Units::Metric).contains("light amber to amber, reddish"));
    assert!(told("honey-tupelo", Units::Metric).contains("sets slowly"));
    assert!(!honey.contains("sets slowly"));
}

#[test]
fn a_fruit_says_how_much_is_usual_and_what_comes_out_when() {
    let fruit = told("raspberry", Units::Metric);
    for words in [
        "Water: 85.75 %",
        "Acid, as tartaric: 24.6 g/kg [Belitz",
        "Usual amount: 100 to 250 g/L; begin with the low end, for what is in is in [common practice, no published source]",
        "Usually goes in: while it ferments",
    ] {
        assert!(fruit.contains(words), "{words}\n{fruit}");
    }
    assert!(told("apple-juice", Units::Metric).contains("Usual amount: 0.3 to 1 kg/L"));
    let raspberry = catalogue().find("raspberry").unwrap();
    let forms = facts::forms_of(Item::Ingredient(raspberry));
    let lines: Vec<(&str, &str, &str, bool)> = forms
        .iter()
        .map(|line| {
            (
                line.words.as_str(),
                line.gives.as_str(),
                line.after.as_str(),
                line.usual,
            )
        })
        .collect();
    assert_eq!(
        lines[..3],
        [
            (
                "fresh and whole, skins on",
                "50 to 60 %",
                "7 to 10 days",
                true
            ),
            ("fresh, crushed or chopped", "85 %", "7 to 10 days", false),
            (
                "frozen, thawed, with pectinase",
                "90 to 95 %",
                "7 to 10 days",
                false
            ),
        ]
    );
    let honey = catalogue().find("honey-clover").unwrap();
    assert!(facts::forms_of(Item::Ingredient(honey)).is_empty());
}

#[test]
fn spices_yeasts_feeds_styles_and_vessels_say_what_they_are_asked() {
    for (key, words) in [
        (
            "cinnamon",
            "Stays in: 3 to 14 days, tasted every few days [common practice",
        ),
        ("cinnamon", "Usual amount: 0.3 to 2.5 g/L"),
        ("oak-cubes", "Stays in: 4 to 12 weeks"),
        (
            "potassium-bicarbonate",
            "Takes acid away, as tartaric: 749.6 g/kg",
        ),
        (
            "yeast-white-floral",
            "Stops at: 13 to 15 % alcohol when well fed, two to four less when not; a new recipe reckons with 14 %",
        ),
        ("yeast-white-floral", "Works well at: 14 to 20 °C"),
        ("yeast-white-floral", "Need of nitrogen: low"),
        ("feed-dap", "Nitrogen as ammonium: 212.1 mg in a gram"),
        (
            "feed-dap",
            "A level teaspoon: about 4 g, give or take a fifth: a scale is better [± 20 %, from memory, still to be checked]",
        ),
        ("carboy-us-5-gal", "Holds to the brim: 18.9 L"),
        (
            "style-cyser",
            "It is one if: apples, as fruit or juice, are more than half of the fruit by weight",
        ),
        ("style-morat", "Recognised: only by your own word for it"),
        ("word-sack", "Alcohol: 14 to 18 % by volume"),
        ("word-semi-sweet", "Gravity at the end: 1.010 to 1.025"),
        ("word-still", "less than 1 bar"),
        ("word-sparkling", "3 bar or more"),
    ] {
        let told = told(key, Units::Metric);
        assert!(told.contains(words), "{key}: {words}\n{told}");
    }
    let american = told("yeast-white-floral", Units::Us);
    assert!(
        american.contains("Works well at: 57.2 to 68 °F"),
        "{american}"
    );
}

#[tokio::test]
async fn a_member_reads_in_their_own_units_and_edits_nothing() {
    let club = Club::open().await;
    let ada = club.browser_of(&a_member().of(&club).await).await;
    let page = ada.get("/catalogue/raspberry").await;
    assert_eq!(page.status, 200);
    assert!(
        page.link("Start an entry of the club’s own from this")
            .is_none()
    );
    let list = ada.get("/catalogue").await;
    assert!(list.link("Add a yeast").is_none());
    for path in ["/catalogue/new/yeast", "/catalogue/raspberry/edit"] {
        assert_eq!(ada.get(path).await.status, 404, "{path}");
    }
    assert_eq!(ada.get("/catalogue/raspberry/history").await.status, 404);
}
