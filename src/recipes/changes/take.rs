//! A difference brought into a recipe of one's own: into the form as it opens, with nothing saved.

use serde::Deserialize;
use sqlx::PgConnection;

use super::{Difference, Obstacle, differences};
use crate::recipes::forms::Workbench;
use crate::recipes::model::Revision;
use crate::recipes::numbers::Reader;
use crate::recipes::public_id::PublicId;
use crate::recipes::store;
use crate::recipes::workbench::form_of;
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// What an address asks for: the difference, and the revisions between which it is, each as "id.number".
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Taking {
    change: Option<String>,
    since: Option<String>,
    until: Option<String>,
}

/// What became of it, in words; nothing where nothing was asked for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Taken {
    pub said: String,
    /// Why it could not be done.
    pub warned: String,
}

/// The fields of an address that asks for a difference.
pub fn pairs(
    difference: &Difference,
    since: &Revision,
    until: &Revision,
) -> Vec<(&'static str, String)> {
    let place = |of: &Revision| format!("{}.{}", of.recipe, of.number);
    vec![
        ("change", difference.word()),
        ("since", place(since)),
        ("until", place(until)),
    ]
}

/// The form with what was asked for brought into it, or as it was, with the words that say why.
pub async fn take_over(
    conn: &mut PgConnection,
    viewer: MemberId,
    form: Workbench,
    asked: &Taking,
    reader: &Reader,
) -> Result<(Workbench, Taken), Error> {
    let Some(word) = asked.change.as_deref() else {
        return Ok((form, Taken::default()));
    };
    let since = find(conn, viewer, asked.since.as_deref()).await?;
    let until = find(conn, viewer, asked.until.as_deref()).await?;
    let (from, to) = (form_of(&since, reader)?, form_of(&until, reader)?);
    let all = differences(&from, &to, &reader.catalogue);
    let found = all.iter().find(|one| one.word() == word);
    let taken = found.map(|one| one.put_into(&form, &from, &to, &reader.catalogue));
    let said = format!(
        "Taken over from {}, revision {}. Nothing is saved yet: look at it, change what you like, and save it.",
        until.title, until.number
    );
    Ok(match taken {
        Some(Ok(new)) => (
            new,
            Taken {
                said,
                ..Taken::default()
            },
        ),
        Some(Err(obstacle)) => (form, warned(why(&obstacle))),
        None => (
            form,
            warned("That difference is not there any more: compare the two again.".to_owned()),
        ),
    })
}

fn warned(warned: String) -> Taken {
    Taken {
        warned,
        ..Taken::default()
    }
}

/// Why it was not brought in, and what to do.
fn why(obstacle: &Obstacle) -> String {
    match obstacle {
        Obstacle::NotThere(name) => format!(
            "It cannot be taken over as it is: {name} is not in this recipe. Add it, or change by hand what should stand in its place."
        ),
        Obstacle::ThereAlready(name) => {
            format!("It is in this recipe already: {name}. Change there what should be different.")
        }
        Obstacle::Full => {
            "There is no room for another row of that sort. Take one out first.".to_owned()
        }
        Obstacle::Same => "This recipe says the same already: nothing is changed.".to_owned(),
    }
}

/// A revision that the member may see.
async fn find(
    conn: &mut PgConnection,
    viewer: MemberId,
    place: Option<&str>,
) -> Result<Revision, Error> {
    let (id, number) = place
        .and_then(|place| place.split_once('.'))
        .ok_or_else(Error::not_found)?;
    let id: PublicId = id.parse().map_err(|_| Error::not_found())?;
    let number = number.parse().map_err(|_| Error::not_found())?;
    store::find_revision(conn, Some(viewer), &id, number)
        .await?
        .ok_or_else(Error::not_found)
}
