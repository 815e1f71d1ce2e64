//! The next revision of a recipe: a changed document, what that does to the numbers, and a draft of it with the reason.

use sqlx::PgConnection;

use super::changes::pages::does;
use super::forms::{Workbench, fill};
use super::model::{Recipe, Revision};
use super::numbers::Reader;
use super::opened::reader_for;
use super::public_id::PublicId;
use super::workbench::{Worked, form_of, keep_draft, work};
use super::{paths, store};
use crate::app::App;
use crate::engine::{self, Formulation};
use crate::web::error::Error;
use crate::web::policy::{Action, Visibility, may};
use crate::web::viewer::{Member, Viewer};

/// The newest revision of a recipe, from which the next begins.
pub struct Next {
    pub recipe: Recipe,
    pub revision: Revision,
    /// Whether the next revision is of the same recipe; else it is of one's own, started from this.
    pub is_own: bool,
    reader: Reader,
    worked: Worked,
}

impl Next {
    /// The newest revision of a recipe that the member may see; `None` when there is none, or it cannot be reckoned.
    ///
    /// # Errors
    /// When the database does not answer.
    pub async fn of(
        app: &App,
        conn: &mut PgConnection,
        member: &Member,
        id: &PublicId,
    ) -> Result<Option<Next>, Error> {
        let viewer = Viewer::known(member.clone());
        let found = store::find_with_revision(conn, viewer.id(), id, None).await?;
        let Some((recipe, revision)) = found else {
            return Ok(None);
        };
        let reader = reader_for(app, conn, member).await?;
        let worked = work(&form_of(&revision, &reader)?, member, &reader);
        Ok(worked.counted.then(|| Next {
            is_own: may(&viewer, Action::Change, &recipe.facts()) && recipe.binned_at.is_none(),
            recipe,
            revision,
            reader,
            worked,
        }))
    }

    /// Its document.
    pub fn document(&self) -> &engine::Recipe {
        &self.worked.checked.recipe
    }

    /// Its numbers.
    pub fn numbers(&self) -> &Formulation {
        &self.worked.numbers
    }

    fn form_with(&self, changed: &engine::Recipe) -> Workbench {
        fill::fill(changed, self.reader.units, &self.reader.catalogue)
    }

    /// What a change moves: "strength from 10 % to 12 %".
    pub fn does(&self, member: &Member, changed: &engine::Recipe) -> Vec<String> {
        let reckoned = work(&self.form_with(changed), member, &self.reader);
        does(&self.worked, &reckoned, &self.reader)
    }

    /// Keeps a changed document as a draft of the next revision, its note already written; where it is resumed.
    ///
    /// # Errors
    /// When the database does not answer.
    pub async fn keep(
        &self,
        app: &App,
        conn: &mut PgConnection,
        member: &Member,
        (changed, note): (&engine::Recipe, &str),
    ) -> Result<String, Error> {
        let mut form = self.form_with(changed);
        let draft = PublicId::random().map_err(Error::unexpected)?;
        form.set("draft", draft.as_str());
        form.set("note", note);
        let own = self.is_own.then_some(&self.recipe.public_id);
        match own {
            Some(_) => {
                form.set("visibility", self.recipe.visibility.as_str());
                form.set("base_version", self.recipe.version.to_string());
            }
            None => {
                form.set("from_recipe", self.revision.recipe.as_str());
                form.set("from_number", self.revision.number.to_string());
                form.set("title", format!("{}, my own", self.revision.title));
                form.set("visibility", Visibility::Private.as_str());
            }
        }
        keep_draft(app, conn, member, &form, own, true).await?;
        Ok(paths::DRAFT.with(&[draft.as_str()]))
    }
}
