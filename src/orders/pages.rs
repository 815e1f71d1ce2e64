//! The pages of honey orders bound to their routes.

use askama::Template;
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::IntoResponse;
use serde::Deserialize;
use sqlx::PgConnection;

use super::adding::{self, Adding};
use super::forms::{self, Speaks};
use super::model::{Honey, Line, Order, Phase, SaveError, Sum, Tick, sum};
use super::view::{
    HoneyRow, LineRow, Row, ShareRow, honey_rows, line_rows, row, share_rows, table,
};
use super::{paths, store};
use crate::app::App;
use crate::club;
use crate::web::dates::date;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, page_with, see_other};
use crate::web::paths::{Route, Routes};
use crate::web::random;
use crate::web::shell::{Nav, Shell};
use crate::web::typed::{Difference, differences};
use crate::web::viewer::{Member, Viewer};

/// The routes of honey orders.
pub fn router() -> Router<App> {
    Routes::of(paths::ROUTES)
        .on(paths::LIST, list)
        .on(paths::NEW, new)
        .on(paths::CREATE, create)
        .on(paths::ORDER, show)
        .on(paths::EDIT, edit)
        .on(paths::SAVE, save)
        .on(paths::OFFER, super::opener::offer)
        .on(paths::CORRECT, super::opener::correct)
        .on(paths::TAKE_OUT, super::opener::take_out)
        .on(paths::ADD, adding::add)
        .on(paths::TAKE_BACK, adding::take_back)
        .on(paths::CLOSE, super::opener::close)
        .on(paths::FINISH, super::opener::finish)
        .on(paths::CANCEL, super::opener::cancel)
        .on(paths::TICK, super::opener::tick)
        .on(paths::TABLE, show_table)
        .done()
}

#[derive(Template)]
#[template(path = "orders/list.html")]
struct ListPage {
    shell: Shell,
    club_url: String,
    new_url: String,
    open: Vec<Row>,
    others: Vec<Row>,
}

#[derive(Template)]
#[template(path = "orders/form.html")]
struct FormPage {
    shell: Shell,
    heading: String,
    save_words: &'static str,
    action: String,
    back_url: String,
    back_words: String,
    currency: String,
    form: FormState,
    once: String,
    version: i32,
    meanwhile: Vec<Difference>,
}

impl FormPage {
    fn delivery_hint(&self) -> String {
        format!("In {}, for all of it. Shared out by weight.", self.currency)
    }
}

/// An order as it is read, with what may be done to it.
#[derive(Template)]
#[template(path = "orders/order.html")]
pub(super) struct OrderPage {
    pub shell: Shell,
    list_url: String,
    title: String,
    lead: String,
    by: String,
    terms: Vec<String>,
    currency: String,
    honeys: Vec<HoneyRow>,
    honey_url: String,
    lines: Vec<LineRow>,
    shares: Vec<ShareRow>,
    delivery: String,
    total: String,
    is_open: bool,
    is_closed: bool,
    owns: bool,
    /// What a member adds, while it is open.
    adding: Adding,
    kinds: Vec<(String, String)>,
    pub form: FormState,
    once: String,
    at: At,
}

impl OrderPage {
    fn price_hint(&self) -> String {
        format!("In {}.", self.currency)
    }
}

/// Addresses of what may be done.
struct At {
    edit: String,
    offer: String,
    add: String,
    close: String,
    finish: String,
    cancel: Option<String>,
    tick: String,
    table: String,
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
}

pub(super) fn speaks(app: &App, member: &Member) -> Speaks {
    let zone = member.settings.zone;
    Speaks {
        units: member.settings.units,
        zone,
        today: app.clock.now().with_timezone(&zone).date_naive(),
        currency: app.site.currency(),
    }
}

/// An order with everything in it.
pub(super) struct Whole {
    pub order: Order,
    pub honeys: Vec<Honey>,
    pub lines: Vec<Line>,
    pub ticks: Vec<Tick>,
}

impl Whole {
    fn sum(&self) -> Sum {
        sum(&self.honeys, &self.lines, self.order.said.delivery)
    }
}

