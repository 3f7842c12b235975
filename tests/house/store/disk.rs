//! A disk that fills up: said in words, nothing that was acknowledged is lost, reading goes on, and writing too once
//! there is room.

use std::process::Command;
use std::sync::Arc;

use keepwell::model::id::EntryId;
use keepwell::service::verify::verify;
use keepwell::store::Error;
use keepwell::store::Store;
use keepwell::store::Stored;

use super::note;
use super::then;
use crate::harness::Folder;
use crate::picture::scene;

/// A disk of its own in memory, as large as is said; none where mounting is not ours to do.
struct Disk(Folder);

impl Disk {
    fn mount(size: &str) -> Option<Self> {
        let folder = Folder::new();
        let options = format!("size={size}");
        let mut mount = Command::new("mount");
        mount.args(["-t", "tmpfs", "-o", &options, "tmpfs"]).arg(folder.path());
        mount.output().is_ok_and(|done| done.status.success()).then_some(Self(folder))
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
    let Some(disk) = Disk::mount("4m") else {
        // Told, never failed: only root may mount a disk.
        std::io::Write::write_all(&mut std::io::stderr(), b"Left out: a full disk (needs root)\n").unwrap();
        return;
    };
    let store = Store::open(disk.0.path()).await.unwrap();
    store.write(None, then(), vec![(keepwell::model::setup::Thing::Site(scene::site(0)), None)]).await.unwrap();
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
    let site = vec![(keepwell::model::setup::Thing::Site(scene::site(1)), None)];
    let _ = store.write(None, then(), site.clone()).await;
    assert_eq!(store.reader().everything().await.unwrap().entries, acknowledged);

    disk.resize("16m");
    let later = note(EntryId::fresh(), "there is room again");
    assert_eq!(store.append(Arc::clone(&later)).await.unwrap(), Stored::New);
    acknowledged.push(later);
    store.close().await;
    drop(store);
    let report = verify(disk.0.path()).await.unwrap();
    assert_eq!((report.entries, report.found()), (acknowledged.len(), Vec::new()));
    let store = Store::open(disk.0.path()).await.unwrap();
    assert_eq!(store.reader().everything().await.unwrap().entries, acknowledged);
    store.close().await;
}
