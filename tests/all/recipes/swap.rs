//! What could stand in the place of something that is not there, and what that does; taken over without being saved.

use mustwright::catalogue::catalogue;
use mustwright::engine::recipe::{Aim, Recipe, Target};
use mustwright::engine::{Formulation, Settings, formulate, reading};
use mustwright::web::units::{self, Units};
use mustwright::web::words::{caution_sentence, problem_sentence};

use super::{NEW, SAVE, VOLUME, a_club, all_words, another, count, saved, sheet_of};
use crate::support::{Browser, Club, Page};

const SWAP: &str = "Swap what you do not have";
const TAKE_OVER: &str = "Take it over into my recipe";
const START_OWN: &str = "Start my own from this, with the swap";

/// The newest document.
async fn document(club: &Club) -> Recipe {
    let text: String =
        sqlx::query_scalar("select document::text from revisions order by id desc limit 1")
            .fetch_one(club.pool())
            .await
            .expect("a document");
    reading::read(&text).expect("a recipe")
}

fn numbers(recipe: &Recipe) -> Formulation {
    formulate(recipe, &Settings { sachet_g: 5.0 })
}

/// The row of a table on the page: what, before, after.
fn row(page: &Page, section: &str, what: &str) -> Option<(String, String)> {
    let rows = all_words(page, &format!("#{section} tbody th"));
    let at = rows.iter().position(|label| label == what)?;
    let cells = all_words(page, &format!("#{section} tbody td"));
    Some((cells.get(2 * at)?.clone(), cells.get(2 * at + 1)?.clone()))
}

fn both(before: &str, after: &str) -> Option<(String, String)> {
    Some((before.to_owned(), after.to_owned()))
}

fn mass(kg: f64) -> String {
    units::mass(kg, Units::Metric)
}

/// The same recipe with another honey in its first place, by hand.
fn with_honey(recipe: &Recipe, key: &str) -> Recipe {
    let mut new = recipe.clone();
    let was = recipe.ingredients[0].clone();
    new.ingredients[0] = catalogue().find(key).expect("an entry").ingredient();
    new.ingredients[0].amount = was.amount;
    new.ingredients[0].when = was.when;
    new
}

const MEADOW: &[(&str, &str)] = &[
    ("Name", "Meadow"),
    ("Honey, Honey 1", "honey-orange-blossom"),
    ("Who may see it", "club"),
];

