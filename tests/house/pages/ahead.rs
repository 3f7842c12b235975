//! What if, what may be expected: the question stands in the address, the answer is by hand, and bad figures are named.

use keepwell::model::entry::Act;
use keepwell::model::entry::reading::Method;
use keepwell::model::entry::reading::Reading;
use keepwell::model::id::OutageId;
use keepwell::model::neighbourhood::Neighbourhood;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::outage::Step;
use keepwell::model::person::Role;
use keepwell::model::prices::Prices;
use keepwell::model::setup::Thing;
use keepwell::model::site::Site;
use keepwell::model::site::SiteKind;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::ShapeKind;
use keepwell::model::vessel::Vessel;
use keepwell::service::Caller;

use crate::harness::House;
use crate::pages::carries::two;
use crate::pages::carries::two_counted;
use crate::pages::scene;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

#[tokio::test]
async fn what_is_supposed_is_reckoned_beside_the_present() {
    let house = House::open().await;
    let two = two(house.running.app()).await;
    let maren = signed_in(&house, two.maren).await;
    // By hand, at 15 L: 120 L last four people 2.0 days, and fourteen 120 / 210 = 0.6. In heat each drinks 3 L more:
    // 120 / 72 = 1.7 days, if it lasts so long; a single hot day takes 72 of them, and 48 / 60 = 0.8 more make 1.8.
    for (asked, first) in [
        (format!("guests=10&at={}", two.lower), "2.0 0.6"),
        ("heat=3".to_owned(), "2.0 1.7"),
        ("heat=1".to_owned(), "2.0 1.8"),
        // Lean, 7.5 L, from the second day: 60 L are left, and 60 / 30 = 2.0 more. 600 L that come after a day and a half at
        // the lower site, 30 L left then, make 630 / 60 = 10.5 more: then the upper site is the first.
        ("then=lean&after=1".to_owned(), "2.0 3.0"),
        (format!("brings=600&on=1.5&to={}", two.lower), "2.0 10.0"),
        (format!("brings=600&on=3&to={}", two.lower), "2.0 2.0"),
        (format!("lost={}", two.lower), "2.0 0.0"),
        (format!("lost={}", two.below), "2.0 0.0"),
        (format!("guests=10000&at={}", two.upper), "2.0 0.0"),
        ("target=1000".to_owned(), "2.0 2.0"),
        ("treated=yes".to_owned(), "2.0 2.0"),
    ] {
        let answer = maren.get(&format!("/?{asked}")).await;
        let words = text(&answer.text);
        assert_eq!(answer.status, 200, "{asked}: {words}");
        assert!(words.contains(&format!("The first person goes without {first} ")), "{asked}: {words}");
        assert!(words.contains("Supposed, not so."), "{asked}");
    }
    // The other rations are supposed so too: Lean in heat is 10.5 L for four, 120 / 42 = 2.9 days; as it is, 120 / 30.
    for (asked, lean) in [("heat=3", "2.9"), ("", "4.0")] {
        let words = text(&maren.get(&format!("/?{asked}")).await.text);
        assert!(words.contains(&format!("Lean 7.5 L a day {lean} ")), "{asked}: {words}");
    }
    // Without the carries there is no second figure.
    let words = text(&maren.get("/?carried=yes").await.text);
    assert!(!words.contains("With the agreed carries day"), "{words}");
    // The same at the site itself, and it is not kept anywhere.
    let words = text(&maren.get(&format!("/sites/{}?heat=3", two.lower)).await.text);
    assert!(words.contains("Days at the ration 2.0 1.7 "), "{words}");
    let words = text(&maren.get("/").await.text);
    assert!(!words.contains("Supposed, not so."), "{words}");
    house.close().await;
}

