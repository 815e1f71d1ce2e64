//! Every setting: its name, its default, its check.

mod check;
mod mail;
mod secrets;

use std::collections::BTreeMap;
use std::fmt;
use std::path::PathBuf;
use std::time::Duration;

use crate::cluster;
use crate::members::second::rule::Rule;
use crate::web::listen::Address;
use crate::web::money::Currency;
use crate::web::trusted::Trusted;

/// One row of the table of settings.
#[derive(Debug)]
pub struct Setting {
    /// The environment variable.
    pub name: &'static str,
    /// What holds when it is not set; empty when that depends on the machine.
    pub default: &'static str,
    /// What it is for, in one sentence.
    pub meaning: &'static str,
    /// Whether it may hold a secret: then NAME_FILE names a file that holds it, and it is never printed.
    pub secret: bool,
}

const fn plain(name: &'static str, default: &'static str, meaning: &'static str) -> Setting {
    Setting {
        name,
        default,
        meaning,
        secret: false,
    }
}

const fn secret(name: &'static str, meaning: &'static str) -> Setting {
    Setting {
        name,
        default: "",
        meaning,
        secret: true,
    }
}

/// All settings, in the order in which they are printed and documented.
pub const SETTINGS: &[Setting] = &[
    secret(
        "DATABASE_URL",
        "The PostgreSQL database to use. Not set: a private one under the data directory.",
    ),
    secret(
        "MIGRATE_DATABASE_URL",
        "The same database as its owner, for migrations. Not set: DATABASE_URL does both.",
    ),
    plain(
        "MUSTWRIGHT_DATA_DIR",
        "",
        "Where the private database lives. As root under /var/lib, else under the home.",
    ),
    plain(
        "MUSTWRIGHT_BACKUP_DIR",
        "",
        "Where a backup is written every night. Not set: backups in the data directory, if the database is private; none: nowhere.",
    ),
    plain(
        "MUSTWRIGHT_POSTGRES_BIN",
        "",
        "Where the programs of PostgreSQL are, when they are not found by themselves.",
    ),
    plain(
        "MUSTWRIGHT_LISTEN",
        "127.0.0.1:8420",
        "Where to listen: an address with a port, or a unix socket like unix:/run/mustwright/http.sock.",
    ),
    plain(
        "MUSTWRIGHT_SOCKET_MODE",
        "660",
        "Who may open the unix socket, as three digits like those of a file.",
    ),
    plain(
        "MUSTWRIGHT_METRICS_LISTEN",
        "",
        "Where to tell metrics, like MUSTWRIGHT_LISTEN. Not set: nowhere.",
    ),
    plain(
        "MUSTWRIGHT_BASE_URL",
        "",
        "The address that browsers use, with its path if the club lives under one.",
    ),
    plain(
        "MUSTWRIGHT_CLUB_NAME",
        "Mead club",
        "The club's name, on every page.",
    ),
    plain(
        "MUSTWRIGHT_CURRENCY",
        "EUR",
        "The currency of every price, by its three letters.",
    ),
    plain(
        "MUSTWRIGHT_TRUSTED_PROXIES",
        "",
        "Whose X-Forwarded-For is believed: addresses, networks, or unix for the unix socket, with commas between.",
    ),
    plain(
        "MUSTWRIGHT_HANDOVER",
        "0",
        "For how many seconds connections are still taken after a signal to stop, while /health/ready answers 503.",
    ),
    plain(
        "MUSTWRIGHT_MAIL_SERVER",
        "",
        "The mail server that sends letters, with :port if it is not the usual one. Not set: no mail.",
    ),
    plain(
        "MUSTWRIGHT_MAIL_SECRECY",
        "starttls",
        "How the way there is encrypted: starttls, tls, or none for a server on this machine.",
    ),
    plain(
        "MUSTWRIGHT_MAIL_USER",
        "",
        "The account at the mail server, if it wants one.",
    ),
    secret("MUSTWRIGHT_MAIL_PASSWORD", "The password of that account."),
    plain(
        "MUSTWRIGHT_MAIL_FROM",
        "",
        "The address that letters come from.",
    ),
    plain(
        "MUSTWRIGHT_SECOND_FACTOR",
        "organisers-and-keepers",
        "Of whom a second step at sign-in is demanded: organisers-and-keepers, everybody or nobody.",
    ),
    plain(
        "MUSTWRIGHT_POOL_SIZE",
        "",
        "Connections to the database. Not set: three for each core, at least four.",
    ),
    plain(
        "MUSTWRIGHT_API_PER_MINUTE",
        "600",
        "How often one member's token may be used within a minute.",
    ),
    plain(
        "MUSTWRIGHT_LOG",
        "info,sqlx=warn",
        "What is logged: error, warn, info, debug or a filter by module.",
    ),
    plain(
        "MUSTWRIGHT_LOG_FORMAT",
        "text",
        "How it is logged: text or json.",
    ),
];

