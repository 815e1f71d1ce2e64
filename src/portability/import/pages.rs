//! The pages of the import: choose a file, see what would come in, take it in.

use askama::Template;
use axum::extract::multipart::Multipart;
use axum::extract::{Query, State};
use serde::Deserialize;
use sqlx::PgConnection;

use super::{BadExport, Opened, Report, open, store, take};
use crate::app::App;
use crate::portability::costly::{self, Turn};
use crate::portability::{archive, paths};
use crate::web::Error;
use crate::web::dates::moment;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, not_stored, page, see_other};
use crate::web::shell::{Nav, Shell};
use crate::web::viewer::{Member, Viewer};

#[derive(Template)]
#[template(path = "portability/import.html")]
struct ImportPage {
    shell: Shell,
    form: FormState,
    action: String,
    settings: String,
    hint: String,
}

#[derive(Template)]
#[template(path = "portability/waiting.html")]
struct WaitingPage {
    shell: Shell,
    once: String,
    action: String,
    another: String,
    from: String,
    rows: Vec<Row>,
    faults: Vec<String>,
    /// Whether there is anything to take in.
    is_news: bool,
    kept: bool,
}

/// A kind of things in words.
struct Row {
    what: String,
    state: String,
}

/// What was done just now, for the message above the page.
#[derive(Deserialize)]
pub(in crate::portability) struct Done {
    done: Option<String>,
}

fn import_page(app: &App, viewer: &Viewer, form: FormState) -> ImportPage {
    let base = app.site.base();
    ImportPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        form,
        action: base.link(paths::UPLOAD.path),
        settings: base.link(crate::members::paths::SETTINGS.path),
        hint: format!(
            "A ZIP file, as the export gave it to you; at most {} MB.",
            archive::MAX_PACKED / (1024 * 1024)
        ),
    }
}

pub(in crate::portability) async fn show(
    State(app): State<App>,
    viewer: Viewer,
    _: Member,
    Query(query): Query<Done>,
) -> Answer {
    let mut shown = import_page(&app, &viewer, FormState::new());
    shown.shell = match query.done.as_deref() {
        Some("taken") => shown
            .shell
            .saying("Everything in the file is yours here now."),
        Some("gone") => shown
            .shell
            .warning("No file waits any more: it is kept for an hour. Choose it again."),
        _ => shown.shell,
    };
    not_stored(page(&shown))
}

/// The bytes of the file that was chosen; none when nothing was, too many when they do not fit.
async fn file_in(mut form: Multipart) -> Result<Option<Vec<u8>>, BadExport> {
    let broken = |_| BadExport::Archive(archive::BadArchive::TooLarge);
    while let Some(mut field) = form.next_field().await.map_err(broken)? {
        if field.name() != Some("file") {
            continue;
        }
        let mut bytes = Vec::new();
        while let Some(piece) = field.chunk().await.map_err(broken)? {
            if bytes.len() + piece.len() > archive::MAX_PACKED {
                return Err(archive::BadArchive::TooLarge.into());
            }
            bytes.extend_from_slice(&piece);
        }
        return Ok(Some(bytes).filter(|bytes| !bytes.is_empty()));
    }
    Ok(None)
}

pub(in crate::portability) async fn upload(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    sent: Result<Multipart, axum::extract::multipart::MultipartRejection>,
) -> Answer {
    let sent =
        sent.map_err(|_| Error::bad_request("Choose the file on the page of the import."))?;
    let mut form = FormState::new();
    let bytes = match file_in(sent).await {
        Ok(Some(bytes)) => bytes,
        Ok(None) => {
            form.refuse("file", "Choose the file that the export gave you.");
            return not_stored(form_again(&import_page(&app, &viewer, form)));
        }
        Err(why) => {
            form.refuse("file", why.to_string());
            return not_stored(form_again(&import_page(&app, &viewer, form)));
        }
    };
    // One's turn begins when the file is here: whoever sends slowly keeps nobody waiting.
    let turn = costly::turn().await?;
    let whole = bytes.clone();
    if let Err(why) = turn.work(move || open(&whole)).await? {
        form.refuse("file", why.to_string());
        return not_stored(form_again(&import_page(&app, &viewer, form)));
    }
    let mut conn = app.pool.acquire().await?;
    store::keep(&mut conn, member.id, &bytes, app.clock.now()).await?;
    see_other(app.site.base(), paths::WAITING.path)
}

