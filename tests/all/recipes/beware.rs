//! Cautions: each beside the number that gives rise to it, three in view at the top, none lost.

use std::collections::BTreeSet;

use mustwright::catalogue::club::ClubCatalogue;
use mustwright::engine::problem::{Arguments, Caution, CautionCode, Severity};
use mustwright::engine::recipe::{Aim, Amount, Composition, Kind, Recipe, WaterReport, When};
use mustwright::engine::scaling::{Scale, round, scale};
use mustwright::engine::{Formulation, Settings as EngineSettings, formulate};
use mustwright::recipes::forms::fill;
use mustwright::recipes::numbers::beware::{Moment, Place, moment, place};
use mustwright::recipes::numbers::method::Number;
use mustwright::recipes::numbers::{CautionLine, NumbersView, Reader, view, weighed_view};
use mustwright::web::units::Units;
use mustwright::web::words::caution_sentence;

use super::{LIVE, NEW, a_club, all_words, attributes, check, live, region, saved};
use crate::support::Page;

fn reader() -> Reader {
    Reader {
        catalogue: ClubCatalogue::default(),
        cupboard: mustwright::cupboard::stock::Stock::default(),
        vessels: Vec::new(),
        units: Units::Metric,
        zone: chrono_tz::UTC,
        now: chrono::Utc::now(),
        sachet_g: 5.0,
    }
}

/// A recipe with fruit, acidity and a water report: every number that a caution belongs to is there.
fn with_everything() -> Recipe {
    let mut recipe = fresh();
    let mut fruit = recipe.ingredients[0].clone();
    fruit.key = None;
    fruit.name = "Berries".to_owned();
    fruit.kind = Kind::Fruit;
    fruit.when = When::Primary;
    fruit.amount = Some(Amount::Kg(1.5));
    fruit.composition = Some(Composition {
        water: 0.9,
        fermentable: 0.06,
        unfermentable: 0.03,
        insoluble: 0.01,
        ta_g_per_kg: Some(12.0),
        ..Composition::default()
    });
    recipe.ingredients.push(fruit);
    recipe.water_report = Some(WaterReport {
        ions: [("calcium".to_owned(), 60.0)].into(),
        ..WaterReport::default()
    });
    recipe
}

/// The recipe that a fresh form describes.
fn fresh() -> Recipe {
    let mut form = fill::fresh(Units::Metric);
    form.set("title", "Fresh");
    let checked = check(&form, Units::Metric);
    assert!(checked.faults.is_empty(), "{:?}", checked.faults);
    checked.recipe
}

fn numbers_of(recipe: &Recipe) -> Formulation {
    formulate(recipe, &EngineSettings { sachet_g: 5.0 })
}

/// The caution, about the recipe's first ingredient where it names one.
fn caution(code: CautionCode, severity: Severity, name: &str) -> Caution {
    Caution::new(code, severity, Arguments::none().with("name", name))
}

/// All cautions where they stand.
fn standing(view: &NumbersView) -> Vec<&CautionLine> {
    let amounts = view.amounts.iter().flat_map(|line| &line.cautions);
    let notes = view.notes.iter().chain(&view.fed);
    amounts
        .chain(notes.flat_map(|note| &note.cautions))
        .chain(&view.loose_cautions)
        .collect()
}

fn ids(lines: impl IntoIterator<Item = impl AsRef<str>>) -> BTreeSet<String> {
    lines.into_iter().map(|id| id.as_ref().to_owned()).collect()
}

