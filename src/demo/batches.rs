//! What the invented members have going, what came of what they made before, and what their logs say of it.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::PgConnection;

use super::broken;
use super::people::{DESMOND, INES, MAREN, PIA, TOBIAS};
use crate::app::App;
use crate::batches::model::{Batch, Ending, NewBatch, NewEntry};
use crate::batches::{opened, store};
use crate::engine::formulation::FeedAt;
use crate::engine::log::Deed;
use crate::engine::log::entry::{
    Bottles, Feed, How, Mixed, Note, Package, Pitch, Rack, Reading, Tasting,
};
use crate::engine::{self, Settings};
use crate::recipes;
use crate::recipes::forms::check::stored;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::policy::Visibility;
use crate::web::viewer::MemberId;

/// One batch: whose, of which recipe, how long ago, and how it goes.
struct Told {
    by: &'static str,
    name: &'static str,
    recipe: &'static str,
    days_ago: i64,
    visibility: Visibility,
    must_c: f64,
    /// Days after the mixing → the part of its fall from OG to the natural FG that was gone.
    fall: &'static [(f64, f64)],
    /// How many feeds of the plan were given.
    feeds: usize,
    ph: Option<(f64, f64)>,
    notes: &'static [(f64, &'static str)],
    /// Days of rackings, then of the bottling.
    racked: &'static [f64],
    bottled: Option<f64>,
    /// Days, stars, and what was said.
    tasted: &'static [(f64, i32, &'static str)],
}

const NOTHING: Told = Told {
    by: MAREN,
    name: "",
    recipe: "",
    days_ago: 0,
    visibility: Visibility::Club,
    must_c: 19.0,
    fall: &[],
    feeds: 0,
    ph: None,
    notes: &[],
    racked: &[],
    bottled: None,
    tasted: &[],
};

const BATCHES: &[Told] = &[
    Told {
        name: "Plain and patient, this autumn",
        recipe: "Plain and patient",
        days_ago: 9,
        fall: &[
            (0.1, 0.0),
            (1.9, 0.09),
            (3.8, 0.27),
            (5.9, 0.47),
            (8.2, 0.66),
        ],
        feeds: 4,
        ph: Some((3.8, 3.4)),
        notes: &[(
            2.0,
            "Foamed up to the airlock when stirred; it smells of pears.",
        )],
        ..NOTHING
    },
    Told {
        name: "Plain and patient, last winter",
        recipe: "Plain and patient",
        days_ago: 330,
        must_c: 18.0,
        fall: &[
            (0.1, 0.0),
            (3.0, 0.18),
            (6.0, 0.45),
            (10.0, 0.74),
            (16.0, 0.93),
            (24.0, 0.995),
            (38.0, 1.0),
        ],
        feeds: 4,
        racked: &[40.0, 110.0],
        bottled: Some(160.0),
        tasted: &[
            (112.0, 3, "Clear and a little sharp. The honey hides."),
            (190.0, 4, "The honey is back. Dry, long, worth the wait."),
            (300.0, 5, "The one for guests."),
        ],
        ..NOTHING
    },
    Told {
        by: TOBIAS,
        name: "My first carboy",
        recipe: "My first carboy",
        days_ago: 110,
        must_c: 21.0,
        fall: &[
            (0.2, 0.0),
            (2.0, 0.14),
            (5.0, 0.52),
            (9.0, 0.86),
            (15.0, 0.99),
            (30.0, 1.0),
        ],
        feeds: 3,
        racked: &[32.0],
        bottled: Some(88.0),
        tasted: &[(100.0, 3, "It is mead! Hot, though. Maren says: wait.")],
        ..NOTHING
    },
    Told {
        by: TOBIAS,
        name: "Barley in the cold room",
        recipe: "Mostly barley",
        days_ago: 6,
        visibility: Visibility::Private,
        must_c: 13.0,
        fall: &[(0.1, 0.0), (3.0, 0.02), (5.2, 0.035)],
        notes: &[(5.2, "Nothing much to hear. Is it asleep?")],
        ..NOTHING
    },
    Told {
        by: PIA,
        name: "For the Thursday after",
        recipe: "Thursday's small mead",
        days_ago: 1,
        fall: &[(0.1, 0.0)],
        feeds: 1,
        ..NOTHING
    },
    Told {
        by: INES,
        name: "Hedge, the wet year",
        recipe: "Hedge in August",
        days_ago: 75,
        must_c: 20.0,
        fall: &[
            (0.1, 0.0),
            (2.0, 0.2),
            (4.0, 0.5),
            (8.0, 0.9),
            (14.0, 0.99),
            (29.0, 1.0),
        ],
        feeds: 4,
        racked: &[30.0],
        tasted: &[(60.0, 4, "Blackberry first, honey after.")],
        ..NOTHING
    },
    Told {
        by: DESMOND,
        name: "Half and half in the steel",
        recipe: "Half and half",
        days_ago: 20,
        must_c: 22.0,
        fall: &[
            (0.1, 0.0),
            (1.0, 0.1),
            (3.0, 0.45),
            (6.0, 0.83),
            (12.0, 0.97),
            (18.0, 0.99),
        ],
        feeds: 2,
        ..NOTHING
    },
];

/// Starts all of them and writes their logs.
pub async fn furnish(
    app: &App,
    ids: &HashMap<&'static str, MemberId>,
    made: &HashMap<&str, PublicId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut conn = app.pool.acquire().await?;
    for told in BATCHES {
        let owner = *ids.get(told.by).ok_or_else(|| broken(told.by))?;
        let recipe = made.get(told.recipe).ok_or_else(|| broken(told.recipe))?;
        make(&mut conn, told, owner, recipe, now).await?;
    }
    Ok(())
}

