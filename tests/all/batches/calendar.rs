//! The calendar of a member's batches, read by two foreign programs.

use std::collections::BTreeMap;
use std::io::BufReader;

use mustwright::engine::log::Deed;
use mustwright::engine::log::entry::{Addition, What};
use mustwright::web::grant::Grant;

use super::plan::did;
use super::{a_maker, started, wrote};
use crate::support::{Club, Page, Person, a_member};

const NOW: &str = "2026-11-28T18:00:00Z";

/// What each program reads, by UID: title, begin, sequence, stamp.
pub type Read = BTreeMap<String, (String, String, String, String)>;

pub fn by_one(text: &str) -> Read {
    let calendar = vobject::parse_component(text).expect("the first program reads it");
    assert_eq!(calendar.name, "VCALENDAR");
    let events = calendar.subcomponents.iter();
    events
        .map(|event| {
            assert_eq!(event.name, "VEVENT");
            let of = |name: &str| {
                let found = event.get_only(name);
                let found = found.unwrap_or_else(|| panic!("one {name} in {event:?}"));
                found.value_as_string()
            };
            for name in ["DTSTAMP", "LAST-MODIFIED", "URL"] {
                assert!(!of(name).is_empty());
            }
            assert_eq!(of("DTSTAMP"), of("LAST-MODIFIED"));
            let begin = of("DTSTART");
            let read = (of("SUMMARY"), begin, of("SEQUENCE"), of("DTSTAMP"));
            (of("UID"), read)
        })
        .collect()
}

fn by_another(text: &str) -> Read {
    let mut parser = ical::IcalParser::new(BufReader::new(text.as_bytes()));
    let calendar = parser
        .next()
        .expect("a calendar")
        .expect("the second program reads it");
    assert!(parser.next().is_none(), "one calendar");
    let events = calendar.events.iter();
    events
        .map(|event| {
            let of = |name: &str| {
                let found = event.properties.iter().find(|one| one.name == name);
                let value = found.and_then(|one| one.value.clone());
                value.unwrap_or_else(|| panic!("{name} of {event:?}"))
            };
            // This program leaves escapes in texts as they are.
            let title = of("SUMMARY")
                .replace("\\,", ",")
                .replace("\\;", ";")
                .replace("\\\\", "\\");
            let read = (title, of("DTSTART"), of("SEQUENCE"), of("DTSTAMP"));
            (of("UID"), read)
        })
        .collect()
}

fn read(page: &Page) -> Read {
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(
        page.text.split("\r\n").all(|line| line.len() <= 75),
        "{}",
        page.text
    );
    assert!(
        !page.text.replace("\r\n", "").contains(['\r', '\n']),
        "ends of lines"
    );
    let (one, another) = (by_one(&page.text), by_another(&page.text));
    assert_eq!(one, another);
    one
}

async fn subscribed(club: &Club, person: &Person) -> String {
    let token = club.token_of(person, Grant::Calendar).await;
    format!("/calendar/{token}.ics")
}

#[tokio::test]
async fn two_foreign_programs_read_what_the_page_says() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let name = format!("Heather; dry, first\\last é{}", "ü".repeat(60));
    let batch = started(&ada, &recipe, &[("What it is called", &name)]).await;
    let id = batch.rsplit('/').next().unwrap();
    let feed = subscribed(&club, &person).await;
    let reader = club.browser();
    let page = reader.get(&feed).await;
    assert!(page.header("content-type").starts_with("text/calendar"));
    assert_eq!(page.header("cache-control"), "private, no-cache");
    let events = read(&page);
    let uid = |key: &str| {
        let host = club.app.site.host();
        format!("{id}-{key}@{host}")
    };
    let mix = &events[&uid("mix")];
    assert_eq!(mix.0, format!("Mix the must: {name}"));
    assert_eq!(mix.1, "20261128T180000Z");
    // The page says the same: the day of racking, from both.
    let step = ada.get(&format!("{batch}/plan/rack-1")).await;
    let lead = step.words_of(".lead").unwrap();
    let day = chrono::NaiveDate::parse_from_str(&events[&uid("rack-1")].1, "%Y%m%d").unwrap();
    let said = day.format("%-d %B").to_string();
    assert!(lead.contains(&said), "{lead}: {said}");
    // What is done goes; what is left keeps its name.
    did(&ada, &format!("{batch}/plan/mix"), &[]).await;
    let later = read(&reader.get(&feed).await);
    assert!(!later.contains_key(&uid("mix")));
    assert!(later.contains_key(&uid("rack-1")));
}

