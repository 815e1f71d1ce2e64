//! A revision of a recipe as somebody opens it: at its own volume or another, reckoned and rounded.

use chrono::NaiveDate;
use sqlx::PgConnection;

use super::forms::check::stored;
use super::forms::quantity::Quantity;
use super::model::{Recipe, Revision};
use super::numbers::steps::{StepLine, dated_steps, long_and_short};
use super::numbers::tools::tools;
use super::numbers::{FeedLine, Links, NumbersView, Piece, Reader, lead_where_told, weighed_view};
use super::public_id::PublicId;
use super::store;
use super::workbench::advice::Case;
use super::workbench::advice::feeding;
use super::workbench::reader;
use crate::app::App;
use crate::cupboard::stock::{priced, unpriced};
use crate::cupboard::store::stock;
use crate::engine;
use crate::engine::scaling::{Rounded, Scale, round, scale};
use crate::vessels;
use crate::web::day;
use crate::web::error::Error;
use crate::web::units::{self, Units};
use crate::web::viewer::{Member, Viewer};

/// A revision, reckoned.
pub(super) struct Opened {
    pub recipe: Recipe,
    pub revision: Revision,
    /// The document at the volume shown, with the prices that its reader pays.
    pub document: engine::Recipe,
    pub rounded: Rounded,
    pub reader: Reader,
    /// The other volume asked for, litres.
    pub wanted: Option<f64>,
    /// Why the volume that was typed is none.
    pub volume_fault: String,
    /// The mixing day asked for.
    pub mixing_day: Option<NaiveDate>,
    /// Why the mixing day that was typed is none.
    pub mixed_fault: String,
}

/// What a sheet says of it.
pub(super) struct Told {
    pub numbers: NumbersView,
    pub steps: Vec<StepLine>,
    pub tools: Vec<Vec<Piece>>,
    pub long_and_short: String,
}

impl Opened {
    /// Whether this is the newest revision.
    pub fn is_newest(&self) -> bool {
        self.revision.number == self.recipe.version
    }

    /// Its numbers, what to do and with what; figures lead to where the page tells how they are reckoned.
    pub fn told(&self, links: Links) -> Told {
        let (unit, weighed) = (self.reader.units, &self.rounded.weighed);
        let mut numbers =
            weighed_view(&self.document, &self.rounded, &self.reader).leading_to(links);
        if let Some(mixing_day) = self.mixing_day {
            numbers.feeds = dated_feeds(&Case {
                recipe: &self.document,
                numbers: weighed,
                settings: &settings_of(&self.reader),
                reader: &self.reader,
                mixing_day,
            });
            numbers.feeding_note = feeding::BEFORE;
        }
        let told = numbers.told();
        let mut steps = dated_steps(&self.document, weighed, unit, self.mixing_day);
        for step in &mut steps {
            lead_where_told(&mut step.text, &told);
        }
        let mut tools = tools(&self.document, weighed, unit);
        for tool in &mut tools {
            lead_where_told(tool, &told);
        }
        Told {
            long_and_short: long_and_short(&steps),
            numbers,
            steps,
            tools,
        }
    }

    /// What stands in the field of the volume: what was typed, else its own.
    pub fn shown_volume(&self, typed: &str) -> String {
        match (typed.trim(), &self.rounded.weighed.whole) {
            ("", Some(whole)) => units::volume(whole.volume_l, self.reader.units),
            _ => typed.to_owned(),
        }
    }

    /// What was made of its document as it is kept for a recipe of its own: with the prices of the book.
    pub fn to_keep(&self, made: &engine::Recipe) -> engine::Recipe {
        let book = stored(&self.revision.document);
        book.map_or_else(|| made.clone(), |book| unpriced(made, &book))
    }

    /// Its notes, line by line.
    pub fn notes(&self) -> Vec<String> {
        let lines = self.document.notes.lines();
        let said = lines.filter(|line| !line.trim().is_empty());
        said.map(str::to_owned).collect()
    }
}

