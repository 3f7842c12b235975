//! What arrives at the tap, what the treatment does and how the tanks stand, on a site's page.

use keepwell::model::entry::Act;
use keepwell::model::entry::service::Service;
use keepwell::model::id::PumpId;
use keepwell::model::id::SiteId;
use keepwell::model::id::SourceId;
use keepwell::model::id::StageId;
use keepwell::model::neighbourhood::Neighbourhood;
use keepwell::model::power::Fuel;
use keepwell::model::setup::Thing;
use keepwell::model::site::SiteKind;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::Source;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::DrawWay;
use keepwell::model::works::CurvePoint;
use keepwell::model::works::PipeKind;
use keepwell::model::works::PipeSize;
use keepwell::model::works::Pump;
use keepwell::model::works::Stage;
use keepwell::model::works::StageKind;
use keepwell::model::works::UvClass;
use keepwell::service::Caller;

use crate::api::Machine;
use crate::api::json;
use crate::harness::House;
use crate::pages::scene;
use crate::pages::scene::keep;
use crate::pages::scene::name;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;
use crate::picture::scene as made;

/// A stage of that kind that sets no limit.
fn stage(site: SiteId, place: u32, kind: StageKind) -> Stage {
    Stage {
        id: StageId::fresh(),
        site,
        name: name(&format!("Stage {place}")),
        kind,
        place,
        most_flow_l_per_min: None,
        drop_kpa: None,
        life_months: None,
        fitted: None,
        passed_l: None,
        draws_w: None,
        uv_class: None,
        lamp_hours: None,
        ..made::lamp(0)
    }
}

/// 30 m whatever the flow, through two-inch pipes of no length: what is lost on the way is a millimetre.
pub fn pump(site: SiteId) -> Pump {
    let point = |flow_l_per_min| CurvePoint { flow_l_per_min, head_m: 30.0 };
    Pump {
        id: PumpId::fresh(),
        site,
        name: name("Booster"),
        curve: vec![point(0.0), point(10.0), point(20.0)],
        power_w: None,
        npsh_m: Some(9.0),
        height_m: Some(0.9),
        lift_m: Some(0.0),
        tap_l_per_min: Some(12.0),
        pipe: Some(PipeKind::Plastic),
        suction_size: Some(PipeSize::Two),
        suction_run_m: Some(0.0),
        suction_fittings: None,
        delivery_size: Some(PipeSize::Two),
        delivery_run_m: Some(0.0),
        delivery_fittings: None,
        cut_out_kpa: Some(200.0),
        cut_in_kpa: None,
        precharge_kpa: None,
        tank_l: None,
        ended: None,
    }
}

/// By hand: the water stands 1.9 − 0.9 = 1.0 m over the pump, so 31 m are left for the tap: 998.2 × 9.80665 × 31 =
/// 303.5 kPa, and 12 × √(303.5/300) = 12.07 L a minute. A cubic metre takes 998.2 × 9.80665 × 30 / 0.3 J = 272 Wh.
#[tokio::test]
async fn what_arrives_at_the_tap_is_reckoned_by_hand_too() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    keep(app, vec![Thing::Pump(pump(reach.birch))]).await;
    let maren = signed_in(&house, reach.maren).await;
    let birch = text(&maren.get(&format!("/sites/{}", reach.birch)).await.text);
    for said in [
        "Flow, one tap open 12.1 L a minute",
        "The water of Cellar tank stands 1.00 m over the pump",
        "Pressure at the tap 303 kPa",
        "Electricity for 1,000 L 272 Wh",
        "30 % from wire to water is assumed",
        // 303.5 − 200
        "Over cut-out, taps shut 103 kPa",
        // (101.325 − 2.339)/9.789 = 10.11 m of air, and the water over the pump: 1.0 now, −0.76 at the suction
        "Suction head (NPSH) 11.11 m",
        "At its outlet 9.352 m",
        "It requires 9.00 m",
        "Too little as the tank empties",
        // 58 people × 15 L × 0.272 Wh = 237 Wh in 16 hours
        "load 15 W",
        "licensed plumber",
    ] {
        assert!(birch.contains(said), "{said}: {birch}");
    }
    let working = text(&maren.get(&format!("/sites/{}/working?of=tap", reach.birch)).await.text);
    assert!(working.contains("pump(Q) = lift − level + lines + filter + tap"), "{working}");
    assert!(working.contains("ρ · g · (a + z) − p"), "{working}");
    let fuel = text(&maren.get(&format!("/sites/{}/working?of=fuel", reach.birch)).await.text);
    assert!(fuel.contains("comes from its hydraulics"), "{fuel}");
    assert_eq!(maren.get(&format!("/sites/{}/working?of=tap", reach.hall)).await.status, 404);
    let machine = Machine::coordinator(&house, &reach).await;
    let standing = json(&machine.get(&format!("/api/v1/sites/{}/standing", reach.birch)).await);
    let flow = standing["tap"]["flow_l_per_min"].as_f64().unwrap();
    assert!((flow - 12.07).abs() < 0.01, "{standing}");
    assert_eq!((&standing["power"]["pump_reckoned"], &standing["treatment"]), (&true.into(), &().into()));
    house.close().await;
}