/// The shape of log lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LogFormat {
    /// For eyes.
    Text,
    /// One JSON object a line.
    Json,
}

/// The settings, checked.
#[derive(Clone, Debug)]
pub struct Config {
    /// The database to use, or none for a private one.
    pub database_url: Option<String>,
    /// The same database as its owner.
    pub migrate_database_url: Option<String>,
    /// Where the private database lives.
    pub data_dir: PathBuf,
    /// Where a backup is written every night, if anywhere.
    pub backup_dir: Option<PathBuf>,
    /// Where PostgreSQL's programs are.
    pub postgres_bin: Option<PathBuf>,
    /// Where to listen.
    pub listen: Address,
    /// The mode of a unix socket.
    pub socket_mode: u32,
    /// Where to tell metrics, if anywhere.
    pub metrics_listen: Option<Address>,
    /// What browsers use; none: it follows from the address listened on.
    pub base_url: Option<String>,
    /// The club's name.
    pub club_name: String,
    /// The currency of every price.
    pub currency: Currency,
    /// Whose X-Forwarded-For is believed.
    pub trusted_proxies: Trusted,
    /// How letters are sent, if they are.
    pub mail: Option<crate::mail::Settings>,
    /// How long connections are still taken after a signal to stop.
    pub handover: Duration,
    /// Of whom a second step at sign-in is demanded.
    pub second_step: Rule,
    /// Connections to the database.
    pub pool_size: u32,
    /// How often a token may be used within a minute.
    pub api_per_minute: i32,
    /// What is logged.
    pub log: String,
    /// How it is logged.
    pub log_format: LogFormat,
    /// Names that look like ours and are not: said once at the start.
    pub unknown: Vec<String>,
    /// Files of secrets that others can read: said once at the start.
    pub exposed: Vec<BadSetting>,
}

/// A setting that cannot be used, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BadSetting {
    /// The setting's name.
    pub name: String,
    /// What is wrong; never the value, which may be a secret.
    pub reason: String,
}

impl fmt::Display for BadSetting {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.name, self.reason)
    }
}

impl std::error::Error for BadSetting {}

fn bad(name: &str, reason: impl Into<String>) -> BadSetting {
    BadSetting {
        name: name.to_owned(),
        reason: reason.into(),
    }
}

impl Config {
    /// The settings of this process.
    pub fn from_env() -> Result<Config, BadSetting> {
        let mut values = BTreeMap::new();
        for (name, value) in std::env::vars_os() {
            let Some(name) = name.to_str() else { continue };
            if !is_ours(name) {
                continue;
            }
            let value = value.into_string().map_err(|_| bad(name, "is no text"))?;
            values.insert(name.to_owned(), value);
        }
        Config::from_values(values)
    }

    /// The settings of given names and values. An empty value counts as not set.
    pub fn from_values(mut values: BTreeMap<String, String>) -> Result<Config, BadSetting> {
        values.retain(|_, value| !value.is_empty());
        let exposed = secrets::read_files(&mut values)?;
        let unknown = values
            .keys()
            .filter(|name| SETTINGS.iter().all(|setting| setting.name != name.as_str()));
        let unknown = unknown.cloned().collect();
        let get = |name: &str| values.get(name).map(String::as_str);
        let or_default = |name: &'static str| get(name).unwrap_or_else(|| default_of(name));
        let data_dir = get("MUSTWRIGHT_DATA_DIR").map_or_else(
            || cluster::default_data_dir(cluster::is_root()),
            PathBuf::from,
        );
        let listen = check::listen("MUSTWRIGHT_LISTEN", or_default("MUSTWRIGHT_LISTEN"))?;
        Ok(Config {
            database_url: get("DATABASE_URL")
                .map(|url| check::database("DATABASE_URL", url))
                .transpose()?,
            migrate_database_url: check::migrating(
                get("MIGRATE_DATABASE_URL"),
                get("DATABASE_URL"),
            )?,
            backup_dir: match get("MUSTWRIGHT_BACKUP_DIR") {
                Some("none") => None,
                Some(dir) => Some(check::whole_path("MUSTWRIGHT_BACKUP_DIR", dir)?),
                None if get("DATABASE_URL").is_none() => Some(data_dir.join("backups")),
                None => None,
            },
            data_dir,
            postgres_bin: get("MUSTWRIGHT_POSTGRES_BIN")
                .map(check::directory)
                .transpose()?,
            base_url: check::base_url_of(get("MUSTWRIGHT_BASE_URL"), &listen)?,
            socket_mode: check::socket_mode(or_default("MUSTWRIGHT_SOCKET_MODE"))?,
            metrics_listen: check::metrics_listen(get("MUSTWRIGHT_METRICS_LISTEN"), &listen)?,
            listen,
            club_name: check::club_name(or_default("MUSTWRIGHT_CLUB_NAME"))?,
            currency: check::currency(or_default("MUSTWRIGHT_CURRENCY"))?,
            trusted_proxies: check::proxies(or_default("MUSTWRIGHT_TRUSTED_PROXIES"))?,
            mail: mail::read(get, or_default("MUSTWRIGHT_MAIL_SECRECY"))?,
            handover: check::handover(or_default("MUSTWRIGHT_HANDOVER"))?,
            second_step: check::second_step(or_default("MUSTWRIGHT_SECOND_FACTOR"))?,
            pool_size: check::pool_size(
                get("MUSTWRIGHT_POOL_SIZE"),
                get("DATABASE_URL").is_none(),
            )?,
            api_per_minute: check::per_minute(or_default("MUSTWRIGHT_API_PER_MINUTE"))?,
            log: check::log_filter(or_default("MUSTWRIGHT_LOG"))?,
            log_format: check::log_format(or_default("MUSTWRIGHT_LOG_FORMAT"))?,
            unknown,
            exposed,
        })
    }

