//! Entries stored through the service call against the same rows put straight into SQLite: the same schema, journal and
//! durability (WAL, `synchronous=FULL`), the same size of commits. From many at once twice: as things happen, and with
//! times out of order, as after a day without a network, when the picture has to fold vessels anew.

use std::collections::BTreeSet;
use std::time::Instant;

use jiff::SignedDuration;
use keepwell::clock::Clock;
use keepwell::model::entry::Entry;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell::service::entries::New;

use crate::measure::Folder;
use crate::measure::Pair;
use crate::measure::Sample;
use crate::measure::head;
use crate::measure::say;
use crate::scene::Raw;
use crate::scene::Row;
use crate::scene::Scene;

const ROUNDS: usize = 7;
const ALONE: usize = 300;
const TOGETHER: usize = 6_400;
const TASKS: usize = 64;

pub async fn measure() -> anyhow::Result<()> {
    head("Entries stored, against raw SQLite with the same commits")?;
    let (ours, floor) = (Folder::new("writes-ours")?, Folder::new("writes-floor")?);
    let mut scene = Scene::of(14, |_| 3)?;
    for folder in [&ours, &floor] {
        scene.keep(folder.path()).await?.close().await;
    }
    let app = App::open(ours.path(), Clock::standing_at(scene.now)).await?;
    let mut raw = Raw::open(floor.path())?;
    let mut batches = Batches { entries: batch(&mut scene, ROUNDS * (ALONE + 2 * TOGETHER))?.into_iter() };

    let mut pair = Pair::default();
    for _ in 0..ROUNDS {
        let (new, rows) = batches.next(ALONE)?;
        let began = Instant::now();
        for entry in new {
            app.log(&Caller::House, entry).await?;
        }
        let took = began.elapsed();
        let began = Instant::now();
        for row in &rows {
            raw.insert(std::slice::from_ref(row))?;
        }
        pair.round(took.as_secs_f64(), began.elapsed().as_secs_f64());
    }
    pair.say_rates("one at a time", f64::from(u32::try_from(ALONE)?))?;

    let began = Instant::now();
    for when in [When::Now, When::OutOfOrder] {
        let mut pair = Pair::default();
        let mut sizes = Sample::default();
        for _ in 0..ROUNDS {
            let (new, rows) = batches.next(TOGETHER)?;
            let first = app.picture().entry_seq;
            let round = Instant::now();
            let commits = together(&app, new, when, began).await?;
            let took = round.elapsed();
            let groups = groups(first, &commits)?;
            groups.iter().for_each(|size| sizes.add(f64::from(u32::try_from(*size).unwrap_or(u32::MAX))));
            let mut rest = rows.as_slice();
            let round = Instant::now();
            for size in groups {
                let (group, after) = rest.split_at(size);
                raw.insert(group)?;
                rest = after;
            }
            pair.round(took.as_secs_f64(), round.elapsed().as_secs_f64());
        }
        pair.say_rates(&format!("from {TASKS} tasks at once, {}", when.words()), f64::from(u32::try_from(TOGETHER)?))?;
        say("entries in a commit, median", &format!("{}", sizes.median()))?;
    }
    app.close().await;
    Ok(())
}

/// Logged by many at once; the sequence that the picture stood at after each commit. The app's clock stands, so what
/// happens now is timed from when the rounds began.
async fn together(app: &App, new: Vec<New>, when: When, began: Instant) -> anyhow::Result<BTreeSet<i64>> {
    let mut tasks = Vec::with_capacity(TASKS);
    let from = jiff::Timestamp::from_microsecond(app.now().micros())?;
    let mut shares: Vec<Vec<New>> = (0..TASKS).map(|_| Vec::new()).collect();
    for (number, entry) in new.into_iter().enumerate() {
        shares[number % TASKS].push(entry);
    }
    for share in shares {
        let app = app.clone();
        tasks.push(tokio::spawn(async move {
            let mut seen = BTreeSet::new();
            for mut entry in share {
                if when == When::Now {
                    entry.at = from + began.elapsed();
                }
                app.log(&Caller::House, entry).await?;
                seen.insert(app.picture().entry_seq);
            }
            Ok::<_, keepwell::service::Error>(seen)
        }));
    }
    let mut seen = BTreeSet::new();
    for task in tasks {
        seen.extend(task.await??);
    }
    Ok(seen)
}

/// The time that an entry is logged for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum When {
    Now,
    OutOfOrder,
}

impl When {
    const fn words(self) -> &'static str {
        match self {
            Self::Now => "as it happens",
            Self::OutOfOrder => "out of order",
        }
    }
}

/// How many entries each commit held.
fn groups(first: i64, commits: &BTreeSet<i64>) -> anyhow::Result<Vec<usize>> {
    let mut before = first;
    let mut groups = Vec::with_capacity(commits.len());
    for seq in commits {
        groups.push(usize::try_from(seq - before)?);
        before = *seq;
    }
    Ok(groups)
}

/// Entries as if each were logged as it happens.
fn batch(scene: &mut Scene, count: usize) -> anyhow::Result<Vec<Entry>> {
    let mut random = rand_pcg::Pcg64Mcg::new(0x5eed);
    let began = scene.now - SignedDuration::from_hours(24);
    let mut entries = Vec::with_capacity(count);
    for number in 0..count {
        let at = began + SignedDuration::from_millis(i64::try_from(number)?);
        let (site, vessel) = scene.vessels[number % scene.vessels.len()];
        entries.push(Entry {
            id: keepwell::model::id::Id::from_uuid(crate::scene::uuid(&mut random, at)),
            site: Some(site),
            vessel: Some(vessel),
            at,
            arrived: scene.now,
            by: None,
            act: crate::scene::an_act(&mut random, scene.source),
        });
    }
    Ok(entries)
}

struct Batches {
    entries: std::vec::IntoIter<Entry>,
}

impl Batches {
    /// The same entries twice: as they are logged, and as rows.
    fn next(&mut self, count: usize) -> anyhow::Result<(Vec<New>, Vec<Row>)> {
        let (mut new, mut rows) = (Vec::with_capacity(count), Vec::with_capacity(count));
        for entry in self.entries.by_ref().take(count) {
            rows.push(Row::of(&entry)?);
            new.push(New { id: entry.id, site: entry.site, vessel: entry.vessel, at: entry.at, act: entry.act });
        }
        Ok((new, rows))
    }
}
