//! The real program at rest: with the demonstration, and with nothing.

use std::io::BufRead;
use std::io::BufReader;
use std::process::Child;
use std::process::Command;
use std::process::Stdio;
use std::time::Duration;

use anyhow::Context;

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
    let mut program = Command::new(env!("CARGO_BIN_EXE_keepwell"));
    let child = program.args(arguments).env("KEEPWELL_LOG", "warn").stdout(Stdio::piped()).spawn()?;
    let mut child = Stopped(child);
    // Held until the end: the program says more than its address.
    let mut said = BufReader::new(child.0.stdout.take().context("no output")?);
    said.read_line(&mut String::new())?;
    tokio::time::sleep(AT_REST).await;
    let process = child.0.id();
    let (now, highest) = (megabytes(process, "VmRSS")?, megabytes(process, "VmHWM")?);
    say(what, &format!("{now:.0} MB, {highest:.0} MB at its highest"))
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
