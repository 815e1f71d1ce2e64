//! The demonstration: an invented club whose every recipe can be made, served by its command.

use std::collections::BTreeSet;

use mustwright::catalogue::catalogue;
use mustwright::demo::people::{CLUB, PEOPLE};
use mustwright::demo::recipes::versions;
use mustwright::demo::scenario;
use mustwright::engine::problem::Severity;
use mustwright::engine::{Settings, formulate};
use mustwright::recipes::model::{NOTE_MAX, Visibility};

use crate::recipes::all_words;
use crate::support::{Browser, Club, Command, Page};

/// Every family that the engine recognises by itself.
const RECOGNISED: &[&str] = &[
    "acerglyn",
    "berry_mead",
    "bochet",
    "braggot",
    "capsicumel",
    "cyser",
    "experimental",
    "fruit_spice",
    "melomel",
    "metheglin",
    "pyment",
    "rhodomel",
    "stone_fruit_mead",
    "traditional",
];

#[test]
fn every_recipe_of_the_demonstration_can_be_made() {
    let mut wrong = Vec::new();
    for recipe in scenario::all() {
        for (number, version) in (1..).zip(versions(&recipe)) {
            let told = format!("{}, revision {number}", recipe.title);
            let numbers = formulate(&version.document, &Settings::default());
            if !version.faults.is_empty() || !numbers.problems.is_empty() {
                wrong.push(format!(
                    "{told}: {:?} {:?}",
                    version.faults, numbers.problems
                ));
                continue;
            }
            let (finished, must) = (numbers.finished.unwrap(), numbers.must.unwrap());
            let limits = numbers.limits.unwrap();
            if !(4.0..18.0).contains(&finished.abv_percent)
                || !(0.985..1.03).contains(&finished.fg)
                || limits.headroom_abv_percent < 1.0
                || (must.water_l <= 0.0 && version.document.filler.is_none())
            {
                wrong.push(format!("{told} is no sound mead: {finished:?} {limits:?}"));
            }
            let harm: Vec<_> = numbers
                .cautions
                .iter()
                .filter(|caution| {
                    caution.severity != Severity::Note
                        && [
                            "vessel_too_small",
                            "foam_may_overflow",
                            "little_headroom",
                            "ends_at_yeast_limit",
                            "no_feed",
                            "outside_yeast_temperature",
                            "sweetening_unused",
                            "filler_amount_unused",
                        ]
                        .contains(&caution.code.as_str())
                })
                .map(|caution| caution.code.as_str())
                .collect();
            if !harm.is_empty() {
                wrong.push(format!("{told}: {harm:?}"));
            }
            assert!(
                version.note.len() <= NOTE_MAX && !version.note.is_empty(),
                "{told}"
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn every_family_that_is_recognised_appears() {
    let mut found = BTreeSet::new();
    let mut known = BTreeSet::new();
    for recipe in scenario::all() {
        let newest = versions(&recipe).pop().expect("a revision");
        let numbers = formulate(&newest.document, &Settings::default());
        let family = numbers
            .style
            .and_then(|style| style.family.value)
            .expect("a family");
        match &newest.document.style {
            None => found.insert(family),
            Some(own) => {
                assert!(catalogue().find_family(own).is_some(), "{own}");
                known.insert(family)
            }
        };
    }
    assert_eq!(
        found.iter().map(String::as_str).collect::<Vec<_>>(),
        RECOGNISED
    );
    assert!(!known.is_empty(), "some are named by their makers");
}

#[test]
fn the_scenario_shows_revisions_copies_and_privacy() {
    let all = scenario::all();
    assert!(all.len() >= 20);
    let several = all
        .iter()
        .filter(|recipe| (2..=4).contains(&recipe.revisions.len()));
    assert!(several.count() >= 8);
    assert!(all.iter().filter(|recipe| recipe.from.is_some()).count() >= 3);
    assert!(
        all.iter()
            .any(|recipe| recipe.visibility == Visibility::Private)
    );
    assert!(all.iter().any(|recipe| recipe.binned));
    let authors: BTreeSet<&str> = all.iter().map(|recipe| recipe.by).collect();
    assert_eq!(authors.len(), PEOPLE.len(), "everybody has made something");
    for recipe in &all {
        let days: Vec<i64> = recipe
            .revisions
            .iter()
            .map(|revision| revision.days_ago)
            .collect();
        let maker = PEOPLE.iter().find(|person| person.name == recipe.by);
        assert!(
            maker.expect("one of the club").joined_days_ago > days[0],
            "{} is older than its maker's membership",
            recipe.title
        );
        assert!(
            days.windows(2).all(|pair| pair[0] > pair[1]),
            "{}",
            recipe.title
        );
        if let Some((title, number)) = recipe.from {
            let source = all
                .iter()
                .find(|source| source.title == title)
                .expect("a source");
            let revision = &source.revisions[number as usize - 1];
            assert!(
                revision.days_ago > days[0],
                "{} was started too early",
                recipe.title
            );
            assert_ne!(source.by, recipe.by);
        }
    }
}

/// Every page of the list.
async fn list(browser: &Browser) -> Vec<Page> {
    let mut pages = vec![browser.get("/recipes").await];
    while let Some(next) = pages.last().and_then(|page| page.link("Older ones")) {
        pages.push(browser.get(&next).await);
    }
    pages
}

#[tokio::test]
async fn the_command_serves_the_club_to_whom_it_tells_the_way_in() {
    let mut command = Command::start(&["demo"], &[("MUSTWRIGHT_LISTEN", "127.0.0.1:0")]);
    let mut entrances = Vec::new();
    for who in ["A keeper signs in as ", "A member signs in as "] {
        let line = command.says(who).await.expect("a way in");
        let (name, password) = line[who.len()..]
            .split_once(" with the password ")
            .expect("name and password");
        entrances.push((name.to_owned(), password.to_owned()));
    }
    let line = command.says("Mustwright serves").await.expect("it serves");
    assert!(line.contains(CLUB), "{line}");
    let at = line.find("http://").expect("an address");
    let origin: String = line[at..].split('/').take(3).collect::<Vec<_>>().join("/");
    let address = origin
        .trim_start_matches("http://")
        .parse()
        .expect("an address");
    for (name, password) in &entrances {
        let browser = Browser::new(address, &origin, "");
        assert_eq!(browser.sign_in(name, password).await.status, 303, "{name}");
        let pages = list(&browser).await;
        let way = |title: &str| pages.iter().find_map(|page| page.link(title));
        for recipe in scenario::all() {
            let seen = recipe.by == name || recipe.visibility == Visibility::Club;
            assert_eq!(
                way(recipe.title).is_some(),
                seen && !recipe.binned,
                "{} for {name}",
                recipe.title
            );
        }
        assert!(
            pages
                .iter()
                .all(|page| !page.text.contains("not solved yet"))
        );
        let first = scenario::all().remove(0);
        let sheet = browser.get(&way(first.title).expect("a way")).await;
        assert_eq!(sheet.heading(), first.title);
        let count = first.revisions.len();
        assert!(sheet.text.contains(&format!("revision {count} of {count}")));
    }
    let member = Browser::new(address, &origin, "");
    member.sign_in(&entrances[1].0, &entrances[1].1).await;
    let drafts = member.get("/recipes").await;
    assert!(drafts.link("Something for the solstice").is_some());
    assert!(
        member
            .get("/recipes?shelf=bin")
            .await
            .text
            .contains("Do not ask")
    );
    command.signal("TERM");
    let ended = command.ends().await;
    assert_eq!(ended.code, Some(0), "{}", ended.complained);
    assert!(
        !ended.said.contains("Set up the keeper"),
        "there is a keeper"
    );
}

#[tokio::test]
async fn the_scenario_fills_a_club_through_the_stores() {
    let club = Club::open().await;
    let entrances = mustwright::demo::furnish(&club.app)
        .await
        .expect("a filled club");
    assert_eq!(entrances.len(), 2);
    let count = async |sql: &'static str| -> i64 {
        sqlx::query_scalar(sql)
            .fetch_one(club.pool())
            .await
            .expect("a count")
    };
    let all = scenario::all();
    let revisions: usize = all.iter().map(|recipe| recipe.revisions.len()).sum();
    assert_eq!(
        count("select count(*) from recipes").await,
        all.len() as i64
    );
    assert_eq!(
        count("select count(*) from revisions").await,
        revisions as i64
    );
    assert_eq!(
        count("select count(*) from recipes where started_from_id is not null").await,
        all.iter().filter(|recipe| recipe.from.is_some()).count() as i64
    );
    assert_eq!(
        count("select count(*) from revision_numbers where problems > 0").await,
        0
    );
    assert_eq!(
        count("select count(*) from members where password_hash is not null").await,
        2,
        "the others cannot sign in"
    );
    // Its finished batches tell something: of two yeasts, of a vessel, of a season.
    let maren = &entrances[0];
    let browser = club.browser();
    assert_eq!(
        browser.sign_in(maren.name, &maren.password).await.status,
        303
    );
    let figures = browser.get("/club/figures").await;
    for (part, least) in [("ends", 2), ("losses", 1), ("days", 1)] {
        let rows = all_words(&figures, &format!("#{part} tbody tr"));
        assert!(rows.len() >= least, "{part}: {rows:?}");
    }
    // A series with all its batches, to be compared.
    let all = browser.get("/series").await;
    let series = all.link("Plain and patient, less sharp").expect("a series");
    let series = browser.get(&series).await;
    assert_eq!(all_words(&series, "ol.entries > li > h2").len(), 3);
    let compare = series.link("Compare its batches").expect("the way");
    assert_eq!(browser.get(&compare).await.status, 200);
}
