//! A battery on its site's page.

use keepwell::model::battery::Battery;
use keepwell::model::id::BatteryId;
use keepwell::model::id::LoadId;
use keepwell::model::power::FuelStore;
use keepwell::model::power::Load;
use keepwell::model::setup::Thing;
use keepwell::service::Caller;

use crate::api::Machine;
use crate::api::json;
use crate::harness::House;
use crate::pages::scene::Reach;
use crate::pages::scene::keep;
use crate::pages::scene::name;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;
use crate::pages::works::pump;
use crate::picture::scene as made;

/// By hand: 5,120 × 0.8 × 0.9 = 3,686 Wh. Its pump makes 12.07 L a minute at 272 Wh a cubic metre: 724 L/h × 0.272 = 197
/// W, so with 20 W of inverter 3,686 / 217 = 17.0 h and 17.0 × 724 = 12,312 L. Asked: 237 Wh by the pump for 870 L, 24 ×
/// 20 = 480 by the inverter, 600 by the lights. The sun: 1,600 × 2.5 × 0.86 × 0.9 = 3,096 Wh. Without it 12 L of diesel at
/// 0.5 L/h last 16 hours a day for 1.5 days; with it the 1,760 L above the outlet last 1,760 / 870 = 2.02.
#[tokio::test]
async fn the_days_count_on_a_battery_before_any_fuel() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let lights = Load {
        id: LoadId::fresh(),
        site: reach.birch,
        name: name("Lights"),
        running_w: 60.0,
        surge_w: None,
        hours_a_day: 10.0,
        pump: false,
        ended: None,
    };
    keep(app, vec![Thing::Pump(pump(reach.birch)), Thing::Load(lights)]).await;
    let machine = Machine::coordinator(&house, &reach).await;
    let path = format!("/api/v1/sites/{}/standing", reach.birch);
    let before = json(&machine.get(&path).await);
    let maren = signed_in(&house, reach.maren).await;
    let page = format!("/sites/{}", reach.birch);
    let ahead = "a day drawn into clean cans";
    let birch = text(&maren.get(&page).await.text);
    assert!(birch.contains(ahead) && !birch.contains("licensed electrician joins"), "{birch}");
    let none = maren.get(&format!("{page}/working?of=battery")).await;
    assert_eq!((none.status, &before["battery"]), (404, &().into()));

    let battery = Battery {
        id: BatteryId::fresh(),
        site: reach.birch,
        idle_w: Some(20.0),
        charge: None,
        panel_loss: None,
        ..made::battery(0)
    };
    keep(app, vec![Thing::Battery(battery.clone())]).await;
    let birch = text(&maren.get(&page).await.text);
    for said in [
        "Gives at the socket 3.7 kWh Taken as full",
        "Runs the pump 17 hours Alone, at 197 W",
        "Asked a day 1.3 kWh Pump 237 Wh, loads 600 Wh, inverter 480 Wh",
        "The sun gives a day 3.1 kWh 2.5 hours of full sun a day, as set up",
        "Everything runs without fuel a year and more",
        "burnt only for what the sun and the battery fall short of",
        "The days above count on it before any fuel",
        "licensed electrician joins",
    ] {
        assert!(birch.contains(said), "{said}: {birch}");
    }
    // No plan for what fuel does not end.
    assert!(!birch.contains(ahead) && !birch.contains("hours a day instead"), "{birch}");
    let working = text(&maren.get(&format!("{page}/working?of=battery")).await.text);
    for said in [
        "Wh · depth of discharge · inverter",
        "hours = Wh / (pump + inverter)",
        "kW · peak-sun hours",
        "A battery that is shorted burns",
    ] {
        assert!(working.contains(said), "{said}: {working}");
    }
    let after = json(&machine.get(&path).await);
    assert_eq!((&before["ended_by"], &after["ended_by"]), (&"fuel".into(), &"water".into()));
    for (standing, days) in [(&before, 1.5), (&after, 1_760.0 / 870.0)] {
        let found = standing["days"].as_f64().unwrap();
        assert!((found - days).abs() < 0.001, "{found}, by hand {days}");
    }
    let figure = |key: &str| after["battery"][key].as_f64().unwrap_or_else(|| panic!("{key}: {after}"));
    assert!((figure("full_wh") - 3_686.4).abs() < 1e-6 && (figure("sun_wh_per_day") - 3_096.0).abs() < 1e-6);
    assert!((figure("pumped_l") - 12_312.0).abs() < 30.0, "{}", figure("pumped_l"));
    assert_eq!(after["battery"]["falls_short"], false);

    // Without its panels it says for how long, and with panels of which nobody knows the sun, what it wants.
    let mut revision = app.picture().set_up.batteries[&battery.id].revision;
    for (panels_w, said) in
        [(None, "Everything runs without fuel 2 days"), (Some(900.0), "Wanted: the hours of full sun a day")]
    {
        let changed = Battery { panels_w, sun_hours: None, ..battery.clone() };
        revision = app.keep(&Caller::House, Thing::Battery(changed), Some(revision)).await.unwrap();
        let birch = text(&maren.get(&page).await.text);
        assert!(birch.contains(said), "{said}: {birch}");
    }

    empty(&house, &reach, &battery, revision).await;
    house.close().await;
}

/// Empty, with 400 W of panels: 774 Wh of 1,317 asked, so fuel runs 0.41 of each day; 3 L at 3.3 a day are 0.9 days, and a
/// plan is wanted. Between two runs 774 − 480 = 294 Wh lift 1,080 L: all that is asked there.
async fn empty(house: &House, reach: &Reach, battery: &Battery, revision: i64) {
    let app = house.running.app();
    let machine = Machine::coordinator(house, reach).await;
    let maren = signed_in(house, reach.maren).await;
    let empty = Battery { charge: Some(0.2), panels_w: Some(400.0), ..battery.clone() };
    app.keep(&Caller::House, Thing::Battery(empty), Some(revision)).await.unwrap();
    let store =
        app.picture().set_up.fuel_stores.values().find(|store| store.thing.site == reach.birch).cloned().unwrap();
    let little = FuelStore { amount_l: 3.0, ..FuelStore::clone(&store.thing) };
    app.keep(&Caller::House, Thing::FuelStore(little), Some(store.revision)).await.unwrap();
    let short = json(&machine.get(&format!("/api/v1/sites/{}/standing", reach.birch)).await);
    let (days, by_hand) = (short["days"].as_f64().unwrap(), 3.0 / (8.0 * (1.0 - 774.0 / 1_317.0)));
    assert!((days - by_hand).abs() < 0.005 && short["ended_by"] == "fuel", "{days}, by hand {by_hand}");
    let birch = text(&maren.get(&format!("/sites/{}", reach.birch)).await.text);
    assert!(birch.contains("flow between the runs, by the battery and the pressure tank"), "{birch}");
    assert!(!birch.contains("a day drawn into clean cans"), "{birch}");
}
