//! A batch of a revision: as it is, or made to fit.

use askama::Template;
use axum::extract::{Query, RawQuery, State};
use axum::http::Uri;
use serde::Deserialize;

use super::forms::{self, READERS, Speaks};
use super::own::Club;
use crate::app::App;
use crate::batches::house::offered::Offer;
use crate::batches::model::NewBatch;
use crate::batches::{paths, store};
use crate::recipes;
use crate::recipes::numbers::NumbersView;
use crate::recipes::public_id::PublicId;
use crate::recipes::scale::asked::Asked;
use crate::recipes::scale::batch::{Makings, makings};
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::policy::Visibility;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/start.html")]
struct StartPage {
    shell: Shell,
    title: String,
    sheet_url: String,
    scale_url: String,
    action: String,
    numbers: NumbersView,
    /// The vessels to choose from, unless it was made to fit one.
    vessels: Vec<(String, String)>,
    /// The club's own figures, to be taken in place of the book's.
    offers: Vec<Offer>,
    /// From what the forecast begins, where that is the club's own batches.
    forecast: String,
    figures_url: String,
    form: FormState,
    once: String,
    /// What was asked, to be asked again.
    query: String,
}

impl StartPage {
    const READERS: &[(&str, &str)] = READERS;
}

#[derive(Deserialize)]
struct Which {
    recipe: String,
    revision: Option<i32>,
}

/// What the query asks for.
fn asked(query: &str) -> Result<(Which, Asked), Error> {
    let incomplete = |_| Error::bad_request("Open a recipe and start a batch from there.");
    let uri: Uri = format!("/?{query}").parse().map_err(|_| {
        Error::bad_request("This address is incomplete. Open the recipe and start from there.")
    })?;
    let which = Query::<Which>::try_from_uri(&uri).map_err(incomplete)?;
    let asked = Query::<Asked>::try_from_uri(&uri).map_err(incomplete)?;
    Ok((which.0, asked.0))
}

async fn case(app: &App, member: &Member, query: &str) -> Result<(Makings, Club), Error> {
    let (which, asked) = asked(query)?;
    let made = makings(app, member, &which.recipe, which.revision, &asked).await?;
    let made = made.ok_or_else(|| {
        Error::bad_request("It cannot be made so. Go back to where it is made to fit.")
    })?;
    let mut conn = app.pool.acquire().await?;
    Ok((made, Club::now(&mut conn).await?))
}

fn start_page(
    app: &App,
    member: &Member,
    (made, club): (&Makings, &Club),
    query: &str,
    mut form: FormState,
) -> Result<StartPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let id = made.recipe.public_id.as_str();
    if form.typed("visibility").is_empty() {
        let usual = match made.recipe.visibility {
            Visibility::Club => Visibility::Club,
            _ => Visibility::Private,
        };
        form.set("visibility", usual.as_str());
    }
    if form.typed("name").is_empty() && form.is_sound() {
        form.set("name", made.title.clone());
    }
    let once = match form.typed(once::FIELD) {
        "" => Once::fresh(&viewer)?,
        typed => typed.to_owned(),
    };
    let none = [(String::new(), "not one of mine".to_owned())];
    let mine = made.choices.iter().filter(|choice| choice.is_mine());
    let mine = mine.map(|choice| (choice.key.clone(), choice.name.clone()));
    Ok(StartPage {
        shell: app.shell(&viewer).at_place(Nav::Batches),
        title: made.title.clone(),
        sheet_url: base.link(&recipes::paths::REVISION.with(&[id, &made.number.to_string()])),
        scale_url: base.link(&format!(
            "{}?revision={}",
            recipes::paths::SCALE.with(&[id]),
            made.number
        )),
        action: base.link(paths::CREATE.path),
        numbers: made.view(),
        vessels: match made.fitted {
            true => Vec::new(),
            false => none.into_iter().chain(mine).collect(),
        },
        offers: club.offers(made),
        forecast: club.forecast_words(),
        figures_url: base.link(paths::FIGURES.path),
        form,
        once,
        query: query.to_owned(),
    })
}

pub(super) async fn ask(
    State(app): State<App>,
    member: Member,
    RawQuery(query): RawQuery,
) -> Answer {
    let query = query.unwrap_or_default();
    let (made, club) = case(&app, &member, &query).await?;
    let form = FormState::new();
    page(&start_page(&app, &member, (&made, &club), &query, form)?)
}

pub(super) async fn start(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let query = posted.one("query")?;
    let (mut made, club) = case(&app, &member, query).await?;
    let mut typed = Typed::of(&posted);
    let name = forms::name(&mut typed)?;
    let settings = &member.settings;
    let speaks = Speaks {
        units: settings.units,
        zone: settings.zone,
        now: app.clock.now(),
    };
    let began_at = forms::mixing(&mut typed, speaks)?;
    let visibility = forms::readers(&mut typed)?;
    let (vessel, vessel_name) = vessel(&mut typed, &mut made)?;
    let own = club.taken(&mut typed, &made, began_at)?;
    let Some(began_at) = began_at.filter(|_| typed.form.is_sound()) else {
        let again = start_page(&app, &member, (&made, &club), query, typed.form)?;
        return form_again(&again);
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::CREATE).await? {
        return see_other(app.site.base(), &location);
    }
    let public_id = PublicId::random().map_err(Error::unexpected)?;
    let new = NewBatch {
        public_id: public_id.clone(),
        owner: member.id,
        name,
        visibility,
        revision: Some((made.recipe.public_id.clone(), made.number)),
        parted_from: None,
        supposed: false,
        document: serde_json::to_value(&made.document).map_err(Error::unexpected)?,
        formulation: serde_json::to_value(&made.numbers).map_err(Error::unexpected)?,
        own,
        vessel,
        vessel_name,
        began_at,
    };
    store::start(&mut tx, &new, app.clock.now()).await?;
    let location = format!("{}?done=started", paths::BATCH.with(&[public_id.as_str()]));
    once::settle(&mut tx, &once, &member, paths::CREATE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// The vessel that was chosen here: its id and name. It goes into the document; one that the recipe was made to fit stays.
fn vessel(typed: &mut Typed<'_>, made: &mut Makings) -> Result<(Option<String>, String), Error> {
    let key = typed.text("vessel")?;
    let chosen = made
        .choices
        .iter()
        .find(|one| one.is_mine() && one.key == key);
    if let (false, Some(choice)) = (made.fitted, chosen) {
        made.document.vessel = Some(choice.for_recipe());
        made.document
            .typed
            .retain(|path, _| !path.starts_with("/vessel/"));
        return Ok((Some(choice.key.clone()), choice.name.clone()));
    }
    if !made.fitted && !key.is_empty() {
        typed.form.refuse("vessel", "Choose one of the list.");
    }
    let named = made.document.vessel.as_ref();
    let name = named
        .and_then(|vessel| vessel.name.clone())
        .unwrap_or_default();
    let own = made
        .choices
        .iter()
        .find(|one| one.is_mine() && one.name == name);
    Ok((own.map(|one| one.key.clone()), name))
}
