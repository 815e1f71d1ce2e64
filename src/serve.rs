//! The server's life: made ready, told where it is, stopped.

use std::fmt;
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use sqlx::PgPool;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::watch;

use crate::app::{self, App};
use crate::backup::BackupError;
use crate::catalogue::own::Remembered;
use crate::config::{Config, LogFormat};
use crate::database::{Database, DatabaseError};
use crate::members::second::passkeys::{self, Passkeys};
use crate::members::{self, passwords::Hasher};
use crate::portability::leaving::daily::{Gone, tidy};
use crate::recipes;
use crate::tastings;
use crate::web::clock::Clock;
use crate::web::listen::{self, Limits};
use crate::web::site::Site;
use crate::web::{Error, once};

/// How often what no longer matters is deleted.
const SWEEP: Duration = Duration::from_secs(60 * 60);

/// When it is deleted for the first time after a start.
const FIRST_SWEEP: Duration = Duration::from_secs(60);

/// Why a command ended without doing its work. Each message is one clear line.
#[derive(Debug)]
pub enum Failure {
    /// The database.
    Database(DatabaseError),
    /// The address to listen on.
    Listen(SocketAddr, io::Error),
    /// Threads or signals.
    System(io::Error),
    /// Our own fault, or the database's in the middle.
    Store(Error),
    /// A name that no keeper has.
    NoSuchKeeper,
    /// A backup that was not made.
    Backup(BackupError),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Failure::Database(cause) => cause.fmt(f),
            Failure::Listen(address, cause) => write!(f, "cannot listen on {address}: {cause}"),
            Failure::System(cause) => cause.fmt(f),
            Failure::Store(cause) => {
                f.write_str(&cause.cause().unwrap_or_else(|| cause.to_string()))
            }
            Failure::Backup(cause) => cause.fmt(f),
            Failure::NoSuchKeeper => f.write_str("no keeper has this name"),
        }
    }
}

impl std::error::Error for Failure {}

impl From<DatabaseError> for Failure {
    fn from(cause: DatabaseError) -> Failure {
        Failure::Database(cause)
    }
}

impl From<Error> for Failure {
    fn from(cause: Error) -> Failure {
        Failure::Store(cause)
    }
}

impl From<sqlx::Error> for Failure {
    fn from(cause: sqlx::Error) -> Failure {
        Failure::Store(cause.into())
    }
}

/// The state for a site at `base_url` on this pool.
pub fn app(config: &Config, pool: PgPool, base_url: &str, clock: Clock) -> Result<App, Failure> {
    let site = Site::new(&config.club_name, base_url).in_currency(config.currency);
    Ok(App {
        pool,
        second_step: config.second_step,
        passkeys: Passkeys::of(&site),
        site,
        started_at: clock.now(),
        data_dir: None,
        clock,
        catalogue: Remembered::default(),
        hasher: Hasher::start().map_err(Failure::System)?,
        trusted_proxies: config.trusted_proxies.clone().into(),
        api_per_minute: config.api_per_minute,
        stopping: Arc::new(AtomicBool::new(false)),
    })
}

/// Serves the club from a database that is at hand until a signal says stop; `fill` puts something into it first.
pub async fn serve(
    config: &Config,
    database: &Database,
    fill: impl AsyncFnOnce(&App) -> Result<(), Error>,
) -> Result<(), Failure> {
    database.prepare().await?;
    let listener = TcpListener::bind(config.listen)
        .await
        .map_err(|cause| Failure::Listen(config.listen, cause))?;
    let address = listener.local_addr().map_err(Failure::System)?;
    let app = App {
        data_dir: database.data_dir().map(Into::into),
        ..app(
            config,
            database.pool(config.pool_size),
            &config.base_url_at(address),
            Clock::Machine,
        )?
    };
    fill(&app).await?;
    app.site.look_again(&mut *app.pool.acquire().await?).await?;
    let (stop, stopped) = watch::channel(false);
    listen_for_signals(app.stopping.clone(), stop)?;
    say(
        config,
        &format!(
            "Mustwright serves {} at {}",
            app.site.club_name(),
            app.site.address("/")
        ),
    );
    say(config, &format!("The data is in {}", database.place()));
    if let Some(link) = set_up_link(&app).await? {
        say(
            config,
            &format!("Set up the keeper, once, within a week: {link}"),
        );
    }
    doubt_passkeys(&app).await?;
    let sweeper = tokio::spawn(sweep(app.pool.clone(), app.clock.clone()));
    let renewer = tokio::spawn(renew(app.pool.clone()));
    listen::serve(
        listener,
        app::router(app.clone()),
        Limits::default(),
        stopped,
    )
    .await;
    sweeper.abort();
    renewer.abort();
    app.pool.close().await;
    tracing::info!("stopped");
    Ok(())
}

