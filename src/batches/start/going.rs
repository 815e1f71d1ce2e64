//! A mead that is going already, of which nothing was written down: what is known of it becomes a batch.

use askama::Template;
use axum::extract::State;

use super::forms::{self, READERS, Speaks};
use super::own::Club;
use crate::app::App;
use crate::batches::house::offered::Offer;
use crate::batches::model::{BatchId, NewBatch, NewEntry};
use crate::batches::{opened, paths, store};
use crate::catalogue::club::ClubCatalogue;
use crate::engine;
use crate::engine::log::Deed;
use crate::engine::log::entry::{Mixed, Pitch};
use crate::engine::log::own::Own;
use crate::recipes::public_id::PublicId;
use crate::recipes::workbench::engine_settings;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/going.html")]
struct GoingPage {
    shell: Shell,
    action: String,
    honeys: Vec<(String, String)>,
    yeasts: Vec<(String, String)>,
    /// The club's own figures, to be taken in place of the book's.
    offers: Vec<Offer>,
    /// From what the forecast begins, where that is the club's own batches.
    forecast: String,
    figures_url: String,
    form: FormState,
    once: String,
}

impl GoingPage {
    const READERS: &[(&str, &str)] = READERS;
}

fn going_page(
    app: &App,
    member: &Member,
    (catalogue, club): (&ClubCatalogue, &Club),
    mut form: FormState,
) -> Result<GoingPage, Error> {
    let viewer = Viewer::known(member.clone());
    if form.typed("visibility").is_empty() {
        form.set("visibility", "club");
    }
    if form.typed("honey").is_empty() {
        form.set("honey", "honey-wildflower");
    }
    if form.typed("yeast").is_empty() {
        form.set("yeast", "yeast-champagne-type");
    }
    let once = match form.typed(once::FIELD) {
        "" => Once::fresh(&viewer)?,
        typed => typed.to_owned(),
    };
    let honeys = catalogue.honeys();
    let yeasts = catalogue.yeasts();
    let yeasts: Vec<_> = yeasts.map(|it| (it.key.clone(), it.name.clone())).collect();
    let base = app.site.base();
    Ok(GoingPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        action: base.link(paths::TAKE_IN.path),
        honeys: honeys.map(|it| (it.key.clone(), it.name.clone())).collect(),
        offers: club.offers_of_any(&yeasts),
        forecast: club.forecast_words(),
        figures_url: base.link(paths::FIGURES.path),
        yeasts,
        form,
        once,
    })
}

pub(super) async fn ask(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let catalogue = app.catalogue.now(&mut conn).await?;
    let club = Club::now(&mut conn).await?;
    let form = FormState::new();
    page(&going_page(&app, &member, (&catalogue, &club), form)?)
}

pub(super) async fn take_in(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let catalogue = app.catalogue.now(&mut tx).await?;
    let club = Club::now(&mut tx).await?;
    let mut typed = Typed::of(&posted);
    let name = forms::name(&mut typed)?;
    let settings = &member.settings;
    let speaks = Speaks {
        units: settings.units,
        zone: settings.zone,
        now: app.clock.now(),
    };
    let visibility = forms::readers(&mut typed)?;
    let known = forms::going(&mut typed, speaks, &catalogue)?;
    let own = match &known {
        Some(known) => club.taken_of_going(&mut typed, known)?,
        None => Own::default(),
    };
    let Some(mut known) = known.filter(|_| typed.form.is_sound()) else {
        let again = going_page(&app, &member, (&catalogue, &club), typed.form)?;
        return form_again(&again);
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::TAKE_IN).await? {
        return see_other(app.site.base(), &location);
    }
    known.document.title = name.clone();
    let viewer = Viewer::known(member.clone());
    let numbers = engine::formulate(&known.document, &engine_settings(&viewer));
    let public_id = PublicId::random().map_err(Error::unexpected)?;
    let new = NewBatch {
        public_id: public_id.clone(),
        owner: member.id,
        name,
        visibility,
        revision: None,
        parted_from: None,
        supposed: true,
        document: serde_json::to_value(&known.document).map_err(Error::unexpected)?,
        formulation: serde_json::to_value(&numbers).map_err(Error::unexpected)?,
        own,
        vessel: None,
        vessel_name: String::new(),
        began_at: known.began_at,
    };
    let id = store::start(&mut tx, &new, app.clock.now()).await?;
    note_beginning(&app, &mut tx, &member, id, &known).await?;
    opened::refresh(&mut tx, &member, &public_id).await?;
    let location = format!("{}?done=taken-in", paths::BATCH.with(&[public_id.as_str()]));
    once::settle(&mut tx, &once, &member, paths::TAKE_IN, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// Its log begins with what is known: that it was mixed and pitched that day.
async fn note_beginning(
    app: &App,
    conn: &mut sqlx::PgConnection,
    member: &Member,
    id: BatchId,
    known: &forms::Going,
) -> Result<(), Error> {
    let yeast = known.document.yeasts.first();
    let mixed = Deed::Mixed(Mixed {
        sg: Some(known.og),
        ..Mixed::default()
    });
    let pitch = Deed::Pitch(Pitch {
        name: yeast.map(|yeast| yeast.name.clone()),
        ..Pitch::default()
    });
    for deed in [mixed, pitch] {
        let entry = NewEntry::of(deed, known.began_at, member.id);
        store::add(conn, id, &entry, app.clock.now()).await?;
    }
    Ok(())
}
