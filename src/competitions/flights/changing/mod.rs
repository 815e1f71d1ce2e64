//! Changing a flight by hand: what the rules refuse is refused here too, beside its field.

mod glasses;
mod table;

pub(super) use glasses::put as put_glasses;
pub(super) use table::put as put_table;

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, State as Shared};
use sqlx::PgConnection;

use super::model::{Glass, Judge, Kind, State};
use super::pour::{BLIND, WALLED_OFF, found, is_walled_off};
use super::view::{self, Around, GlassRow, Whole};
use super::{paths, store};
use crate::app::App;
use crate::competitions::entries::{self, Entry};
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::phases::Act;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::once::Once;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::Shell;
use crate::web::viewer::{Member, MemberId, Viewer};

/// The fewest seats that the form offers, and the most that a table has.
const SEATS: usize = 4;

/// A flight that is being changed, with everything that it is held against.
struct Changing {
    opened: Opened,
    whole: Whole,
    all: Vec<Whole>,
    judges: Vec<Judge>,
    /// Entries of its category that stand in no flight and can be poured.
    left: Vec<Entry>,
}

impl Changing {
    /// Of an organiser who has no entry in it, while it is not done.
    async fn read(
        conn: &mut PgConnection,
        member: &Member,
        (id, flight): &(String, String),
    ) -> Result<Changing, Error> {
        let opened = Opened::read(conn, member, id).await?;
        opened.demand(&[Duty::Organiser])?;
        if opened.is_blind() {
            return Err(Error::conflict(BLIND));
        }
        let (whole, all) = found(conn, &opened, flight).await?;
        if is_walled_off(conn, &opened, &whole).await? {
            return Err(Error::conflict(WALLED_OFF));
        }
        if whole.flight.state == State::Done {
            return Err(Error::conflict(
                "Its table has agreed: nothing of it changes any more.",
            ));
        }
        let entries = entries::store::all(conn, opened.competition.id).await?;
        let poured = |entry: &Entry| {
            all.iter()
                .any(|whole| whole.glasses.iter().any(|glass| glass.entry == entry.id))
        };
        let left = entries.into_iter().filter(|entry| {
            Some(entry.category) == whole.flight.category
                && whole.flight.kind == Kind::First
                && entry.can_be_poured()
                && !poured(entry)
        });
        Ok(Changing {
            left: left.collect(),
            judges: store::judges(conn, opened.competition.id).await?,
            whole,
            all,
            opened,
        })
    }

    /// Other flights into which its glasses may go: of the same category, not poured yet.
    fn others(&self) -> impl Iterator<Item = &Whole> {
        let own = &self.whole.flight;
        self.all.iter().filter(|other| {
            let flight = &other.flight;
            flight.id != own.id
                && flight.kind == own.kind
                && flight.category == own.category
                && flight.state == State::Planned
        })
    }

    /// Glasses that a judge is down for on a day, those of the flights in `but` not counted.
    fn down_for(&self, judge: MemberId, day: i32, but: &[i32]) -> usize {
        let own = self.all.iter().filter(|whole| {
            whole.flight.day == day
                && !but.contains(&whole.flight.number)
                && whole.table.iter().any(|seat| seat.judge == judge)
        });
        own.map(|whole| whole.glasses.len()).sum()
    }

    fn ceilings(&self) -> BTreeMap<MemberId, usize> {
        let rules = &self.opened.competition.rules;
        let of = |judge: &Judge| (judge.judge, super::making::ceiling(judge, rules));
        self.judges.iter().map(of).collect()
    }
}

/// A seat of the form.
struct SeatField {
    label: String,
    name: String,
}

/// A glass of the form.
struct GlassFields {
    row: GlassRow,
    place: String,
    to: String,
}

#[derive(Template)]
#[template(path = "competitions/flights/change.html")]
struct ChangePage {
    shell: Shell,
    competition_url: String,
    title: String,
    flight_url: String,
    called: String,
    version: String,
    seat_at: String,
    seats: Vec<SeatField>,
    judges: Vec<(String, String)>,
    /// While it is not poured.
    glasses_at: Option<String>,
    glasses: Vec<GlassFields>,
    to: Vec<(String, String)>,
    left: Vec<(String, String)>,
    form: FormState,
    once: String,
}

