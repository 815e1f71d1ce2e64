//! A mead for a day: planned backwards, it leads forwards to the day and the bottles; too late is said, with what is in time.

use chrono::{Days, NaiveDate, Utc};
use mustwright::recipes::for_a_day::days::{Step, Traits, course};
use mustwright::recipes::for_a_day::making::make;
use mustwright::recipes::for_a_day::vessels::{FULL, fill};
use mustwright::recipes::for_a_day::{Amount, Answer, Kind, Sweetness, Wish, answer, plan};
use mustwright::web::units::{Units, parse_volume};

use super::{STRENGTH, VOLUME, a_club, all_words, another, count};
use crate::support::{Club, Page};

fn date(text: &str) -> NaiveDate {
    text.parse().expect("a day")
}

/// 30 bottles of dry plain mead at 11 % for midsummer.
fn midsummer() -> Wish {
    Wish {
        amount: Amount::Bottles(30, 0.75),
        day: date("2027-06-24"),
        abv_percent: 11.0,
        sweetness: Sweetness::Dry,
        kind: Kind::Plain,
        sparkling: false,
    }
}

fn traits(strength: &str, og: f64) -> Traits {
    Traits {
        family: "traditional".to_owned(),
        strength: strength.to_owned(),
        og,
        sweetened: false,
        sparkling: false,
        fruit_days: None,
        spice_days: None,
    }
}

/// Of 30 bottles, 22.5 L, the full demijohn of 25 L is the nearest: 24.25 L in it, 25.2604 L of finished mead before the
/// lees, 23.5948 L to fill (worked in the engine's tests of the chain). The must is that much and what shrinks away while
/// it ferments; with 15 % of room it goes into a bucket of 30 L. Six months are 183 days; from 24 June back that is
/// 23 December: 8 days of December, 31, 28, 31, 30, 31 and 24 are 183.
#[test]
fn midsummer_by_hand() {
    let plan = plan(&midsummer(), Units::Metric).expect("a plan");
    assert_eq!(plan.start, date("2026-12-23"));
    let made = &plan.made;
    let ages_in: Vec<(u32, f64)> = made.ages_in.iter().map(|(n, of)| (*n, of.brim_l)).collect();
    assert_eq!(ages_in, [(1, 25.0)]);
    let chain = &made.chain;
    assert!((24.25..24.31).contains(&chain.secondary_l), "{chain:?}");
    assert!((23.59..23.66).contains(&chain.packaged_l), "{chain:?}");
    assert_eq!((made.ferments_in.0, made.ferments_in.1.brim_l), (1, 30.0));
    let volume = made.recipe.volume_l.unwrap();
    assert!((made.brim_wanted_l - volume / 0.85).abs() < 1e-6);
    let days: Vec<(i64, Step)> = plan.course.steps.clone();
    assert_eq!(
        days,
        [
            (0, Step::Mix),
            (28, Step::Rack),
            (42, Step::ReadAgain),
            (84, Step::RackAgain),
            (169, Step::Bottle),
            (183, Step::Pour),
        ]
    );
}

/// 5 bottles, 3.75 L, want 4.05 L to age; the demijohn of 4.55 L is full with 4.4135 L.
#[test]
fn a_few_bottles_fill_the_smallest_demijohn() {
    let filled = fill(3.75, 0.0, 1, Units::Metric).expect("vessels");
    let vessels: Vec<f64> = filled.ages_in.iter().map(|(_, of)| of.brim_l).collect();
    assert_eq!(vessels, [4.55]);
    assert!((filled.chain.secondary_l - 4.4135).abs() < 1e-6);
}

