//! Advice beside the questions: yeasts ranked with reasons, bread yeast, the feeding plan by day, vessels, fruit.

use chrono::{TimeZone, Utc};
use mustwright::catalogue::club::ClubCatalogue;
use mustwright::engine::Settings;
use mustwright::recipes::forms::{Group, Workbench, fill};
use mustwright::recipes::numbers::Reader;
use mustwright::recipes::workbench::advice::{Advice, Case, advise};
use mustwright::web::units::Units;
use mustwright::{engine, recipes};

use super::{NEW, STRENGTH, a_club, all_words, live, region};

/// The advice on a form.
fn advice_on(change: impl FnOnce(&mut Workbench)) -> Advice {
    let mut form = fill::fresh(Units::Metric);
    form.set("title", "Advice");
    change(&mut form);
    let now = Utc.with_ymd_and_hms(2026, 11, 28, 12, 0, 0).unwrap();
    let reader = Reader {
        catalogue: ClubCatalogue::default(),
        cupboard: mustwright::cupboard::stock::Stock::default(),
        vessels: Vec::new(),
        sachet_g: 5.0,
        units: Units::Metric,
        zone: chrono_tz::UTC,
        now,
    };
    let assumed = recipes::workbench::assume::assume(&form, &reader);
    let checked = super::check(&assumed.form, Units::Metric);
    assert_eq!(checked.faults, []);
    let settings = Settings { sachet_g: 5.0 };
    let numbers = engine::formulate(&checked.recipe, &settings);
    advise(&Case {
        recipe: &checked.recipe,
        numbers: &numbers,
        settings: &settings,
        reader: &reader,
        mixing_day: now.date_naive(),
    })
}

/// Place of a yeast in the ranks, from 0.
fn place(advice: &Advice, key: &str) -> usize {
    advice
        .yeasts
        .iter()
        .position(|yeast| yeast.key == key)
        .unwrap_or_else(|| panic!("no {key}"))
}

#[test]
fn yeasts_are_ranked_by_what_the_must_asks() {
    let plain = advice_on(|_| ());
    let first = &plain.yeasts[0];
    assert_eq!(
        first.key,
        "yeast-champagne-type",
        "{:?}",
        &plain.yeasts[..3]
    );
    assert!(first.suits && first.chosen);
    assert!(
        first.reasons.contains("stops near 17 %: 5 % to spare"),
        "{}",
        first.reasons
    );
    assert!(
        first.reasons.contains("at home at 20 °C"),
        "{}",
        first.reasons
    );
    let ale = &plain.yeasts[place(&plain, "yeast-ale-neutral")];
    assert_eq!(ale.verdict, "stops too early");
    assert!(
        ale.reasons
            .contains("stops near 10 %, and this would come to 12 %"),
        "{}",
        ale.reasons
    );
    assert!(!ale.suits);

    let light = advice_on(|form| form.set("strength", "6 %"));
    assert_eq!(
        light.yeasts[0].key,
        "yeast-ale-neutral",
        "{:?}",
        &light.yeasts[..3]
    );

    let with = |pick: &'static str| {
        advice_on(move |form| {
            form.set("strength", "10 %");
            form.add_row(
                Group::Other,
                &[("pick", pick), ("amount", "4 kg"), ("when", "primary")],
            );
        })
    };
    assert_eq!(with("blackberry").yeasts[0].key, "yeast-red-fruity");
    assert_eq!(with("apple").yeasts[0].key, "yeast-apple-wine");

    let cold = advice_on(|form| form.set("temperature", "10 °C"));
    let floral = &cold.yeasts[place(&cold, "yeast-white-floral")];
    assert_eq!(floral.verdict, "too cold for it");
    assert!(
        floral.reasons.contains("likes 14 °C to 20 °C, not 10 °C"),
        "{}",
        floral.reasons
    );

    let unfed = advice_on(|form| {
        form.remove_row(Group::Feed, "1", &ClubCatalogue::default());
        form.remove_row(Group::Feed, "2", &ClubCatalogue::default());
    });
    let hungry = &unfed.yeasts[place(&unfed, "yeast-white-aromatic")];
    assert!(!hungry.suits);
    assert!(place(&unfed, "yeast-white-aromatic") > place(&plain, "yeast-white-aromatic"));
    for advice in [&plain, &light, &cold] {
        let alone = &advice.yeasts[place(advice, "yeast-torulaspora")];
        assert!(!alone.suits, "{alone:?}");
    }
}