/// Four people at 15 L, and a fifth of what is drawn is lost on the way: 60 / 0.8 = 75 L a day of 120, 1.6 days.
#[tokio::test]
async fn what_is_lost_in_handing_out_is_drawn_too() {
    let house = House::open().await;
    let app = house.running.app();
    let two = two(app).await;
    let maren = signed_in(&house, two.maren).await;
    let kept = app.picture().set_up.sites[&two.lower].clone();
    let site = Site { handed_out_loss: 0.2, ..Site::clone(&kept.thing) };
    app.keep(&Caller::House, Thing::Site(site.clone()), Some(kept.revision)).await.unwrap();
    let words = text(&maren.get(&format!("/sites/{}", two.lower)).await.text);
    assert!(words.contains("on day 1.6."), "{words}");
    assert!(words.contains("Lost in handing out 15 L 20 % of what is drawn, assumed in its set-up"), "{words}");
    assert!(words.contains("in all, a day 75 L"), "{words}");
    let working = text(&maren.get(&format!("/sites/{}/working?of=need", two.lower)).await.text);
    assert!(working.contains("lost in handing out"), "{working}");
    let kept = app.picture().set_up.sites[&two.lower].clone();
    let all = Site { handed_out_loss: 1.0, ..site };
    let refused = app.keep(&Caller::House, Thing::Site(all), Some(kept.revision)).await.unwrap_err();
    assert!(format!("{refused:?}").contains("\"handed_out_loss\""), "{refused:?}");
    house.close().await;
}

