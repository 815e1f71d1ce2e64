//! Blending: nothing is lost or made, amounts are worked out, and what may restart is said before it is poured.

use mustwright::batches::allergens;
use mustwright::batches::opened::{Opened, open};
use mustwright::engine::Settings;
use mustwright::engine::balance::Liquid;
use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Addition, Pitch, Reading, Tasting, What, Why};

use super::{a_maker, address, started, wrote};
use crate::support::{Browser, Club, Person, a_member};

const DAY: f64 = 24.0;
/// The field that is asked where a blend may wake up.
const WHY: &str = "Why you blend them all the same";

fn id(batch: &str) -> &str {
    batch.rsplit('/').next().unwrap_or_default()
}

async fn opened(club: &Club, by: &Person, batch: &str) -> Opened {
    let mut conn = club.pool().acquire().await.unwrap();
    let settings = Settings::default();
    open(&mut conn, Some(by.id), &settings, id(batch))
        .await
        .unwrap()
}

/// A batch that fermented down to a gravity, with an acidity.
async fn a_mead(
    club: &Club,
    (ada, browser, recipe): &(Person, Browser, String),
    name: &str,
    (sg, ta): (f64, f64),
) -> String {
    let named = [("What it is called", name), ("Mixing day", "2026-06-01")];
    let batch = started(browser, recipe, &named).await;
    wrote(club, ada, &batch, 1.0, Deed::Pitch(Pitch::default())).await;
    for (day, sg) in [(20.0, sg), (40.0, sg)] {
        let reading = Reading {
            sg: Some(sg),
            read_sg: Some(sg),
            ta_g_per_l: Some(ta),
            volume_l: Some(10.0),
            ..Reading::default()
        };
        wrote(club, ada, &batch, day * DAY, Deed::Reading(reading)).await;
    }
    batch
}

/// Stabilised, and sweetened with honey.
async fn sweetened(club: &Club, ada: &Person, batch: &str, kg: f64) {
    let sorbate = Addition {
        why: Some(Why::Stabilise),
        grams: Some(2.0),
        ..Addition::of("sorbate", What::Sorbate)
    };
    wrote(club, ada, batch, 50.0 * DAY, Deed::Addition(sorbate)).await;
    let honey = Addition {
        why: Some(Why::Sweeten),
        kg: Some(kg),
        composition: Some(mustwright::engine::recipe::Composition {
            water: 0.17,
            fermentable: 0.74,
            unfermentable: 0.09,
            ..Default::default()
        }),
        ..Addition::of("honey", What::Honey)
    };
    wrote(club, ada, batch, 52.0 * DAY, Deed::Addition(honey)).await;
}

async fn a_club() -> (Club, (Person, Browser, String)) {
    let now = "2026-11-28T18:00:00Z".parse().unwrap();
    let club = Club::standing_at(now, &[]).await;
    let maker = a_maker(&club, "Ada").await;
    (club, maker)
}

fn vessel(of: &Opened) -> Liquid {
    of.state.flows.vessel
}

