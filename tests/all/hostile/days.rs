//! Days and hours that are none, that come twice, or that are another day elsewhere (B29).

use mustwright::web::viewer::Settings;

use crate::support::{Browser, Club, Page, a_member};

async fn living_in(club: &Club, name: &str, zone: chrono_tz::Tz) -> Browser {
    let settings = Settings {
        zone,
        ..Settings::default()
    };
    let person = a_member().named(name).with(settings).of(club).await;
    club.browser_of(&person).await
}

async fn calls(browser: &Browser, day: &str, time: &str) -> Page {
    let form = browser.get("/club/meetings/new").await;
    let labelled = [
        ("What it is called", "Long tasting"),
        ("Day", day),
        ("Time", time),
    ];
    browser.submit(&form, "Call it", &labelled).await
}

/// When a meeting that was called begins, as calendars read it.
async fn begins(browser: &Browser, called: &Page) -> String {
    let page = called.location().expect("a meeting");
    let page = page.split('?').next().expect("a path");
    let file = browser.get(&format!("{page}/meeting.ics")).await;
    let line = file.text.lines().find(|line| line.starts_with("DTSTART"));
    line.expect("a beginning").trim().to_owned()
}

#[tokio::test]
async fn days_and_hours_that_are_none_are_asked_about() {
    let club = Club::open().await;
    let ada = living_in(&club, "Ada", chrono_tz::Europe::Copenhagen).await;
    for day in [
        "0000-00-00",
        "0999-12-31",
        "10000-01-01",
        "2027-02-29",
        "2027-02-30",
        "2027-13-01",
        "31.4.2027",
        "2027-01-01T00:00:00+14:00",
        "٢٠٢٧-٠١-٠١",
        "NaN",
        "1e3",
        "-1",
    ] {
        let page = calls(&ada, day, "19:30").await;
        assert_eq!(page.status, 422, "{day}");
        assert!(!page.fault("Day").is_empty(), "{day}");
        assert_eq!(page.value("Day"), day);
    }
    for time in ["24:00", "23:60", "-1:00", "13 pm", "7.5.3", "25", "١٩:٣٠"] {
        let page = calls(&ada, "2030-07-12", time).await;
        assert_eq!(page.status, 422, "{time}");
        assert!(!page.fault("Time").is_empty(), "{time}");
        assert_eq!(page.value("Time"), time);
    }
    // The clocks leave this hour out, and go over that one twice.
    let left_out = calls(&ada, "2030-03-31", "02:30").await;
    assert!(left_out.fault("Time").contains("leave this hour out"));
    let twice = calls(&ada, "2030-10-27", "02:30").await;
    assert_eq!(begins(&ada, &twice).await, "DTSTART:20301027T003000Z");
    let leap = calls(&ada, "2028-02-29", "19:30").await;
    assert_eq!(begins(&ada, &leap).await, "DTSTART:20280229T183000Z");
    let bo = living_in(&club, "Bo", chrono_tz::Pacific::Kiritimati).await;
    let early = calls(&bo, "2030-01-01", "00:00").await;
    assert_eq!(begins(&bo, &early).await, "DTSTART:20291231T100000Z");
}
