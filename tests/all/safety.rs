//! The pages on safety over HTTP: open to strangers, every heading with its page, every caution with its place.

use std::collections::BTreeSet;

use mustwright::engine::plants::PLANTS;
use mustwright::engine::problem::CautionCode;
use mustwright::safety::{self, Group, place_of, subjects};
use mustwright::web::units::Units;
use scraper::{Html, Selector};

use crate::support::{Club, Page, a_member};

/// The ids that stand on a page.
fn ids(page: &Page) -> BTreeSet<String> {
    let html = Html::parse_document(&page.text);
    let all = Selector::parse("[id]").expect("a selector");
    let ids = html
        .select(&all)
        .filter_map(|element| element.value().attr("id"));
    ids.map(str::to_owned).collect()
}

/// Address and words of the links that a selector finds.
fn links(page: &Page, css: &str) -> Vec<(String, String)> {
    let html = Html::parse_document(&page.text);
    let found = Selector::parse(css).expect("a selector");
    let links = html.select(&found).map(|link| {
        let to = link.value().attr("href").expect("an address").to_owned();
        (to, link.text().collect::<String>().trim().to_owned())
    });
    links.collect()
}

#[tokio::test]
async fn a_stranger_reads_every_heading_of_the_index_on_its_page() {
    let club = Club::open().await;
    let browser = club.browser();
    let index = browser.get("/safety").await;
    assert_eq!((index.status, index.heading().as_str()), (200, "Safety"));
    let listed = links(&index, ".entries h3 a");
    assert_eq!(listed.len(), subjects().len());
    assert!(listed.len() >= 15, "{}", listed.len());
    for (to, name) in listed {
        let page = browser.get(&to).await;
        assert_eq!((page.status, page.heading()), (200, name), "{to}");
    }
    let sections = links(&index, ".entries .figures a");
    assert!(sections.len() > subjects().len(), "{}", sections.len());
    for (to, heading) in sections {
        let (path, anchor) = to.split_once('#').expect("a section");
        let page = browser.get(path).await;
        let found = page.words_of(&format!("section[id={anchor}] > h2"));
        assert_eq!(found, Some(heading), "{to}");
    }
}

#[tokio::test]
async fn what_can_hurt_tonight_comes_first() {
    let club = Club::open().await;
    let index = club.browser().get("/safety").await;
    let at = |words: &str| index.text.find(words).unwrap_or_else(|| panic!("{words}"));
    assert!(at("Somebody is hurt now") < at(Group::Tonight.heading()));
    let order: Vec<usize> = Group::ALL
        .into_iter()
        .map(|group| at(group.heading()))
        .chain(Some(at("</main>")))
        .collect();
    assert!(order.is_sorted(), "{order:?}");
    for subject in subjects() {
        let place = Group::ALL.iter().position(|group| *group == subject.group);
        let place = place.expect("a group of the index");
        let found = at(&format!("/safety/{}\"", subject.key));
        assert!(
            order[place] < found && found < order[place + 1],
            "{} stands below another heading",
            subject.key
        );
    }
}

#[tokio::test]
async fn every_caution_that_leads_on_leads_to_what_is_there() {
    let club = Club::open().await;
    let browser = club.browser();
    let mut places = BTreeSet::new();
    for place in CautionCode::ALL.iter().filter_map(|code| place_of(*code)) {
        let path = place.path();
        let (page, anchor) = path.split_once('#').expect("a section");
        let page = browser.get(page).await;
        assert_eq!(page.status, 200, "{path}");
        assert!(ids(&page).contains(anchor), "{path}");
        places.insert(path);
    }
    assert!(places.len() >= 8, "{places:?}");
}

#[test]
fn every_section_says_what_how_what_to_do_whom_to_ask_and_where_from() {
    let mut keys = BTreeSet::new();
    for subject in subjects() {
        assert!(keys.insert(subject.key), "{} twice", subject.key);
        let kebab = |text: &str| text.chars().all(|c| c.is_ascii_lowercase() || c == '-');
        assert!(kebab(subject.key), "{}", subject.key);
        assert!(!subject.sections.is_empty(), "{}", subject.key);
        for text in [subject.line, subject.wall] {
            assert!(text.ends_with('.'), "{}: {text}", subject.key);
        }
        let mut anchors = BTreeSet::new();
        for section in subject.sections {
            let told = format!("{}#{}", subject.key, section.anchor);
            assert!(kebab(section.anchor), "{told}");
            // The shell has an id of its own for the page.
            assert!(
                section.anchor != "main" && anchors.insert(section.anchor),
                "{told}"
            );
            for text in [section.happens, section.tell, section.ask] {
                assert!(text.len() > 20 && text.ends_with('.'), "{told}: {text}");
            }
            assert!(
                !section.steps.is_empty() && !section.sources.is_empty(),
                "{told}"
            );
            assert!(
                section.steps.iter().all(|step| step.ends_with('.')),
                "{told}"
            );
            assert_eq!(subject.section(section.anchor), Some(section));
        }
    }
    assert_eq!(safety::find("gas").map(|subject| subject.key), Some("gas"));
    assert_eq!(safety::find("nothing"), None);
}

