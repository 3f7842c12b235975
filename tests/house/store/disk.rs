//! A disk that fills up: said in words, nothing that was acknowledged is lost, reading goes on, and writing too once
//! there is room.

use std::process::Command;
use std::sync::Arc;

use keepwell::app;
use keepwell::clock::Clock;
use keepwell::model::entry::Act;
use keepwell::model::entry::note::Note;
use keepwell::model::id::EntryId;
use keepwell::model::id::SiteId;
use keepwell::model::setup::Thing;
use keepwell::service;
use keepwell::service::Caller;
use keepwell::service::backup::Failure;
use keepwell::service::backup::backup;
use keepwell::service::backup::restore;
use keepwell::service::entries::New;
use keepwell::service::sign_in::Purpose;
use keepwell::service::verify::verify;
use keepwell::store::Error;
use keepwell::store::Store;
use keepwell::store::Stored;

use super::note;
use super::then;
use crate::harness::Folder;
use crate::harness::Visitor;
use crate::harness::serve_in;
use crate::pages::sign_in;
use crate::picture::scene;

/// A disk of its own in memory, as large as is said; none where mounting is not ours to do.
struct Disk(Folder);

impl Disk {
    fn mount(size: &str) -> Option<Self> {
        let folder = Folder::new();
        let options = format!("size={size}");
        let mut mount = Command::new("mount");
        mount.args(["-t", "tmpfs", "-o", &options, "tmpfs"]).arg(folder.path());
        let disk = mount.output().is_ok_and(|done| done.status.success()).then_some(Self(folder));
        if disk.is_none() {
            // Told, never failed: only root may mount a disk.
            std::io::Write::write_all(&mut std::io::stderr(), b"Left out: a full disk (needs root)\n").unwrap();
        }
        disk
    }

    fn resize(&self, size: &str) {
        let option = format!("remount,size={size}");
        let done = Command::new("mount").args(["-o", &option]).arg(self.0.path()).status().unwrap();
        assert!(done.success());
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let done = Command::new("umount").arg("--lazy").arg(self.0.path()).status().unwrap();
        assert!(done.success());
    }
}

#[tokio::test]
async fn a_full_disk_loses_nothing_that_was_acknowledged() {
    let Some(disk) = Disk::mount("4m") else { return };
    let store = Store::open(disk.0.path()).await.unwrap();
    store.write(None, then(), vec![(Thing::Site(scene::site(0)), None)]).await.unwrap();
    let mut acknowledged = Vec::new();
    let refused = loop {
        assert!(acknowledged.len() < 5000, "the disk does not fill");
        let entry = note(EntryId::fresh(), &"seen ".repeat(200));
        match store.append(Arc::clone(&entry)).await {
            Ok(stored) => {
                assert_eq!(stored, Stored::New);
                acknowledged.push(entry);
            }
            Err(error) => break error,
        }
    };
    assert!(matches!(refused, Error::Full), "{refused:?}");
    assert!(acknowledged.len() > 100, "{}", acknowledged.len());
    let many = (0..500).map(|n| note(EntryId::fresh(), &n.to_string().repeat(100))).collect();
    assert!(matches!(store.append_all(many).await, Err(Error::Full)));
    let site = vec![(Thing::Site(scene::site(1)), None)];
    assert!(matches!(store.write(None, then(), site.clone()).await, Err(Error::Full)));
    assert_eq!(store.reader().everything().await.unwrap().entries, acknowledged);

    disk.resize("16m");
    let later = note(EntryId::fresh(), "there is room again");
    assert_eq!(store.append(Arc::clone(&later)).await.unwrap(), Stored::New);
    acknowledged.push(later);
    // What takes several statements begins a transaction, as the refused one did.
    store.write(None, then(), site).await.unwrap();
    store.close().await;
    drop(store);
    let report = verify(disk.0.path()).await.unwrap();
    assert_eq!((report.entries, report.found()), (acknowledged.len(), Vec::new()));
    let store = Store::open(disk.0.path()).await.unwrap();
    assert_eq!(store.reader().everything().await.unwrap().entries, acknowledged);
    store.close().await;
}

const WORDS: &str = "The disk is full.";

