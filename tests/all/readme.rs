//! The documents at the top and in `tests/`: what they name is there.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use mustwright::config::SETTINGS;

fn read(path: impl AsRef<Path>) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    fs::read_to_string(&path).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()))
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
    found
}

/// The names of all tests of a target, as its runner prints them.
fn tests_of(target: &str) -> BTreeSet<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(target);
    let mut names = BTreeSet::new();
    for path in sources(&folder) {
        let below = path.strip_prefix(&folder).expect("below the folder");
        let parts = below.with_extension("");
        let module: Vec<_> = parts
            .iter()
            .map(|part| part.to_string_lossy())
            .filter(|part| part != "mod" && part != "main")
            .collect();
        let text = fs::read_to_string(&path).expect("a text");
        let plain = text.split("test]\n").skip(1);
        let with_flavor = text.split("#[tokio::test(").skip(1);
        for after in plain.chain(with_flavor) {
            if let Some(name) = after.split("fn ").nth(1) {
                let name: String = name
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect();
                names.insert(format!("{}::{name}", module.join("::")));
            }
        }
    }
    names
}

#[test]
fn every_test_that_is_named_is_there() {
    let there: BTreeSet<String> = tests_of("engine")
        .into_iter()
        .chain(tests_of("all"))
        .collect();
    let text = read("tests/README.md");
    let named: Vec<&str> = text
        .split('`')
        .skip(1)
        .step_by(2)
        .filter(|name| name.contains("::"))
        .collect();
    assert!(named.len() > 80, "{}", named.len());
    let missing: Vec<&&str> = named
        .iter()
        .filter(|name| !there.contains(**name))
        .collect();
    assert!(missing.is_empty(), "{missing:#?}");
}

#[test]
fn every_setting_has_its_row_with_its_default() {
    let text = read("README.md");
    for setting in SETTINGS {
        let start = format!("| `{}` | ", setting.name);
        let row = text
            .lines()
            .find_map(|line| line.strip_prefix(&start))
            .unwrap_or_else(|| panic!("no row for {}", setting.name));
        let shown = row.split(" | ").next().unwrap_or_default();
        if !setting.default.is_empty() {
            assert_eq!(shown, format!("`{}`", setting.default), "{}", setting.name);
        }
        if setting.secret {
            assert!(
                text.contains(&format!("`{}_FILE`", setting.name)),
                "{}",
                setting.name
            );
        }
    }
    let known = |name: &str| {
        let bare = name.strip_suffix("_FILE").unwrap_or(name);
        SETTINGS.iter().any(|setting| setting.name == bare)
    };
    for row in text.lines().filter_map(|line| line.strip_prefix("| `")) {
        let name = row.split('`').next().unwrap_or_default();
        let is_setting = name.starts_with("MUSTWRIGHT_") || name.ends_with("DATABASE_URL");
        assert!(!is_setting || known(name), "{name} is no setting");
    }
}

#[test]
fn links_between_documents_lead_somewhere() {
    for (folder, document) in [
        ("", "README.md"),
        ("", "DEVELOPERS.md"),
        ("tests", "tests/README.md"),
    ] {
        let text = read(document);
        for link in text.split("](").skip(1) {
            let target = link.split([')', '#']).next().unwrap_or_default();
            assert!(
                !target.starts_with("http"),
                "{document} leads out: {target}"
            );
            read(Path::new(folder).join(target));
        }
    }
}
