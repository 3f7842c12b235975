//! `kill -9` in the middle of many posted entries: every acknowledged one is there, every other is wholly there or not
//! at all, and `keepwell verify` finds nothing. The real program, asked over HTTP by the log form's own post.

use std::collections::HashMap;
use std::collections::HashSet;
use std::hash::BuildHasher;
use std::hash::RandomState;
use std::io::BufRead;
use std::io::BufReader;
use std::io::Write;
use std::process::Child;
use std::process::Command;
use std::process::Stdio;
use std::sync::Arc;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;
use std::time::Duration;
use std::time::Instant;

use keepwell::model::entry::Act;
use keepwell::model::id::EntryId;
use keepwell::model::id::VesselId;
use keepwell::model::setup::Thing;
use keepwell::model::vessel::Vessel;
use keepwell::service::Caller;
use keepwell::store::Reader;
use tokio::sync::Notify;

use crate::harness::Folder;
use crate::harness::Visitor;
use crate::pages::sign_in;
use crate::picture::scene;
use crate::picture::scene::id;

/// Posts under way at once.
const TASKS: usize = 64;
const VESSELS: usize = 40;

/// The n-th entry of a round: from what vessel, and how much, as it is typed.
fn sent(round: usize, n: usize) -> (EntryId, VesselId, String) {
    (id(1_000_000 + round * 100_000 + n), id(n % VESSELS), format!("{}.{:03}", 1 + n % 90, n % 1000))
}

/// A neighbourhood with some tanks, kept in a folder that nobody holds.
async fn set_up() -> Folder {
    let (house, _) = sign_in::set_up().await;
    let since = "2020-01-01T00:00:00Z".parse().unwrap();
    let tank = |n| Vessel { bank: None, source: None, since, ..scene::vessel(n, (0, 0, 1, 0, 0)) };
    let mut things = vec![(Thing::Site(scene::site(0)), None)];
    things.extend((0..VESSELS).map(|n| (Thing::Vessel(tank(n)), None)));
    house.running.app().keep_all(&Caller::House, things).await.unwrap();
    house.close().await
}

/// The program on that folder, and someone signed in.
async fn serve(folder: &Folder) -> (Child, Visitor) {
    let mut program = Command::new(env!("CARGO_BIN_EXE_keepwell"))
        // A storm of posts is what is wanted here.
        .args(["serve", "--a-minute", "0", "--port", "0", "--data"])
        .arg(folder.path())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut url = String::new();
    BufReader::new(program.stdout.take().unwrap()).read_line(&mut url).unwrap();
    let visitor = Visitor::of(url.trim());
    let (_, name) = sign_in::FIRST.iter().find(|field| field.0 == "coordinator").unwrap();
    let answer = visitor.post("/sign-in", &[("name", name), ("password", sign_in::PASSWORD)]).await;
    assert_eq!(answer.status, 303, "{}", answer.text);
    (program, visitor)
}

/// Tells that a task has ended, however it did: nobody waits for answers that will not come.
struct Told(Arc<Notify>);

impl Drop for Told {
    fn drop(&mut self) {
        self.0.notify_one();
    }
}

