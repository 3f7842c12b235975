//! A copy taken while the house is open, put back while it is closed; and everything that is not put back.

use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;

use keepwell::clock::Clock;
use keepwell::model::entry::Act;
use keepwell::model::entry::note::Note;
use keepwell::model::id::EntryId;
use keepwell::model::setup::Thing;
use keepwell::picture::fold::Fold;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell::service::backup::Failure;
use keepwell::service::backup::backup;
use keepwell::service::backup::restore;
use keepwell::service::entries::New;
use keepwell::service::sign_in::Purpose;
use keepwell::service::verify::differences;
use keepwell::service::verify::verify;
use keepwell::store::Error;
use keepwell::store::FILE;
use keepwell::store::Reader;

use super::by_hand;
use super::note;
use super::store;
use super::then;
use crate::harness::Folder;
use crate::harness::House;
use crate::picture::scene;

#[tokio::test]
async fn a_backup_of_an_open_house_is_put_back_and_what_stood_there_is_set_aside() {
    let (store, folder) = store().await;
    let other = Folder::new();
    let file = other.path().join("copy.db");
    backup(folder.path(), &file, false).await.unwrap();
    assert!(matches!(backup(folder.path(), &file, false).await, Err(Failure::Exists(_))));
    store.append(note(EntryId::fresh(), "after the copy")).await.unwrap();
    store.close().await;
    drop(store);
    assert!(matches!(restore(&file, folder.path(), false, then()).await, Err(Failure::Inhabited(_))));
    let restored = restore(&file, folder.path(), true, then()).await.unwrap();
    assert_eq!(restored.report.entries, 0);
    assert!(restored.aside.unwrap().join(FILE).is_file());
    assert_eq!(verify(folder.path()).await.unwrap().found(), Vec::<String>::new());
    assert_eq!(names(&folder), ["keepwell.db", "replaced-2026-03-14T09-30-00"], "nothing is left by the way");
}

/// What stands in a folder, but for what SQLite puts beside an open file.
fn names(folder: &Folder) -> Vec<String> {
    let all = std::fs::read_dir(folder.path()).unwrap();
    let mut names: Vec<String> = all.map(|file| file.unwrap().file_name().into_string().unwrap()).collect();
    names.retain(|name| !name.ends_with("-wal") && !name.ends_with("-shm"));
    names.sort();
    names
}

#[tokio::test]
async fn what_is_foreign_newer_or_damaged_is_not_put_back() {
    let (store, folder) = store().await;
    store.append(note(EntryId::fresh(), "kept")).await.unwrap();
    store.close().await;
    drop(store);
    let other = Folder::new();
    let file = other.path().join("copy.db");
    let newer = "INSERT INTO _sqlx_migrations SELECT 9999, 'later', installed_on, success, checksum, execution_time
                 FROM _sqlx_migrations LIMIT 1";
    let damages: [(&str, &str); 6] = [
        ("an empty file", "is not keepwell's"),
        ("a shopping list", "this is no database"),
        ("CREATE TABLE theirs (a)", "names another program as its owner"),
        (newer, "was made by a newer keepwell (its step 9999 is not known here)"),
        ("DROP TRIGGER entries_stay; UPDATE entries SET at_us = at_us + 1", "is not as it was logged"),
        ("half of it", "malformed"),
    ];
    for (damage, words) in damages {
        let _ = std::fs::remove_file(&file);
        match damage {
            "an empty file" => std::fs::write(&file, "").unwrap(),
            "a shopping list" => std::fs::write(&file, "a shopping list, ".repeat(999)).unwrap(),
            "CREATE TABLE theirs (a)" => rusqlite::Connection::open(&file).unwrap().execute_batch(damage).unwrap(),
            "half of it" => {
                backup(folder.path(), &file, true).await.unwrap();
                let whole = std::fs::read(&file).unwrap();
                std::fs::write(&file, &whole[..whole.len() / 2]).unwrap();
            }
            statement => {
                backup(folder.path(), &file, true).await.unwrap();
                rusqlite::Connection::open(&file).unwrap().execute_batch(statement).unwrap();
            }
        }
        let refused = restore(&file, folder.path(), true, then()).await.unwrap_err();
        assert!(matches!(refused, Failure::Refused { .. } | Failure::Damaged { .. }), "{damage}: {refused:?}");
        let told = refused.to_string();
        assert!(told.contains(words) && told.ends_with("nothing was changed"), "{damage}: {told}");
        assert_eq!(names(&folder), [FILE], "{damage}");
        assert_eq!(verify(folder.path()).await.unwrap().entries, 1, "what is there stays");
    }
    let missing = restore(&other.path().join("none.db"), folder.path(), true, then()).await.unwrap_err();
    assert!(matches!(missing, Failure::File { .. }), "{missing}");
}