#[tokio::test]
async fn what_is_blended_leaves_the_others_and_nothing_is_lost_or_made() {
    let (club, maker) = a_club().await;
    let (ada, browser) = (&maker.0, &maker.1);
    let one = a_mead(&club, &maker, "One", (1.004, 5.0)).await;
    let two = a_mead(&club, &maker, "Two", (0.998, 7.0)).await;
    let before = [
        opened(&club, ada, &one).await,
        opened(&club, ada, &two).await,
    ];
    let form = browser.get(&format!("{one}/blend")).await;
    let typed = [
        ("How much, Mead 1", "6 L"),
        ("Which one, Mead 2", id(&two)),
        ("How much, Mead 2", "3 L"),
        ("What it is called", "Both"),
    ];
    let looked = browser.submit(&form, "Work it out", &typed).await;
    assert_eq!(looked.status, 200, "{}", looked.text);
    let seen = looked.words_of("#comes-to").expect("what it comes to");
    assert!(
        seen.contains("9 L") && seen.contains("acidity 5.67"),
        "{seen}"
    );
    let mut typed = typed.to_vec();
    if looked.text.contains(WHY) {
        typed.push((WHY, "it waits under its airlock"));
    }
    let done = browser.submit(&looked, "Blend them", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let again = browser.submit(&looked, "Blend them", &typed).await;
    assert_eq!(
        again.location(),
        done.location(),
        "sent twice, blended once"
    );
    let both = address(done.location());
    let after = [
        opened(&club, ada, &one).await,
        opened(&club, ada, &two).await,
    ];
    let blend = opened(&club, ada, &both).await;
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * (1.0 + b.abs());
    for of in [
        Liquid::mass_kg as fn(&Liquid) -> f64,
        |it: &Liquid| it.ethanol_kg,
        |it: &Liquid| it.sugar_kg,
        |it: &Liquid| it.extract_kg,
        |it: &Liquid| it.water_kg,
    ] {
        let was: f64 = before.iter().map(|one| of(&vessel(one))).sum();
        let is: f64 = after
            .iter()
            .chain([&blend])
            .map(|one| of(&vessel(one)))
            .sum();
        assert!(near(is, was), "{is} of {was}");
    }
    let acid = |one: &Opened| one.state.ta_g_per_l.unwrap() * one.state.volume_l;
    let was: f64 = before.iter().map(acid).sum();
    let is: f64 = after.iter().chain([&blend]).map(acid).sum();
    assert!(near(is, was), "{is} of {was} g of acid");
    assert!((after[0].state.volume_l - 4.0).abs() < 1e-6);
    assert!((after[1].state.volume_l - 7.0).abs() < 1e-6);
    // The pages lead from the one to the other.
    let page = browser.get(&both).await;
    assert_eq!(page.link("One, 6 L").as_deref(), Some(one.as_str()));
    assert_eq!(page.link("Two, 3 L").as_deref(), Some(two.as_str()));
    assert_eq!(
        browser.get(&two).await.link("Both, 3 L").as_deref(),
        Some(both.as_str())
    );
    assert!(
        page.words_of(".log")
            .unwrap()
            .contains("Blended: 6 L of One, 3 L of Two.")
    );
}

#[tokio::test]
async fn what_some_react_to_comes_along_into_a_blend_and_into_what_is_filled_up() {
    let (club, maker) = a_club().await;
    let (ada, browser) = (&maker.0, &maker.1);
    let one = a_mead(&club, &maker, "One", (1.000, 5.0)).await;
    let two = a_mead(&club, &maker, "Two", (1.000, 5.0)).await;
    let nuts = Addition {
        grams: Some(200.0),
        ..Addition::of("toasted almonds", What::Other)
    };
    wrote(&club, ada, &two, 30.0 * DAY, Deed::Addition(nuts)).await;
    let told = async |batch: &str| allergens::of(&opened(&club, ada, batch).await);
    assert_eq!(told(&one).await, [""; 0]);
    assert_eq!(told(&two).await, ["nuts"]);
    let form = browser.get(&format!("{one}/blend")).await;
    let typed = [
        ("How much, Mead 1", "6 L"),
        ("Which one, Mead 2", id(&two)),
        ("How much, Mead 2", "3 L"),
        ("What it is called", "Both"),
    ];
    let looked = browser.submit(&form, "Work it out", &typed).await;
    let mut typed = typed.to_vec();
    if looked.text.contains(WHY) {
        typed.push((WHY, "it waits under its airlock"));
    }
    let done = browser.submit(&looked, "Blend them", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let both = address(done.location());
    assert_eq!(told(&both).await, ["nuts"]);
    // And on from there.
    let third = a_mead(&club, &maker, "Third", (1.000, 5.0)).await;
    let form = browser.get(&format!("{third}/top-up")).await;
    let typed = [("From which batch", id(&both)), ("How much", "1 L")];
    let done = browser.submit(&form, "Fill it up", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    assert_eq!(told(&third).await, ["nuts"]);
}

#[tokio::test]
async fn amounts_are_worked_out_and_what_is_out_of_reach_is_said() {
    let (club, maker) = a_club().await;
    let (ada, browser) = (&maker.0, &maker.1);
    let dry = a_mead(&club, &maker, "Dry", (0.998, 6.0)).await;
    let sweet = a_mead(&club, &maker, "Sweet", (0.998, 6.0)).await;
    sweetened(&club, ada, &sweet, 1.0).await;
    let (low, high) = (
        opened(&club, ada, &dry).await.state.sg,
        opened(&club, ada, &sweet).await.state.sg,
    );
    assert!(high > low + 0.02, "{high}");
    let middle = format!("{:.3}", (low + high) / 2.0);
    let form = browser.get(&format!("{dry}/blend")).await;
    let typed = [
        ("Which one, Mead 2", id(&sweet)),
        ("How much in all", "8 L"),
        ("Gravity", middle.as_str()),
    ];
    let looked = browser.submit(&form, "Work it out", &typed).await;
    assert_eq!(looked.status, 200, "{}", looked.text);
    let seen = looked.words_of("#comes-to").unwrap();
    assert!(
        seen.contains(&middle) && !seen.contains("Out of reach"),
        "{seen}"
    );
    assert!(
        looked.value("How much, Mead 1").starts_with('4')
            || looked.value("How much, Mead 1").starts_with('3')
    );
    let far = [
        ("Which one, Mead 2", id(&sweet)),
        ("How much in all", "8 L"),
        ("Gravity", "1.090"),
    ];
    let looked = browser.submit(&form, "Work it out", &far).await;
    let seen = looked.words_of("#comes-to").unwrap();
    assert!(seen.contains("cannot make a gravity of 1.090"), "{seen}");
    let much = [
        ("Which one, Mead 2", id(&sweet)),
        ("How much in all", "80 L"),
        ("Gravity", "1.010"),
    ];
    let refused = browser.submit(&form, "Work it out", &much).await;
    assert_eq!(refused.status, 422);
    assert!(
        refused.fault("How much in all").contains("together"),
        "{}",
        refused.fault("How much in all")
    );
}

#[tokio::test]
async fn a_sweet_one_with_a_live_one_is_poured_only_for_a_reason_that_its_log_keeps() {
    let (club, maker) = a_club().await;
    let (ada, browser) = (&maker.0, &maker.1);
    let dry = a_mead(&club, &maker, "Dry", (0.998, 6.0)).await;
    let sweet = a_mead(&club, &maker, "Sweet", (0.998, 6.0)).await;
    sweetened(&club, ada, &sweet, 1.0).await;
    let form = browser.get(&format!("{sweet}/blend")).await;
    let typed = [
        ("How much, Mead 1", "6 L"),
        ("Which one, Mead 2", id(&dry)),
        ("How much, Mead 2", "2 L"),
        ("What it is called", "Risky"),
    ];
    let refused = browser.submit(&form, "Blend them", &typed).await;
    assert_eq!(refused.status, 422);
    let said = refused.words_of("#comes-to").unwrap();
    assert!(
        said.contains("It may ferment again") && said.contains("It counts as not stabilised"),
        "{said}"
    );
    assert!(!refused.fault(WHY).is_empty());
    let mut why = typed.to_vec();
    why.push((WHY, "it stays under its airlock until summer"));
    let done = browser.submit(&refused, "Blend them", &why).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let sheet = browser.get(&address(done.location())).await;
    assert!(
        sheet
            .text
            .contains("it stays under its airlock until summer"),
        "the log keeps why: {}",
        sheet.text
    );
    let blend = opened(&club, ada, &address(done.location())).await;
    assert!(!blend.state.stabilised, "live yeast came with the other");
    assert!(
        blend.state.sorbic_mg_per_l > 0.0,
        "what was added came along, thinned"
    );
    assert!(blend.state.sugar_g_per_l > 20.0);
    let form = browser
        .get(&format!("{}/bottling", address(done.location())))
        .await;
    assert!(form.text.contains("It was stabilised."), "{}", form.text);
    assert!(
        !form.text.contains("sugar makes it there"),
        "no gas by sugar"
    );
}

/// What fills another up brings all that is in it: acid, sulfite, sorbate and sugar.
#[tokio::test]
async fn filling_up_conserves_what_was_there_and_what_was_stabilised_stays_so() {
    let (club, maker) = a_club().await;
    let (ada, browser) = (&maker.0, &maker.1);
    let dry = a_mead(&club, &maker, "Dry", (0.998, 7.0)).await;
    let sweet = a_mead(&club, &maker, "Sweet", (0.998, 5.0)).await;
    let sulfite = Addition {
        grams: Some(1.0),
        ..Addition::of("sulfite", What::Sulfite)
    };
    wrote(&club, ada, &sweet, 49.0 * DAY, Deed::Addition(sulfite)).await;
    sweetened(&club, ada, &sweet, 1.0).await;
    let before = [
        opened(&club, ada, &dry).await,
        opened(&club, ada, &sweet).await,
    ];
    let form = browser.get(&format!("{dry}/top-up")).await;
    let typed = [("From which batch", id(&sweet)), ("How much", "2 L")];
    let done = browser.submit(&form, "Fill it up", &typed).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let after = [
        opened(&club, ada, &dry).await,
        opened(&club, ada, &sweet).await,
    ];
    type Amount = fn(&Opened) -> f64;
    let amounts: [(&str, Amount); 6] = [
        ("mass", |one| vessel(one).mass_kg()),
        ("alcohol", |one| vessel(one).ethanol_kg),
        ("sugar", |one| vessel(one).sugar_kg),
        ("acid", |one| {
            one.state.ta_g_per_l.unwrap() * one.state.volume_l
        }),
        ("sulfite", |one| {
            one.state.total_so2_mg_per_l * one.state.volume_l
        }),
        ("sorbate", |one| {
            one.state.sorbic_mg_per_l * one.state.volume_l
        }),
    ];
    for (what, of) in amounts {
        let was: f64 = before.iter().map(of).sum();
        let is: f64 = after.iter().map(of).sum();
        assert!(was > 0.0, "{what}");
        assert!(
            (is - was).abs() <= 1e-6 * (1.0 + was),
            "{what}: {is} of {was}"
        );
    }
    let form = browser.get(&format!("{dry}/bottling")).await;
    assert!(form.text.contains("It was stabilised."), "{}", form.text);
    assert!(
        !form.text.contains("sugar makes it there"),
        "no gas by sugar"
    );
}

#[tokio::test]
async fn what_is_missing_is_said_beside_its_field_and_others_blend_nothing_of_mine() {
    let (club, maker) = a_club().await;
    let browser = &maker.1;
    let one = a_mead(&club, &maker, "One", (0.998, 6.0)).await;
    let two = a_mead(&club, &maker, "Two", (0.998, 6.0)).await;
    let form = browser.get(&format!("{one}/blend")).await;
    let alone = browser
        .submit(&form, "Blend them", &[("How much, Mead 1", "2 L")])
        .await;
    assert_eq!(alone.status, 422);
    assert!(!alone.fault("Which one, Mead 2").is_empty());
    let typed = [
        ("How much, Mead 1", "20 L"),
        ("Which one, Mead 2", id(&two)),
        ("Which one, Mead 3", id(&two)),
        ("How much, Mead 3", "1 L"),
    ];
    let twice = browser.submit(&form, "Blend them", &typed).await;
    assert!(twice.fault("Which one, Mead 3").contains("above already"));
    let typed = [
        ("How much, Mead 1", "20 L"),
        ("Which one, Mead 2", id(&two)),
    ];
    let much = browser.submit(&form, "Work it out", &typed).await;
    assert_eq!(much.status, 422);
    assert!(
        much.fault("How much, Mead 1")
            .contains("By its log there was 10 L"),
        "{}",
        much.fault("How much, Mead 1")
    );
    assert_eq!(much.value("How much, Mead 1"), "20 L");
    let bo = a_member().named("Bo").of(&club).await;
    let bo = club.browser_of(&bo).await;
    for path in ["blend", "next"] {
        assert_eq!(bo.get(&format!("{one}/{path}")).await.status, 404);
    }
    let fields = [("batch-2", id(&two)), ("litres-1", "1"), ("litres-2", "1")];
    assert_eq!(
        bo.post(&format!("{one}/blend/look"), &fields).await.status,
        404
    );
}

/// Twelve who tasted: half find it too sweet and like it less.
async fn tasted(club: &Club, ada: &Person, batch: &str) {
    for taster in 0..12 {
        let tasting = Tasting {
            liking: Some(if taster % 2 == 0 { 8 } else { 5 }),
            sweetness: Some(taster % 2),
            ..Tasting::default()
        };
        wrote(
            club,
            ada,
            batch,
            (130.0 + f64::from(taster)) * DAY,
            Deed::Tasting(tasting),
        )
        .await;
    }
}

#[tokio::test]
async fn what_tasters_say_becomes_one_change_in_a_draft_with_its_reason() {
    let (club, mut maker) = a_club().await;
    let sweet = [
        ("Name", "Sweet one"),
        ("Who may see it", "club"),
        ("How it ends", "sweeten"),
        ("Gravity at the end", "1.012"),
    ];
    maker.2 = crate::recipes::saved(&maker.1, &sweet).await;
    let (ada, browser) = (&maker.0, &maker.1);
    let batch = a_mead(&club, &maker, "Sweet, first", (0.998, 6.0)).await;
    let page = browser.get(&format!("{batch}/next")).await;
    assert!(page.text.contains("Nobody has said yet"), "{}", page.text);
    tasted(&club, ada, &batch).await;
    let page = browser.get(&format!("{batch}/next")).await;
    let said = page.words_of("#said").expect("what was said");
    assert!(
        said.contains("6 of 12") && said.contains("liked 3.0 less"),
        "{said}"
    );
    assert!(
        page.words_of("#mend")
            .unwrap()
            .contains("Try acid in glasses")
    );
    let change = page.words_of("#change").expect("what to do otherwise");
    assert!(
        change.contains("End it drier: at 1.008 in place of 1.012"),
        "{change}"
    );
    assert!(
        change.contains("too sweet, say 6 of 12, and like it 3.0 points less"),
        "{change}"
    );
    let done = browser.submit(&page, "Put it into a draft", &[]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let draft = browser.get(&address(done.location())).await;
    assert_eq!(draft.status, 200);
    assert!(
        draft.value("Gravity at the end").contains("1.008"),
        "{}",
        draft.text
    );
    assert!(
        draft
            .text
            .contains("After tasting Sweet, first: End it drier"),
        "the reason stands in its note"
    );
    let none = browser
        .post(
            &format!("{batch}/next"),
            &[("once", page.hidden("once").unwrap().as_str())],
        )
        .await;
    assert!(none.status == 422 || none.status == 409, "{}", none.status);
}

#[tokio::test]
async fn heat_in_a_young_mead_is_tasted_again_and_changes_nothing() {
    let (club, maker) = a_club().await;
    let (ada, browser) = (&maker.0, &maker.1);
    let batch = a_mead(&club, &maker, "Young", (0.998, 6.0)).await;
    let hot = Tasting {
        liking: Some(4),
        warmth: Some(2),
        ..Tasting::default()
    };
    wrote(&club, ada, &batch, 60.0 * DAY, Deed::Tasting(hot)).await;
    let page = browser.get(&format!("{batch}/next")).await;
    let again = page.words_of("#again").expect("taste again");
    // 122 days after 1 June.
    assert!(
        again.contains("Hot: taste again on 1 October 2026"),
        "{again}"
    );
    assert!(page.words_of("#change").is_none());
    assert!(page.text.contains("Nothing stands out"), "{}", page.text);
}

#[tokio::test]
async fn what_was_said_at_a_tasting_counts_once_it_is_over() {
    use crate::tastings::{hosted, member, says, seated};
    let club = Club::open().await;
    let ada = hosted(&club, 2).await;
    let tasting = ada.opens("shared", &[]).await;
    let bo = member(&club, "Bo").await;
    seated(&bo, &tasting).await;
    let said = [
        ("Sweetness", "1"),
        ("Warmth of the alcohol", "2"),
        ("How much do you like it?", "6"),
    ];
    let done = says(&bo, &format!("{tasting}/seat"), 1, &said).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let next = format!("/batches/{}/next", ada.batches[0]);
    let before = ada.browser.get(&next).await;
    assert!(
        before.text.contains("Nobody has said yet"),
        "{}",
        before.text
    );
    ada.closes(&tasting).await;
    let after = ada.browser.get(&next).await;
    assert!(
        after.text.contains("Tasted once, liked 6.0 of 9."),
        "{}",
        after.text
    );
    assert!(after.words_of("#said").unwrap().contains("sweetness"));
    // However late it is closed, the mead was young on that day.
    sqlx::query("update tastings set closed_at = closed_at + interval '1 year'")
        .execute(club.pool())
        .await
        .unwrap();
    let late = ada.browser.get(&next).await;
    let again = late.words_of("#again").expect("taste again");
    assert!(again.contains("Hot: taste again on"), "{again}");
    let other = ada
        .browser
        .get(&format!("/batches/{}/next", ada.batches[1]))
        .await;
    assert!(
        other.text.contains("Nobody has said yet"),
        "the other mead's own"
    );
}
