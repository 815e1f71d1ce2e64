//! What the program is built from: every package from the one registry with its checksum, under licences that are allowed, and told.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";
/// Packages that are ours.
const OURS: [&str; 2] = ["mustwright", "mustwright-fuzz"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|fault| panic!("{path}: {fault}"))
}

/// The cargo that built this, or the one at hand where it is gone.
fn cargo() -> &'static str {
    let built_by = env!("CARGO");
    match Path::new(built_by).exists() {
        true => built_by,
        false => "cargo",
    }
}

fn output(command: &mut Command) -> String {
    let output = command.current_dir(root()).output().expect("it starts");
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command:?}: {complaint}");
    String::from_utf8(output.stdout).expect("a text")
}

/// A package of a lock file.
#[derive(Debug, Default, PartialEq)]
struct Locked {
    name: String,
    version: String,
    source: String,
    checksum: String,
}

fn locked(text: &str) -> Vec<Locked> {
    let packages = text.split("[[package]]").skip(1);
    packages
        .map(|package| {
            let of = |key: &str| {
                let start = format!("{key} = \"");
                let line = package.lines().find_map(|line| line.strip_prefix(&start));
                line.map_or("", |rest| rest.trim_end_matches('"'))
                    .to_owned()
            };
            Locked {
                name: of("name"),
                version: of("version"),
                source: of("source"),
                checksum: of("checksum"),
            }
        })
        .collect()
}

/// Whether a package is what it should be.
fn is_sound(package: &Locked) -> bool {
    if OURS.contains(&package.name.as_str()) {
        return package.source.is_empty() && package.checksum.is_empty();
    }
    let hex = |byte: u8| byte.is_ascii_digit() || (b'a'..=b'f').contains(&byte);
    package.source == REGISTRY && package.checksum.len() == 64 && package.checksum.bytes().all(hex)
}

#[test]
fn every_package_comes_from_the_one_registry_with_its_checksum() {
    for lock in ["Cargo.lock", "tests/fuzz/Cargo.lock"] {
        let packages = locked(&read(lock));
        assert!(packages.len() > 300, "{lock}: {}", packages.len());
        let strange: Vec<&Locked> = packages.iter().filter(|one| !is_sound(one)).collect();
        assert!(strange.is_empty(), "{lock}: {strange:#?}");
    }
}

/// The packages that the program is written against.
fn depended_on() -> BTreeSet<String> {
    let text = read("Cargo.toml");
    let section = text.split("\n[dependencies]\n").nth(1).expect("a section");
    let section = section.split("\n[").next().expect("its lines");
    let names = section.lines().filter_map(|line| line.split_once(" = "));
    names.map(|(name, _)| name.to_owned()).collect()
}

#[test]
fn what_a_fuzzer_is_built_with_is_locked_as_the_program_has_it() {
    let text = read("tests/fuzz/Cargo.lock");
    let package = text
        .split("[[package]]")
        .find(|package| package.starts_with("\nname = \"mustwright\"\n"))
        .expect("the program");
    let named = package
        .lines()
        .filter_map(|line| line.strip_prefix(" \""))
        .filter_map(|line| line.split(['"', ' ']).next());
    let locked: BTreeSet<String> = named.map(str::to_owned).collect();
    let wanted = depended_on();
    assert!(wanted.len() > 30, "{wanted:?}");
    assert_eq!(locked, wanted, "`cargo metadata` in tests/fuzz writes it");
    // And nothing in another version.
    let of = |text: &str| -> BTreeSet<(String, String)> {
        let packages = self::locked(text).into_iter();
        packages.map(|one| (one.name, one.version)).collect()
    };
    let (ours, fuzzed) = (of(&read("Cargo.lock")), of(&text));
    let names: BTreeSet<&String> = ours.iter().map(|(name, _)| name).collect();
    let others: Vec<&(String, String)> = fuzzed
        .iter()
        .filter(|one| names.contains(&one.0) && !ours.contains(*one))
        .collect();
    assert_eq!(others, [] as [&(String, String); 0]);
}

