//! How it is installed, read from the files: rules for the image, the compose file, the unit and what the README shows
//! of proxies. Each rule is shown to hold here and to be broken by a changed copy.

mod compose;
mod image;
mod proxies;
mod unit;

use std::path::Path;

use mustwright::config::SETTINGS;

fn read(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()))
}

/// Whether a name is a setting, or the name for a file with a secret one.
fn is_setting(name: &str) -> bool {
    SETTINGS.iter().any(|setting| {
        setting.name == name || (setting.secret && name.strip_suffix("_FILE") == Some(setting.name))
    })
}

/// Whether an image is named with its version: at least a number, and not whatever is newest.
fn is_pinned(image: &str) -> bool {
    let named = image.split('@').next().unwrap_or_default();
    let tag = named.rsplit('/').next().unwrap_or_default();
    tag.split_once(':')
        .is_some_and(|(_, tag)| tag.starts_with(|c: char| c.is_ascii_digit()))
}

/// The rules hold for a text, and each change breaks exactly the rule that it names.
fn holds_and_breaks(text: &str, rules: fn(&str) -> Vec<String>, changes: &[(&str, &str, &str)]) {
    assert_eq!(rules(text), Vec::<String>::new());
    for (from, to, broken) in changes {
        let changed = text.replace(from, to);
        assert_ne!(changed, text, "{from:?} is not there");
        let complaints = rules(&changed);
        assert!(
            complaints.iter().any(|said| said.contains(broken)),
            "{from:?} as {to:?} breaks {complaints:?}, not {broken:?}"
        );
    }
}

#[test]
fn images_are_pinned_by_a_number() {
    for image in [
        "debian:12-slim",
        "db.example:5000/postgres:15-bookworm",
        "debian:12@sha256:ab",
    ] {
        assert!(is_pinned(image), "{image}");
    }
    for image in [
        "debian",
        "debian:latest",
        "db.example:5000/postgres",
        "debian@sha256:ab",
    ] {
        assert!(!is_pinned(image), "{image}");
    }
}

#[test]
fn secrets_stay_out_of_the_repository_and_of_the_image() {
    for file in [".gitignore", ".dockerignore"] {
        let text = read(file);
        let lines: Vec<_> = text
            .lines()
            .map(|line| line.trim_start_matches('/'))
            .collect();
        for secret in ["docker/secrets", "docker/.env"] {
            assert!(lines.contains(&secret), "{file} does not name {secret}");
        }
    }
}