pub(super) async fn found(
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Whole, Error> {
    let order = store::find(&mut *conn, id).await?;
    Ok(Whole {
        order: order.ok_or_else(Error::not_found)?,
        honeys: store::honeys(&mut *conn, id).await?,
        lines: store::lines(&mut *conn, member.id, id).await?,
        ticks: store::ticks(&mut *conn, id).await?,
    })
}

async fn list(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let orders = store::list(&mut conn).await?;
    drop(conn);
    let rows = orders.iter().map(|order| row(&app, &member, order));
    let (open, others) = rows.partition(|row| row.open);
    page(&ListPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Club),
        club_url: app.site.base().link(club::paths::CLUB.path),
        new_url: app.site.base().link(paths::NEW.path),
        open,
        others,
    })
}

fn form_page(
    app: &App,
    member: &Member,
    of: Option<&Order>,
    form: FormState,
) -> Result<FormPage, Error> {
    let viewer = Viewer::known(member.clone());
    let base = app.site.base();
    let path = |route: Route, none: &str| match of {
        Some(order) => base.link(&route.with(&[&order.public_id])),
        None => base.link(none),
    };
    Ok(FormPage {
        shell: app.shell(&viewer).at_place(Nav::Club),
        heading: of.map_or("Order honey together".to_owned(), |order| {
            format!("Correct {}", order.said.title)
        }),
        save_words: if of.is_some() {
            "Save"
        } else {
            "Open the order"
        },
        action: path(paths::SAVE, paths::CREATE.path),
        back_url: path(paths::ORDER, paths::LIST.path),
        back_words: of.map_or("honey orders".to_owned(), |order| order.said.title.clone()),
        currency: app.site.currency().to_string(),
        version: of.map_or(0, |order| order.version),
        once: Once::for_form(&form, &viewer)?,
        form,
        meanwhile: Vec::new(),
    })
}

async fn new(State(app): State<App>, member: Member) -> Answer {
    page(&form_page(&app, &member, None, FormState::new())?)
}

