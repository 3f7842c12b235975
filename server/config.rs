//! What the keeper of the box may choose: flags first, then `KEEPWELL_...` in the environment, then the default.
//! Nothing else in the house reads the environment.

use std::num::NonZeroU32;
use std::path::PathBuf;

use clap::Args;
use clap::Parser;
use clap::Subcommand;
use clap::ValueEnum;
use clap::builder::BoolishValueParser;

/// Says how long a neighbourhood's stored water lasts, for whom, and what gives out first.
///
/// Without a command it serves: open the address it prints in a browser.
#[derive(Debug, Parser)]
#[command(name = "keepwell", version, args_conflicts_with_subcommands = true, subcommand_help_heading = "Commands")]
pub struct CommandLine {
    #[command(subcommand)]
    command: Option<Asked>,
    #[command(flatten)]
    serve: ServeArgs,
}

#[derive(Debug, Subcommand)]
enum Asked {
    /// Serve the pages (what happens without a command, too)
    Serve(ServeArgs),
    /// Read sites, vessels, people, readings and fuel from CSV files, or what was exported: all of it, or nothing
    Import(ImportArgs),
    /// Write everything that is kept into a new folder, a CSV file for each noun
    Export(ExportArgs),
    /// Copy everything into one file, while the server runs or not
    Backup(BackupArgs),
    /// Put a backup back into the data folder, while no server runs on it
    Restore(BackupArgs),
    /// Check the data folder: is the file whole, and does the ledger give the picture that is shown
    Verify(VerifyArgs),
    /// Ask the server on this machine whether it is well; ends with 0 if so
    Ping(PingArgs),
}

#[derive(Debug, Args)]
struct DataArgs {
    /// The folder that holds everything; made if it is not there
    #[arg(long, value_name = "FOLDER", env = "KEEPWELL_DATA", default_value = "./keepwell-data")]
    data: PathBuf,
}

#[derive(Debug, Args)]
struct PortArgs {
    /// The port to answer on; 0 takes a free one
    #[arg(long, env = "KEEPWELL_PORT", default_value_t = 8730)]
    port: u16,
}

#[derive(Debug, Args)]
struct LogArgs {
    /// What goes to the log: error, warn, info, debug or trace, or a finer filter such as info,keepwell=debug
    #[arg(long, value_name = "FILTER", env = "KEEPWELL_LOG", default_value = "info,sqlx=warn")]
    log: String,
    /// Lines for a person, or one JSON object a line
    #[arg(long, env = "KEEPWELL_LOG_FORMAT", default_value = "plain")]
    log_format: LogFormat,
}

#[derive(Debug, Args)]
struct ServeArgs {
    /// Show the invented neighbourhood Alder Reach, in a folder that is thrown away at the end
    #[arg(long, env = "KEEPWELL_DEMO", value_parser = BoolishValueParser::new())]
    demo: bool,
    /// Answer the whole local network, not this machine alone
    #[arg(long, env = "KEEPWELL_LAN", value_parser = BoolishValueParser::new())]
    lan: bool,
    /// A further host name to answer to (may be given more than once; in the environment, commas between)
    #[arg(long = "name", value_name = "NAME", env = "KEEPWELL_NAME", value_delimiter = ',', value_parser = host_name)]
    names: Vec<String>,
    /// Requests a minute that one address, account or token may make; 0 refuses nobody
    #[arg(long, value_name = "REQUESTS", env = "KEEPWELL_A_MINUTE", default_value_t = 1200)]
    a_minute: u32,
    #[command(flatten)]
    port: PortArgs,
    #[command(flatten)]
    data: DataArgs,
    #[command(flatten)]
    log: LogArgs,
}

#[derive(Debug, Args)]
struct ImportArgs {
    /// CSV files, or an archive that was exported; what each file holds is told from its column names
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// List every problem by line and column, and change nothing
    #[arg(long, env = "KEEPWELL_DRY_RUN", value_parser = BoolishValueParser::new())]
    dry_run: bool,
    /// The units of figures whose column does not name its own
    #[arg(long, env = "KEEPWELL_UNITS", default_value = "metric")]
    units: Units,
    #[command(flatten)]
    data: DataArgs,
    #[command(flatten)]
    log: LogArgs,
}

#[derive(Debug, Args)]
struct ExportArgs {
    /// A folder that is not there yet
    folder: PathBuf,
    #[command(flatten)]
    data: DataArgs,
    #[command(flatten)]
    log: LogArgs,
}

#[derive(Debug, Args)]
struct BackupArgs {
    /// The file that holds, or will hold, the backup
    file: PathBuf,
    /// Take the place of what stands there: the file for a backup, the data folder's neighbourhood for a restore
    #[arg(long)]
    replace: bool,
    #[command(flatten)]
    data: DataArgs,
    #[command(flatten)]
    log: LogArgs,
}

#[derive(Debug, Args)]
struct VerifyArgs {
    #[command(flatten)]
    data: DataArgs,
    #[command(flatten)]
    log: LogArgs,
}

