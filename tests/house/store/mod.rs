//! The store against the migrated schema: what goes in comes out, what must not happen does not.

mod backup;
mod disk;
mod kill;
mod ledger;
mod outages;
pub mod records;
mod set_up;
mod strangers;

use std::sync::Arc;

use jiff::Timestamp;
use keepwell::model::entry::Act;
use keepwell::model::entry::Entry;
use keepwell::model::entry::note::Note;
use keepwell::model::id::EntryId;
use keepwell::model::person::Person;
use keepwell::model::person::Role;
use keepwell::model::setup::Thing;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::SourceKind;
use keepwell::store::FILE;
use keepwell::store::Store;

use crate::harness::Folder;
use crate::harness::THEN;
use crate::picture::scene;
use crate::picture::scene::id;

fn then() -> Timestamp {
    THEN.parse().unwrap()
}

fn person() -> Person {
    Person { id: id(0), name: scene::name("Maren"), role: Role::Coordinator, sites: vec![id(0)], ended: None }
}

/// A store with one site, its supply and one vessel.
async fn store() -> (Store, Folder) {
    let folder = Folder::new();
    let store = Store::open(folder.path()).await.unwrap();
    let things = vec![
        Thing::Person(person()),
        Thing::Source(scene::source(0, SourceKind::Mains, Disinfectant::FreeChlorine)),
        Thing::Site(scene::site(0)),
        Thing::Vessel(keepwell::model::vessel::Vessel {
            bank: None,
            source: None,
            ..scene::vessel(0, (0, 0, 1, 0, 0))
        }),
    ];
    store.write(None, then(), things.into_iter().map(|thing| (thing, None)).collect()).await.unwrap();
    (store, folder)
}

fn note(id: EntryId, text: &str) -> Arc<Entry> {
    let act = Act::Note(Note { text: text.to_owned() });
    Arc::new(Entry { id, site: Some(scene::id(0)), vessel: None, at: then(), arrived: then(), by: None, act })
}

/// The file, opened by someone who does not come through the store.
fn by_hand(folder: &Folder) -> rusqlite::Connection {
    rusqlite::Connection::open(folder.path().join(FILE)).unwrap()
}
