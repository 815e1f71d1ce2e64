//! One flight at its table: who has signed what, how far apart they lie, what was agreed. Nobody reads others' points of an
//! entry before their own sheet of it is signed.

use askama::Template;
use axum::extract::{Path, Query, State};
use sqlx::PgConnection;

use super::model::{self, Order, Sitting, Stage, Written};
use super::one::Told;
use super::seated::AtTable;
use super::{paths, store, words};
use crate::app::App;
use crate::competitions::flights::model::{Glass, State as Progress};
use crate::competitions::phases::{Act, allows};
use crate::competitions::shown::shell;
use crate::engine::contest::agree;
use crate::engine::contest::rules::Tie;
use crate::engine::contest::sheet::Agreed;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::once::Once;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::Shell;
use crate::web::typed::Difference;
use crate::web::viewer::{Member, MemberId, Viewer};

/// A flight with everything that was written of it.
pub(super) struct Read {
    pub table: AtTable,
    pub seats: Vec<Sitting>,
    pub sheets: Vec<Written>,
    pub orders: Vec<Order>,
    pub agreed: Option<(i32, Agreed)>,
}

impl Read {
    /// Reads it all.
    pub async fn of(conn: &mut PgConnection, table: AtTable) -> Result<Read, Error> {
        let flight = table.flight.id;
        Ok(Read {
            seats: store::at_table(conn, flight).await?,
            sheets: store::sheets(conn, flight).await?,
            orders: store::orders(conn, flight).await?,
            agreed: store::agreed(conn, flight).await?,
            table,
        })
    }

    fn sheet(&self, glass: &Glass, judge: MemberId) -> Option<&Written> {
        let mut all = self.sheets.iter();
        all.find(|one| one.entry == glass.entry && one.judge == judge)
    }

    fn stage(&self, glass: &Glass, judge: MemberId) -> Stage {
        model::stage(self.sheet(glass, judge))
    }

    fn total(&self, glass: &Glass, judge: MemberId) -> Option<u32> {
        let rules = &self.table.opened.competition.rules;
        let sheet = self.sheet(glass, judge);
        let signed = sheet.filter(|sheet| sheet.deed.stage() == Stage::Signed);
        signed.and_then(|signed| signed.sheet.total(rules))
    }

    /// Totals of the signed sheets of an entry.
    pub fn totals(&self, glass: &Glass) -> Vec<u32> {
        let seats = self.seats.iter();
        seats
            .filter_map(|seat| self.total(glass, seat.judge))
            .collect()
    }

    /// The glasses' codes, and the judges' orders as they sit.
    pub fn ordered(&self) -> (Vec<String>, Vec<Vec<String>>) {
        let glasses = self.table.glasses.iter();
        let of = |judge| self.orders.iter().find(|order| order.judge == judge);
        let orders = self.seats.iter().filter_map(|seat| of(seat.judge));
        (
            glasses.map(|glass| glass.code.clone()).collect(),
            orders.map(|order| order.codes.clone()).collect(),
        )
    }

    /// Glasses that all orders together leave level, where tasting again is the first thing that the rules ask then: behind
    /// another rule it decides only what that leaves, which is seen once results are reckoned.
    pub fn level(&self) -> Vec<Vec<String>> {
        let rules = &self.table.opened.competition.rules;
        let (codes, orders) = self.ordered();
        match rules.ties.first() {
            Some(Tie::TastedAgain) => agree::level(&codes, &orders),
            _ => Vec::new(),
        }
    }

    /// What the table waits for before it can agree, in words.
    pub fn waits_for(&self) -> Vec<String> {
        if self.table.is_ordered() {
            let has = |seat: &&Sitting| self.orders.iter().any(|one| one.judge == seat.judge);
            let missing = self.seats.iter().filter(|seat| !has(seat));
            return missing
                .map(|seat| format!("{} has given no order yet", seat.name))
                .collect();
        }
        let mut found = Vec::new();
        for seat in &self.seats {
            let at = |stages: &[Stage]| {
                let all = self.table.glasses.iter();
                let own = all.filter(|glass| stages.contains(&self.stage(glass, seat.judge)));
                let codes: Vec<&str> = own.map(|glass| glass.code.as_str()).collect();
                (!codes.is_empty()).then(|| codes.join(", "))
            };
            if let Some(codes) = at(&[Stage::Blank, Stage::Begun]) {
                found.push(format!("{} has not signed {codes} yet", seat.name));
            }
            if let Some(codes) = at(&[Stage::Typed]) {
                let name = &seat.name;
                found.push(format!("nobody has compared {name}’s paper of {codes} yet"));
            }
        }
        for glass in &self.table.glasses {
            if self.totals(glass).is_empty() && found.is_empty() {
                found.push(format!(
                    "nobody at this table judges {}: tell a steward",
                    glass.code
                ));
            }
        }
        found
    }

