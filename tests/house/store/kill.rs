//! `kill -9` in the middle of many entries: every acknowledged one is there, every other is wholly there or not at all,
//! and `keepwell verify` finds nothing. What is killed is this very program, started again as a logger beside itself:
//! it opens the folder as the server does and logs through the same service call, from many tasks at once.

use std::collections::HashMap;
use std::collections::HashSet;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Write;
use std::path::Path;
use std::process::Command;
use std::process::Stdio;
use std::sync::Arc;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;

use jiff::Timestamp;
use keepwell::clock::Clock;
use keepwell::model::entry::Act;
use keepwell::model::entry::fill::Fill;
use keepwell::model::id::EntryId;
use keepwell::model::setup::Thing;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::Vessel;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell::service::entries::New;
use keepwell::store::Reader;
use keepwell::store::Store;

use super::then;
use crate::harness::Folder;
use crate::picture::scene;
use crate::picture::scene::id;

/// What tells the logger where to log, which round it is and how many entries.
const FOLDER: &str = "KEEPWELL_TEST_FOLDER";
const ROUND: &str = "KEEPWELL_TEST_ROUND";
const ENTRIES: &str = "KEEPWELL_TEST_ENTRIES";
const TASKS: usize = 64;
const VESSELS: usize = 40;

/// The n-th entry of a round: what logs it and what checks it make it alike.
fn sent(round: usize, n: usize, at: Timestamp) -> New {
    let litres = Some(f64::from(u32::try_from(n).unwrap()) / 7.0 % 100.0);
    let (measured, printed, lot) = (None, None, None);
    let note = Some(format!("{round}/{n}"));
    let fill = Fill { litres, to_top: false, measured, source: id(0), boiled: false, printed, lot, note };
    New { id: entry_id(round, n), site: None, vessel: Some(id(n % VESSELS)), at, act: Act::Fill(fill) }
}

fn entry_id(round: usize, n: usize) -> EntryId {
    id(1_000_000 + round * 100_000 + n)
}

/// Not a test but what the tests beside it start and kill.
#[tokio::test(flavor = "multi_thread")]
#[ignore = "is started by the tests beside it"]
async fn the_logger() {
    let Ok(folder) = std::env::var(FOLDER) else { return };
    let number = |name: &str| std::env::var(name).unwrap().parse::<usize>().unwrap();
    let (round, entries) = (number(ROUND), number(ENTRIES));
    let app = App::open(Path::new(&folder), Clock::system()).await.unwrap();
    let next = Arc::new(AtomicUsize::new(0));
    let tasks: Vec<_> = (0..TASKS)
        .map(|_| {
            let (app, next) = (app.clone(), Arc::clone(&next));
            tokio::spawn(async move {
                loop {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    if n >= entries {
                        break;
                    }
                    app.log(&Caller::House, sent(round, n, Timestamp::now())).await.unwrap();
                    let mut out = std::io::stdout().lock();
                    out.write_all(format!("logged {n}\n").as_bytes()).unwrap();
                    out.flush().unwrap();
                }
            })
        })
        .collect();
    for task in tasks {
        task.await.unwrap();
    }
}

async fn set_up(folder: &Folder) {
    let store = Store::open(folder.path()).await.unwrap();
    let mut things = vec![
        Thing::Source(scene::source(0, SourceKind::Mains, Disinfectant::FreeChlorine)),
        Thing::Site(scene::site(0)),
    ];
    things.extend((0..VESSELS).map(|n| {
        let since = "2020-01-01T00:00:00Z".parse().unwrap();
        Thing::Vessel(Vessel { bank: None, source: None, since, ..scene::vessel(n, (0, 0, 1, 0, 0)) })
    }));
    store.write(None, then(), things.into_iter().map(|thing| (thing, None)).collect()).await.unwrap();
    store.close().await;
}

/// A number that is another each time.
fn anything() -> usize {
    use std::hash::BuildHasher;
    let number = std::collections::hash_map::RandomState::new().hash_one(0);
    usize::try_from(number >> 33).unwrap()
}

/// What became of all rounds.
#[derive(Debug, Default)]
struct Tally {
    acknowledged: usize,
    /// stored, but killed before the answer
    unanswered: usize,
}

async fn rounds(rounds: usize, entries: usize) -> Tally {
    let folder = Folder::new();
    set_up(&folder).await;
    let mut acknowledged: HashSet<EntryId> = HashSet::new();
    let mut stored = 0;
    for round in 0..rounds {
        let mut logger = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "store::kill::the_logger", "--ignored", "--nocapture"])
            .env(FOLDER, folder.path())
            .env(ROUND, round.to_string())
            .env(ENTRIES, entries.to_string())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Anywhere but at the very ends.
        let last = entries / 50 + anything() % (entries - entries / 10);
        let mut seen = 0;
        for line in BufReader::new(logger.stdout.take().unwrap()).lines() {
            let line = line.unwrap();
            let Some(n) = line.strip_prefix("logged ") else { continue };
            acknowledged.insert(entry_id(round, n.parse().unwrap()));
            seen += 1;
            if seen == last {
                logger.kill().unwrap();
            }
        }
        let ended = logger.wait().unwrap();
        assert!(!ended.success() && seen >= last && seen < entries, "killed in the middle: {ended}, {seen} logged");

        let verified =
            Command::new(env!("CARGO_BIN_EXE_keepwell")).args(["verify", "--data"]).arg(folder.path()).output();
        let verified = verified.unwrap();
        assert!(verified.status.success(), "{}", String::from_utf8_lossy(&verified.stdout));
        stored = check(&folder, round, entries, &acknowledged).await;
    }
    Tally { acknowledged: acknowledged.len(), unanswered: stored - acknowledged.len() }
}

/// Every acknowledged entry is there, and whatever is there is what was sent. How many there are.
async fn check(folder: &Folder, last: usize, entries: usize, acknowledged: &HashSet<EntryId>) -> usize {
    let there = Reader::open(folder.path()).await.unwrap().everything().await.unwrap().entries;
    let mut could_be: HashMap<EntryId, New> = HashMap::new();
    for round in 0..=last {
        could_be.extend((0..entries).map(|n| (entry_id(round, n), sent(round, n, then()))));
    }
    let mut ids = HashSet::new();
    for entry in &there {
        let sent = &could_be[&entry.id];
        assert_eq!((&entry.act, entry.vessel), (&sent.act, sent.vessel));
        assert!(ids.insert(entry.id), "stored twice");
    }
    let lost: Vec<_> = acknowledged.difference(&ids).collect();
    assert!(lost.is_empty(), "{} acknowledged entries are lost: {lost:?}", lost.len());
    there.len()
}

#[tokio::test]
async fn what_was_acknowledged_survives_a_kill() {
    let tally = rounds(3, 500).await;
    assert!(tally.acknowledged > 30, "{tally:?}");
}

/// The full measure: `tests/run --long`.
#[tokio::test]
#[ignore = "takes minutes: tests/run --long"]
async fn long_what_was_acknowledged_survives_twenty_kills() {
    let tally = rounds(20, 5000).await;
    std::io::stdout().write_all(format!("20 kills: {tally:?}\n").as_bytes()).unwrap();
    assert!(tally.acknowledged > 2000, "{tally:?}");
}