/// Found by reading: SQLite takes a log that stands beside a file for that file's.
#[tokio::test]
async fn a_log_that_was_left_without_its_file_is_not_taken_for_the_backups() {
    let (store, folder) = store().await;
    let other = Folder::new();
    let file = other.path().join("copy.db");
    backup(folder.path(), &file, false).await.unwrap();
    store.append(note(EntryId::fresh(), "in the log alone")).await.unwrap();
    let log = format!("{FILE}-wal");
    let target = Folder::new();
    std::fs::copy(folder.path().join(&log), target.path().join(&log)).unwrap();
    let restored = restore(&file, target.path(), false, then()).await.unwrap();
    assert!(restored.aside.unwrap().join(&log).is_file());
    assert_eq!(verify(target.path()).await.unwrap().entries, 0);
    store.close().await;
}

/// Eight loggers while a copy is taken from outside and one is downloaded: each copy is the ledger as one moment saw it,
/// with everything acknowledged before the copy began.
#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn a_backup_under_load_is_the_house_as_one_moment_saw_it() {
    let (store, folder) = store().await;
    store.close().await;
    drop(store);
    let app = App::open(folder.path(), Clock::standing_at(then())).await.unwrap();
    let stop = Arc::new(AtomicBool::new(false));
    let loggers: Vec<_> = (0..8)
        .map(|n| {
            let (app, stop) = (app.clone(), Arc::clone(&stop));
            tokio::spawn(async move {
                let mut logged = 0;
                while !stop.load(Ordering::Relaxed) {
                    let act = Act::Note(Note { text: format!("{n} {logged} {}", "seen ".repeat(100)) });
                    let new = New { id: EntryId::fresh(), site: Some(scene::id(0)), vessel: None, at: then(), act };
                    app.log(&Caller::House, new).await.unwrap();
                    logged += 1;
                }
                logged
            })
        })
        .collect();
    let reach = async |entries: i64| {
        while app.picture().entry_seq < entries {
            tokio::time::sleep(std::time::Duration::from_millis(2)).await;
        }
        app.picture().entry_seq
    };
    let copies = Folder::new();
    let (outside, inside) = (copies.path().join("outside.db"), copies.path().join("inside.db"));
    let before_outside = reach(300).await;
    backup(folder.path(), &outside, false).await.unwrap();
    let before_inside = reach(before_outside + 300).await;
    let mut exported = app.backup(&Caller::House).await.unwrap();
    let mut bytes = Vec::new();
    while let Some(part) = exported.parts.recv().await {
        bytes.extend(part.unwrap());
    }
    std::fs::write(&inside, bytes).unwrap();
    let after = reach(before_inside + 1).await;
    stop.store(true, Ordering::Relaxed);
    for logger in loggers {
        assert!(logger.await.unwrap() > 0);
    }
    app.close().await;
    let whole = Reader::open(folder.path()).await.unwrap().everything().await.unwrap();
    assert_eq!(names(&folder), [FILE], "nothing is left by the way");
    for (copy, before) in [(&outside, before_outside), (&inside, before_inside)] {
        let target = Folder::new();
        let restored = restore(copy, target.path(), false, then()).await.unwrap();
        assert_eq!(restored.report.found(), Vec::<String>::new());
        let back = Reader::open(target.path()).await.unwrap().everything().await.unwrap();
        let count = i64::try_from(back.entries.len()).unwrap();
        assert!((before..after.max(before + 1) + 1000).contains(&count), "{before} {count} {after}");
        assert!(back.entries.len() < whole.entries.len(), "logging went on while it was copied");
        assert_eq!(back.entries, whole.entries[..back.entries.len()]);
        let then = Fold::of(whole.set_up.clone(), back.entries.clone(), 0, 0);
        let now = Fold::of(back.set_up, back.entries, 0, 0);
        assert_eq!(differences(then.picture(), now.picture()), Vec::<String>::new());
    }
}