/// What was put in to give its taste is looked after from its first day on, and no longer than it is in there.
#[tokio::test]
async fn what_steeps_has_its_day_until_it_is_taken_out() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    for step in ["mix", "pitch"] {
        did(&ada, &format!("{batch}/plan/{step}"), &[]).await;
    }
    let ginger = Deed::Addition(Addition {
        grams: Some(40.0),
        ..Addition::of("Ginger root, fresh", What::Spice)
    });
    wrote(&club, &person, &batch, 48.0, ginger).await;
    club.app
        .clock
        .move_to("2026-11-30T20:00:00Z".parse().unwrap());
    let feed = subscribed(&club, &person).await;
    let reader = club.browser();
    let events = read(&reader.get(&feed).await);
    let is_of_it = |uid: &&String| uid.contains("-steeped-");
    let uid = events.keys().find(is_of_it).expect("its day").clone();
    let (title, begins, ..) = &events[&uid];
    assert_eq!(title, "Take out Ginger root, fresh: Heather");
    // Put in on 30 November; three days are the least that it takes.
    assert_eq!(begins, "20261203");
    let key = uid.split_once('-').unwrap().1.split_once('@').unwrap().0;
    did(&ada, &format!("{batch}/plan/{key}"), &[]).await;
    let later = read(&reader.get(&feed).await);
    assert!(!later.keys().any(|uid| is_of_it(&uid)), "{later:?}");
}

/// Of each event that both have: its number rose and its stamp is new if anything of it changed, and else neither.
fn only_what_changed_counts_up(before: &Read, after: &Read, now: &str) -> usize {
    let mut shifted = 0;
    for (uid, is) in after {
        let Some(was) = before.get(uid) else { continue };
        let (old, new): (i32, i32) = (was.2.parse().unwrap(), is.2.parse().unwrap());
        match was.1 == is.1 {
            false => {
                shifted += 1;
                assert_eq!(
                    (new, is.3.as_str()),
                    (old + 1, now),
                    "{uid}: {was:?} {is:?}"
                );
            }
            // Its date is the same; what is said about it may be new.
            true if new > old => assert_eq!((new, is.3.as_str()), (old + 1, now), "{uid}"),
            true => assert_eq!(was, is, "{uid}"),
        }
    }
    shifted
}

#[tokio::test]
async fn whatever_shifts_a_date_counts_up_and_is_stamped_and_nothing_else_does() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    let feed = subscribed(&club, &person).await;
    let reader = club.browser();
    let first = read(&reader.get(&feed).await);
    assert!(first.values().all(|event| event.3 == "20261128T180000Z"));
    // Asked again a while later, nothing has shifted: nobody's calendar is told otherwise.
    let again = read(&reader.get(&feed).await);
    assert_eq!(again, first);
    // Two days on nobody has mixed it: all that follows has shifted, and not a word was written down.
    club.app
        .clock
        .move_to("2026-11-30T18:00:00Z".parse().unwrap());
    let late = read(&reader.get(&feed).await);
    let shifted = only_what_changed_counts_up(&first, &late, "20261130T180000Z");
    assert!(shifted > 3, "{first:?} {late:?}");
    // A step that is moved by hand takes what follows with it.
    club.app
        .clock
        .move_to("2026-11-30T18:30:00Z".parse().unwrap());
    let form = ada.get(&format!("{batch}/plan/mix")).await;
    let fields = [("To which day", "5 December"), ("At what time", "19:30")];
    let moved = ada.submit(&form, "Move it", &fields).await;
    assert_eq!(moved.status, 303, "{}", moved.text);
    let by_hand = read(&reader.get(&feed).await);
    let shifted = only_what_changed_counts_up(&late, &by_hand, "20261130T183000Z");
    assert!(shifted > 3, "{late:?} {by_hand:?}");
    // A new name is a change of each.
    club.app
        .clock
        .move_to("2026-11-30T19:00:00Z".parse().unwrap());
    let about = ada.get(&format!("{batch}/about")).await;
    let named = ada
        .submit(&about, "Save", &[("What it is called", "Ling")])
        .await;
    assert_eq!(named.status, 303, "{}", named.text);
    let renamed = read(&reader.get(&feed).await);
    for (uid, is) in &renamed {
        let was = &by_hand[uid];
        assert!(is.0.ends_with(": Ling") && is.1 == was.1, "{is:?}");
        assert_eq!(
            is.2.parse::<i32>().unwrap(),
            was.2.parse::<i32>().unwrap() + 1
        );
        assert_eq!(is.3, "20261130T190000Z");
    }
}

