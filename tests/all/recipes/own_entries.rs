//! The club's own entries of the catalogue in recipes: offered, picked, reckoned with, kept, and known when withdrawn.

use mustwright::catalogue::Composition;
use mustwright::engine::scaling::{Scale, round};
use mustwright::engine::{Settings, reading, recipe::Recipe};
use mustwright::web::units::{self, Units};

use super::round_trip::differences;
use super::{NEW, all_words, another, edited, live, region, saved};
use crate::support::{Browser, Club, Page, a_keeper};

const HONEY: &[(&str, &str)] = &[
    ("Name", "Tarn heather"),
    ("In plain words", "resin and toffee"),
    ("Kind", "honey"),
    ("Usually goes in", "must"),
    ("Water, in percent", "19.1"),
    (
        "Can it hurt somebody?",
        "Warm it gently: it sets like jelly.",
    ),
    ("Where the figures come from", "our refractometer"),
    ("How sure they are", "common practice"),
];
const YEAST: &[(&str, &str)] = &[
    ("Name", "House yeast"),
    ("In plain words", "kept going from the cellar"),
    ("Sort", "wine"),
    ("Stops at, from, percent alcohol", "15"),
    ("Stops at, to, percent alcohol", "16"),
    ("Works from", "15 °C"),
    ("Works up to", "24 °C"),
    ("Need of nitrogen", "low"),
    ("Where the figures come from", "twelve batches"),
    ("How sure they are", "common practice"),
];
const FEED: &[(&str, &str)] = &[
    ("Name", "Kitchen blend"),
    ("In plain words", "two to one"),
    ("Nitrogen as ammonium, milligrams per gram", "70"),
    ("Nitrogen, organic, milligrams per gram", "30"),
    ("Usual dose, from", "0.2 g/L"),
    ("Usual dose, to", "0.5 g/L"),
    ("A level teaspoon weighs, in grams", "3.5"),
    ("Where the figures come from", "the label"),
    ("How sure they are", "published"),
];
const FRUIT: &[(&str, &str)] = &[
    ("Name", "Rowan of the lane"),
    ("In plain words", "after the first frost"),
    ("Kind", "fruit"),
    ("Usually goes in", "primary"),
    ("Water, in percent", "80"),
    ("Sugar that ferments, in percent", "9"),
    ("Dissolved, stays, in percent", "6"),
    ("Does not dissolve, in percent", "5"),
    ("Usual amount, from", "50 g/L"),
    ("Usual amount, to", "100 g/L"),
    ("Where the figures come from", "our kitchen"),
    ("How sure they are", "common practice"),
];

const ADD: &str = "Add fruit, juice, spice or anything else";

/// A club whose keeper made the four entries, with a member in it; the entries' keys.
async fn furnished() -> (Club, Browser, Browser, [String; 4]) {
    let club = Club::open().await;
    let wren = club.browser_of(&a_keeper().of(&club).await).await;
    let ada = another(&club, "Ada", Units::Metric).await;
    // The member has looked before there was anything: what she is offered is not what was remembered.
    let before = ada.get(NEW).await;
    assert!(!before.text.contains("Tarn heather"));
    let mut keys = Vec::new();
    for (sort, typed) in [
        ("ingredient", HONEY),
        ("yeast", YEAST),
        ("feed", FEED),
        ("ingredient", FRUIT),
    ] {
        let form = wren.get(&format!("/catalogue/new/{sort}")).await;
        let done = wren.submit(&form, "Save as revision 1", typed).await;
        let to = done.location().unwrap_or_else(|| panic!("{}", done.text));
        let key = to
            .split('?')
            .next()
            .and_then(|path| path.rsplit('/').next());
        keys.push(key.expect("a key").to_owned());
    }
    (club, wren, ada, keys.try_into().expect("four"))
}

/// The words of the choices of a field.
fn choices(page: &Page, id: &str) -> Vec<String> {
    all_words(page, &format!("#{id} option"))
}

fn offers(page: &Page, id: &str, name: &str) -> bool {
    choices(page, id)
        .iter()
        .any(|words| words.starts_with(name))
}

/// A mead of the club's own honey, yeast, feed and fruit; the path of its sheet.
async fn of_our_own(ada: &Browser, keys: &[String; 4]) -> String {
    let form = ada.get(NEW).await;
    let form = ada.submit(&form, ADD, &[]).await;
    let typed = [
        ("Name", "Of our own"),
        ("Honey, Honey 1", keys[0].as_str()),
        ("Yeast, yeast 1", &keys[1]),
        ("Feed to hand, feed 1", &keys[2]),
        ("Ingredient, Ingredient 1", &keys[3]),
        ("Amount, Ingredient 1", "1.5 kg"),
    ];
    let done = ada.submit(&form, super::SAVE, &typed).await;
    super::sheet_of(&done)
}