#[tokio::test]
async fn a_pump_of_which_little_is_known_says_what_it_wants() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let bare = Pump { curve: Vec::new(), lift_m: None, ..pump(reach.birch) };
    keep(app, vec![Thing::Pump(bare.clone())]).await;
    let maren = signed_in(&house, reach.maren).await;
    let page = maren.get(&format!("/sites/{}", reach.birch)).await.text;
    let birch = text(&page);
    let wanted = "this is wanted: Three points of its curve How high the highest tap is over it";
    assert!(birch.contains(wanted) && page.contains(&format!("/set-up/pumps/{}", bare.id)), "{birch}");
    // 31 m do not reach a tap 40 m up.
    let high = Pump { lift_m: Some(40.0), ..pump(reach.birch) };
    let high = Thing::Pump(Pump { id: bare.id, ..high });
    let revision = app.picture().set_up.pumps[&bare.id].revision;
    app.keep(&Caller::House, high, Some(revision)).await.unwrap();
    let birch = text(&maren.get(&format!("/sites/{}", reach.birch)).await.text);
    assert!(birch.contains("It makes 30.0 m at most; 39.0 m are needed before anything flows."), "{birch}");
    house.close().await;
}

#[tokio::test]
async fn treated_water_counts_where_every_germ_is_barred() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let cyst = Stage { life_l: Some(1000.0), passed_l: Some(400.0), ..stage(reach.hall, 1, StageKind::CystFilter) };
    keep(app, vec![Thing::Stage(cyst.clone())]).await;
    let maren = signed_in(&house, reach.maren).await;
    let path = format!("/sites/{}", reach.hall);
    let hall = text(&maren.get(&path).await.text);
    assert!(hall.contains("no stage of it is a barrier to viruses"), "{hall}");
    keep(app, vec![Thing::Stage(stage(reach.hall, 2, StageKind::Chlorine))]).await;
    let hall = text(&maren.get(&path).await.text);
    // North, above its outlet: π/4 × 1.8² × (1.655 − 0.14) = 3.855 m³
    assert!(hall.contains("Stage 1, cyst filter 600 L Of 1,000 L"), "{hall}");
    assert!(hall.contains("counted as drinking water: 600 L of the 3,855 L"), "{hall}");
    let working = text(&maren.get(&format!("{path}/working?of=train")).await.text);
    assert!(working.contains("600 L") && working.contains("order of stages: common practice"), "{working}");
    // Renewed, its life begins again.
    let renewed = Service { what: "cartridge changed".to_owned(), stage: Some(cyst.id), note: None };
    scene::log(app, Some(reach.hall), None, scene::days_ago(1), Act::Service(renewed)).await;
    let hall = text(&maren.get(&path).await.text);
    assert!(hall.contains("Stage 1, cyst filter 1,000 L") && hall.contains("Fitted 13 March"), "{hall}");
    assert!(hall.contains("Serviced: cartridge changed, Stage 1 renewed"), "{hall}");
    house.close().await;
}

