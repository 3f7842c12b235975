//! Entries: stored once, never changed, back bit for bit.

use std::collections::HashSet;
use std::sync::Arc;

use keepwell::model::choice::Choice;
use keepwell::model::entry::Act;
use keepwell::model::entry::Entry;
use keepwell::model::entry::Kind;
use keepwell::model::entry::reading::Method;
use keepwell::model::entry::reading::Reading;
use keepwell::model::id::EntryId;
use keepwell::model::id::SiteId;
use keepwell::model::setup::Thing;
use keepwell::model::site::Site;
use keepwell::model::site::SiteKind;
use keepwell::store::Error;
use keepwell::store::Store;
use keepwell::store::Stored;
use proptest::strategy::Strategy;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::by_hand;
use super::note;
use super::store;
use super::then;
use crate::harness::Folder;
use crate::pages;
use crate::picture::scene;

#[tokio::test]
async fn every_kind_of_entry_and_thing_comes_back_as_it_was() {
    let folder = Folder::new();
    let store = Store::open(folder.path()).await.unwrap();
    let mut runner = TestRunner::deterministic();
    let mut made = core::iter::repeat_with(|| scene::scene(900..901).new_tree(&mut runner).unwrap().current());
    // Water is moved between vessels only where there are several.
    let scene = made.find(|scene| scene.set_up.vessels.len() > 4).unwrap();
    let set_up = &scene.set_up;
    // In the order in which one may name the other.
    let mut things: Vec<Thing> = set_up.sources.values().map(|kept| Thing::Source((*kept.thing).clone())).collect();
    things.extend(set_up.sites.values().map(|kept| Thing::Site((*kept.thing).clone())));
    things.extend(set_up.banks.values().map(|kept| Thing::Bank((*kept.thing).clone())));
    things.extend(set_up.vessels.values().map(|kept| Thing::Vessel((*kept.thing).clone())));
    things.extend(set_up.fuel_stores.values().map(|kept| Thing::FuelStore((*kept.thing).clone())));
    things.extend(set_up.generators.values().map(|kept| Thing::Generator((*kept.thing).clone())));
    store.write(None, then(), things.iter().map(|thing| (thing.clone(), None)).collect()).await.unwrap();
    let kinds: HashSet<Kind> = scene.entries.iter().map(|entry| entry.act.kind()).collect();
    assert_eq!(kinds.len(), Kind::LIST.len(), "every kind is tried");
    store.append_all(scene.entries.clone()).await.unwrap();

    let back = store.reader().everything().await.unwrap();
    assert_eq!(back.entries, scene.entries);
    for thing in &things {
        assert_eq!(back.set_up.find(thing).map(|found| found.0).as_ref(), Some(thing));
    }
    for (there, sent) in back.entries.iter().zip(&scene.entries) {
        assert_eq!(there.hash().unwrap(), sent.hash().unwrap());
    }
    store.close().await;
}

#[tokio::test]
async fn figures_come_back_bit_for_bit() {
    let (store, _folder) = store().await;
    let mut runner = TestRunner::deterministic();
    let any = proptest::num::f64::POSITIVE | proptest::num::f64::NORMAL | proptest::num::f64::SUBNORMAL;
    let figures: Vec<f64> = (0..3000)
        .map(|n| {
            let figure = any.new_tree(&mut runner).unwrap().current();
            if n % 2 == 0 { figure } else { f64::from(n) * 0.1 + 1.0 / 3.0 }
        })
        .collect();
    let read = |figure: f64| Reading {
        method: Method::Meter,
        depth_m: None,
        from: None,
        part: None,
        litres: Some(figure),
        meter_l: None,
        full: None,
        lot: None,
        note: None,
    };
    let entries: Vec<Arc<Entry>> = figures
        .iter()
        .map(|figure| {
            let (site, vessel) = (Some(scene::id(0)), Some(scene::id(0)));
            let act = Act::Reading(read(*figure));
            Arc::new(Entry { id: EntryId::fresh(), site, vessel, at: then(), arrived: then(), by: None, act })
        })
        .collect();
    store.append_all(entries).await.unwrap();
    let back = store.reader().everything().await.unwrap().entries;
    assert_eq!(back.len(), figures.len());
    for (entry, figure) in back.iter().zip(figures) {
        let Act::Reading(reading) = &entry.act else { panic!("{:?}", entry.act) };
        assert_eq!(reading.litres.unwrap().to_bits(), figure.to_bits(), "{figure:e}");
    }
}

