//! What outages have taught is told once; whatever changes about them changes it.

use keepwell::model::entry::Act;
use keepwell::model::entry::void::Void;
use keepwell::model::id::OutageId;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::outage::Step;
use keepwell::model::setup::Thing;
use keepwell::picture::learned::Past;
use keepwell::picture::learned::learned;
use keepwell::service::App;
use keepwell_engine::quantity::as_litres;

use crate::harness::House;
use crate::pages::carries::two_counted;
use crate::pages::scene;

/// Litres a person a day by all that was told before, which must be what is told anew.
fn each(app: &App, past: &mut Past) -> Vec<f64> {
    let of = |past: &mut Past| -> Vec<f64> {
        let learned = learned(&app.picture(), app.now(), past).unwrap();
        learned.iter().map(|taught| as_litres(taught.learned.measured.unwrap().0)).collect()
    };
    let (kept, anew) = (of(past), of(&mut Past::default()));
    assert_eq!(kept.len(), anew.len());
    assert!(kept.iter().zip(&anew).all(|(kept, anew)| (kept - anew).abs() < 1e-9), "{kept:?}, anew {anew:?}");
    anew
}

#[tokio::test]
async fn what_is_told_of_an_outage_follows_what_is_said_of_it() {
    let house = House::open().await;
    let app = house.running.app();
    house.clock.set(scene::days_ago(40));
    let two = two_counted(app, false).await;
    house.clock.set(scene::now());
    let vessel = two.above;
    scene::log(app, None, Some(vessel), scene::days_ago(40), scene::filled(two.mains)).await;
    scene::log(app, None, Some(vessel), scene::days_ago(20), scene::counted(75.0)).await;
    scene::log(app, None, Some(vessel), scene::days_ago(10), scene::counted(0.0)).await;
    let outage = |from: i64, to: Option<i64>| Outage {
        id: OutageId::fresh(),
        kind: OutageKind::Real,
        since: scene::days_ago(from),
        ended: to.map(scene::days_ago),
        target_days: 14.0,
        rations: vec![Step { since: scene::days_ago(from), ration: "basic".to_owned() }],
        expected: None,
        ran_out: String::new(),
        notes: String::new(),
    };
    scene::keep(app, vec![Thing::Outage(outage(20, Some(10)))]).await;
    // Ten people used 1,500 L in ten days.
    let mut past = Past::default();
    assert!((each(app, &mut past)[0] - 15.0).abs() < 0.1);
    // What comes after it is no part of it.
    scene::log(app, None, Some(vessel), scene::days_ago(5), scene::filled(two.mains)).await;
    assert!((each(app, &mut past)[0] - 15.0).abs() < 0.1);
    // A fill told late, halfway through: up to the brim from the 750 L that were left then, and all of it used.
    scene::log(app, None, Some(vessel), scene::days_ago(15), scene::counted(37.5)).await;
    let late = scene::log(app, None, Some(vessel), scene::days_ago(14), scene::filled(two.mains)).await;
    let more = each(app, &mut past)[0];
    assert!(more > 20.0, "{more}");
    // It was a mistake.
    let mistaken = Act::Void(Void { entry: late, reason: "mistaken".to_owned() });
    scene::log(app, None, None, scene::now(), mistaken).await;
    assert!((each(app, &mut past)[0] - 15.0).abs() < 0.1);
    // Another goes on since four days: the tank was full, 1,500 L, and is at 1,200 a day ago.
    scene::keep(app, vec![Thing::Outage(outage(4, None))]).await;
    scene::log(app, None, Some(vessel), scene::days_ago(1), scene::counted(60.0)).await;
    let both = each(app, &mut past)[0];
    assert!(both < 15.0, "{both}");
    for hours in [1, 30] {
        house.clock.set(scene::now() + jiff::SignedDuration::from_hours(hours));
        each(app, &mut past);
    }
    house.close().await;
}
