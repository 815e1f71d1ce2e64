//! Work in the background: done by one server at a time, followed up when one dies, tried again, given up, given back.

use std::sync::{Arc, Mutex};
use std::time::Duration;

use chrono::{DateTime, Timelike, Utc};
use mustwright::jobs::worker::{Pace, Worker};
use mustwright::jobs::{Failed, Held, Job, Rhythm, store};
use serde_json::json;
use sqlx::PgPool;
use tokio::sync::{mpsc, watch};
use tokio::task::JoinHandle;

use crate::support::{Club, change_jobs, count_jobs, until_true};

/// A worker that looks often. What it holds is free again only when a test says so.
const QUICK: Pace = Pace {
    look: Duration::from_millis(20),
    lease: Duration::from_secs(20),
    first: Duration::ZERO,
    drain: Duration::from_millis(50),
};
const ASKED: Rhythm = Rhythm::Asked {
    within: Duration::from_secs(24 * 60 * 60),
};
const HOURLY: Rhythm = Rhythm::Every(Duration::from_secs(60 * 60));

/// A server's worker, which ends when this is told so, or at once when its task is ended.
fn at_work(club: &Club, job: &Job, pace: Pace) -> (watch::Sender<bool>, JoinHandle<()>) {
    let (stop, stopped) = watch::channel(false);
    let worker = Worker::new(club.pool().clone(), vec![job.clone()], pace);
    (stop, tokio::spawn(worker.run(stopped)))
}

/// Waits until so many jobs are like this.
async fn until(pool: &PgPool, many: i64, what: &str) {
    until_true(
        pool,
        &format!("(select count(*) from jobs where {what}) = {many}"),
    )
    .await;
}

async fn ask(pool: &PgPool, key: &str) -> bool {
    let mut conn = pool.acquire().await.expect("a connection");
    let about = json!({"of": key});
    let asked = store::ask(&mut conn, "turning", key, &about, 50).await;
    asked.expect("the database")
}

#[tokio::test]
async fn of_two_workers_one_does_each_and_what_is_asked_for_twice_is_done_once() {
    let club = Club::open().await;
    let pool = club.pool();
    let done: Arc<Mutex<Vec<String>>> = Arc::default();
    let noted = done.clone();
    let job = Job::new("turning", "Turning the mash", ASKED, move |held: Held| {
        let noted = noted.clone();
        async move {
            assert_eq!(held.about["of"], held.key.as_str());
            noted.lock().expect("the list").push(held.key);
            Ok(())
        }
    });
    for number in 0..40 {
        assert!(ask(pool, &format!("{number:02}")).await);
    }
    assert!(!ask(pool, "07").await, "a key is asked for once");
    for number in 40..50 {
        ask(pool, &format!("{number:02}")).await;
    }
    assert!(!ask(pool, "too many").await, "so many may wait and no more");
    let _workers = [at_work(&club, &job, QUICK), at_work(&club, &job, QUICK)];
    until(pool, 50, "ended_at is not null and done_at is not null").await;
    assert!(!ask(pool, "07").await, "nor is it once it was done");
    let mut done = done.lock().expect("the list").clone();
    done.sort();
    let all: Vec<String> = (0..50).map(|number| format!("{number:02}")).collect();
    assert_eq!(done, all);
}

#[tokio::test]
async fn what_was_begun_by_who_died_is_never_begun_again() {
    let club = Club::open().await;
    let pool = club.pool().clone();
    let (begun, mut begins) = mpsc::unbounded_channel();
    let of_job = pool.clone();
    let job = Job::new("turning", "Turning the mash", ASKED, move |held: Held| {
        let (pool, begun) = (of_job.clone(), begun.clone());
        async move {
            let mut conn = pool.acquire().await?;
            assert!(held.begin(&mut conn).await?);
            assert!(!held.begin(&mut conn).await?, "it begins once");
            drop(conn);
            let _ = begun.send(held);
            std::future::pending().await
        }
    });
    ask(&pool, "a letter").await;
    // It says once a second that it is at it.
    let pace = Pace {
        lease: Duration::from_secs(3),
        ..QUICK
    };
    let dies = at_work(&club, &job, pace);
    let first = begins.recv().await.expect("it begins");
    // As long as it lives it is followed by nobody, however long it takes.
    let follows = at_work(&club, &job, pace);
    let held_until: DateTime<Utc> = sqlx::query_scalar("select held_until from jobs")
        .fetch_one(&pool)
        .await
        .unwrap();
    let later = format!(
        "turn = 1 and held_until >= timestamptz '{}' + interval '2 seconds'",
        held_until.to_rfc3339()
    );
    until(&pool, 1, &later).await;
    dies.1.abort();
    change_jobs(&club, "held_until = now() where kind = 'turning'").await;
    until(
        &pool,
        1,
        "turn = 2 and ended_at is not null and done_at is null",
    )
    .await;
    assert!(begins.try_recv().is_err());
    let mut conn = pool.acquire().await.unwrap();
    let told = store::standings(&mut conn).await.unwrap();
    let turning = told.iter().find(|told| told.kind == "turning").unwrap();
    assert!(turning.is_failing);
    assert!(
        turning
            .failure
            .as_ref()
            .is_some_and(|told| told.contains("not done a second time")),
        "{turning:?}"
    );
    // Who was thought dead writes nothing any more.
    assert!(!store::done(&mut conn, &first, ASKED).await.unwrap());
    assert!(!store::keep(&mut conn, &first, QUICK.lease).await.unwrap());
    assert!(!first.begin(&mut conn).await.unwrap());
    drop(follows);
}