#[tokio::test]
async fn a_calendar_is_its_members_own_and_ends_with_its_token() {
    let club = Club::open().await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    let bo = a_member().named("Bo").of(&club).await;
    let (hers, his) = (
        subscribed(&club, &person).await,
        subscribed(&club, &bo).await,
    );
    let reader = club.browser();
    assert!(!read(&reader.get(&hers).await).is_empty());
    let empty = reader.get(&his).await;
    assert_eq!(empty.status, 200);
    assert!(!empty.text.contains("VEVENT"), "{}", empty.text);
    let page = ada.get("/settings/tokens").await;
    let page = match page.status {
        200 => page,
        _ => panic!("{} {}", page.status, page.text),
    };
    let ended = ada.submit(&page, "End all of them", &[]).await;
    assert_eq!(ended.status, 303, "{}", ended.text);
    assert_eq!(reader.get(&hers).await.status, 404);
}

#[tokio::test]
async fn only_a_calendars_token_opens_it_and_it_opens_nothing_else() {
    let club = Club::open().await;
    let person = a_member().of(&club).await;
    let reader = club.browser();
    for opens in Grant::ALL {
        let token = club.token_of(&person, opens).await;
        let calendar = reader.get(&format!("/calendar/{token}.ics")).await.status;
        assert_eq!(calendar == 200, opens == Grant::Calendar, "{opens:?}");
        let feed = reader.get(&format!("/feeds/{token}.atom")).await.status;
        assert_eq!(feed == 200, opens == Grant::Feed, "{opens:?}");
    }
}

#[tokio::test]
async fn a_fermentation_that_is_fast_brings_its_end_nearer() {
    let club = Club::standing_at(NOW.parse().unwrap(), &[]).await;
    let (person, ada, recipe) = a_maker(&club, "Ada").await;
    let batch = started(&ada, &recipe, &[("What it is called", "Heather")]).await;
    for step in ["mix", "pitch"] {
        did(&ada, &format!("{batch}/plan/{step}"), &[]).await;
    }
    let feed = subscribed(&club, &person).await;
    let reader = club.browser();
    let ends = async || {
        let events = read(&reader.get(&feed).await);
        let found = events.iter().find(|(uid, _)| uid.contains("-end-1@"));
        found.expect("its end").1.1[..8].to_owned()
    };
    let before = ends().await;
    for (at, gravity) in [("11-29", "1075"), ("11-30", "1050"), ("12-01", "1025")] {
        let now = format!("2026-{at}T20:00:00Z");
        club.app.clock.move_to(now.parse().unwrap());
        let step = format!("{batch}/plan/break");
        let form = ada.get(&step).await;
        if form.has_button("Done") {
            let done = ada.submit(&form, "Done", &[("Gravity", gravity)]).await;
            assert_eq!(done.status, 303, "{}", done.text);
        } else {
            let form = ada.get(&format!("{batch}/log")).await;
            ada.submit(&form, "Write it down", &[("Gravity", gravity)])
                .await;
        }
    }
    let after = ends().await;
    assert!(after < before, "{after} {before}");
}
