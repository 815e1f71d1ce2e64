//! What the invented club has besides recipes: cupboards, a honey shelf, an order that is open, a meeting ahead.

use std::collections::HashMap;

use chrono::{DateTime, Days, NaiveTime, TimeDelta, Utc};

use super::broken;
use super::people::{DESMOND, INES, MAREN, OSKAR, PIA, TOBIAS};
use crate::app::App;
use crate::cupboard::amount::{Amount, Measure, Price};
use crate::cupboard::model::Said as Thing;
use crate::cupboard::store as cupboard;
use crate::engine::Settings;
use crate::meetings::brought::of_revision;
use crate::meetings::model::{Brought, Coming, Said as Met};
use crate::meetings::store as meetings;
use crate::orders::model::{Offer, Said as Ordered, Want};
use crate::orders::store as orders;
use crate::recipes::public_id::PublicId;
use crate::recipes::store as recipes;
use crate::shelf::model::Said as Label;
use crate::shelf::store as shelf;
use crate::web::error::Error;
use crate::web::random;
use crate::web::viewer::MemberId;

type Ids = HashMap<&'static str, MemberId>;

fn id(ids: &Ids, name: &str) -> Result<MemberId, Error> {
    ids.get(name).copied().ok_or_else(|| broken(name))
}

/// Puts all of it there.
pub(super) async fn furnish(
    app: &App,
    ids: &Ids,
    made: &HashMap<&str, PublicId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    cupboards(app, ids, now).await?;
    jars(app, ids, now).await?;
    order(app, ids, made, now).await?;
    meeting(app, ids, made, now).await
}

async fn cupboards(app: &App, ids: &Ids, now: DateTime<Utc>) -> Result<(), Error> {
    let today = now.date_naive();
    let ahead = |days| today.checked_add_days(Days::new(days));
    let before = |days| today.checked_sub_days(Days::new(days));
    let things = [
        (
            TOBIAS,
            Some("honey-wildflower"),
            "Wildflower",
            3.4,
            Measure::Kg,
            Some((2850, 3.0)),
            None,
        ),
        (
            TOBIAS,
            Some("feed-mixed"),
            "Mixed nutrient",
            0.08,
            Measure::Kg,
            Some((640, 0.1)),
            ahead(400),
        ),
        (
            TOBIAS,
            Some("yeast-white-floral"),
            "White wine yeast, from the tin",
            2.0,
            Measure::Pieces,
            Some((260, 1.0)),
            ahead(20),
        ),
        (
            TOBIAS,
            None,
            "Elderberries in the freezer",
            1.8,
            Measure::Kg,
            None,
            None,
        ),
        (
            MAREN,
            Some("honey-heather"),
            "Heather",
            5.0,
            Measure::Kg,
            Some((1400, 1.0)),
            None,
        ),
        (
            MAREN,
            None,
            "Apple juice of the lower orchard",
            8.0,
            Measure::Litres,
            Some((150, 1.0)),
            before(3),
        ),
    ];
    let mut tx = app.pool.begin().await?;
    for (who, key, name, value, measure, paid, best_before) in things {
        let amount = |value| Amount { value, measure };
        let said = Thing {
            key: key.map(str::to_owned),
            name: name.to_owned(),
            left: amount(value),
            price: paid.map(|(paid, much)| Price {
                paid,
                amount: amount(much),
            }),
            bought_on: before(30),
            opened_on: None,
            best_before,
            note: String::new(),
        };
        let at = now - TimeDelta::days(30);
        cupboard::put(&mut tx, id(ids, who)?, &random::public_id()?, &said, at)
            .await
            .map_err(Error::unexpected)?;
    }
    tx.commit().await?;
    Ok(())
}

async fn jars(app: &App, ids: &Ids, now: DateTime<Utc>) -> Result<(), Error> {
    let jars = [
        (
            MAREN,
            true,
            "Boathouse lime",
            Some("honey-linden"),
            "the club’s two hives",
            "behind the boathouse",
            Some(0.178),
            "extra light amber",
            "Mint, cut grass, a little menthol.",
            None,
            11.0,
        ),
        (
            OSKAR,
            false,
            "Moor heather",
            Some("honey-heather"),
            "Oskar’s neighbour",
            "the high moor",
            Some(0.207),
            "amber",
            "Warm, bitter, like toffee held over smoke.",
            Some(1350),
            4.5,
        ),
        (
            INES,
            false,
            "Chestnut of the hill",
            Some("honey-chestnut"),
            "an uncle",
            "above the vineyard",
            None,
            "dark amber",
            "Leather, and something of a stable.",
            Some(1100),
            2.0,
        ),
    ];
    let mut tx = app.pool.begin().await?;
    for (who, of_club, name, varietal, keeper, place, water, colour, smell, price, kg) in jars {
        let said = Label {
            name: name.to_owned(),
            varietal: varietal.map(str::to_owned),
            of_club,
            shared: true,
            bee_keeper: keeper.to_owned(),
            harvest_year: Some(chrono::Datelike::year(&now) - 1),
            place: place.to_owned(),
            water,
            colour: Some(colour.to_owned()),
            smell: smell.to_owned(),
            taste: String::new(),
            note: String::new(),
            price_per_kg: price,
        };
        let public_id = random::public_id()?;
        let owner = id(ids, who)?;
        let put_at = now - TimeDelta::days(60);
        shelf::put(&mut tx, &public_id, owner, &said, kg, put_at).await?;
        let taken_at = now - TimeDelta::days(12);
        let taker = id(ids, PIA)?;
        shelf::take(
            &mut tx,
            &public_id,
            taker,
            0.6,
            "a gallon to try it",
            taken_at,
        )
        .await?;
    }
    tx.commit().await?;
    Ok(())
}

