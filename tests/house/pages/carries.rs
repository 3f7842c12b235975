//! Carries: what they buy, by hand; logged once however often; and what would help where nothing is agreed.

use keepwell::model::carry::Carry;
use keepwell::model::carry::Means;
use keepwell::model::entry::Act;
use keepwell::model::id::CarryId;
use keepwell::model::id::EntryId;
use keepwell::model::id::PersonId;
use keepwell::model::id::SiteId;
use keepwell::model::id::SourceId;
use keepwell::model::id::VesselId;
use keepwell::model::person::Role;
use keepwell::model::setup::Thing;
use keepwell::model::site::Site;
use keepwell::model::site::SiteKind;
use keepwell::picture::moves::What;
use keepwell::picture::suppose::Suppose;
use keepwell::service::App;
use keepwell::service::Caller;
use keepwell_engine::quantity::as_litres;

use crate::harness::House;
use crate::pages::scene;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

pub fn carry(from: SiteId, to: SiteId, litres_a_day: f64) -> Carry {
    Carry {
        id: CarryId::fresh(),
        name: scene::name("Over the footbridge"),
        from,
        to,
        means: Means::Foot,
        litres_a_day,
        litres_a_trip: 20.0,
        loss: 0.0,
        ended: None,
    }
}

pub struct Two {
    pub upper: SiteId,
    pub lower: SiteId,
    pub above: VesselId,
    pub below: VesselId,
    pub mains: SourceId,
    carry: CarryId,
    pub maren: PersonId,
    ruth: PersonId,
}

/// 75 cans for ten people, 6 cans for four, and 30 L a day over the footbridge.
pub async fn two(app: &App) -> Two {
    two_counted(app, true).await
}

/// The same where nobody has said yet what is in the cans.
pub async fn two_counted(app: &App, counted: bool) -> Two {
    let mains = scene::mains();
    let upper = scene::site("Upper House", SiteKind::Household, 10);
    let lower = scene::site("Lower House", SiteKind::Household, 4);
    let (many, few) = (scene::cans(&upper, "Cans above", 75.0), scene::cans(&lower, "Cans below", 6.0));
    let maren = scene::person("Maren", Role::Coordinator, &[]);
    let ruth = scene::person("Ruth", Role::Keeper, &[lower.id]);
    let agreed = carry(upper.id, lower.id, 30.0);
    let two = Two {
        upper: upper.id,
        lower: lower.id,
        above: many.id,
        below: few.id,
        mains: mains.id,
        carry: agreed.id,
        maren: maren.id,
        ruth: ruth.id,
    };
    let things = [scene::neighbourhood(), Thing::Source(mains.clone()), Thing::Site(upper), Thing::Site(lower)];
    let vessels = [many.clone(), few.clone()].map(Thing::Vessel);
    let rest = [Thing::Person(maren), Thing::Person(ruth), Thing::Carry(agreed)];
    scene::keep(app, things.into_iter().chain(vessels).chain(rest).collect()).await;
    for (vessel, full) in [(&many, 75.0), (&few, 6.0)].into_iter().filter(|_| counted) {
        scene::log(app, None, Some(vessel.id), scene::days_ago(30), scene::filled(mains.id)).await;
        scene::log(app, None, Some(vessel.id), scene::days_ago(1), scene::counted(full)).await;
    }
    two
}

