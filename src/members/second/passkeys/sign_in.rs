//! Signing in by a passkey alone: the device knows who one is, so no name is asked, and none can be found out.

use askama::Template;
use axum::extract::{Extension, State};
use axum::http::HeaderMap;

use super::{Owned, Passkeys, Refused, store};
use crate::app::App;
use crate::members::middleware::Source;
use crate::members::paths::SIGN_IN;
use crate::members::second::paths;
use crate::members::sign_in::{Way, bring_in, sign_in_anew};
use crate::members::throttle::Try;
use crate::web::Error;
use crate::web::form::Posted;
use crate::web::pages::{Answer, not_stored, page};
use crate::web::shell::Shell;
use crate::web::viewer::Viewer;

#[derive(Template)]
#[template(path = "members/second/use_passkey.html")]
struct UsePage {
    shell: Shell,
    action: String,
    back: String,
    ceremony: String,
    options: String,
    hidden: Vec<(String, String)>,
    carries: bool,
}

fn service(app: &App) -> Result<&Passkeys, Error> {
    app.passkeys.as_ref().ok_or_else(Error::not_found)
}

pub(in crate::members::second) async fn ask(
    State(app): State<App>,
    viewer: Viewer,
    Extension(source): Extension<Source>,
    posted: Posted,
) -> Answer {
    let way = Way::read(&posted, app.site.base())?;
    let asked = service(&app)?.ask_for_any()?;
    let mut conn = app.pool.acquire().await?;
    Try::of_passkey(source.0).count(&mut conn).await?;
    let ceremony = store::begin_ceremony(&mut conn, None, &asked.state).await?;
    not_stored(page(&UsePage {
        shell: app.shell(&viewer),
        action: app.site.base().link(paths::SIGN_IN_BY_PASSKEY.path),
        back: app.site.base().link(&way.behind(SIGN_IN.path)),
        ceremony,
        options: asked.options.to_string(),
        hidden: way.hidden(),
        carries: !way.carried.is_empty(),
    }))
}

pub(in crate::members::second) async fn answer(
    State(app): State<App>,
    viewer: Viewer,
    Extension(source): Extension<Source>,
    headers: HeaderMap,
    posted: Posted,
) -> Answer {
    let way = Way::read(&posted, app.site.base())?;
    let passkeys = service(&app)?;
    let mut conn = app.pool.acquire().await?;
    let Some(state) = store::take_ceremony(&mut conn, None, posted.one("ceremony")?).await? else {
        let why = "That took too long, or it was sent before. Try the passkey once more.";
        return sign_in_anew(&app, &viewer, why, way);
    };
    let answer = passkeys.read_answer(posted.one("credential")?);
    let owned = match &answer {
        Ok(answer) => store::find_owned(&mut conn, answer.get_credential_id()).await?,
        Err(_) => None,
    };
    drop(conn);
    let checked = answer.and_then(|answer| match owned {
        Some(owned) => Ok((passkeys.check(state, &answer, &owned)?, owned)),
        None => Err(Refused::Other("nobody here has this passkey")),
    });
    let (credential, owned): (_, Owned) = match checked {
        Ok(checked) => checked,
        Err(refused) => {
            tracing::warn!(cause = %refused, "a passkey was refused");
            let why = "This passkey opens nothing here. Use another one, or name and password.";
            return sign_in_anew(&app, &viewer, why, way);
        }
    };
    let mut tx = app.pool.begin().await?;
    store::touch(&mut tx, owned.passkey, &credential).await?;
    Try::of_passkey(source.0).forgive(&mut tx).await?;
    let response = bring_in(&app, &mut tx, &headers, &(&owned).into(), way).await?;
    tx.commit().await?;
    Ok(response)
}