#[tokio::test]
async fn a_honey_that_is_solved_is_solved_again_for_the_same_aim() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, MEADOW).await;
    let before = document(&club).await;
    let page = ada.get(&sheet).await;
    let things = ada.get(&page.link(SWAP).expect("a way")).await;
    assert_eq!(things.status, 200, "{}", things.text);
    let name = before.ingredients[0].name.clone();
    let of = things.link(&format!("I have no {name}")).expect("a thing");
    let others = ada.get(&of).await;
    assert_eq!(others.heading(), format!("In place of {name}"));
    let shown = all_words(&others, "#others h3");
    assert!(!shown.contains(&name), "{shown:?}");
    let reasons = all_words(&others, "#others .entries .meta");
    assert!(reasons[0].starts_with("as strong in taste"), "{reasons:?}");
    let loudest = shown.iter().position(|name| name == "Buckwheat honey");
    let mild = shown.iter().position(|name| name == "Clover honey");
    assert!(mild < loudest, "{shown:?}");

    let way = others.link("Buckwheat honey").expect("an alternative");
    let swap = ada.get(&way).await;
    assert_eq!(swap.heading(), "What the swap does");
    let after = with_honey(&before, "honey-buckwheat");
    let (was, is) = (numbers(&before), numbers(&after));
    let end = is.finished.as_ref().expect("an end");
    assert_eq!(before.aim, Aim::Target(Target::Abv(12.0)));
    assert!((end.abv_percent - 12.0).abs() < 1e-6, "the same aim");
    let kg = |numbers: &Formulation| mass(numbers.ingredients[0].kg.expect("solved"));
    let of_it = format!("{} of Buckwheat honey", kg(&is));
    assert_ne!(kg(&was), kg(&is));
    assert_eq!(row(&swap, "amounts", &name), both(&kg(&was), &of_it));
    let water = |numbers: &Formulation| {
        units::volume(
            numbers.must.as_ref().expect("a must").water_l,
            Units::Metric,
        )
    };
    let moved = (water(&was) != water(&is)).then(|| (water(&was), water(&is)));
    assert_eq!(row(&swap, "amounts", "Water"), moved);
    assert_eq!(
        row(&swap, "numbers", "strength"),
        None,
        "what stays is not listed"
    );
    let lead = swap.words_of(".lead").unwrap();
    assert!(
        lead.starts_with(&format!("Buckwheat honey in place of {name}: ")),
        "{lead}"
    );
    assert!(lead.contains("strength") && lead.contains("stay"), "{lead}");
    // The taste: louder and darker, with the words of both.
    let taste = swap.words_of("#taste").unwrap();
    assert!(taste.contains("Much stronger: it will lead"), "{taste}");
    assert!(taste.contains("The mead comes out darker."), "{taste}");
    assert_eq!(
        row(&swap, "taste", "tastes of").map(|(_, after)| after),
        Some("molasses, malt, dark fruit, barnyard edge".to_owned())
    );

    // The address is whole: whoever may see the recipe sees the same, and starts their own.
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let seen = blythe.get(&way).await;
    assert_eq!(
        all_words(&seen, "#amounts td"),
        all_words(&swap, "#amounts td")
    );
    assert!(seen.link(TAKE_OVER).is_none(), "it is not hers");
    let own = blythe.get(&seen.link(START_OWN).expect("a way")).await;
    assert_eq!(own.value("Name"), "Meadow, my own");
    assert_eq!(own.value("Honey, Honey 1"), "honey-buckwheat");
    let done = blythe.submit(&own, SAVE, &[]).await;
    sheet_of(&done);
    assert_eq!(document(&club).await.ingredients[0].name, "Buckwheat honey");
}

#[tokio::test]
async fn a_swap_is_taken_over_and_saved_by_nobody_but_its_member() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[MEADOW, &[("Notes", "of the meadow")]].concat()).await;
    let drafts = "select count(*) from recipe_drafts";
    let kept_before = count(&club, drafts).await;
    let way = format!("{sheet}/swap?of=honey-1&with=honey-clover");
    let swap = ada.get(&way).await;
    let form = ada.get(&swap.link(TAKE_OVER).expect("a way")).await;
    assert_eq!(form.status, 200, "{}", form.text);
    assert!(
        form.text
            .contains("Clover honey stands in place of Orange blossom honey. Nothing is saved yet")
    );
    assert_eq!(form.value("Honey, Honey 1"), "honey-clover");
    assert_eq!(form.value("Notes"), "of the meadow");
    assert_eq!(count(&club, "select count(*) from revisions").await, 1);
    assert_eq!(count(&club, drafts).await, kept_before);
    let done = ada.submit(&form, "Save as revision 2", &[]).await;
    assert_eq!(sheet_of(&done), sheet);
    let kept = document(&club).await;
    assert_eq!(kept.ingredients[0].key.as_deref(), Some("honey-clover"));
    // An older revision is nothing to take over into.
    let old = ada.get(&format!("{way}&revision=1")).await;
    assert!(old.link(TAKE_OVER).is_none() && old.link(START_OWN).is_some());
}

