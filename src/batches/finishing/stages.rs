//! The last third in its order, and where each part of it stands by the log.

use super::finished::{Reader, read_again};
use super::shared::address;
use super::{known, verdict};
use crate::app::App;
use crate::batches::opened::Opened;
use crate::batches::{bottling, paths};
use crate::engine::log::Deed;
use crate::engine::log::entry::{Addition, What, Why};
use crate::web::dates::day;
use crate::web::paths::Route;
use crate::web::units;

/// A part of finishing.
pub struct Stage {
    pub name: &'static str,
    /// What it is for, in a sentence.
    pub about: &'static str,
    /// Where it stands.
    pub stands: String,
    pub is_done: bool,
    /// What leads on: words and address.
    pub links: Vec<(&'static str, String)>,
}

/// All of them, in order.
pub fn all(app: &App, opened: &Opened, reader: Reader) -> Vec<Stage> {
    let at = |route: Route| address(app, opened, route);
    vec![
        finished(app, opened, reader, at(paths::FINISHED)),
        cleared(app, opened, reader),
        stabilised(opened, reader, at(paths::STABILISE)),
        sweetened(opened, reader, at(paths::SWEETEN)),
        soured(opened, reader, [at(paths::SOUR), at(paths::TRIALS)]),
        flavoured(opened, reader, at(paths::FLAVOUR)),
        filled(
            opened,
            reader,
            [at(bottling::paths::BOTTLING), at(paths::PLAN)],
        ),
    ]
}

/// The last entry that is so, as a day.
fn last(opened: &Opened, reader: Reader, is: impl Fn(&Deed) -> bool) -> Option<String> {
    let found = opened.entries.iter().rev().find(|entry| is(&entry.deed))?;
    let at = opened.batch.at_hours(found.hours)?;
    Some(day(at, reader.zone))
}

fn last_added(opened: &Opened, reader: Reader, is: impl Fn(&Addition) -> bool) -> Option<String> {
    last(
        opened,
        reader,
        |deed| matches!(deed, Deed::Addition(added) if is(added)),
    )
}

fn finished(app: &App, opened: &Opened, reader: Reader, url: String) -> Stage {
    let now = app.clock.now();
    let found = verdict(opened, opened.batch.hours_at(now));
    let is_done = found.is_finished();
    Stage {
        name: "Is it finished?",
        about: "Two equal readings, two weeks apart, without gas and warm enough.",
        stands: match is_done {
            true => "Yes, by its readings.".to_owned(),
            false => format!("Not known yet. {}", read_again(opened, &found, now, reader))
                .trim_end()
                .to_owned(),
        },
        is_done,
        links: match is_done {
            true => vec![("See the readings", url)],
            false => vec![("See what is missing", url)],
        },
    }
}

fn cleared(app: &App, opened: &Opened, reader: Reader) -> Stage {
    let racked = last(opened, reader, |deed| matches!(deed, Deed::Rack(_)));
    let deed = |kind: &str| {
        let id = opened.batch.public_id.as_str();
        app.site.base().link(&paths::DEED.with(&[id, kind]))
    };
    Stage {
        name: "Clear and rack",
        about: "Cold and time clear most meads; then the clear mead goes off its lees, without splashing, into a vessel that it fills.",
        is_done: racked.is_some(),
        stands: racked.map_or("Not racked yet.".to_owned(), |on| {
            format!("Racked on {on}.")
        }),
        links: vec![("Write a racking down", deed("rack"))],
    }
}

fn stabilised(opened: &Opened, reader: Reader, url: String) -> Stage {
    let on = last_added(opened, reader, |added| {
        added.what == What::Sorbate || added.why == Some(Why::Stabilise)
    });
    let sulfite = last_added(opened, reader, |added| added.what == What::Sulfite);
    let is_done = opened.state.stabilised;
    let stands = match (is_done, on, sulfite) {
        (true, Some(on), _) => format!("Stabilised on {on}."),
        (true, None, _) => "Stabilised.".to_owned(),
        (false, _, Some(on)) => format!("Sulfite on {on}; no sorbate."),
        (false, _, None) if known::is_sweet(opened) => {
            "To be done before it is sweetened.".to_owned()
        }
        (false, _, None) => "Only where something sweet is to stay in it.".to_owned(),
    };
    Stage {
        name: "Stabilise",
        about: "Sulfite, then sorbate, so that yeast leaves the sugar alone.",
        stands,
        is_done,
        links: vec![("Stabilise it", url)],
    }
}

fn sweetened(opened: &Opened, reader: Reader, url: String) -> Stage {
    let on = last_added(opened, reader, |added| added.why == Some(Why::Sweeten));
    let state = &opened.state;
    let now = format!(
        "{} now, {} of sugar.",
        units::gravity(state.sg),
        units::grams_per_litre(state.sugar_g_per_l)
    );
    Stage {
        name: "Sweeten",
        about: "To a gravity, to so much sugar, or to how sweet it tastes against its acid.",
        is_done: on.is_some(),
        stands: match on {
            Some(on) => format!("Sweetened on {on}. {now}"),
            None => now,
        },
        links: vec![("Sweeten it", url)],
    }
}

fn soured(opened: &Opened, reader: Reader, [acid, trials]: [String; 2]) -> Stage {
    let on = last_added(opened, reader, |added| {
        matches!(added.what, What::Acid | What::Neutraliser | What::Tannin)
    });
    let measured = known::measured_acid(opened);
    Stage {
        name: "Acid and tannin",
        about: "What makes it lively, and what gives it grip. Best tried in glasses first.",
        is_done: on.is_some(),
        stands: match (on, measured) {
            (Some(on), _) => format!("Put right on {on}."),
            (None, Some((acid, _))) => {
                format!("Acidity as measured: {}.", units::grams_per_litre(acid))
            }
            (None, None) => "Nobody has measured its acidity yet.".to_owned(),
        },
        links: vec![("Acid and tannin", acid), ("Try it in glasses", trials)],
    }
}

fn flavoured(opened: &Opened, reader: Reader, url: String) -> Stage {
    let is = |added: &Addition| matches!(added.what, What::Fining | What::Wood | What::Spice);
    let on = last_added(opened, reader, is);
    Stage {
        name: "Fining, wood, spice",
        about: "What clears it, and what gives it taste for days or weeks. Begin with little.",
        is_done: on.is_some(),
        stands: on.map_or("Nothing yet; nothing is needed.".to_owned(), |on| {
            format!("The last went in on {on}.")
        }),
        links: vec![("Clearing and taste", url)],
    }
}

fn filled(opened: &Opened, reader: Reader, [fill, plan]: [String; 2]) -> Stage {
    let on = last(opened, reader, |deed| matches!(deed, Deed::Package(_)));
    Stage {
        name: "Carbonate and bottle",
        about: "Once it has stood for 14 days under its airlock after the last sugar, and reads as before.",
        is_done: on.is_some(),
        stands: on.map_or("Not filled yet.".to_owned(), |on| {
            format!("Filled on {on}.")
        }),
        links: vec![("Fill it", fill), ("Its plan", plan)],
    }
}
