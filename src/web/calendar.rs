//! Calendar files: iCalendar (RFC 5545).

use chrono::{DateTime, NaiveDate, Utc};

/// The kind of a calendar file, for its answer.
pub const KIND: &str = "text/calendar; charset=utf-8";

/// When something is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// From one instant to another.
    Between(DateTime<Utc>, DateTime<Utc>),
    /// All of a day.
    Day(NaiveDate),
}

/// Something in a calendar. What is empty is left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// The same for ever, on this site.
    pub uid: String,
    /// Rises with every change.
    pub sequence: i32,
    /// When it was changed last.
    pub changed_at: DateTime<Utc>,
    pub when: When,
    pub title: String,
    pub place: String,
    pub about: String,
    pub url: String,
    pub cancelled: bool,
}

/// A file of events; `of` says in its product name whose they are, `name` what a calendar calls them.
pub fn write(of: &str, name: &str, events: &[Event]) -> String {
    let mut lines = vec![
        "BEGIN:VCALENDAR".to_owned(),
        "VERSION:2.0".to_owned(),
        format!("PRODID:-//Mustwright//{of}//EN"),
    ];
    if !name.is_empty() {
        // Not of the RFC, and what calendars read all the same; the standard name is from RFC 7986.
        lines.push(format!("NAME:{}", escaped(name)));
        lines.push(format!("X-WR-CALNAME:{}", escaped(name)));
    }
    lines.extend(events.iter().flat_map(lines_of));
    lines.push("END:VCALENDAR".to_owned());
    lines.iter().map(|line| folded(line)).collect()
}

fn lines_of(event: &Event) -> Vec<String> {
    let stamp = |at: DateTime<Utc>| at.format("%Y%m%dT%H%M%SZ").to_string();
    let mut lines = vec![
        "BEGIN:VEVENT".to_owned(),
        format!("UID:{}", event.uid),
        format!("DTSTAMP:{}", stamp(event.changed_at)),
        format!("LAST-MODIFIED:{}", stamp(event.changed_at)),
        format!("SEQUENCE:{}", event.sequence),
    ];
    match event.when {
        When::Between(from, to) => {
            lines.push(format!("DTSTART:{}", stamp(from)));
            lines.push(format!("DTEND:{}", stamp(to)));
        }
        When::Day(day) => lines.push(format!("DTSTART;VALUE=DATE:{}", day.format("%Y%m%d"))),
    }
    for (key, text) in [
        ("SUMMARY", &event.title),
        ("LOCATION", &event.place),
        ("DESCRIPTION", &event.about),
    ] {
        if !text.is_empty() {
            lines.push(format!("{key}:{}", escaped(text)));
        }
    }
    lines.push(format!("URL:{}", event.url));
    let status = match event.cancelled {
        true => "CANCELLED",
        false => "CONFIRMED",
    };
    lines.push(format!("STATUS:{status}"));
    lines.push("END:VEVENT".to_owned());
    lines
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\n' => out.push_str("\\n"),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// A line with its end, folded so that none has more than 75 bytes.
fn folded(line: &str) -> String {
    let mut out = String::new();
    let mut bytes = 0;
    for c in line.chars() {
        if bytes + c.len_utf8() > 75 {
            out.push_str("\r\n ");
            bytes = 1;
        }
        out.push(c);
        bytes += c.len_utf8();
    }
    out + "\r\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_escaped_and_long_lines_are_folded() {
        let at: DateTime<Utc> = "2026-12-12T18:30:00Z".parse().unwrap();
        let event = Event {
            uid: "a@mead.example".to_owned(),
            sequence: 2,
            changed_at: at,
            when: When::Between(at, at),
            title: "Tasting; dry, first\\last".to_owned(),
            place: String::new(),
            about: format!("One\nEND:VEVENT\n{}", "é".repeat(100)),
            url: "https://mead.example/club/meetings/a".to_owned(),
            cancelled: false,
        };
        let file = write("Meetings", "", &[event]);
        assert!(file.contains("DTSTART:20261212T183000Z\r\n"));
        assert!(file.contains("SUMMARY:Tasting\\; dry\\, first\\\\last\r\n"));
        assert!(!file.contains("LOCATION"), "{file}");
        assert_eq!(file.matches("\r\nEND:VEVENT\r\n").count(), 1, "{file}");
        assert!(file.split("\r\n").all(|line| line.len() <= 75), "{file}");
        let unfolded = file.replace("\r\n ", "");
        assert!(unfolded.contains(&"é".repeat(100)));
    }

    #[test]
    fn a_day_has_no_hour() {
        let at: DateTime<Utc> = "2026-12-12T18:30:00Z".parse().unwrap();
        let event = Event {
            uid: "a@mead.example".to_owned(),
            sequence: 0,
            changed_at: at,
            when: When::Day(at.date_naive()),
            title: "Rack".to_owned(),
            place: String::new(),
            about: String::new(),
            url: "https://mead.example/".to_owned(),
            cancelled: true,
        };
        let file = write("Batches", "My meads", &[event]);
        assert!(file.contains("DTSTART;VALUE=DATE:20261212\r\n"), "{file}");
        assert!(
            !file.contains("DTEND"),
            "one day long by itself (RFC 5545, 3.6.1)"
        );
        assert!(file.contains("STATUS:CANCELLED\r\n"));
        assert!(file.contains("NAME:My meads\r\n"));
    }
}