async fn order(
    app: &App,
    ids: &Ids,
    made: &HashMap<&str, PublicId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut tx = app.pool.begin().await?;
    let opener = id(ids, MAREN)?;
    let order = random::public_id()?;
    let begun = now - TimeDelta::days(4);
    let said = Ordered {
        title: "Winter order from the valley".to_owned(),
        terms: "From the apiary at the weir, filled in buckets. Fetched by Desmond’s van; pay Maren in cash or by transfer.".to_owned(),
        delivery: 1800,
        pay_until: (now + TimeDelta::days(16)).date_naive().into(),
        closes_at: now + TimeDelta::days(9),
    };
    orders::make(&mut tx, &order, opener, &said, begun).await?;
    let offers = [
        (
            Some("honey-wildflower"),
            "Wildflower of the valley",
            780,
            12.5,
        ),
        (Some("honey-buckwheat"), "Buckwheat", 990, 5.0),
    ];
    let mut honeys = Vec::new();
    for (key, name, price_per_kg, pack_kg) in offers {
        let honey = random::public_id()?;
        let offer = Offer {
            key: key.map(str::to_owned),
            name: name.to_owned(),
            price_per_kg,
            pack_kg,
        };
        orders::offer(&mut tx, (&order, opener), &honey, &offer, begun).await?;
        honeys.push(honey);
    }
    let planned = |title: &str, litres: f64| Some((made.get(title)?.to_string(), 1, litres));
    let wants = [
        (TOBIAS, 0, 6.2, planned("My first carboy", 20.0)),
        (DESMOND, 0, 11.3, None),
        (INES, 1, 4.6, None),
        (PIA, 0, 6.8, None),
    ];
    for (who, honey, kg, planned) in wants {
        let want = Want {
            honey: honeys.get(honey).cloned().unwrap_or_default(),
            kg,
            planned,
        };
        let line = random::public_id()?;
        orders::add(
            &mut tx,
            &order,
            id(ids, who)?,
            &line,
            &want,
            now - TimeDelta::days(2),
        )
        .await?;
    }
    tx.commit().await?;
    Ok(())
}

async fn meeting(
    app: &App,
    ids: &Ids,
    made: &HashMap<&str, PublicId>,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let mut tx = app.pool.begin().await?;
    let meeting = random::public_id()?;
    let evening = NaiveTime::from_hms_opt(18, 0, 0).unwrap_or_default();
    let day = (now + TimeDelta::days(13)).date_naive();
    let said = Met {
        title: "Tasting before the solstice".to_owned(),
        starts_at: day.and_time(evening).and_utc(),
        place: "The boathouse, upper room".to_owned(),
        about: "Everybody brings one bottle that is ready and one that is not. Soup afterwards. The last bus leaves at eleven.".to_owned(),
        notes: String::new(),
    };
    let begun = now - TimeDelta::days(6);
    meetings::make(&mut tx, &meeting, id(ids, INES)?, &said, begun).await?;
    for (who, coming) in [
        (MAREN, Coming::Yes),
        (INES, Coming::Yes),
        (DESMOND, Coming::Perhaps),
        (OSKAR, Coming::No),
    ] {
        meetings::answer(&mut tx, &meeting, id(ids, who)?, coming, begun).await?;
    }
    for (who, title) in [
        (MAREN, "Lower orchard"),
        (INES, "Sugar moon"),
        (DESMOND, "Half and half"),
        (PIA, "Thursday's small mead"),
    ] {
        let recipe = made.get(title).ok_or_else(|| broken(title))?;
        let viewer = id(ids, who)?;
        let found = recipes::find_recipe(&mut tx, Some(viewer), recipe).await?;
        let found = found.ok_or_else(|| broken(title))?;
        let revision = recipes::find_revision(&mut tx, Some(viewer), recipe, found.version).await?;
        let revision = revision.ok_or_else(|| broken(title))?;
        let brought = of_revision(&revision, &Settings::default());
        let pour = random::public_id()?;
        meetings::bring(&mut tx, &meeting, viewer, &pour, &brought, begun).await?;
    }
    let words = Brought {
        words: "A dry cherry mead, two years old".to_owned(),
        recipe: None,
        abv_percent: None,
        fg: None,
        allergens: Vec::new(),
        beware: String::new(),
    };
    meetings::bring(
        &mut tx,
        &meeting,
        id(ids, OSKAR)?,
        &random::public_id()?,
        &words,
        begun,
    )
    .await?;
    tx.commit().await?;
    Ok(())
}