#[tokio::test]
async fn what_a_person_wrote_comes_back_as_it_was() {
    let (store, _folder) = store().await;
    let texts = [
        "it's \"full\" <b>\\ %s; DROP TABLE entries;--",
        "\u{1f6b0} \u{5de}\u{5d9}\u{5dd} \u{202e}x",
        "a\u{0}b\n\t",
        "",
    ];
    let sent: Vec<_> = texts.iter().map(|text| note(EntryId::fresh(), text)).collect();
    for entry in &sent {
        assert_eq!(store.append(Arc::clone(entry)).await.unwrap(), Stored::New);
    }
    assert_eq!(store.reader().everything().await.unwrap().entries, sent);
}

#[tokio::test]
async fn the_same_entry_ten_times_at_once_is_stored_once() {
    let (store, _folder) = store().await;
    let entry = note(EntryId::fresh(), "seen");
    let ten = (0..10).map(|_| {
        let (store, entry) = (store.clone(), Arc::clone(&entry));
        tokio::spawn(async move { store.append(entry).await })
    });
    let mut answers = Vec::new();
    for one in ten.collect::<Vec<_>>() {
        answers.push(one.await.unwrap().unwrap());
    }
    assert_eq!(answers.iter().filter(|answer| **answer == Stored::New).count(), 1, "{answers:?}");
    assert_eq!(store.append(Arc::clone(&entry)).await.unwrap(), Stored::Again);
    assert_eq!(store.append_all(vec![Arc::clone(&entry)]).await.unwrap(), [Stored::Again]);
    assert_eq!(store.reader().everything().await.unwrap().entries, [entry]);
}

#[tokio::test]
async fn the_same_id_with_other_content_is_refused() {
    let (store, _folder) = store().await;
    let (id, other) = (EntryId::fresh(), EntryId::fresh());
    // Within one group: one thread, so that all three wait before the first is stored.
    let sent = [note(id, "one"), note(id, "two"), note(other, "three")];
    let waiting = sent.clone().map(|entry| {
        let store = store.clone();
        tokio::spawn(async move { store.append(entry).await })
    });
    let mut answers = Vec::new();
    for one in waiting {
        answers.push(one.await.unwrap());
    }
    assert!(matches!(answers[0], Ok(Stored::New)), "{answers:?}");
    assert!(matches!(answers[1], Err(Error::IdTaken)), "{answers:?}");
    assert!(matches!(answers[2], Ok(Stored::New)), "{answers:?}");
    assert!(matches!(store.append(note(id, "later")).await, Err(Error::IdTaken)));
    assert_eq!(store.reader().everything().await.unwrap().entries, [Arc::clone(&sent[0]), Arc::clone(&sent[2])]);
}

#[tokio::test]
async fn one_bad_entry_takes_no_other_down() {
    let (store, _folder) = store().await;
    // It names a site that is not there, which is refused before it comes so far; the schema refuses it, too.
    let bad = Entry { site: Some(scene::id(77)), ..Entry::clone(&note(EntryId::fresh(), "bad")) };
    let sent = [note(EntryId::fresh(), "one"), Arc::new(bad), note(EntryId::fresh(), "two")];
    let waiting = sent.clone().map(|entry| {
        let store = store.clone();
        tokio::spawn(async move { store.append(entry).await })
    });
    let mut answers = Vec::new();
    for one in waiting {
        answers.push(one.await.unwrap());
    }
    assert!(matches!((&answers[0], &answers[2]), (Ok(Stored::New), Ok(Stored::New))), "{answers:?}");
    assert!(answers[1].as_ref().unwrap_err().to_string().contains("FOREIGN KEY"), "{answers:?}");
    assert_eq!(store.reader().everything().await.unwrap().entries.len(), 2);
}

