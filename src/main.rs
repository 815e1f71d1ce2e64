//! The command line.

use std::io::IsTerminal;
use std::process::ExitCode;

use chrono::Utc;
use clap::{Parser, Subcommand};
use mustwright::backup::{self, BackupError, Nightly, Source};
use mustwright::commands::{self, Outcome};
use mustwright::config::{Config, LogFormat};
use mustwright::database::Database;
use mustwright::demo;
use mustwright::healthcheck;
use mustwright::mail::sending;
use mustwright::serve::{self, Failure};
use tracing_subscriber::EnvFilter;

/// A self-hosted site in which a homebrew club designs, shares and makes mead.
#[derive(Parser)]
#[command(version, about)]
struct CommandLine {
    /// Print every setting with its value and meaning, then end.
    #[arg(long)]
    print_config: bool,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    /// Serve the club (also without a command).
    Serve,
    /// Serve a throw-away club with invented members and recipes; nothing of it stays.
    Demo,
    /// Bring the database up to date, then end.
    Migrate,
    /// Make a one-time link that sets up the first keeper, or gives a keeper a new password.
    KeeperLink {
        /// The keeper's name, if there are several.
        #[arg(long)]
        name: Option<String>,
        /// The keeper has lost the phone and the recovery codes: the link takes the second step away too.
        #[arg(long)]
        lost_second_step: bool,
    },
    /// Ask the server that runs with these settings whether it is ready; exit code 0 if so.
    Healthcheck,
    /// Write the whole club into a new file, also while the server runs.
    Backup {
        /// The file; it must not be there yet.
        file: std::path::PathBuf,
    },
    /// Bring a backup back into an empty club, while no server runs on it.
    Restore {
        /// The file.
        file: std::path::PathBuf,
        /// Only read the file from end to end and say what is in it. Needs no database.
        #[arg(long)]
        check: bool,
    },
    /// Bring a backup back into a throw-away database and compare, which shows that it can be.
    TrialRestore {
        /// The file; the newest that was made by itself, if none is named.
        file: Option<std::path::PathBuf>,
    },
    /// Send a letter to see whether the settings of mail are right. Needs no database.
    MailTest {
        /// Where to.
        address: String,
    },
    /// Print all numbers of a recipe document. Needs no database.
    Formulate {
        /// The file with the document; - for standard input.
        file: String,
    },
    /// Print a single calculation. Needs no database.
    Calculate {
        /// Its name.
        #[arg(required_unless_present = "list")]
        name: Option<String>,
        /// The file with the input; - for standard input.
        #[arg(default_value = "-")]
        file: String,
        /// Print every calculation with its keys.
        #[arg(long)]
        list: bool,
    },
}

/// What a command without a database has to say; `None` for the others.
fn without_database(command: &Command) -> Option<Outcome> {
    let with = |file: &str, work: &dyn Fn(&str) -> Outcome| match commands::input(file) {
        Ok(text) => work(&text),
        Err(refused) => refused,
    };
    match command {
        Command::Formulate { file } => Some(with(file, &commands::formulate)),
        Command::Calculate { list: true, .. } => Some(commands::list()),
        Command::Calculate {
            name: Some(name),
            file,
            ..
        } => Some(with(file, &|text| commands::calculate(name, text))),
        _ => None,
    }
}

