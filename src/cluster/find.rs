//! Finding the installed PostgreSQL programs and choosing among their majors.

use std::collections::BTreeMap;
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};

use super::error::{ClusterError, SUPPORTED};

/// Names the one directory to look in, before all others.
pub const BIN_VARIABLE: &str = "MUSTWRIGHT_POSTGRES_BIN";

/// Where packagers put the programs; a `*` stands for the rest of one path component.
const USUAL: [&str; 9] = [
    "/usr/lib/postgresql/*/bin",
    "/usr/libexec/postgresql*",
    "/usr/libexec",
    "/usr/pgsql-*/bin",
    "/usr/local/pgsql/bin",
    "/opt/homebrew/opt/postgresql@*/bin",
    "/usr/local/opt/postgresql@*/bin",
    "/home/linuxbrew/.linuxbrew/opt/postgresql@*/bin",
    "/Applications/Postgres.app/Contents/Versions/*/bin",
];

/// `postgres` and `initdb` of one major.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Programs {
    pub bin: PathBuf,
    pub major: u32,
}

impl Programs {
    pub fn postgres(&self) -> PathBuf {
        self.bin.join("postgres")
    }

    pub fn initdb(&self) -> PathBuf {
        self.bin.join("initdb")
    }
}

/// The programs for data made by `made_by`, or the newest supported ones for new data.
pub(super) fn programs(
    asked: Option<&Path>,
    data: &Path,
    made_by: Option<&str>,
    cache: &Path,
) -> Result<Programs, ClusterError> {
    let asked = asked.map(Path::to_owned).or_else(|| {
        env::var_os(BIN_VARIABLE)
            .filter(|dir| !dir.is_empty())
            .map(PathBuf::from)
    });
    let mut known = Known::load(cache);
    let mut found: Vec<Programs> = match &asked {
        Some(dir) => probe(vec![dir.clone()], &mut known),
        None => probe(usual_places(), &mut known),
    };
    if asked.is_none() && choose(&found, made_by).is_none() {
        found.extend(probe(told_by_pg_config(), &mut known));
    }
    known.save(cache);
    if let Some(programs) = choose(&found, made_by) {
        return Ok(programs.clone());
    }
    if found.is_empty() {
        let looked = asked
            .map(|dir| format!(" in {}", dir.display()))
            .unwrap_or_default();
        return Err(ClusterError::NoPrograms { looked });
    }
    let found = found
        .iter()
        .map(|programs| {
            format!(
                "PostgreSQL {} in {}",
                programs.major,
                programs.bin.display()
            )
        })
        .collect::<Vec<_>>()
        .join(", ");
    Err(match made_by {
        Some(made_by) => ClusterError::OtherMajor {
            data: data.to_owned(),
            made_by: made_by.to_owned(),
            found,
        },
        None => ClusterError::UnsupportedPrograms { found },
    })
}

fn choose<'a>(found: &'a [Programs], made_by: Option<&str>) -> Option<&'a Programs> {
    let supported = found
        .iter()
        .filter(|programs| SUPPORTED.contains(&programs.major));
    match made_by {
        Some(made_by) => supported
            .into_iter()
            .find(|programs| programs.major.to_string() == made_by),
        None => supported.into_iter().max_by_key(|programs| programs.major),
    }
}

fn usual_places() -> Vec<PathBuf> {
    let path = env::var_os("PATH").unwrap_or_default();
    env::split_paths(&path)
        .chain(
            USUAL
                .into_iter()
                .flat_map(|pattern| expand(Path::new(pattern))),
        )
        .collect()
}

fn told_by_pg_config() -> Vec<PathBuf> {
    let said = Command::new("pg_config").arg("--bindir").output();
    said.ok()
        .and_then(|said| String::from_utf8(said.stdout).ok())
        .map(|said| PathBuf::from(said.trim()))
        .into_iter()
        .filter(|dir| dir.is_absolute())
        .collect()
}

/// The directories that match a pattern of [`USUAL`].
fn expand(pattern: &Path) -> Vec<PathBuf> {
    let mut places = vec![PathBuf::new()];
    for part in pattern.components() {
        let part = part.as_os_str();
        match part.to_str().and_then(|text| text.strip_suffix('*')) {
            None => places.iter_mut().for_each(|place| place.push(part)),
            Some(start) => {
                places = places
                    .iter()
                    .filter_map(|place| fs::read_dir(place).ok())
                    .flatten()
                    .flatten()
                    .filter(|entry| entry.file_name().to_string_lossy().starts_with(start))
                    .map(|entry| entry.path())
                    .collect();
            }
        }
    }
    places
}