    /// Every setting with its value, as `--print-config` shows it: secrets only as set or not set.
    pub fn printed(&self) -> String {
        let set = |value: &Option<String>| {
            if value.is_some() {
                "(set)"
            } else {
                "(not set)"
            }
            .to_owned()
        };
        let mut text = String::new();
        for setting in SETTINGS {
            let value = match setting.name {
                "DATABASE_URL" => set(&self.database_url),
                "MIGRATE_DATABASE_URL" => set(&self.migrate_database_url),
                "MUSTWRIGHT_DATA_DIR" => self.data_dir.display().to_string(),
                "MUSTWRIGHT_BACKUP_DIR" => self
                    .backup_dir
                    .as_ref()
                    .map_or("none".to_owned(), |dir| dir.display().to_string()),
                "MUSTWRIGHT_POSTGRES_BIN" => self
                    .postgres_bin
                    .as_ref()
                    .map_or(String::new(), |p| p.display().to_string()),
                "MUSTWRIGHT_LISTEN" => self.listen.to_string(),
                "MUSTWRIGHT_SOCKET_MODE" => format!("{:o}", self.socket_mode),
                "MUSTWRIGHT_METRICS_LISTEN" => self
                    .metrics_listen
                    .as_ref()
                    .map_or(String::new(), ToString::to_string),
                "MUSTWRIGHT_BASE_URL" => self.base_url_at(self.listen.clone()),
                "MUSTWRIGHT_CLUB_NAME" => self.club_name.clone(),
                "MUSTWRIGHT_CURRENCY" => self.currency.to_string(),
                "MUSTWRIGHT_TRUSTED_PROXIES" => self.trusted_proxies.to_string(),
                name if name.starts_with("MUSTWRIGHT_MAIL_") => {
                    mail::printed(self.mail.as_ref(), name).unwrap_or_default()
                }
                "MUSTWRIGHT_HANDOVER" => self.handover.as_secs().to_string(),
                "MUSTWRIGHT_SECOND_FACTOR" => self.second_step.as_str().to_owned(),
                "MUSTWRIGHT_POOL_SIZE" => self.pool_size.to_string(),
                "MUSTWRIGHT_API_PER_MINUTE" => self.api_per_minute.to_string(),
                "MUSTWRIGHT_LOG" => self.log.clone(),
                _ => match self.log_format {
                    LogFormat::Text => "text".to_owned(),
                    LogFormat::Json => "json".to_owned(),
                },
            };
            text.push_str(&format!(
                "# {}\n{}={value}\n",
                setting.meaning, setting.name
            ));
        }
        text
    }

    /// The address that browsers use when the server listens at `listening`.
    pub fn base_url_at(&self, listening: impl Into<Address>) -> String {
        self.base_url
            .clone()
            .unwrap_or_else(|| format!("http://{}", listening.into()))
    }
}

fn is_ours(name: &str) -> bool {
    let bare = name.strip_suffix("_FILE").unwrap_or(name);
    name.starts_with("MUSTWRIGHT_") || SETTINGS.iter().any(|setting| setting.name == bare)
}

fn default_of(name: &str) -> &'static str {
    SETTINGS
        .iter()
        .find(|setting| setting.name == name)
        .map_or("", |setting| setting.default)
}

#[cfg(test)]
mod tests;