/// By hand: 4 people at 15 L are 60 L a day; 300 L of filter are 5 days, and 700 L of rain stay behind.
#[tokio::test]
async fn a_filter_gives_out_before_the_water() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let site = scene::site("Mill House", SiteKind::Household, 4);
    let id = site.id;
    let rain = Source {
        id: SourceId::fresh(),
        name: name("Roof"),
        kind: SourceKind::Rain,
        disinfectant: Disinfectant::None,
        notes: String::new(),
    };
    let tank = scene::cubic(&site, "Rain tank", &[(DrawWay::Gravity, 0.0), (DrawWay::Pump, 0.0)]);
    let (tank_id, rain_id) = (tank.id, rain.id);
    let cyst = Stage { life_l: Some(300.0), ..stage(id, 1, StageKind::CystFilter) };
    let chlorine = stage(id, 2, StageKind::Chlorine);
    let stages = [Thing::Stage(cyst.clone()), Thing::Stage(chlorine)];
    let things: Vec<Thing> =
        [Thing::Source(rain), Thing::Site(site), Thing::Vessel(tank)].into_iter().chain(stages).collect();
    keep(app, things).await;
    scene::log(app, None, Some(tank_id), scene::days_ago(3), scene::filled(rain_id)).await;
    scene::log(app, None, Some(tank_id), scene::days_ago(1), scene::dipped(1.0)).await;
    let maren = signed_in(&house, reach.maren).await;
    let mill = text(&maren.get(&format!("/sites/{id}")).await.text);
    assert!(mill.contains("Cyst filter gives out first, on day 5.0."), "{mill}");
    let sites = text(&maren.get("/sites").await.text);
    assert!(sites.contains("cyst filter, day 5.0"), "{sites}");
    // 240 L have passed it: 60 L are left, a day, and a new one makes 300 L again, four days more. It goes into the place
    // of the old one, as logged.
    let renew = "Renew Stage 1 at Mill House, with a spare at hand 4 people, to day 5.0. Half an hour: wash hands";
    assert!(!mill.contains("Renew Stage 1"), "{mill}");
    let kept = app.picture().set_up.stages[&cyst.id].clone();
    let used = Stage { passed_l: Some(240.0), ..cyst.clone() };
    app.keep(&Caller::House, Thing::Stage(used), Some(kept.revision)).await.unwrap();
    let mill = text(&maren.get(&format!("/sites/{id}")).await.text);
    assert!(mill.contains("on day 1.0.") && mill.contains(&format!("+4.0 days {renew}")), "{mill}");
    let machine = Machine::coordinator(&house, &reach).await;
    let moves = json(&machine.get("/api/v1/today/moves").await);
    let line = moves.as_array().unwrap().iter().find(|line| line["what"] == "renew").unwrap();
    assert_eq!((line["stage"].as_str(), line["work_hours"].as_f64()), (Some(&*cyst.id.to_string()), Some(0.5)));
    let renewed = Service { what: "cartridge changed".to_owned(), stage: Some(cyst.id), note: None };
    scene::log(app, Some(id), None, scene::now(), Act::Service(renewed)).await;
    let mill = text(&maren.get(&format!("/sites/{id}")).await.text);
    assert!(mill.contains("on day 5.0.") && !mill.contains("Renew Stage 1"), "{mill}");
    // A lamp that has burnt 8,976 of 9,000 hours has a day left, and fuel for more than ten; a new one leaves the filter's five.
    let lamp = Stage {
        uv_class: Some(UvClass::A),
        lamp_hours: Some(8_976.0),
        most_flow_l_per_min: Some(30.0),
        ..stage(id, 3, StageKind::Ultraviolet)
    };
    let fuel = scene::generator(&app.picture().set_up.sites[&id].thing, Fuel::Diesel, 200.0);
    keep(app, [Thing::Stage(lamp)].into_iter().chain(fuel).collect()).await;
    let mill = text(&maren.get(&format!("/sites/{id}")).await.text);
    let said = "+4.0 days Renew Stage 3 at Mill House, with a spare at hand 4 people, to day 5.0. Half an hour. Unplug the lamp";
    assert!(mill.contains("on day 1.0.") && mill.contains(said), "{mill}");
    // Where another stage ends with it, neither alone is any help.
    let kept = app.picture().set_up.stages[&cyst.id].clone();
    let shorter = Stage { life_l: Some(60.0), ..cyst.clone() };
    app.keep(&Caller::House, Thing::Stage(shorter), Some(kept.revision)).await.unwrap();
    let mill = text(&maren.get(&format!("/sites/{id}")).await.text);
    assert!(mill.contains("on day 1.0.") && !mill.contains("Renew Stage"), "{mill}");
    house.close().await;
}

