//! Out as files and back into an empty house: the same picture, and nothing in the files that opens a door.

use std::io::Read;
use std::sync::Arc;

use keepwell::clock::Clock;
use keepwell::model::carry::Carry;
use keepwell::model::carry::Means;
use keepwell::model::choice::Choice;
use keepwell::model::entry::Entry;
use keepwell::model::id::Id;
use keepwell::model::neighbourhood::Neighbourhood;
use keepwell::model::neighbourhood::Units;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::outage::Step;
use keepwell::model::person::Person;
use keepwell::model::person::Role;
use keepwell::model::power::Load;
use keepwell::model::prices::Prices;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::model::site::Animal;
use keepwell::model::site::Animals;
use keepwell::model::site::Site;
use keepwell::model::upkeep::Intervals;
use keepwell::model::works::Stage;
use keepwell::picture::Picture;
use keepwell::picture::fold::Fold;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell::service::import::File;
use keepwell::service::import::Plan;
use keepwell::service::records;
use keepwell::service::sign_in::Purpose;
use keepwell::service::take_in::TakenIn;
use keepwell::service::tokens::NewToken;
use keepwell::service::verify::differences;
use keepwell::store::Store;
use proptest::strategy::Strategy;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::by_hand;
use super::person;
use super::then;
use crate::harness::Folder;
use crate::picture::scene;

/// Revisions number the changes of one file; another file has its own.
fn folded(set_up: &SetUp, entries: Vec<Arc<Entry>>) -> Arc<Picture> {
    let mut plain = SetUp::default();
    set_up.things().for_each(|(thing, _)| plain.put(thing, 0));
    Arc::clone(Fold::of(plain, entries, 0, 0).picture())
}

/// Files by their names.
type Files = Vec<(String, Vec<u8>)>;

/// Every file of a store, by name.
async fn files(store: &Store, folder: &Folder) -> Files {
    let mut names = Vec::new();
    let file = |name: &str| {
        names.push(name.to_owned());
        std::fs::File::create(folder.path().join(name))
    };
    records::to_folder(store.reader(), file).await.unwrap();
    names.into_iter().map(|name| (name.clone(), std::fs::read(folder.path().join(name)).unwrap())).collect()
}

/// What the files bring to an empty house.
fn brought(files: &[(String, Vec<u8>)]) -> Plan {
    let files: Vec<File<'_>> = files.iter().map(|(name, bytes)| File { name, bytes }).collect();
    let later = "2040-01-01T00:00:00Z".parse().unwrap();
    records::read(&SetUp::default(), |_| None, &files, later).unwrap()
}

pub fn settings() -> Neighbourhood {
    let name = scene::name("=Lower \"Weir\"");
    let (zone, ration) = ("Europe/Dublin".to_owned(), "basic".to_owned());
    let language = "en".to_owned();
    let upkeep = Intervals { dip_days: 30.5, couplings_days: 1000.0 / 7.0, ..Intervals::default() };
    let (target_days, sds_g, sd1_g) = (1.0 / 3.0 + 7.0, Some(2.0 / 3.0), None);
    let prices = Prices { can: Some(7.5), ..Prices::default() };
    Neighbourhood { name, zone, units: Units::Us, language, ration, target_days, upkeep, sds_g, sd1_g, prices }
}

