//! What one loss would do, and what would hurt less then, by hand: in the list, in the address and done.

use keepwell::model::entry::Act;
use keepwell::model::entry::coupling::Coupled;
use keepwell::model::entry::coupling::Coupling;
use keepwell::model::entry::discard::Discard;
use keepwell::model::entry::discard::HowFar;
use keepwell::model::entry::fill::Fill;
use keepwell::model::entry::transfer::Transfer;
use keepwell::model::id::BankId;
use keepwell::model::id::PersonId;
use keepwell::model::id::SiteId;
use keepwell::model::id::SourceId;
use keepwell::model::id::VesselId;
use keepwell::model::person::Role;
use keepwell::model::power::Fuel;
use keepwell::model::setup::Thing;
use keepwell::model::site::SiteKind;
use keepwell::model::source::Source;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::Bank;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::StandsOn;
use keepwell::model::vessel::Vessel;
use keepwell::picture::losses;
use keepwell::picture::losses::Loss;
use keepwell::picture::losses::Lost;
use keepwell::picture::moves::What;
use keepwell::picture::suppose::Suppose;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;

use crate::harness::House;
use crate::pages::scene;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

struct Frail {
    mill: SiteId,
    flat: SiteId,
    rise: SiteId,
    left: VesselId,
    tall: VesselId,
    mains: SourceId,
    well: SourceId,
    maren: PersonId,
}

const GRAVITY: &[(DrawWay, f64)] = &[(DrawWay::Gravity, 0.0)];
const PUMP_AND_DIP: &[(DrawWay, f64)] = &[(DrawWay::Pump, 0.0), (DrawWay::Dip, 1.0)];

fn well() -> Source {
    Source { id: SourceId::fresh(), name: scene::name("Well"), kind: SourceKind::TestedWell, ..scene::mains() }
}

/// At 15 L each: Mill has 1400 L in an open pair for four, 23.3 days. Flat has 300 L in the loft and six cans of well water
/// for four, 7 days. Rise has 1300 L for ten, 8.7 days while its pump runs; by hand the upper 300 L alone, 2 days.
async fn frail(app: &App, pair_is_anchored: bool) -> Frail {
    let (mains, well) = (scene::mains(), well());
    let mut mill = scene::site("Mill", SiteKind::Household, 4);
    mill.sources = vec![mains.id];
    let mut flat = scene::site("Flat", SiteKind::Household, 4);
    flat.sources = vec![mains.id, well.id];
    let mut rise = scene::site("Rise", SiteKind::Flats, 10);
    rise.sources = vec![mains.id];
    let bank = Bank { id: BankId::fresh(), site: mill.id, name: scene::name("Pair"), coupled_at_first: true };
    let open = |called| {
        let own = scene::cubic(&mill, called, GRAVITY);
        Vessel { bank: Some(bank.id), anchored: pair_is_anchored, ..own }
    };
    let (left, right) = (open("Left"), open("Right"));
    let loft = Vessel { may_freeze: true, ..scene::cubic(&flat, "Loft tank", GRAVITY) };
    let cans = scene::cans(&flat, "Cans", 6.0);
    let tall = Vessel { anchored: false, ..scene::cubic(&rise, "Tall tank", PUMP_AND_DIP) };
    let maren = scene::person("Maren", Role::Coordinator, &[]);
    let found = Frail {
        mill: mill.id,
        flat: flat.id,
        rise: rise.id,
        left: left.id,
        tall: tall.id,
        mains: mains.id,
        well: well.id,
        maren: maren.id,
    };
    let vessels = [left.clone(), right.clone(), loft.clone(), cans.clone(), tall.clone()];
    let power = scene::generator(&rise, Fuel::Diesel, 200.0);
    let first = [scene::neighbourhood(), Thing::Source(mains.clone()), Thing::Source(well.clone())];
    let sites = [mill, flat, rise].map(Thing::Site);
    let mut things: Vec<Thing> = first.into_iter().chain(sites).chain([Thing::Bank(bank)]).collect();
    things.extend(vessels.map(Thing::Vessel));
    things.extend(power);
    things.push(Thing::Person(maren));
    scene::keep(app, things).await;
    for (vessel, litres, source, read) in [
        (&left, 700.0, mains.id, scene::dipped(0.7)),
        (&right, 700.0, mains.id, scene::dipped(0.7)),
        (&loft, 300.0, mains.id, scene::dipped(0.3)),
        (&tall, 1300.0, mains.id, scene::dipped(1.3)),
        (&cans, 120.0, well.id, scene::counted(6.0)),
    ] {
        scene::log(app, None, Some(vessel.id), scene::days_ago(30), poured(litres, source)).await;
        scene::log(app, None, Some(vessel.id), scene::days_ago(1), read).await;
    }
    found
}

