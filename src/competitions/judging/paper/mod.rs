//! Sheets as organisers and stewards look after them: how far all are; those on paper, typed in by one person and compared by a
//! second; given back with a reason. Whoever has an entry in a category finds nothing of it here, nor of a table they sit at.

mod page;

use self::page::paper_page;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use serde_json::{Value, json};
use sqlx::PgConnection;

use super::forms;
use super::model::{self, Asked, Deed, Sitting, Stage, Written};
use super::paths;
use super::store::{self, Next};
use super::ways::{looks_after_sheets, walls};
use crate::app::App;
use crate::competitions::deeds;
use crate::competitions::flights::conflicts;
use crate::competitions::flights::model::{Flight, Glass, Kind, State as Progress};
use crate::competitions::flights::store as flights;
use crate::competitions::model::{Duty, Phase};
use crate::competitions::opened::Opened;
use crate::competitions::phases::{self, Act};
use crate::competitions::store as competitions;
use crate::engine::contest::rules::Rules;
use crate::engine::contest::sheet::Sheet;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::Once;
use crate::web::pages::{Answer, form_again, not_stored, page, page_with, see_other};
use crate::web::paths::Routes;
use crate::web::typed::Typed;
use crate::web::viewer::Member;

/// Letters of a reason.
const REASON_MAX: usize = 600;

/// Binds the handlers.
pub(super) fn bind(routes: Routes<App>) -> Routes<App> {
    routes
        .on(paths::PAPER, show)
        .on(paths::TYPE, type_in)
        .on(paths::CHECK, check)
        .on(paths::REOPEN, reopen)
}

/// Competition, flight, code and judge of an address.
type At = (String, String, String, String);

/// A sheet as somebody looks after it who sits at no table of its flight.
struct LookedAfter {
    opened: Opened,
    flight: Flight,
    glass: Glass,
    judge: Sitting,
    last: Option<Written>,
}

impl LookedAfter {
    async fn read(conn: &mut PgConnection, member: &Member, at: &At) -> Result<LookedAfter, Error> {
        let opened = Opened::read(conn, member, &at.0).await?;
        let competition = opened.competition.id;
        if !looks_after_sheets(&opened) {
            return Err(Error::not_found());
        }
        let flight = flights::find(conn, competition, &at.1).await?;
        let flight = flight.filter(|flight| !matches!(flight.kind, Kind::Final | Kind::Best));
        let flight = flight.ok_or_else(Error::not_found)?;
        let walls = walls(conn, &opened).await?;
        let glasses = flights::glasses_of(conn, competition, flight.id).await?;
        let mut glasses = glasses.into_iter();
        let glass = glasses.find(|glass| glass.code == at.2 && !walls.contains(&glass.category));
        let table = store::at_table(conn, flight.id).await?;
        let sits = table.iter().any(|seat| seat.judge == member.id);
        let mut table = table.into_iter().filter(|_| !sits);
        let judge = table.find(|seat| seat.public_id.as_str() == at.3);
        let glass = glass.ok_or_else(Error::not_found)?;
        let judge = judge.ok_or_else(Error::not_found)?;
        let last = store::last(conn, flight.id, glass.entry, judge.judge).await?;
        Ok(LookedAfter {
            opened,
            flight,
            glass,
            judge,
            last,
        })
    }

    /// The same once the competition is held, with everything asked again that must hold.
    async fn held(
        conn: &mut PgConnection,
        member: &Member,
        (at, act): (&At, Act),
    ) -> Result<LookedAfter, Error> {
        let opened = Opened::read(conn, member, &at.0).await?;
        let competition = opened.competition.id;
        let phase = competitions::hold(conn, competition).await?;
        let found = LookedAfter::read(conn, member, at).await?;
        phases::demand(phase, act)?;
        let forbidden = conflicts::forbidden(conn, competition).await?;
        if act == Act::TypePaper && forbidden.has(found.judge.judge, found.glass.entry) {
            return Err(Error::conflict(
                "This judge and this entry are kept apart, so nothing was written. Look whether judge and code are the right ones.",
            ));
        }
        Ok(found)
    }

