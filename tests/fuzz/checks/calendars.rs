//! What holds of a calendar file whatever its events are called: another program reads each event and the words as they were.

use chrono::{DateTime, TimeDelta, Utc};
use mustwright::web::calendar::{Event, When, write};

/// Texts are parted by zero bytes: the calendar's name, then title, place and words of each event.
pub fn check(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let mut texts = text.split('\0');
    let name = texts.next().unwrap_or_default();
    let texts: Vec<&str> = texts.take(60).collect();
    let events: Vec<Event> = texts
        .chunks(3)
        .enumerate()
        .map(|(at, texts)| event(at, texts))
        .collect();
    let file = write("Meetings", name, &events);
    let lines: Vec<&str> = file.split("\r\n").collect();
    assert_eq!(lines.last(), Some(&""));
    for line in &lines {
        assert!(line.len() <= 75, "{line}");
        assert!(!line.contains(|c: char| c.is_control()), "{line:?}");
    }
    let calendar =
        vobject::parse_component(&file).unwrap_or_else(|fault| panic!("{fault}: {file}"));
    assert_eq!(calendar.name, "VCALENDAR");
    assert_eq!(calendar.subcomponents.len(), events.len(), "{file}");
    for (read, event) in calendar.subcomponents.iter().zip(&events) {
        assert_eq!(read.name, "VEVENT");
        let wanted = [
            ("SUMMARY", &event.title),
            ("LOCATION", &event.place),
            ("DESCRIPTION", &event.about),
        ];
        for (key, text) in wanted {
            let value = read.get_only(key).map(|one| plain(&one.raw_value));
            assert_eq!(
                value.unwrap_or_default(),
                without_controls(text),
                "{key}: {file}"
            );
        }
        assert_eq!(
            read.get_only("UID").map(|one| one.value_as_string()),
            Some(event.uid.clone())
        );
    }
}

fn event(at: usize, texts: &[&str]) -> Event {
    let of = |place: usize| texts.get(place).copied().unwrap_or_default().to_owned();
    let moment: DateTime<Utc> = "2026-12-12T18:30:00Z".parse().expect("a moment");
    Event {
        uid: format!("{at}@mead.example"),
        sequence: 1,
        changed_at: moment,
        when: match at % 2 {
            0 => When::Between(moment, moment + TimeDelta::hours(3)),
            _ => When::Day(moment.date_naive()),
        },
        title: of(0),
        place: of(1),
        about: of(2),
        url: "https://mead.example/".to_owned(),
        cancelled: false,
    }
}

/// Control characters have no place in a calendar (RFC 5545, 3.1), but that lines end.
fn without_controls(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_control() || *c == '\n')
        .collect()
}

/// A text as it was before its marks were escaped (RFC 5545, 3.3.11), sign by sign.
fn plain(escaped: &str) -> String {
    let mut signs = escaped.chars();
    let mut out = String::new();
    while let Some(c) = signs.next() {
        match c {
            '\\' => match signs.next() {
                Some('n' | 'N') => out.push('\n'),
                Some(c @ ('\\' | ';' | ',')) => out.push(c),
                other => panic!("no escape: {other:?} in {escaped}"),
            },
            c => out.push(c),
        }
    }
    out
}