#[test]
fn a_package_from_elsewhere_is_noticed() {
    let sum = "0".repeat(64);
    let of = |source: &str, sum: &str| {
        let text = format!(
            "[[package]]\nname = \"a\"\nversion = \"1.0.0\"\nsource = \"{source}\"\nchecksum = \"{sum}\"\ndependencies = [\n \"b\",\n]\n"
        );
        locked(&text).remove(0)
    };
    assert!(is_sound(&of(REGISTRY, &sum)));
    assert!(!is_sound(&of(REGISTRY, "")));
    assert!(!is_sound(&of("git+https://code.example/a", &sum)));
    assert!(!is_sound(&locked("[[package]]\nname = \"a\"\n").remove(0)));
    assert!(is_sound(
        &locked("[[package]]\nname = \"mustwright\"\n").remove(0)
    ));
}

/// What is needed for a licence to be allowed: each of the sets that would do. `A OR B` and the older `A/B` are a choice, `A AND B`
/// are both, `A WITH x` is a licence of its own.
fn ways(expression: &str) -> Vec<BTreeSet<String>> {
    let spaced = expression
        .replace('(', " ( ")
        .replace(')', " ) ")
        .replace('/', " OR ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    let found = either(&words, &mut at);
    assert_eq!(at, words.len(), "not read to its end: {expression}");
    found
}

fn either(words: &[&str], at: &mut usize) -> Vec<BTreeSet<String>> {
    let mut found = both(words, at);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        found.extend(both(words, at));
    }
    found
}

fn both(words: &[&str], at: &mut usize) -> Vec<BTreeSet<String>> {
    let mut found = single(words, at);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        let next = single(words, at);
        found = found
            .iter()
            .flat_map(|left| next.iter().map(move |right| left | right))
            .collect();
    }
    found
}

fn single(words: &[&str], at: &mut usize) -> Vec<BTreeSet<String>> {
    let word = words.get(*at).expect("a licence");
    *at += 1;
    if *word == "(" {
        let found = either(words, at);
        assert_eq!(words.get(*at), Some(&")"));
        *at += 1;
        return found;
    }
    let mut name = (*word).to_owned();
    if words.get(*at) == Some(&"WITH") {
        name = format!("{name} WITH {}", words[*at + 1]);
        *at += 2;
    }
    vec![BTreeSet::from([name])]
}

fn is_allowed(expression: &str, allowed: &BTreeSet<String>) -> bool {
    ways(expression).iter().any(|way| way.is_subset(allowed))
}

/// The licences that `.cargo/deny.toml` allows.
fn allowed() -> BTreeSet<String> {
    let text = read(".cargo/deny.toml");
    let list = text.split("allow = [").nth(1).expect("a list");
    let list = list.split(']').next().unwrap_or_default();
    list.split('"')
        .skip(1)
        .step_by(2)
        .map(str::to_owned)
        .collect()
}

/// What a package says its licence is, or what the file is headed to which it points instead.
fn licence_of(package: &Value) -> Option<String> {
    if let Some(said) = package["license"].as_str() {
        return Some(said.to_owned());
    }
    let manifest = Path::new(package["manifest_path"].as_str()?);
    let file = manifest.with_file_name(package["license_file"].as_str()?);
    let text = fs::read_to_string(file).ok()?;
    let head: Vec<&str> = text.split_whitespace().take(4).collect();
    (head == ["Apache", "License", "Version", "2.0,"]).then(|| "Apache-2.0".to_owned())
}