#[tokio::test]
async fn another_feed_is_planned_anew() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, MEADOW).await;
    let before = document(&club).await;
    let swap = ada
        .get(&format!("{sheet}/swap?of=feed-1&with=feed-organic"))
        .await;
    let mut after = before.clone();
    after.nutrients[0] = catalogue()
        .find_feed("feed-organic")
        .expect("a feed")
        .for_recipe();
    let (was, is) = (numbers(&before), numbers(&after));
    let grams = |numbers: &Formulation, at: usize| {
        let plan = numbers.feeding.as_ref().expect("a plan");
        let gifts = plan.additions.iter().filter(|gift| gift.index == at);
        mass(gifts.map(|gift| gift.grams).sum::<f64>() / 1000.0)
    };
    assert_eq!(
        row(&swap, "feeding", "Mixed nutrient"),
        both(
            &grams(&was, 0),
            &format!("{} of Organic nutrient", grams(&is, 0))
        )
    );
    assert_eq!(
        row(&swap, "feeding", "DAP"),
        both(&grams(&was, 1), &grams(&is, 1))
    );
    let plan = is.feeding.as_ref().expect("a plan");
    let told = all_words(&swap, "#feeding .feeds td").join(" ");
    for gift in plan.additions.iter().filter(|gift| gift.grams > 0.0) {
        let gram = mass(gift.grams / 1000.0);
        assert!(
            told.contains(&format!("{gram} {}", gift.nutrient)),
            "{gram}: {told}"
        );
    }
    assert!(
        swap.words_of("#taste")
            .unwrap()
            .contains("Gentler: no ammonium")
    );
    assert!(
        swap.words_of(".lead")
            .unwrap()
            .contains("strength, start, end and sweetness stay")
    );
}

#[tokio::test]
async fn another_yeast_is_told_by_what_it_can_and_what_to_beware_of() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, MEADOW).await;
    let before = document(&club).await;
    let list = ada.get(&format!("{sheet}/swap?of=yeast-1")).await;
    let form = ada.get(&format!("{sheet}/edit")).await;
    let chosen = "Champagne-type wine yeast, neutral";
    let ranked: Vec<String> = all_words(&form, "#yeast-1-pick option")
        .iter()
        .filter_map(|words| words.split_once(": "))
        .map(|(name, _)| name.to_owned())
        .filter(|name| name != chosen)
        .collect();
    assert_eq!(
        all_words(&list, "#others h3"),
        ranked,
        "the ranking of the workbench"
    );
    let swap = ada
        .get(&format!(
            "{sheet}/swap?of=yeast-1&with=yeast-white-aromatic"
        ))
        .await;
    let mut after = before.clone();
    after.yeasts[0] = catalogue()
        .find_yeast("yeast-white-aromatic")
        .expect("a yeast")
        .for_recipe();
    let (was, is) = (numbers(&before), numbers(&after));
    let wanted = |numbers: &Formulation| {
        let plan = numbers.feeding.as_ref().expect("a plan");
        let fed = (plan.deficit_mg_per_l - plan.beyond_mg_per_l).max(0.0);
        format!("{} mg/L", units::plain(fed, 0))
    };
    assert_ne!(wanted(&was), wanted(&is));
    let nitrogen = row(&swap, "feeding", "nitrogen in all");
    assert_eq!(nitrogen, both(&wanted(&was), &wanted(&is)));
    let leads = |numbers: &Formulation| {
        let cautions = numbers.cautions.iter();
        let led = cautions.map(|caution| {
            let arguments = serde_json::to_value(&caution.arguments).unwrap_or_default();
            caution_sentence(caution.code.as_str(), &arguments, Units::Metric).lead
        });
        led.collect::<Vec<String>>()
    };
    let told = swap.words_of("#beware").expect("something to beware of");
    let (old, new) = (leads(&was), leads(&is));
    let only_new: Vec<&String> = new.iter().filter(|lead| !old.contains(lead)).collect();
    assert!(!only_new.is_empty());
    let (after_it, no_longer) = told.split_once("No longer").unwrap_or((&told, ""));
    for lead in only_new {
        assert!(after_it.contains(lead.as_str()), "{lead}: {told}");
    }
    for lead in old.iter().filter(|lead| new.contains(lead)) {
        assert!(
            !after_it.contains(&format!("{lead}.")) && !no_longer.contains(lead.as_str()),
            "{lead}: {told}"
        );
    }
    for lead in old.iter().filter(|lead| !new.contains(lead)) {
        assert!(no_longer.contains(lead.as_str()), "{lead}: {told}");
    }
    assert!(row(&swap, "taste", "stops near").is_some());
    // One that cannot reach the aim: the page says so, and what is not known is not made up.
    let weak = ada
        .get(&format!("{sheet}/swap?of=yeast-1&with=yeast-bread"))
        .await;
    let mut after = before.clone();
    after.yeasts[0] = catalogue()
        .find_yeast("yeast-bread")
        .expect("a yeast")
        .for_recipe();
    let problem = &numbers(&after).problems[0];
    let arguments = serde_json::to_value(&problem.arguments).unwrap_or_default();
    let said = problem_sentence(problem.code.as_str(), &arguments, Units::Metric);
    assert!(weak.words_of("main").unwrap().contains(&said.sentence));
    let strength = row(&weak, "numbers", "strength");
    assert_eq!(strength, both("12 %", "not known"));
}

