//! The rules of the house, read from the sources: arrows between rooms, where SQL and markup may stand.

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms in the order of the arrows: each may use itself and what stands before it.
const ROOMS: &[&[&str]] = &[
    &["engine"],
    &["charts"],
    &["web"],
    &["jobs"],
    &["mail"],
    &["members"],
    &["catalogue"],
    &["safety"],
    &["vessels"],
    &["cupboard", "shelf"],
    &["recipes"],
    &["batches"],
    &["tastings"],
    &["competitions"],
    &[
        "home",
        "calculations",
        "club",
        "meetings",
        "orders",
        "portability",
        "admin",
        "api",
        "feeds",
    ],
];
/// Files at the top that put everything together.
const TOP: &[&str] = &[
    "app.rs",
    "backup",
    "commands.rs",
    "config",
    "config.rs",
    "database",
    "database.rs",
    "demo",
    "healthcheck.rs",
    "lib.rs",
    "main.rs",
    "serve.rs",
];
const MAX_LINES: usize = 450;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files(below: &str, end: &str) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(below)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|found| found == end) {
                let text = fs::read_to_string(&path).expect("a text");
                found.push((
                    path.strip_prefix(root())
                        .expect("a path below the root")
                        .to_owned(),
                    text,
                ));
            }
        }
    }
    assert!(!found.is_empty(), "no files in {below}");
    found
}

/// The code of a file without its tests and comments.
fn code(text: &str) -> String {
    let code = text.split("#[cfg(test)]").next().unwrap_or_default();
    code.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .collect::<Vec<_>>()
        .join("\n")
}

fn rank(room: &str) -> Option<usize> {
    ROOMS.iter().position(|rooms| rooms.contains(&room))
}

/// The rooms that a file names by `crate::`, also within `use crate::{…}`.
fn rooms_used(code: &str) -> Vec<String> {
    let mut used = Vec::new();
    for rest in code.split("crate::").skip(1) {
        let names: Vec<&str> = match rest.strip_prefix('{') {
            Some(list) => {
                let mut depth = 0;
                let list = &list[..list.find("};").unwrap_or(list.len())];
                list.split(|c| {
                    depth += i32::from(c == '{') - i32::from(c == '}');
                    c == ',' && depth == 0
                })
                .collect()
            }
            None => vec![rest],
        };
        for name in names {
            let name: String = name
                .trim()
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect();
            used.push(name);
        }
    }
    used
}

/// A file that answers requests knows the whole state; such files may read from everywhere, and nothing reads them.
fn is_page(path: &Path, code: &str) -> bool {
    path.file_name().is_some_and(|name| name == "pages.rs")
        || rooms_used(code).iter().any(|room| room == "app")
}