/// The newest document.
async fn document(club: &Club) -> Recipe {
    let text: String =
        sqlx::query_scalar("select document::text from revisions order by id desc limit 1")
            .fetch_one(club.pool())
            .await
            .expect("a document");
    reading::read(&text).expect("a recipe")
}

/// No key of an entry is ever words on a page.
fn no_machinery(page: &Page) {
    for css in ["main", "option"] {
        for words in all_words(page, css) {
            assert!(!words.contains("club-"), "{words}");
        }
    }
}

#[tokio::test]
async fn what_the_keeper_adds_is_offered_picked_and_reckoned_with() {
    let (club, _, ada, keys) = furnished().await;
    let form = ada.get(NEW).await;
    assert!(offers(&form, "honey-1-pick", "Tarn heather"));
    assert!(
        offers(&form, "yeast-1-pick", "House yeast: "),
        "with its verdict"
    );
    assert!(offers(&form, "feed-1-pick", "Kitchen blend"));
    let with_row = ada.submit(&form, ADD, &[]).await;
    assert!(offers(&with_row, "other-1-pick", "Rowan of the lane"));
    assert!(
        !offers(&with_row, "other-1-pick", "Tarn heather"),
        "a honey is no fruit"
    );
    // Ranked and explained while one types.
    let typed = [
        ("Honey, Honey 1", keys[0].as_str()),
        ("Yeast, yeast 1", &keys[1]),
        ("Feed to hand, feed 1", &keys[2]),
    ];
    let answer = live(&ada, &club, &form, &typed).await;
    assert!(region(&answer, "yeasts").contains("House yeast"));
    assert!(
        region(&answer, "yeast-1-pick-note")
            .contains("kept going from the cellar; stops near 15.5 %")
    );
    assert!(region(&answer, "honey-1-pick-note").contains("resin and toffee: 19.1 % water"));
    assert!(region(&answer, "feed-1-pick-note").contains("two to one"));
    assert!(region(&answer, "numbers").contains("it sets like jelly"));
    assert!(
        answer.text.contains("kitchen blend, about"),
        "in spoons, {}",
        answer.text
    );
    no_machinery(&answer);

    let sheet = of_our_own(&ada, &keys).await;
    let kept = document(&club).await;
    let honey = &kept.ingredients[0];
    let parts = honey.composition.as_ref().expect("a make-up");
    let usual = Composition::of_honey(0.191, 0.89);
    assert_eq!(
        (
            honey.name.as_str(),
            honey.key.as_ref(),
            parts.water,
            parts.fermentable
        ),
        (
            "Tarn heather",
            Some(&keys[0]),
            usual.water,
            usual.fermentable
        )
    );
    let fruit = kept.ingredients[1].composition.as_ref().expect("a make-up");
    assert_eq!(
        (fruit.fermentable, kept.ingredients[1].when.as_str()),
        (0.09, "primary")
    );
    assert_eq!(kept.yeasts[0].tolerance_abv_percent, 15.5);
    assert_eq!(kept.nutrients[0].ammonium_yan_mg_per_g, 70.0);
    let page = ada.get(&sheet).await;
    let rounded = round(&kept, &Settings { sachet_g: 5.0 }, Scale::Kitchen).weighed;
    let solved = units::mass(rounded.ingredients[0].kg.expect("solved"), Units::Metric);
    let line = format!("Tarn heather{solved}");
    let lines = all_words(&page, "tr");
    assert!(lines.contains(&line), "{line}: {lines:?}");
    // From each line to the entry's page.
    for (name, key) in [
        "Tarn heather",
        "House yeast",
        "Kitchen blend",
        "Rowan of the lane",
    ]
    .iter()
    .zip(&keys)
    {
        let way = page.link(&format!("{name} in the catalogue"));
        assert_eq!(way.as_deref(), Some(format!("/catalogue/{key}").as_str()));
        assert_eq!(ada.get(&way.unwrap()).await.heading(), *name);
    }
    let method = ada.get(&format!("{sheet}/numbers/amount-1")).await;
    assert!(
        method
            .words_of("main")
            .unwrap()
            .contains("our refractometer (common practice, no published source)")
    );
    no_machinery(&page);
}

