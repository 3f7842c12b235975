//! An outage of three days, from its beginning to its report, by the house's own moved clock; a drill; and what is wrong
//! with either.

use jiff::SignedDuration;
use jiff::Timestamp;
use keepwell::model::entry::Act;
use keepwell::model::entry::given_out::GivenOut;
use keepwell::model::entry::inlet::Inlet;
use keepwell::model::entry::inlet::InletState;
use keepwell::model::id::EntryId;
use keepwell::model::id::OutageId;
use keepwell::service::Caller;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;

use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::scene::Reach;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

fn later(house: &House, hours: i64) -> Timestamp {
    let to = house.clock.now() + SignedDuration::from_hours(hours);
    house.clock.set(to);
    to
}

async fn begin(visitor: &Visitor, kind: &str, since: &str, more: &[(&str, &str)]) -> crate::harness::Answer {
    let id = OutageId::fresh().to_string();
    let mut fields = vec![
        ("id", id.as_str()),
        ("kind", kind),
        ("since", since),
        ("ration", "basic"),
        ("target_days", "10"),
        ("expected", ""),
        ("notes", ""),
    ];
    fields.retain(|(name, _)| !more.iter().any(|(other, _)| other == name));
    fields.extend(more);
    visitor.post("/outage/new", &fields).await
}

fn revision(house: &House) -> String {
    house.running.app().picture().set_up.outage().unwrap().revision.to_string()
}

#[tokio::test]
async fn three_days_from_the_first_hour_to_the_report() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let app = house.running.app();
    scene::log(app, None, Some(reach.unread), scene::days_ago(30), scene::filled(reach.mains)).await;
    let maren = signed_in(&house, reach.maren).await;
    let none = text(&maren.get("/outage").await.text);
    assert!(none.contains("none is on") && none.contains("Shut the inlet"), "{none}");

    // 09:30 in Dublin, the zone of the scene, is 09:30 UTC in March.
    let mains = reach.mains.to_string();
    let begun = begin(&maren, "real", "now", &[("mains", &mains), ("expected", "2026-03-20 18:00")]).await;
    assert_eq!(begun.status, 303, "{}", text(&begun.text));
    assert_eq!(begun.header("location"), "/outage");
    let page = text(&maren.get("/outage").await.text);
    assert!(page.contains("Outage, day 1") && page.contains("Not a drill"), "{page}");
    assert!(page.contains("Public mains: off since"), "the supply was logged with it: {page}");
    assert!(page.contains("inlets not known to be shut"), "{page}");
    let start = app.outage(&Caller::House, None).unwrap().unwrap().course.at_start();

    // The first hour.
    let shut = Act::Inlet(Inlet { state: InletState::Shut, note: None });
    scene::log(app, Some(reach.hall), None, house.clock.now(), shut).await;
    later(&house, 24);
    let north = app.picture().vessel(reach.north).unwrap().1.vessel.clone();
    scene::log(app, None, Some(north.id), house.clock.now(), scene::dipped(1.555)).await;
    let tally =
        GivenOut { people: Some(40.0), litres_each: Some(10.0), meter_start_l: None, meter_end_l: None, note: None };
    scene::log(app, Some(reach.hall), None, house.clock.now(), Act::GivenOut(tally)).await;

    second_day(&house, &reach, start).await;
    third_day(&house, &reach).await;
    house.close().await;
}

/// Less to each. Nobody stays signed in over night.
async fn second_day(house: &House, reach: &Reach, start: Volume) {
    let app = house.running.app();
    later(house, 24);
    let maren = signed_in(house, reach.maren).await;
    let id = app.picture().set_up.outage().unwrap().thing.id.to_string();
    let rev = revision(house);
    let change = [
        ("id", id.as_str()),
        ("revision", rev.as_str()),
        ("ration", "lean"),
        ("from", ""),
        ("target_days", "10"),
        ("expected", ""),
        ("since", "2026-03-14 09:30"),
        ("kind", "real"),
        ("notes", ""),
    ];
    let changed = maren.post("/outage/change", &change).await;
    assert_eq!(changed.status, 303, "{}", text(&changed.text));
    assert_eq!(changed.header("location"), "/outage");
    assert_eq!(maren.post("/outage/change", &change).await.status, 412, "another form that began before");
    later(house, 1);
    let today = text(&maren.get("/").await.text);
    assert!(today.contains("Outage, day 3. The mains are off since"), "{today}");
    assert!(today.contains("at Lean, 7.5 L a person a day"), "the ration in force: {today}");

    let answer = app.outage(&Caller::House, None).unwrap().unwrap();
    assert!((as_days(answer.elapsed()) - 49.0 / 24.0).abs() < 1e-9);
    // By hand: of a plan of ten days 49 hours have passed, so (240 − 49) ÷ 240 of the start is left by it.
    let planned = as_litres(start) * 191.0 / 240.0;
    assert!((as_litres(answer.plan.left(answer.elapsed())) - planned).abs() < 1e-6);
    let hall = keepwell::picture::course::Day::together(&answer.course.sites[&reach.hall]);
    assert!((hall.given_out - 400.0).abs() < 1e-9 && (hall.people - 40.0).abs() < 1e-9, "{hall:?}");
    // North was dipped at 1.655 m before and at 1.555 m now: 0.1 m of a tank 1.8 m across, 254.5 L, as far as dips go.
    assert!((200.0..300.0).contains(&hall.used()), "{hall:?}");
    let page = text(&maren.get("/outage").await.text);
    assert!(page.contains("49 h 0 min") && page.contains("1 tally, level read once"), "{page}");
    assert!(page.contains("Rations so far") && page.contains("What gives out next"), "{page}");
    the_report(&maren).await;
}

