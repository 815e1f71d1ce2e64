//! The book's starter recipes: sound in every size, said to be unmade, readable by anybody, and copied without a trace.

use std::collections::BTreeSet;

use mustwright::engine::problem::Severity;
use mustwright::engine::recipe::{Finish, Ingredient};
use mustwright::engine::{Formulation, Settings, formulate};
use mustwright::recipes::starters::{ATTRIBUTION, Size, Starter, find, starters};
use mustwright::web::units::Units;

use super::{
    NEW, SAVE, STRENGTH, VOLUME, a_club, all_words, another, check, count, filled, sheet_of,
};
use crate::support::{Club, Page, a_member};

const EVERY_UNIT: [Units; 3] = [Units::Metric, Units::Us, Units::Imperial];

/// Family, strength and sweetness that the engine finds, and the dangers that belong to it besides those of any mead.
const WANTED: &[(&str, [&str; 3], &[&str])] = &[
    ("plain-and-dry", ["traditional", "standard", "dry"], &[]),
    ("light-and-quick", ["traditional", "hydromel", "dry"], &[]),
    (
        "plain-and-half-sweet",
        ["traditional", "standard", "semi-sweet"],
        &["stabilise_before_bottling"],
    ),
    (
        "raspberries-afterwards",
        ["berry_mead", "standard", "dry"],
        &[],
    ),
    (
        "orange-peel-and-cinnamon",
        ["metheglin", "standard", "semi-sweet"],
        &["stabilise_before_bottling"],
    ),
    ("from-the-orchard", ["cyser", "standard", "dry"], &[]),
    (
        "browned-honey",
        ["bochet", "standard", "dry"],
        &["hot_honey"],
    ),
    ("from-the-kitchen", ["traditional", "standard", "dry"], &[]),
    ("hops-and-honey", ["metheglin", "hydromel", "dry"], &[]),
];

/// Cautions that a recipe for beginners must not earn.
const NOT_FOR_BEGINNERS: &[&str] = &[
    "little_headroom",
    "ends_at_yeast_limit",
    "must_be_stopped_by_hand",
    "acid_before_fermenting",
    "much_organic_feed",
    "ammonium_ceiling",
    "feed_beyond",
    "no_feed",
    "very_strong_must",
    "outside_yeast_temperature",
    "vessel_too_small",
    "foam_may_overflow",
    "sweetening_unused",
    "filler_amount_unused",
];

fn each() -> impl Iterator<Item = (&'static Starter, Size, Units)> {
    starters().iter().flat_map(|starter| {
        Size::ALL
            .into_iter()
            .flat_map(move |size| EVERY_UNIT.map(|units| (starter, size, units)))
    })
}