#[test]
fn every_code_stands_beside_its_number() {
    let recipe = with_everything();
    let honey = recipe.ingredients[0].name.clone();
    let mut of_calculations = 0;
    for code in CautionCode::ALL {
        let mut numbers = numbers_of(&recipe);
        assert!(numbers.problems.is_empty(), "{:?}", numbers.problems);
        numbers.cautions = vec![caution(*code, Severity::Watch, &honey)];
        let shown = view(&recipe, &numbers, &reader());
        let arguments = serde_json::json!({ "name": honey });
        let words = caution_sentence(code.as_str(), &arguments, Units::Metric);
        let of_line = |name: &str| -> Vec<&CautionLine> {
            let own = shown.amounts.iter().filter(|line| line.name == name);
            own.flat_map(|line| &line.cautions).collect()
        };
        let found: Vec<&CautionLine> = match place(*code) {
            Place::Beside(Number::Water) => of_line("Water"),
            Place::Beside(number) => {
                let notes = shown.notes.iter().chain(&shown.fed);
                let own = notes.filter(|note| note.number == number);
                own.flat_map(|note| &note.cautions).collect()
            }
            Place::Named | Place::First(Kind::Honey) => of_line(&honey),
            Place::First(_) => of_line("Berries"),
            Place::Calculation => {
                of_calculations += 1;
                continue;
            }
        };
        // What the catalogue says of a feed stands there too.
        let found: Vec<_> = found
            .into_iter()
            .filter(|line| line.words == words)
            .collect();
        assert_eq!(found.len(), 1, "{code:?} stands at {:?}", place(*code));
        assert!(shown.loose_cautions.is_empty(), "{code:?} has a number");
        assert!(!found[0].beside.is_empty(), "{code:?}");
    }
    assert!(
        of_calculations < 15,
        "{of_calculations} codes without a place"
    );
}

/// The codes that the engine's files name where a recipe's cautions are found.
#[test]
fn what_a_recipe_can_earn_has_a_place_on_its_sheet() {
    let mut files = vec!["src/engine/cautions.rs".into()];
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/engine/cautions");
    files.extend(
        std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path()),
    );
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let text: String = files
        .iter()
        .map(|file: &std::path::PathBuf| std::fs::read_to_string(root.join(file)).unwrap())
        .collect();
    let mut earned = 0;
    for code in CautionCode::ALL {
        let name = format!("Code::{code:?}");
        let named = text.match_indices(&name).any(|(at, _)| {
            let after = text[at + name.len()..].chars().next();
            after.is_none_or(|c| !c.is_alphanumeric())
        });
        let calculated = place(*code) == Place::Calculation;
        assert_ne!(named, calculated, "{code:?} stands at {:?}", place(*code));
        earned += usize::from(named);
    }
    assert!(earned > 50, "{earned}");
}

#[test]
fn all_at_once_none_is_lost_and_the_three_that_can_hurt_soonest_come_first() {
    let recipe = with_everything();
    let honey = recipe.ingredients[0].name.clone();
    let weights = [Severity::Note, Severity::Watch, Severity::Danger];
    let all: Vec<Caution> = CautionCode::ALL
        .iter()
        .zip(weights.into_iter().cycle())
        .map(|(code, weight)| caution(*code, weight, &honey))
        .collect();
    let mut numbers = numbers_of(&recipe);
    numbers.cautions.clone_from(&all);
    let shown = view(&recipe, &numbers, &reader());
    assert_eq!(shown.cautions.len(), 3);
    let on_top = shown.cautions.iter().chain(&shown.more_cautions);
    let listed = ids(on_top.clone().map(|line| &line.id));
    assert!(listed.len() >= CautionCode::ALL.len(), "{listed:?}");
    let standing = standing(&shown);
    assert_eq!(standing.len(), listed.len(), "each stands once");
    assert_eq!(ids(standing.iter().map(|line| &line.id)), listed);

    // Dangers come first; among them, and below them, what comes sooner.
    let ranks: Vec<usize> = on_top
        .map(|line| {
            ["danger", "watch", ""]
                .iter()
                .position(|class| *class == line.class)
        })
        .collect::<Option<_>>()
        .unwrap();
    assert!(ranks.is_sorted(), "{ranks:?}");
    let soonest = all
        .iter()
        .filter(|caution| caution.severity == Severity::Danger)
        .map(|caution| moment(caution.code))
        .min();
    assert_eq!(soonest, Some(Moment::Tonight));
    let first = &shown.cautions[0];
    let said = |caution: &&Caution| {
        let arguments = serde_json::json!({ "name": honey });
        caution_sentence(caution.code.as_str(), &arguments, Units::Metric) == first.words
    };
    let first = all.iter().find(said).expect("a code");
    assert_eq!(
        (first.severity, moment(first.code)),
        (Severity::Danger, Moment::Tonight)
    );
}

