//! From news to the text of a feed: permanent ids, true times, whole addresses, and nothing that a reader could run.

use askama::Template;
use atom_syndication::{Content, Entry, Feed, FixedDateTime, Generator, Link, Person, Text};
use chrono::{DateTime, Utc};

use super::model::News;
use crate::recipes::numbers::strength;
use crate::web::Error;
use crate::web::site::Site;
use crate::web::units::{self, Units};

/// What a feed is called and where it lives.
pub(super) struct About {
    pub title: String,
    /// The last part of its permanent id.
    pub name: &'static str,
    /// Its own address; none where that is a secret.
    pub own_url: Option<String>,
}

#[derive(Template)]
#[template(path = "feeds/entry.html")]
struct EntryText<'a> {
    sentence: String,
    number: i32,
    note: &'a str,
}

/// The text of a feed. `at` gives the address of an entry's page, where its readers may open one.
pub(super) fn write(
    site: &Site,
    about: &About,
    news: &[News],
    units: Units,
    at: impl Fn(&News) -> Option<String>,
) -> Result<String, Error> {
    let entries = news
        .iter()
        .map(|one| entry(site, one, units, at(one)))
        .collect::<Result<Vec<_>, _>>()?;
    let last = news.iter().map(|one| one.updated_at).max();
    let mut links = vec![link("alternate", "text/html", site.address("/"))];
    if let Some(own) = &about.own_url {
        links.push(link("self", "application/atom+xml", own.clone()));
    }
    let feed = Feed {
        title: Text::plain(plain(&about.title)),
        id: format!("tag:{},2026:feeds/{}", authority(site), about.name),
        updated: time(last.unwrap_or(DateTime::UNIX_EPOCH)),
        authors: vec![person(&site.club_name())],
        generator: Some(Generator {
            value: "Mustwright".to_owned(),
            ..Generator::default()
        }),
        links,
        entries,
        lang: Some("en".to_owned()),
        ..Feed::default()
    };
    Ok(feed.to_string())
}

fn entry(site: &Site, news: &News, units: Units, at: Option<String>) -> Result<Entry, Error> {
    let note = plain(&news.note);
    let text = EntryText {
        sentence: plain(&sentence(news, units)),
        number: news.number,
        note: &note,
    };
    let text = text.render().map_err(Error::unexpected)?;
    Ok(Entry {
        title: Text::plain(plain(&news.title)),
        // The day on which the recipe began is part of the name, as the rules of tag addresses (RFC 4151) want it.
        id: format!(
            "tag:{},{}:recipes/{}",
            authority(site),
            news.created_at.format("%Y-%m-%d"),
            news.public_id
        ),
        updated: time(news.updated_at),
        authors: news.maker.iter().map(|name| person(name)).collect(),
        links: at
            .into_iter()
            .map(|at| link("alternate", "text/html", at))
            .collect(),
        content: Some(Content {
            value: Some(text),
            content_type: Some("html".to_owned()),
            ..Content::default()
        }),
        ..Entry::default()
    })
}

/// "Dry mead of wildflower honey, 19 L: 12 %, 1.091 to 1.000."
fn sentence(news: &News, units: Units) -> String {
    let sweetness = news.sweetness.as_deref().unwrap_or_default();
    let mut words = match news.honeys.is_empty() {
        true => format!("{sweetness} mead"),
        false => format!("{sweetness} mead of {}", news.honeys.join(", ")),
    };
    if let Some(litres) = news.volume_l {
        words = format!("{words}, {}", units::volume(litres, units));
    }
    if let (Some(abv), Some(og), Some(fg)) = (news.abv_percent, news.og, news.fg) {
        words = format!(
            "{words}: {}, {} to {}",
            strength(abv),
            units::gravity(og),
            units::gravity(fg)
        );
    }
    let mut letters = words.trim().chars();
    let words: String = letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default();
    format!("{words}.")
}

/// The host of the club's address: whose names these are.
fn authority(site: &Site) -> String {
    let host = site.origin().split("://").nth(1).unwrap_or_default();
    let host = match host.starts_with('[') {
        // An address of version 6 is no name that a tag address may have.
        true => "localhost",
        false => host.split(':').next().unwrap_or_default(),
    };
    host.to_owned()
}

fn person(name: &str) -> Person {
    Person {
        name: plain(name),
        ..Person::default()
    }
}

fn link(rel: &str, kind: &str, href: String) -> Link {
    Link {
        href,
        rel: rel.to_owned(),
        mime_type: Some(kind.to_owned()),
        ..Link::default()
    }
}

fn time(at: DateTime<Utc>) -> FixedDateTime {
    at.fixed_offset()
}

/// Text without the characters that XML 1.0 has no place for.
fn plain(text: &str) -> String {
    let has_place = |c: &char| matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    text.chars().filter(has_place).collect()
}
