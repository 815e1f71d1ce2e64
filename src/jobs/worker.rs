//! What carries jobs out in each server: takes what is due, goes on saying so, writes down how it ended.

use std::sync::Arc;
use std::time::Duration;

use sqlx::pool::PoolConnection;
use sqlx::{PgConnection, PgPool, Postgres};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::{Instant, sleep, timeout};

use super::store;
use super::{Failed, Held, Job, Rhythm};

/// How many jobs one server does at once.
const LANES: usize = 3;

/// How long the database may take to say what is due: longer than any statement, shorter than a lease.
const SILENCE: Duration = Duration::from_secs(20);
/// The same once the server stops.
const ANSWER: Duration = Duration::from_secs(2);

/// The times of a worker.
#[derive(Clone, Copy, Debug)]
pub struct Pace {
    /// How often it looks for what is due.
    pub look: Duration,
    /// How long a job is held without another word.
    pub lease: Duration,
    /// When what is new in this database comes first.
    pub first: Duration,
    /// How long jobs under way may take once the server stops.
    pub drain: Duration,
}

impl Default for Pace {
    fn default() -> Pace {
        Pace {
            look: Duration::from_secs(2),
            lease: Duration::from_secs(60),
            first: Duration::from_secs(60),
            drain: Duration::from_secs(8),
        }
    }
}

/// What does jobs in this server.
#[derive(Clone)]
pub struct Worker {
    pool: PgPool,
    jobs: Arc<[Job]>,
    kinds: Arc<[String]>,
    pace: Pace,
}

impl Worker {
    /// A worker that knows these jobs; what another version of the program asks for waits for that.
    pub fn new(pool: PgPool, jobs: Vec<Job>, pace: Pace) -> Worker {
        Worker {
            pool,
            kinds: jobs.iter().map(|job| job.kind.to_owned()).collect(),
            jobs: jobs.into(),
            pace,
        }
    }

    /// Works until `stop` says so. What is not ended within the drain is given back.
    pub async fn run(self, mut stop: watch::Receiver<bool>) {
        let (cut, is_cut) = watch::channel(false);
        let mut under_way = JoinSet::new();
        let mut established = false;
        while !*stop.borrow_and_update() {
            // A database that says nothing keeps nobody from stopping.
            let conn = tokio::select! {
                conn = self.pool.acquire() => conn,
                told = stop.changed() => match told {
                    Ok(()) => continue,
                    Err(_) => break,
                },
            };
            self.look_in_time(conn, &mut established, &mut under_way, &is_cut, &mut stop)
                .await;
            tokio::select! {
                told = stop.changed() => if told.is_err() { break },
                () = sleep(self.pace.look) => {}
                Some(_) = under_way.join_next() => {}
            }
        }
        let all = async { while under_way.join_next().await.is_some() {} };
        if timeout(self.pace.drain, all).await.is_err() {
            let _ = cut.send(true);
            while under_way.join_next().await.is_some() {}
        }
    }

    /// Takes what is due. What is being taken is left half-way only where the database is silent: nobody would give it back.
    async fn look_in_time(
        &self,
        conn: Result<PoolConnection<Postgres>, sqlx::Error>,
        established: &mut bool,
        under_way: &mut JoinSet<()>,
        cut: &watch::Receiver<bool>,
        stop: &mut watch::Receiver<bool>,
    ) {
        let looking = async { self.look(&mut *conn?, established, under_way, cut).await };
        tokio::pin!(looking);
        let looked = tokio::select! {
            looked = timeout(SILENCE, &mut looking) => looked,
            _ = stop.changed() => timeout(ANSWER, &mut looking).await,
        };
        match looked {
            Ok(Ok(())) => {}
            Ok(Err(cause)) => tracing::debug!(%cause, "no jobs can be taken right now"),
            Err(_) => tracing::debug!("nobody says which jobs are due"),
        }
    }

