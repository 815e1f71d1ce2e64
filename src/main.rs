//! The command line.

use std::io::IsTerminal;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use mustwright::config::{Config, LogFormat};
use mustwright::database::Database;
use mustwright::demo;
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
    },
}

fn main() -> ExitCode {
    let line = CommandLine::parse();
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
    start_log(&config);
    for name in &config.unknown {
        tracing::warn!("{name} is no setting of Mustwright; --print-config shows all of them");
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
        Command::KeeperLink { name } => {
            with_database(Database::attach(&config), async |database| {
                println!(
                    "{}",
                    serve::keeper_link(&config, database, name.as_deref()).await?
                );
                Ok(())
            })
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("mustwright: {failure}");
            ExitCode::FAILURE
        }
    }
}

/// Runs `work` on the database and closes it. The private cluster is started and stopped outside of the runtime.
fn with_database(
    database: Result<Database, mustwright::database::DatabaseError>,
    work: impl AsyncFnOnce(&Database) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let database = database?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(Failure::System)?;
    let done = runtime.block_on(work(&database));
    runtime.shutdown_timeout(std::time::Duration::from_secs(1));
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
        LogFormat::Json => log.json().init(),
    }
}