async fn the_report(maren: &Visitor) {
    let report = maren.get("/outage/report").await;
    assert_eq!(report.status, 200, "{}", report.text);
    let report = text(&report.text);
    for words in [
        "Water situation report",
        "People served",
        "Days left",
        "What ends first, and where",
        "On hand, by site",
        "Quality",
        "Power and fuel",
        "Incidents in the period",
        "Decisions asked",
        "Next report at",
        "Checked by",
    ] {
        assert!(report.contains(words), "{words}: {report}");
    }
    let line = report.split("In one line: ").nth(1).unwrap().split(" Back to the outage").next().unwrap();
    assert!(line.chars().count() <= 160 && line.contains("Alder Reach"), "{line}");
}

/// The mains are back.
async fn third_day(house: &House, reach: &Reach) {
    let (app, mains) = (house.running.app(), reach.mains.to_string());
    let id = app.picture().set_up.outage().unwrap().thing.id.to_string();
    later(house, 23);
    let maren = signed_in(house, reach.maren).await;
    let rev = revision(house);
    let early = [
        ("id", id.as_str()),
        ("revision", rev.as_str()),
        ("ended", "2026-03-14 09:00"),
        ("ran_out", "diesel, at the flats"),
    ];
    let refused = maren.post("/outage/end", &early).await;
    assert_eq!(refused.status, 422, "{}", refused.text);
    let words = text(&refused.text);
    assert!(words.contains("It ends after it began."), "{words}");
    assert!(refused.text.contains("value=\"diesel, at the flats\""), "what was typed stays");
    let end = [
        ("id", id.as_str()),
        ("revision", rev.as_str()),
        ("ended", "now"),
        ("ran_out", "diesel, at the flats"),
        ("mains", &mains),
    ];
    let ended = maren.post("/outage/end", &end).await;
    assert_eq!(ended.status, 303, "{}", text(&ended.text));
    assert_eq!(maren.post("/outage/end", &end).await.status, 303, "sent twice, ended once");
    let over = text(&maren.get(ended.header("location")).await.text);
    assert!(over.contains("It lasted 72 h 0 min") && over.contains("Ran out first: diesel, at the flats"), "{over}");
    let list = text(&maren.get("/outage").await.text);
    assert!(list.contains("ran out first: diesel, at the flats") && list.contains("3.0 days"), "{list}");
    let today = text(&maren.get("/").await.text);
    assert!(!today.contains("Outage, day") && today.contains("at Basic, 15 L a person a day"), "{today}");
    let last = maren.get(&format!("{}/report", ended.header("location"))).await;
    assert_eq!(last.status, 200, "{}", last.text);
}

#[tokio::test]
async fn a_drill_is_marked_everywhere_and_changes_no_figure() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let figures =
        |page: String| page.split("Needs doing").next().unwrap().split("The first person").nth(1).unwrap().to_owned();
    let before = figures(text(&maren.get("/").await.text));
    let begun = begin(&maren, "drill", "now", &[("ration", "drinking")]).await;
    assert_eq!(begun.status, 303, "{}", text(&begun.text));
    for path in ["/", "/sites", "/upkeep", "/outage", "/set-up", "/log", "/outage/report"] {
        let words = text(&maren.get(path).await.text);
        assert!(words.contains("Drill, day 1.") || words.contains("DRILL"), "{path}: {words}");
    }
    assert_eq!(figures(text(&maren.get("/").await.text)), before);
    assert_eq!(house.running.app().ration(), "basic");
    let entries = house.running.app().entries(&Caller::House, None, None, None, 5).await.unwrap();
    assert!(entries.iter().all(|listed| !matches!(listed.entry.act, Act::Mains(_))), "a drill logs nothing");
    house.close().await;
}

#[tokio::test]
async fn what_does_not_hold_is_said_and_what_was_typed_is_kept() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let unknown = begin(&maren, "real", "now", &[("ration", "plenty"), ("notes", "burst in <Mill Road>")]).await;
    assert_eq!(unknown.status, 422);
    assert!(text(&unknown.text).contains("choose one of the list"), "{}", text(&unknown.text));
    assert!(unknown.text.contains("burst in &#60;Mill Road&#62;"), "{}", unknown.text);
    let ahead = begin(&maren, "real", "2026-03-14 12:00", &[]).await;
    assert_eq!(ahead.status, 422);
    assert!(text(&ahead.text).contains("ahead of the clock"), "{}", text(&ahead.text));
    let plan = begin(&maren, "real", "now", &[("target_days", "0")]).await;
    assert_eq!(plan.status, 422);
    assert_eq!(begin(&maren, "real", "now", &[]).await.status, 303);
    let second = begin(&maren, "drill", "now", &[]).await;
    assert_eq!(second.status, 422);
    assert!(text(&second.text).contains("An outage is on since"), "{}", text(&second.text));
    // A keeper reads it, and changes nothing of it.
    let ruth = signed_in(&house, reach.ruth).await;
    let page = ruth.get("/outage").await;
    assert_eq!(page.status, 200, "{}", page.text);
    for other in ["Birch Court", "Weir Cottage", "Reach Primary"] {
        assert!(!page.text.contains(other), "{other} is named to a keeper of another site");
    }
    for path in ["/outage/new", "/outage/change", "/outage/end"] {
        assert_eq!(ruth.get(path).await.status, 403, "{path}");
    }
    assert_eq!(begin(&ruth, "real", "now", &[]).await.status, 403);
    assert_eq!(maren.get(&format!("/outages/{}", EntryId::fresh())).await.status, 404);
    assert_eq!(house.visitor().get("/outage").await.status, 303);
    house.close().await;
}