#[tokio::test]
async fn the_share_is_the_one_reckoned_by_hand() {
    let house = House::open().await;
    let two = two(house.running.app()).await;
    let maren = signed_in(&house, two.maren).await;
    // By hand, at 15 L: alone 1500 / 150 = 10 days and 120 / 60 = 2 days. With 30 L a day, 60 T = 120 + 30 T, so T = 4
    // and 120 L are sent, 6 cans of 20 L; the giver has (1500 − 120) / 150 = 9.2 days.
    let words = text(&maren.get("/carries").await.text);
    for said in [
        "120 L in all, 6 trips",
        "Upper House → Lower House Over the footbridge, on foot 30 L 120 L 6 trips 4.0 It moves all that is agreed, every day.",
        "Lower House 2.0 4.0",
        "Upper House 10.0 9.2",
        // 30 L for four people: 7.5 L each
        "Lower House: 7.5 L a person a day, which holds Lean, not Basic.",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    let today = text(&maren.get("/").await.text);
    assert!(today.contains("With the agreed carries day 4.0 Lower House, 4 people goes without first"), "{today}");
    assert!(today.contains("120 L moved, 6 trips. "), "{today}");
    // Two days more for four people, and it is in the second figure already.
    let carry = "+2.0 days Carry 120 L from Upper House to Lower House 4 people, to day 4.0. 6 trips, agreed;";
    assert!(today.contains(carry), "{today}");
    // Of 14 days the upper people lose 0.8 of 150 L by it, as much as the lower get; of five days nothing.
    for (target, litres) in [(None, 0.0), (Some(5.0), 120.0)] {
        let suppose = Suppose { target_days: target, ..Suppose::default() };
        let (picture, today) = house.running.app().supposing(&Caller::House, None, suppose).unwrap();
        let moves = house.running.app().next_moves(&Caller::House, &picture, &today).unwrap();
        let carry = moves.iter().find(|one| matches!(one.what, What::Carry { .. })).unwrap();
        assert!((as_litres(carry.litres) - litres).abs() < 1e-6, "{target:?}: {carry:?}");
    }
    // All that Upper House stores lost: it is without from the start.
    assert!(today.contains("All that Upper House stores 0.0 1,500 L lost; 10 people without sooner"), "{today}");
    let working = text(&maren.get("/working/shared").await.text);
    assert!(working.contains("with the agreed carries, at Basic 4.0 days"), "{working}");
    house.close().await;
}

#[tokio::test]
async fn those_who_cannot_fetch_water_make_a_list() {
    let house = House::open().await;
    let app = house.running.app();
    let two = two(app).await;
    let maren = signed_in(&house, two.maren).await;
    let words = text(&maren.get("/carries").await.text);
    assert!(words.contains("Nobody is counted who cannot fetch water."), "{words}");
    let lower = (*app.picture().set_up.sites[&two.lower].thing).clone();
    let gate = Site { cannot_collect: 1, ..scene::site("Gate House", SiteKind::Household, 1) };
    scene::keep(app, vec![Thing::Site(gate)]).await;
    let revision = app.picture().set_up.sites[&two.lower].revision;
    let counted = Thing::Site(Site { cannot_collect: 3, ..lower });
    app.keep(&Caller::House, counted, Some(revision)).await.unwrap();
    // By hand: cans have no tap; 3 people, 45 L, 3 cans of 20 L; the 120 L of all four are spent after 2 days.
    let lower = "Lower House 3 45 L 3 now its own store, to day 2.0 Upper House, on foot (Over the footbridge)";
    let gate = "Gate House 1 15 L 1 now Mind Nobody has agreed to bring it by cart, car or hose.";
    let caution = "A full 20 L can weighs 21 kg (46 lb): two people or wheels. Infants, dialysis and the ill follow medical advice.";
    let words = text(&maren.get("/carries").await.text);
    for said in ["if the mains stopped now", lower, gate, "all 4 60 L 4", caution] {
        assert!(words.contains(said), "{said}: {words}");
    }
    let words = text(&maren.get("/carries?ration=lean").await.text);
    assert!(words.contains("Lower House 3 23 L 2 now"), "half the ration, 22.5 L: {words}");
    assert!(!text(&maren.get("/outage").await.text).contains("To the door"), "no outage is on");

    scene::keep(app, vec![scene::mains_off()]).await;
    let words = text(&maren.get("/outage").await.text);
    for said in ["To the door for those who cannot fetch water", lower, gate, caution] {
        assert!(words.contains(said), "{said}: {words}");
    }
    let report = text(&maren.get("/outage/report").await.text);
    let said = "Lower House: 3 people, 45 L a day in 3 cans, now: its own store, to day 2.0, Over the footbridge";
    assert!(report.contains(said), "{report}");
    // A keeper is told of their own alone.
    let ruth = signed_in(&house, two.ruth).await;
    for path in ["/carries", "/outage", "/outage/report"] {
        let words = text(&ruth.get(path).await.text);
        let carry = if path.ends_with("report") {
            "Over the footbridge"
        } else {
            "another site, on foot (Over the footbridge)"
        };
        assert!(words.contains("Lower House") && words.contains(carry), "{path}: {words}");
        assert!(!words.contains("Gate House") && !words.contains("Upper House"), "{path}: {words}");
    }
    house.close().await;
}

#[tokio::test]
async fn a_trip_is_logged_with_one_tap_and_once() {
    let house = House::open().await;
    let app = house.running.app();
    let two = two(app).await;
    let maren = signed_in(&house, two.maren).await;
    scene::keep(app, vec![scene::mains_off()]).await;
    let words = text(&maren.get("/outage").await.text);
    let carry = "Over the footbridge nobody has taken it Upper House to Lower House, 30 L a day";
    assert!(words.contains(carry), "{words}");
    let (path, id) = (format!("/carries/{}", two.carry), EntryId::fresh().to_string());
    for _ in 0..3 {
        let answer = maren.post(&path, &[("id", &id)]).await;
        assert_eq!((answer.status, answer.header("location")), (303, format!("/log/done/{id}").as_str()));
    }
    let listed = app.entries(&Caller::House, Some(two.upper), None, None, 10).await.unwrap();
    let trips = listed.iter().filter(|listed| match &listed.entry.act {
        // all cans below are full: what is brought goes to the people
        Act::Draw(draw) => draw.litres == Some(20.0) && draw.note.as_deref() == Some("Over the footbridge"),
        _ => false,
    });
    assert_eq!(trips.count(), 1);
    // Whoever may not log at the giver is not told of it.
    let ruth = signed_in(&house, two.ruth).await;
    assert_eq!(ruth.post(&path, &[("id", &EntryId::fresh().to_string())]).await.status, 404);
    assert_eq!(maren.post(&format!("/carries/{}", CarryId::fresh()), &[("id", &id)]).await.status, 303);
    assert_eq!(maren.post(&path, &[("id", "x")]).await.status, 400);
    let words = text(&maren.get("/outage").await.text);
    assert!(words.contains("Over the footbridge last taken "), "{words}");
    house.close().await;
}

#[tokio::test]
async fn a_carry_that_cannot_be_is_refused_in_words() {
    let house = House::open().await;
    let two = two(house.running.app()).await;
    let maren = signed_in(&house, two.maren).await;
    let upper = two.upper.to_string();
    let id = CarryId::fresh().to_string();
    let sent = [
        ("id", id.as_str()),
        ("name", "Round"),
        ("from", &upper),
        ("to", &upper),
        ("means", "cart"),
        ("litres_a_day", "-5"),
        ("litres_a_trip", "20"),
        ("loss", "0"),
    ];
    let answer = maren.post("/set-up/carries/new", &sent).await;
    assert_eq!(answer.status, 422);
    assert!(text(&answer.text).contains("allowed is 0.1"), "{}", text(&answer.text));
    let mended = sent.map(|(key, value)| if key == "litres_a_day" { (key, "5") } else { (key, value) });
    let answer = maren.post("/set-up/carries/new", &mended).await;
    assert_eq!(answer.status, 422);
    assert!(text(&answer.text).contains("from one site to another, not to itself"), "{}", text(&answer.text));
    house.close().await;
}

#[tokio::test]
async fn what_would_help_is_found_in_the_picture() {
    let house = House::open().await;
    let reach = scene::reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let words = text(&maren.get("/").await.text);
    // By hand: 12 L of diesel at 0.5 L an hour is 24 hours of running: 1.5 days at 16 hours a day. The water over the outlet,
    // about 1760 L, lasts 58 people 2.02 days; 12 L over so long are 5.93 a day, 11.9 hours of running.
    assert!(
        words.contains("Run the generator at Birch Court 12 hours a day, not 16 hours 58 people, to day 2.0."),
        "{words}"
    );
    // North is past its date and nothing else is wrong with it.
    assert!(words.contains("Dose and test North at Alder Reach Hall"), "{words}");
    assert!(words.contains("if the test is good; it may not be"), "{words}");
    assert!(words.contains("Never with acid or ammonia"), "{words}");
    house.close().await;
}
