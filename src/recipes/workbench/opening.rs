//! Forms as they open: of a revision, of one's own from another's, from what a link opens, and from the book.

use sqlx::PgConnection;

use super::assume;
use crate::recipes::forms::{Workbench, check::stored, fill};
use crate::recipes::links;
use crate::recipes::model::{Revision, Visibility};
use crate::recipes::numbers::Reader;
use crate::recipes::starters::{self, Size};
use crate::web::error::Error;
use crate::web::policy::{Action, may};
use crate::web::random;
use crate::web::viewer::Viewer;

/// The form of a revision, in the reader's units.
pub(in crate::recipes) fn form_of(
    revision: &Revision,
    reader: &Reader,
) -> Result<Workbench, Error> {
    let recipe = stored(&revision.document).ok_or_else(|| {
        Error::unexpected(std::io::Error::other("a stored document does not read"))
    })?;
    let mut form = fill::fill(&recipe, reader.units, &reader.catalogue);
    assume::recognise_vessel(&mut form, reader);
    Ok(form)
}

/// The form of a recipe of one's own, from a revision of another.
pub(super) fn own_from(revision: &Revision, reader: &Reader) -> Result<Workbench, Error> {
    let mut form = form_of(revision, reader)?;
    form.set("from_recipe", revision.recipe.as_str());
    form.set("from_number", revision.number.to_string());
    form.set("title", format!("{}, my own", revision.title));
    form.set("visibility", Visibility::Private.as_str());
    Ok(form)
}

/// The same from what a link opens. The form carries the link's hash, so that what is saved can name its source.
pub(super) async fn of_link(
    conn: &mut PgConnection,
    viewer: &Viewer,
    token: &str,
    reader: &Reader,
) -> Result<Workbench, Error> {
    let held = random::hash_of(token);
    let linked = links::store::find_linked(conn, &held).await?;
    let linked = linked.filter(|linked| may(viewer, Action::Copy, &linked.facts()));
    let linked = linked.ok_or_else(Error::not_found)?;
    let mut form = own_from(&linked.revision, reader)?;
    form.set("from_link", links::written(&held));
    Ok(form)
}

/// The form of a recipe of one's own, from one of the book's.
pub(super) fn of_starter(key: &str, size: Size, reader: &Reader) -> Result<Workbench, Error> {
    let starter = starters::find(key).ok_or_else(Error::not_found)?;
    let units = reader.units;
    let mut form = fill::fill(&starter.own(size, units), units, &reader.catalogue);
    assume::recognise_vessel(&mut form, reader);
    form.set("from_starter", key);
    form.set("visibility", Visibility::Private.as_str());
    Ok(form)
}