async fn create(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let said = match forms::order(&posted, speaks(&app, &member))? {
        Ok(said) => said,
        Err(form) => return form_again(&form_page(&app, &member, None, form)?),
    };
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::CREATE).await? {
        return see_other(app.site.base(), &location);
    }
    let id = random::public_id()?;
    store::make(&mut tx, &id, member.id, &said, app.clock.now()).await?;
    let location = format!("{}?done=opened", paths::ORDER.with(&[&id]));
    once::settle(&mut tx, &once, &member, paths::CREATE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// An order that the member opened and that is still open.
async fn editable(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    id: &str,
) -> Result<Order, Error> {
    let order = store::find(conn, id).await?;
    let open = |order: &Order| order.phase(app.clock.now()) == Phase::Open;
    let order = order.filter(|order| order.opener == member.id && open(order));
    order.ok_or_else(Error::not_found)
}

async fn edit(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let order = editable(&app, &mut conn, &member, &id).await?;
    let form = forms::filled(&order, speaks(&app, &member));
    page(&form_page(&app, &member, Some(&order), form)?)
}

async fn save(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let order = editable(&app, &mut tx, &member, &id).await?;
    let to = speaks(&app, &member);
    let version = posted.one("version")?.parse().unwrap_or(0);
    let said = match forms::order(&posted, to)? {
        Ok(said) => said,
        Err(form) => {
            let mut again = form_page(&app, &member, Some(&order), form)?;
            again.version = version;
            return form_again(&again);
        }
    };
    match store::change(&mut tx, member.id, (&id, version), &said, app.clock.now()).await {
        Ok(()) => {
            tx.commit().await?;
            told(&app, &id, "saved")
        }
        Err(SaveError::Conflict(theirs)) => {
            let yours = FormState::of(&posted);
            let meanwhile = differences(forms::FIELDS, &forms::filled(&theirs, to), &yours);
            let mut again = form_page(&app, &member, Some(&theirs), yours)?;
            again.meanwhile = meanwhile;
            page_with(StatusCode::CONFLICT, &again)
        }
        Err(SaveError::NotFound) => Err(closed_meanwhile()),
        Err(SaveError::Database(fault)) => Err(fault.into()),
    }
}

/// Why nothing was changed.
pub(super) fn closed_meanwhile() -> Error {
    Error::conflict(
        "The order was closed meanwhile, so nothing was changed. Its page says what it came to.",
    )
}

pub(super) fn told(app: &App, id: &str, done: &str) -> Answer {
    let path = format!("{}?done={done}", paths::ORDER.with(&[id]));
    see_other(app.site.base(), &path)
}

/// The page of an order, with a form as it was typed.
pub(super) async fn order_page(
    app: &App,
    member: &Member,
    conn: &mut PgConnection,
    whole: &Whole,
    form: FormState,
) -> Result<OrderPage, Error> {
    let viewer = Viewer::known(member.clone());
    let order = &whole.order;
    let phase = order.phase(app.clock.now());
    let sum = whole.sum();
    let base = app.site.base();
    let currency = app.site.currency();
    let at = |route: Route| base.link(&route.with(&[&order.public_id]));
    let owns = order.opener == member.id;
    let last = date(forms::last_day(order, member.settings.zone));
    let lead = match (phase, order.said.pay_until) {
        (Phase::Open, _) => format!(
            "Add what you need until {last}. Then it is bought in whole packs, and the rest and the delivery are shared out."
        ),
        (Phase::Closed, Some(day)) => format!(
            "Closed: nothing is added any more. Pay until {}.",
            date(day)
        ),
        (Phase::Closed, None) => "Closed: nothing is added any more.".to_owned(),
        (Phase::Done, _) => "Done: everybody has their honey.".to_owned(),
        (Phase::Cancelled, _) => "Called off: nothing is bought, nobody pays.".to_owned(),
    };
    let pay = order
        .said
        .pay_until
        .map(|day| format!("pay until {}", date(day)));
    let by = std::iter::once(format!("opened by {}", order.opener_name)).chain(pay);
    let may_cancel =
        (owns || viewer.is_keeper()) && !matches!(phase, Phase::Done | Phase::Cancelled);
    let adding = adding::choices(app, member, &mut *conn, whole).await?;
    let kinds = match owns && phase == Phase::Open {
        true => crate::shelf::view::choices(&app.catalogue.now(conn).await?),
        false => Vec::new(),
    };
    Ok(OrderPage {
        shell: app.shell(&viewer).at_place(Nav::Club),
        list_url: base.link(paths::LIST.path),
        title: order.said.title.clone(),
        lead,
        by: by.collect::<Vec<_>>().join(" · "),
        terms: order.said.terms.lines().map(str::to_owned).collect(),
        currency: currency.to_string(),
        honeys: honey_rows(app, member, &whole.honeys, &sum),
        honey_url: at(paths::OFFER),
        lines: line_rows(app, member, order, &whole.honeys, &whole.lines),
        shares: share_rows(app, member, &whole.honeys, &sum, &whole.ticks),
        delivery: currency.plain(order.said.delivery),
        total: currency.plain(sum.bill.total()),
        is_open: phase == Phase::Open,
        is_closed: phase == Phase::Closed,
        owns,
        adding,
        kinds,
        once: Once::for_form(&form, &viewer)?,
        form,
        at: At {
            edit: at(paths::EDIT),
            offer: at(paths::OFFER),
            add: at(paths::ADD),
            close: at(paths::CLOSE),
            finish: at(paths::FINISH),
            cancel: may_cancel.then(|| at(paths::CANCEL)),
            tick: at(paths::TICK),
            table: at(paths::TABLE),
        },
    })
}

async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let whole = found(&mut conn, &member, &id).await?;
    let mut shown = order_page(&app, &member, &mut conn, &whole, FormState::new()).await?;
    let words = match told.done.as_deref() {
        Some("opened") => "Opened. Now say which honeys can be had.",
        Some("saved") => "Saved.",
        Some("offered") => "Offered: members can ask for it.",
        Some("out") => "Offered no more.",
        Some("added") => "Added. You can take it back while the order is open.",
        Some("back") => "Taken back.",
        Some("closed") => "Closed: what it comes to is below.",
        Some("done") => "Done: nothing of it changes any more.",
        Some("cancelled") => "Called off.",
        Some("noted") => "Noted.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    page(&shown)
}

async fn show_table(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let whole = found(&mut conn, &member, &id).await?;
    if whole.order.opener != member.id {
        return Err(Error::not_found());
    }
    let text = table(&app, &whole.honeys, &whole.sum(), &whole.ticks).map_err(Error::unexpected)?;
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"honey-order.csv\"",
        ),
    ];
    Ok((headers, text).into_response())
}
