//! One of two servers is killed while many write.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use super::{Two, Writer, put_in};
use crate::support::a_member;

const CLIENTS: usize = 4;

/// What one client was told.
#[derive(Default)]
struct Told {
    acknowledged: BTreeSet<String>,
    /// When each request began whose connection was lost, when it was noticed, and how.
    lost: Vec<(Instant, Instant, String)>,
    /// How often it was to come again later.
    later: usize,
}

/// Writes until it is over; what the connection was lost over is sent again, as the same form.
async fn write_on(
    writer: Writer,
    client: usize,
    over: Arc<AtomicBool>,
    done: Arc<AtomicUsize>,
) -> Told {
    let mut told = Told::default();
    for number in 0.. {
        if over.load(Ordering::Relaxed) {
            break;
        }
        let name = format!("thing {client} {number:04}");
        loop {
            let began = Instant::now();
            match writer.put(&name).await {
                Ok(303) => break,
                // What the dead one held is let go of in a moment.
                Ok(503) => told.later += 1,
                Ok(status) => panic!("answered {status}"),
                Err(cause) => told.lost.push((began, Instant::now(), cause)),
            }
        }
        told.acknowledged.insert(name);
        done.fetch_add(1, Ordering::Relaxed);
    }
    told
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn one_is_killed_under_load_and_the_other_goes_on_with_nothing_lost() {
    let rounds = std::env::var("MUSTWRIGHT_KILLS").ok();
    let rounds: usize = rounds.and_then(|text| text.parse().ok()).unwrap_or(2);
    let mut two = Two::open(&[]).await;
    let ada = a_member().of(&two.club).await;
    let browser = two.club.browser_of(&ada).await;
    let writer = Writer::of(&two, &browser).await;
    let (over, done) = (
        Arc::new(AtomicBool::new(false)),
        Arc::new(AtomicUsize::new(0)),
    );
    let clients: Vec<_> = (0..CLIENTS)
        .map(|client| tokio::spawn(write_on(writer.clone(), client, over.clone(), done.clone())))
        .collect();
    let more = async |count: usize| {
        let until = done.load(Ordering::Relaxed) + count;
        while done.load(Ordering::Relaxed) < until {
            assert!(!clients.iter().any(|client| client.is_finished()));
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
    };
    let mut dying = Vec::new();
    for round in 0..rounds {
        let which = round % 2;
        more(20).await;
        let killed = two.take(which);
        let told = Instant::now();
        killed.signal("KILL");
        killed.ends().await;
        dying.push((told, Instant::now()));
        // The other one alone.
        more(30).await;
        two.start(which).await;
    }
    over.store(true, Ordering::Relaxed);
    let (mut acknowledged, mut lost, mut later) = (BTreeSet::new(), Vec::new(), 0);
    for client in clients {
        let told = client.await.expect("a client");
        acknowledged.extend(told.acknowledged);
        lost.extend(told.lost);
        later += told.later;
    }
    assert!(
        two.proxy.refused() > 0,
        "the proxy met the one that was dead"
    );
    // A process that dies is connected to until it is gone.
    lost.retain(|(began, noticed, _)| {
        !dying
            .iter()
            .any(|(told, gone)| began <= gone && noticed >= told)
    });
    assert!(
        lost.is_empty() && later <= rounds * CLIENTS,
        "only what was under way as it died had to be sent again: {later}, {lost:?}"
    );
    let acknowledged: Vec<String> = acknowledged.into_iter().collect();
    assert_eq!(
        put_in(&two).await,
        acknowledged,
        "what was acknowledged is there, each once, and nothing else"
    );
}
