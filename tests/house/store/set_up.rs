//! Changes of the set-up: on record, from a revision; people's passwords and sessions.

use std::sync::Arc;
use std::sync::Mutex;

use jiff::SignedDuration;
use keepwell::model::id::EntryId;
use keepwell::model::neighbourhood::Neighbourhood;
use keepwell::model::neighbourhood::Units;
use keepwell::model::power::Load;
use keepwell::model::setup::Thing;
use keepwell::model::site::Site;
use keepwell::store::Committed;
use keepwell::store::Error;

use super::note;
use super::person;
use super::store;
use super::then;
use crate::picture::scene;
use crate::picture::scene::id;

#[tokio::test]
async fn a_change_is_on_record_with_who_when_before_and_after() {
    let (store, _folder) = store().await;
    let found = store.reader().everything().await.unwrap();
    let site = scene::site(0);
    let began_from = found.set_up.sites[&site.id].revision;
    let later = then() + SignedDuration::from_mins(1);
    let mended = Thing::Site(Site { name: scene::name("Mended"), elevation_m: Some(0.1 + 0.2), ..site.clone() });
    let revisions = store.write(Some(person().id), later, vec![(mended.clone(), Some(began_from))]).await.unwrap();

    let record = store.changes(Some(site.id.uuid()), None, 9).await.unwrap();
    assert_eq!(record.len(), 2);
    let (last, first) = (&record[0], &record[1]);
    assert_eq!((last.seq, last.at, last.by, last.noun.as_str()), (revisions[0], later, Some(person().id), "site"));
    assert_eq!((first.seq, first.by, first.before.as_deref()), (began_from, None, None));
    assert_eq!(last.before, first.after);
    let after: Site = serde_json::from_str(last.after.as_deref().unwrap()).unwrap();
    assert_eq!(Thing::Site(after), mended);
    let now = store.reader().everything().await.unwrap();
    assert_eq!(now.set_up.find(&mended), Some((mended, revisions[0])));
    assert_eq!(now.change_seq, revisions[0]);
    assert_eq!(store.changes(None, None, 2).await.unwrap().len(), 2, "the newest of all, no more than asked for");
}

#[tokio::test]
async fn a_change_from_an_old_revision_changes_nothing() {
    let (store, _folder) = store().await;
    let before = store.reader().everything().await.unwrap();
    let site = scene::site(0);
    let renamed = |name: &str| Thing::Site(Site { name: scene::name(name), ..site.clone() });
    let other = Thing::Site(scene::site(2));
    for began_from in [None, Some(0), Some(before.change_seq + 1)] {
        // The first of the two would hold; it is not kept alone.
        let both = vec![(other.clone(), None), (renamed("lost"), began_from)];
        assert!(matches!(store.write(None, then(), both).await, Err(Error::Stale)), "{began_from:?}");
    }
    assert!(matches!(store.write(None, then(), vec![(other, Some(3))]).await, Err(Error::Stale)), "it is new");
    assert_eq!(store.reader().everything().await.unwrap().set_up, before.set_up);
    assert_eq!(store.changes(None, None, 99).await.unwrap().len(), usize::try_from(before.change_seq).unwrap());
}

#[tokio::test]
async fn set_up_and_entries_go_in_together_or_not_at_all() {
    let (store, _folder) = store().await;
    let before = store.reader().everything().await.unwrap();
    let load = Load {
        id: id(0),
        site: id(0),
        name: scene::name("Pump"),
        running_w: 750.5,
        surge_w: Some(2250.1),
        hours_a_day: 1.0 / 3.0,
        pump: true,
        ended: Some(then()),
    };
    let settings = Neighbourhood {
        name: scene::name("Alder Reach"),
        zone: "Europe/Dublin".to_owned(),
        units: Units::Us,
        language: "en".to_owned(),
        ration: "basic".to_owned(),
        target_days: 14.0,
        upkeep: keepwell::model::upkeep::Intervals::default(),
        sds_g: None,
        sd1_g: None,
        prices: keepwell::model::prices::Prices::default(),
    };
    let things = || {
        let kept = [
            Thing::Load(load.clone()),
            Thing::Battery(scene::battery(0)),
            Thing::Stage(scene::lamp(0)),
            Thing::Pump(scene::pump(0)),
            Thing::Neighbourhood(settings.clone()),
        ];
        kept.map(|thing| (thing, None)).to_vec()
    };
    let (one, two) = (note(EntryId::fresh(), "one"), note(EntryId::fresh(), "two"));
    let taken = note(one.id, "other content");
    let refused = store.write_all(None, then(), things(), vec![Arc::clone(&one), Arc::clone(&two), taken]).await;
    assert!(matches!(refused, Err(Error::IdTaken)), "{refused:?}");
    let now = store.reader().everything().await.unwrap();
    assert_eq!((now.set_up, now.entries.len()), (before.set_up, 0));

    store.write_all(None, then(), things(), vec![one, two]).await.unwrap();
    let now = store.reader().everything().await.unwrap();
    assert_eq!(now.entries.len(), 2);
    for (thing, _) in things() {
        assert_eq!(now.set_up.find(&thing).map(|found| found.0), Some(thing));
    }
}