/// What the scenes have none of: an outage and a drill, a load, someone who left, and words that a spreadsheet or a line
/// of CSV would trip over.
fn besides() -> Vec<Thing> {
    let at = |days: i64| scene::start() + jiff::SignedDuration::from_hours(24 * days);
    let step = |days, ration: &str| Step { since: at(days), ration: ration.to_owned() };
    let outage = |n, kind, from, ended| Outage {
        id: scene::id(n),
        kind,
        since: at(from),
        ended,
        target_days: 22.0 / 7.0,
        rations: vec![step(from, "basic"), step(from + 2, "lean")],
        expected: Some(at(from + 3)),
        ran_out: "+1 day: \"Mill End\"; Weir, too".to_owned(),
        notes: "'quoted'\r\n=SUM(A1)\n\n  שלום  ".to_owned(),
    };
    let site = Site {
        animals: vec![Animals { animal: Animal::LIST[0].0, count: 3 }],
        latitude: Some(53.349_805_1),
        longitude: Some(-6.260_31),
        elevation_m: Some(-0.1),
        notes: "-1\tend".to_owned(),
        phone: "+353 555 0100".to_owned(),
        ended: Some(at(900)),
        ..scene::site(0)
    };
    let load = Load {
        id: scene::id(0),
        site: scene::id(0),
        name: scene::name("Pump, \"new\""),
        running_w: 0.1 + 0.2,
        surge_w: Some(1e-3),
        hours_a_day: 1.0 / 3.0,
        pump: true,
        ended: None,
    };
    let carry = Carry {
        id: scene::id(0),
        name: scene::name("Over; the \"bridge\""),
        from: scene::id(0),
        to: scene::id(1),
        means: Means::Hose,
        litres_a_day: 1.0 / 3.0,
        litres_a_trip: 0.1 + 0.2,
        loss: 0.1,
        ended: Some(at(5)),
    };
    let left = Person { id: scene::id(7), role: Role::Keeper, ended: Some(at(20)), ..person() };
    vec![
        Thing::Site(site),
        Thing::Load(load),
        Thing::Battery(scene::battery(0)),
        Thing::Carry(carry),
        Thing::Stage(Stage { name: scene::name("@lamp"), ..scene::lamp(1) }),
        Thing::Pump(scene::pump(0)),
        Thing::Person(Person { name: scene::name("@home"), ..left }),
        Thing::Outage(outage(0, OutageKind::Real, 10, Some(at(14)))),
        Thing::Outage(outage(1, OutageKind::Drill, 30, None)),
    ]
}

#[tokio::test]
async fn two_hundred_neighbourhoods_come_back_the_same() {
    let mut runner = TestRunner::deterministic();
    let out = Folder::new();
    for _ in 0..200 {
        let scene::Scene { mut set_up, entries } = scene::scene(0..25).new_tree(&mut runner).unwrap().current();
        set_up.put(Thing::Neighbourhood(settings()), 1);
        set_up.put(Thing::Person(person()), 1);
        besides().into_iter().for_each(|thing| set_up.put(thing, 1));
        let folder = Folder::new();
        let store = Store::open(folder.path()).await.unwrap();
        let things = set_up.things().map(|(thing, _)| (thing, None)).collect();
        store.write_all(None, then(), things, entries).await.unwrap();
        let kept = store.reader().everything().await.unwrap();
        let Plan { things, entries, .. } = brought(&files(&store, &out).await);
        let mut again = SetUp::default();
        things.into_iter().for_each(|(thing, _)| again.put(thing, 0));
        let entries = entries.into_iter().map(Arc::new).collect();
        let (before, after) = (folded(&kept.set_up, kept.entries), folded(&again, entries));
        assert_eq!(differences(&before, &after), Vec::<String>::new());
        assert_eq!(format!("{before:?}"), format!("{after:?}"));
        store.close().await;
    }
}

/// Every file of the archive, by name.
async fn archive(app: &App) -> (Vec<u8>, Files) {
    let mut exported = app.export(&Caller::House, records::ARCHIVE).await.unwrap();
    let mut bytes = Vec::new();
    while let Some(part) = exported.parts.recv().await {
        bytes.extend(part.unwrap());
    }
    let mut files = Vec::new();
    let open = rawzip::ZipArchive::from_slice(&bytes).unwrap();
    let mut entries = open.entries();
    while let Some(entry) = entries.next_entry().unwrap() {
        let name = entry.file_path().try_normalize().unwrap().as_ref().to_owned();
        let there = open.get_entry(entry.wayfinder()).unwrap();
        let mut file = Vec::new();
        there.verifying_reader(there.data()).read_to_end(&mut file).unwrap();
        files.push((name, file));
    }
    (bytes, files)
}

async fn alder_reach(folder: &Folder) -> App {
    let app = App::open(folder.path(), Clock::standing_at(then())).await.unwrap();
    keepwell::demo::write(&app).await.unwrap();
    app
}

async fn take_in(app: &App, files: &[(String, Vec<u8>)]) -> TakenIn {
    let files: Vec<File<'_>> = files.iter().map(|(name, bytes)| File { name, bytes }).collect();
    app.take_in(&Caller::House, &files, Units::Metric, false).await.unwrap()
}