    /// Whether the member may write down what the table agrees on, as far as the phase goes.
    pub fn may_agree(&self) -> bool {
        let phase = self.table.opened.competition.phase;
        let act = match self.table.flight.state {
            // A sheet of it was given back.
            Progress::Poured if self.agreed.is_some() => Act::AgreeAgain,
            _ => Act::Agree,
        };
        self.table.leads && allows(phase, act)
    }
}

/// What another judge's sheet is, or how far.
struct OtherRow {
    name: String,
    says: String,
}

/// A glass at the table.
struct GlassRow {
    url: Option<String>,
    code: String,
    about: String,
    own: String,
    others: Vec<OtherRow>,
    apart: String,
    agreed: String,
}

/// The fields with which a table settles a glass.
pub(super) struct SettleField {
    pub code: String,
    pub points: String,
    pub among: String,
    pub again: String,
    pub must_taste_again: bool,
}

/// The field of a code.
pub(super) fn field(of: &str, code: &str) -> String {
    format!("{of}_{code}")
}

#[derive(Template)]
#[template(path = "competitions/judging/table.html")]
pub(super) struct TablePage {
    shell: Shell,
    list_url: String,
    title: String,
    called: String,
    ordered: bool,
    judges: String,
    glasses: Vec<GlassRow>,
    waits_for: Vec<String>,
    is_agreed: bool,
    leads: bool,
    spread_most: u32,
    settle: Vec<SettleField>,
    settles_orders: bool,
    /// Groups of glasses that are level: code and field of each.
    level: Vec<Vec<(String, String)>>,
    agree_at: String,
    version: i32,
    order: Vec<(String, String)>,
    places: Vec<(String, String)>,
    order_at: Option<String>,
    order_version: i32,
    pub meanwhile: Vec<Difference>,
    form: FormState,
    once: String,
}