/// The copy that the browser holds from before does not stand in for the page that says so, nor the other way round.
#[tokio::test]
async fn every_page_says_that_the_disk_is_full_until_there_is_room() {
    let Some(disk) = Disk::mount("4m") else { return };
    let running = app::start(&serve_in(disk.0.path()), Clock::standing_at(then())).await.unwrap();
    let (app, visitor) = (running.app().clone(), Visitor::of(&running.url()));
    let begin = app.one_time(Purpose::SetUp).unwrap();
    assert_eq!(visitor.post(&format!("/begin/{begin}"), &sign_in::FIRST).await.status, 303);
    app.keep_all(&Caller::House, vec![(Thing::Site(scene::site(0)), None)]).await.unwrap();
    let before = visitor.get("/").await;
    assert!(before.status == 200 && !before.text.contains(WORDS));
    let tag = before.header("etag").to_owned();
    let again = async || visitor.get_with("/", &[("if-none-match", &tag)]).await;
    assert_eq!(again().await.status, 304);

    let log = async |text: String| {
        let act = Act::Note(Note { text });
        let new = New { id: EntryId::fresh(), site: Some(scene::id(0)), vessel: None, at: then(), act };
        app.log(&Caller::House, new).await
    };
    let mut acknowledged = 0;
    let refused = loop {
        assert!(acknowledged < 5000, "the disk does not fill");
        match log("seen ".repeat(200)).await {
            Ok(_) => acknowledged += 1,
            Err(error) => break error,
        }
    };
    assert!(matches!(refused, service::Error::Full), "{refused:?}");
    // A short entry may still find room where a long one did not; the last of it goes to a file of another's.
    std::fs::write(disk.0.path().join("photographs"), vec![0; 8 << 20]).unwrap_err();
    while log("x".repeat(1000)).await.is_ok() {
        acknowledged += 1;
    }

    let full = again().await;
    assert!(full.status == 200 && full.text.contains(WORDS), "{}", full.text);
    let then_on = full.header("etag").to_owned();
    assert_ne!(then_on, tag);
    for page in ["/sites", "/upkeep", "/data", "/people", "/entries", "/data/verify", "/nowhere", "/api"] {
        let answer = visitor.get(page).await;
        assert!(answer.status < 500 && answer.text.contains(WORDS), "{page}: {} {}", answer.status, answer.text);
    }
    let site: SiteId = scene::id(0);
    let (id, form) = (EntryId::fresh().to_string(), format!("/log/sites/{site}/note"));
    let drawn = visitor.get(&form).await;
    assert!(drawn.status == 200 && drawn.text.contains(WORDS));
    let text = "y".repeat(1500);
    for _ in 0..3 {
        let posted = visitor.post(&form, &[("id", &id), ("text", &text), ("when", "now")]).await;
        assert!(posted.status == 507 && posted.text.contains(WORDS), "{} {}", posted.status, posted.text);
    }
    let backup = visitor.get("/data/backup").await;
    assert_eq!(backup.status, 507, "{}", backup.text);
    let exported = visitor.get("/data/export/entries.csv").await;
    assert_eq!((exported.status, exported.text.lines().count()), (200, acknowledged + 1), "taking away needs no room");
    let parts = std::fs::read_dir(disk.0.path()).unwrap().map(|file| file.unwrap().file_name().into_string().unwrap());
    assert_eq!(parts.filter(|name| name.contains("part-")).count(), 0, "half a copy is none");

    disk.resize("32m");
    // A page tries whether there is room, at most every two seconds.
    tokio::time::sleep(std::time::Duration::from_millis(2100)).await;
    let room = visitor.get_with("/", &[("if-none-match", &then_on)]).await;
    assert!(room.status == 200 && !room.text.contains(WORDS), "{}", room.text);
    assert_eq!(visitor.post(&form, &[("id", &id), ("text", &text), ("when", "now")]).await.status, 303);
    assert_eq!(visitor.get("/data/backup").await.status, 200);
    running.stop().await.unwrap();
    let report = verify(disk.0.path()).await.unwrap();
    assert_eq!((report.entries, report.found()), (acknowledged + 1, Vec::new()));
}

/// Nor does a restore.
#[tokio::test]
async fn a_backup_for_which_there_is_no_room_leaves_nothing() {
    let Some(disk) = Disk::mount("1m") else { return };
    let (store, folder) = super::store().await;
    for n in 0..2 {
        let many = (0..500).map(|_| note(EntryId::fresh(), &n.to_string().repeat(900))).collect();
        store.append_all(many).await.unwrap();
    }
    let file = disk.0.path().join("copy.db");
    let told = backup(folder.path(), &file, false).await.unwrap_err();
    assert!(matches!(told, Failure::Full(_)), "{told:?}");
    assert_eq!(std::fs::read_dir(disk.0.path()).unwrap().count(), 0);
    let other = Folder::new();
    let file = other.path().join("copy.db");
    backup(folder.path(), &file, false).await.unwrap();
    let told = restore(&file, disk.0.path(), false, then()).await.unwrap_err();
    assert!(matches!(told, Failure::Full(_)), "{told:?}");
    assert_eq!(std::fs::read_dir(disk.0.path()).unwrap().count(), 0);
    store.close().await;
}
