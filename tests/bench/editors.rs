//! Recalculation over HTTP: 32 editors, each with one edit every 300 ms, on a server and a PostgreSQL of this machine.
//!
//! `cargo bench --bench editors` prints the percentiles of the answer times, and the memory of the server's process.

#[path = "../support/mod.rs"]
#[expect(dead_code, unused_imports, reason = "the tests use the rest")]
mod support;

use std::time::{Duration, Instant};

use support::{Browser, Club, a_member};

const EDITORS: usize = 32;
const EDITS: usize = 60;
const PAUSE: Duration = Duration::from_millis(300);

/// The fields of a recipe with honey, fruit, yeast and two feeds, as the workbench sends them.
fn fields(strength: &str, sequence: &str) -> Vec<(&'static str, String)> {
    let mut fields: Vec<(&'static str, String)> = [
        ("draft", ""),
        ("base_version", ""),
        ("title", "Hedgerow"),
        ("volume", "19 L"),
        ("aim", "abv"),
        ("gravity", ""),
        ("honey_to_use", ""),
        ("finish", "sweeten"),
        ("final_gravity", "1.010"),
        ("filler", "water"),
        ("feeding", "usual"),
        ("temperature", "19 °C"),
        ("vessel_brim", "25 L"),
        ("honey_row", "1"),
        ("honey_pick", "honey-wildflower"),
        ("honey_amount", "the rest"),
        ("honey_when", "must"),
        ("other_row", "1"),
        ("other_pick", "blackberry"),
        ("other_amount", "2,5 kg"),
        ("other_when", "primary"),
        ("yeast_row", "1"),
        ("yeast_pick", "yeast-champagne-type"),
        ("yeast_when", "pitch"),
        ("feed_row", "1"),
        ("feed_pick", "feed-mixed"),
        ("feed_row", "2"),
        ("feed_pick", "feed-dap"),
    ]
    .map(|(name, value)| (name, value.to_owned()))
    .to_vec();
    fields.push(("strength", strength.to_owned()));
    fields.push(("sequence", sequence.to_owned()));
    fields
}

async fn edit(browser: Browser, place: usize) -> Vec<Duration> {
    let mut times = Vec::with_capacity(EDITS);
    tokio::time::sleep(PAUSE * u32::try_from(place).unwrap_or(0) / EDITORS as u32).await;
    let draft = format!("{place:a<20}").replace(|c: char| c.is_ascii_digit(), "b");
    for turn in 0..EDITS {
        let strength = format!("{}.{} %", 8 + turn % 6, turn % 10);
        let mut fields = fields(&strength, &(turn + 1).to_string());
        if let Some((_, value)) = fields.iter_mut().find(|(name, _)| *name == "draft") {
            value.clone_from(&draft);
        }
        let request = browser
            .request(reqwest::Method::POST, "/recipes/workbench")
            .header("x-live", "1")
            .header("sec-fetch-site", "same-origin")
            .form(&fields);
        let began = Instant::now();
        let page = browser.send(request).await;
        let took = began.elapsed();
        assert_eq!(page.status, 200, "{}", page.text);
        assert!(page.text.contains("data-live-region=\"numbers\""));
        times.push(took);
        tokio::time::sleep(PAUSE.saturating_sub(took)).await;
    }
    times
}

/// Memory of this process, MB, by what the system says; the server runs in it.
fn resident_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmRSS:"))?;
    line.split_whitespace()
        .nth(1)?
        .parse::<f64>()
        .ok()
        .map(|kb| kb / 1024.0)
}

#[tokio::main]
async fn main() {
    let club = Club::open().await;
    // One sign-in after the other: the server takes no flood of them, and they are not what is timed.
    let mut browsers = Vec::new();
    for place in 0..EDITORS {
        let member = a_member().named(&format!("Editor {place}")).of(&club).await;
        browsers.push(club.browser_of(&member).await);
    }
    let editors: Vec<_> = browsers
        .into_iter()
        .enumerate()
        .map(|(place, browser)| tokio::spawn(edit(browser, place)))
        .collect();
    let mut all = Vec::new();
    for editor in editors {
        all.extend(editor.await.expect("an editor"));
    }
    all.sort_unstable();
    let at = |share: f64| {
        all.get(((all.len() - 1) as f64 * share) as usize)
            .copied()
            .unwrap_or_default()
    };
    println!(
        "{} recalculations by {EDITORS} editors, one per {PAUSE:?} each: p50 {:?}, p95 {:?}, p99 {:?}, worst {:?}",
        all.len(),
        at(0.50),
        at(0.95),
        at(0.99),
        at(1.0)
    );
    if let Some(mb) = resident_mb() {
        println!("memory of server and load generator together: {mb:.1} MB");
    }
}
