//! Orders in words, for their own pages and the club's.

use super::model::{Honey, Line, Order, Phase, Sum, Tick};
use super::share::MG_PER_KG;
use super::{forms, paths};
use crate::app::App;
use crate::recipes;
use crate::web::dates::date;
use crate::web::units;
use crate::web::viewer::Member;

/// One order in a list.
pub struct Row {
    pub title: String,
    pub url: String,
    pub meta: String,
    pub open: bool,
}

/// One honey of an order.
pub struct HoneyRow {
    pub id: String,
    pub name: String,
    pub price: String,
    pub pack: String,
    pub price_text: String,
    pub pack_text: String,
    pub asked: String,
    pub bought: String,
    pub cost: String,
    pub wanted: bool,
}

/// One line that somebody added.
pub struct LineRow {
    pub who: String,
    pub what: String,
    pub recipe: Option<(String, String)>,
    pub volume: String,
    pub remove_at: Option<String>,
}

/// What one member pays.
pub struct ShareRow {
    pub id: String,
    pub who: String,
    pub gets: String,
    pub own: String,
    pub rest: String,
    pub delivery: String,
    pub total: String,
    pub paid: bool,
    pub handed: bool,
}

fn kg_of(mg: u64) -> f64 {
    mg as f64 / MG_PER_KG
}

/// An order for a list.
pub fn row(app: &App, member: &Member, order: &Order) -> Row {
    let last = date(forms::last_day(order, member.settings.zone));
    let phase = order.phase(app.clock.now());
    let state = match phase {
        Phase::Open => format!("open until {last}"),
        Phase::Closed => "closed: being bought, paid and handed over".to_owned(),
        Phase::Done => "done".to_owned(),
        Phase::Cancelled => "called off".to_owned(),
    };
    Row {
        title: order.said.title.clone(),
        url: app
            .site
            .base()
            .link(&paths::ORDER.with(&[&order.public_id])),
        meta: format!("{state} · opened by {}", order.opener_name),
        open: phase == Phase::Open,
    }
}

/// What is offered, with what it comes to.
pub fn honey_rows(app: &App, member: &Member, honeys: &[Honey], sum: &Sum) -> Vec<HoneyRow> {
    let (units, currency) = (member.settings.units, app.site.currency());
    let rows = honeys.iter().zip(&sum.bill.honeys).map(|(honey, bill)| {
        let offer = &honey.offer;
        HoneyRow {
            id: honey.public_id.clone(),
            name: offer.name.clone(),
            price: currency.sum(offer.price_per_kg),
            pack: units::mass(offer.pack_kg, units),
            price_text: currency.plain(offer.price_per_kg),
            pack_text: units::mass_text(offer.pack_kg, units),
            asked: match bill.asked_mg {
                0 => "–".to_owned(),
                mg => units::mass(kg_of(mg), units),
            },
            bought: match bill.packs {
                0 => "–".to_owned(),
                packs => format!("{packs} × {}", units::mass(offer.pack_kg, units)),
            },
            cost: currency.plain(bill.cost),
            wanted: bill.asked_mg > 0,
        }
    });
    rows.collect()
}

/// What everybody added; a member takes back their own while the order is open.
pub fn line_rows(
    app: &App,
    member: &Member,
    order: &Order,
    honeys: &[Honey],
    lines: &[Line],
) -> Vec<LineRow> {
    let units = member.settings.units;
    let open = order.phase(app.clock.now()) == Phase::Open;
    let base = app.site.base();
    let name = |line: &Line| {
        let honey = honeys.iter().find(|honey| honey.public_id == line.honey);
        honey.map_or("", |honey| honey.offer.name.as_str())
    };
    let row = |line: &Line| LineRow {
        who: match line.member == member.id {
            true => "you".to_owned(),
            false => line.member_name.clone(),
        },
        what: format!("{} {}", units::mass(line.kg, units), name(line)),
        recipe: line
            .recipe
            .as_ref()
            .map(|(id, title)| (base.link(&recipes::paths::SHEET.with(&[id])), title.clone())),
        volume: line
            .volume_l
            .map_or(String::new(), |litres| units::volume(litres, units)),
        remove_at: (open && line.member == member.id)
            .then(|| base.link(&paths::TAKE_BACK.with(&[&order.public_id, &line.public_id]))),
    };
    lines.iter().map(row).collect()
}