/// Light: racked after 14 days, equal after 28, two days of rest: 30, which is its month. Sweetened: stabilised on day 28,
/// sweetened on 30, bottled on 44, good on 46. With gas from sugar: bottled on 28, good on 56.
#[test]
fn the_days_of_light_meads_by_hand() {
    let light = traits("hydromel", 1.052);
    let dry = course(&light);
    assert_eq!((dry.ready, dry.best), (30, 61));
    assert!(dry.steps.contains(&(28, Step::Bottle)));
    let sweet = course(&Traits {
        sweetened: true,
        ..light.clone()
    });
    assert_eq!(sweet.ready, 46);
    for step in [
        (28, Step::Stabilise),
        (30, Step::Sweeten),
        (44, Step::Bottle),
    ] {
        assert!(sweet.steps.contains(&step), "{step:?}");
    }
    let sparkling = course(&Traits {
        sparkling: true,
        ..light
    });
    assert_eq!(sparkling.ready, 56);
    // What ages for long makes its gas meanwhile.
    let aged = course(&Traits {
        sparkling: true,
        ..traits("standard", 1.085)
    });
    assert_eq!(aged.ready, 183);
    assert!(aged.steps.contains(&(155, Step::Bottle)));
    // A strong must takes longer until it is racked, and a year.
    let strong = course(&traits("sack", 1.112));
    assert_eq!(strong.ready, 365);
    assert!(strong.steps.contains(&(42, Step::Rack)));
}

fn every_wish() -> Vec<Wish> {
    let mut all = Vec::new();
    let amounts = [
        Amount::Bottles(1, 0.33),
        Amount::Bottles(30, 0.75),
        Amount::Litres(4.0),
        Amount::Litres(61.0),
        Amount::Litres(200.0),
    ];
    for kind in Kind::ALL {
        for (sweetness, abv_percent) in Sweetness::ALL.into_iter().zip([15.0, 8.0, 11.5]) {
            for amount in amounts {
                all.push(Wish {
                    amount,
                    kind,
                    sweetness,
                    abv_percent,
                    sparkling: sweetness == Sweetness::Dry,
                    ..midsummer()
                });
            }
        }
    }
    all
}

/// Mixed on the last day, each mead gives at least what was wished, out of full vessels that it fits in, on the day.
#[test]
fn forwards_from_the_last_day_come_the_day_and_the_bottles() {
    for units in [Units::Metric, Units::Us, Units::Imperial] {
        for wish in every_wish() {
            let told = format!("{wish:?} {units:?}");
            let plan = plan(&wish, units).unwrap_or_else(|why| panic!("{told}: {why:?}"));
            let made = &plan.made;
            assert!(made.numbers.problems.is_empty(), "{told}");
            let wanted = wish.amount.litres();
            assert!(made.chain.packaged_l >= wanted, "{told}: {:?}", made.chain);
            let engines = made.numbers.package.as_ref().expect("a package").litres;
            assert!(engines >= made.chain.packaged_l - 1e-6, "{told}: {engines}");
            let brim: f64 = made
                .ages_in
                .iter()
                .map(|(n, of)| f64::from(*n) * of.brim_l)
                .sum();
            let full = made.chain.secondary_l / brim;
            assert!((FULL[0] - 1e-9..1.0).contains(&full), "{told}: {full}");
            assert!(
                made.brim_wanted_l <= made.ferments_in.1.brim_l * (1.0 + 1e-9),
                "{told}"
            );
            let headroom = made.numbers.limits.as_ref().unwrap().headroom_abv_percent;
            assert!(headroom >= 1.0, "{told}: {headroom}");
            let typed = &made.recipe.typed["/volume_l"];
            assert_eq!(
                parse_volume(typed, units).ok(),
                made.recipe.volume_l,
                "{told}"
            );
            // The days: from the mixing to the pouring, in order, none outside.
            let course = &plan.course;
            let on = |days: i64| plan.start + Days::new(days.unsigned_abs());
            let (first, last) = (course.steps[0], *course.steps.last().unwrap());
            assert_eq!((on(first.0), first.1), (plan.start, Step::Mix), "{told}");
            assert_eq!((on(last.0), last.1), (wish.day, Step::Pour), "{told}");
            let in_order = course.steps.windows(2).all(|pair| pair[0].0 <= pair[1].0);
            assert!(
                in_order && course.best >= course.ready,
                "{told}: {course:?}"
            );
            let sparkles = made.recipe.declared.is_some();
            assert_eq!(sparkles, wish.sparkling, "{told}");
        }
    }
}