fn seat_field(at: usize) -> String {
    format!("seat_{at}")
}

fn place_field(glass: &Glass) -> String {
    format!("place_{}", glass.code)
}

fn to_field(glass: &Glass) -> String {
    format!("to_{}", glass.code)
}

/// The form with what stands.
fn filled(changing: &Changing) -> FormState {
    let mut form = FormState::new();
    fill_table(changing, &mut form);
    fill_glasses(changing, &mut form);
    form
}

fn fill_table(changing: &Changing, form: &mut FormState) {
    let public = |judge: MemberId| {
        let found = changing.judges.iter().find(|one| one.judge == judge);
        found.map_or(String::new(), |one| one.public_id.clone())
    };
    for (at, seat) in changing.whole.table.iter().enumerate() {
        form.set(&seat_field(at + 1), public(seat.judge));
    }
    form.set("day", changing.whole.flight.day.to_string());
    form.set("round", changing.whole.flight.session.to_string());
}

fn fill_glasses(changing: &Changing, form: &mut FormState) {
    for glass in &changing.whole.glasses {
        form.set(&place_field(glass), glass.place.to_string());
    }
}

fn change_page(
    app: &App,
    member: &Member,
    changing: &Changing,
    form: FormState,
) -> Result<ChangePage, Error> {
    let opened = &changing.opened;
    let flight = &changing.whole.flight;
    let around = Around::of(app, member, opened);
    let seats = (1..=SEATS.max(changing.whole.table.len() + 1)).map(|at| SeatField {
        label: match at {
            1 => "Leads the table".to_owned(),
            at => format!("Judge {at}"),
        },
        name: seat_field(at),
    });
    let nobody = (String::new(), "nobody".to_owned());
    let judge = |one: &Judge| {
        let name = match one.experienced {
            true => format!("{}, experienced", one.name),
            false => one.name.clone(),
        };
        (one.public_id.clone(), name)
    };
    let other = |whole: &Whole| (whole.flight.number.to_string(), whole.flight.called());
    let stays = [
        (String::new(), "stays here".to_owned()),
        ("out".to_owned(), "is not poured".to_owned()),
    ];
    let none = (String::new(), "none".to_owned());
    let entry = |entry: &Entry| (entry.code.clone(), entry.code.clone());
    Ok(ChangePage {
        competition_url: around.competition_url,
        title: around.title,
        flight_url: view::flight_url(app, opened, flight),
        called: flight.called(),
        version: flight.version.to_string(),
        seat_at: view::at_flight(app, opened, paths::SEAT, flight),
        seats: seats.collect(),
        judges: std::iter::once(nobody)
            .chain(changing.judges.iter().map(judge))
            .collect(),
        glasses_at: (flight.state == State::Planned)
            .then(|| view::at_flight(app, opened, paths::GLASSES, flight)),
        glasses: changing
            .whole
            .glasses
            .iter()
            .map(|glass| GlassFields {
                row: GlassRow::of(glass),
                place: place_field(glass),
                to: to_field(glass),
            })
            .collect(),
        to: stays
            .into_iter()
            .chain(changing.others().map(other))
            .collect(),
        left: match changing.left.as_slice() {
            [] => Vec::new(),
            left => std::iter::once(none)
                .chain(left.iter().map(entry))
                .collect(),
        },
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
        shell: around.shell,
    })
}

pub(super) async fn show(
    Shared(app): Shared<App>,
    member: Member,
    Path(at): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let changing = Changing::read(&mut conn, &member, &at).await?;
    if !changing.opened.allows(Act::SeatJudges) {
        return Err(Error::not_found());
    }
    let form = filled(&changing);
    not_stored(page(&change_page(&app, &member, &changing, form)?))
}

/// What a lost race is told: what stands now, in place of what was on the page.
fn meanwhile(changing: &Changing, form: &mut FormState) {
    let flight = &changing.whole.flight;
    let codes: Vec<&str> = changing
        .whole
        .glasses
        .iter()
        .map(|glass| glass.code.as_str())
        .collect();
    form.refuse_whole(format!(
        "Somebody else changed this flight meanwhile. It stands now: {}; at the table {}; glasses {}. \
         What you chose is below: send it again to put it in place.",
        view::when(flight).to_lowercase(),
        changing.whole.names(),
        codes.join(", ")
    ));
}