#[tokio::test]
async fn everyone_signs_in_again_after_a_restore_with_the_password_they_had() {
    let (house, _) = crate::pages::sign_in::set_up().await;
    let app = house.running.app();
    let maren = app.picture().set_up.people.values().next().unwrap().thing.id;
    let link = app.one_time(Purpose::SignIn(maren)).unwrap();
    let session = app.sign_in_by_link(&link).await.unwrap();
    let other = Folder::new();
    let file = other.path().join("copy.db");
    backup(house.folder.path(), &file, false).await.unwrap();
    let folder = house.close().await;
    restore(&file, folder.path(), true, then()).await.unwrap();
    let house = House::open_in(folder).await;
    let visitor = house.visitor();
    visitor.set_cookie("kw_lan", &session);
    assert_eq!(visitor.get("/people/me").await.status, 303, "the session has ended");
    let name = crate::pages::sign_in::FIRST.iter().find(|field| field.0 == "coordinator").unwrap().1;
    let fields = [("name", name), ("password", crate::pages::sign_in::PASSWORD)];
    assert_eq!(visitor.post("/sign-in", &fields).await.status, 303);
    assert_eq!(visitor.get("/people/me").await.status, 200);
    house.close().await;
}

fn keepwell(arguments: &[&str]) -> (bool, String) {
    let answer = Command::new(env!("CARGO_BIN_EXE_keepwell")).args(arguments).output().unwrap();
    let said = [answer.stdout, answer.stderr].map(|bytes| String::from_utf8(bytes).unwrap()).concat();
    (answer.status.success(), said)
}

/// The real program, in the order in which a person would meet it.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_command_line_keeps_away_from_a_house_that_is_open() {
    let (store, folder) = store().await;
    let settings = Thing::Neighbourhood(super::records::settings());
    store.write(None, then(), vec![(settings, None)]).await.unwrap();
    store.append(note(EntryId::fresh(), "seen")).await.unwrap();
    store.close().await;
    drop(store);
    let other = Folder::new();
    let (data, file) = (folder.path().to_str().unwrap().to_owned(), other.path().join("copy.db"));
    let (file, out) = (file.to_str().unwrap(), other.path().join("out"));
    let out = out.to_str().unwrap();
    let house = House::open_in(folder).await;
    let (done, said) = keepwell(&["backup", file, "--data", &data]);
    assert!(done && said.contains("kB, whole"), "{said}");
    let (done, said) = keepwell(&["backup", file, "--data", &data]);
    assert!(!done && said.contains("--replace"), "{said}");
    let (done, said) = keepwell(&["export", out, "--data", &data]);
    assert!(done && said.contains("entries.csv"), "{said}");
    let (done, said) = keepwell(&["export", out, "--data", &data]);
    assert!(!done && said.contains("already"), "{said}");
    for command in ["restore", "import"] {
        let (done, said) = keepwell(&[command, file, "--data", &data]);
        assert!(!done && said.contains("is in use by another keepwell"), "{command}: {said}");
    }
    let folder = house.close().await;
    let (done, said) = keepwell(&["restore", file, "--data", &data]);
    assert!(!done && said.contains("holds a neighbourhood already"), "{said}");
    let (done, said) = keepwell(&["restore", file, "--replace", "--data", &data]);
    assert!(done && said.contains("1 entries") && said.contains("Put back."), "{said}");

    let empty = other.path().join("new");
    let empty = empty.to_str().unwrap();
    let mut files: Vec<String> =
        std::fs::read_dir(out).unwrap().map(|file| file.unwrap().path().to_str().unwrap().to_owned()).collect();
    files.sort();
    let mut arguments = vec!["import", "--data", empty];
    arguments.extend(files.iter().map(String::as_str));
    let (done, said) = keepwell(&arguments);
    assert!(done && said.contains("Kept."), "{said}");
    let (done, said) = keepwell(&["verify", "--data", empty]);
    assert!(done && said.contains("1 sites, 1 vessels, 1 entries") && said.contains("All is well."), "{said}");
    drop(folder);
}

#[tokio::test]
async fn there_is_nothing_to_copy_in_an_empty_folder() {
    let (empty, other) = (Folder::new(), Folder::new());
    let file = other.path().join("copy.db");
    let told = backup(empty.path(), &file, false).await.unwrap_err().to_string();
    assert!(told.contains("it holds no neighbourhood"), "{told}");
    by_hand(&empty).execute_batch("CREATE TABLE theirs (a)").unwrap();
    let told = backup(empty.path(), &file, false).await.unwrap_err();
    assert!(matches!(told, Failure::Store(Error::Foreign)), "{told}");
    assert_eq!(names(&other), Vec::<String>::new());
}