#[tokio::test]
async fn a_withdrawn_entry_is_offered_no_more_and_keeps_its_name_in_recipes() {
    let (club, wren, ada, keys) = furnished().await;
    let sheet = of_our_own(&ada, &keys).await;
    let before = document(&club).await;
    for key in &keys {
        let entry = wren.get(&format!("/catalogue/{key}")).await;
        assert_eq!(wren.submit(&entry, "Withdraw it", &[]).await.status, 303);
    }
    let form = ada.get(NEW).await;
    let form = ada.submit(&form, ADD, &[]).await;
    for (id, name) in [
        ("honey-1-pick", "Tarn heather"),
        ("yeast-1-pick", "House yeast"),
        ("feed-1-pick", "Kitchen blend"),
        ("other-1-pick", "Rowan of the lane"),
    ] {
        assert!(!offers(&form, id, name), "{name}");
    }
    let page = ada.get(&sheet).await;
    for name in [
        "Tarn heather",
        "House yeast",
        "Kitchen blend",
        "Rowan of the lane",
    ] {
        assert!(page.words_of("main").unwrap().contains(name), "{name}");
    }
    let edit = ada.get(&format!("{sheet}/edit")).await;
    for (label, id, name, key) in [
        ("Honey, Honey 1", "honey-1-pick", "Tarn heather", &keys[0]),
        ("Yeast, yeast 1", "yeast-1-pick", "House yeast", &keys[1]),
        (
            "Feed to hand, feed 1",
            "feed-1-pick",
            "Kitchen blend",
            &keys[2],
        ),
        (
            "Ingredient, Ingredient 1",
            "other-1-pick",
            "Rowan of the lane",
            &keys[3],
        ),
    ] {
        assert_eq!(&edit.value(label), key);
        let gone = format!("{name}, no longer offered");
        assert!(
            choices(&edit, id).contains(&gone),
            "{:?}",
            choices(&edit, id)
        );
    }
    no_machinery(&edit);
    no_machinery(&live(&ada, &club, &edit, &[]).await);
    edited(&ada, &sheet, 2, &[]).await;
    let after = document(&club).await;
    assert_eq!(
        (after.ingredients, after.yeasts, after.nutrients),
        (before.ingredients, before.yeasts, before.nutrients)
    );
}

#[tokio::test]
async fn a_recipe_keeps_the_figures_that_it_took_over() {
    let (club, wren, ada, keys) = furnished().await;
    let sheet = of_our_own(&ada, &keys).await;
    let before = document(&club).await;
    let form = wren.get(&format!("/catalogue/{}/edit", keys[0])).await;
    let changed = [
        ("Water, in percent", "16"),
        ("Name", "Tarn heather, drained"),
    ];
    wren.submit(&form, "Save as revision 2", &changed).await;
    edited(&ada, &sheet, 2, &[("Notes", "as before")]).await;
    let (kept, mut found) = (document(&club).await, Vec::new());
    let json = |recipe: &Recipe| serde_json::to_value(&recipe.ingredients).unwrap();
    differences(&json(&before), &json(&kept), "/ingredients", &mut found);
    assert_eq!(found, [""; 0]);
    // A new one takes the new ones.
    saved(&ada, &[("Name", "Newer"), ("Honey, Honey 1", &keys[0])]).await;
    let newer = document(&club).await;
    assert_eq!(newer.ingredients[0].name, "Tarn heather, drained");
    assert_eq!(
        newer.ingredients[0]
            .composition
            .as_ref()
            .map(|parts| parts.water),
        Some(0.16)
    );
}

#[tokio::test]
async fn the_five_questions_offer_and_assume_of_them_too() {
    let (club, _, _, keys) = furnished().await;
    let new = crate::support::a_member()
        .named("Blythe")
        .new_to_it()
        .of(&club)
        .await;
    let blythe = club.browser_of(&new).await;
    let form = blythe.get(NEW).await;
    assert!(offers(&form, "honey-1-pick", "Tarn heather"));
    let form = blythe.submit(&form, ADD, &[]).await;
    let typed = [
        ("Honey, Honey 1", keys[0].as_str()),
        ("Ingredient, Ingredient 1", &keys[3]),
    ];
    let answer = live(&blythe, &club, &form, &typed).await;
    assert!(region(&answer, "title-note").contains("assumed: Rowan of the lane mead"));
    assert!(region(&answer, "other-1-amount-note").contains("assumed: 50 g/L"));
    no_machinery(&answer);
}
