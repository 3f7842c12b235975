//! The real program at rest: with the demonstration, and with nothing.

use std::io::BufRead;
use std::io::BufReader;
use std::process::Child;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;

use anyhow::Context;
use keepwell::app;

use crate::measure::Folder;
use crate::measure::head;
use crate::measure::megabytes;
use crate::measure::say;

/// Long enough for what was begun at the start to end.
const AT_REST: Duration = Duration::from_secs(3);

pub async fn measure() -> anyhow::Result<()> {
    head("Memory of the program at rest")?;
    let folder = Folder::new("empty")?;
    of("with nothing in it", &["serve", "--port", "0", "--data", &folder.path().to_string_lossy()]).await?;
    of("with the demonstration", &["serve", "--demo", "--port", "0"]).await
}

async fn of(what: &str, arguments: &[&str]) -> anyhow::Result<()> {
    let child = Command::new(env!("CARGO_BIN_EXE_keepwell")).args(arguments).stdout(Stdio::piped()).spawn()?;
    let mut child = Stopped(child);
    let mut line = String::new();
    BufReader::new(child.0.stdout.take().context("no output")?).read_line(&mut line)?;
    let process = child.0.id();
    tokio::time::sleep(AT_REST).await;
    let idle = megabytes(process, "VmRSS")?;
    let client = app::client()?.build()?;
    for _ in 0..20 {
        client.get(line.trim()).send().await?.bytes().await?;
    }
    tokio::time::sleep(AT_REST).await;
    let after = megabytes(process, "VmRSS")?;
    let highest = megabytes(process, "VmHWM")?;
    say(what, &format!("{idle:.0} MB; after 20 visits {after:.0} MB; {highest:.0} MB at its highest"))
}

/// A child that does not outlive its measuring.
struct Stopped(Child);

impl Drop for Stopped {
    fn drop(&mut self) {
        // SIGTERM through the shell's own tool, so that the demonstration's folder is removed; then for certain.
        let asked = Command::new("kill").arg(self.0.id().to_string()).status();
        if asked.is_err() {
            let _ = self.0.kill();
        }
        let _ = self.0.wait();
    }
}
