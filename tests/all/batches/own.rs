//! The club's own figures in the place of the book's: offered with the number of batches they come from, taken by a tick, kept with
//! the batch whatever the club makes later, and reckoned with in its numbers, plan and outlook.

use serde_json::Value;

use super::{a_maker, address, started};
use crate::recipes::all_words;
use crate::support::{Browser, Club, Page};

/// A day of autumn.
const NOW: &str = "2026-11-28T18:00:00Z";
/// What three batches of the club came to: SG above the book, days, part that stayed behind.
const CAME_TO: [(f64, f64, f64); 3] = [
    (0.003, 44.0, 0.19),
    (0.004, 47.0, 0.20),
    (0.006, 52.0, 0.22),
];

async fn a_club() -> Club {
    Club::standing_at(NOW.parse().unwrap(), &[]).await
}

/// Three finished batches of this recipe, in buckets.
async fn three_of_the_club(club: &Club, ada: &Browser, recipe: &str) {
    for (off, days, loss) in CAME_TO {
        let batch = started(ada, recipe, &[("every member of the club", "club")]).await;
        let id = batch.rsplit('/').next().unwrap();
        let mut owner = club.database.owner().await;
        sqlx::query(
            "update batches set ended_at = began_at, how_it_ended = 'bottled',
                 document = jsonb_set(document, '{vessel}', '{\"kind\": \"bucket\", \"brim_l\": 25}')
             where public_id = $1",
        )
        .bind(id)
        .execute(&mut owner)
        .await
        .unwrap();
        sqlx::query(
            "insert into batch_numbers (batch_id, course, yeast, book_fg, real_fg, end_days, loss_fraction, engine_version)
             select id, '', document #>> '{yeasts,0,key}', 0.998, 0.998 + $2, $3, $4, 1 from batches where public_id = $1",
        )
        .bind(id)
        .bind(off)
        .bind(days)
        .bind(loss)
        .execute(&mut owner)
        .await
        .unwrap();
    }
}

async fn start_form(ada: &Browser, recipe: &str) -> Page {
    let sheet = ada.get(recipe).await;
    ada.get(&sheet.link("Start a batch").unwrap()).await
}

fn label(form: &Page, field: &str) -> String {
    let found = all_words(form, &format!("label[for={field}]"));
    found
        .first()
        .unwrap_or_else(|| panic!("{field}: {}", form.text))
        .clone()
}

async fn own_of(club: &Club, batch: &str) -> Value {
    let own = sqlx::query_scalar("select own from batches where public_id = $1")
        .bind(batch.rsplit('/').next().unwrap());
    own.fetch_one(club.pool()).await.unwrap()
}

/// All gravities of a text, in order.
fn gravities(text: &str) -> Vec<f64> {
    let words = text.split(|c: char| !c.is_ascii_digit() && c != '.');
    let read = words.filter_map(|word| word.trim_matches('.').parse::<f64>().ok());
    read.filter(|sg| (0.95..1.2).contains(sg)).collect()
}

#[tokio::test]
async fn nothing_is_offered_until_three_batches_tell_it() {
    let club = a_club().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    assert!(start_form(&ada, &recipe).await.words_of("#own").is_none());
    three_of_the_club(&club, &ada, &recipe).await;
    let form = start_form(&ada, &recipe).await;
    let told = form.words_of("#own").unwrap();
    assert_eq!(told.matches("3 batches").count(), 2, "end and days: {told}");
    assert!(
        !told.contains("Its forecast begins from"),
        "not yet five: {told}"
    );
}

