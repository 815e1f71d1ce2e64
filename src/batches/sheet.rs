//! The sheet of a batch: where it is, what is next, what is to be expected, what its log holds.

use askama::Template;
use axum::extract::{Path, Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::ageing::{self, AgeingPart};
use super::bottling;
use super::cellar;
use super::house;
use super::known::KnownPart;
use super::labels;
use super::log::part::{AskedPart, LogPart, Reader};
use super::log::pictures;
use super::log::said::said;
use super::opened::{Opened, open, settings_of};
use super::outlook::{self, OutlookPart};
use super::parting::{Kin, kin};
use super::paths;
use super::plan::{self, PlanPart};
use super::view::{ended, lead};
use crate::app::App;
use crate::competitions::results::{self, notes};
use crate::recipes;
use crate::tastings::aged::AgedPart;
use crate::web::error::Error;
use crate::web::pages::{Answer, page};
use crate::web::paths::Route;
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "batches/batch.html")]
struct BatchPage {
    shell: Shell,
    list_url: String,
    name: String,
    by: String,
    made_of: Option<(String, String)>,
    supposed: bool,
    lead: String,
    outlook: OutlookPart,
    plan: Option<PlanPart>,
    /// What is asked about the entry that was just written.
    asked: Option<AskedPart>,
    known: KnownPart,
    aged: AgedPart,
    /// How it was liked, by its age.
    ageing: Option<AgeingPart>,
    /// What is left of its bottles; for its maker alone.
    bottles: Vec<cellar::LotRow>,
    log: LogPart,
    /// How it ended.
    ended: &'static str,
    csv_url: String,
    json_url: String,
    kin: Kin,
    /// What only its maker may do.
    own: Option<Own>,
}

struct Own {
    log_url: String,
    go_on_at: String,
    series_url: String,
    about_url: String,
    finishing_url: String,
    bottling_url: String,
    labels_url: String,
    parts_url: String,
    top_up_url: String,
    trial_url: String,
    blend_url: String,
    next_url: String,
    /// Once it was judged at a competition.
    judged_url: Option<String>,
    sensors_url: String,
    import_url: String,
    bin_at: String,
    unbin_at: Option<String>,
}

#[derive(Deserialize)]
pub(super) struct Told {
    done: Option<String>,
    /// The entry that was written.
    entry: Option<i32>,
}

pub(super) async fn show(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let opened = open(&mut conn, Some(member.id), &settings_of(&member), &id).await?;
    let pictures = pictures::store::list(&mut conn, opened.batch.id).await?;
    let outlook = outlook_part(&app, &member, &mut conn, &opened).await?;
    let kin = kin(&mut conn, app.site.base(), &member, &opened.batch).await?;
    let aged = AgedPart::of(&mut conn, app.site.base(), member.id, &opened).await?;
    let mut shown = batch_page(&app, &member, &opened, (&pictures, outlook, kin, aged))?;
    shown.ageing = ageing::of_batch(&mut conn, member.id, opened.batch.id).await?;
    if opened.batch.owner == member.id {
        shown.bottles = bottles(&app, &member, &mut conn, &opened).await?;
    }
    if let Some(own) = &mut shown.own {
        let judged = notes::store::is_judged(&mut conn, member.id, &opened.batch.public_id).await?;
        let path = results::paths::NOTES.with(&[opened.batch.public_id.as_str()]);
        own.judged_url = judged.then(|| app.site.base().link(&path));
    }
    let written = told
        .entry
        .filter(|_| told.done.as_deref() == Some("logged"));
    let written = opened.log.iter().find(|one| Some(one.entry) == written);
    if let Some(written) = written {
        let reader = reader(&app, &member, &opened);
        shown.asked = AskedPart::of(&opened, written, &reader);
        let said = said(&app, &mut conn, &member, (&opened, written), &reader).await?;
        shown.shell = shown.shell.saying(said);
        return page(&shown);
    }
    drop(conn);
    let words = match told.done.as_deref() {
        Some("started") => "Started. Its log begins with the mixing.",
        Some("taken-in") => "Taken in. Read its gravity next: that tells where it is.",
        Some("saved") => "Saved.",
        Some("parted") => {
            "Parted. Each part has a log of its own, which begins with all that was logged here."
        }
        Some("blended") => "Blended. What was there of the others is written into their logs.",
        Some("imported") => "Taken in.",
        Some("logged") => "Written into the log.",
        Some("struck") => "Taken out of the log. It can count again: open it below.",
        Some("restored") => "It counts again.",
        Some("goes-on") => "It goes on.",
        Some("picture-removed") => "The picture is removed.",
        Some("back") => "Back from the bin.",
        Some("step-done") => "Done. What comes next stands below.",
        Some("step-left-out") => "Left out. What follows is reckoned anew.",
        Some("step-moved") => "Moved. What follows is reckoned anew.",
        Some("step-taken-back") => "Taken back. It stands as before.",
        _ => "",
    };
    shown.shell = shown.shell.saying(words);
    page(&shown)
}