/// By hand: 2.1 m of water press 2.1 × 9.80665 = 20.6 kPa, 2,100 kg on a square metre. At SDS 1.0 the anchors hold no less
/// than 0.3 × 1.5 of 52.4 kN. The water swings in 2π √(1.8/(3.68 × 9.80665 × 0.9993)) = 1.404 s, so 0.9/1.404 g raise
/// it 0.42 × 1.8 × 0.641 = 0.485 m, with 2.10 − 1.96 m of freeboard.
#[tokio::test]
async fn how_a_tank_stands_is_screened() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let path = format!("/sites/{}", reach.hall);
    let hall = text(&maren.get(&path).await.text);
    assert!(hall.contains("North working 21 kPa 2,100 kg per m²"), "{hall}");
    assert!(hall.contains("More than the 10 kPa usual for: concrete slab on firm ground. Ask a structural engineer."));
    assert!(hall.contains("How hard the ground may shake there is not set up"), "{hall}");
    // 20.594 kPa are 2.987 psi, or 430.1 lb on each of 144 square inches
    maren.set_cookie("kw_units", "us");
    let hall = text(&maren.get(&path).await.text);
    assert!(hall.contains("North working 3 psi 430 lb per ft²"), "{hall}");
    maren.set_cookie("kw_units", "metric");
    let kept = app.picture().set_up.neighbourhood.clone().unwrap();
    let shaken = Neighbourhood { sds_g: Some(1.0), sd1_g: Some(0.6), ..(*kept.thing).clone() };
    app.keep(&Caller::House, Thing::Neighbourhood(shaken), Some(kept.revision)).await.unwrap();
    let hall = text(&maren.get(&path).await.text);
    assert!(hall.contains("its straps have to hold 23.58 kN"), "{hall}");
    assert!(hall.contains("0.485 m, with 0.14 m of freeboard"), "{hall}");
    assert!(hall.contains("ASCE/SEI 7-16, section 13.3"), "{hall}");
    let working = text(&maren.get(&format!("{path}/working?of=structure&vessel={}", reach.north)).await.text);
    assert!(working.contains("How North stands"), "{working}");
    assert!(working.contains("p = m · g/A") && working.contains("δ = 0.42 · D · Ie · Sac"), "{working}");
    let cans = format!("/sites/{}/working?of=structure&vessel={}", reach.weir, reach.unread);
    assert_eq!(maren.get(&cans).await.status, 404, "the cans stand elsewhere");
    for way in ["sheets", "labels"] {
        assert!(maren.get(&path).await.text.contains(&format!("/paper/{way}/{}", reach.hall)), "no way to its {way}");
    }
    let vessel = maren.get(&format!("/vessels/{}", reach.north)).await.text;
    assert!(vessel.contains(&format!("/paper/dip/{}", reach.north)), "{vessel}");
    // The other edition is a link away; on the ground the least force, 0.3 · SDS · Ip · Wp, holds for both.
    let newer = maren.get(&format!("{path}?edition=7-22")).await;
    assert!(text(&newer.text).contains("ASCE/SEI 7-22, section 13.3"), "{}", newer.text);
    assert!(newer.text.contains("edition=7-16#structure") && newer.text.contains("edition=7-22\">"), "{}", newer.text);
    assert!(text(&newer.text).contains("its straps have to hold 23.58 kN"));
    let working = text(&maren.get(&format!("{path}/working?of=structure&edition=7-22")).await.text);
    assert!(working.contains("Earthquake force, ASCE/SEI 7-22"), "{working}");
    let unknown = maren.get(&format!("{path}?edition=1906")).await;
    assert!(unknown.status == 422 && text(&unknown.text).contains("7-16, 7-22"), "{}", unknown.text);
    house.close().await;
}
