//! Opinions as a sheet and their own page show them: the standing, the form to rate, the comments.

use askama::Template;
use askama::filters::HtmlSafe;
use sqlx::PgConnection;

use super::comments::{Comment, store as comments};
use super::model::{Given, STARS, WAYS};
use super::score::Score;
use super::{paths, store};
use crate::app::App;
use crate::recipes::list::day;
use crate::recipes::model::Recipe;
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::form::FormState;
use crate::web::markdown::{HELP, Rendered, render};
use crate::web::once::Once;
use crate::web::viewer::{Member, Viewer};

/// Comments on one page.
const PAGE: usize = 10;

/// What a sheet and the page of opinions print of them; a template of its own, for both.
#[derive(Template)]
#[template(path = "recipes/_opinions.html")]
pub struct OpinionsView {
    /// "4.2 of 5 by 7 members: …", or that nobody has rated it.
    pub standing: String,
    /// Where it is told who said what.
    pub page_url: String,
    pub rate: Option<RateForm>,
    /// "3 comments".
    pub count: String,
    pub comments: Vec<CommentView>,
    pub older: Option<String>,
    pub write: CommentForm,
    /// What everybody said, for the page that tells.
    pub given: Vec<Given>,
}

/// A template has escaped what it printed.
impl HtmlSafe for OpinionsView {}

/// The form to rate, for whoever does not own the recipe.
pub struct RateForm {
    pub at: String,
    pub take_back_at: Option<String>,
    pub form: FormState,
    pub revision: i32,
    /// What the member said before; empty for nothing.
    pub said: String,
}

impl RateForm {
    /// The five.
    pub const STARS: &'static [(&'static str, &'static str)] = &STARS;
    /// How one knows.
    pub const WAYS: &'static [(&'static str, &'static str)] = &WAYS;

    /// Whether something is wrong with it.
    pub fn is_open(&self) -> bool {
        !self.form.is_sound()
    }
}

/// The form of a comment's words.
pub struct CommentForm {
    pub at: String,
    pub once: String,
    pub form: FormState,
    /// What it may speak of.
    pub about: Vec<(String, String)>,
    pub help: &'static str,
}

impl CommentForm {
    /// A form with these texts; `revisions` are what may be spoken of beside the recipe as a whole.
    pub fn new(
        viewer: &Viewer,
        at: String,
        form: FormState,
        revisions: &[Option<i32>],
    ) -> Result<CommentForm, Error> {
        let mut numbers: Vec<i32> = revisions.iter().copied().flatten().collect();
        numbers.sort_unstable_by(|a, b| b.cmp(a));
        numbers.dedup();
        let whole = (String::new(), "the recipe as a whole".to_owned());
        let each = numbers
            .into_iter()
            .map(|n| (n.to_string(), format!("revision {n}")));
        Ok(CommentForm {
            at,
            once: Once::for_form(&form, viewer)?,
            form,
            about: std::iter::once(whole).chain(each).collect(),
            help: HELP,
        })
    }

    /// Whether something is wrong with it.
    pub fn is_open(&self) -> bool {
        !self.form.is_sound()
    }
}

/// One comment.
pub struct CommentView {
    pub anchor: String,
    pub by: String,
    /// When, and of what.
    pub meta: String,
    pub words: Option<Rendered>,
    /// What stands in place of the words.
    pub removed: &'static str,
    /// When it was edited, and where its earlier words are.
    pub edited: Option<(String, String)>,
    pub edit_url: Option<String>,
    pub remove_at: Option<String>,
}

/// What somebody typed into a form of a page that comes back.
#[derive(Default)]
pub(super) struct Typed {
    pub rating: Option<FormState>,
    pub comment: Option<FormState>,
}

/// Opinions of a recipe that the member sees, at one of its revisions.
pub(in crate::recipes) async fn opinions(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    recipe: &Recipe,
    revision: i32,
) -> Result<OpinionsView, Error> {
    opinions_with(app, conn, member, recipe, revision, None, Typed::default()).await
}