#[test]
fn too_late_is_said_with_what_is_in_time() {
    let wish = midsummer();
    let ready = wish.day;
    let strong = Wish {
        abv_percent: 14.0,
        ..wish
    };
    // A year, 365 days, is wanted; on the last day there is time, a day later there is not.
    let last = ready - Days::new(365);
    let at = |wish: &Wish, today: NaiveDate| answer(wish, today, Units::Metric);
    assert!(matches!(at(&strong, last), Answer::InTime(_)));
    let Answer::TooLate { since, instead, .. } = at(&strong, last + Days::new(1)) else {
        panic!("it is too late");
    };
    assert_eq!(since, last);
    assert_eq!(
        instead.wish.abv_percent, 13.5,
        "the nearest that is in time"
    );
    assert!(instead.start > last);
    // Four months before, a plain one of 11 % comes too late: a light one does not, nor one with fruit or spice.
    let Answer::TooLate {
        instead, others, ..
    } = at(&wish, ready - Days::new(130))
    else {
        panic!("it is too late");
    };
    assert_eq!(
        (instead.wish.abv_percent, instead.wish.kind),
        (7.0, Kind::Plain)
    );
    let kinds: Vec<Kind> = others.iter().map(|other| other.kind).collect();
    assert_eq!(kinds, [Kind::Raspberry, Kind::Spiced, Kind::Apple]);
    // With five weeks left a sweet one gives way to a dry one, a sparkling one to a still one.
    let sweet = Wish {
        sweetness: Sweetness::Sweet,
        ..wish
    };
    let sparkling = Wish {
        sparkling: true,
        ..wish
    };
    for wish in [sweet, sparkling] {
        let Answer::TooLate { instead, .. } = at(&wish, ready - Days::new(35)) else {
            panic!("it is too late");
        };
        assert_eq!(instead.wish.sweetness, Sweetness::Dry);
        assert!(!instead.wish.sparkling);
    }
    // Light browned honey takes its nine months too: plain then.
    let browned = Wish {
        kind: Kind::Browned,
        ..wish
    };
    let Answer::TooLate { instead, .. } = at(&browned, ready - Days::new(60)) else {
        panic!("it is too late");
    };
    assert_eq!(instead.wish.kind, Kind::Plain);
    // Thirty days are enough for the quickest, twenty-nine are not.
    assert!(matches!(
        at(&wish, ready - Days::new(30)),
        Answer::TooLate { .. }
    ));
    let today = ready - Days::new(29);
    let Answer::Never { soonest, days } = at(&wish, today) else {
        panic!("nothing is in time");
    };
    assert_eq!((soonest, days), (today + Days::new(30), 30));
}

#[test]
fn what_cannot_be_made_is_told_as_such() {
    // Apple juice alone makes more than 4 %.
    let wish = Wish {
        kind: Kind::Apple,
        abv_percent: 4.0,
        ..midsummer()
    };
    let problems = make(&wish, Units::Metric).expect_err("no honey goes in");
    assert!(!problems.is_empty());
    let found = answer(&wish, date("2026-06-01"), Units::Metric);
    assert!(matches!(found, Answer::Impossible(_)));
}

fn path(pairs: &[(&str, &str)]) -> String {
    let usual = [
        ("bottles", "30"),
        ("size", "0.75 L"),
        ("litres", ""),
        ("day", ""),
        ("strength", "11 %"),
        ("sweet", "dry"),
        ("kind", "plain"),
        ("bubbles", "still"),
    ];
    let value = |name: &str, usual: &str| {
        let own = pairs.iter().find(|(own, _)| *own == name);
        own.map_or(usual, |(_, value)| *value)
            .replace('%', "%25")
            .replace(' ', "+")
    };
    let all = usual.map(|(name, usual)| format!("{name}={}", value(name, usual)));
    format!("/for-a-day?{}", all.join("&"))
}

fn in_days(days: u64) -> String {
    (Utc::now().date_naive() + Days::new(days)).to_string()
}