/// Posts entries from many tasks and kills the program after some answers; the entries that were acknowledged.
async fn post_and_kill(folder: &Folder, round: usize, entries: usize) -> HashSet<EntryId> {
    let (mut program, visitor) = serve(folder).await;
    // Anywhere but at the very ends, where the first task is out of entries while others wait for their answers; and at any
    // moment of a group's way to the disk.
    let first = entries / 50;
    let last = first + anything() % (entries - first - 2 * TASKS);
    let (visitor, next, answered, enough) =
        (Arc::new(visitor), Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)), Arc::new(Notify::new()));
    let tasks: Vec<_> = (0..TASKS)
        .map(|_| {
            let (visitor, next) = (Arc::clone(&visitor), Arc::clone(&next));
            let (answered, enough) = (Arc::clone(&answered), Arc::clone(&enough));
            tokio::spawn(async move {
                let _told = Told(Arc::clone(&enough));
                let mut acknowledged = Vec::new();
                loop {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    if n >= entries {
                        return acknowledged;
                    }
                    let (id, vessel, litres) = sent(round, n);
                    let (at, written) = (format!("/log/vessels/{vessel}/draw"), id.to_string());
                    let fields = [("id", written.as_str()), ("how", "amount"), ("litres", litres.as_str())];
                    let Ok(answer) = visitor.try_post(&at, &fields).await else { return acknowledged };
                    assert_eq!(answer.status, 303, "{}", answer.text);
                    acknowledged.push(id);
                    if answered.fetch_add(1, Ordering::Relaxed) + 1 == last {
                        enough.notify_one();
                    }
                }
            })
        })
        .collect();
    enough.notified().await;
    tokio::time::sleep(Duration::from_micros(u64::try_from(anything() % 5000).unwrap())).await;
    program.kill().unwrap();
    let mut acknowledged = HashSet::new();
    for task in tasks {
        acknowledged.extend(task.await.unwrap());
    }
    program.wait().unwrap();
    assert!((last..entries).contains(&acknowledged.len()), "killed in the middle: {}", acknowledged.len());
    acknowledged
}

/// A number that is another each time.
fn anything() -> usize {
    usize::try_from(RandomState::new().hash_one(0) >> 33).unwrap()
}

/// What became of all rounds.
struct Tally {
    acknowledged: usize,
    /// stored, but killed before the answer
    unanswered: usize,
    took: Duration,
}

async fn rounds(rounds: usize, entries: usize) -> Tally {
    let began = Instant::now();
    let folder = set_up().await;
    let mut acknowledged: HashSet<EntryId> = HashSet::new();
    let mut stored = 0;
    for round in 0..rounds {
        acknowledged.extend(post_and_kill(&folder, round, entries).await);
        let mut verify = Command::new(env!("CARGO_BIN_EXE_keepwell"));
        let verified = verify.args(["verify", "--data"]).arg(folder.path()).output().unwrap();
        assert!(verified.status.success(), "{}", String::from_utf8_lossy(&verified.stdout));
        stored = check(&folder, round, entries, &acknowledged).await;
    }
    Tally { acknowledged: acknowledged.len(), unanswered: stored - acknowledged.len(), took: began.elapsed() }
}

/// Every acknowledged entry is there, and whatever is there is what was sent. How many there are.
async fn check(folder: &Folder, last: usize, entries: usize, acknowledged: &HashSet<EntryId>) -> usize {
    let there = Reader::open(folder.path()).await.unwrap().everything().await.unwrap().entries;
    let could_be: HashMap<EntryId, (VesselId, String)> = (0..=last)
        .flat_map(|round| (0..entries).map(move |n| sent(round, n)))
        .map(|(id, vessel, litres)| (id, (vessel, litres)))
        .collect();
    let mut ids = HashSet::new();
    for entry in &there {
        let (vessel, litres) = &could_be[&entry.id];
        let Act::Draw(draw) = &entry.act else { panic!("{:?}", entry.act) };
        assert_eq!((entry.vessel, draw.litres), (Some(*vessel), Some(litres.parse().unwrap())));
        assert!(ids.insert(entry.id), "stored twice");
    }
    let lost: Vec<_> = acknowledged.difference(&ids).collect();
    assert!(lost.is_empty(), "{} acknowledged entries are lost: {lost:?}", lost.len());
    there.len()
}

impl core::fmt::Display for Tally {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        let Self { acknowledged, unanswered, took } = self;
        write!(f, "{acknowledged} acknowledged, {unanswered} more stored before the answer, none lost, in {took:.0?}")
    }
}

#[tokio::test]
async fn what_was_acknowledged_survives_a_kill() {
    let tally = rounds(3, 500).await;
    assert!(tally.acknowledged > 30, "{tally}");
}

/// The full measure: `tests/run --long`.
#[tokio::test]
#[ignore = "takes minutes: tests/run --long"]
async fn long_what_was_acknowledged_survives_twenty_kills() {
    let tally = rounds(20, 5000).await;
    std::io::stdout().write_all(format!("20 kills: {tally}\n").as_bytes()).unwrap();
    assert!(tally.acknowledged > 2000, "{tally}");
}