#[test]
fn arrows_between_rooms_hold() {
    let mut wrong = Vec::new();
    for (path, text) in files("src", "rs") {
        let code = code(&text);
        let room = path
            .components()
            .nth(1)
            .expect("a room")
            .as_os_str()
            .to_string_lossy()
            .into_owned();
        if TOP.contains(&room.as_str()) {
            continue;
        }
        let shown = path.display();
        for used in rooms_used(&code) {
            let fine = match (room.as_str(), used.as_str()) {
                (own, used) if own == used => true,
                ("engine" | "charts" | "cluster", _) if !(room == "charts" && used == "engine") => {
                    false
                }
                ("cluster", _) => false,
                // Errors and members by the names that `web` gives to the outside.
                (_, "app") => room != "web",
                (_, "config") => true,
                _ if is_page(&path, &code) => true,
                (own, used) => match (rank(own), rank(used)) {
                    (Some(own), Some(used)) => used < own,
                    _ => false,
                },
            };
            if !fine {
                wrong.push(format!("{shown} uses crate::{used}"));
            }
        }
        if !is_page(&path, &code)
            && (code.contains("super::pages") || code.contains("::pages::router"))
            && room != "web"
        {
            wrong.push(format!("{shown} uses pages"));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn sql_stands_in_stores_only() {
    let mut wrong = Vec::new();
    for (path, text) in files("src", "rs") {
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        // A kind of things brings the statements that read it and take it in.
        let is_store = ["store.rs", "search.rs"].contains(&name.as_str());
        if is_store || path.starts_with("src/cluster") || path.starts_with("src/portability/kinds")
        {
            continue;
        }
        let code = code(&text);
        for sign in [
            "query!(",
            "query_as!(",
            "query_scalar!(",
            "sqlx::query",
            "QueryBuilder",
            "AssertSqlSafe",
            "raw_sql",
        ] {
            if code.contains(sign) {
                wrong.push(format!("{} has {sign}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn templates_have_nothing_inline_and_escape_everything() {
    let mut wrong = Vec::new();
    for (path, text) in files("templates", "html") {
        for (number, line) in text.lines().enumerate() {
            let squeezed: String = line.chars().filter(|c| !c.is_whitespace()).collect();
            let is_picture = squeezed.contains("svg")
                || squeezed.contains("ladder")
                || squeezed.contains("chart");
            // Data for machines is no script: its type escapes what could end it, and nothing runs it.
            let is_data = line == "<script type=\"application/ld+json\">{{ structured }}</script>";
            let inline = line.contains("<style")
                || line.contains(" style=")
                || (line.contains("<script") && !line.contains(" src=") && !is_data)
                || line.split(" on").skip(1).any(|rest| {
                    rest.split_once('=').is_some_and(|(name, after)| {
                        !name.is_empty()
                            && name.chars().all(|c| c.is_ascii_lowercase())
                            && after.starts_with('"')
                    })
                })
                || line.to_lowercase().contains("javascript:");
            let unescaped = squeezed.contains("|safe") && !is_picture;
            let elsewhere = line.contains("src=\"http")
                || line.contains("href=\"http")
                || line.contains("action=\"http");
            if inline || unescaped || elsewhere {
                wrong.push(format!("{}:{}: {line}", path.display(), number + 1));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn forms_post_without_bubbles_and_with_autocomplete() {
    let mut wrong = Vec::new();
    for (path, text) in files("templates", "html") {
        let passwords = text.matches("type=\"password\"").count();
        let told = text.matches("autocomplete=").count();
        if text.contains(" required")
            || text.contains("type=\"number\"")
            || text.contains("placeholder=")
            || told < passwords
        {
            wrong.push(path.display().to_string());
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn files_say_what_they_hold_and_stay_short() {
    let mut wrong = Vec::new();
    for (path, text) in files("src", "rs").into_iter().chain(files("tests", "rs")) {
        if !text.starts_with("//! ") {
            wrong.push(format!(
                "{} does not begin with its sentence",
                path.display()
            ));
        }
        let lines = text.lines().count();
        if lines > MAX_LINES && path.starts_with("src") {
            wrong.push(format!("{} has {lines} lines", path.display()));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn recipes_find_and_offer_what_the_club_has() {
    // The built-in catalogue alone would hide the club's own entries from whoever picks or reads.
    let alone = [
        "find",
        "find_yeast",
        "find_feed",
        "honeys",
        "others",
        "yeasts",
        "feeds",
    ]
    .map(|verb| format!("catalogue().{verb}("));
    let mut wrong = Vec::new();
    // The book's recipes are of the built-in catalogue alone.
    let ours = files("src/recipes", "rs");
    let ours = ours
        .into_iter()
        .filter(|(path, _)| !path.starts_with("src/recipes/starters"));
    for (path, text) in ours {
        let bare: String = code(&text).split_whitespace().collect();
        let found = alone.iter().filter(|verb| bare.contains(*verb));
        wrong.extend(found.map(|verb| format!("{}: {verb}", path.display())));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn unsafe_stands_in_one_file() {
    for (path, text) in files("src", "rs") {
        let has = code(&text).contains("unsafe {");
        assert!(
            !has || path.ends_with("cluster/child.rs"),
            "{}",
            path.display()
        );
    }
}

/// What alcohol does in somebody's blood nobody can reckon from glasses, and nothing here tries: no page, no calculation, no program's
/// answer.
#[test]
fn nothing_estimates_what_is_in_anybodys_blood() {
    let telling = [
        "blood alcohol",
        "blood-alcohol",
        "blood_alcohol",
        "bloodalcohol",
        "alcohol in the blood",
        "alcohol_in_blood",
        "widmark",
        "promille",
        "permille",
        "breathal",
        "fit to drive",
    ];
    let mut looked = 0;
    for (below, end) in [
        ("src", "rs"),
        ("src", "json"),
        ("templates", "html"),
        ("static", "js"),
    ] {
        for (path, text) in files(below, end) {
            looked += 1;
            let text = text.to_lowercase();
            let found = telling.iter().find(|words| text.contains(**words));
            assert_eq!(found, None, "{}", path.display());
        }
    }
    assert!(looked > 500, "{looked} files");
}