/// Four hundred days of fourteen sites, whatever order the files come in, and what today makes of them.
#[tokio::test]
async fn alder_reach_moves_to_another_house_as_it_is() {
    let (here, there) = (Folder::new(), Folder::new());
    let app = alder_reach(&here).await;
    let (whole, mut files) = archive(&app).await;
    assert_eq!(files.len(), records::SHEETS.len() + 1);
    files.reverse();
    let other = App::open(there.path(), Clock::standing_at(then())).await.unwrap();
    let taken = take_in(&other, &files).await;
    assert!(matches!(taken, TakenIn::Fits { done: true, .. }), "{taken:?}");
    let (before, after) = (again(&app).await, again(&other).await);
    assert_eq!(differences(&before, &after), Vec::<String>::new());
    assert_eq!(format!("{before:?}"), format!("{after:?}"));
    let today = async |app: &App| {
        format!(
            "{:?}",
            app.today(&Caller::House, None).unwrap().1.sites.iter().map(|site| &site.standing).collect::<Vec<_>>()
        )
    };
    assert_eq!(today(&app).await, today(&other).await);

    let twice = take_in(&other, &[("keepwell.zip".to_owned(), whole)]).await;
    let TakenIn::Fits { counts, .. } = twice else { panic!("{twice:?}") };
    assert!(counts.records.iter().all(|tally| tally.added + tally.changed == 0), "{counts:?}");
    assert_eq!((after.entry_seq, after.change_seq), (0, 0));
    assert_eq!(other.verify(&Caller::House).await.unwrap().found(), Vec::<String>::new());
    assert!(other.without_password().await.unwrap().is_some(), "nobody can sign in but by a link");
    app.close().await;
    other.close().await;
}

async fn again(app: &App) -> Arc<Picture> {
    let entries = app.entries(&Caller::House, None, None, None, 1_000_000).await.unwrap();
    let mut entries: Vec<Arc<Entry>> = entries.into_iter().map(|listed| listed.entry).collect();
    entries.sort_by_key(|entry| (entry.at, entry.id));
    folded(&app.picture().set_up, entries)
}

/// Accounts are names and roles; what they are let in by stays where it is.
#[tokio::test]
async fn nothing_that_lets_anyone_in_is_in_the_files() {
    let folder = Folder::new();
    let app = alder_reach(&folder).await;
    let picture = app.picture();
    let leads = picture.set_up.people.values().find(|kept| kept.thing.role == Role::Coordinator).unwrap();
    let link = app.one_time(Purpose::SignIn(leads.thing.id)).unwrap();
    let session = app.sign_in_by_link(&link).await.unwrap();
    let new =
        NewToken { id: Id::fresh(), name: scene::name("Sensor at the weir"), role: Role::Keeper, sites: Vec::new() };
    let (_, token) = app.make_token(&Caller::Person(Arc::clone(&leads.thing)), new).await.unwrap();
    let (bytes, files) = archive(&app).await;
    let mut secret: Vec<Vec<u8>> = ["$argon2", "Sensor at the weir", session.as_str(), token.as_str()]
        .map(|text| text.as_bytes().to_vec())
        .to_vec();
    let file = by_hand(&folder);
    for query in ["SELECT password FROM people", "SELECT token FROM sessions", "SELECT hash FROM tokens"] {
        let mut rows = file.prepare(query).unwrap();
        let found: Vec<Vec<u8>> = rows
            .query_map([], |row| Ok(row.get_ref(0)?.as_bytes().unwrap().to_vec()))
            .unwrap()
            .map(Result::unwrap)
            .collect();
        assert!(!found.is_empty(), "{query}");
        secret
            .extend(found.iter().map(|hash| hash.iter().map(|byte| format!("{byte:02x}")).collect::<String>().into()));
        secret.extend(found);
    }
    for hidden in &secret {
        let shown = bytes.windows(hidden.len()).any(|there| there == hidden.as_slice());
        assert!(!shown, "{}", String::from_utf8_lossy(hidden));
    }
    let headings = |name: &str| {
        let file = &files.iter().find(|file| file.0 == name).unwrap().1;
        String::from_utf8(file.clone()).unwrap().lines().next().unwrap().to_owned()
    };
    assert_eq!(headings("accounts.csv"), "\u{feff}person_id,name,role,sites,sites_name,ended");
    drop(file);
    app.close().await;
}