#[tokio::test]
async fn fruit_and_what_one_types_are_reckoned_with_and_text_is_kept() {
    let (club, _, ada) = a_club().await;
    let form = ada.get(NEW).await;
    let form = ada
        .submit(&form, "Add fruit, juice, spice or anything else", &[])
        .await;
    let typed = [
        ("Name", "Hedgerow"),
        ("Ingredient, Ingredient 1", "raspberry"),
        ("Amount, Ingredient 1", "2 kg"),
        ("Price, Ingredient 1", "9"),
    ];
    let sheet = sheet_of(&ada.submit(&form, SAVE, &typed).await);
    let before = document(&club).await;
    let swap = ada
        .get(&format!("{sheet}/swap?of=other-1&with=strawberry"))
        .await;
    let mut after = before.clone();
    let fruit = catalogue()
        .find("strawberry")
        .expect("a fruit")
        .ingredient();
    after.ingredients[1] = mustwright::engine::recipe::Ingredient {
        amount: before.ingredients[1].amount,
        when: before.ingredients[1].when,
        ..fruit
    };
    let kg = |recipe: &Recipe| mass(numbers(recipe).ingredients[0].kg.expect("solved"));
    let honey = before.ingredients[0].name.as_str();
    let moved = (kg(&before) != kg(&after)).then(|| (kg(&before), kg(&after)));
    assert_eq!(row(&swap, "amounts", honey), moved);
    assert_eq!(
        row(&swap, "amounts", "Raspberry"),
        both("2 kg", "2 kg of Strawberry")
    );
    let taste = swap.words_of("#taste").unwrap();
    assert!(taste.contains("Less sour"), "{taste}");
    assert!(taste.contains("it may hardly be noticed"), "{taste}");

    // Without a name it is not known; what was typed stays.
    let own = swap
        .ask_with(
            &ada,
            "Show what that does",
            &[
                ("Sugar that ferments, percent", "12"),
                ("Acid, as tartaric, grams per kilogram", "9,5"),
            ],
        )
        .await;
    assert_eq!(own.status, 422);
    assert_eq!(own.fault("What it is called"), "Give it a name.");
    assert_eq!(own.value("Sugar that ferments, percent"), "12");
    assert_eq!(own.value("Acid, as tartaric, grams per kilogram"), "9,5");
    let bad = own
        .ask_with(
            &ada,
            "Show what that does",
            &[
                ("What it is called", "Loganberry"),
                ("Sugar that ferments, percent", "lots"),
            ],
        )
        .await;
    assert_eq!(bad.status, 422);
    assert!(!bad.fault("Sugar that ferments, percent").is_empty());
    assert_eq!(bad.value("What it is called"), "Loganberry");
    let good = bad
        .ask_with(
            &ada,
            "Show what that does",
            &[("Sugar that ferments, percent", "12"), ("Price", "7")],
        )
        .await;
    assert_eq!(good.status, 200, "{}", good.text);
    let mut after = before.clone();
    let item = &mut after.ingredients[1];
    item.name = "Loganberry".to_owned();
    let parts = item.composition.as_mut().expect("a make-up");
    parts.water -= 0.12 - parts.fermentable;
    parts.fermentable = 0.12;
    parts.ta_g_per_kg = Some(9.5);
    assert_eq!(
        row(&good, "amounts", honey),
        both(&kg(&before), &kg(&after))
    );
    assert!(
        good.words_of("#taste")
            .unwrap()
            .contains("Nobody has written down")
    );
    let taken = ada.get(&good.link(TAKE_OVER).expect("a way")).await;
    assert_eq!(taken.value("Called, Ingredient 1"), "Loganberry");
    assert_eq!(taken.value("Price, Ingredient 1"), "7");
    assert_eq!(taken.value("Amount, Ingredient 1"), "2 kg");
}