fn main() -> ExitCode {
    let line = CommandLine::parse();
    if let Some(outcome) = line.command.as_ref().and_then(without_database) {
        return outcome.tell();
    }
    let config = match Config::from_env() {
        Ok(config) => config,
        Err(bad) => {
            eprintln!("mustwright: {bad}");
            return ExitCode::from(2);
        }
    };
    if line.print_config {
        print!("{}", config.printed());
        return ExitCode::SUCCESS;
    }
    if matches!(line.command, Some(Command::Healthcheck)) {
        return healthcheck::ask(&config).tell();
    }
    start_log(&config);
    for name in &config.unknown {
        tracing::warn!("{name} is no setting of Mustwright; --print-config shows all of them");
    }
    for told in &config.exposed {
        tracing::warn!("{told}");
    }
    let done = match line.command.unwrap_or(Command::Serve) {
        Command::Serve => with_database(Database::open(&config), async |database| {
            serve::serve(&config, database, async |_| Ok(())).await
        }),
        Command::Demo => with_database(Database::throw_away(), async |database| {
            demo::serve(&config, database).await
        }),
        Command::Migrate => with_database(Database::attach(&config), async |database| {
            database.prepare().await?;
            println!("The database is up to date.");
            Ok(())
        }),
        Command::MailTest { address } => alone(async {
            let told = sending::trial(&config, &address).await;
            println!("{}", told.map_err(Failure::Mail)?);
            Ok(())
        }),
        // Told before.
        Command::Formulate { .. } | Command::Calculate { .. } | Command::Healthcheck => Ok(()),
        Command::Backup { file } => with_database(Database::attach(&config), async |database| {
            let source = Source::of(&config, database);
            let made = backup::backup(&source, &file, Utc::now(), false).await?;
            println!("{made}");
            Ok(())
        }),
        Command::Restore { file, check } => restore(&config, &file, check),
        Command::TrialRestore { file: Some(file) } => alone(async {
            println!("{}", backup::try_out(&config, &file).await?);
            Ok(())
        }),
        Command::TrialRestore { file: None } => match config.backup_dir.clone() {
            None => Err(BackupError::NoDir.into()),
            Some(dir) => with_database(Database::attach(&config), async |database| {
                let source = Source::of(&config, database);
                let said = Nightly { source, dir }.try_now(Utc::now()).await?;
                println!("{said}");
                Ok(())
            }),
        },
        Command::KeeperLink {
            name,
            lost_second_step,
        } => with_database(Database::attach(&config), async |database| {
            let name = name.as_deref();
            let said = serve::keeper_link(&config, database, name, lost_second_step).await?;
            println!("{said}");
            Ok(())
        }),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("mustwright: {failure}");
            ExitCode::FAILURE
        }
    }
}

/// Brings a backup back, or only checks it. It is checked before a database is started for it.
fn restore(config: &Config, file: &std::path::Path, only_check: bool) -> Result<(), Failure> {
    let mut checked = None;
    alone(async {
        checked = Some(backup::check(file).await?);
        Ok(())
    })?;
    let Some(checked) = checked else {
        return Ok(());
    };
    if only_check {
        println!("{}", checked.header);
        println!("The file is whole: its checksum is right.");
        return Ok(());
    }
    with_database(Database::attach(config), async |database| {
        let source = Source::of(config, database);
        println!("{}", backup::restore(&source, &checked).await?);
        Ok(())
    })
}

/// Runs work to its end.
fn alone(work: impl Future<Output = Result<(), Failure>>) -> Result<(), Failure> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(Failure::System)?;
    let done = runtime.block_on(work);
    runtime.shutdown_timeout(std::time::Duration::from_secs(1));
    done
}

/// Runs `work` on the database and closes it. The private cluster is started and stopped outside of the runtime.
fn with_database(
    database: Result<Database, mustwright::database::DatabaseError>,
    work: impl AsyncFnOnce(&Database) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let database = database?;
    let done = alone(work(&database));
    database.close();
    done
}

fn start_log(config: &Config) {
    let filter = EnvFilter::try_new(&config.log).unwrap_or_else(|_| EnvFilter::new("info"));
    let log = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_ansi(std::io::stdout().is_terminal());
    match config.log_format {
        LogFormat::Text => log.with_target(false).init(),
        LogFormat::Json => log.json().flatten_event(true).with_span_list(false).init(),
    }
    // A line of the log like any other, within its request. Not the message: it may quote what somebody wrote.
    std::panic::set_hook(Box::new(|panic| {
        let place = panic.location().map(ToString::to_string);
        tracing::error!(
            place = place.unwrap_or_default(),
            "a part of the program panicked"
        );
    }));
}