/// The file that waits, read; none when it is gone.
async fn waiting_for(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    turn: &Turn,
) -> Result<Option<Opened>, Error> {
    match store::find(conn, member.id, app.clock.now()).await? {
        None => Ok(None),
        // It was sound when it came.
        Some(bytes) => Ok(turn.work(move || open(&bytes)).await?.ok()),
    }
}

fn gone(app: &App) -> Answer {
    see_other(
        app.site.base(),
        &format!("{}?done=gone", paths::IMPORT.path),
    )
}

pub(in crate::portability) async fn waiting(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
) -> Answer {
    let turn = costly::turn().await?;
    let mut tx = app.pool.begin().await?;
    let Some(opened) = waiting_for(&app, &mut tx, &member, &turn).await? else {
        return gone(&app);
    };
    // Tried, and undone: what is shown is what will be.
    let report = take(&mut tx, &opened, &member, true, app.clock.now()).await?;
    tx.rollback().await?;
    not_stored(page(&waiting_page(
        &app, &viewer, &member, &opened, report,
    )?))
}

fn waiting_page(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    opened: &Opened,
    report: Report,
) -> Result<WaitingPage, Error> {
    let base = app.site.base();
    let made = opened
        .made_at
        .map(|at| format!(", on {}", moment(at, member.settings.zone)))
        .unwrap_or_default();
    let rows: Vec<Row> = report.lines.iter().filter_map(row).collect();
    Ok(WaitingPage {
        shell: app.shell(viewer).at_place(Nav::Settings),
        once: Once::fresh(viewer)?,
        action: base.link(paths::TAKE_IN.path),
        another: base.link(paths::IMPORT.path),
        from: format!("Made by {} of {}{made}.", opened.by, opened.club),
        is_news: report.lines.iter().any(|line| line.new + line.kept > 0),
        kept: report.lines.iter().any(|line| line.kept > 0),
        faults: report.faults,
        rows,
    })
}

fn row(line: &super::Line) -> Option<Row> {
    let whole = line.new + line.same + line.kept;
    if whole == 0 {
        return None;
    }
    let what = match whole {
        1 => format!("one {}", line.words.0),
        many => format!("{many} {}", line.words.1),
    };
    let parts = [
        (line.new, "to come in"),
        (line.same, "here already"),
        (line.kept, "kept as they came"),
    ];
    let parts = parts.into_iter().filter(|(count, _)| *count > 0);
    let state = match whole {
        1 => parts.map(|(_, words)| words.to_owned()).collect::<Vec<_>>(),
        _ => parts
            .map(|(count, words)| format!("{count} {words}"))
            .collect(),
    };
    Some(Row {
        what,
        state: state.join(", ").replace(
            "kept as they came",
            if whole == 1 {
                "kept as it came"
            } else {
                "kept as they came"
            },
        ),
    })
}

pub(in crate::portability) async fn take_in(
    State(app): State<App>,
    viewer: Viewer,
    member: Member,
    posted: Posted,
) -> Answer {
    let once = Once::read(&posted, &member)?;
    let with_settings = posted.one("with_settings")? == "yes";
    let turn = costly::turn().await?;
    let mut tx = app.pool.begin().await?;
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::TAKE_IN).await? {
        return see_other(app.site.base(), &location);
    }
    let Some(opened) = waiting_for(&app, &mut tx, &member, &turn).await? else {
        return gone(&app);
    };
    let report = take(&mut tx, &opened, &member, with_settings, app.clock.now()).await?;
    if !report.faults.is_empty() {
        tx.rollback().await?;
        let shown = waiting_page(&app, &viewer, &member, &opened, report)?;
        return not_stored(form_again(&shown));
    }
    store::drop_one(&mut tx, member.id).await?;
    let location = format!("{}?done=taken", paths::IMPORT.path);
    once::settle(&mut tx, &once, &member, paths::TAKE_IN, &location).await?;
    tx.commit().await?;
    let new: usize = report.lines.iter().map(|line| line.new).sum();
    tracing::info!(member = member.id.0, new, "imported");
    see_other(app.site.base(), &location)
}
