//! Both servers are stopped and started, one after the other, and nobody who uses the club notices.

use std::time::Duration;

use tokio::sync::watch;
use tokio::task::JoinSet;

use super::{Two, Writer, put_in};
use crate::support::a_member;

/// Requests a second, where the machine can.
const RATE: u64 = 20;
/// The most that are under way at once: a machine that is busy with something else is not buried.
const MOST: usize = 6;

/// Sends so many requests a second, however long each takes, until it is told that it is over; how each ended.
async fn load(writer: Writer, over: watch::Receiver<bool>) -> Vec<(String, Result<u16, String>)> {
    let (mut under_way, mut answers) = (JoinSet::new(), Vec::new());
    let mut beat = tokio::time::interval(Duration::from_millis(1000 / RATE));
    for number in 0.. {
        if *over.borrow() {
            break;
        }
        beat.tick().await;
        while under_way.len() >= MOST
            && let Some(answer) = under_way.join_next().await
        {
            answers.push(answer.expect("a request"));
        }
        let writer = writer.clone();
        under_way.spawn(async move {
            match number % 3 {
                0 => {
                    let name = format!("thing {number:05}");
                    let answer = writer.put(&name).await;
                    (name, answer)
                }
                1 => ("/cupboard".to_owned(), writer.read("/cupboard").await),
                _ => ("/".to_owned(), writer.read("/").await),
            }
        });
    }
    answers.extend(under_way.join_all().await);
    answers
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_rolling_restart_fails_no_request() {
    let rounds = std::env::var("MUSTWRIGHT_ROLLS").ok();
    let rounds: usize = rounds.and_then(|text| text.parse().ok()).unwrap_or(1);
    let mut two = Two::open(&[("MUSTWRIGHT_HANDOVER", "3")]).await;
    let ada = a_member().of(&two.club).await;
    let browser = two.club.browser_of(&ada).await;
    let writer = Writer::of(&two, &browser).await;
    let (end, over) = watch::channel(false);
    let load = tokio::spawn(load(writer.clone(), over));
    for which in (0..rounds).flat_map(|_| [0, 1]) {
        // Some load at both.
        tokio::time::sleep(Duration::from_millis(300)).await;
        while two.browser_at(which).get("/health/ready").await.status != 200 {
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        let stopped = two.take(which);
        stopped.signal("TERM");
        // For whoever asks anew it is not ready any more, and it still answers.
        loop {
            match two.browser_at(which).get("/health/ready").await.status {
                200 => {}
                status => break assert_eq!(status, 503),
            }
        }
        let ended = stopped.ends().await;
        assert_eq!(ended.code, Some(0), "{}", ended.complained);
        // Nobody is there until somebody has asked in vain.
        let before = two.proxy.refused();
        let in_vain = async {
            while two.proxy.refused() == before {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
        };
        tokio::time::timeout(Duration::from_secs(10), in_vain)
            .await
            .expect("somebody asks");
        two.start(which).await;
    }
    end.send(true).expect("somebody listens");
    let answers = load.await.expect("the load");
    let failed: Vec<_> = answers
        .iter()
        .filter(|(_, answer)| !matches!(answer, Ok(200 | 303)))
        .collect();
    assert!(failed.is_empty(), "of {}: {failed:#?}", answers.len());
    let mut written: Vec<&String> = answers.iter().map(|(what, _)| what).collect();
    written.retain(|what| what.starts_with("thing"));
    written.sort();
    assert_eq!(put_in(&two).await.iter().collect::<Vec<_>>(), written);
}