/// What a person is told who mends such a file by hand and goes wrong.
#[tokio::test]
async fn a_wrong_line_is_named_and_nothing_is_kept() {
    let (here, there) = (Folder::new(), Folder::new());
    let app = alder_reach(&here).await;
    let (_, files) = archive(&app).await;
    let other = App::open(there.path(), Clock::standing_at(then())).await.unwrap();
    let mended = |name: &str, mend: &dyn Fn(String) -> String| -> Files {
        let mend = |(there, bytes): (String, Vec<u8>)| {
            let bytes = if there == name { mend(String::from_utf8(bytes).unwrap()).into_bytes() } else { bytes };
            (there, bytes)
        };
        files.iter().cloned().map(mend).collect()
    };
    let without = |name: &str| files.iter().filter(|file| file.0 != name).cloned().collect::<Vec<_>>();
    let replaced = |from: &'static str, to: &'static str| move |text: String| text.replacen(from, to, 1);
    let swapped = |text: String| {
        let mut lines: Vec<&str> = text.split("\r\n").collect();
        lines[3] = lines[2];
        lines.join("\r\n")
    };
    let cases: Vec<(Files, &str, &str)> = vec![
        (mended("sites.csv", &replaced(",hall,", ",hal,")), "kind", "{value} is none of: {allowed}."),
        (
            mended("vessels.csv", &replaced("vessel_id,site,", "vessel_id,sight,")),
            "sight",
            "{heading} is no column of this file. Known are: {known}.",
        ),
        (mended("vessels.csv", &swapped), "vessel_id", "This id stands in these files twice."),
        (
            mended("entries.csv", &replaced(",fill,", ",filled,")),
            "entry_kind",
            "{value} is no kind of entry. Known are: {known}.",
        ),
        (without("vessels.csv"), "of_vessel", "It names nothing that is kept here or comes with these files."),
        (without("accounts.csv"), "logged_by", "It names nothing that is kept here or comes with these files."),
        (
            without("neighbourhood.csv"),
            "",
            "No neighbourhood is kept here yet. Bring neighbourhood.csv in the same import.",
        ),
        (
            mended("entries.csv", &|text| text.replace('\u{feff}', "") + "\r\nx,y"),
            "",
            "This line has {cells} cells; there are {wanted} headings.",
        ),
    ];
    for (files, column, words) in cases {
        let taken = take_in(&other, &files).await;
        let TakenIn::Refused(faults) = &taken else { panic!("{words}: {taken:?}") };
        assert!(
            faults.iter().any(|fault| (fault.column.as_str(), fault.message.key) == (column, words)),
            "{words}: {:?}",
            faults.iter().take(3).collect::<Vec<_>>()
        );
        assert!(other.picture().sites().is_empty() && !other.is_set_up(), "{words}: nothing is kept");
    }
    app.close().await;
    other.close().await;
}

/// Every byte of an archive in turn: it holds as it is, is refused in words, or is not taken for an archive.
#[tokio::test]
async fn a_damaged_archive_is_refused() {
    let (store, folder) = super::store().await;
    store.write(None, then(), vec![(Thing::Neighbourhood(settings()), None)]).await.unwrap();
    store.close().await;
    drop(store);
    let app = App::open(folder.path(), Clock::standing_at(then())).await.unwrap();
    let (whole, files) = archive(&app).await;
    let opened = |bytes: &[u8]| {
        let file = File { name: "keepwell.zip", bytes };
        records::opened(&[file])
            .map(|files| files.into_iter().map(|(name, bytes)| (name, bytes.into_owned())).collect::<Vec<_>>())
    };
    assert_eq!(opened(&whole).unwrap(), files);
    for at in 4..whole.len() {
        for bit in [1, 0x80] {
            let mut bytes = whole.clone();
            bytes[at] ^= bit;
            match opened(&bytes) {
                Ok(found) => assert!(found.iter().all(|file| files.iter().any(|there| there.1 == file.1)), "byte {at}"),
                Err(faults) => assert_eq!(faults.len(), 1),
            }
        }
        assert!(opened(&whole[..at]).is_err(), "cut at {at}");
    }
    app.close().await;
}

/// Lines are those that an editor counts, whatever ends them, and though cells hold several.
#[test]
fn a_wrong_cell_is_found_by_its_line() {
    let id = |n: usize| scene::id::<()>(n).uuid();
    let rows = [
        format!("{},Mains,mains,none,\"one\ntwo\nthree\"", id(1)),
        format!("{},Well,well,non,", id(2)),
        String::new(),
        format!("{},Spring,spring", id(3)),
        format!("{},River,river,none,", "0190"),
    ];
    for (mark, end) in [("", "\n"), ("\u{feff}", "\r\n")] {
        let text = format!("{mark}source_id,name,kind,disinfectant,notes{end}{}{end}", rows.join(end));
        let file = File { name: "sources.csv", bytes: text.as_bytes() };
        let faults = records::read(&SetUp::default(), |_| None, &[file], then()).unwrap_err();
        let found: Vec<(usize, &str)> = faults.iter().map(|fault| (fault.line, fault.column.as_str())).collect();
        assert_eq!(found, [(5, "disinfectant"), (7, ""), (8, "source_id")], "{end:?}");
    }
}
