//! The command line: reads what was asked and hands it to the house.

use std::process::ExitCode;

use keepwell::app;
use keepwell::clock::Clock;
use keepwell::config::Command;
use keepwell::config::Config;

fn main() -> ExitCode {
    let config = Config::read();
    match run(config) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // The alternate form is one line with every cause behind it.
            app::say_wrong(&format!("{error:#}"));
            ExitCode::FAILURE
        }
    }
}

#[tokio::main]
async fn run(config: Config) -> anyhow::Result<()> {
    app::install_tls()?;
    app::install_log(&config.log)?;
    match config.command {
        Command::Serve(serve) => app::serve(&serve, Clock::system()).await?,
        Command::Ping { port } => app::ping(port).await?,
        Command::Import(import) => app::import(&import, Clock::system()).await?,
        Command::Export { folder, data } => app::export(&folder, &data).await?,
        Command::Backup(backup) => app::backup(&backup).await?,
        Command::Restore(backup) => app::restore(&backup, Clock::system()).await?,
        Command::Verify { data } => app::verify(&data).await?,
    }
    Ok(())
}
