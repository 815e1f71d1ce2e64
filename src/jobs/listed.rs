//! Every job of the program, in one place.

use std::time::Duration;

use chrono::Utc;

use super::{Failed, Held, Job, Rhythm, store};
use crate::app::App;
use crate::mail::sending;
use crate::members;
use crate::portability::leaving::daily::{Gone, tidy};
use crate::recipes::browse;
use crate::tastings::links;
use crate::web::once;

const HOURLY: Rhythm = Rhythm::Every(Duration::from_secs(60 * 60));
const DAILY: Rhythm = Rhythm::Every(Duration::from_secs(24 * 60 * 60));

/// All of them, for a worker and for the keeper's page.
pub fn all(app: &App) -> Vec<Job> {
    let backups = app.backups.clone().map(|backups| {
        Job::new(
            "backup",
            "A backup of everything every night, and every month a trial that it can be brought back",
            Rhythm::Nightly,
            move |_| {
                let backups = backups.clone();
                async move {
                    let made = backups.night(Utc::now()).await;
                    made.map_err(|error| Failed::for_now(format!("{error}.")))
                }
            },
        )
    });
    let others = [
        Job::new(
            "gone_for_good",
            "Removing for good who left 30 days ago, what lay in the bin so long, and drafts that nobody wants",
            HOURLY,
            on(app, remove_for_good),
        ),
        Job::new(
            "signing_in",
            "Forgetting sessions, links and invites that have ended, and tries to sign in of days ago",
            HOURLY,
            on(app, |app| async move {
                let mut conn = app.pool.acquire().await?;
                Ok(members::store::forget_old(&mut conn).await?)
            }),
        ),
        Job::new(
            "forms_sent",
            "Forgetting which forms were sent a week ago",
            HOURLY,
            on(app, |app| async move {
                let mut conn = app.pool.acquire().await?;
                once::forget_old(&mut conn).await?;
                Ok(())
            }),
        ),
        Job::new(
            "words_of_recipes",
            "Forgetting words that no recipe has any more, so that searches do not guess them",
            HOURLY,
            on(app, |app| async move {
                let mut conn = app.pool.acquire().await?;
                Ok(browse::store::forget_words(&mut conn).await?)
            }),
        ),
        Job::new(
            "guests_links",
            "Forgetting links for guests of tastings long past",
            DAILY,
            on(app, |app| async move {
                let mut conn = app.pool.acquire().await?;
                Ok(links::store::forget_old(&mut conn).await?)
            }),
        ),
        Job::new(
            "jobs_done",
            "Forgetting background work that ended a month ago",
            DAILY,
            on(app, |app| async move {
                let mut conn = app.pool.acquire().await?;
                Ok(store::forget_old(&mut conn).await?)
            }),
        ),
    ];
    let all = backups.into_iter().chain(others);
    all.chain(sending::jobs(app)).collect()
}

/// Work that needs nothing but the state of the server.
fn on<F>(
    app: &App,
    work: impl Fn(App) -> F + Send + Sync + 'static,
) -> impl Fn(Held) -> F + Send + Sync + 'static
where
    F: Future<Output = Result<(), Failed>> + Send + 'static,
{
    let app = app.clone();
    move |_| work(app.clone())
}

async fn remove_for_good(app: App) -> Result<(), Failed> {
    // By the database's clock, which is the same for all servers.
    let now = store::now(&mut *app.pool.acquire().await?).await?;
    let gone = tidy(&app.pool, now).await?;
    if gone != Gone::default() {
        tracing::info!(?gone, "gone for good");
    }
    match gone.kept {
        0 => Ok(()),
        kept => Err(Failed::for_now(format!(
            "Members who left and whose private things could not be removed yet: {kept}. The log of the server says why."
        ))),
    }
}
