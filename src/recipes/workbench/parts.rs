//! The parts of the workbench's page, a template each. Drawn apart because fields are macros, which are written out
//! wherever they are called: the page as one function keeps a compiler busy for minutes.

use std::ops::Deref;

use askama::Template;
use askama::filters::HtmlSafe;

use super::page::WorkbenchPage;

/// A part that sees all of the page, and what gives it to the page's templates.
macro_rules! part {
    ($name:ident, $give:ident) => {
        impl Deref for $name<'_> {
            type Target = WorkbenchPage;

            fn deref(&self) -> &WorkbenchPage {
                self.0
            }
        }

        /// A template has escaped what it printed.
        impl HtmlSafe for $name<'_> {}

        impl WorkbenchPage {
            pub(super) fn $give(&self) -> $name<'_> {
                $name(self)
            }
        }
    };
}

#[derive(Template)]
#[template(path = "recipes/workbench/_questions.html")]
pub(super) struct Questions<'a>(&'a WorkbenchPage);
part!(Questions, questions);

#[derive(Template)]
#[template(path = "recipes/workbench/_whole.html")]
pub(super) struct Whole<'a>(&'a WorkbenchPage);
part!(Whole, whole_form);

#[derive(Template)]
#[template(path = "recipes/workbench/_honey.html")]
pub(super) struct Honeys<'a>(&'a WorkbenchPage);
part!(Honeys, honeys);

#[derive(Template)]
#[template(path = "recipes/workbench/_others.html")]
pub(super) struct Others<'a>(&'a WorkbenchPage);
part!(Others, others);

#[derive(Template)]
#[template(path = "recipes/workbench/_filler.html")]
pub(super) struct Filler<'a>(&'a WorkbenchPage);
part!(Filler, filler);

#[derive(Template)]
#[template(path = "recipes/workbench/_yeast.html")]
pub(super) struct Yeasts<'a>(&'a WorkbenchPage);
part!(Yeasts, yeasts);

#[derive(Template)]
#[template(path = "recipes/workbench/_feed.html")]
pub(super) struct Feeding<'a>(&'a WorkbenchPage);
part!(Feeding, feeding);

#[derive(Template)]
#[template(path = "recipes/workbench/_vessel.html")]
pub(super) struct Vessel<'a>(&'a WorkbenchPage);
part!(Vessel, vessel);

#[derive(Template)]
#[template(path = "recipes/workbench/_notes.html")]
pub(super) struct Notes<'a>(&'a WorkbenchPage);
part!(Notes, notes);

#[derive(Template)]
#[template(path = "recipes/workbench/_save.html")]
pub(super) struct Saving<'a>(&'a WorkbenchPage);
part!(Saving, saving);

#[derive(Template)]
#[template(path = "recipes/_results.html")]
pub(super) struct Results<'a>(&'a WorkbenchPage);
part!(Results, results);