/// Its bottles in the cellar.
async fn bottles(
    app: &App,
    member: &Member,
    conn: &mut PgConnection,
    opened: &Opened,
) -> Result<Vec<cellar::LotRow>, Error> {
    let lots = cellar::store::lots(conn, member.id, Some(&opened.batch.public_id)).await?;
    let reader = cellar::pages::reader(app, member);
    let rows = lots.iter().map(|lot| cellar::LotRow::of(lot, &reader));
    Ok(rows.collect())
}

/// For whom its log is drawn.
fn reader<'a>(app: &'a App, member: &Member, opened: &Opened) -> Reader<'a> {
    Reader {
        base: app.site.base(),
        zone: member.settings.zone,
        units: member.settings.units,
        is_own: opened.batch.owner == member.id,
    }
}

/// What is to be expected of it now.
async fn outlook_part(
    app: &App,
    member: &Member,
    conn: &mut PgConnection,
    opened: &Opened,
) -> Result<OutlookPart, Error> {
    let earlier = outlook::store::earlier(conn).await?;
    let now = app.clock.now();
    let sight = outlook::sight(opened, opened.batch.hours_at(now), earlier, false);
    let reader = outlook::words::Reader {
        base: app.site.base(),
        now,
        zone: member.settings.zone,
        units: member.settings.units,
    };
    let mut part = OutlookPart::of(opened, &sight, &reader);
    let finished = house::store::finished(conn).await?;
    part.house = house::words::of_batch(&finished, opened);
    Ok(part)
}

fn batch_page(
    app: &App,
    member: &Member,
    opened: &Opened,
    (pictures, outlook, kin, aged): (&[pictures::store::Picture], OutlookPart, Kin, AgedPart),
) -> Result<BatchPage, Error> {
    let batch = &opened.batch;
    let base = app.site.base();
    let at = |route: Route| base.link(&route.with(&[batch.public_id.as_str()]));
    let (zone, reads) = (member.settings.zone, member.settings.units);
    Ok(BatchPage {
        shell: app
            .shell(&Viewer::known(member.clone()))
            .at_place(Nav::Batches),
        list_url: base.link(paths::LIST.path),
        name: batch.name.clone(),
        by: match batch.owner == member.id {
            true => String::new(),
            false => format!("by {}", batch.owner_name),
        },
        made_of: batch.made_of.as_ref().map(|made| {
            let number = made.number.to_string();
            let path = recipes::paths::REVISION.with(&[made.recipe.as_str(), &number]);
            let words = format!("{}, revision {number}", made.title);
            (words, base.link(&path))
        }),
        supposed: batch.supposed,
        lead: lead(opened, app.clock.now(), zone, reads),
        outlook,
        plan: plan::part(app, member, opened)?,
        asked: None,
        known: KnownPart::of(
            opened,
            reads,
            (batch.owner == member.id).then(|| app.site.currency()),
        ),
        aged,
        ageing: None,
        bottles: Vec::new(),
        log: LogPart::of(opened, pictures, &reader(app, member, opened)),
        ended: batch.ending.map_or("", ended),
        csv_url: at(paths::LOG_CSV),
        json_url: at(paths::LOG_JSON),
        kin,
        own: (batch.owner == member.id).then(|| Own {
            log_url: at(paths::LOG),
            go_on_at: at(paths::GO_ON),
            series_url: at(paths::INTO_SERIES),
            about_url: at(paths::ABOUT),
            finishing_url: at(paths::FINISHING),
            bottling_url: at(bottling::paths::BOTTLING),
            labels_url: at(labels::paths::LABELS),
            parts_url: at(paths::PARTS),
            top_up_url: at(paths::TOP_UP),
            trial_url: at(paths::SPLIT_TRIAL),
            blend_url: at(paths::BLEND),
            next_url: at(paths::NEXT),
            judged_url: None,
            sensors_url: at(paths::SENSORS),
            import_url: at(paths::IMPORT),
            bin_at: at(paths::BIN),
            unbin_at: batch.binned_at.map(|_| at(paths::UNBIN)),
        }),
    })
}
