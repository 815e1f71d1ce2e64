//! How a batch tasted as it aged: each tasting of its log at its age, with what changed since the age before.

use askama::Template;
use askama::filters::HtmlSafe;
use sqlx::PgConnection;

use super::model::Tasting;
use super::{paths, store};
use crate::batches::compare::tastings::{AtAge, Tasted, age_words, by_age, of};
use crate::batches::opened::Opened;
use crate::engine::log::entry::{Sense, Tasting as Said};
use crate::web::error::Error;
use crate::web::paths::Base;
use crate::web::units;
use crate::web::viewer::MemberId;
use crate::web::words::tasting::{RIGHT, lines, sense};

/// A tasting at its age.
struct Row {
    age: String,
    said: Vec<String>,
    changed: Vec<String>,
}

/// The part of a batch's page that tells how it tasted.
#[derive(Template)]
#[template(path = "tastings/_aged.html")]
pub struct AgedPart {
    rows: Vec<Row>,
    /// Tastings with others: words and address.
    shared: Vec<(String, String)>,
    together_url: String,
    triangle_url: String,
}

impl HtmlSafe for AgedPart {}

impl AgedPart {
    /// Of a batch, with the tastings at which it was poured as far as the viewer knows of them.
    ///
    /// # Errors
    /// When the database does not answer.
    pub async fn of(
        conn: &mut PgConnection,
        base: &Base,
        viewer: MemberId,
        opened: &Opened,
    ) -> Result<AgedPart, Error> {
        let id = &opened.batch.public_id;
        let shared = store::of_batch(conn, viewer, id).await?;
        let new = |kind: &str| {
            let path = format!("{}?kind={kind}&mead={}", paths::NEW.path, id.as_str());
            base.link(&path)
        };
        Ok(AgedPart {
            rows: rows(&of(opened)),
            shared: shared.iter().map(|one| link(base, opened, one)).collect(),
            together_url: new("shared"),
            triangle_url: new("triangle"),
        })
    }
}

fn link(base: &Base, opened: &Opened, tasting: &Tasting) -> (String, String) {
    let age = opened.batch.hours_at(tasting.created_at) / 24.0;
    let path = paths::TASTING.with(&[tasting.public_id.as_str()]);
    let state = match tasting.is_open() {
        true => ", open",
        false => "",
    };
    let words = format!("{}, at {}{state}", tasting.title, age_words(age));
    (words, base.link(&path))
}

fn rows(all: &[Tasted<'_>]) -> Vec<Row> {
    let ages = by_age(all);
    let before = std::iter::once(None).chain(ages.iter().map(Some));
    let rows = ages.iter().zip(before).flat_map(|(this, before)| {
        // Whoever tastes on one day changes nothing of it for the next.
        let mut changed = before.map_or(Vec::new(), |before| aged(before, this));
        this.said.iter().map(move |said| Row {
            age: age_words(this.age_days),
            said: match lines(said) {
                said if said.is_empty() => vec!["tasted".to_owned()],
                said => said,
            },
            changed: std::mem::take(&mut changed),
        })
    });
    rows.collect()
}

/// What is other than at the age before; of several tasters how much it is liked in their mean.
fn aged(before: &AtAge<'_>, now: &AtAge<'_>) -> Vec<String> {
    if let ([before], [now]) = (before.said.as_slice(), now.said.as_slice()) {
        return changes(before, now);
    }
    let Some((was, is)) = before.liked().zip(now.liked()) else {
        return Vec::new();
    };
    let told = |(mean, many): (f64, usize)| match many {
        1 => units::fixed(mean, 0),
        _ => units::fixed(mean, 1),
    };
    let by = match is.1 {
        1 => String::new(),
        many => format!(" in the mean of {many}"),
    };
    let (more, then) = (if is.0 > was.0 { "more" } else { "less" }, told(was));
    match told(is) {
        now if now == then || is.0 == was.0 => Vec::new(),
        now => vec![format!("liked {more}, {now} of 9{by} after {then}")],
    }
}

/// What is other than before, of what was said both times.
fn changes(before: &Said, now: &Said) -> Vec<String> {
    let liked = before.liked().zip(now.liked());
    let liked = liked.and_then(|(was, is)| match is - was {
        0 => None,
        1.. => Some(format!("liked more, {is} of 9 after {was}")),
        _ => Some(format!("liked less, {is} of 9 after {was}")),
    });
    let words = |value: i32| {
        let found = RIGHT.into_iter().find(|(right, _)| *right == value);
        found.map(|(_, words)| words)
    };
    let senses = Sense::ALL.iter().filter_map(|of| {
        let (was, is) = before
            .of(*of)
            .zip(now.of(*of))
            .filter(|(was, is)| was != is)?;
        let name = sense(*of);
        Some(format!("{name} {}, before {}", words(is)?, words(was)?))
    });
    liked.into_iter().chain(senses).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_changed_is_told_of_what_was_said_both_times() {
        let young = Said {
            score: Some(2),
            warmth: Some(2),
            honey: Some(-1),
            fruit: Some(1),
            ..Said::default()
        };
        let old = Said {
            liking: Some(7),
            warmth: Some(0),
            honey: Some(-1),
            ..Said::default()
        };
        assert_eq!(
            changes(&young, &old),
            [
                "liked more, 7 of 9 after 3",
                "warmth just right, before much too much"
            ]
        );
        assert_eq!(changes(&old, &young)[0], "liked less, 3 of 9 after 7");
        let all = [
            Tasted {
                age_days: 60.0,
                tasting: &young,
            },
            Tasted {
                age_days: 200.0,
                tasting: &old,
            },
        ];
        let rows = rows(&all);
        assert!(rows[0].changed.is_empty());
        assert_eq!(
            (rows[1].age.as_str(), rows[1].changed.len()),
            ("7 months", 2)
        );
    }

    #[test]
    fn tasters_of_one_day_are_not_compared_with_each_other() {
        let [five, six, nine] = [5, 6, 9].map(|liking| Said {
            liking: Some(liking),
            ..Said::default()
        });
        let at = |age_days, tasting| Tasted { age_days, tasting };
        let told = rows(&[
            at(60.0, &five),
            at(300.0, &nine),
            at(300.1, &six),
            at(700.0, &five),
        ]);
        let changed: Vec<&[String]> = told.iter().map(|row| row.changed.as_slice()).collect();
        let none: &[String] = &[];
        assert_eq!(
            changed,
            [
                none,
                &["liked more, 7.5 of 9 in the mean of 2 after 5".to_owned()],
                none,
                &["liked less, 5 of 9 after 7.5".to_owned()],
            ]
        );
    }
}
