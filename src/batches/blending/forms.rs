//! The form of a blend: which batches, how much of each, what is wanted of it, and what the blend will be.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use crate::batches::opened::{Opened, open_own};
use crate::batches::parting::forms::{litres, moment};
use crate::batches::start::Speaks;
use crate::engine::blend::risk::Stands;
use crate::engine::blend::{PARTS, Source, Wish};
use crate::engine::density::sg_of_fraction;
use crate::engine::log::ranges::range_of;
use crate::engine::log::{State, replay};
use crate::web::error::Error;
use crate::web::typed::Typed;
use crate::web::units;
use crate::web::viewer::Member;

/// The batches that a form takes.
pub const ROWS: usize = *PARTS.end();

/// So much more than there is counts as all of it: amounts are shown rounded.
const ROUNDED: f64 = 0.005;

/// The name of a field of a row.
pub fn field(name: &str, row: usize) -> String {
    format!("{name}-{row}")
}

/// A batch of the form, as it stood then.
pub struct Mead {
    /// Its row in the form.
    pub row: usize,
    pub opened: Opened,
    /// What its log makes of it at the moment of the blend.
    pub was: State,
    pub litres: Option<f64>,
    pub stands: Stands,
}

/// What a form asks.
pub struct Asked {
    pub at: DateTime<Utc>,
    /// The batches, that of the page first.
    pub meads: Vec<Mead>,
    /// What is wanted of the blend, if anything is.
    pub wish: Option<Wish>,
}

/// Reads which batches, how much of each and what is wanted; `None` with faults beside the fields.
///
/// # Errors
/// When a field came twice, or the database does not answer.
pub async fn asked(
    conn: &mut PgConnection,
    member: &Member,
    first: Opened,
    typed: &mut Typed<'_>,
    to: Speaks,
) -> Result<Option<Asked>, Error> {
    let mut rows = vec![(1, first, litres(typed, &field("litres", 1), to)?)];
    for row in 2..=ROWS {
        let name = field("batch", row);
        let id = typed.text(&name)?.to_owned();
        let much = litres(typed, &field("litres", row), to)?;
        if id.is_empty() {
            if much.is_some() {
                typed.form.refuse(&name, "Choose which one.");
            }
            continue;
        }
        if rows
            .iter()
            .any(|(_, other, _)| other.batch.public_id.as_str() == id)
        {
            typed.form.refuse(&name, "This one stands above already.");
            continue;
        }
        match open_own(conn, member, &id).await {
            Ok(opened) => rows.push((row, opened, much)),
            Err(_) => typed.form.refuse(&name, "Choose one of the list."),
        }
    }
    if rows.len() < 2 && typed.form.is_sound() {
        let name = field("batch", 2);
        typed.form.refuse(&name, "Choose at least one other mead.");
    }
    let began = rows.iter().map(|(_, opened, _)| opened.batch.began_at);
    let at = moment(typed, to, began.max().unwrap_or(to.now))?;
    let wish = wish(typed, to)?;
    let (Some(at), true) = (at, typed.form.is_sound()) else {
        return Ok(None);
    };
    let mut meads = Vec::new();
    for (row, opened, litres) in rows {
        match mead((row, opened, litres), at, to) {
            Ok(mead) => meads.push(mead),
            Err((name, why)) => typed.form.refuse(&name, why),
        }
    }
    Ok(typed.form.is_sound().then_some(Asked { at, meads, wish }))
}

/// What is wanted of it: litres in all with at least one of gravity, strength and acidity.
fn wish(typed: &mut Typed<'_>, to: Speaks) -> Result<Option<Wish>, Error> {
    let all = litres(typed, "all", to)?;
    let sg = typed.read("gravity", |text| units::parse_gravity(text, sg_of_fraction))?;
    let abv_percent = typed.read("strength", |text| units::parse_percent(text, 0.0, 25.0))?;
    let ta_g_per_l = typed.read("acidity", |text| {
        units::parse_number_within(text, 0.0, 50.0)
    })?;
    let wants = sg.or(abv_percent).or(ta_g_per_l).is_some();
    match all {
        Some(litres) if wants => Ok(Some(Wish {
            litres,
            sg,
            abv_percent,
            ta_g_per_l,
        })),
        None if wants && typed.form.fault("all").is_none() => {
            let why = "Write how much it should be in all, such as 10 L.";
            typed.form.refuse("all", why);
            Ok(None)
        }
        Some(_) => {
            let why = "Write the gravity, the strength or the acidity that it should have, or leave this empty.";
            typed.form.refuse("gravity", why);
            Ok(None)
        }
        None => Ok(None),
    }
}

/// A batch as it stood at a moment, or the field and why it cannot be blended.
fn mead(
    (row, opened, litres): (usize, Opened, Option<f64>),
    at: DateTime<Utc>,
    to: Speaks,
) -> Result<Mead, (String, String)> {
    let until = opened.batch.hours_at(at);
    let before = opened.entries.iter().filter(|entry| entry.hours <= until);
    let was = replay(&opened.start, &before.cloned().collect::<Vec<_>>());
    let place = match row {
        1 => field("litres", 1),
        row => field("batch", row),
    };
    let name = &opened.batch.name;
    let Some(source) = Source::of(was.flows.vessel, was.ta_g_per_l) else {
        return Err((place, format!("By its log nothing is left of {name}.")));
    };
    if litres.is_some_and(|litres| litres > was.volume_l * (1.0 + ROUNDED)) {
        let there = units::volume(was.volume_l, to.units);
        let why = format!(
            "By its log there was {there} of {name}. Log how much there is first, or write less."
        );
        return Err((field("litres", row), why));
    }
    if !range_of("sg").is_some_and(|range| range.holds(was.sg)) {
        let why = format!(
            "By its log {name} has a gravity of {}, which no mead has. Put its log right first.",
            units::gravity(was.sg)
        );
        return Err((place, why));
    }
    let stands = Stands {
        source,
        stabilised: was.stabilised,
        has_yeast: was.fermenting,
        tolerance_abv_percent: was.tolerance_abv_percent,
        fermentable_g_per_l: was.expected.fermentable_g_per_l,
        on_fruit: was.flows.in_fruit.sugar_kg > 1e-6,
    };
    Ok(Mead {
        row,
        opened,
        litres: litres.map(|litres| litres.min(was.volume_l)),
        was,
        stands,
    })
}
