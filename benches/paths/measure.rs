//! Rounds, medians and how they are shown.

use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::time::Duration;

use anyhow::Context;
use keepwell::app;

/// The same thing measured several times.
#[derive(Clone, Debug, Default)]
pub struct Sample(Vec<f64>);

impl Sample {
    pub fn add(&mut self, value: f64) {
        self.0.push(value);
    }

    pub fn took(&mut self, time: Duration) {
        self.add(time.as_secs_f64());
    }

    pub fn median(&self) -> f64 {
        let mut sorted = self.0.clone();
        sorted.sort_by(f64::total_cmp);
        match sorted.len() {
            0 => 0.0,
            length if length % 2 == 1 => sorted[length / 2],
            length => f64::midpoint(sorted[length / 2 - 1], sorted[length / 2]),
        }
    }

    fn range(&self) -> (f64, f64) {
        let least = self.0.iter().copied().reduce(f64::min).unwrap_or_default();
        (least, self.0.iter().copied().reduce(f64::max).unwrap_or_default())
    }
}

/// Ours and the floor, measured turn about.
#[derive(Clone, Debug, Default)]
pub struct Pair {
    pub ours: Sample,
    pub floor: Sample,
}

impl Pair {
    /// One round: how long ours took, how long the floor.
    pub fn round(&mut self, ours: f64, floor: f64) {
        self.ours.add(ours);
        self.floor.add(floor);
    }

    fn ratios(&self, of: impl Fn(f64, f64) -> f64) -> Sample {
        Sample(self.ours.0.iter().zip(&self.floor.0).map(|(ours, floor)| of(*ours, *floor)).collect())
    }

    /// Times: how many times the floor ours takes.
    pub fn say_times(&self, what: &str) -> anyhow::Result<()> {
        let ratio = self.ratios(|ours, floor| ours / floor);
        let (low, high) = ratio.range();
        let (ours, floor) = (time(self.ours.median()), time(self.floor.median()));
        say(what, &format!("{ours} against {floor}: {:.2} x ({low:.2} to {high:.2})", ratio.median()))
    }

    /// Times for `count` things: what part of the floor's rate ours reaches.
    pub fn say_rates(&self, what: &str, count: f64) -> anyhow::Result<()> {
        let ratio = self.ratios(|ours, floor| floor / ours);
        let (low, high) = ratio.range();
        let (ours, floor) = (count / self.ours.median(), count / self.floor.median());
        say(what, &format!("{ours:.0}/s against {floor:.0}/s: {:.2} of it ({low:.2} to {high:.2})", ratio.median()))
    }
}

impl Sample {
    /// Without a floor.
    pub fn say(&self, what: &str) -> anyhow::Result<()> {
        let (low, high) = self.range();
        say(what, &format!("{} ({} to {})", time(self.median()), time(low), time(high)))
    }
}

fn time(seconds: f64) -> String {
    match seconds {
        long if long >= 1.0 => format!("{long:.2} s"),
        short if short >= 1e-3 => format!("{:.2} ms", short * 1e3),
        tiny => format!("{:.1} µs", tiny * 1e6),
    }
}

pub fn head(section: &str) -> anyhow::Result<()> {
    Ok(app::say(&format!("\n{section}"))?)
}

pub fn say(what: &str, figures: &str) -> anyhow::Result<()> {
    Ok(app::say(&format!("  {what:<52} {figures}"))?)
}

/// A line of `/proc/PID/status` in MB: `VmRSS` now, `VmHWM` at its highest.
pub fn megabytes(process: u32, line: &str) -> anyhow::Result<f64> {
    let status = fs::read_to_string(format!("/proc/{process}/status"))?;
    let found = status.lines().find_map(|there| there.strip_prefix(line)?.strip_prefix(':'));
    let kibibytes = found.with_context(|| format!("no {line} of process {process}"))?.trim().trim_end_matches(" kB");
    Ok(kibibytes.parse::<f64>()? * 1024.0 / 1e6)
}

/// A folder that is gone at the end.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new(name: &str) -> anyhow::Result<Self> {
        let path = std::env::temp_dir().join(format!("keepwell-bench-{}-{name}", std::process::id()));
        fs::create_dir_all(&path)?;
        Ok(Self(path))
    }

    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // A folder left behind under the system's temporary one does no harm.
        let _ = fs::remove_dir_all(&self.0);
    }
}
