//! How the batches of the scenario and their logs are made, by the same functions as any other.

use std::collections::HashMap;

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::PgConnection;

use super::made::{BATCHES, SERIES, Told};
use super::people::MAREN;
use super::{broken, guests};
use crate::app::App;
use crate::batches::model::{Batch, BatchId, Ending, NewBatch, NewEntry};
use crate::batches::series::model::Said;
use crate::batches::series::store as series;
use crate::batches::{opened, store};
use crate::engine::formulation::FeedAt;
use crate::engine::log::Deed;
use crate::engine::log::entry::{
    Bottles, Feed, Glass, How, Mixed, Note, Package, Pitch, Rack, Reading, Stock, Tasting, Trial,
};
use crate::engine::log::own::Own;
use crate::engine::{self, Settings};
use crate::recipes;
use crate::recipes::forms::check::stored;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// Starts all of them and writes their logs.
pub async fn furnish(
    app: &App,
    ids: &HashMap<&'static str, MemberId>,
    made: &HashMap<&str, PublicId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut conn = app.pool.acquire().await?;
    let mut batches = HashMap::new();
    for told in BATCHES {
        let owner = *ids.get(told.by).ok_or_else(|| broken(told.by))?;
        let recipe = made.get(told.recipe).ok_or_else(|| broken(told.recipe))?;
        let id = make(&mut conn, told, owner, recipe, now).await?;
        batches.insert(told.name, id);
    }
    let maren = *ids.get(MAREN).ok_or_else(|| broken(MAREN))?;
    refine(&mut conn, maren, &batches, now).await
}

/// The series in which Maren refines hers.
async fn refine(
    conn: &mut PgConnection,
    owner: MemberId,
    batches: &HashMap<&'static str, (BatchId, PublicId)>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let public_id = PublicId::random().map_err(Error::unexpected)?;
    let about = (SERIES.name, SERIES.aim);
    let begun_at = now - TimeDelta::days(SERIES.days_ago);
    let series = series::make(conn, owner, &public_id, about, begun_at).await?;
    for (name, [question, change, expected, decision]) in SERIES.steps {
        let (batch, public_id) = batches.get(name).ok_or_else(|| broken(name))?;
        let said = Said {
            question: (*question).to_owned(),
            change: (*change).to_owned(),
            expected: (*expected).to_owned(),
            decision: (*decision).to_owned(),
        };
        series::put(conn, series, *batch, &said).await?;
        series::save_step(conn, series, (public_id, 1), &said, now).await?;
    }
    Ok(())
}

async fn make(
    conn: &mut PgConnection,
    told: &Told,
    owner: MemberId,
    recipe: &PublicId,
    now: DateTime<Utc>,
) -> Result<(BatchId, PublicId), Error> {
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
        own: Own::default(),
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
    Ok((id, public_id))
}

fn at(batch: &Batch, hours: f64, now: DateTime<Utc>) -> DateTime<Utc> {
    batch.at_hours(hours).map_or(now, |at| at.min(now))
}

/// Four glasses with more and more acid, of which a middle one was liked.
fn glasses() -> Trial {
    let glass = |code: &str, stock_ml: f64| Glass {
        code: code.to_owned(),
        stock_ml,
    };
    Trial {
        stock: Stock::Tartaric,
        name: "tartaric acid, 10 g in 100 ml".to_owned(),
        composition: None,
        sample_ml: 50.0,
        glasses: vec![
            glass("417", 0.0),
            glass("268", 0.2),
            glass("905", 0.4),
            glass("331", 0.6),
        ],
        winner: Some("268".to_owned()),
    }
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
                degassed: Some(true),
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
                    count: of.count.saturating_sub(told.fewer_bottles),
                })
                .into_iter()
                .collect(),
            how: Some(How::Still),
            ..Package::default()
        };
        all.push((days * 24.0, Deed::Package(package)));
    }
    all.extend(told.tried.map(|days| (days * 24.0, Deed::Trial(glasses()))));
    for (days, liking, text) in told.tasted {
        let tasting = Tasting {
            text: Some((*text).to_owned()),
            liking: Some(*liking),
            ..Tasting::default()
        };
        all.push((days * 24.0, Deed::Tasting(tasting)));
    }
    if let Some(days) = told.poured {
        let said = guests::said().into_iter();
        all.extend(said.map(|tasting| (days * 24.0, Deed::Tasting(tasting))));
    }
    all
}