#[test]
fn each_is_sound_in_both_sizes_and_every_unit() {
    let mut wrong = Vec::new();
    for (starter, size, units) in each() {
        let recipe = starter.recipe(size, units);
        let numbers = formulate(&recipe, &Settings::default());
        let told = format!("{} {size:?} {units:?}", starter.key);
        if !numbers.problems.is_empty() {
            wrong.push(format!("{told}: {:?}", numbers.problems));
            continue;
        }
        let (limits, fit) = (numbers.limits.unwrap(), numbers.vessel.unwrap());
        let (feeding, package) = (numbers.feeding.unwrap(), numbers.package.unwrap());
        if limits.headroom_abv_percent < 1.5 {
            wrong.push(format!("{told}: headroom {}", limits.headroom_abv_percent));
        }
        if fit.fits != Some(true) {
            wrong.push(format!("{told}: {fit:?}"));
        }
        if feeding.beyond_mg_per_l > 1.0 || feeding.additions.is_empty() {
            wrong.push(format!("{told}: {feeding:?}"));
        }
        if package.bottles[0].count < 4 {
            wrong.push(format!("{told}: {package:?}"));
        }
        let (_, _, dangers) = WANTED
            .iter()
            .find(|(key, _, _)| *key == starter.key)
            .unwrap_or_else(|| panic!("{told} is not in the table"));
        let of = |severity: Severity| -> BTreeSet<&str> {
            let cautions = numbers.cautions.iter();
            cautions
                .filter(|caution| caution.severity == severity)
                .map(|caution| caution.code.as_str())
                .collect()
        };
        let inherent: BTreeSet<&str> = dangers.iter().copied().collect();
        let mut danger = of(Severity::Danger);
        // Five gallons of anything but the weakest give off so much gas; a gallon never does.
        if size == Size::Large {
            danger.remove("carbon_dioxide");
        }
        if danger != inherent {
            wrong.push(format!("{told}: {danger:?}"));
        }
        let unfit: Vec<_> = of(Severity::Watch)
            .union(&of(Severity::Note))
            .copied()
            .filter(|code| NOT_FOR_BEGINNERS.contains(code))
            .collect();
        if !unfit.is_empty() {
            wrong.push(format!("{told}: {unfit:?}"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert_eq!(starters().len(), WANTED.len());
}

#[test]
fn each_is_what_it_is_called() {
    let mut wrong = Vec::new();
    for (starter, size, units) in each() {
        let numbers = formulate(&starter.recipe(size, units), &Settings::default());
        let style = numbers.style.expect("a style");
        let found = [style.family, style.strength, style.sweetness]
            .map(|word| word.value.unwrap_or_default());
        let wanted = WANTED.iter().find(|(key, _, _)| *key == starter.key);
        if wanted.is_none_or(|(_, words, _)| found != *words) {
            wrong.push(format!("{} {size:?} {units:?}: {found:?}", starter.key));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn what_is_sweet_says_so_and_what_is_hot_says_so() {
    for starter in starters() {
        let sweet = matches!(
            starter.recipe(Size::Small, Units::Metric).finish,
            Finish::SweetenTo(_)
        );
        assert_eq!(starter.hard.contains("sulfite"), sweet, "{}", starter.key);
    }
    let browned = find("browned-honey").expect("the bochet");
    assert!(browned.hard.contains("dangerous") && browned.whom.contains("outdoors"));
    let honey = &browned.recipe(Size::Small, Units::Metric).ingredients[0];
    let plain = find("plain-and-dry").unwrap();
    let plain = &plain.recipe(Size::Small, Units::Metric).ingredients[0];
    let made_of = |item: &Ingredient| item.composition.clone().expect("what it is made of");
    let (cooked, raw) = (made_of(honey), made_of(plain));
    assert!((cooked.fermentable / raw.fermentable - 0.9).abs() < 1e-9);
    let sugar = |made_of: mustwright::engine::recipe::Composition| {
        made_of.fermentable + made_of.unfermentable
    };
    assert!(
        (sugar(cooked) - sugar(raw)).abs() < 1e-12,
        "nothing is lost"
    );
}

/// The workbench takes each as it stands: typed again it is the same recipe.
#[test]
fn each_goes_through_the_form_unchanged() {
    for (starter, size, units) in each() {
        let own = starter.own(size, units);
        let checked = check(&filled(&own, units), units);
        let told = format!("{} {size:?} {units:?}", starter.key);
        assert!(checked.faults.is_empty(), "{told}: {:?}", checked.faults);
        let numbers = |recipe| formulate(recipe, &Settings::default());
        let (before, after) = (numbers(&own), numbers(&checked.recipe));
        let honey = |numbers: &Formulation| numbers.ingredients[0].kg.unwrap();
        assert!(
            (honey(&before) / honey(&after) - 1.0).abs() < 1e-6,
            "{told}"
        );
        assert_eq!(checked.recipe.volume_l, own.volume_l, "{told}");
        assert!(checked.recipe.notes.contains(ATTRIBUTION), "{told}");
    }
}

#[tokio::test]
async fn anybody_reads_them_and_they_say_that_nobody_made_them() {
    let club = Club::open().await;
    let stranger = club.browser();
    let list = stranger.get("/starters").await;
    assert_eq!(
        (list.status, list.heading().as_str()),
        (200, "Starter recipes")
    );
    assert!(list.text.contains("Nobody has made these here yet"));
    assert!(list.text.contains("five to seven batches"));
    for starter in starters() {
        let to = list.link(&starter.title).expect("each is listed");
        let page = stranger.get(&to).await;
        assert_eq!((page.status, page.heading()), (200, starter.title.clone()));
        assert!(page.text.contains("not yet made here"), "{}", starter.key);
        for words in [&starter.whom, &starter.hard] {
            let said = all_words(&page, "dd").join(" ");
            assert!(said.contains(words.as_str()), "{}: {said}", starter.key);
        }
    }
    let small = stranger.get("/starters/plain-and-dry").await;
    assert!(small.text.contains("fill to the 4.5 L mark"));
    let large = small.link("for 20 L").expect("the other size");
    let large = stranger.get(&large).await;
    assert!(large.text.contains("fill to the 20 L mark"));
    let start = large
        .link("Sign in and start my own from this")
        .expect("a way");
    let asked = stranger.get(&start).await;
    assert!(
        asked
            .location()
            .expect("to sign in")
            .starts_with("/sign-in?next="),
        "{:?}",
        asked.location()
    );
    assert_eq!(stranger.get("/starters/no-such-thing").await.status, 404);
    // Gallons for who reads gallons.
    let blythe = another(&club, "Blythe", Units::Us).await;
    let page = blythe.get("/starters/plain-and-dry?size=large").await;
    assert!(
        page.text.contains("fill to the 5 gal mark"),
        "{}",
        page.text
    );
}

#[tokio::test]
async fn ones_own_is_unsaved_until_saved_and_says_where_it_comes_from() {
    let (club, _, ada) = a_club().await;
    let sheet = ada.get("/starters/raspberries-afterwards?size=large").await;
    let start = sheet.link("Start my own from this").expect("a way");
    let form = ada.get(&start).await;
    assert_eq!(form.status, 200, "{}", form.text);
    assert_eq!(form.value("Name"), "Raspberries, afterwards, my own");
    assert_eq!(form.value(VOLUME), "20 L");
    assert_eq!(form.value(STRENGTH), "10 %");
    assert_eq!(form.value("Who may see it"), "private");
    let kicker = |page: &Page| page.words_of(".kicker").unwrap_or_default();
    assert!(kicker(&form).contains(ATTRIBUTION), "{}", kicker(&form));
    for sql in [
        "select count(*) from recipes",
        "select count(*) from recipe_drafts",
    ] {
        assert_eq!(count(&club, sql).await, 0, "nothing is saved yet: {sql}");
    }
    // What is said of its source survives a press of a button, and a save.
    let form = ada.submit(&form, "Recalculate", &[]).await;
    assert!(kicker(&form).contains(ATTRIBUTION));
    let done = ada.submit(&form, SAVE, &[(STRENGTH, "11 %")]).await;
    let page = ada.get(&sheet_of(&done)).await;
    assert!(
        page.text.contains(
            "Started from “Raspberries, afterwards”, 20 L, from the book’s starter recipes."
        ),
        "{}",
        page.text
    );
    assert_eq!(ada.get(&format!("{NEW}?starter=nothing")).await.status, 404);
}

#[tokio::test]
async fn the_ways_to_them_stand_where_nothing_is_yet() {
    let club = Club::open().await;
    let ada = a_member().new_to_it().of(&club).await;
    let ada = club.browser_of(&ada).await;
    for (path, words) in [
        ("/", "a starter recipe of the book"),
        ("/recipes", "start from one of the book’s recipes"),
        (NEW, "Or start from one of the book’s recipes"),
    ] {
        let page = ada.get(path).await;
        let to = page.link(words);
        assert_eq!(to.as_deref(), Some("/starters"), "{path}: {}", page.text);
    }
    // Once something is begun the workbench no longer offers to begin otherwise.
    let form = ada.get(&format!("{NEW}?starter=plain-and-dry")).await;
    assert!(
        form.link("Or start from one of the book’s recipes")
            .is_none()
    );
    assert!(
        club.browser()
            .get("/")
            .await
            .link("Starter recipes")
            .is_some()
    );
}