#[test]
fn every_licence_is_allowed_and_none_is_allowed_for_nothing() {
    let allowed = allowed();
    let told =
        output(Command::new(cargo()).args(["metadata", "--locked", "--format-version", "1"]));
    let told: Value = serde_json::from_str(&told).expect("JSON");
    let packages = told["packages"].as_array().expect("packages");
    assert_eq!(packages.len(), locked(&read("Cargo.lock")).len());
    let mut licences = Vec::new();
    for package in packages {
        let name = package["name"].as_str().expect("a name");
        let licence = licence_of(package);
        let licence = licence.unwrap_or_else(|| panic!("{name} does not say its licence"));
        assert!(is_allowed(&licence, &allowed), "{name}: {licence}");
        licences.push(licence);
    }
    for one in &allowed {
        let mut fewer = allowed.clone();
        fewer.remove(one);
        let is_idle = licences.iter().all(|licence| is_allowed(licence, &fewer));
        assert!(!is_idle, "no package needs {one}");
    }
}

#[test]
fn a_licence_that_is_not_allowed_is_noticed() {
    let allowed = BTreeSet::from(["MIT".to_owned(), "ISC".to_owned()]);
    for (expression, wanted) in [
        ("MIT", true),
        ("GPL-3.0-only", false),
        ("MIT OR GPL-3.0-only", true),
        ("GPL-3.0-only/MIT", true),
        ("MIT AND GPL-3.0-only", false),
        ("MIT AND ISC", true),
        ("MIT AND (GPL-3.0-only OR ISC)", true),
        ("(MIT OR GPL-3.0-only) AND GPL-2.0-only", false),
        ("GPL-3.0-only OR ISC AND MIT", true),
        ("MIT WITH Other-exception", false),
        ("ISC OR MIT WITH Other-exception", true),
    ] {
        assert_eq!(is_allowed(expression, &allowed), wanted, "{expression}");
    }
}

#[test]
fn the_bill_of_materials_names_every_package_of_the_server() {
    let written = output(
        Command::new("sh")
            .arg("docker/sbom.sh")
            .env("CARGO", cargo()),
    );
    let written: Value = serde_json::from_str(&written).expect("JSON");
    assert_eq!(written["bomFormat"], "CycloneDX");
    assert_eq!(written["metadata"]["component"]["name"], "mustwright");
    let sums: BTreeMap<String, String> = locked(&read("Cargo.lock"))
        .into_iter()
        .map(|one| (format!("{} v{}", one.name, one.version), one.checksum))
        .collect();
    let mut named = BTreeMap::new();
    for one in written["components"].as_array().expect("components") {
        let text = |place: &str| {
            one.pointer(place)
                .and_then(Value::as_str)
                .unwrap_or_default()
        };
        let (name, version) = (text("/name"), text("/version"));
        let package = format!("{name} v{version}");
        assert_eq!(text("/hashes/0/content"), sums[&package], "{package}");
        assert_eq!(text("/purl"), format!("pkg:cargo/{name}@{version}"));
        assert!(!ways(text("/licenses/0/expression")).is_empty());
        let twice = named.insert(package, text("/scope").to_owned());
        assert_eq!(twice, None, "{name} {version} stands twice");
    }
    // Of the same source, and read another way: what is linked, what is only built with, and what is for tests alone.
    let tree = |edges: &str| -> BTreeSet<String> {
        let words = [
            "tree", "--locked", "--prefix", "none", "-f", "{p}", "-e", edges,
        ];
        let tree = output(Command::new(cargo()).args(words));
        let packages = tree.lines().map(|line| {
            let mut words = line.split(' ');
            format!(
                "{} {}",
                words.next().unwrap_or(""),
                words.next().unwrap_or("")
            )
        });
        packages
            .filter(|one| !one.starts_with("mustwright "))
            .collect()
    };
    assert_eq!(
        named.keys().cloned().collect::<BTreeSet<_>>(),
        tree("normal,build")
    );
    let linked = named.iter().filter(|(_, scope)| *scope == "required");
    assert_eq!(
        linked
            .map(|(name, _)| name.clone())
            .collect::<BTreeSet<_>>(),
        tree("normal,no-proc-macro")
    );
    let is_named = |start: &str| named.keys().any(|name| name.starts_with(start));
    assert!(is_named("sqlx v") && is_named("axum v") && !is_named("proptest v"));
}
