//! The form for a new competition.

use askama::Template;
use axum::extract::State;
use sqlx::PgConnection;

use super::making::{Beginning, make};
use super::paths;
use crate::app::App;
use crate::competitions::model::{Competition, Phase};
use crate::competitions::shown::shell;
use crate::competitions::{paths as all, store};
use crate::web::dates::day;
use crate::web::error::Error;
use crate::web::form::{FormState, Posted};
use crate::web::once::{self, Claim, Once};
use crate::web::pages::{Answer, form_again, page, see_other};
use crate::web::shell::Shell;
use crate::web::typed::Typed;
use crate::web::viewer::{Member, Viewer};

/// The longest title, in letters.
pub(super) const TITLE_MAX: usize = 120;
/// What a title is asked for with.
pub(super) const TITLE_WANTED: &str =
    "Write what it is called, such as Meads of the valley, spring.";

#[derive(Template)]
#[template(path = "competitions/organise/new.html")]
struct NewPage {
    shell: Shell,
    list_url: String,
    action: String,
    choices: Vec<(String, String)>,
    form: FormState,
    once: String,
}

/// Earlier ones whose rules one may take over.
async fn earlier(conn: &mut PgConnection, member: &Member) -> Result<Vec<Competition>, Error> {
    let all = store::list(conn, member.id).await?;
    let known = |one: &Competition| !one.rehearsal && one.phase > Phase::Draft;
    Ok(all.into_iter().filter(known).take(20).collect())
}

fn new_page(
    app: &App,
    member: &Member,
    earlier: &[Competition],
    form: FormState,
) -> Result<NewPage, Error> {
    let usual = (String::new(), "the usual ones".to_owned());
    let known = earlier.iter().map(|one| {
        let since = day(one.created_at, member.settings.zone);
        let words = format!("those of {}, {since}", one.title);
        (one.public_id.as_str().to_owned(), words)
    });
    let base = app.site.base();
    Ok(NewPage {
        shell: shell(app, member),
        list_url: base.link(all::LIST.path),
        action: base.link(paths::CREATE.path),
        choices: std::iter::once(usual).chain(known).collect(),
        once: Once::for_form(&form, &Viewer::known(member.clone()))?,
        form,
    })
}

pub(super) async fn new(State(app): State<App>, member: Member) -> Answer {
    let mut conn = app.pool.acquire().await?;
    let earlier = earlier(&mut conn, &member).await?;
    page(&new_page(&app, &member, &earlier, FormState::new())?)
}

pub(super) async fn create(State(app): State<App>, member: Member, posted: Posted) -> Answer {
    let once = Once::read(&posted, &member)?;
    let mut tx = app.pool.begin().await?;
    let earlier = earlier(&mut tx, &member).await?;
    let mut typed = Typed::of(&posted);
    let title = typed.wanted("title", TITLE_MAX, TITLE_WANTED)?;
    let from = typed.text("from")?;
    let like = earlier.iter().find(|one| one.public_id.as_str() == from);
    if like.is_none() && !from.is_empty() {
        typed.form.refuse("from", "Choose one of the list.");
    }
    if !typed.form.is_sound() {
        return form_again(&new_page(&app, &member, &earlier, typed.form)?);
    }
    if let Claim::Done(location) = once::claim(&mut tx, &once, &member, paths::CREATE).await? {
        return see_other(app.site.base(), &location);
    }
    let beginning = match like {
        Some(like) => Beginning::like(like, &store::categories(&mut tx, like.id).await?),
        None => Beginning::default(),
    };
    let beginning = Beginning { title, ..beginning };
    let (_, id) = make(&mut tx, member.id, &beginning, app.clock.now()).await?;
    let location = all::COMPETITION.with(&[id.as_str()]);
    once::settle(&mut tx, &once, &member, paths::CREATE, &location).await?;
    tx.commit().await?;
    see_other(app.site.base(), &location)
}
