//! Load by `wrk`, and what it says.

use std::io::Write;
use std::process::Command;

use tempfile::NamedTempFile;

/// A request that is made over and over by 32 connections.
pub struct Load {
    url: String,
    cookies: String,
    script: Option<NamedTempFile>,
}

/// How it went.
pub struct Rate {
    pub per_second: f64,
    pub p99_ms: f64,
}

/// How long one measurement lasts.
pub fn seconds() -> u64 {
    let said = std::env::var("MUSTWRIGHT_SECONDS").ok();
    said.map_or(10, |said| said.parse().expect("MUSTWRIGHT_SECONDS"))
}

/// A recipe with honey, fruit, yeast and two feeds, as the workbench sends it.
pub fn a_recipe() -> String {
    let fields = [
        ("draft", ""),
        ("base_version", ""),
        ("title", "Hedgerow"),
        ("volume", "19 L"),
        ("aim", "abv"),
        ("strength", "11.5 %"),
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
    ];
    let url = reqwest::Url::parse_with_params("http://localhost/", fields).expect("fields");
    url.query().expect("a form").to_owned()
}

impl Load {
    /// A page that is read.
    pub fn get(url: &str, cookies: &str) -> Load {
        Load {
            url: url.to_owned(),
            cookies: cookies.to_owned(),
            script: None,
        }
    }

    /// A form that is sent by the page's script.
    pub fn post(url: &str, cookies: &str, body: &str) -> Load {
        let mut script = NamedTempFile::new().expect("a file");
        writeln!(
            script,
            "wrk.method = \"POST\"\nwrk.body = \"{body}\"\n\
             wrk.headers[\"content-type\"] = \"application/x-www-form-urlencoded\"\n\
             wrk.headers[\"sec-fetch-site\"] = \"same-origin\"\nwrk.headers[\"x-live\"] = \"1\""
        )
        .expect("written");
        Load {
            script: Some(script),
            ..Load::get(url, cookies)
        }
    }

    /// Makes it for some seconds.
    pub fn run(&self) -> Rate {
        let mut command = Command::new("wrk");
        command.args(["-t1", "-c32", "--latency", &format!("-d{}s", seconds())]);
        command.args(["-H", &format!("Cookie: {}", self.cookies)]);
        if let Some(script) = &self.script {
            command.arg("-s").arg(script.path());
        }
        let output = command.arg(&self.url).output().expect("wrk is installed");
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(
            output.status.success() && !said.contains("Non-2xx"),
            "{} {said}",
            self.url
        );
        let after = |word: &str| {
            let line = said
                .lines()
                .find(|line| line.trim_start().starts_with(word));
            let value = line.and_then(|line| line.split_whitespace().nth(1));
            value
                .unwrap_or_else(|| panic!("no {word} in {said}"))
                .to_owned()
        };
        Rate {
            per_second: after("Requests/sec:").parse().expect("a rate"),
            p99_ms: milliseconds(&after("99%")),
        }
    }
}

/// `830.00us`, `2.42ms`, `1.10s`.
fn milliseconds(text: &str) -> f64 {
    let units = [("us", 0.001), ("ms", 1.0), ("s", 1000.0)];
    let (number, of) = units
        .iter()
        .find_map(|(unit, of)| Some((text.strip_suffix(unit)?, of)))
        .unwrap_or_else(|| panic!("no time: {text}"));
    number.parse::<f64>().expect("a number") * of
}