#[tokio::test]
async fn figures_are_in_the_readers_units_and_none_is_left_open() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let reader = club.browser_of(&ada).await;
    for (units, boil, pressure) in [
        (Units::Metric, "110 °C to 180 °C", "7 bar to 8 bar"),
        (Units::Us, "230 °F to 356 °F", "102 psi to 116 psi"),
        (Units::Imperial, "110 °C to 180 °C", "102 psi to 116 psi"),
    ] {
        let fields = [
            ("units", units.word()),
            ("theme", "device"),
            ("zone", "UTC"),
            ("sachet", "5"),
            ("powder_step", "1"),
            ("honey_step", "5"),
        ];
        let saved = reader.post("/settings", &fields).await;
        assert_eq!(saved.status, 303, "{}", saved.text);
        for subject in subjects() {
            let page = reader.get(&safety::paths::subject(subject.key)).await;
            assert!(!page.text.contains(['{', '}']), "{}", page.text);
        }
        let sheet = reader.get("/safety/sheet").await;
        assert!(!sheet.text.contains(['{', '}']), "{}", sheet.text);
        assert!(reader.get("/safety/heat").await.text.contains(boil));
        assert!(reader.get("/safety/bottles").await.text.contains(pressure));
    }
}

#[tokio::test]
async fn the_sheet_for_the_wall_has_a_line_for_each_subject() {
    let club = Club::open().await;
    let browser = club.browser();
    let index = browser.get("/safety").await;
    let to = index.link("A sheet to hang up").expect("a link");
    let sheet = browser.get(&to).await;
    assert_eq!(sheet.status, 200);
    let html = Html::parse_document(&sheet.text);
    let rows = Selector::parse("tbody tr").expect("a selector");
    assert_eq!(html.select(&rows).count(), subjects().len());
    // Whom to call comes before everything else.
    let (call, first) = (sheet.text.find("Poison centre"), sheet.text.find("<tbody>"));
    assert!(call.is_some() && call < first, "{call:?}, {first:?}");
}

#[tokio::test]
async fn every_page_leads_to_safety_and_defers_to_the_law() {
    let club = Club::open().await;
    let ada = a_member().of(&club).await;
    let (stranger, member) = (club.browser(), club.browser_of(&ada).await);
    for (browser, path) in [
        (&stranger, "/"),
        (&stranger, "/sign-in"),
        (&stranger, "/nothing/here"),
        (&stranger, "/safety/nothing"),
        (&member, "/"),
        (&member, "/recipes"),
        (&member, "/recipes/new"),
        (&member, "/settings"),
    ] {
        let page = browser.get(path).await;
        let footer = page.words_of("footer").unwrap_or_default();
        assert!(
            footer.contains("law where you live come first")
                && footer.contains("licensed practice"),
            "{path}: {footer}"
        );
        assert_eq!(page.link("Safety").as_deref(), Some("/safety"), "{path}");
    }
    assert_eq!(stranger.get("/safety/nothing").await.status, 404);
}

#[tokio::test]
async fn every_plant_that_the_engine_knows_is_listed_with_what_is_wrong_with_it() {
    let club = Club::open().await;
    let page = club.browser().get("/safety/plants").await;
    let html = Html::parse_document(&page.text);
    for (section, refused) in [("left-out", true), ("little-of-it", false)] {
        let rows = Selector::parse(&format!("#{section} tbody tr")).expect("a selector");
        let listed: Vec<(String, String)> = html
            .select(&rows)
            .map(|row| {
                let mut cells = row.child_elements().map(|cell| cell.text().collect());
                (
                    cells.next().unwrap_or_default(),
                    cells.next().unwrap_or_default(),
                )
            })
            .collect();
        let known = PLANTS.iter().filter(|plant| plant.refused == refused);
        let names: Vec<&str> = known.map(|plant| plant.name).collect();
        let shown: Vec<&str> = listed.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(shown, names, "{section}");
        assert!(listed.iter().all(|(_, why)| why.len() > 10), "{listed:?}");
    }
}