    /// Whether judge and table are still there to mend it: once judging is over nobody is seated any more, and no paper typed in.
    async fn can_be_mended(&self, conn: &mut PgConnection) -> Result<(), Error> {
        let competition = self.opened.competition.id;
        let table = store::at_table(conn, self.flight.id).await?;
        let leader = table.iter().find(|seat| seat.leads).map(|seat| seat.judge);
        for judge in [Some(self.judge.judge), leader] {
            let duties = match judge {
                Some(judge) => competitions::duties(conn, judge, competition).await?,
                None => Vec::new(),
            };
            if !duties.contains(&Duty::Judge) {
                return Err(Error::conflict(
                    "Its judge, or whoever leads the table, does not judge here any more. Go back to judging first: there somebody else is seated, and paper is typed in.",
                ));
            }
        }
        Ok(())
    }

    fn rules(&self) -> &Rules {
        &self.opened.competition.rules
    }

    fn stage(&self) -> Stage {
        model::stage(self.last.as_ref())
    }

    /// Adds a row with its deed.
    async fn add(
        &self,
        app: &App,
        conn: &mut PgConnection,
        (deed, sheet, reason): (Deed, Sheet, &str),
    ) -> Result<(), Error> {
        let now = app.clock.now();
        let asked = Asked {
            version: 0,
            hand: String::new(),
            sequence: 0,
            sheet,
        };
        let next = Next {
            flight: self.flight.id,
            entry: self.glass.entry,
            judge: self.judge.judge,
            after: self.last.as_ref().map_or(0, |last| last.number),
            deed,
            asked: &asked,
            by: self.opened.viewer,
            at: now,
        };
        let row = store::add(conn, &next).await?;
        let done = deeds::Deed {
            deed: deed.told(),
            about: self.about(row, &asked.sheet),
            reason,
        };
        let competition = self.opened.competition.id;
        deeds::write(conn, competition, Some(self.opened.viewer), &done, now).await?;
        Ok(())
    }

    fn about(&self, row: i32, sheet: &Sheet) -> Value {
        json!({
            "flight": self.flight.public_id.as_str(),
            "code": self.glass.code,
            "judge": self.judge.public_id.as_str(),
            "row": row,
            "sheet": model::digest(sheet),
        })
    }
}

async fn show(State(app): State<App>, member: Member, Path(at): Path<At>) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let found = LookedAfter::read(&mut conn, &member, &at).await?;
    not_stored(page(&paper_page(&app, &member, &found, FormState::new())?))
}

fn back(app: &App, at: &At) -> Answer {
    see_other(app.site.base(), &paths::SHEETS.with(&[&at.0]))
}

async fn type_in(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let found = LookedAfter::held(&mut tx, &member, (&at, Act::TypePaper)).await?;
    Once::read(&posted, &member)?;
    let asked = match forms::read(found.rules(), &posted, true)? {
        Ok(asked) => asked,
        Err(form) => return not_stored(form_again(&paper_page(&app, &member, &found, form)?)),
    };
    match (found.stage(), &found.last) {
        (Stage::Blank | Stage::Begun, _) => {}
        (_, Some(last)) if last.by == member.id && last.sheet == asked.sheet => {
            return back(&app, &at);
        }
        (_, last) => {
            let yours = FormState::of(&posted);
            let mut shown = paper_page(&app, &member, &found, yours.clone())?;
            if let Some(last) = last.as_ref().filter(|_| found.stage() == Stage::Typed) {
                shown.meanwhile = forms::differences(found.rules(), &last.sheet, &yours);
            }
            return not_stored(page_with(StatusCode::CONFLICT, &shown));
        }
    }
    found
        .add(&app, &mut tx, (Deed::Typed, asked.sheet, ""))
        .await?;
    tx.commit().await?;
    back(&app, &at)
}