#[tokio::test]
async fn what_stands_on_the_workbench_is_swapped_without_losing_a_text() {
    let (club, _, ada) = a_club().await;
    let form = ada.get(NEW).await;
    let typed = [
        ("Name", "Unsaved"),
        (VOLUME, "much"),
        ("Notes", "half a thought"),
    ];
    let on = ada.submit(&form, SWAP, &typed).await;
    assert_eq!(on.status, 303, "{}", on.text);
    let things = ada.follow(on).await;
    let of = things
        .link("I have no Wildflower or mixed honey")
        .expect("a thing");
    let others = ada.get(&of).await;
    let swap = ada
        .get(&others.link("Clover honey").expect("an alternative"))
        .await;
    let told = swap.words_of("main").unwrap();
    assert!(
        told.contains("The numbers wait until the form reads whole"),
        "{told}"
    );
    assert!(told.contains("milder"), "the taste is told: {told}");
    assert!(swap.link(START_OWN).is_none());
    let form = ada.get(&swap.link(TAKE_OVER).expect("a way")).await;
    assert_eq!(form.value("Honey, Honey 1"), "honey-clover");
    assert_eq!(form.value(VOLUME), "much");
    assert_eq!(form.value("Notes"), "half a thought");
    assert_eq!(count(&club, "select count(*) from revisions").await, 0);
    // Somebody else's draft is nobody's business.
    let blythe = another(&club, "Blythe", Units::Metric).await;
    let path = of.split('?').next().unwrap();
    assert_eq!(blythe.get(path).await.status, 404);
}

#[tokio::test]
async fn what_cannot_be_asked_is_said_and_what_is_private_stays_so() {
    let (club, _, ada) = a_club().await;
    let sheet = saved(&ada, &[("Name", "Mine")]).await;
    for (asked, words) in [
        ("of=honey-7", "Choose what you do not have"),
        ("of=step-1&with=own", "Choose what you do not have"),
        ("of=honey-1&with=feed-dap", "Choose one of the list"),
        ("of=honey-1&with=nothing", "Choose one of the list"),
        ("of=yeast-1&with=honey-clover", "Choose one of the list"),
    ] {
        let page = ada.get(&format!("{sheet}/swap?{asked}")).await;
        assert_eq!(page.status, 422, "{asked}");
        assert!(
            page.words_of("#problem").unwrap().contains(words),
            "{asked}"
        );
        assert!(page.link(TAKE_OVER).is_none());
    }
    let odd = ada
        .get(&format!("{sheet}/edit?of=honey-1&with=feed-dap"))
        .await;
    assert!(odd.text.contains("The swap could not be made"));
    assert_eq!(odd.value("Honey, Honey 1"), "honey-wildflower");
    let blythe = another(&club, "Blythe", Units::Metric).await;
    assert_eq!(blythe.get(&format!("{sheet}/swap")).await.status, 404);
    let priced = ada
        .get(&format!(
            "{sheet}/swap?of=honey-1&with=honey-clover&price=dear"
        ))
        .await;
    assert_eq!(priced.status, 422);
    assert!(
        !priced
            .fault("What it costs, if you know it, for a kilogram or a pound")
            .is_empty()
    );
}

/// A form that asks by its address.
trait Asks {
    async fn ask_with(&self, browser: &Browser, button: &str, labelled: &[(&str, &str)]) -> Page;
}

impl Asks for Page {
    async fn ask_with(&self, browser: &Browser, button: &str, labelled: &[(&str, &str)]) -> Page {
        let (action, fields) = self.filled(button, labelled);
        let url = reqwest::Url::parse_with_params("http://here", &fields).expect("an address");
        let query = url.query().unwrap_or_default();
        browser.get(&format!("{action}?{query}")).await
    }
}