/// A line for whoever started the server.
pub(crate) fn say(config: &Config, line: &str) {
    match config.log_format {
        LogFormat::Text => println!("{line}"),
        LogFormat::Json => tracing::info!("{line}"),
    }
}

/// Warns of passkeys that a change of the address made useless.
async fn doubt_passkeys(app: &App) -> Result<(), Failure> {
    let host = app.passkeys.as_ref().map_or("", Passkeys::host);
    let mut conn = app.pool.acquire().await?;
    let elsewhere = passkeys::store::count_elsewhere(&mut conn, host).await?;
    if elsewhere > 0 {
        tracing::warn!(
            "passkeys that do not work at this address: {elsewhere}. They were made for another one; their members come in by a recovery code, or a keeper takes the second step away"
        );
    }
    Ok(())
}

/// A new set-up link, if the club has no keeper yet.
async fn set_up_link(app: &App) -> Result<Option<String>, Failure> {
    let mut conn = app.pool.acquire().await?;
    if members::store::has_keeper(&mut conn).await? {
        return Ok(None);
    }
    let token = members::links::store::make_link(&mut conn, None).await?;
    Ok(Some(
        app.site.address(&members::paths::SET_UP.with(&[&token])),
    ))
}

/// A new one-time link in words: to set the first keeper up, or to give a keeper a new password. That keeps the second
/// step, unless it is lost.
pub async fn keeper_link(
    config: &Config,
    database: &Database,
    name: Option<&str>,
    lost_second_step: bool,
) -> Result<String, Failure> {
    database.prepare().await?;
    let pool = database.pool(1);
    let site = Site::new(&config.club_name, &config.base_url_at(config.listen));
    let mut conn = pool.acquire().await?;
    let key = name.map(members::names::key_of);
    let found = members::store::find_keeper(&mut conn, key.as_deref()).await?;
    match found {
        Some((keeper, name)) => {
            let token = members::links::store::make_link(&mut conn, Some(keeper)).await?;
            let link = site.address(&members::paths::RENEW.with(&[&token]));
            let what = match lost_second_step {
                true => {
                    members::links::store::let_take_second_step(&mut conn, &token).await?;
                    "A new password, without the second step,"
                }
                false => "A new password",
            };
            Ok(format!("{what} for {name}, once, within an hour: {link}"))
        }
        None if members::store::has_keeper(&mut conn).await? => Err(Failure::NoSuchKeeper),
        None => {
            let token = members::links::store::make_link(&mut conn, None).await?;
            let link = site.address(&members::paths::SET_UP.with(&[&token]));
            Ok(format!("Set up the keeper, once, within a week: {link}"))
        }
    }
}

/// The first signal drains, the second ends at once.
fn listen_for_signals(stopping: Arc<AtomicBool>, stop: watch::Sender<bool>) -> Result<(), Failure> {
    let mut terminate = signal(SignalKind::terminate()).map_err(Failure::System)?;
    let mut interrupt = signal(SignalKind::interrupt()).map_err(Failure::System)?;
    tokio::spawn(async move {
        for nth in 1.. {
            tokio::select! {
                _ = terminate.recv() => {}
                _ = interrupt.recv() => {}
            }
            if nth > 1 {
                std::process::exit(130);
            }
            tracing::info!("stopping; answers under way have ten seconds");
            stopping.store(true, Ordering::Relaxed);
            let _ = stop.send(true);
        }
    });
    Ok(())
}

/// Reckons once what an older version kept for lists.
async fn renew(pool: PgPool) {
    match recipes::renewal::renew(&pool).await {
        Ok(0) => {}
        Ok(renewed) => tracing::info!("the numbers of {renewed} revisions were reckoned again"),
        Err(error) => tracing::warn!(
            cause = error.cause(),
            "numbers that lists keep were not reckoned again; the next start goes on"
        ),
    }
}

/// Deletes once an hour what no longer matters, and what is due to go for good.
async fn sweep(pool: PgPool, clock: Clock) {
    let mut pause = FIRST_SWEEP;
    loop {
        tokio::time::sleep(pause).await;
        pause = SWEEP;
        match tidy(&pool, clock.now()).await {
            Ok(gone) if gone == Gone::default() => {}
            Ok(gone) => tracing::info!(?gone, "gone for good"),
            Err(error) => tracing::warn!(cause = error.cause(), "nothing was tidied this time"),
        }
        let swept = async {
            let mut conn = pool.acquire().await?;
            once::forget_old(&mut conn).await?;
            recipes::browse::store::forget_words(&mut conn).await?;
            tastings::links::store::forget_old(&mut conn).await?;
            members::store::forget_old(&mut conn).await
        };
        if let Err(error) = swept.await {
            tracing::warn!(cause = error.cause(), "old rows were not deleted this time");
        }
    }
}
