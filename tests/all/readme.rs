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
    let text = format!("{}{}", read("tests/README.md"), read("tests/security.md"));
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

/// What is asked in the rows of `tests/security.md`, by its numbers.
const ASKED: &str = "6.1.1 6.2.1 6.2.8 6.2.2 6.2.4 6.2.5 6.3.2 6.3.3 6.3.4 6.3.8 6.3.7 6.4.1 6.4.2 6.5.1 11.4.2 \
    7.2.1 7.2.4 7.3.1 7.4.1 7.4.3 7.5.1 7.4.4 3.3.1 8.1.1 8.2.1 8.2.3 8.3.2 15.4.2 13.2.2 \
    3.5.1 1.1.1 1.3.1 3.4.3 3.4.1 3.4.4 3.4.2 3.7.2 4.1.1 14.3.2 14.2.1 3.6.1 \
    2.1.1 1.4.2 1.2.4 1.2.9 1.2.10 2.3.1 15.3.7 5.1.1 5.2.3 14.2.8 5.3.1 3.2.1 7.2.2 8.2 3.5.2 4.1.4 \
    4.1.3 15.1.3 5.2.1 1.3.6 16.1.1 16.2.5 16.3.1 16.4.1 16.5.1 13.4.1 13.3.1 12.1.1 15.1.1 11.2.1";

#[test]
fn every_fault_class_and_question_has_a_row_that_says_something() {
    let text = read("tests/security.md");
    let rows: Vec<(&str, &str)> = text
        .lines()
        .filter_map(|line| {
            line.strip_prefix("| ")?
                .strip_suffix(" |")?
                .split_once(" | ")
        })
        .collect();
    let numbered = |letter: char, most: u8| (1..=most).map(move |nth| format!("{letter}{nth:02}"));
    let wanted = numbered('R', 26)
        .chain(numbered('B', 35))
        .chain(ASKED.split_whitespace().map(str::to_owned));
    for name in wanted {
        let is_it = |asked: &str| {
            let mut starts = asked.split([' ', ',', ':', ';', '–']);
            starts.next() == Some(name.as_str())
        };
        let found: Vec<_> = rows.iter().filter(|(asked, _)| is_it(asked)).collect();
        assert!(!found.is_empty(), "no row for {name}");
        for (asked, said) in found {
            assert!(
                asked.len() > name.len() + 3 && said.len() > 15,
                "{name}: {said}"
            );
        }
    }
    // What does not apply as a whole has a table of its own.
    let (before, rest) = text.split_once("### What does not apply").expect("a part");
    let (_, after) = rest.split_once("\n### ").expect("a part behind it");
    for row in before.lines().chain(after.lines()) {
        let Some((asked, said)) = row.strip_prefix("| ").and_then(|row| row.split_once(" | "))
        else {
            continue;
        };
        let is_head = ["fault", "class", "asked"].contains(&asked);
        let says = said.contains("::") || said.contains("`src/") || said.contains("does not apply");
        let is_open = said.to_lowercase().contains("**open**");
        assert!(is_head || says || is_open, "{asked}: {said}");
    }
}

#[test]
fn small_tests_that_are_named_are_in_their_files() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let all: String = sources(&folder).iter().map(read).collect();
    let text = read("tests/security.md");
    let named = text.split('`').skip(1).step_by(2);
    let mut found = 0;
    for name in named.filter(|name| !name.contains("::")) {
        let is_function =
            name.contains('_') && name.bytes().all(|b| b.is_ascii_lowercase() || b == b'_');
        if is_function {
            assert!(all.contains(&format!("fn {name}(")), "{name}");
        } else if name.starts_with("src/") {
            read(name);
        } else {
            continue;
        }
        found += 1;
    }
    assert!(found >= 8, "{found}");
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
        ("tests", "tests/security.md"),
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