fn poured(litres: f64, source: SourceId) -> Act {
    match scene::filled(source) {
        Act::Fill(fill) => Act::Fill(Fill { litres: Some(litres), to_top: false, ..fill }),
        other => other,
    }
}

#[tokio::test]
async fn each_loss_is_the_one_reckoned_by_hand() {
    let house = House::open().await;
    let app = house.running.app();
    let frail = frail(app, true).await;
    let (picture, today) = app.today(&Caller::House, None).unwrap();
    let all = app.losses(&Caller::House, &picture, &today).unwrap();
    let of = |what: Lost| -> &Loss {
        all.iter().find(|loss| loss.what == what).unwrap_or_else(|| panic!("{what:?} is not among {all:#?}"))
    };
    let Frail { mill, flat, rise, .. } = frail;
    for (what, (site, day), people, litres) in [
        // 1,000 L of the tall tank are out of reach without its pump; without its power they are only not brought up
        (Lost::Pump { site: rise }, (rise, 2.0), 10.0, 1000.0),
        (Lost::Generator { site: rise }, (rise, 2.0), 10.0, 0.0),
        (Lost::Frost { vessels: 1 }, (flat, 2.0), 4.0, 300.0),
        // both of the pair, though they are anchored: they are rigidly joined; and the tall one, which is not
        (Lost::Earthquake { vessels: 3 }, (mill, 0.0), 14.0, 2700.0),
        // neither of the pair is the largest, both together are
        (Lost::Vessel { site: mill, vessel: frail.left, vessels: 2 }, (mill, 0.0), 4.0, 1400.0),
        (Lost::Fouled { site: mill, vessel: frail.left, vessels: 2 }, (mill, 0.0), 4.0, 1400.0),
        // all but the cans, which hold well water; and these alone
        (Lost::Spoilt { source: frail.mains }, (mill, 0.0), 18.0, 3000.0),
        (Lost::Spoilt { source: frail.well }, (flat, 5.0), 4.0, 120.0),
    ] {
        let loss = of(what);
        let (at, first) = loss.first.unwrap();
        assert!((as_days(first) - day).abs() < 0.05, "{loss:?}");
        // two go without at once where more than one site is hit
        let several = matches!(what, Lost::Spoilt { .. } | Lost::Earthquake { .. });
        assert!(at == site || several && at == rise, "{loss:?}");
        assert!((loss.people - people).abs() < 1e-9 && (as_litres(loss.litres) - litres).abs() < 20.0, "{loss:?}");
    }
    let maren = signed_in(&house, frail.maren).await;
    let words = text(&maren.get("/").await.text);
    for said in [
        "Left and 1 more open to it, at Mill 0.0 1,",
        "Something gets into Left and 1 more open to it, at Mill 0.0 washing water at best; 1,",
        "The pump at Rise 2.0 gravity and hand are left;",
        "The generator at Rise 2.0 10 people without sooner;",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    // What is buried does not fall.
    let kept = app.picture().set_up.vessels[&frail.tall].clone();
    let buried = Vessel { stands_on: StandsOn::Buried, ..(*kept.thing).clone() };
    app.keep(&Caller::House, Thing::Vessel(buried), Some(kept.revision)).await.unwrap();
    let (_, today) = app.today(&Caller::House, None).unwrap();
    assert_eq!(losses::fallen(&today).len(), 2);
    house.close().await;
}

/// How long a site lasts after an earthquake, as things stand.
fn after_a_quake(app: &App, site: SiteId) -> f64 {
    let (_, today) = app.today(&Caller::House, None).unwrap();
    let suppose = Suppose::default().and_lost(losses::fallen(&today));
    let (_, then) = app.supposing(&Caller::House, None, suppose).unwrap();
    as_days(then.site(site).unwrap().standing.timeline.days_at_ration)
}

#[tokio::test]
async fn what_would_hurt_less_is_done_and_keeps_its_promise() {
    let house = House::open().await;
    let app = house.running.app();
    let frail = frail(app, true).await;
    let (picture, today) = app.today(&Caller::House, None).unwrap();
    let guards = app.guards(&Caller::House, &picture, &today).unwrap();
    // By hand: the pair is anchored, so with the valve shut it stands through, 23.3 days for four people, of which 14 are
    // wanted, 840 L, in minutes; the tall tank's 1300 L take two hours. Nothing else falls.
    let [pair, tall] = &guards[..] else { panic!("{guards:#?}") };
    let What::Uncouple { bank } = pair.step.what else { panic!("{pair:?}") };
    assert_eq!(tall.step.what, What::Anchor { vessel: frail.tall });
    for (guard, site, day, litres) in [(pair, frail.mill, 23.33, 840.0), (tall, frail.rise, 8.67, 1300.0)] {
        assert_eq!((guard.after, guard.step.site), (Lost::Earthquake { vessels: 3 }, site));
        assert!((as_days(guard.step.gain) - day).abs() < 0.1, "{guard:?}");
        assert!((as_litres(guard.step.litres) - litres).abs() < 10.0, "{guard:?}");
        assert!(after_a_quake(app, site).abs() < 1e-9);
    }
    let maren = signed_in(&house, frail.maren).await;
    let words = text(&maren.get("/").await.text);
    for said in [
        "What would hurt less after a loss",
        "Shut the vessels of Pair off from each other at Mill After an earthquake: 4 people, to day 23.",
        "Anchor Tall tank at Rise After an earthquake: 10 people, to day 8.7.",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    let here = text(&maren.get(&format!("/sites/{}", frail.rise)).await.text);
    assert!(here.contains("Anchor Tall tank at Rise") && !here.contains("Shut the vessels of"), "{here}");
    // Done, as anyone would enter it.
    let shut = Act::Coupling(Coupling { bank, state: Coupled::Separate, note: None });
    scene::log(app, Some(frail.mill), None, scene::now(), shut).await;
    let kept = app.picture().set_up.vessels[&frail.tall].clone();
    let held = Vessel { anchored: true, ..(*kept.thing).clone() };
    app.keep(&Caller::House, Thing::Vessel(held), Some(kept.revision)).await.unwrap();
    for guard in [pair, tall] {
        let lasts = after_a_quake(app, guard.step.site);
        assert!((lasts - guard.step.lasts.map_or(730.0, as_days)).abs() < 0.05, "{guard:?}: {lasts}");
    }
    let (picture, today) = app.today(&Caller::House, None).unwrap();
    assert!(app.guards(&Caller::House, &picture, &today).unwrap().is_empty());
    house.close().await;
}

#[tokio::test]
async fn a_pair_that_would_fall_anyway_is_shut_off_against_a_leak() {
    let house = House::open().await;
    let app = house.running.app();
    let frail = frail(app, false).await;
    let (picture, today) = app.today(&Caller::House, None).unwrap();
    let guards = app.guards(&Caller::House, &picture, &today).unwrap();
    // One of the two runs out and not both: 700 L for four people at 15 L.
    let pair = guards.iter().find(|guard| guard.step.site == frail.mill).unwrap();
    let Lost::Vessel { site, vessels: 2, .. } = pair.after else { panic!("{pair:?}") };
    assert_eq!(site, frail.mill);
    assert!((as_days(pair.step.gain) - 11.67).abs() < 0.1, "{pair:?}");
    assert!((as_litres(pair.step.litres) - 700.0).abs() < 5.0, "{pair:?}");
    let maren = signed_in(&house, frail.maren).await;
    let words = text(&maren.get("/").await.text);
    let said = "Shut the vessels of Pair off from each other at Mill If one of them leaks: 4 people, to day 11.";
    assert!(words.contains(said), "{words}");
    house.close().await;
}

#[tokio::test]
async fn a_loss_that_an_address_supposes_is_the_same() {
    let house = House::open().await;
    let frail = frail(house.running.app(), true).await;
    let maren = signed_in(&house, frail.maren).await;
    for (asked, first) in [
        (format!("pump={}", frail.rise), "7.0 2.0"),
        (format!("power={}", frail.rise), "7.0 2.0"),
        ("frost=yes".to_owned(), "7.0 2.0"),
        (format!("fouled={}", frail.tall), "7.0 0.0"),
        (format!("fouled={}", frail.left), "7.0 0.0"),
        (format!("spoilt={}", frail.mains), "7.0 0.0"),
        (format!("spoilt={}", frail.well), "7.0 5.0"),
        (format!("supply={}", frail.mains), "7.0 7.0"),
    ] {
        let answer = maren.get(&format!("/?{asked}")).await;
        let words = text(&answer.text);
        assert_eq!(answer.status, 200, "{asked}: {words}");
        assert!(words.contains(&format!("The first person goes without {first} ")), "{asked}: {words}");
        assert!(answer.text.contains("<details class=\"fold\" open><summary>More to suppose"), "{asked}");
    }
    let folded = "<details class=\"fold\"><summary>More to suppose";
    let lost = maren.get(&format!("/?lost={}", frail.left)).await.text;
    assert!(lost.contains(folded) && text(&lost).contains("The first person goes without 7.0 0.0 "), "{lost}");
    // At the site itself: the pair runs out together, and the cans of well water are left where the mains were bad.
    for (site, asked, said) in [
        (frail.mill, format!("lost={}", frail.left), "Days at the ration 23.3 0.0 "),
        (frail.flat, format!("spoilt={}", frail.mains), "Days at the ration 7.0 2.0 "),
        (frail.rise, format!("pump={}", frail.rise), "Days at the ration 8.7 2.0 "),
    ] {
        let words = text(&maren.get(&format!("/sites/{site}?{asked}")).await.text);
        assert!(words.contains(said), "{asked}: {words}");
    }
    // Filling from a supply that gives nothing is no help.
    let fill = "Fill Loft tank at Flat";
    assert!(text(&maren.get("/").await.text).contains(fill));
    assert!(!text(&maren.get(&format!("/?supply={}", frail.mains)).await.text).contains(fill));
    for asked in ["pump=nowhere", "supply=brook", "fouled=all"] {
        assert_eq!(maren.get(&format!("/?{asked}")).await.status, 422, "{asked}");
    }
    house.close().await;
}

/// Of three tanks and two lots of cans: which would be spoilt with a supply.
#[tokio::test]
async fn water_may_have_come_from_what_was_filled_since_the_oldest_of_it() {
    let house = House::open().await;
    let app = house.running.app();
    let (mains, well) = (scene::mains(), well());
    let mut site = scene::site("Mill", SiteKind::Household, 4);
    site.sources = vec![mains.id];
    let tank = |called| scene::cubic(&site, called, GRAVITY);
    // Emptied of well water and filled anew; of which no fill was ever told; topped up; poured over from that before; and alone.
    let (anew, untold, mixed) = (tank("Anew"), tank("Untold"), tank("Mixed"));
    let (over, alone) = (scene::cans(&site, "Over", 5.0), scene::cans(&site, "Alone", 5.0));
    let vessels = [&anew, &untold, &mixed, &over, &alone];
    let things = [scene::neighbourhood(), Thing::Source(mains.clone()), Thing::Source(well.clone())];
    let stores = vessels.map(|vessel| Thing::Vessel(vessel.clone()));
    scene::keep(app, things.into_iter().chain([Thing::Site(site.clone())]).chain(stores).collect()).await;
    let emptied = Act::Discard(Discard { how_far: HowFar::Drained, litres: None, lot: None, note: None });
    let over_it = Act::Transfer(Transfer { to: over.id, litres: 40.0, measured: None, note: None });
    for (vessel, days, act) in [
        (&anew, 90, poured(500.0, well.id)),
        (&anew, 60, emptied),
        (&anew, 50, poured(500.0, mains.id)),
        (&untold, 40, scene::dipped(0.5)),
        (&mixed, 90, poured(500.0, well.id)),
        (&mixed, 70, over_it),
        (&mixed, 20, poured(100.0, mains.id)),
        (&alone, 30, poured(100.0, well.id)),
    ] {
        scene::log(app, None, Some(vessel.id), scene::days_ago(days), act).await;
    }
    let picture = app.picture();
    let of = |vessel: &Vessel| {
        let (_, there) = picture.vessel(vessel.id).unwrap();
        let from = there.may_come_from(app.now());
        (from.contains(&mains.id), from.contains(&well.id), from.len())
    };
    assert_eq!(of(&anew), (true, false, 1), "the well water is gone");
    assert_eq!(of(&untold), (true, false, 1), "the usual supply is taken for granted");
    assert_eq!(of(&mixed), (true, true, 2));
    assert_eq!(of(&over), (false, true, 1), "it has what was in the other before, and not what came later");
    assert_eq!(of(&alone), (false, true, 1));
    house.close().await;
}
