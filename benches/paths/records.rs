//! What is taken away from a million entries: their file, against reading the same rows alone; and a backup, by what the
//! house serves while it is made.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;
use std::time::Duration;
use std::time::Instant;

use keepwell::app;
use keepwell::app::Running;
use keepwell::clock::Clock;
use keepwell::service::Caller;
use keepwell::service::backup::backup;
use rand::RngExt;
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;
use tokio::task::JoinSet;

use crate::measure::Folder;
use crate::measure::Pair;
use crate::measure::Sample;
use crate::measure::head;
use crate::measure::megabytes;
use crate::measure::say;
use crate::pages::Visit;
use crate::pages::new;
use crate::pages::serve;
use crate::scene;
use crate::scene::Raw;
use crate::scene::Scene;

const ENTRIES: usize = 1_000_000;
const ROUNDS: usize = 3;
/// Who ask for pages at once.
const VISITORS: usize = 4;
/// How often somebody logs.
const BETWEEN: Duration = Duration::from_millis(50);

pub async fn measure() -> anyhow::Result<()> {
    head("A million entries taken away")?;
    let folder = Folder::new("records")?;
    let mut scene = Scene::of(60, |site| if site < 20 { 4 } else { 3 })?;
    scene.keep(folder.path()).await?.close().await;
    scene::write(folder.path(), &scene.entries(ENTRIES, |random, count| random.random_range(0..count))?)?;
    let running = app::start(&serve(folder.path()), Clock::standing_at(scene.now)).await?;
    export(&running, &Raw::open(folder.path())?).await?;
    under_load(&running, Arc::new(scene), folder.path()).await?;
    running.stop().await?;
    Ok(())
}

async fn export(running: &Running, raw: &Raw) -> anyhow::Result<()> {
    let mut pair = Pair::default();
    let mut bytes = 0;
    let before = megabytes(std::process::id(), "VmRSS")?;
    for _ in 0..ROUNDS {
        let began = Instant::now();
        let mut exported = running.app().export(&Caller::House, "entries.csv").await?;
        bytes = 0;
        while let Some(part) = exported.parts.recv().await {
            bytes += part?.len();
        }
        let ours = began.elapsed();
        let began = Instant::now();
        std::hint::black_box(raw.read()?);
        pair.round(ours.as_secs_f64(), began.elapsed().as_secs_f64());
    }
    pair.say_times(&format!("their file, {} MB, against reading the rows", bytes / 1_000_000))?;
    let more = megabytes(std::process::id(), "VmRSS")? - before;
    say("memory that was not given back after it", &format!("{more:.0} MB"))
}

async fn under_load(running: &Running, scene: Arc<Scene>, folder: &Path) -> anyhow::Result<()> {
    let (away, copy) = (Folder::new("records-copy")?, "copy.db");
    let copy = away.path().join(copy);
    let (mut pages, mut entries) = (Pair::default(), Pair::default());
    let mut copied = Sample::default();
    for _ in 0..ROUNDS {
        let busy = Busy::begin(running, &scene).await?;
        let began = Instant::now();
        backup(folder, &copy, true).await?;
        let took = began.elapsed();
        let during = busy.end().await?;
        copied.took(took);
        let busy = Busy::begin(running, &scene).await?;
        tokio::time::sleep(took).await;
        let alone = busy.end().await?;
        pages.round(during.page.median(), alone.page.median());
        entries.round(during.entry.median(), alone.entry.median());
        say(
            "pages served a second, during a backup and without",
            &format!("{:.0} and {:.0}", during.rate, alone.rate),
        )?;
    }
    copied.say(&format!("a backup, {} MB", std::fs::metadata(&copy)?.len() / 1_000_000))?;
    pages.say_times("today page for each of four visitors, during it")?;
    entries.say_times("an entry logged, during it")
}

/// Visitors who ask for the today page one after another, and one who logs now and then.
struct Busy {
    began: Instant,
    stop: Arc<AtomicBool>,
    pages: JoinSet<anyhow::Result<Vec<Duration>>>,
    entries: JoinSet<anyhow::Result<Vec<Duration>>>,
}

/// What they met with.
struct Met {
    page: Sample,
    entry: Sample,
    /// pages a second, of all
    rate: f64,
}

impl Busy {
    async fn begin(running: &Running, scene: &Arc<Scene>) -> anyhow::Result<Self> {
        let stop = Arc::new(AtomicBool::new(false));
        let (mut pages, mut entries) = (JoinSet::new(), JoinSet::new());
        let mut visits = Vec::with_capacity(VISITORS);
        for _ in 0..VISITORS {
            visits.push(Visit::new(running, scene).await?);
        }
        let began = Instant::now();
        for visit in visits {
            let stop = Arc::clone(&stop);
            pages.spawn(async move {
                let mut took = Vec::new();
                while !stop.load(Ordering::Relaxed) {
                    took.push(visit.today().await?);
                }
                Ok(took)
            });
        }
        let (app, scene, over) = (running.app().clone(), Arc::clone(scene), Arc::clone(&stop));
        entries.spawn(async move {
            let mut random = Pcg64Mcg::seed_from_u64(5);
            let mut took = Vec::new();
            while !over.load(Ordering::Relaxed) {
                let began = Instant::now();
                app.log(&Caller::House, new(&scene, &mut random)).await?;
                took.push(began.elapsed());
                tokio::time::sleep(BETWEEN).await;
            }
            Ok(took)
        });
        Ok(Self { began, stop, pages, entries })
    }

    async fn end(mut self) -> anyhow::Result<Met> {
        self.stop.store(true, Ordering::Relaxed);
        let seconds = self.began.elapsed().as_secs_f64();
        let mut met = Met { page: Sample::default(), entry: Sample::default(), rate: 0.0 };
        let mut count = 0_u32;
        while let Some(took) = self.pages.join_next().await {
            for took in took?? {
                met.page.took(took);
                count += 1;
            }
        }
        while let Some(took) = self.entries.join_next().await {
            took??.into_iter().for_each(|took| met.entry.took(took));
        }
        met.rate = f64::from(count) / seconds;
        Ok(met)
    }
}
