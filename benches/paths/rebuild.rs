//! A million entries: the picture rebuilt from them, the house opened on them, one more of them at the end and one that
//! comes late. Each set in a process of its own, so that its peak of memory is its own.

use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::time::Instant;

use anyhow::Context;
use jiff::SignedDuration;
use keepwell::clock::Clock;
use keepwell::model::entry::Entry;
use keepwell::picture::fold::Fold;
use keepwell::service::App;
use keepwell::store::Reader;
use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use crate::measure::Folder;
use crate::measure::Pair;
use crate::measure::Sample;
use crate::measure::head;
use crate::measure::megabytes;
use crate::measure::say;
use crate::scene;
use crate::scene::Raw;
use crate::scene::Scene;

/// What the child is called by.
pub const CHILD: &str = "rebuild-child";

const ENTRIES: usize = 1_000_000;
const SITES: u32 = 60;
/// Entries of the one vessel of the second set that is looked at every few minutes.
const BUSY: u32 = 20;
const ROUNDS: usize = 3;

pub async fn measure() -> anyhow::Result<()> {
    // 20 sites with 4 vessels, 40 with 3: 200 vessels.
    let vessels = |site: u32| if site < 20 { 4 } else { 3 };
    head("A million entries of 200 vessels at 60 sites")?;
    let mut scene = Scene::of(SITES, vessels)?;
    set("even", &mut scene, |random, count| random.random_range(0..count)).await?;
    head("A million entries, 200,000 of them of one vessel")?;
    let mut scene = Scene::of(SITES, vessels)?;
    set(
        "skewed",
        &mut scene,
        |random, count| {
            if random.random_range(0..100) < BUSY { 0 } else { random.random_range(1..count) }
        },
    )
    .await
}

async fn set(name: &str, scene: &mut Scene, choose: impl FnMut(&mut Pcg64Mcg, usize) -> usize) -> anyhow::Result<()> {
    let folder = Folder::new(name)?;
    scene.keep(folder.path()).await?.close().await;
    scene::write(folder.path(), &scene.entries(ENTRIES, choose)?)?;
    let ended = Command::new(std::env::current_exe()?).args([CHILD.as_ref(), folder.path().as_os_str()]).status()?;
    anyhow::ensure!(ended.success(), "the set {name} could not be measured");
    Ok(())
}

/// Run in a process of its own.
pub async fn child(folder: &Path) -> anyhow::Result<()> {
    let raw = Raw::open(folder)?;
    let mut start = Pair::default();
    for round in 0..ROUNDS {
        let began = Instant::now();
        let app = App::open(folder, Clock::system()).await?;
        let ours = began.elapsed();
        if round == 0 {
            let me = std::process::id();
            say("memory, started", &format!("{:.0} MB", megabytes(me, "VmRSS")?))?;
            say("memory, at its highest while starting", &format!("{:.0} MB", megabytes(me, "VmHWM")?))?;
        }
        app.close().await;
        drop(app);
        let began = Instant::now();
        std::hint::black_box(raw.read()?);
        start.round(ours.as_secs_f64(), began.elapsed().as_secs_f64());
    }
    start.say_times("start, against reading the same rows")?;
    fold(folder).await
}

async fn fold(folder: &Path) -> anyhow::Result<()> {
    let everything = Reader::open(folder).await?.everything().await?;
    let (entry_seq, change_seq) = (everything.entry_seq, everything.change_seq);
    let (mut rebuilt, mut last) = (Sample::default(), None);
    for _ in 0..ROUNDS {
        drop(last.take());
        let (set_up, entries) = (everything.set_up.clone(), everything.entries.clone());
        let began = Instant::now();
        let fold = Fold::of(set_up, entries, entry_seq, change_seq);
        rebuilt.took(began.elapsed());
        last = Some(fold);
    }
    rebuilt.say("the picture rebuilt")?;

    let mut fold = last.context("no round was run")?;
    let newest = everything.entries.iter().rev().filter(|entry| entry.vessel.is_some());
    let mut seq = entry_seq;
    let (mut at_end, mut late) = (Sample::default(), Sample::default());
    let busy = busiest(&everything.entries)?;
    for entry in newest.take(100) {
        seq += 1;
        let again = Entry {
            id: keepwell::model::id::Id::fresh(),
            at: entry.arrived + SignedDuration::from_hours(48),
            ..Entry::clone(entry)
        };
        let began = Instant::now();
        std::hint::black_box(fold.add(&[Arc::new(again)], seq));
        at_end.took(began.elapsed());
    }
    at_end.say("one more entry at the end")?;
    for _ in 0..5 {
        seq += 1;
        let again = Entry { id: keepwell::model::id::Id::fresh(), ..Entry::clone(&busy) };
        let began = Instant::now();
        std::hint::black_box(fold.add(&[Arc::new(again)], seq));
        late.took(began.elapsed());
    }
    late.say("one that comes late, at the busiest vessel")
}

/// An entry from early on, of the vessel that has the most of them.
fn busiest(entries: &[Arc<Entry>]) -> anyhow::Result<Arc<Entry>> {
    let mut count = std::collections::HashMap::new();
    for entry in entries {
        *count.entry(entry.vessel).or_insert(0) += 1;
    }
    let most = count.into_iter().filter(|(vessel, _)| vessel.is_some()).max_by_key(|(_, count)| *count);
    let most = most.context("no entries")?.0;
    entries.iter().find(|entry| entry.vessel == most).map(Arc::clone).context("no entries")
}
