//! Outages in the store: kept and read back alike, and never two that are on.

use jiff::SignedDuration;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::outage::Step;
use keepwell::model::setup::Thing;
use keepwell::store::Error;

use crate::picture::scene::id;
use crate::store::store;
use crate::store::then;

fn outage(number: usize) -> Outage {
    let step =
        |hours, ration: &str| Step { since: then() + SignedDuration::from_hours(hours), ration: ration.to_owned() };
    Outage {
        id: id(number),
        kind: OutageKind::Drill,
        since: then(),
        ended: None,
        target_days: 1.0 / 3.0,
        rations: vec![step(0, "basic"), step(7, "lean")],
        expected: Some(then() + SignedDuration::from_hours(30)),
        ran_out: "fuel, at the <hall>".to_owned(),
        notes: "a \"note\"".to_owned(),
    }
}

#[tokio::test]
async fn an_outage_comes_back_as_it_was_kept() {
    let (store, _folder) = store().await;
    let first = outage(70);
    let begun = store.write(None, then(), vec![(Thing::Outage(first.clone()), None)]).await.unwrap();
    let ended = Outage { ended: Some(then() + SignedDuration::from_hours(9)), kind: OutageKind::Real, ..first };
    store.write(None, then(), vec![(Thing::Outage(ended.clone()), Some(begun[0]))]).await.unwrap();
    let set_up = store.reader().everything().await.unwrap().set_up;
    assert_eq!(*set_up.outages[&ended.id].thing, ended);
    assert!(set_up.outage().is_none());
}

#[tokio::test]
async fn a_second_that_is_on_is_refused_by_the_file_itself() {
    let (store, _folder) = store().await;
    store.write(None, then(), vec![(Thing::Outage(outage(70)), None)]).await.unwrap();
    let second = store.write(None, then(), vec![(Thing::Outage(outage(71)), None)]).await;
    assert!(matches!(second, Err(Error::Stale)), "{second:?}");
    let set_up = store.reader().everything().await.unwrap().set_up;
    assert_eq!(set_up.outages.len(), 1, "nothing half");
    assert_eq!(set_up.outage().map(|kept| kept.thing.id), Some(id(70)));
}
