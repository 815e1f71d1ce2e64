//! What the invented members ferment, measure and weigh with, and what they lend each other.

use std::collections::{BTreeMap, HashMap};

use chrono::{DateTime, TimeDelta, Utc};
use sqlx::PgConnection;

use super::broken;
use super::people::{DESMOND, INES, MAREN, OSKAR, PIA, TOBIAS};
use crate::catalogue::VesselKind;
use crate::vessels::instruments::{self, Hydrometer, KitchenScale, What};
use crate::vessels::lending::store::{self as lending, Asking};
use crate::vessels::lending::{self as lent, Ending};
use crate::vessels::model::{Described, MadeOf};
use crate::vessels::store as vessels;
use crate::web::error::Error;
use crate::web::random;
use crate::web::units::US_GALLON_L;
use crate::web::viewer::MemberId;

type People = HashMap<&'static str, MemberId>;

/// Whose, what it is called, its kind and stuff, litres to the brim, how many, and what is said of it.
type VesselRow = (
    &'static str,
    &'static str,
    VesselKind,
    MadeOf,
    f64,
    i32,
    &'static str,
);

const VESSELS: &[VesselRow] = &[
    (
        MAREN,
        "White bucket",
        VesselKind::Bucket,
        MadeOf::FoodPlastic,
        26.2,
        1,
        "Weighed full; the 25 mark is 3 cm below the rim.",
    ),
    (
        MAREN,
        "Green demijohn",
        VesselKind::Demijohn,
        MadeOf::Glass,
        5.06,
        3,
        "",
    ),
    (
        MAREN,
        "The tall carboy",
        VesselKind::Carboy,
        MadeOf::Glass,
        19.3,
        1,
        "Lives in its crate.",
    ),
    (MAREN, "Keg", VesselKind::Keg, MadeOf::Steel, 19.0, 1, ""),
    (
        TOBIAS,
        "Bucket",
        VesselKind::Bucket,
        MadeOf::FoodPlastic,
        15.0,
        2,
        "",
    ),
    (
        TOBIAS,
        "Demijohn",
        VesselKind::Demijohn,
        MadeOf::Glass,
        4.55,
        2,
        "",
    ),
    (
        OSKAR,
        "Oak cask",
        VesselKind::Barrel,
        MadeOf::Wood,
        30.0,
        1,
        "Second fill. Topped up on the first of the month.",
    ),
    (
        PIA,
        "Gallon jar",
        VesselKind::Demijohn,
        MadeOf::Glass,
        4.55,
        4,
        "",
    ),
    (
        DESMOND,
        "Six and a half",
        VesselKind::Bucket,
        MadeOf::FoodPlastic,
        6.5 * US_GALLON_L,
        1,
        "",
    ),
];

/// Puts vessels, instruments and loans into the club.
pub(super) async fn furnish(
    conn: &mut PgConnection,
    people: &People,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let who = |name: &str| people.get(name).copied().ok_or_else(|| broken(name));
    for (owner, name, kind, made_of, brim_l, how_many, notes) in VESSELS {
        let vessel = Described {
            name: (*name).to_owned(),
            kind: *kind,
            made_of: *made_of,
            brim_l: *brim_l,
            wide_mouth: matches!(kind, VesselKind::Bucket | VesselKind::Tank),
            headspace_fraction: None,
            loss_l: None,
            how_many: *how_many,
            notes: (*notes).to_owned(),
            typed: BTreeMap::new(),
        };
        let id = random::public_id()?;
        let kept = vessels::add(conn, who(owner)?, &id, &vessel, now).await;
        kept.map_err(Error::unexpected)?;
    }
    let calibrated = (now - TimeDelta::days(41)).date_naive();
    for (owner, name, what) in [
        (
            MAREN,
            "Long glass one",
            What::Hydrometer(Hydrometer {
                in_water_sg: 1.001,
                marked_for_c: 20.0,
                step_sg: 0.001,
            }),
        ),
        (
            MAREN,
            "Letter scale",
            What::Scale(KitchenScale {
                step_g: 0.1,
                most_g: 500.0,
            }),
        ),
        (
            MAREN,
            "Kitchen scale",
            What::Scale(KitchenScale {
                step_g: 2.0,
                most_g: 5000.0,
            }),
        ),
        (
            MAREN,
            "Pen",
            What::PhMeter {
                calibrated_on: Some(calibrated),
                step: Some(0.01),
            },
        ),
        (
            TOBIAS,
            "From the kit",
            What::Hydrometer(Hydrometer {
                in_water_sg: 1.0,
                marked_for_c: 20.0,
                step_sg: 0.002,
            }),
        ),
    ] {
        let described = instruments::Described {
            name: name.to_owned(),
            what,
            notes: String::new(),
            typed: BTreeMap::new(),
        };
        let id = random::public_id()?;
        let kept = instruments::store::add(conn, who(owner)?, &id, &described, now).await;
        kept.map_err(Error::unexpected)?;
    }
    lend(conn, people, now).await
}

async fn lend(conn: &mut PgConnection, people: &People, now: DateTime<Utc>) -> Result<(), Error> {
    let who = |name: &str| people.get(name).copied().ok_or_else(|| broken(name));
    let things = [
        (
            None,
            "Hand press, 6 L",
            "Maren’s shed",
            "The bag has a seam that was mended. Rinse it at once.",
        ),
        (
            None,
            "Stockpot, 30 L",
            "the club room",
            "Steel, for browned honey. The lid does not close.",
        ),
        (Some(OSKAR), "Capper with two bells", "by arrangement", ""),
    ];
    for (owner, name, place, condition) in things {
        let thing = lent::Described {
            name: name.to_owned(),
            place: place.to_owned(),
            condition: condition.to_owned(),
        };
        let owner = owner.map(who).transpose()?;
        let id = random::public_id()?;
        lending::add(conn, &id, owner, &thing, now - TimeDelta::days(200)).await?;
        if name.starts_with("Hand press") {
            let keeper = who(MAREN)?;
            for (borrower, ago, back, came_back) in
                [(INES, 90, Some(76), "clean"), (TOBIAS, 9, None, "")]
            {
                let loan = random::public_id()?;
                let since = now - TimeDelta::days(ago);
                let until = (since + TimeDelta::days(21)).date_naive();
                let asking = Asking {
                    thing: &id,
                    member: who(borrower)?,
                    until,
                    remark: "for the last plums",
                };
                lending::ask(conn, &loan, asking, since).await?;
                lending::lend(conn, &id, &loan, until, since).await?;
                if let Some(days) = back {
                    let at = now - TimeDelta::days(days);
                    let given = Ending::GivenBack;
                    lending::end(conn, &id, &loan, given, keeper, came_back, at).await?;
                }
            }
        }
    }
    Ok(())
}