#[tokio::test]
async fn whoever_listens_is_told_before_anyone_is_answered_even_if_they_leave() {
    let (store, _folder) = store().await;
    let told: Arc<Mutex<Vec<i64>>> = Arc::default();
    let telling = Arc::clone(&told);
    store
        .listen(move |everything| {
            assert_eq!(everything.change_seq, 4);
            move |committed: Committed<'_>| {
                telling.lock().unwrap().push(match committed {
                    Committed::Entries(_, seq) | Committed::SetUp(_, seq, _) | Committed::Removed(_, seq) => seq,
                });
            }
        })
        .await
        .unwrap();
    store.append(note(EntryId::fresh(), "one")).await.unwrap();
    assert_eq!(*told.lock().unwrap(), [1]);
    store.append_all(vec![note(EntryId::fresh(), "two"), note(EntryId::fresh(), "three")]).await.unwrap();
    assert_eq!(*told.lock().unwrap(), [1, 3]);
    // Asked, and gone before the answer: at every step of the way.
    for steps in 0..40 {
        let before = told.lock().unwrap().len();
        let change = store.write(None, then(), vec![(Thing::Site(scene::site(steps + 10)), None)]);
        let mut change = Box::pin(change);
        for _ in 0..=steps {
            if futures_poll(change.as_mut()).await {
                break;
            }
        }
        drop(change);
        // Whatever is under way holds the lock until it is done.
        store.append(note(EntryId::fresh(), "after")).await.unwrap();
        let kept = store.reader().everything().await.unwrap().set_up.sites.contains_key(&id(steps + 10));
        let now = told.lock().unwrap().len();
        assert_eq!(now - before, if kept { 2 } else { 1 }, "after {steps} steps: kept {kept}");
    }
}

/// One look at whether it is done, and a turn for the others.
async fn futures_poll<F: Future>(mut work: core::pin::Pin<&mut F>) -> bool {
    let done = core::future::poll_fn(|context| core::task::Poll::Ready(work.as_mut().poll(context).is_ready())).await;
    tokio::task::yield_now().await;
    done
}

#[tokio::test]
async fn passwords_and_sessions_come_and_go() {
    let (store, _folder) = store().await;
    let person = person();
    assert!(store.credentials("nobody").await.unwrap().is_none());
    let found = store.credentials("mAREN").await.unwrap().unwrap();
    assert_eq!((found.person, found.password), (person.id, None));

    let (token, other) = ([7; 32], [8; 32]);
    store.add_session(&token, person.id, then(), then()).await.unwrap();
    let later = then() + SignedDuration::from_hours(1);
    store.touch_session(&token, later).await.unwrap();
    let session = store.session(&token).await.unwrap().unwrap();
    assert_eq!((session.person, session.made, session.seen), (person.id, then(), later));
    assert!(store.session(&other).await.unwrap().is_none());
    // A new session sweeps out those not seen for long.
    let much_later = later + SignedDuration::from_hours(1);
    store.add_session(&other, person.id, much_later, much_later).await.unwrap();
    assert!(store.session(&token).await.unwrap().is_none());
    store.end_session(&other).await.unwrap();
    assert!(store.session(&other).await.unwrap().is_none());

    store.add_session(&token, person.id, then(), then()).await.unwrap();
    store.set_password(person.id, "$argon2id$").await.unwrap();
    assert!(store.session(&token).await.unwrap().is_none(), "a new password signs out everywhere");
    assert_eq!(store.credentials("Maren").await.unwrap().unwrap().password.as_deref(), Some("$argon2id$"));
}