async fn make(
    conn: &mut PgConnection,
    told: &Told,
    owner: MemberId,
    recipe: &PublicId,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let found = recipes::store::find_recipe(conn, Some(owner), recipe).await?;
    let number = found.ok_or_else(|| broken(told.recipe))?.version;
    let revision = recipes::store::find_revision(conn, Some(owner), recipe, number).await?;
    let document = revision.ok_or_else(|| broken(told.recipe))?.document;
    let read = stored(&document).ok_or_else(|| broken(told.recipe))?;
    let numbers = engine::formulate(&read, &Settings::default());
    let began_at = now - TimeDelta::days(told.days_ago);
    let public_id = PublicId::random().map_err(Error::unexpected)?;
    let new = NewBatch {
        public_id: public_id.clone(),
        owner,
        name: told.name.to_owned(),
        visibility: told.visibility,
        revision: Some((recipe.clone(), number)),
        parted_from: None,
        supposed: false,
        document,
        formulation: serde_json::to_value(&numbers).map_err(Error::unexpected)?,
        vessel: None,
        vessel_name: String::new(),
        began_at,
    };
    let id = store::start(conn, &new, began_at).await?;
    let batch = store::find(conn, Some(owner), &public_id).await?;
    let batch = batch.ok_or_else(|| broken(told.name))?;
    let mut entries = deeds(told, &read, &numbers);
    entries.sort_by(|one, other| one.0.total_cmp(&other.0));
    for (hours, deed) in entries {
        let at = at(&batch, hours, now);
        store::add(conn, id, &NewEntry::of(deed, at, owner), at).await?;
    }
    if let Some(days) = told.bottled {
        let ended = at(&batch, days * 24.0, now);
        store::end(conn, id, Some((ended, Ending::Bottled))).await?;
    }
    let opened = opened::open(conn, Some(owner), &Settings::default(), public_id.as_str()).await?;
    opened::keep(conn, &opened).await?;
    Ok(())
}

fn at(batch: &Batch, hours: f64, now: DateTime<Utc>) -> DateTime<Utc> {
    batch.at_hours(hours).map_or(now, |at| at.min(now))
}

/// What the log holds, by hours after the mixing.
fn deeds(told: &Told, recipe: &engine::Recipe, numbers: &engine::Formulation) -> Vec<(f64, Deed)> {
    let mut all = vec![(0.0, Deed::Mixed(Mixed::default()))];
    let pitch = Pitch {
        name: recipe.yeasts.first().map(|yeast| yeast.name.clone()),
        yeast_g: numbers.pitching.as_ref().map(|pitch| pitch.yeast_g),
        ..Pitch::default()
    };
    all.push((1.0, Deed::Pitch(pitch)));
    if let (Some(must), Some(finished)) = (&numbers.must, &numbers.finished) {
        let readings = told.fall.iter().map(|(days, part)| {
            let sg = must.og - (must.og - finished.natural_fg) * part;
            // As one reads it off a hydrometer.
            let sg = (sg * 1000.0).round() / 1000.0;
            let reading = Reading {
                sg: Some(sg),
                read_sg: Some(sg),
                must_temperature_c: Some(told.must_c),
                ph: told.ph.filter(|(day, _)| day == days).map(|(_, ph)| ph),
                ..Reading::default()
            };
            (days * 24.0, Deed::Reading(reading))
        });
        all.extend(readings);
    }
    let feeds = numbers.feeding.iter().flat_map(|plan| &plan.additions);
    let given = feeds.take(told.feeds).filter_map(|feed| {
        let is = recipe.nutrients.get(feed.index)?;
        let hours = match feed.at {
            FeedAt::Hours(hours) => hours + 1.0,
            FeedAt::Gravity(_) => 84.0,
        };
        let feed = Feed {
            name: feed.nutrient.clone(),
            grams: (feed.grams * 10.0).round() / 10.0,
            ammonium_yan_mg_per_g: Some(is.ammonium_yan_mg_per_g),
            organic_yan_mg_per_g: Some(is.organic_yan_mg_per_g),
            cost: None,
        };
        let days_ago = told.days_ago as f64;
        (hours < days_ago * 24.0).then_some((hours, Deed::Feed(feed)))
    });
    all.extend(given);
    for (days, text) in told.notes {
        let text = Some((*text).to_owned());
        all.push((days * 24.0 + 0.1, Deed::Note(Note { text })));
    }
    for days in told.racked {
        all.push((days * 24.0, Deed::Rack(Rack::default())));
    }
    if let (Some(days), Some(package)) = (told.bottled, &numbers.package) {
        let bottles = package.bottles.iter().find(|of| of.size_l == 0.75);
        let package = Package {
            bottles: bottles
                .map(|of| Bottles {
                    size_l: of.size_l,
                    count: of.count,
                })
                .into_iter()
                .collect(),
            how: Some(How::Still),
            ..Package::default()
        };
        all.push((days * 24.0, Deed::Package(package)));
    }
    for (days, score, text) in told.tasted {
        let tasting = Tasting {
            text: Some((*text).to_owned()),
            score: Some(*score),
            ..Tasting::default()
        };
        all.push((days * 24.0, Deed::Tasting(tasting)));
    }
    all
}