/// The feeding plan with its dates, and what to do about each dose that was missed.
fn dated_feeds(case: &Case<'_>) -> Vec<FeedLine> {
    let dated = feeding::by_day(case).into_iter();
    dated
        .map(|day| FeedLine {
            when: day.when,
            detail: String::new(),
            gifts: day.parts,
            missed: format!("Missed it? {}", day.missed),
        })
        .collect()
}

/// For whom a page speaks, with the club's catalogue as it is now.
pub(super) async fn reader_for(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
) -> Result<Reader, Error> {
    let viewer = Viewer::known(member.clone());
    let catalogue = app.catalogue.for_page_of(member, &mut *conn).await?;
    let cupboard = stock(&mut *conn, member.id, app.site.currency()).await?;
    let vessels = vessels::store::list(conn, member.id).await?;
    Ok(Reader {
        cupboard,
        vessels,
        ..reader(&viewer, app.clock.now(), catalogue)
    })
}

/// Finds what the member may see and reckons it for the volume that was typed, dated from the mixing day that was.
pub(super) async fn open(
    app: &App,
    member: &Member,
    id: &str,
    number: Option<i32>,
    typed: &str,
    mixed: &str,
) -> Result<Opened, Error> {
    let viewer = Viewer::known(member.clone());
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let mut conn = app.pool.acquire().await?;
    let reader = reader_for(app, &mut conn, member).await?;
    let (recipe, revision) = store::find_with_revision(&mut conn, viewer.id(), &id, number)
        .await?
        .ok_or_else(Error::not_found)?;
    drop(conn);
    reckoned(recipe, revision, reader, typed, mixed)
}

/// Reckons a revision that the reader may see, for the volume that was typed, dated from the mixing day that was.
pub(super) fn reckoned(
    recipe: Recipe,
    revision: Revision,
    reader: Reader,
    typed: &str,
    mixed: &str,
) -> Result<Opened, Error> {
    let own = stored(&revision.document).ok_or_else(|| {
        Error::unexpected(std::io::Error::other("a stored document does not read"))
    })?;
    let own = priced(&own, &reader.cupboard, &reader.catalogue);
    let settings = settings_of(&reader);
    let (wanted, volume_fault) = match wanted(typed, reader.units) {
        Ok(wanted) => (wanted, String::new()),
        Err(fault) => (None, fault),
    };
    let document = match wanted {
        Some(wanted) => at_volume(own, wanted, &settings),
        None => own,
    };
    let (mixing_day, mixed_fault) = match mixed.trim() {
        "" => (None, String::new()),
        text => match day::read(text, reader.today(), reader.units) {
            Some(day) => (Some(day), String::new()),
            None => (None, day::WHAT_TO_WRITE.to_owned()),
        },
    };
    Ok(Opened {
        rounded: round(&document, &settings, Scale::Kitchen),
        reader: match mixing_day {
            Some(day) => reader.on(day),
            None => reader,
        },
        recipe,
        revision,
        document,
        wanted,
        volume_fault,
        mixing_day,
        mixed_fault,
    })
}

/// The document made for another volume, as far as it says what its own is.
fn at_volume(own: engine::Recipe, wanted: f64, settings: &engine::Settings) -> engine::Recipe {
    let whole = engine::formulate(&own, settings).whole;
    let home = whole.map(|whole| whole.volume_l).or(own.volume_l);
    match home {
        Some(home) if home > 0.0 => scale(&own, wanted / home),
        _ => own,
    }
}

/// The engine's settings of a reader.
fn settings_of(reader: &Reader) -> engine::Settings {
    engine::Settings {
        sachet_g: reader.sachet_g,
    }
}

/// The volume that was typed, litres; nothing where nothing was.
fn wanted(typed: &str, unit: Units) -> Result<Option<f64>, String> {
    match typed.trim() {
        "" => Ok(None),
        text => Quantity::at("/volume_l")
            .read(text, unit)
            .map(Some)
            .map_err(|fault| fault.to_string()),
    }
}
