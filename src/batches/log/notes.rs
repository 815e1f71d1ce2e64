//! A note, with a picture if one was chosen: a form with a file in it.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, header};
use sqlx::PgConnection;

use super::deeds::{deed_page, show, told_empty};
use super::desk::{Desk, answered, read, write};
use super::pictures::store::NewPicture;
use super::pictures::{self, Shrunk, says, shrink};
use super::sorts::NOTE;
use crate::app::App;
use crate::batches::model::NewEntry;
use crate::batches::paths;
use crate::engine::log::Deed;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::form::Posted;
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, see_other};
use crate::web::upload;
use crate::web::viewer::Member;

/// The field of the file.
const FILE: &str = "picture";

pub(super) async fn ask(State(app): State<App>, member: Member, Path(id): Path<String>) -> Answer {
    show(&app, &member, &id, &NOTE).await
}

/// The texts of a form, and the file if one was chosen. What stands for the file among the texts tells one file from another. A
/// form in which none was chosen is read already: `posted`.
fn parts(
    headers: &HeaderMap,
    body: &[u8],
    posted: Posted,
) -> Result<(Posted, Option<Vec<u8>>), Error> {
    if !posted.is_empty() {
        return Ok((posted, None));
    }
    let incomplete = || Error::bad_request("This form is incomplete. Open its page again.");
    let kind = headers.get(header::CONTENT_TYPE);
    let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let mut file = None;
    let mut pairs = Vec::new();
    for part in upload::read(kind, body).map_err(|_| incomplete())? {
        match part.is_file {
            true if part.name == FILE && !part.bytes.is_empty() => file = Some(part.bytes),
            true => {}
            false => {
                let text = String::from_utf8(part.bytes).map_err(|_| incomplete())?;
                pairs.push((part.name, text));
            }
        }
    }
    if let Some(bytes) = &file {
        pairs.push((FILE.to_owned(), fingerprint(bytes)));
    }
    Ok((Posted::from_pairs(pairs), file))
}

fn fingerprint(bytes: &[u8]) -> String {
    use sha2::{Digest, Sha256};
    let hash = Sha256::digest(bytes);
    hash.iter().map(|byte| format!("{byte:02x}")).collect()
}

pub(super) async fn log(
    State(app): State<App>,
    member: Member,
    Path(id): Path<String>,
    posted: Posted,
    headers: HeaderMap,
    body: Body,
) -> Answer {
    let (body, is_cut_off) = upload::received(body, pictures::MOST_FORM).await?;
    if is_cut_off {
        return too_large(&app, &member, &id, &headers, &body).await;
    }
    let (posted, file) = parts(&headers, &body, posted)?;
    drop(body);
    let once = Once::read(&posted, &member)?;
    let shrunk = match file {
        Some(bytes) => Some(shrink(bytes).await?),
        None => None,
    };
    let mut tx = app.pool.begin().await?;
    let desk = Desk::of(&app, &mut tx, &member, &id).await?;
    let (mut form, entry) = read(&NOTE, &desk.case(&member, None), &posted)?;
    if let Some(Err(why)) = &shrunk {
        form.refuse(FILE, why.to_string());
    }
    let picture = shrunk.and_then(Result::ok);
    let Some(entry) = entry.filter(|_| form.is_sound()) else {
        let form = told_empty(&(NOTE.fields)(&desk.case(&member, None)), form);
        return form_again(&deed_page(&app, &member, &desk, &NOTE, form)?);
    };
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::WRITE_NOTE).await? {
        return see_other(app.site.base(), &location);
    }
    if picture.is_some()
        && pictures::store::count_of(&mut tx, member.id).await? >= pictures::MOST_OF_ONE
    {
        form.refuse(FILE, pictures::Fault::TooMany.to_string());
        return form_again(&deed_page(&app, &member, &desk, &NOTE, form)?);
    }
    let number = write(
        &app,
        &mut tx,
        &member,
        &desk.opened,
        std::slice::from_ref(&entry),
    )
    .await?;
    if let Some((picture, number)) = picture.zip(number) {
        keep(&app, &mut tx, &desk, (&entry, number), &picture).await?;
    }
    let location = answered(&id, number);
    once::settle(&mut tx, &once, &member, paths::WRITE_NOTE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}

/// The picture was too large even to be received: the page again, with what was typed before it.
async fn too_large(
    app: &App,
    member: &Member,
    id: &str,
    headers: &HeaderMap,
    beginning: &[u8],
) -> Answer {
    let kind = headers.get(header::CONTENT_TYPE);
    let kind = kind.and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let typed = Posted::from_pairs(upload::texts_before_file(kind, beginning));
    let mut conn = app.pool.acquire().await?;
    let desk = Desk::of(app, &mut conn, member, id).await?;
    let (mut form, _) = read(&NOTE, &desk.case(member, None), &typed)?;
    form.refuse(FILE, pictures::Fault::TooLarge.to_string());
    form_again(&deed_page(app, member, &desk, &NOTE, form)?)
}

async fn keep(
    app: &App,
    conn: &mut PgConnection,
    desk: &Desk,
    (entry, number): (&NewEntry, i32),
    picture: &Shrunk,
) -> Result<(), Error> {
    let text = match &entry.deed {
        Deed::Note(note) => note.text.as_deref().unwrap_or_default(),
        _ => "",
    };
    let new = NewPicture {
        public_id: &PublicId::random().map_err(Error::unexpected)?,
        entry: number,
        by: entry.by,
        is: picture,
        says: &says(text),
    };
    pictures::store::add(conn, desk.opened.batch.id, &new, app.clock.now()).await?;
    Ok(())
}