fn lead(page: &Page) -> String {
    page.words_of(".lead").unwrap_or_default()
}

#[tokio::test]
async fn the_answer_leads_with_a_sentence_and_opens_unsaved_in_the_workbench() {
    let (club, _, ada) = a_club().await;
    let stranger = club.browser();
    let blank = stranger.get("/for-a-day").await;
    assert_eq!(
        (blank.status, blank.heading().as_str()),
        (200, "A mead for a day")
    );
    assert_eq!(blank.value("Bottles"), "30");
    let day = in_days(400);
    let asked = path(&[("day", &day)]);
    let page = stranger.get(&asked).await;
    assert_eq!(page.status, 200, "{}", page.text);
    let said = lead(&page);
    assert!(
        said.starts_with("To pour 30 bottles of dry mead at 11 % on ")
            && said.contains(" of must by ")
            && said.ends_with(" kg of honey."),
        "{said}"
    );
    assert_eq!(page.value("The day"), day, "the text is kept");
    let rows = all_words(&page, "tbody tr").join("\n");
    for words in [
        "Demijohn, 25 L",
        "Bucket, 30 L",
        "31 bottles of 750 ml",
        "After the first racking",
        "Wildflower",
    ] {
        assert!(rows.contains(words), "{words}: {rows}");
    }
    let open = page
        .link("Sign in and open it in the workbench")
        .expect("a way");
    let asked_in = stranger.get(&open).await;
    assert!(
        asked_in
            .location()
            .is_some_and(|to| to.starts_with("/sign-in?next="))
    );

    let page = ada.get(&asked).await;
    let form = ada
        .get(&page.link("Open it in the workbench").expect("a way"))
        .await;
    assert_eq!(form.status, 200, "{}", form.text);
    let must = form.value(VOLUME);
    assert!(
        said.contains(&format!("mix {} of must", must.trim_end_matches('0')))
            || said.contains(&must),
        "{said}: {must}"
    );
    assert_eq!(form.value(STRENGTH), "11 %");
    let named = (Utc::now().date_naive() + Days::new(400)).format("Mead for %-d %B %Y");
    assert_eq!(form.value("Name"), named.to_string());
    assert_eq!(form.value("Who may see it"), "private");
    assert!(
        form.text
            .contains("Planned backwards, from the book’s starter recipes.")
    );
    for sql in [
        "select count(*) from recipes",
        "select count(*) from recipe_drafts",
    ] {
        assert_eq!(count(&club, sql).await, 0, "{sql}");
    }
    // Gas in bottles is dangerous: it is said, and where to read more.
    let sparkling = path(&[
        ("day", &day),
        ("bubbles", "sparkling"),
        ("strength", "13.5 %"),
    ]);
    let page = stranger.get(&sparkling).await;
    assert!(
        lead(&page).contains("30 bottles of sparkling dry mead"),
        "{}",
        lead(&page)
    );
    let dangers = all_words(&page, ".caution.danger").join(" ");
    assert!(dangers.to_lowercase().contains("pressure"), "{dangers}");
    let steps = all_words(&page, ".days td").join(" ");
    assert!(
        steps.contains("bottles made for pressure only") && steps.contains("may stay flat"),
        "{steps}"
    );
    // The mixing day is the last day to start: 183 days before.
    let start = Utc::now().date_naive() + Days::new(400 - 183);
    let fields = form.filled("Recalculate", &[]).1;
    let mixing = fields
        .iter()
        .find(|(name, _)| name == "mixing_day")
        .expect("a day");
    assert_eq!(mixing.1, start.to_string());
}