/// The same, with comments from before one of them, and with what was typed.
pub(super) async fn opinions_with(
    app: &App,
    conn: &mut PgConnection,
    member: &Member,
    recipe: &Recipe,
    revision: i32,
    before: Option<&PublicId>,
    typed: Typed,
) -> Result<OpinionsView, Error> {
    let viewer = Viewer::known(member.clone());
    let id = &recipe.public_id;
    let given = store::ratings_of(conn, viewer.id(), id).await?;
    let mut found = comments::list(conn, viewer.id(), id, before, PAGE).await?;
    let more = found.len() > PAGE;
    let count = match before.is_some() || more {
        true => comments::count(conn, viewer.id(), id).await?,
        // All of them are here.
        false => found.iter().filter(|one| one.removed_as.is_none()).count() as i64,
    };
    found.truncate(PAGE);
    let base = app.site.base();
    let page_url = base.link(&paths::OPINIONS.with(&[id.as_str()]));
    let older = found.last().filter(|_| more);
    let mut comment = typed.comment.unwrap_or_default();
    if comment.is_sound() && revision != recipe.version {
        comment.set("about", revision.to_string());
    }
    Ok(OpinionsView {
        standing: Score::of(given.iter().map(|given| given.rating)).words(),
        rate: rate_form(app, member, recipe, revision, &given, typed.rating),
        count: match count {
            0 => "No comments yet".to_owned(),
            1 => "1 comment".to_owned(),
            count => format!("{count} comments"),
        },
        older: older.map(|last| format!("{page_url}?before={}", last.public_id)),
        comments: found
            .iter()
            .map(|comment| comment_view(app, &viewer, member, recipe, comment))
            .collect(),
        write: CommentForm::new(
            &viewer,
            base.link(&paths::COMMENT.with(&[id.as_str()])),
            comment,
            &[Some(revision), Some(recipe.version)],
        )?,
        page_url,
        given,
    })
}

fn rate_form(
    app: &App,
    member: &Member,
    recipe: &Recipe,
    revision: i32,
    given: &[Given],
    typed: Option<FormState>,
) -> Option<RateForm> {
    if recipe.owner == member.id {
        return None;
    }
    let own = given.iter().find(|given| given.member == member.id);
    let mut form = FormState::new();
    if let Some(own) = own {
        form.set("stars", own.rating.stars.to_string());
        form.set("basis", own.rating.basis.as_str());
    }
    let at = |route: crate::web::paths::Route| {
        app.site
            .base()
            .link(&route.with(&[recipe.public_id.as_str()]))
    };
    Some(RateForm {
        at: at(paths::RATE),
        take_back_at: own.map(|_| at(paths::TAKE_BACK)),
        form: typed.unwrap_or(form),
        revision,
        said: own.map_or(String::new(), |own| {
            format!(
                "You gave revision {} a {}, and {}.",
                own.revision,
                own.rating.stars,
                own.rating.basis.told()
            )
        }),
    })
}

fn comment_view(
    app: &App,
    viewer: &Viewer,
    member: &Member,
    recipe: &Recipe,
    comment: &Comment,
) -> CommentView {
    let ids = [recipe.public_id.as_str(), comment.public_id.as_str()];
    let link = |route: crate::web::paths::Route| app.site.base().link(&route.with(&ids));
    let about = comment
        .revision
        .map_or(String::new(), |number| format!(", on revision {number}"));
    let own = comment.writer == member.id;
    let readable = comment.removed_as.is_none() || own;
    CommentView {
        anchor: anchor(&comment.public_id),
        by: match own {
            true => "You".to_owned(),
            false => comment.writer_name.clone(),
        },
        meta: format!("{}{about}", day(comment.written_at, member)),
        words: comment.words.as_deref().map(render),
        removed: comment.removed_as.map_or("", |way| way.words()),
        edited: match (comment.removed_as, comment.version) {
            (None, 1) => None,
            (None, _) => Some(format!("edited {}", day(comment.changed_at, member))),
            (Some(_), _) => Some("only you still read it".to_owned()),
        }
        .filter(|_| readable)
        .map(|words| (words, link(paths::EARLIER))),
        edit_url: comment.may_be_changed_by(viewer).then(|| link(paths::EDIT)),
        remove_at: comment
            .removable_as(viewer, recipe)
            .map(|_| link(paths::REMOVE)),
    }
}

/// The id of a comment on its page.
pub(super) fn anchor(public_id: &str) -> String {
    format!("comment-{public_id}")
}