#[derive(Debug, Args)]
struct PingArgs {
    #[command(flatten)]
    port: PortArgs,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Units {
    Metric,
    Us,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LogFormat {
    Plain,
    Json,
}

/// What was chosen, checked.
#[derive(Debug)]
pub struct Config {
    pub command: Command,
    pub log: Log,
}

#[derive(Debug)]
pub enum Command {
    Serve(Serve),
    Import(Import),
    Export { folder: PathBuf, data: PathBuf },
    Backup(Backup),
    Restore(Backup),
    Verify { data: PathBuf },
    Ping { port: u16 },
}

#[derive(Clone, Debug)]
pub struct Serve {
    /// Alder Reach in a folder of its own, removed at the end.
    pub demo: bool,
    pub lan: bool,
    pub port: u16,
    pub data: PathBuf,
    /// Lower case, without a port.
    pub names: Vec<String>,
    /// Requests a minute of one address, account or token; none: as many as they like.
    pub a_minute: Option<NonZeroU32>,
}

#[derive(Debug)]
pub struct Import {
    pub files: Vec<PathBuf>,
    pub dry_run: bool,
    pub units: Units,
    pub data: PathBuf,
}

/// A backup to be made or put back.
#[derive(Debug)]
pub struct Backup {
    pub file: PathBuf,
    pub replace: bool,
    pub data: PathBuf,
}

#[derive(Clone, Debug)]
pub struct Log {
    pub filter: String,
    pub format: LogFormat,
}

impl Config {
    /// Reads flags and environment; prints what is wrong, or the help that was asked for, and ends the program.
    #[must_use]
    pub fn read() -> Self {
        Self::from(CommandLine::parse())
    }
}

impl From<CommandLine> for Config {
    fn from(given: CommandLine) -> Self {
        match given.command.unwrap_or(Asked::Serve(given.serve)) {
            Asked::Serve(asked) => Self {
                command: Command::Serve(Serve {
                    demo: asked.demo,
                    lan: asked.lan,
                    port: asked.port.port,
                    data: if asked.demo { throw_away_folder() } else { asked.data.data },
                    names: asked.names,
                    a_minute: NonZeroU32::new(asked.a_minute),
                }),
                log: asked.log.into(),
            },
            Asked::Import(asked) => Self {
                command: Command::Import(Import {
                    files: asked.files,
                    dry_run: asked.dry_run,
                    units: asked.units,
                    data: asked.data.data,
                }),
                log: asked.log.into(),
            },
            Asked::Export(asked) => {
                Self { command: Command::Export { folder: asked.folder, data: asked.data.data }, log: asked.log.into() }
            }
            Asked::Backup(asked) => {
                let (backup, log) = asked.split();
                Self { command: Command::Backup(backup), log }
            }
            Asked::Restore(asked) => {
                let (backup, log) = asked.split();
                Self { command: Command::Restore(backup), log }
            }
            Asked::Verify(asked) => Self { command: Command::Verify { data: asked.data.data }, log: asked.log.into() },
            Asked::Ping(asked) => Self {
                command: Command::Ping { port: asked.port.port },
                log: Log { filter: "warn".to_owned(), format: LogFormat::Plain },
            },
        }
    }
}

impl BackupArgs {
    fn split(self) -> (Backup, Log) {
        (Backup { file: self.file, replace: self.replace, data: self.data.data }, self.log.into())
    }
}

impl From<LogArgs> for Log {
    fn from(given: LogArgs) -> Self {
        Self { filter: given.log, format: given.log_format }
    }
}

/// A folder of one's own among the system's temporary ones; not made yet.
pub(crate) fn throw_away_folder() -> PathBuf {
    std::env::temp_dir().join(format!("keepwell-{}", uuid::Uuid::now_v7()))
}

/// A host name as it stands in an address: letters, digits, hyphens and points; compared in lower case.
fn host_name(given: &str) -> Result<String, String> {
    let name = given.trim().trim_end_matches('.').to_ascii_lowercase();
    let label = |label: &str| {
        !label.is_empty()
            && label.len() <= 63
            && !label.starts_with('-')
            && !label.ends_with('-')
            && label.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
    };
    if name.len() <= 253 && name.split('.').all(label) {
        Ok(name)
    } else {
        Err("a host name is letters, digits, hyphens and points, without a port or address, such as water.example"
            .into())
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    fn read(words: &[&str]) -> Result<Config, clap::Error> {
        CommandLine::try_parse_from([&["keepwell"], words].concat()).map(Config::from)
    }

    fn serve(words: &[&str]) -> Serve {
        match read(words).unwrap().command {
            Command::Serve(serve) => serve,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn the_command_line_is_consistent() {
        CommandLine::command().debug_assert();
    }

    #[test]
    fn serving_is_the_default_with_and_without_its_name() {
        for words in [&["--port", "0", "--lan"][..], &["serve", "--port", "0", "--lan"]] {
            let asked = serve(words);
            assert!(asked.lan && asked.port == 0 && !asked.demo);
        }
        let asked = serve(&[]);
        assert!(!asked.lan && asked.port == 8730);
        assert_eq!(asked.data, PathBuf::from("./keepwell-data"));
        assert_eq!(asked.a_minute, NonZeroU32::new(1200));
        assert_eq!(serve(&["--a-minute", "0"]).a_minute, None);
    }

    #[test]
    fn the_demonstration_never_touches_the_data_folder() {
        let asked = serve(&["serve", "--demo", "--data", "/srv/water"]);
        assert!(asked.demo && asked.data.as_path() != std::path::Path::new("/srv/water"));
    }

    #[test]
    fn names_are_names() {
        assert_eq!(serve(&["--name", "Water.Example.", "--name", "hall"]).names, ["water.example", "hall"]);
        for wrong in ["http://hall", "hall:80", "", "-hall", "a..b"] {
            assert!(read(&["--name", wrong]).is_err(), "{wrong}");
        }
    }

    #[test]
    fn an_import_needs_a_file_and_known_units() {
        assert!(read(&["import"]).is_err());
        assert!(read(&["import", "a.csv", "--units", "cubits"]).is_err());
        let asked = read(&["import", "a.csv", "b.csv", "--dry-run", "--units", "us"]).unwrap();
        assert!(
            matches!(asked.command, Command::Import(Import { dry_run: true, units: Units::Us, files, .. }) if files.len() == 2)
        );
    }
}