#[test]
fn without_numbers_the_cautions_are_there_all_the_same() {
    let mut recipe = fresh();
    recipe.ingredients[0].name = "Caramelised honey".to_owned();
    // No yeast gets there, so nothing is solved.
    recipe.yeasts[0].tolerance_abv_percent = 3.0;
    let numbers = numbers_of(&recipe);
    assert!(!numbers.problems.is_empty() && numbers.finished.is_none());
    let codes: Vec<CautionCode> = numbers.cautions.iter().map(|found| found.code).collect();
    assert!(codes.contains(&CautionCode::HotHoney), "{codes:?}");
    let shown = view(&recipe, &numbers, &reader());
    let line = shown
        .amounts
        .iter()
        .find(|line| line.name == "Caramelised honey");
    let line = line.expect("a line for what is not solved yet");
    assert_eq!(
        (line.amount.as_str(), line.cautions.len()),
        ("not known yet", 1)
    );

    // A caution about a number that is not there stands by itself.
    let bare = Formulation {
        cautions: vec![
            caution(CautionCode::CarbonDioxide, Severity::Danger, ""),
            caution(CautionCode::HotPepper, Severity::Danger, "nobody"),
        ],
        ..Formulation::default()
    };
    let shown = view(&recipe, &bare, &reader());
    let loose: Vec<&str> = shown
        .loose_cautions
        .iter()
        .map(|line| line.words.lead.as_str())
        .collect();
    for lead in ["Gas that takes the air away", "Hot pepper"] {
        assert!(loose.contains(&lead), "{loose:?}");
    }
}

#[test]
fn a_name_that_is_no_ingredients_is_a_yeasts_or_a_feeds_and_of_several_the_first_counts() {
    let mut recipe = with_everything();
    recipe.ingredients[1].name = "Berries, frozen".to_owned();
    let numbers = |code: CautionCode, name: &str| {
        let mut numbers = numbers_of(&recipe);
        numbers.cautions = vec![caution(code, Severity::Danger, name)];
        view(&recipe, &numbers, &reader())
    };
    let yeast = recipe.yeasts[0].name.clone();
    let shown = numbers(CautionCode::SorbateWithMalolactic, &yeast);
    assert_eq!(shown.cautions[0].beside, "yeast");
    let shown = numbers(CautionCode::Allergen, "Berries, frozen, Hazelnut");
    assert_eq!(shown.cautions[0].beside, "Berries, frozen");
    let shown = numbers(CautionCode::Allergen, "Berries, frozen");
    assert_eq!(shown.cautions[0].beside, "Berries, frozen");
    let shown = numbers(CautionCode::Allergen, "Berries");
    assert_eq!(shown.loose_cautions.len(), 1, "no line of that name");
}

#[test]
fn two_of_a_name_bear_one_caution_each_and_later_fruit_its_own() {
    let mut recipe = fresh();
    let honey = recipe.ingredients[0].clone();
    let mut later = honey.clone();
    later.when = When::Secondary;
    later.amount = Some(Amount::Kg(0.3));
    recipe.ingredients.push(later);
    let mut numbers = numbers_of(&recipe);
    assert!(numbers.problems.is_empty(), "{:?}", numbers.problems);
    numbers.cautions = vec![
        caution(
            CautionCode::SecondaryCanFerment,
            Severity::Watch,
            &honey.name,
        ),
        caution(CautionCode::HotHoney, Severity::Danger, &honey.name),
        caution(CautionCode::HotHoney, Severity::Danger, &honey.name),
    ];
    let shown = view(&recipe, &numbers, &reader());
    let of = |at: usize| -> Vec<&str> {
        let line = shown
            .amounts
            .iter()
            .find(|line| line.at == Some(at))
            .unwrap();
        line.cautions
            .iter()
            .map(|line| line.words.lead.as_str())
            .collect()
    };
    assert_eq!(of(0), ["Hot honey burns"]);
    assert_eq!(of(1), ["Hot honey burns", "It can start again"]);
}

#[test]
fn the_gas_of_the_note_is_the_gas_of_the_caution() {
    let recipe = fresh();
    let numbers = numbers_of(&recipe);
    let shown = view(&recipe, &numbers, &reader());
    let gas = shown.notes.iter().find(|note| note.label == "gas").unwrap();
    let caution = &gas.cautions[0];
    assert!(
        caution
            .words
            .sentence
            .contains(&format!("about {} of", gas.strong)),
        "{} and {}",
        gas.strong,
        caution.words.sentence
    );
}

