//! The server's life: made ready, told where it is, stopped.

use std::fmt;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use sqlx::PgPool;
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::watch;
use tokio::task::JoinHandle;

use crate::admin;
use crate::app::{self, App};
use crate::backup::{BackupError, Nightly, Source};
use crate::catalogue::own::Remembered;
use crate::config::{Config, LogFormat};
use crate::database::{Database, DatabaseError};
use crate::jobs;
use crate::jobs::worker::{Pace, Worker};
use crate::mail::Mail;
use crate::members::second::passkeys::{self, Passkeys};
use crate::members::{self, passwords::Hasher};
use crate::recipes;
use crate::web::Error;
use crate::web::clock::Clock;
use crate::web::listen::{self, Address, Limits, Listener};
use crate::web::room::Room;
use crate::web::site::Site;

/// How many may ask for metrics at once.
const METRICS_CONNECTIONS: usize = 16;

/// Why a command ended without doing its work. Each message is one clear line.
#[derive(Debug)]
pub enum Failure {
    /// The database.
    Database(DatabaseError),
    /// The address to listen on.
    Listen(Address, io::Error),
    /// Threads or signals.
    System(io::Error),
    /// Our own fault, or the database's in the middle.
    Store(Error),
    /// A name that no keeper has.
    NoSuchKeeper,
    /// A backup that was not made, read or brought back.
    Backup(BackupError),
    /// A letter that was not sent, or mail that cannot be.
    Mail(String),
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
            Failure::Mail(why) => f.write_str(why),
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

impl From<BackupError> for Failure {
    fn from(cause: BackupError) -> Failure {
        Failure::Backup(cause)
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
    let mail = Mail::of(config.mail.as_ref(), &site);
    Ok(App {
        pool,
        mail: mail.map_err(|failed| Failure::Mail(failed.words))?,
        second_step: config.second_step,
        passkeys: Passkeys::of(&site),
        site,
        started_at: clock.now(),
        data_dir: None,
        backups: None,
        clock,
        catalogue: Remembered::default(),
        hasher: Hasher::start().map_err(Failure::System)?,
        trusted_proxies: config.trusted_proxies.clone().into(),
        room: Room::default(),
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
    let listener = bind(config, &config.listen).await?;
    let address = listener.address().map_err(Failure::System)?;
    let app = App {
        data_dir: database.data_dir().map(Into::into),
        backups: config.backup_dir.clone().map(|dir| {
            let source = Source::of(config, database);
            Arc::new(Nightly { source, dir })
        }),
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
    let watched = tell_metrics(config, &app, stopped.clone()).await?;
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
    let renewer = tokio::spawn(renew(app.pool.clone()));
    let usual = Limits::default();
    let limits = Limits {
        handover: usual.handover.max(config.handover),
        ..usual
    };
    let worker = Worker::new(app.pool.clone(), jobs::listed::all(&app), Pace::default());
    tokio::join!(
        worker.run(stopped.clone()),
        listen::serve(listener, app::router(app.clone()), limits, stopped,)
    );
    renewer.abort();
    if let Some(watched) = watched {
        let _ = watched.await;
    }
    app.pool.close().await;
    tracing::info!("stopped");
    Ok(())
}

async fn bind(config: &Config, address: &Address) -> Result<Listener, Failure> {
    let bound = Listener::bind(address, config.socket_mode).await;
    bound.map_err(|cause| Failure::Listen(address.clone(), cause))
}

/// Tells metrics on a listener of their own, if the settings name one.
async fn tell_metrics(
    config: &Config,
    app: &App,
    stopped: watch::Receiver<bool>,
) -> Result<Option<JoinHandle<()>>, Failure> {
    let Some(address) = &config.metrics_listen else {
        return Ok(None);
    };
    let listener = bind(config, address).await?;
    let told = listener.address().map_err(Failure::System)?;
    say(config, &format!("Metrics are told at {told}"));
    let limits = Limits {
        connections: METRICS_CONNECTIONS,
        counted: false,
        ..Limits::default()
    };
    let router = admin::metrics::router(app.clone());
    Ok(Some(tokio::spawn(listen::serve(
        listener, router, limits, stopped,
    ))))
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
    let site = Site::new(
        &config.club_name,
        &config.base_url_at(config.listen.clone()),
    );
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