#[tokio::test]
async fn losses_are_by_hand_and_so_is_what_would_hurt_less() {
    let house = House::open().await;
    let app = house.running.app();
    let (mains, site) = (scene::mains(), scene::site("Lone House", SiteKind::Household, 10));
    let sides = [("length_m", 1.0), ("width_m", 1.0), ("height_m", 1.5)];
    let tank = scene::vessel(&site, "Tank", ShapeKind::Box, &sides, &[(DrawWay::Dip, 0.0)]);
    let tank = Vessel { may_freeze: true, anchored: false, ..tank };
    let maren = scene::person("Maren", Role::Coordinator, &[]);
    let (maren_id, id) = (maren.id, tank.id);
    let things = [scene::neighbourhood(), Thing::Source(mains.clone()), Thing::Site(site)];
    scene::keep(app, things.into_iter().chain([Thing::Vessel(tank), Thing::Person(maren)]).collect()).await;
    scene::log(app, None, Some(id), scene::days_ago(3), scene::filled(mains.id)).await;
    let dip = Act::Reading(Reading { depth_m: Some(1.0), ..Reading::by(Method::Dipstick) });
    scene::log(app, None, Some(id), scene::days_ago(0), dip).await;
    let maren = signed_in(&house, maren_id).await;
    // A dip of 1.00 m is 1,000 L: 6.7 days of 150 L. Unanchored it falls, it may freeze, and it was filled from the mains.
    let words = text(&maren.get("/").await.text);
    for said in [
        "An earthquake takes 1 vessel, unanchored or coupled 0.0 1,000 L lost; 10 people without sooner; Lone House first, \
         day 0.0",
        "+6.7 days Anchor Tank at Lone House After an earthquake: 10 people, to day 6.7. About two hours:",
        "Something gets into Tank, at Lone House 0.0 washing water at best; 1,000 L lost; 10 people without sooner;",
        "A hard frost takes 1 vessel 0.0 nothing is drawn until it thaws; 1,000 L lost;",
        "turns out to be spoilt 0.0 what was filled from it is on hold; 1,000 L lost;",
        "That no supply runs is in every figure already.",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    for asked in ["frost=yes".to_owned(), format!("spoilt={}", mains.id)] {
        let words = text(&maren.get(&format!("/?{asked}")).await.text);
        assert!(words.contains("The first person goes without 6.7 0.0 "), "{asked}: {words}");
    }
    house.close().await;
}

#[tokio::test]
async fn a_supposition_that_cannot_be_is_named_and_kept() {
    let house = House::open().await;
    let two = two(house.running.app()).await;
    let maren = signed_in(&house, two.maren).await;
    for (asked, said) in [
        ("heat=-1", "allowed is 0 days to 3,650 days"),
        ("heat=NaN", "heat"),
        ("target=100000", "3,650 days"),
        ("guests=10", "Say where they would draw."),
        ("guests=-3", "allowed is 0 to 1,000,000"),
        ("guests=5&at=nowhere", "at"),
        ("lost=everything", "lost"),
        ("then=lean", "Say after how many days."),
        ("after=3", "Say which ration."),
        ("spoilt=everything", "spoilt"),
        ("then=feast&after=2", "Later another ration"),
        ("brings=100&on=-1", "allowed is 0 days to 3,650 days"),
    ] {
        for path in ["/".to_owned(), format!("/sites/{}", two.upper)] {
            // at a site's own page they draw there
            if asked == "guests=10" && path != "/" {
                continue;
            }
            let answer = maren.get(&format!("{path}?{asked}")).await;
            let words = text(&answer.text);
            assert_eq!(answer.status, 422, "{path}?{asked}: {words}");
            assert!(words.contains("Nothing is supposed yet"), "{asked}");
            assert!(words.to_lowercase().contains(&said.to_lowercase()), "{asked}: {words}");
            assert!(!words.contains("NaN days") && !words.contains("inf"), "{asked}");
        }
    }
    house.close().await;
}

#[tokio::test]
async fn an_outage_that_ends_and_water_that_may_not_come_are_in_the_forecast() {
    let house = House::open().await;
    let two = two(house.running.app()).await;
    let maren = signed_in(&house, two.maren).await;
    // The lower site lasts two days, the upper ten. An outage that is over after one surely leaves nobody without, one that
    // lasts five surely does, but for 600 L on the second day: and then only if they come.
    let brought = format!("brings=600&on=1&to={}&half=5&most=5", two.lower);
    for (asked, chance) in [
        ("half=1&most=1".to_owned(), "100 %"),
        ("half=5&most=5".to_owned(), "0 %"),
        (brought.clone(), "100 %"),
        (format!("{brought}&comes=0"), "0 %"),
    ] {
        let answer = maren.get(&format!("/forecast?{asked}")).await;
        let words = text(&answer.text);
        let said = format!("Everyone has the ration until the mains are back {chance} ");
        assert!(answer.status == 200 && words.contains(&said), "{asked}: {words}");
        assert!(words.contains("Supposed, not so."), "{asked}");
    }
    for (asked, said) in [
        ("half=5&most=2", "Nine in ten are over no sooner than half are."),
        ("half=5", "Say within how many days nine in ten are over."),
        ("most=5", "Say within how many days half are over."),
        ("half=0&most=5", "allowed is"),
        ("brings=10&on=1&comes=200&to=nobody", "The chance that it comes"),
    ] {
        let answer = maren.get(&format!("/forecast?{asked}")).await;
        let words = text(&answer.text);
        assert!(answer.status == 422 && words.contains(said), "{asked}: {words}");
    }
    house.close().await;
}

#[tokio::test]
async fn use_is_learned_from_an_outage_by_those_who_were_counted_then() {
    let house = House::open().await;
    let app = house.running.app();
    house.clock.set(scene::days_ago(40));
    let two = two_counted(app, false).await;
    let (upper, vessel) = (two.upper, two.above);
    scene::log(app, None, Some(vessel), scene::days_ago(40), scene::filled(two.mains)).await;
    // Ten days at 15 L, by ten people for five days and by thirty for five more: 200 person-days. All 1,500 L are used,
    // which is 7.5 L each, half of the ration.
    house.clock.set(scene::days_ago(15));
    let kept = app.picture().set_up.sites[&upper].clone();
    let mut site = Site::clone(&kept.thing);
    site.people[0].count = 30;
    app.keep_all(&Caller::House, vec![(Thing::Site(site.clone()), Some(kept.revision))]).await.unwrap();
    house.clock.set(scene::now());
    let maren = signed_in(&house, two.maren).await;
    scene::log(app, None, Some(vessel), scene::days_ago(20), scene::counted(75.0)).await;
    scene::log(app, None, Some(vessel), scene::days_ago(10), scene::counted(0.0)).await;
    let drill = Outage {
        id: OutageId::fresh(),
        kind: OutageKind::Drill,
        since: scene::days_ago(20),
        ended: Some(scene::days_ago(10)),
        target_days: 14.0,
        rations: vec![Step { since: scene::days_ago(20), ration: "basic".to_owned() }],
        expected: None,
        ran_out: String::new(),
        notes: String::new(),
    };
    // A drill teaches nothing.
    scene::keep(app, vec![Thing::Outage(drill.clone())]).await;
    let words = text(&maren.get("/forecast").await.text);
    assert!(words.contains("Site by site") && !words.contains("What people used"), "{words}");
    let revision = app.picture().set_up.outages[&drill.id].revision;
    let real = Thing::Outage(Outage { kind: OutageKind::Real, ..drill });
    app.keep_all(&Caller::House, vec![(real, Some(revision))]).await.unwrap();
    let answer = maren.get("/forecast").await;
    let words = text(&answer.text);
    assert_eq!(answer.status, 200, "{}", answer.text);
    assert!(words.contains("Upper House 10.0 days 15 L a day 7.5 L a day 7.5 L a day ± "), "{words}");
    assert!(words.contains(" taken "), "{words}");
    // Thirty people, and 1,500 L again: 1,500 / 450 = 3.3 days at the ration, 1,500 / 225 = 6.7 as they use it.
    scene::log(app, None, Some(vessel), scene::days_ago(2), scene::filled(two.mains)).await;
    scene::log(app, None, Some(vessel), scene::days_ago(1), scene::counted(75.0)).await;
    let words = text(&maren.get(&format!("/sites/{upper}")).await.text);
    assert!(words.contains("3.3"), "{words}");
    let words = text(&maren.get("/forecast").await.text);
    let (_, line) = words.split_once("Upper House ").unwrap();
    let half: f64 = line.split(' ').nth(1).unwrap().parse().unwrap();
    assert!((half - 6.67).abs() < 0.1, "{half}: {line}");
    house.close().await;
}

#[tokio::test]
async fn a_forecast_says_the_same_each_time_and_hangs_on_the_target() {
    let house = House::open().await;
    let two = two(house.running.app()).await;
    let maren = signed_in(&house, two.maren).await;
    let (one, other) = (maren.get("/forecast").await, maren.get("/forecast").await);
    assert_eq!((one.status, &one.text), (200, &other.text));
    let words = text(&one.text);
    // 2.0 and 10.0 days at best estimate, and 14 are wanted
    assert!(words.contains("Everyone has the ration for 14.0 days 0 %"), "{words}");
    assert!(words.contains("Lower House") && words.contains("Upper House"), "{words}");
    // counted cans are exact, so what is spread is the use: half of the draws last as long as the estimate
    assert!(words.contains("The first person goes without day 2.0"), "{words}");
    house.close().await;
}

/// What it costs stands beside what it buys, once somebody said what things cost, and may be what the moves go by.
#[tokio::test]
async fn moves_are_weighed_by_money_where_prices_are_given() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = scene::reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let words = text(&maren.get("/").await.text);
    assert!(words.contains("bring Birch Court 20 L of diesel") && !words.contains("It costs"), "{words}");
    assert!(!words.contains("by the money instead"), "{words}");
    let kept = app.picture().set_up.neighbourhood.clone().unwrap();
    let prices = Prices { diesel_l: Some(1.5), can: Some(0.0), ..Prices::default() };
    let priced = Neighbourhood { prices, ..Neighbourhood::clone(&kept.thing) };
    app.keep(&Caller::House, Thing::Neighbourhood(priced.clone()), Some(kept.revision)).await.unwrap();
    // 20 L at 1.5 are 30. They take the tap from day 1.5 to the end of the water, 1,760 / 870 = 2.02: 455 L, 15 for each 1.
    let words = text(&maren.get("/").await.text);
    assert!(words.contains("It costs 30: 15 L for each 1.") && words.contains("by the money instead"), "{words}");
    let words = text(&maren.get("/?by=money&ration=lean").await.text);
    assert!(words.contains("the most litres for the money first. by the work instead"), "{words}");
    // What costs nothing stands before what does.
    let (free, bought) = (words.find("Run the generator at Birch Court"), words.find("ring Birch Court 20 L"));
    assert!(free.unwrap() < bought.unwrap(), "{words}");
    assert_eq!(maren.get("/?by=luck").await.status, 400);
    let wrong = Prices { can: Some(-1.0), ..Prices::default() };
    let kept = app.picture().set_up.neighbourhood.clone().unwrap();
    let refused =
        app.keep(&Caller::House, Thing::Neighbourhood(Neighbourhood { prices: wrong, ..priced }), Some(kept.revision));
    assert!(format!("{:?}", refused.await.unwrap_err()).contains("\"can\""), "a price below nothing");
    house.close().await;
}