#[test]
fn a_must_that_no_yeast_can_finish_is_judged_too() {
    let strong = advice_on(|form| form.set("strength", "19 %"));
    assert!(strong.yeasts.iter().all(|yeast| !yeast.suits));
    assert_eq!(strong.yeasts[0].verdict, "stops too early");
}

#[test]
fn bread_yeast_and_raisins_are_answered_with_this_must() {
    let said = advice_on(|_| ()).kitchen.join(" ");
    // 12 % of sugar, and bread yeast gives up near 10 %.
    assert!(said.contains("gives up somewhere near 10 %"), "{said}");
    assert!(said.contains("Raisins"), "{said}");
    assert!(said.contains("champagne-type wine yeast"), "{said}");
    let light = advice_on(|form| form.set("strength", "6 %"))
        .kitchen
        .join(" ");
    assert!(light.contains("should end dry, near 6 %"), "{light}");
}

#[tokio::test]
async fn bread_yeast_is_taken_by_a_button() {
    let (_club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let button = "Take bread yeast, and make it no stronger than 8 %";
    let page = browser.submit(&form, button, &[("Name", "Kitchen")]).await;
    assert_eq!(page.value("Yeast, yeast 1"), "yeast-bread");
    assert_eq!(page.value(STRENGTH), "8 %");
    assert!(region(&page, "glance").starts_with("8 %"));
    assert_eq!(page.value("Name"), "Kitchen");
}

#[tokio::test]
async fn the_choices_of_a_yeast_follow_the_must() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    let options = all_words(&form, "#yeast-1-pick option");
    assert!(
        options[1].starts_with("Champagne-type wine yeast, neutral: "),
        "{options:?}"
    );
    let answer = live(&browser, &club, &form, &[(STRENGTH, "6 %")]).await;
    let options = all_words(&answer, "[data-live-region=yeast-1-pick-choices] option");
    assert!(
        options[1].starts_with("Ale yeast, neutral: "),
        "{options:?}"
    );
    assert_eq!(options.first().map(String::as_str), Some("choose"));
    assert_eq!(
        options.last().map(String::as_str),
        Some("a yeast of my own")
    );
}

#[test]
fn feeds_are_dated_and_told_by_the_spoon() {
    let days = advice_on(|form| {
        form.add_row(Group::Feed, &[("pick", "feed-organic")]);
    })
    .feeding;
    let whens: Vec<&str> = days.iter().map(|day| day.when.as_str()).collect();
    assert_eq!(
        &whens[..3],
        [
            "Sunday 29 November, in the evening",
            "Monday 30 November, in the evening",
            "Tuesday 1 December, in the evening"
        ],
        "{days:#?}"
    );
    assert_eq!(days[0].date, "2026-11-29");
    assert!(
        days[3].when.starts_with("When it reads 1.05"),
        "{:?}",
        days[3]
    );
    assert!(
        days[3]
            .when
            .ends_with("at the latest on Saturday 5 December"),
        "{:?}",
        days[3]
    );
    let gift = &days[0].gifts[0];
    assert!(gift.contains(" of mixed nutrient, about 1"), "{gift}");
    assert!(
        gift.ends_with("level teaspoon") || gift.ends_with("level teaspoons"),
        "{gift}"
    );
    assert!(
        days[0]
            .missed
            .contains("if the next one is due, give both together")
    );
    assert!(
        days[0].missed.contains("leave out whatever holds ammonium"),
        "{}",
        days[0].missed
    );

    let weak = advice_on(|form| form.set("strength", "6 %")).feeding;
    assert_eq!(weak.len(), 1, "{weak:#?}");
    assert_eq!(weak[0].when, "Saturday 28 November, in the evening");
    assert_eq!(
        weak[0].missed.split('.').next(),
        Some("Give it within the first day")
    );
}