    /// Takes what is due for as long as there is a free lane.
    async fn look(
        &self,
        conn: &mut PgConnection,
        established: &mut bool,
        under_way: &mut JoinSet<()>,
        cut: &watch::Receiver<bool>,
    ) -> Result<(), sqlx::Error> {
        if !*established {
            for job in &*self.jobs {
                store::establish(&mut *conn, job.kind, job.rhythm, self.pace.first).await?;
            }
            *established = true;
        }
        while under_way.len() < LANES {
            let asked = Instant::now();
            let Some(held) = store::take(&mut *conn, &self.kinds, self.pace.lease).await? else {
                break;
            };
            let Some(job) = self.jobs.iter().find(|job| job.kind == held.kind) else {
                break;
            };
            under_way.spawn(carry_out(
                self.pool.clone(),
                job.clone(),
                (held, asked),
                self.pace.lease,
                cut.clone(),
            ));
        }
        Ok(())
    }
}

/// How a holder's work ended.
enum Ended {
    Itself(Result<(), Failed>),
    /// It is another's by now: nothing to write.
    Lost,
    /// The server stops.
    Cut,
}

/// Why a job that was taken is not begun, if it is not.
fn why_not_begun(job: &Job, held: &Held) -> Option<&'static str> {
    if held.was_begun {
        return Some(
            "The server that was at it stopped in the middle. It may be done, so it is not done a second time.",
        );
    }
    match job.rhythm {
        Rhythm::Asked { within } if held.asked_ago >= within => {
            Some("It was asked for too long ago, so it is not done any more.")
        }
        _ => None,
    }
}

async fn carry_out(
    pool: PgPool,
    job: Job,
    (held, asked): (Held, Instant),
    lease: Duration,
    mut cut: watch::Receiver<bool>,
) {
    let ended = match why_not_begun(&job, &held) {
        Some(words) => Ended::Itself(Err(Failed::for_good(words))),
        None => {
            // A task of its own, so that a panic ends nothing else; dropping the set ends the task.
            let mut work = JoinSet::new();
            work.spawn((job.work)(held.clone()));
            tokio::select! {
                Some(ended) = work.join_next() => Ended::Itself(ended.unwrap_or_else(|cause| {
                    Err(Failed::for_now("Something went wrong; the log of the server says what.").because(cause))
                })),
                () = until_lost(&pool, (&held, asked), lease) => Ended::Lost,
                _ = cut.wait_for(|cut| *cut) => Ended::Cut,
            }
        }
    };
    if let Err(cause) = write_down(&pool, &job, &held, ended).await {
        tracing::warn!(%cause, job = job.kind, "how a job ended was not written down; it comes again");
    }
}

/// Goes on saying that the job is in hand; comes back when it is not any more.
async fn until_lost(pool: &PgPool, (held, asked): (&Held, Instant), lease: Duration) {
    let mut said = asked;
    loop {
        let left = |said: Instant| lease.saturating_sub(said.elapsed());
        sleep((lease / 3).min(left(said))).await;
        let asked = Instant::now();
        let kept = async { store::keep(&mut *pool.acquire().await?, held, lease).await };
        match timeout((lease / 3).min(left(said)), kept).await {
            Ok(Ok(true)) => said = asked,
            Ok(Ok(false)) => return,
            Ok(Err(cause)) => {
                tracing::debug!(%cause, job = held.kind, "nobody heard that a job is in hand")
            }
            Err(_) => tracing::debug!(job = held.kind, "nobody said that a job is in hand"),
        }
        if said.elapsed() >= lease {
            return;
        }
    }
}

async fn write_down(
    pool: &PgPool,
    job: &Job,
    held: &Held,
    ended: Ended,
) -> Result<(), sqlx::Error> {
    let mut conn = pool.acquire().await?;
    match ended {
        Ended::Itself(Ok(())) => {
            store::done(&mut conn, held, job.rhythm).await?;
        }
        Ended::Itself(Err(failed)) => {
            let words = &failed.words;
            let given_up =
                store::failed(&mut conn, held, job.rhythm, words, failed.for_good).await?;
            tracing::warn!(
                job = job.kind,
                tries = held.tries,
                given_up,
                cause = failed.cause,
                "a job was not done: {words}"
            );
        }
        Ended::Lost => tracing::warn!(job = job.kind, "a job is another server's by now"),
        Ended::Cut => {
            store::give_back(&mut conn, held).await?;
            tracing::info!(job = job.kind, "a job was given back");
        }
    }
    Ok(())
}
