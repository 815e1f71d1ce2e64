//! What the documents on installing say: settings that exist, and proxies that let through what the program takes.

use mustwright::portability::archive::MAX_PACKED;

use super::{is_setting, read};

/// What scripts and tests read, and the program does not.
const OF_SCRIPTS: &[&str] = &[
    "MUSTWRIGHT_OWNER_PASSWORD",
    "MUSTWRIGHT_OWNER_PASSWORD_FILE",
    "MUSTWRIGHT_APP_PASSWORD",
    "MUSTWRIGHT_APP_PASSWORD_FILE",
];

/// Names of settings in a text, each once.
fn named(text: &str) -> Vec<&str> {
    let words = text.split(|c: char| !(c.is_ascii_uppercase() || c == '_'));
    let ours = |word: &&str| {
        (word.starts_with("MUSTWRIGHT_") || word.contains("DATABASE_URL")) && !word.ends_with('_')
    };
    let mut all: Vec<&str> = words.filter(ours).collect();
    all.sort_unstable();
    all.dedup();
    all
}

#[test]
fn what_the_documents_name_is_a_setting() {
    let mut seen = 0;
    for file in [
        "README.md",
        "docker/Dockerfile",
        "docker/compose.yaml",
        "docker/mustwright.service",
        "docker/proxies.md",
        "docker/roles.sh",
        "docker/secrets.sh",
        "docker/setup.sh",
    ] {
        let text = read(file);
        for name in named(&text) {
            seen += 1;
            assert!(
                is_setting(name) || OF_SCRIPTS.contains(&name),
                "{file}: {name}"
            );
        }
    }
    assert!(seen > 30, "{seen}");
    assert_eq!(
        named("`MUSTWRIGHT_LISTN=x` and `DATABASE_URL`"),
        ["DATABASE_URL", "MUSTWRIGHT_LISTN"]
    );
}

/// The part of the document on one proxy.
fn part<'a>(text: &'a str, title: &str) -> &'a str {
    let start = format!("\n## {title}\n");
    let part = text
        .split(&start)
        .nth(1)
        .unwrap_or_else(|| panic!("no {title}"));
    part.split("\n## ").next().unwrap_or_default()
}

/// The number behind these words, up to whatever is no digit.
fn number(text: &str, words: &str) -> usize {
    let after = text
        .split(words)
        .nth(1)
        .unwrap_or_else(|| panic!("no {words}"));
    let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().expect("a number")
}

/// A token that went over plain http once is no secret any more: the program must notice.
#[test]
fn programs_are_not_led_on_from_plain_http() {
    let text = read("docker/proxies.md");
    for (title, refused, led) in [
        (
            "Caddy",
            "handle /api/* {\n\t\trespond 403",
            "redir https://",
        ),
        (
            "nginx",
            "location ~ /api/ { return 403; }",
            "return 301 https://",
        ),
        ("Apache", "RedirectMatch 403 /api/", "Redirect permanent"),
    ] {
        let part = part(&text, title);
        let (refused, led) = (part.find(refused), part.find(led));
        assert!(
            refused.is_some() && led.is_some() && refused < led,
            "{title}"
        );
    }
}

#[test]
fn proxies_let_through_what_members_bring_along() {
    let text = read("docker/proxies.md");
    for (title, size, unit) in [
        ("Caddy", "max_size ", 1_000_000),
        ("nginx", "client_max_body_size ", 1_048_576),
        ("Apache", "LimitRequestBody ", 1),
    ] {
        let part = part(&text, title);
        // The file itself, and what a form puts around it.
        let room = number(part, size) * unit;
        assert!(room >= MAX_PACKED + 64 * 1024, "{title}: {room}");
        for way in ["127.0.0.1:8420", "/run/mustwright/http.sock", "/mead"] {
            assert!(part.contains(way), "{title} without {way}");
        }
    }
    // Connections rest at most this long with the proxy, and a minute with the program.
    for (title, words) in [
        ("Caddy", "keepalive "),
        ("nginx", "keepalive_timeout "),
        ("Apache", "ttl="),
    ] {
        assert!(number(part(&text, title), words) < 60, "{title}");
    }
    // What somebody says of himself is not passed on.
    assert!(part(&text, "nginx").contains("X-Forwarded-For $remote_addr"));
    assert!(part(&text, "Apache").contains("RequestHeader unset X-Forwarded-For early"));
}