/// The page of a table, with a form as it was typed if there is one.
pub(super) fn table_page(
    app: &App,
    member: &Member,
    read: &Read,
    typed: Option<FormState>,
) -> Result<TablePage, Error> {
    let table = &read.table;
    let competition = &table.opened.competition;
    let rules = &competition.rules;
    let base = app.site.base();
    let at = [
        competition.public_id.as_str(),
        table.flight.public_id.as_str(),
    ];
    let ordered = table.is_ordered();
    let waits_for = read.waits_for();
    let settles = read.may_agree() && waits_for.is_empty();
    let form = typed.unwrap_or_else(|| filled(read));
    let own_order = read.orders.iter().find(|order| order.judge == member.id);
    let names: Vec<&str> = read.seats.iter().map(|seat| seat.name.as_str()).collect();
    let settle = table.glasses.iter().filter(|_| settles && !ordered);
    let codes = table.glasses.iter().filter(|_| ordered);
    Ok(TablePage {
        shell: shell(app, member),
        list_url: base.link(&paths::LIST.with(&at[..1])),
        title: competition.title.clone(),
        called: table.flight.called(),
        ordered,
        judges: names.join(", "),
        glasses: table
            .glasses
            .iter()
            .map(|glass| glass_row(app, member, read, glass))
            .collect(),
        waits_for,
        is_agreed: read.agreed.is_some() && table.flight.state == Progress::Done,
        leads: read.may_agree(),
        spread_most: rules.spread_most,
        settle: settle
            .map(|glass| SettleField {
                code: glass.code.clone(),
                points: field("points", &glass.code),
                among: field("among", &glass.code),
                again: field("again", &glass.code),
                must_taste_again: agree::must_taste_again(rules, &read.totals(glass)),
            })
            .collect(),
        settles_orders: settles && ordered,
        level: match settles && ordered {
            true => named(read.level()),
            false => Vec::new(),
        },
        agree_at: base.link(&paths::AGREE.with(&at)),
        version: read.agreed.as_ref().map_or(0, |(number, _)| *number),
        order: codes
            .map(|glass| (glass.code.clone(), field("place", &glass.code)))
            .collect(),
        places: std::iter::once((String::new(), "no place yet".to_owned()))
            .chain((1..=table.glasses.len()).map(|place| (place.to_string(), place.to_string())))
            .collect(),
        order_at: (ordered && allows(competition.phase, Act::WriteSheet) && read.agreed.is_none())
            .then(|| base.link(&paths::ORDER.with(&at))),
        order_version: own_order.map_or(0, |order| order.number),
        meanwhile: Vec::new(),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

/// Each code with the field of its place among those that are level.
fn named(level: Vec<Vec<String>>) -> Vec<Vec<(String, String)>> {
    let named = |code: String| {
        let name = field("among", &code);
        (code, name)
    };
    let groups = level.into_iter();
    groups
        .map(|group| group.into_iter().map(named).collect())
        .collect()
}

/// What stands in the fields first: what was agreed, else what the table begins to talk from, and the judge's own order.
pub(super) fn filled(read: &Read) -> FormState {
    let mut form = FormState::new();
    let judge = read.table.opened.viewer;
    let own = read.orders.iter().find(|order| order.judge == judge);
    for glass in &read.table.glasses {
        let code = &glass.code;
        let agreed = read.agreed.as_ref();
        let agreed = agreed.and_then(|(_, of)| of.entries.iter().find(|one| one.code == *code));
        let points = match agreed {
            Some(agreed) => agreed.points,
            None => agree::begin_from(&read.totals(glass)),
        };
        let points = points.map_or(String::new(), |points| points.to_string());
        form.set(&field("points", code), points);
        if agreed.is_some_and(|agreed| agreed.tasted_again) {
            form.set(&field("again", code), "yes");
        }
        let place = own.and_then(|order| order.codes.iter().position(|one| one == code));
        if let Some(place) = place {
            form.set(&field("place", code), (place + 1).to_string());
        }
    }
    form
}

fn glass_row(app: &App, member: &Member, read: &Read, glass: &Glass) -> GlassRow {
    let table = &read.table;
    let rules = &table.opened.competition.rules;
    let at = [
        table.opened.competition.public_id.as_str(),
        table.flight.public_id.as_str(),
        glass.code.as_str(),
    ];
    let sheet_url = || app.site.base().link(&paths::SHEET.with(&at));
    let reads_others = match table.is_ordered() {
        true => read.orders.iter().any(|order| order.judge == member.id),
        false => read.stage(glass, member.id) == Stage::Signed,
    };
    let says = |judge: MemberId, shown: bool| match (table.is_ordered(), shown) {
        (true, true) => order_says(read, glass, judge),
        (true, false) => String::new(),
        (false, true) => match read.total(glass, judge) {
            Some(1) => "1 point".to_owned(),
            Some(total) => format!("{total} points"),
            None => words::stage(read.stage(glass, judge)).to_owned(),
        },
        (false, false) => words::stage(read.stage(glass, judge)).to_owned(),
    };
    let others = read.seats.iter().filter(|seat| seat.judge != member.id);
    let totals = read.totals(glass);
    let agreed = read.agreed.as_ref();
    let agreed = agreed.and_then(|(_, of)| of.entries.iter().find(|one| one.code == glass.code));
    GlassRow {
        url: (!table.is_ordered()).then(sheet_url),
        code: glass.code.clone(),
        about: words::declared(&glass.declared),
        own: says(member.id, true),
        others: others
            .map(|seat| OtherRow {
                name: seat.name.clone(),
                says: says(seat.judge, reads_others),
            })
            .filter(|other| !other.says.is_empty())
            .collect(),
        apart: match agree::spread(&totals).filter(|_| reads_others && !table.is_ordered()) {
            Some(apart) if apart > rules.spread_most => {
                format!("{apart} points apart: taste it again")
            }
            Some(0) => "the same points".to_owned(),
            Some(1) => "1 point apart".to_owned(),
            Some(apart) => format!("{apart} points apart"),
            None => String::new(),
        },
        agreed: match agreed.filter(|_| reads_others) {
            Some(agreed) => agreed_says(agreed.points, agreed.place, agreed.goes_on),
            None => String::new(),
        },
    }
}

fn order_says(read: &Read, glass: &Glass, judge: MemberId) -> String {
    let order = read.orders.iter().find(|order| order.judge == judge);
    let place = order.and_then(|order| order.codes.iter().position(|code| *code == glass.code));
    place.map_or("no order yet".to_owned(), |place| {
        format!("place {}", place + 1)
    })
}

fn agreed_says(points: Option<u32>, place: Option<u32>, goes_on: bool) -> String {
    let points = points.map(|points| format!("{points} points"));
    let place = place.map(|place| format!("place {place}"));
    let goes_on = goes_on.then(|| "goes on".to_owned());
    let said: Vec<String> = [points, place, goes_on].into_iter().flatten().collect();
    said.join(", ")
}

fn told(done: Option<&str>) -> &'static str {
    match done {
        Some("signed") => "Signed. That was the last glass of this flight.",
        Some("stepped") => "Noted that you step back.",
        Some("agreed") => "Written down: the table has agreed.",
        Some("ordered") => "Your order is written down.",
        _ => "",
    }
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, flight)): Path<(String, String)>,
    Query(asked): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let table = AtTable::read(&mut conn, &member, (&id, &flight)).await?;
    let read = Read::of(&mut conn, table).await?;
    let mut shown = table_page(&app, &member, &read, None)?;
    shown.shell = shown.shell.saying(told(asked.done.as_deref()));
    not_stored(page(&shown))
}