#[tokio::test]
async fn what_was_not_ended_is_done_by_another_and_its_effect_is_there_once() {
    let club = Club::open().await;
    let pool = club.pool().clone();
    let (half, mut halves) = mpsc::unbounded_channel();
    let of_job = pool.clone();
    // Its effect is a row, written in one transaction; the first time it stands still before the commit.
    let job = Job::new("turning", "Turning the mash", ASKED, move |held: Held| {
        let (pool, half) = (of_job.clone(), half.clone());
        async move {
            let mut tx = pool.begin().await?;
            store::ask(&mut tx, "effect", &held.key, &json!({"turn": held.turn}), 9).await?;
            let _ = half.send(held.turn);
            if held.turn == 1 {
                std::future::pending::<()>().await;
            }
            tx.commit().await?;
            Ok(())
        }
    });
    ask(&pool, "a row").await;
    let dies = at_work(&club, &job, QUICK);
    assert_eq!(halves.recv().await, Some(1));
    let follows = at_work(&club, &job, QUICK);
    dies.1.abort();
    change_jobs(&club, "held_until = now() where kind = 'turning'").await;
    until(&pool, 1, "kind = 'turning' and done_at is not null").await;
    let turns: Vec<i64> =
        sqlx::query_scalar("select (about->>'turn')::bigint from jobs where kind = 'effect'")
            .fetch_all(&pool)
            .await
            .unwrap();
    assert_eq!(turns, [2]);
    until(
        &pool,
        1,
        "kind = 'turning' and failure = 'The server that was at it stopped in the middle.'",
    )
    .await;
    drop(follows);
}

#[tokio::test]
async fn what_fails_is_tried_later_and_later_and_given_up_in_the_end() {
    let club = Club::open().await;
    let pool = club.pool();
    let job = Job::new(
        "turning",
        "Turning the mash",
        ASKED,
        |held: Held| async move {
            if held.tries == 2 {
                panic!("the paddle broke");
            }
            Err(Failed::for_now("The mash is too thick."))
        },
    );
    ask(pool, "thick").await;
    let _worker = at_work(&club, &job, QUICK);
    let pause = async |tries: i32| -> (f64, String) {
        until(pool, 1, &format!("tries = {tries} and held_until is null")).await;
        let row = sqlx::query_as(
            "select extract(epoch from due_at - failed_at)::float8, failure from jobs",
        );
        row.fetch_one(pool).await.expect("a row")
    };
    let (first, why) = pause(1).await;
    assert!((22.0..38.0).contains(&first), "{first}");
    assert_eq!(why, "The mash is too thick.");
    change_jobs(&club, "due_at = now()").await;
    let (second, why) = pause(2).await;
    assert!((44.0..76.0).contains(&second), "{second}");
    assert!(why.contains("Something went wrong"), "{why}");
    change_jobs(&club, "due_at = now(), tries = 19").await;
    let (last, _) = pause(20).await;
    assert!((2_600.0..4_600.0).contains(&last), "{last}");
    // The next try would come after its day.
    let late = "due_at = now(), asked_at = now() - interval '23 hours 30 minutes'";
    change_jobs(&club, late).await;
    until(
        pool,
        1,
        "ended_at is not null and done_at is null and failure = 'The mash is too thick.'",
    )
    .await;
}