/// The sheet that was typed first, with the points that the second reader typed.
fn with_points(first: &Sheet, second: &Sheet) -> Sheet {
    let mut sheet = first.clone();
    for (key, marked) in &second.sections {
        sheet.sections.entry(key.clone()).or_default().points = marked.points;
    }
    sheet
}

async fn check(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let found = LookedAfter::held(&mut tx, &member, (&at, Act::CheckPaper)).await?;
    Once::read(&posted, &member)?;
    let first = match (found.stage(), &found.last) {
        (Stage::Typed, Some(last)) if last.by != member.id => last.sheet.clone(),
        // Compared already, by these very hands: the form came twice.
        (Stage::Signed, Some(last)) if last.by == member.id => return back(&app, &at),
        _ => {
            return Err(Error::conflict(
                "This sheet waits for nobody's second look, or for somebody else's: whoever typed it does not compare it.",
            ));
        }
    };
    let asked = match forms::read(found.rules(), &posted, true)? {
        Ok(asked) => asked,
        Err(form) => return not_stored(form_again(&paper_page(&app, &member, &found, form)?)),
    };
    let second = with_points(&first, &asked.sheet);
    let deed = match (second == first, posted.one("insist")? == "yes") {
        (true, _) => Deed::Checked,
        // The paper says otherwise than the first reader: now somebody else compares this reading.
        (false, true) => Deed::Typed,
        (false, false) => {
            let form = disagree(&found, &first, &second, FormState::of(&posted));
            let mut shown = paper_page(&app, &member, &found, form)?;
            shown.insists = true;
            return not_stored(form_again(&shown));
        }
    };
    found.add(&app, &mut tx, (deed, second, "")).await?;
    tx.commit().await?;
    back(&app, &at)
}

/// Says beside each field where two readings of one paper differ.
fn disagree(found: &LookedAfter, first: &Sheet, second: &Sheet, mut form: FormState) -> FormState {
    let points =
        |sheet: &Sheet, key: &str| sheet.sections.get(key).and_then(|marked| marked.points);
    for section in &found.rules().sections {
        let (one, other) = (points(first, &section.key), points(second, &section.key));
        if one != other {
            let read = one.map_or("nothing".to_owned(), |one| one.to_string());
            let told = format!("The first reading says {read}. Look at the paper again.");
            form.refuse(&forms::points_field(&section.key), told);
        }
    }
    form
}

async fn reopen(
    State(app): State<App>,
    member: Member,
    Path(at): Path<At>,
    posted: Posted,
) -> Answer {
    let mut tx = app.pool.begin().await?;
    let found = LookedAfter::held(&mut tx, &member, (&at, Act::ReopenSheet)).await?;
    found.opened.demand(&[Duty::Organiser])?;
    Once::read(&posted, &member)?;
    let mut typed = Typed::of(&posted);
    let reason = typed.lines("reason", REASON_MAX)?;
    if reason.is_empty() {
        typed
            .form
            .refuse("reason", "Write why: it is kept for good.");
    }
    if !typed.form.is_sound() {
        return not_stored(form_again(&paper_page(&app, &member, &found, typed.form)?));
    }
    let (Stage::Signed, Some(last)) = (found.stage(), &found.last) else {
        return back(&app, &at);
    };
    if found.opened.competition.phase > Phase::Judging {
        found.can_be_mended(&mut tx).await?;
    }
    let sheet = last.sheet.clone();
    found
        .add(&app, &mut tx, (Deed::Reopened, sheet, &reason))
        .await?;
    if found.flight.state == Progress::Done {
        // The table agrees anew once it is signed again.
        flights::set_state(&mut tx, found.flight.id, Progress::Poured, app.clock.now()).await?;
    }
    tx.commit().await?;
    back(&app, &at)
}