/// Who pays what.
pub fn share_rows(
    app: &App,
    member: &Member,
    honeys: &[Honey],
    sum: &Sum,
    ticks: &[Tick],
) -> Vec<ShareRow> {
    let (units, currency) = (member.settings.units, app.site.currency());
    let rows = sum
        .buyers
        .iter()
        .zip(&sum.bill.shares)
        .map(|(buyer, share)| {
            let gets = honeys.iter().zip(&share.gets_mg).filter(|(_, mg)| **mg > 0);
            let gets = gets.map(|(honey, mg)| {
                format!("{} {}", units::mass(kg_of(*mg), units), honey.offer.name)
            });
            let tick = ticks.iter().find(|tick| tick.member == buyer.id);
            ShareRow {
                id: buyer.public_id.clone(),
                who: match buyer.id == member.id {
                    true => format!("{} (you)", buyer.name),
                    false => buyer.name.clone(),
                },
                gets: gets.collect::<Vec<_>>().join(", "),
                own: currency.plain(share.own),
                rest: currency.plain(share.rest),
                delivery: currency.plain(share.delivery),
                total: currency.plain(share.total()),
                paid: tick.is_some_and(|tick| tick.paid),
                handed: tick.is_some_and(|tick| tick.handed),
            }
        });
    rows.collect()
}

/// The list for whoever opened it, as comma-separated values. What a spreadsheet would take for a formula is quoted.
pub fn table(
    app: &App,
    honeys: &[Honey],
    sum: &Sum,
    ticks: &[Tick],
) -> Result<Vec<u8>, csv::Error> {
    let currency = app.site.currency();
    let mut out = csv::Writer::from_writer(Vec::new());
    let mut head = vec!["member".to_owned()];
    head.extend(
        honeys
            .iter()
            .map(|honey| format!("{}, kg", plain(&honey.offer.name))),
    );
    for column in ["honey", "rest of packs", "delivery", "in all"] {
        head.push(format!("{column}, {currency}"));
    }
    head.extend(["paid".to_owned(), "handed over".to_owned()]);
    out.write_record(&head)?;
    let yes = |is: bool| if is { "yes" } else { "no" }.to_owned();
    for (buyer, share) in sum.buyers.iter().zip(&sum.bill.shares) {
        let tick = ticks.iter().find(|tick| tick.member == buyer.id);
        let mut row = vec![plain(&buyer.name)];
        row.extend(share.gets_mg.iter().map(|mg| units::plain(kg_of(*mg), 3)));
        for coins in [share.own, share.rest, share.delivery, share.total()] {
            row.push(currency.plain(coins));
        }
        row.push(yes(tick.is_some_and(|tick| tick.paid)));
        row.push(yes(tick.is_some_and(|tick| tick.handed)));
        out.write_record(&row)?;
    }
    let mut last = vec!["all".to_owned()];
    last.extend(
        sum.bill
            .honeys
            .iter()
            .map(|honey| units::plain(kg_of(honey.bought_mg), 3)),
    );
    let total = |part: fn(&super::share::Share) -> i64| {
        currency.plain(sum.bill.shares.iter().map(part).sum())
    };
    last.push(total(|share| share.own));
    last.push(total(|share| share.rest));
    last.push(total(|share| share.delivery));
    last.push(currency.plain(sum.bill.total()));
    last.extend([String::new(), String::new()]);
    out.write_record(&last)?;
    out.into_inner().map_err(|fault| fault.into_error().into())
}

/// A text that no spreadsheet takes for a formula.
fn plain(text: &str) -> String {
    match text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        true => format!("'{text}"),
        false => text.to_owned(),
    }
}