#[test]
fn rounding_says_what_moves_and_nothing_of_what_does_not() {
    let weighed = |recipe: &Recipe| {
        let rounded = round(recipe, &EngineSettings { sachet_g: 5.0 }, Scale::Kitchen);
        weighed_view(recipe, &rounded, &reader()).rounding
    };
    let mut recipe = fresh();
    recipe.aim = Aim::Amounts;
    recipe.ingredients[0].amount = Some(Amount::Kg(5.0));
    assert_eq!(
        weighed(&recipe),
        "Weighed to what a kitchen scale shows, nothing moves: strength, start and end stay as they are."
    );
    // A small vessel feels the step of the scale.
    let mut moved = 0;
    for litres in [0.2, 0.3, 0.45, 0.7, 1.1, 3.0, 4.5] {
        let small = scale(&fresh(), litres / fresh().volume_l.unwrap());
        let words = weighed(&small);
        assert!(
            words.starts_with("Weighed to what a kitchen scale shows, "),
            "{words}"
        );
        for part in words.split("from ").skip(1) {
            let (from, rest) = part.split_once(" to ").expect("two figures");
            let to = rest.split([' ', ',', ';']).next().unwrap();
            assert_ne!(from, to.trim_end_matches('.'), "{words}");
            moved += 1;
        }
    }
    assert!(moved > 5, "{moved} figures moved");
}

/// Ids that the cautions of a page lead to, and those of the cautions themselves.
fn ways_and_places(page: &Page) -> (BTreeSet<String>, BTreeSet<String>) {
    let html = scraper::Html::parse_document(&page.text);
    let values = |css: &str, name: &str| {
        let selector = scraper::Selector::parse(css).unwrap();
        let found: Vec<String> = html
            .select(&selector)
            .filter_map(|found| found.value().attr(name).map(str::to_owned))
            .collect();
        let set: BTreeSet<String> = found.iter().cloned().collect();
        assert_eq!(set.len(), found.len(), "{css} has one twice: {found:?}");
        set
    };
    let ways = values("nav.beware a[href^='#']", "href");
    let ways = ways
        .iter()
        .map(|way| way.trim_start_matches('#').to_owned());
    (ways.collect(), values(".caution[id]", "id"))
}

#[tokio::test]
async fn sheet_workbench_and_live_numbers_show_each_caution_where_it_belongs() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let typed = [
        ("Name", "Beware"),
        ("How it ends", "sweeten"),
        ("Gravity at the end", "1.020"),
    ];
    let answer = live(&browser, &club, &form, &typed).await;
    let bench = browser.submit(&form, "Recalculate", &typed).await;
    let sheet = browser.get(&saved(&browser, &typed).await).await;
    for (name, page) in [(LIVE, &answer), (NEW, &bench), ("the sheet", &sheet)] {
        let (ways, places) = ways_and_places(page);
        assert!(places.len() >= 3, "{name}: {places:?}");
        assert_eq!(ways, places, "{name}");
        let first = all_words(page, "nav.beware > ul > li");
        assert!((1..=3).contains(&first.len()), "{name}: {first:?}");
        let noted = all_words(page, ".noted:has(#how-sweetness) > .caution").join(" ");
        assert!(noted.contains("Bottles can burst"), "{name}: {noted}");
        let noted = all_words(page, ".noted:has(#how-gas) > .caution").join(" ");
        assert!(noted.contains("carbon dioxide"), "{name}: {noted}");
    }
    assert!(region(&bench, "numbers").contains("Bottles can burst"));
    // What can hurt leads to what to do, and that page is there.
    for page in [&answer, &bench, &sheet] {
        let more = attributes(page, "href");
        let more: Vec<_> = more
            .iter()
            .filter(|way| way.starts_with("/safety/"))
            .collect();
        assert!(more.len() >= 2, "{more:?}");
        for way in more {
            let (path, anchor) = way.split_once('#').expect("a section");
            let there = browser.get(path).await;
            assert!(attributes(&there, "id").contains(anchor), "{way}");
        }
    }
}