#[tokio::test]
async fn too_late_offers_what_is_ready() {
    let club = Club::open().await;
    let browser = club.browser();
    let page = browser
        .get(&path(&[("day", &in_days(130)), ("strength", "14 %")]))
        .await;
    let said = lead(&page);
    assert!(
        said.starts_with("Too late for a dry mead at 14 %: it had to be mixed by "),
        "{said}"
    );
    assert!(
        said.contains("A dry mead at 7 % will be ready: mix "),
        "{said}"
    );
    let page = browser.get(&path(&[("day", &in_days(130))])).await;
    let other = page
        .link("dry spiced mead at 11 %")
        .expect("what is in time");
    let other = browser.get(&other).await;
    assert!(
        lead(&other).starts_with("To pour 30 bottles of dry spiced mead at 11 %"),
        "{}",
        lead(&other)
    );
    let page = browser.get(&path(&[("day", &in_days(10))])).await;
    let said = lead(&page);
    assert!(
        said.starts_with("No mead can be ready by ") && said.contains("takes 30 days"),
        "{said}"
    );
    assert!(page.link("Sign in and open it in the workbench").is_none());
    let page = browser
        .get(&path(&[
            ("day", &in_days(400)),
            ("kind", "apple"),
            ("strength", "4 %"),
        ]))
        .await;
    assert_eq!(page.status, 200);
    assert!(lead(&page).contains("cannot be made so"), "{}", lead(&page));
    assert!(
        !all_words(&page, ".caution").is_empty(),
        "the reason is told"
    );
}

#[tokio::test]
async fn each_fault_stands_beside_its_field_and_the_text_is_kept() {
    let (club, _, ada) = a_club().await;
    let far = in_days(400);
    let day = ("day", far.as_str());
    for (label, name, text, with, said) in [
        ("Bottles", "bottles", "many", day, "Write"),
        ("Bottles", "bottles", "2.5", day, "whole"),
        ("Bottles", "bottles", "1000", day, "or less"),
        ("Bottles", "bottles", "", day, "how many bottles"),
        ("Size of one, bottle", "size", "9 parsecs", day, "Write"),
        (
            "Size of one, bottle",
            "size",
            "40 L",
            day,
            "size of one bottle",
        ),
        ("Or how much in all", "litres", "20 L", day, "not both"),
        (
            "Or how much in all",
            "litres",
            "a lot",
            ("bottles", ""),
            "Write",
        ),
        (
            "Or how much in all",
            "litres",
            "5000 L",
            ("bottles", ""),
            "or less",
        ),
        ("The day", "day", "", ("kind", "plain"), "to be poured"),
        ("The day", "day", "soon", ("kind", "plain"), "such as"),
        (
            "The day",
            "day",
            "2001-01-01",
            ("kind", "plain"),
            "still to come",
        ),
        (
            "The day",
            "day",
            "2999-01-01",
            ("kind", "plain"),
            "twenty years",
        ),
        (
            "How strong, in percent by volume",
            "strength",
            "19 %",
            day,
            "from 4 to 15 %",
        ),
        (
            "How strong, in percent by volume",
            "strength",
            "strong",
            day,
            "Write",
        ),
    ] {
        let page = ada.get(&path(&[(name, text), with])).await;
        assert_eq!(page.status, 422, "{name} {text}");
        assert!(
            page.fault(label).contains(said),
            "{name} {text}: {}",
            page.fault(label)
        );
        assert_eq!(page.value(label), text, "the text is kept");
    }
    let page = ada
        .get(&path(&[day, ("sweet", "sweet"), ("bubbles", "sparkling")]))
        .await;
    assert_eq!(page.status, 422);
    assert!(
        page.text.contains("sweet and sparkling comes from a keg"),
        "{}",
        page.text
    );
    // Whatever the address says, the way into the workbench leads back to the faults.
    let back = ada.get("/for-a-day/workbench?bottles=many").await;
    let to = back.location().expect("a way back");
    assert!(to.starts_with("/for-a-day?bottles=many"), "{to}");
    // Gallons for who reads gallons, and any unit typed.
    let blythe = another(&club, "Blythe", Units::Us).await;
    let page = blythe
        .get(&path(&[day, ("bottles", ""), ("litres", "5 gal")]))
        .await;
    assert!(
        lead(&page).starts_with("To pour 5 gal of dry mead"),
        "{}",
        lead(&page)
    );
    assert!(lead(&page).contains(" lb"), "{}", lead(&page));
}