#[tokio::test]
async fn what_was_asked_for_too_long_ago_is_not_done_any_more() {
    let club = Club::open().await;
    let pool = club.pool();
    let job = Job::new("turning", "Turning the mash", ASKED, |_| async { Ok(()) });
    ask(pool, "in time").await;
    ask(pool, "late").await;
    let old = "asked_at = now() - interval '23 hours 50 minutes' where key = 'in time'";
    change_jobs(&club, old).await;
    change_jobs(
        &club,
        "asked_at = now() - interval '1 day' where key = 'late'",
    )
    .await;
    let _worker = at_work(&club, &job, QUICK);
    until(pool, 1, "key = 'in time' and done_at is not null").await;
    until(
        pool,
        1,
        "key = 'late' and done_at is null and ended_at is not null and tries = 1
         and failure = 'It was asked for too long ago, so it is not done any more.'",
    )
    .await;
}

#[tokio::test]
async fn what_comes_again_and_again_is_never_given_up_and_one_success_makes_it_good() {
    let club = Club::open().await;
    let pool = club.pool();
    let job = Job::new(
        "turning",
        "Turning the mash",
        HOURLY,
        |held: Held| async move {
            match held.tries {
                1 => Err(Failed::for_good("The mash is too thick.")),
                _ => Ok(()),
            }
        },
    );
    let _workers = [at_work(&club, &job, QUICK), at_work(&club, &job, QUICK)];
    until(
        pool,
        1,
        "tries = 1 and failed_at is not null and held_until is null",
    )
    .await;
    let is_failing = async || {
        let mut conn = pool.acquire().await.expect("a connection");
        let told = store::standings(&mut conn).await.expect("the database");
        assert_eq!(told.len(), 1, "one row, however many servers");
        told[0].is_failing
    };
    assert!(is_failing().await);
    change_jobs(&club, "due_at = now()").await;
    until(
        pool,
        1,
        "done_at is not null and tries = 0 and ended_at is null and due_at > now() + interval '59 minutes'",
    )
    .await;
    assert!(!is_failing().await);
}

#[tokio::test]
async fn who_stops_gives_back_what_is_not_ended() {
    let club = Club::open().await;
    let pool = club.pool();
    let job = Job::new("turning", "Turning the mash", ASKED, |_| {
        std::future::pending()
    });
    ask(pool, "long").await;
    let (stop, worker) = at_work(&club, &job, QUICK);
    until(pool, 1, "turn = 1 and held_until is not null").await;
    stop.send(true).unwrap();
    worker.await.unwrap();
    until(
        pool,
        1,
        "held_until is null and tries = 0 and due_at <= now() and failed_at is null",
    )
    .await;
}

#[tokio::test]
async fn what_comes_by_night_is_due_at_half_past_two() {
    let club = Club::open().await;
    let mut conn = club.pool().acquire().await.unwrap();
    let due = async |conn: &mut sqlx::PgConnection| -> DateTime<Utc> {
        let asked = sqlx::query_scalar("select due_at from jobs where kind = 'nights'");
        asked.fetch_one(conn).await.expect("a row")
    };
    store::establish(&mut conn, "nights", Rhythm::Nightly, Duration::ZERO)
        .await
        .unwrap();
    let first = due(&mut conn).await;
    assert_eq!((first.hour(), first.minute()), (2, 30));
    assert!(first > Utc::now() && first - Utc::now() <= chrono::TimeDelta::days(1));
    change_jobs(&club, "due_at = now()").await;
    let kinds = ["nights".to_owned()];
    let held = store::take(&mut conn, &kinds, QUICK.lease).await.unwrap();
    assert!(
        store::done(&mut conn, &held.unwrap(), Rhythm::Nightly)
            .await
            .unwrap()
    );
    assert_eq!(due(&mut conn).await, first);
}

#[tokio::test]
async fn every_job_of_the_program_can_be_done() {
    let club = Club::open().await;
    let jobs = mustwright::jobs::listed::all(&club.app);
    let recurring = jobs
        .iter()
        .filter(|job| matches!(job.rhythm, Rhythm::Every(_)));
    let many = i64::try_from(recurring.count()).unwrap();
    assert!(many >= 6);
    let (_stop, stopped) = watch::channel(false);
    tokio::spawn(Worker::new(club.pool().clone(), jobs, QUICK).run(stopped));
    until(club.pool(), many, "done_at is not null").await;
    assert_eq!(count_jobs(club.pool(), "failed_at is not null").await, 0);
}
