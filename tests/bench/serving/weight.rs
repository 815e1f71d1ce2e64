//! What pages weigh on the wire, compressed.

use super::Line;
use super::program::Program;
use super::support::Browser;

const PAGES: [&str; 14] = [
    "/",
    "/recipes",
    "/recipes/new",
    "/recipes/new?way=whole",
    "/starters",
    "/batches",
    "/club",
    "/calculations",
    "/catalogue",
    "/safety",
    "/methods",
    "/settings",
    "/for-a-day",
    "/competitions",
];

/// KiB on the wire; `None` for what is no page.
async fn kib(program: &Program, cookies: &str, path: &str) -> Option<f64> {
    let client = reqwest::Client::builder()
        .no_proxy()
        .build()
        .expect("a client");
    let request = client
        .get(program.url(path))
        .header("cookie", cookies)
        .header("accept-encoding", "br, gzip");
    let answer = request.send().await.expect("an answer");
    let found = answer.status() == 200;
    let bytes = answer.bytes().await.expect("a body").len();
    found.then_some(bytes as f64 / 1024.0)
}

/// The heaviest page, all styles, all scripts.
pub async fn of_pages(program: &Program, browser: &Browser) -> Vec<Line> {
    let cookies = browser.cookie_line();
    let mut heaviest = (0.0, "");
    for path in PAGES {
        match kib(program, &cookies, path).await {
            Some(kib) if kib > heaviest.0 => heaviest = (kib, path),
            Some(_) => {}
            None => println!("{path} is no page"),
        }
    }
    let home = browser.get("/").await;
    let mut of = [(".css", 0.0), (".js", 0.0)];
    let texts = home
        .text
        .split('"')
        .filter(|text| text.contains("/static/"));
    for path in texts {
        for (end, sum) in &mut of {
            if path
                .split('?')
                .next()
                .is_some_and(|path| path.ends_with(*end))
            {
                *sum += kib(program, &cookies, path).await.unwrap_or(0.0);
            }
        }
    }
    vec![
        Line::at_most(
            &format!("the heaviest page, {}", heaviest.1),
            heaviest.0,
            40.0,
            "KiB",
        ),
        Line::at_most("styles", of[0].1, 20.0, "KiB"),
        Line::at_most("scripts", of[1].1, 30.0, "KiB"),
    ]
}
