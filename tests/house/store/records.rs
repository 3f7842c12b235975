//! Out as files and back into an empty folder: the same picture. And a copy taken while the house is open, put back.

use std::sync::Arc;

use keepwell::model::entry::Entry;
use keepwell::model::neighbourhood::Neighbourhood;
use keepwell::model::neighbourhood::Units;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::picture::Picture;
use keepwell::picture::fold::Fold;
use keepwell::service::backup::Failure;
use keepwell::service::backup::backup;
use keepwell::service::backup::restore;
use keepwell::service::import::File;
use keepwell::service::import::Plan;
use keepwell::service::records;
use keepwell::service::verify::differences;
use keepwell::service::verify::verify;
use keepwell::store::FILE;
use keepwell::store::Store;
use proptest::strategy::Strategy;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::person;
use super::store;
use super::then;
use crate::harness::Folder;
use crate::picture::scene;

/// Revisions number the changes of one file; another file has its own.
fn folded(set_up: &SetUp, entries: Vec<Arc<Entry>>) -> Arc<Picture> {
    let mut plain = SetUp::default();
    set_up.things().for_each(|(thing, _)| plain.put(thing, 0));
    Arc::clone(Fold::of(plain, entries, 0, 0).picture())
}

/// Every file of a store, by name.
async fn files(store: &Store, folder: &Folder) -> Vec<(String, Vec<u8>)> {
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

fn settings() -> Neighbourhood {
    let name = scene::name("=Lower \"Weir\"");
    let (zone, ration) = ("Europe/Dublin".to_owned(), "basic".to_owned());
    let (language, upkeep) = ("en".to_owned(), keepwell::model::upkeep::Intervals::default());
    Neighbourhood { name, zone, units: Units::Us, language, ration, target_days: 1.0 / 3.0 + 7.0, upkeep }
}

#[tokio::test]
async fn two_hundred_neighbourhoods_come_back_the_same() {
    let mut runner = TestRunner::deterministic();
    let out = Folder::new();
    for _ in 0..200 {
        let scene::Scene { mut set_up, entries } = scene::scene(0..25).new_tree(&mut runner).unwrap().current();
        set_up.put(Thing::Neighbourhood(settings()), 1);
        set_up.put(Thing::Person(person()), 1);
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

#[tokio::test]
async fn a_backup_of_an_open_house_is_put_back_and_what_stood_there_is_set_aside() {
    let (store, folder) = store().await;
    let other = Folder::new();
    let file = other.path().join("copy.db");
    backup(folder.path(), &file, false).await.unwrap();
    assert!(matches!(backup(folder.path(), &file, false).await, Err(Failure::Exists(_))));
    store.append(super::note(keepwell::model::id::EntryId::fresh(), "after the copy")).await.unwrap();
    store.close().await;
    drop(store);
    assert!(matches!(restore(&file, folder.path(), false, then()).await, Err(Failure::Inhabited(_))));
    let restored = restore(&file, folder.path(), true, then()).await.unwrap();
    assert_eq!(restored.report.entries, 0);
    assert!(restored.aside.unwrap().join(FILE).is_file());
    assert_eq!(verify(folder.path()).await.unwrap().found(), Vec::<String>::new());
    for stranger in ["", "a shopping list, a shopping list, a shopping list"] {
        std::fs::write(&file, stranger).unwrap();
        let refused = restore(&file, folder.path(), true, then()).await.unwrap_err();
        assert!(matches!(refused, Failure::Foreign { .. }), "{refused}");
        assert!(folder.path().join(FILE).is_file(), "what is there stays");
    }
}