#[tokio::test]
async fn what_is_ticked_stands_in_the_books_place_and_stays_whatever_the_club_makes_later() {
    let club = a_club().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    three_of_the_club(&club, &ada, &recipe).await;
    let by_the_book = started(&ada, &recipe, &[("only me", "private")]).await;
    let form = start_form(&ada, &recipe).await;
    let (end, days) = (label(&form, "own_fg"), label(&form, "own_days"));
    let hint = form.words_of("#own_fg-hint").unwrap();
    let offered = gravities(&end)[0];
    let book = *gravities(&hint).last().unwrap();
    assert!((offered - book - 0.004).abs() < 0.0011, "{end}: {hint}");
    let fields = [
        ("only me", "private"),
        (end.as_str(), ""),
        (days.as_str(), ""),
    ];
    let done = ada.submit(&form, "Start the batch", &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let batch = address(done.location());
    let own = own_of(&club, &batch).await;
    assert_eq!(own["fg_off"]["count"], 3);
    assert_eq!(own["end_days"]["median"], 47.0);
    assert!(own["loss_part"].is_null() && own_of(&club, &by_the_book).await["fg_off"].is_null());

    // Whatever becomes of the three.
    sqlx::query("update batch_numbers set real_fg = 1.050, end_days = 300")
        .execute(club.pool())
        .await
        .unwrap();
    let says = async |batch: &str| ada.get(batch).await.words_of("#outlook").unwrap();
    let (here, there) = (says(&batch).await, says(&by_the_book).await);
    assert!(
        here.contains(&format!("reckoned to end at {offered:.3}"))
            && here.contains("own 3 batches"),
        "{here}"
    );
    assert!(!there.contains("reckoned to end at"), "{there}");
    // The outlook ends there, after the club's days; the plan waits as long.
    let ends_at = |text: &str| {
        let there = text.split("There").nth(1).expect("where it ends");
        *gravities(there).first().expect("a gravity")
    };
    let (own, of_the_book) = (ends_at(&here), ends_at(&there));
    assert!((own - of_the_book - 0.004).abs() < 0.0021, "{here} {there}");
    assert!(here.contains("14 January 2027"), "47 days on: {here}");
    let lead = async |batch: &str| {
        let step = ada.get(&format!("{batch}/plan/end-1")).await;
        step.words_of(".lead").unwrap()
    };
    let (here, there) = (lead(&batch).await, lead(&by_the_book).await);
    assert!(here.contains("14 January 2027"), "{here}");
    assert_ne!(here, there);
}

#[tokio::test]
async fn days_of_another_season_are_not_taken() {
    let club = a_club().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    three_of_the_club(&club, &ada, &recipe).await;
    let form = start_form(&ada, &recipe).await;
    let days = label(&form, "own_days");
    assert!(
        form.words_of("#own_days-hint")
            .unwrap()
            .contains("September to November")
    );
    let fields = [("Mixing day", "15 March 2027"), (days.as_str(), "")];
    let again = ada.submit(&form, "Start the batch", &fields).await;
    assert_eq!(again.status, 422);
    assert!(
        again.fault(&days).contains("March to May"),
        "{}",
        again.text
    );
    assert_eq!(again.value(&days), "yes", "the tick stays");
    assert_eq!(again.value("Mixing day"), "15 March 2027");
}

#[tokio::test]
async fn from_five_batches_on_the_start_tells_where_the_forecast_begins() {
    let club = a_club().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    for _ in 0..2 {
        three_of_the_club(&club, &ada, &recipe).await;
    }
    sqlx::query("update batch_numbers set growth_factor = 1, uptake_factor = 0.9")
        .execute(club.pool())
        .await
        .unwrap();
    let told = start_form(&ada, &recipe).await.words_of("#own").unwrap();
    assert!(
        told.contains("Its forecast begins from the club’s own 6 finished batches"),
        "{told}"
    );
}

#[tokio::test]
async fn a_mead_that_is_going_already_is_offered_them_too() {
    let club = a_club().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let going = "/batches/going";
    assert!(ada.get(going).await.words_of("#own").is_none());
    three_of_the_club(&club, &ada, &recipe).await;
    let yeast: String = sqlx::query_scalar("select min(yeast) from batch_numbers")
        .fetch_one(club.pool())
        .await
        .unwrap();
    let form = ada.get(going).await;
    let (end, days) = (label(&form, "own_fg"), label(&form, "own_days"));
    let hint = form.words_of("#own_fg-hint").unwrap();
    assert!(
        hint.contains("0.004 above (0.003 above to 0.006 above, 3 batches)"),
        "{hint}"
    );
    let other = ["yeast-champagne-type", "yeast-ale-neutral"]
        .into_iter()
        .find(|key| *key != yeast)
        .unwrap();
    let typed = |yeast| {
        [
            ("What it is called", "Somebody’s"),
            ("In the vessel since", "20 November"),
            ("How much there is", "4.5 L"),
            ("Gravity when it began", "1090"),
            ("Yeast", yeast),
            (end.as_str(), ""),
            (days.as_str(), ""),
        ]
    };
    let again = ada.submit(&form, "Take it in", &typed(other)).await;
    assert_eq!(again.status, 422, "{}", again.text);
    assert!(again.fault(&end).contains("no figure for this yeast"));
    assert_eq!(again.value(&days), "yes", "the tick stays");
    let done = ada.submit(&form, "Take it in", &typed(&yeast)).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let batch = address(done.location());
    let own = own_of(&club, &batch).await;
    assert_eq!(own["fg_off"]["count"], 3);
    assert_eq!(own["end_days"]["median"], 47.0);
    let told = ada.get(&batch).await.words_of("#outlook").unwrap();
    assert!(told.contains("It is reckoned to end at"), "{told}");
}

async fn fits(browser: &Browser, recipe: &str, query: &str) -> Page {
    browser.get(&format!("{recipe}/scale?{query}")).await
}

#[tokio::test]
async fn a_recipe_made_to_fit_loses_what_the_clubs_own_batches_lost() {
    let club = a_club().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    let before = ada.get(&format!("{recipe}/scale")).await;
    assert!(
        all_words(&before, "label[for=own]").is_empty(),
        "nothing to offer yet"
    );
    three_of_the_club(&club, &ada, &recipe).await;
    let form = ada.get(&format!("{recipe}/scale")).await;
    assert!(!label(&form, "own").is_empty());
    assert!(
        form.words_of("#own-hint")
            .unwrap()
            .contains("In a bucket 20 % (19 % to 22 %, 3 batches)")
    );
    let usual = fits(&ada, &recipe, "vessel=bucket-30").await;
    let page = fits(&ada, &recipe, "vessel=bucket-30&own=yes").await;
    assert_eq!(page.status, 200, "{}", page.text);
    let main = page.words_of("main").unwrap();
    assert!(
        main.contains("the 20 % that stayed behind in the club’s own 3 batches"),
        "{main}"
    );
    assert_ne!(page.words_of("#answer"), usual.words_of("#answer"));
    // Of a demijohn the club knows nothing, and without a vessel it cannot say.
    for (query, words) in [
        ("vessel=demijohn-10&own=yes", "no figure yet"),
        ("volume=10&own=yes", "Choose what it ferments in"),
    ] {
        let refused = fits(&ada, &recipe, query).await;
        assert_eq!(refused.status, 422, "{query}");
        let fault = refused.words_of("#own-fault").unwrap();
        assert!(fault.contains(words), "{query}: {fault}");
    }
    // A batch of it keeps that.
    let form = ada.get(&page.link("Start a batch of this").unwrap()).await;
    assert!(
        all_words(&form, "label[for=own_loss]").is_empty(),
        "it was chosen before"
    );
    let done = ada
        .submit(&form, "Start the batch", &[("only me", "private")])
        .await;
    let batch = address(done.location());
    let own = own_of(&club, &batch).await;
    assert_eq!(
        (&own["loss_part"]["count"], &own["loss_part"]["median"]),
        (&3.into(), &0.2.into())
    );
    let told = ada.get(&batch).await.words_of("#outlook").unwrap();
    assert!(
        told.contains("It is reckoned with 20 % staying behind"),
        "{told}"
    );
}

#[tokio::test]
async fn what_stays_behind_is_taken_for_a_vessel_of_which_there_is_a_figure() {
    let club = a_club().await;
    let (_, ada, recipe) = a_maker(&club, "Ada").await;
    three_of_the_club(&club, &ada, &recipe).await;
    for (kind, name) in [("bucket", "Blue bucket"), ("carboy", "Tall carboy")] {
        let form = ada.get("/vessels/new").await;
        let typed = [("Name", name), ("Kind", kind), ("To the brim", "25 L")];
        let saved = ada.submit(&form, "Save the vessel", &typed).await;
        assert_eq!(saved.status, 303, "{}", saved.text);
    }
    let id = async |name: &str| -> String {
        let found = sqlx::query_scalar("select public_id from vessels where name = $1").bind(name);
        found.fetch_one(club.pool()).await.unwrap()
    };
    let form = start_form(&ada, &recipe).await;
    let loss = label(&form, "own_loss");
    let carboy = id("Tall carboy").await;
    let fields = [("In which vessel", carboy.as_str()), (loss.as_str(), "")];
    let again = ada.submit(&form, "Start the batch", &fields).await;
    assert_eq!(again.status, 422);
    assert!(again.fault(&loss).contains("no figure for this vessel"));
    let bucket = id("Blue bucket").await;
    let fields = [("In which vessel", bucket.as_str()), (loss.as_str(), "")];
    let done = ada.submit(&form, "Start the batch", &fields).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let batch = address(done.location());
    assert_eq!(own_of(&club, &batch).await["loss_part"]["median"], 0.2);
}