/// The programs in those directories that have both, each installation once.
fn probe(dirs: Vec<PathBuf>, known: &mut Known) -> Vec<Programs> {
    let mut found: Vec<Programs> = Vec::new();
    for dir in dirs {
        let Some(postgres) = program(&dir.join("postgres")) else {
            continue;
        };
        let Some(bin) = postgres.parent() else {
            continue;
        };
        if found.iter().any(|programs| programs.bin == bin)
            || program(&bin.join("initdb")).is_none()
        {
            continue;
        }
        if let Some(major) = known.major(&postgres) {
            found.push(Programs {
                bin: bin.to_owned(),
                major,
            });
        }
    }
    found
}

/// The file behind all links, when it can be run.
fn program(path: &Path) -> Option<PathBuf> {
    let real = fs::canonicalize(path).ok()?;
    let facts = fs::metadata(&real).ok()?;
    (facts.is_file() && facts.permissions().mode() & 0o111 != 0).then_some(real)
}

/// Majors asked before, so that a warm start runs no `postgres --version`: path, size and time → major.
#[derive(Default)]
struct Known {
    majors: BTreeMap<String, u32>,
    changed: bool,
}

impl Known {
    fn load(cache: &Path) -> Self {
        let text = fs::read_to_string(cache).unwrap_or_default();
        let majors = text
            .lines()
            .filter_map(|line| line.split_once('\t'))
            .filter_map(|(major, key)| Some((key.to_owned(), major.parse().ok()?)))
            .collect();
        Self {
            majors,
            changed: false,
        }
    }

    /// A cache that cannot be written only costs time.
    fn save(&self, cache: &Path) {
        if self.changed {
            let lines: String = self
                .majors
                .iter()
                .map(|(key, major)| format!("{major}\t{key}\n"))
                .collect();
            let _ = fs::write(cache, lines);
        }
    }

    fn major(&mut self, postgres: &Path) -> Option<u32> {
        let facts = fs::metadata(postgres).ok()?;
        let key = format!(
            "{}\t{}\t{}",
            facts.size(),
            facts.mtime(),
            postgres.display()
        );
        if let Some(major) = self.majors.get(&key) {
            return Some(*major);
        }
        let said = Command::new(postgres).arg("--version").output().ok()?;
        let major = major_in(&String::from_utf8_lossy(&said.stdout))?;
        self.majors.insert(key, major);
        self.changed = true;
        Some(major)
    }
}

/// The major in "postgres (PostgreSQL) 15.18 (…)".
fn major_in(said: &str) -> Option<u32> {
    let version = said.split_once("(PostgreSQL) ")?.1;
    version
        .split(|c: char| !c.is_ascii_digit())
        .next()?
        .parse()
        .ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(major: u32) -> Programs {
        Programs {
            bin: PathBuf::from(format!("/opt/{major}/bin")),
            major,
        }
    }

    #[test]
    fn new_data_take_the_newest_supported_major() {
        let found = [of(14), of(18), of(16), of(12)];
        assert_eq!(choose(&found, None), Some(&found[2]));
        assert_eq!(choose(&[of(12), of(18)], None), None);
    }

    #[test]
    fn data_at_hand_take_the_major_that_made_them() {
        let found = [of(14), of(17), of(15)];
        assert_eq!(choose(&found, Some("15")), Some(&found[2]));
        assert_eq!(choose(&found, Some("16")), None);
    }

    #[test]
    fn versions_of_all_packagers_are_read() {
        assert_eq!(
            major_in("postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)\n"),
            Some(15)
        );
        assert_eq!(major_in("postgres (PostgreSQL) 17beta2\n"), Some(17));
        assert_eq!(major_in("postgres: command not found"), None);
    }

    #[test]
    fn patterns_find_each_installation() {
        let root = std::env::temp_dir().join(format!("mustwright-find-{}", std::process::id()));
        for dir in ["pg/14/bin", "pg/16/bin", "pg/README", "other/15/bin"] {
            fs::create_dir_all(root.join(dir)).unwrap();
        }
        let mut found = expand(&root.join("pg/*/bin"));
        found.retain(|dir| dir.is_dir());
        found.sort();
        assert_eq!(found, [root.join("pg/14/bin"), root.join("pg/16/bin")]);
        fs::remove_dir_all(root).unwrap();
    }
}
