//! A meeting for a calendar: iCalendar (RFC 5545).

use chrono::{DateTime, TimeDelta, Utc};

use super::model::Meeting;

/// How long an evening is taken to be (our judgement, no published source).
const HOURS: i64 = 3;

/// The file of one meeting; `url` is the address of its page, `host` the name of the site.
pub fn file(meeting: &Meeting, url: &str, host: &str, now: DateTime<Utc>) -> String {
    let stamp = |at: DateTime<Utc>| at.format("%Y%m%dT%H%M%SZ").to_string();
    let said = &meeting.said;
    let lines = [
        "BEGIN:VCALENDAR".to_owned(),
        "VERSION:2.0".to_owned(),
        "PRODID:-//Mustwright//Meetings//EN".to_owned(),
        "BEGIN:VEVENT".to_owned(),
        format!("UID:{}@{host}", meeting.public_id),
        format!("DTSTAMP:{}", stamp(now)),
        format!("SEQUENCE:{}", meeting.version),
        format!("DTSTART:{}", stamp(said.starts_at)),
        format!("DTEND:{}", stamp(said.starts_at + TimeDelta::hours(HOURS))),
        format!("SUMMARY:{}", escaped(&said.title)),
        format!("LOCATION:{}", escaped(&said.place)),
        format!("DESCRIPTION:{}", escaped(&said.about)),
        format!("URL:{url}"),
        format!(
            "STATUS:{}",
            if meeting.cancelled {
                "CANCELLED"
            } else {
                "CONFIRMED"
            }
        ),
        "END:VEVENT".to_owned(),
        "END:VCALENDAR".to_owned(),
    ];
    lines.iter().map(|line| folded(line)).collect()
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
        if bytes + c.len_utf8() > 74 {
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
    use crate::meetings::model::Said;
    use crate::web::viewer::MemberId;

    #[test]
    fn text_is_escaped_and_long_lines_are_folded() {
        let at: DateTime<Utc> = "2026-12-12T18:30:00Z".parse().unwrap();
        let meeting = Meeting {
            public_id: "a".repeat(20),
            opener: MemberId(1),
            opener_name: "Ada".to_owned(),
            said: Said {
                title: "Tasting; dry, first\\last".to_owned(),
                starts_at: at,
                place: "Hall".to_owned(),
                about: format!("One\nEND:VEVENT\n{}", "é".repeat(100)),
                notes: String::new(),
            },
            cancelled: false,
            version: 2,
            created_at: at,
        };
        let file = file(
            &meeting,
            "https://mead.example/club/meetings/a",
            "mead.example",
            at,
        );
        assert!(file.contains("DTSTART:20261212T183000Z\r\n"));
        assert!(file.contains("SUMMARY:Tasting\\; dry\\, first\\\\last\r\n"));
        assert_eq!(file.matches("\r\nEND:VEVENT\r\n").count(), 1, "{file}");
        assert!(file.split("\r\n").all(|line| line.len() <= 75), "{file}");
        let unfolded = file.replace("\r\n ", "");
        assert!(unfolded.contains(&"é".repeat(100)));
    }
}
