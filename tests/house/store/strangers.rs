//! Files that are not ours, or newer than we are: left alone and refused in words. And the file looked at from another
//! process while the house is open.

use std::process::Command;
use std::process::Output;

use keepwell::store::Error;
use keepwell::store::FILE;
use keepwell::store::Reader;
use keepwell::store::Store;

use super::by_hand;
use super::note;
use super::store;
use crate::harness::Folder;
use crate::harness::House;

fn verify(folder: &Folder) -> Output {
    let program = env!("CARGO_BIN_EXE_keepwell");
    Command::new(program).args(["verify", "--data"]).arg(folder.path()).output().unwrap()
}

#[tokio::test]
async fn another_programs_file_is_left_alone() {
    let folder = Folder::new();
    by_hand(&folder).execute_batch("CREATE TABLE theirs (a); INSERT INTO theirs VALUES (1);").unwrap();
    let refused = Store::open(folder.path()).await.unwrap_err();
    assert!(matches!(refused, Error::Foreign) && refused.to_string().contains("not keepwell's"), "{refused}");
    assert!(matches!(Reader::open(folder.path()).await, Err(Error::Foreign)));
    let tables: i64 = by_hand(&folder).query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0)).unwrap();
    assert_eq!(tables, 1, "nothing was added");

    std::fs::write(folder.path().join(FILE), "a shopping list, ".repeat(999)).unwrap();
    assert!(Store::open(folder.path()).await.is_err());
    assert!(std::fs::read_to_string(folder.path().join(FILE)).unwrap().starts_with("a shopping list"));
}

#[tokio::test]
async fn a_newer_file_is_refused_in_words() {
    let (store, folder) = store().await;
    store.close().await;
    let newer = "INSERT INTO _sqlx_migrations SELECT 9999, 'later', installed_on, success, checksum, execution_time
                 FROM _sqlx_migrations LIMIT 1";
    by_hand(&folder).execute(newer, []).unwrap();
    let refused = Store::open(folder.path()).await.unwrap_err();
    assert!(matches!(refused, Error::Newer(9999)), "{refused}");
    assert!(refused.to_string().contains("made by a newer keepwell"), "{refused}");
}

#[tokio::test]
async fn a_folder_without_a_file_cannot_be_verified() {
    let folder = Folder::new();
    let answer = verify(&folder);
    assert!(!answer.status.success());
    assert!(!folder.path().join(FILE).exists(), "looking makes nothing");
}

#[tokio::test]
async fn verify_looks_from_another_process_while_the_house_is_open() {
    let (store, folder) = store().await;
    store.append(note(keepwell::model::id::EntryId::fresh(), "seen")).await.unwrap();
    store.close().await;
    drop(store);
    let house = House::open_in(folder).await;
    let answer = verify(&house.folder);
    let said = String::from_utf8(answer.stdout).unwrap();
    assert!(answer.status.success(), "{said} {}", String::from_utf8_lossy(&answer.stderr));
    assert!(said.starts_with("1 sites, 1 vessels, 1 entries"), "{said}");
    house.close().await;
}

#[tokio::test]
async fn verify_finds_what_was_altered_behind_our_back() {
    let faults = [
        ("DROP TRIGGER entries_stay; UPDATE entries SET fields = '{\"text\":\"unseen\"}'", "is not as it was logged"),
        ("DROP TRIGGER entries_stay; UPDATE entries SET at_us = at_us + 1", "is not as it was logged"),
        ("PRAGMA foreign_keys = OFF; DELETE FROM sites", "refer to something that is not there"),
    ];
    for (fault, words) in faults {
        let (store, folder) = store().await;
        store.append(note(keepwell::model::id::EntryId::fresh(), "seen")).await.unwrap();
        store.close().await;
        assert!(verify(&folder).status.success());
        by_hand(&folder).execute_batch(fault).unwrap();
        let answer = verify(&folder);
        let said = String::from_utf8(answer.stdout).unwrap();
        assert!(!answer.status.success() && said.contains(words), "{fault}: {said}");
    }
}
