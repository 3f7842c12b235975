//! Neighbourhoods that are odd or empty: a right answer or a clear error, and never a figure without an end.

use keepwell::model::setup::Thing;
use keepwell::model::site::Site;
use keepwell::model::site::SiteKind;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::ShapeKind;
use keepwell::service::Caller;

use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::carries::carry;
use crate::pages::carries::two;
use crate::pages::scene;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

/// A page that answers, without a figure that is none.
async fn said(visitor: &Visitor, path: &str) -> String {
    let answer = visitor.get(path).await;
    let words = text(&answer.text);
    assert_eq!(answer.status, 200, "{path}: {words}");
    assert!(!words.split(' ').any(|word| ["inf", "NaN", "-0.0", "-inf"].contains(&word)), "{path}: {words}");
    words
}

#[tokio::test]
async fn what_lacks_people_water_or_a_generator_has_a_right_answer() {
    let house = House::open().await;
    let app = house.running.app();
    let two = two(app).await;
    let maren = signed_in(&house, two.maren).await;
    // Nobody; people and no store; a store and nobody; people and fuel, and nothing that burns it.
    let nobody = scene::site("Chapel", SiteKind::Hall, 0);
    let thirsty = scene::site("Encampment", SiteKind::Other, 30);
    let cistern = scene::site("Fire cistern", SiteKind::Other, 0);
    let fuelled = scene::site("Fuel shed", SiteKind::Other, 3);
    let sides = [("length_m", 2.0), ("width_m", 1.0), ("height_m", 1.0)];
    let tank = scene::vessel(&cistern, "Pit", ShapeKind::Box, &sides, &[(DrawWay::Dip, 0.0)]);
    let pit = tank.id;
    let [_, fuel] = &scene::generator(&fuelled, keepwell::model::power::Fuel::Petrol, 60.0)[..] else { panic!() };
    let ids = [nobody.id, thirsty.id, cistern.id, fuelled.id];
    let sites = [nobody, thirsty, cistern, fuelled].into_iter().map(Thing::Site);
    scene::keep(app, sites.chain([Thing::Vessel(tank), fuel.clone()]).collect()).await;
    scene::log(app, None, Some(pit), scene::days_ago(3), scene::filled(two.mains)).await;
    for (id, words) in ids.iter().zip([
        "Nobody draws here",
        "It has no store of its own.",
        "Nobody draws here",
        "It has no store of its own.",
    ]) {
        let page = said(&maren, &format!("/sites/{id}")).await;
        assert!(page.contains(words), "{words}: {page}");
    }
    for path in ["/", "/sites", "/carries", "/forecast", "/working/pooled", "/?target=1000", "/?heat=700"] {
        said(&maren, path).await;
    }
    // Ten thousand more at a chapel that stores nothing.
    let crowded = said(&maren, &format!("/?guests=10000&at={}", ids[0])).await;
    assert!(crowded.contains("The first person goes without now"), "{crowded}");
    house.close().await;
}

#[tokio::test]
async fn carries_in_a_ring_carry_nothing_round_and_round() {
    let house = House::open().await;
    let app = house.running.app();
    let two = two(app).await;
    let maren = signed_in(&house, two.maren).await;
    let before = said(&maren, "/carries").await;
    // Two houses with the same store and the same people, each to give the other what it has.
    let sites = ["Left House", "Right House"].map(|called| scene::site(called, SiteKind::Household, 4));
    let [left, right] = [&sites[0], &sites[1]].map(|site| {
        scene::vessel(site, "Cans", ShapeKind::Set, &[("count", 10.0), ("litres_each", 20.0)], &[(DrawWay::Dip, 0.0)])
    });
    let [from, to] = [sites[0].id, sites[1].id];
    let vessels = [left.id, right.id];
    let things = sites.into_iter().map(Thing::Site).chain([left, right].map(Thing::Vessel));
    let ring = [carry(from, to, 40.0), carry(to, from, 40.0)].map(Thing::Carry);
    scene::keep(app, things.chain(ring).collect()).await;
    for vessel in vessels {
        scene::log(app, None, Some(vessel), scene::days_ago(3), scene::filled(two.mains)).await;
        scene::log(app, None, Some(vessel), scene::days_ago(3), scene::counted(10.0)).await;
    }
    let after = said(&maren, "/carries").await;
    assert!(before != after && after.contains("Left House → Right House"), "{after}");
    // 200 L at 60 a day, with or without.
    for called in ["Left House", "Right House"] {
        assert!(after.contains(&format!("{called} 3.3 3.3")), "{called}: {after}");
    }
    house.close().await;
}

#[tokio::test]
async fn what_is_below_nothing_or_beyond_all_is_refused_by_its_name() {
    let house = House::open().await;
    let app = house.running.app();
    let two = two(app).await;
    let maren = signed_in(&house, two.maren).await;
    let kept = app.picture().set_up.sites[&two.upper].clone();
    let site = Site { keep_l: -1.0, ..Site::clone(&kept.thing) };
    let refused = app.keep(&Caller::House, Thing::Site(site), Some(kept.revision)).await.unwrap_err();
    assert!(format!("{refused:?}").contains("\"keep_l\""), "{refused:?}");
    for (asked, status) in [("/?ration=zero", 422), ("/?ration=0", 422), ("/?target=100000", 422), ("/?heat=-1", 422)] {
        let answer = maren.get(asked).await;
        assert_eq!(answer.status, status, "{asked}: {}", text(&answer.text));
    }
    house.close().await;
}
