//! Asked once more before a duty is taken from a judge who sits at tables: which seats go with it.

use askama::Template;
use axum::extract::{Path, State};

use super::store;
use crate::app::App;
use crate::competitions::flights::model::State as Progress;
use crate::competitions::flights::store as flights;
use crate::competitions::model::Duty;
use crate::competitions::opened::Opened;
use crate::competitions::organise::paths;
use crate::competitions::phases::Act;
use crate::competitions::shown::shell;
use crate::web::error::Error;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::Shell;
use crate::web::viewer::Member;

/// A table that they leave.
struct Left {
    called: String,
    /// It was poured: what they signed there counts no more.
    poured: bool,
}

#[derive(Template)]
#[template(path = "competitions/organise/take_seats.html")]
struct TakeSeatsPage {
    shell: Shell,
    title: String,
    roster_url: String,
    take_at: String,
    public_id: String,
    name: String,
    tables: Vec<Left>,
}

pub(in crate::competitions::organise) async fn show(
    State(app): State<App>,
    member: Member,
    Path((id, judge)): Path<(String, String)>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = Opened::read(&mut conn, &member, &id).await?;
    opened.demand(&[Duty::Organiser])?;
    if !opened.allows(Act::SetRoster) {
        return Err(Error::not_found());
    }
    let competition = opened.competition.id;
    let helpers = store::all(&mut conn, competition).await?.into_iter();
    let mut judges = helpers.filter(|one| one.duty == Duty::Judge);
    let helper = judges.find(|one| one.public_id == judge);
    let helper = helper.ok_or_else(Error::not_found)?;
    let own = flights::of_judge(&mut conn, competition, helper.member).await?;
    drop(conn);
    let own = own.iter().filter(|flight| flight.state != Progress::Done);
    let base = app.site.base();
    not_stored(page(&TakeSeatsPage {
        shell: shell(&app, &member),
        title: opened.competition.title.clone(),
        roster_url: base.link(&paths::ROSTER.with(&[&id])),
        take_at: base.link(&paths::TAKE_DUTY.with(&[&id])),
        public_id: helper.public_id,
        name: helper.name,
        tables: own
            .map(|flight| Left {
                called: flight.called(),
                poured: flight.state == Progress::Poured,
            })
            .collect(),
    }))
}
