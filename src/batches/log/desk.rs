//! What every page of the log has at hand, and how entries are written.

use sqlx::PgConnection;

use super::forms;
use super::sorts::{Case, Sort};
use super::tools::{self, Tool};
use crate::app::App;
use crate::batches::model::{Logged, NewEntry};
use crate::batches::opened::{Opened, open_own, refresh};
use crate::batches::start::Speaks;
use crate::batches::{paths, store};
use crate::catalogue::club::ClubCatalogue;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::typed::Typed;
use crate::web::viewer::Member;

/// A batch of the member's own with all that its forms know.
pub struct Desk {
    pub opened: Opened,
    pub tools: Vec<Tool>,
    pub catalogue: ClubCatalogue,
    pub to: Speaks,
}

impl Desk {
    /// Opens it.
    ///
    /// # Errors
    /// When the batch is not theirs.
    pub async fn of(
        app: &App,
        conn: &mut PgConnection,
        member: &Member,
        id: &str,
    ) -> Result<Desk, Error> {
        Ok(Desk {
            opened: open_own(conn, member, id).await?,
            tools: tools::of(conn, member).await?,
            catalogue: app.catalogue.now(conn).await?,
            to: Speaks {
                units: member.settings.units,
                zone: member.settings.zone,
                now: app.clock.now(),
            },
        })
    }

    /// The case of a new entry, or of one that is corrected.
    pub fn case<'a>(&'a self, member: &Member, before: Option<&'a Logged>) -> Case<'a> {
        Case {
            to: self.to,
            by: member.id,
            opened: &self.opened,
            catalogue: &self.catalogue,
            tools: &self.tools,
            before,
        }
    }
}

/// Reads an entry of a sort; with faults there is none, and they stand in the form.
///
/// # Errors
/// When a field came twice.
pub fn read(
    sort: &Sort,
    case: &Case<'_>,
    posted: &Posted,
) -> Result<(FormState, Option<NewEntry>), Error> {
    let mut typed = Typed::of(posted);
    let at = match case.before {
        Some(before) => forms::moment_again(&mut typed, case.to, before)?,
        None => forms::moment(&mut typed, case.to)?,
    };
    let deed = (sort.reads)(&mut typed, case)?;
    let sound = typed.form.is_sound();
    let entry = at.zip(deed).filter(|_| sound).map(|(at, deed)| NewEntry {
        typed: forms::as_typed(posted, sort, case),
        ..NewEntry::of(deed, at, case.by)
    });
    Ok((typed.form, entry))
}

/// Writes entries into the log of a batch of the member's own and keeps what follows. The number of the first.
///
/// # Errors
/// When it is not theirs.
pub async fn write(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    opened: &Opened,
    entries: &[NewEntry],
) -> Result<Option<i32>, Error> {
    let batch = &opened.batch;
    store::hold(conn, member.id, batch.id).await?;
    let mut first = None;
    for entry in entries {
        let number = store::add(conn, batch.id, entry, app.clock.now()).await?;
        first = first.or(Some(number));
    }
    refresh(conn, member, &batch.public_id).await?;
    Ok(first)
}

/// Where one is led after writing: the sheet, which then answers.
pub fn answered(id: &str, entry: Option<i32>) -> String {
    let entry = entry.map_or(String::new(), |entry| format!("&entry={entry}"));
    format!("{}?done=logged{entry}", paths::BATCH.with(&[id]))
}