#[tokio::test]
async fn the_days_follow_the_mixing_day() {
    let (club, _, browser) = a_club().await;
    let form = browser.get(NEW).await;
    assert_eq!(form.value("Mixing day").len(), 10, "today stands there");
    let answer = live(&browser, &club, &form, &[("Mixing day", "2027-02-14")]).await;
    let days = region(&answer, "feeding-days");
    assert!(
        days.starts_with("Monday 15 February, in the evening"),
        "{days}"
    );
    let page = browser
        .submit(&form, "Recalculate", &[("Mixing day", "soon")])
        .await;
    assert!(page.fault("Mixing day").contains("such as 2026-11-28"));
    let page = browser
        .submit(&form, "Recalculate", &[("Mixing day", "14.2.2027")])
        .await;
    assert_eq!(region(&page, "mixing_day-note"), "Sunday 14 February 2027");
    assert_eq!(
        page.value("Mixing day"),
        "14.2.2027",
        "typing is left as it is"
    );
    assert!(
        region(&page, "glance").starts_with("12 %"),
        "no number waits for it"
    );
}

#[test]
fn a_vessel_is_judged_by_what_goes_in() {
    let none = advice_on(|_| ()).vessel;
    assert!(none[0].contains("22.4 L to the brim"), "{none:?}");
    let said = |pick: &'static str, fruit: bool| {
        let advice = advice_on(move |form| {
            form.set("vessel_pick", pick);
            form.set("volume", "15 L");
            if fruit {
                form.add_row(
                    Group::Other,
                    &[("pick", "plum"), ("amount", "4 kg"), ("when", "primary")],
                );
            }
        });
        advice.vessel.join(" ")
    };
    assert!(said("bucket-25", true).contains("into a bag"));
    assert!(said("bucket-25", false).contains("four to six weeks"));
    assert!(said("carboy-23", true).contains("plugs a narrow neck"));
    assert!(said("carboy-23", false).contains("shoulder"));
    assert!(said("demijohn-10", false).starts_with("Too small"));
    assert!(said("keg-19", false).contains("relief valve"));
}

#[test]
fn fruit_has_three_gravities_and_a_mark() {
    assert_eq!(advice_on(|_| ()).fruit, []);
    let fruit = advice_on(|form| {
        form.add_row(
            Group::Other,
            &[
                ("pick", "sour-cherry"),
                ("amount", "5 kg"),
                ("when", "primary"),
            ],
        );
    })
    .fruit;
    let figures: Vec<&str> = fruit.iter().map(|(figure, _)| figure.as_str()).collect();
    let gravity = |at: usize| -> f64 { figures[at].parse().expect("a gravity") };
    assert_eq!(fruit.len(), 4, "{fruit:?}");
    let mark: f64 = figures[0]
        .strip_suffix(" L")
        .expect("litres")
        .parse()
        .expect("a number");
    assert!(
        (12.0..17.0).contains(&mark),
        "19 L less the juice of 5 kg: {mark}"
    );
    // The middle one lies between the others, nearer to the fruit's end by what whole fruit gives.
    let (read, out, counted) = (gravity(1), gravity(2), gravity(3));
    let share = (out - read) / (counted - read);
    assert!((0.4..0.7).contains(&share), "{figures:?}");
    assert!(
        fruit[2].1.contains("55 % of the fruit's sugar"),
        "{}",
        fruit[2].1
    );
}
