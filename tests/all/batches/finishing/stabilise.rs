//! Sulfite and sorbate in their order, by what the log knows, and within the limits or for a reason.

use mustwright::engine::log::entry::Reading;

use super::{DAY, Mead, WHY};
use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Addition, What};

const SULFITE: &str = "Potassium metabisulfite";
const SORBATE: &str = "Potassium sorbate";

fn ph(ph: f64) -> Reading {
    Reading {
        ph: Some(ph),
        ..Reading::default()
    }
}

fn grams(text: &str) -> f64 {
    let number = text.trim_end_matches(" g");
    number.parse().unwrap_or_else(|_| panic!("{text}"))
}

#[tokio::test]
async fn without_a_ph_there_is_no_exact_dose_and_an_old_one_is_none() {
    let mead = Mead::that_stands().await;
    mead.read(5.0, ph(3.3)).await;
    let page = mead.page("/stabilise?will=sweet").await;
    assert!(
        page.text.contains("there is no exact dose"),
        "{}",
        page.text
    );
    assert!(page.text.contains("50 to 75 mg/L"), "{}", page.text);
    mead.read(50.0, ph(3.4)).await;
    let page = mead.page("/stabilise?will=sweet").await;
    assert!(!page.text.contains("there is no exact dose"));
    // 0.8 mg/L molecular at pH 3.4 are 31.9 free, half as much again 47.9, for the 20 L or a little less.
    let dose = grams(&page.value(SULFITE));
    assert!((1.55..=1.72).contains(&dose), "{dose}");
    assert!(page.text.contains("1.5 times"), "{}", page.text);
    assert!(
        page.text.contains("At pH 3.4, measured on 9 November 2026"),
        "{}",
        page.text
    );
    // About 12 % of alcohol: 200 mg/L of sorbic acid, 268 of the salt.
    let sorbate = grams(&page.value(SORBATE));
    assert!((5.2..=5.4).contains(&sorbate), "{sorbate}");
}

#[tokio::test]
async fn what_went_in_stabilises_and_counts_the_next_time() {
    let mead = Mead::that_stands().await;
    mead.read(50.0, ph(3.4)).await;
    let page = mead.page("/stabilise?will=sweet").await;
    let done = mead.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = mead.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(again.location(), done.location(), "sent twice, given once");
    let log = mead.log().await;
    let given: Vec<_> = log.iter().filter(|(kind, _)| kind == "addition").collect();
    assert_eq!(given.len(), 2);
    assert_eq!(
        (given[0].1["what"].as_str(), given[1].1["what"].as_str()),
        (Some("sulfite"), Some("sorbate"))
    );
    assert_eq!(given[0].1["why"], "stabilise");
    let overview = mead.browser.follow(done).await;
    assert!(
        overview.text.contains("Stabilised on 28 November 2026."),
        "{}",
        overview.text
    );
    assert!(overview.text.contains("Written into the log."));
    let page = mead.page("/stabilise?will=sweet").await;
    assert!(
        page.text.contains("By the log 47 mg/L have gone in so far"),
        "{}",
        page.text
    );
    assert!(page.text.contains("Measure that a day after the dose"));
    assert_eq!(grams(&page.value(SULFITE)), 0.0, "none before that");
    let free = Reading {
        free_so2_mg_per_l: Some(12.0),
        ..Reading::default()
    };
    mead.read(70.0, free).await;
    let page = mead.page("/stabilise?will=sweet").await;
    // 31.9 are wanted, 12 are free: some 20 mg/L are lacking.
    let dose = grams(&page.value(SULFITE));
    assert!((0.65..=0.72).contains(&dose), "{dose}");
    assert_eq!(grams(&page.value(SORBATE)), 0.0, "what it needs is in it");
}

#[tokio::test]
async fn sulfite_alone_keeps_air_away_and_stabilises_nothing() {
    let mead = Mead::that_stands().await;
    let page = mead.page("/stabilise?will=dry").await;
    assert!(page.text.contains("needs none"), "{}", page.text);
    let typed = [(SULFITE, "1.7 g"), (SORBATE, "0 g")];
    let done = mead.browser.submit(&page, "It went in", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let (_, data) = mead.last().await;
    assert_eq!(
        (data["what"].as_str(), data["why"].as_str()),
        (Some("sulfite"), Some("other"))
    );
    assert!(mead.page("").await.text.contains("no sorbate"));
    let nothing = mead.page("/stabilise?will=dry").await;
    let refused = mead
        .browser
        .submit(&nothing, "It went in", &[(SULFITE, "0 g"), (SORBATE, "")])
        .await;
    assert_eq!(refused.status, 422);
    assert!(!refused.fault(SULFITE).is_empty());
}

#[tokio::test]
async fn at_a_high_ph_it_says_to_lower_it() {
    let mead = Mead::that_stands().await;
    mead.read(50.0, ph(4.0)).await;
    let page = mead.page("/stabilise?will=sweet").await;
    assert!(page.text.contains("Lower the pH first"), "{}", page.text);
    assert!(
        page.text
            .contains("leave 0.5 mg/L in the form that protects"),
        "{}",
        page.text
    );
    mead.read(51.0, ph(3.5)).await;
    let page = mead.page("/stabilise?will=sweet").await;
    assert!(!page.text.contains("Lower the pH first"));
}

#[tokio::test]
async fn past_a_limit_or_before_the_end_it_needs_a_reason() {
    let mead = Mead::that_stands().await;
    let page = mead.page("/stabilise?will=sweet").await;
    assert!(page.text.contains("OIV-MA-C1-01") && page.text.contains("27 CFR"));
    let much = [(SULFITE, "20 g"), (SORBATE, "5 g")];
    let refused = mead.browser.submit(&page, "It went in", &much).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(refused.fault(WHY).contains("can hurt"), "{}", refused.text);
    assert_eq!(refused.value(SULFITE), "20 g");
    let why = [
        (SULFITE, "20 g"),
        (SORBATE, "5 g"),
        (WHY, "It stands open for a year."),
    ];
    let done = mead.browser.submit(&refused, "It went in", &why).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let log = mead.log().await;
    let step = log
        .iter()
        .find(|(kind, _)| kind == "step")
        .expect("the reason");
    assert_eq!(step.1["step"], "finishing-much-sulfite");

    let young = Mead::of_the_autumn().await;
    let page = young.page("/stabilise?will=sweet").await;
    assert!(page.text.contains("Nobody knows that it is finished"));
    let refused = young.browser.submit(&page, "It went in", &[]).await;
    assert_eq!(refused.status, 422);
    assert!(!refused.fault(WHY).is_empty());
    let why = [(WHY, "The hydrometer broke.")];
    let done = young.browser.submit(&page, "It went in", &why).await;
    assert_eq!(done.status, 303, "{}", done.text);
}

#[tokio::test]
async fn what_was_given_elsewhere_counts_against_the_limits() {
    let mead = Mead::that_stands().await;
    let earlier = Addition {
        grams: Some(10.0),
        ..Addition::of("Potassium metabisulfite", What::Sulfite)
    };
    mead.wrote(46.0 * DAY, Deed::Addition(earlier)).await;
    let page = mead.page("/stabilise?will=sweet").await;
    // 10 g are some 290 mg/L already; 3 g more pass the 300 of a sweet wine.
    let typed = [(SULFITE, "3 g"), (SORBATE, "5 g")];
    let refused = mead.browser.submit(&page, "It went in", &typed).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    assert!(!refused.fault(WHY).is_empty());
}