#[tokio::test]
async fn many_are_stored_all_or_none() {
    let (store, _folder) = store().await;
    let first = note(EntryId::fresh(), "first");
    store.append(Arc::clone(&first)).await.unwrap();
    // More than one statement takes, and the last of them does not hold.
    let mut many: Vec<_> = (0..1500).map(|n| note(EntryId::fresh(), &n.to_string())).collect();
    many.push(note(first.id, "other content"));
    assert!(matches!(store.append_all(many.clone()).await, Err(Error::IdTaken)));
    assert_eq!(store.reader().everything().await.unwrap().entries.len(), 1);
    many.pop();
    assert_eq!(store.append_all(many).await.unwrap().len(), 1500);
    assert_eq!(store.reader().everything().await.unwrap().entries.len(), 1501);
}

#[tokio::test]
async fn the_ledger_and_the_record_are_never_altered_or_cut() {
    let (store, folder) = store().await;
    store.append(note(EntryId::fresh(), "seen")).await.unwrap();
    let file = by_hand(&folder);
    for (statement, why) in [
        ("UPDATE entries SET at_us = 0", "the ledger is never altered"),
        ("UPDATE entries SET fields = '{}' WHERE seq = 1", "the ledger is never altered"),
        ("DELETE FROM entries", "the ledger is never cut"),
        ("UPDATE changes SET after = NULL", "the record of changes is never altered"),
        ("DELETE FROM changes WHERE seq = 1", "the record of changes is never cut"),
    ] {
        let refused = file.execute(statement, []).unwrap_err().to_string();
        assert!(refused.contains(why), "{statement}: {refused}");
    }
    assert_eq!(store.reader().everything().await.unwrap().entries.len(), 1);
}

#[tokio::test]
async fn the_newest_entries_come_first_and_page_by_page() {
    let (store, _folder) = store().await;
    let sent: Vec<Arc<Entry>> = (0..5_i64)
        .map(|n| {
            let at = then() + jiff::SignedDuration::from_mins(n);
            let vessel = (n == 3).then(|| scene::id(0));
            Arc::new(Entry { at, vessel, ..Entry::clone(&note(EntryId::fresh(), "seen")) })
        })
        .collect();
    for entry in &sent {
        store.append(Arc::clone(entry)).await.unwrap();
    }
    let some = |places: &[usize]| places.iter().map(|place| Arc::clone(&sent[*place])).collect::<Vec<_>>();
    let page = store.entries_page(Some(scene::id(0)), None, None, 3).await.unwrap();
    assert_eq!(page, some(&[4, 3, 2]));
    assert_eq!(store.entries_page(None, None, Some(sent[2].id), 9).await.unwrap(), some(&[1, 0]));
    assert_eq!(store.entries_page(None, Some(scene::id(0)), None, 9).await.unwrap(), some(&[3]));
    assert!(store.entries_page(Some(scene::id(9)), None, None, 9).await.unwrap().is_empty());
}

#[tokio::test]
async fn an_id_of_noughts_is_an_id_like_any_other() {
    let (store, _folder) = store().await;
    let nil = SiteId::from_uuid(uuid::Uuid::nil());
    let site = Site { id: nil, ..pages::scene::site("Noughts", SiteKind::Household, 2) };
    store.write(None, then(), vec![(Thing::Site(site), None)]).await.unwrap();
    let at = |site, text: &str| Arc::new(Entry { site, ..Entry::clone(&note(EntryId::fresh(), text)) });
    let sent = vec![at(Some(nil), "there"), at(None, "nowhere")];
    store.append_all(sent.clone()).await.unwrap();
    assert_eq!(store.reader().everything().await.unwrap().entries, sent);
    store.close().await;
}
