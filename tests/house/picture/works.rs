//! What is found amiss with treatment, either side of each level.

use keepwell::findings;
use keepwell::findings::Weight;
use keepwell::model::power::BurnPoint;
use keepwell::model::power::Fuel;
use keepwell::model::power::Generator;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::model::works::Stage;
use keepwell::model::works::StageKind;
use keepwell::model::works::UvClass;
use keepwell::picture::fold::Fold;
use keepwell::picture::standing::Standing;
use keepwell_engine::demand::Ladder;
use keepwell_engine::moment::Moment;

use crate::picture::scene;

/// The rules and weights of what is found about these stages on the morning of that day.
fn found(stages: Vec<Stage>, powered: bool, now: &str) -> Vec<(&'static str, Weight)> {
    let mut set_up = SetUp::default();
    set_up.put(Thing::Site(scene::site(0)), 1);
    for stage in stages {
        set_up.put(Thing::Stage(stage), 1);
    }
    if powered {
        let point = |load_w| BurnPoint { load_w, litres_per_hour: 0.5 };
        let (burn, fuel) = (vec![point(0.0), point(2000.0)], Fuel::Petrol);
        let (id, site, name) = (scene::id(0), scene::id(0), scene::name("Set"));
        set_up.put(
            Thing::Generator(Generator { id, site, name, fuel, rated_w: 2000.0, burst_w: None, burn, ended: None }),
            1,
        );
    }
    let fold = Fold::of(set_up, Vec::new(), 0, 0);
    let picture = fold.picture();
    let site = &picture.sites()[0];
    let now = Moment::from_micros(now.parse::<jiff::Timestamp>().unwrap().as_microsecond());
    let ladder = Ladder::default();
    let standing = Standing::of(site, ladder.rung("basic").unwrap(), now).unwrap();
    let scene = findings::Scene { picture, site, standing: Some(&standing), now };
    let ours = ["media", "train", "light"];
    let found = findings::at(&scene);
    found.iter().filter(|found| ours.contains(&found.rule)).map(|found| (found.rule, found.weight)).collect()
}

/// Fitted on the first of January 2026, good for ten months: 304.4 days, which is until the morning of 1 November.
fn filter(n: usize, kind: StageKind, place: u32) -> Stage {
    Stage {
        id: scene::id(n),
        kind,
        place,
        most_flow_l_per_min: None,
        drop_kpa: None,
        life_months: None,
        fitted: Some("2026-01-01".parse().unwrap()),
        passed_l: None,
        uv_class: None,
        lamp_hours: None,
        ..scene::lamp(n)
    }
}

fn lamp(class: UvClass, place: u32) -> Stage {
    Stage { most_flow_l_per_min: Some(30.0), uv_class: Some(class), ..filter(9, StageKind::Ultraviolet, place) }
}

#[test]
fn months_are_told_thirty_days_before_they_end_and_when_they_have() {
    let carbon = || vec![Stage { life_months: Some(10.0), ..filter(0, StageKind::Carbon, 1) }];
    assert_eq!(found(carbon(), true, "2026-10-02T08:00:00Z"), []);
    assert_eq!(found(carbon(), true, "2026-10-02T09:00:00Z"), [("media", Weight::Due)]);
    assert_eq!(found(carbon(), true, "2026-11-01T08:00:00Z"), [("media", Weight::Due)]);
    assert_eq!(found(carbon(), true, "2026-11-01T09:00:00Z"), [("media", Weight::Overdue)]);
}

#[test]
fn litres_are_told_when_a_tenth_is_left_and_when_none_is() {
    let now = "2026-02-01T08:00:00Z";
    let passed = |passed| {
        let stage = filter(0, StageKind::Carbon, 1);
        found(vec![Stage { life_l: Some(1000.0), passed_l: Some(passed), ..stage }], true, now)
    };
    assert_eq!(passed(899.0), []);
    assert_eq!(passed(900.0), [("media", Weight::Due)]);
    assert_eq!(passed(999.0), [("media", Weight::Due)]);
    assert_eq!(passed(1000.0), [("media", Weight::Overdue)]);
}

/// A lamp burns day and night: 9,000 hours are 375 days, which is until 11 January; a counter says otherwise.
#[test]
fn a_lamps_hours_are_its_life() {
    let sediment = || filter(0, StageKind::Sediment, 1);
    let lit = |now| found(vec![sediment(), lamp(UvClass::A, 2)], true, now);
    assert_eq!(lit("2026-12-11T23:00:00Z"), []);
    assert_eq!(lit("2026-12-12T01:00:00Z"), [("media", Weight::Due)]);
    assert_eq!(lit("2027-01-11T01:00:00Z"), [("media", Weight::Overdue)]);
    let counted = |hours| {
        let lamp = Stage { lamp_hours: Some(hours), ..lamp(UvClass::A, 2) };
        found(vec![sediment(), lamp], true, "2027-06-01T00:00:00Z")
    };
    // 30 days are 720 hours.
    assert_eq!(counted(8_279.0), []);
    assert_eq!(counted(8_280.0), [("media", Weight::Due)]);
}

#[test]
fn a_train_in_a_wrong_order_is_told() {
    use StageKind::*;
    let now = "2026-02-01T08:00:00Z";
    let order = |kinds: &[StageKind]| {
        let stages = kinds.iter().zip(1..).map(|(kind, place)| filter(place as usize, *kind, place));
        found(stages.collect(), true, now)
    };
    let amiss = [("train", Weight::Mind)];
    assert_eq!(order(&[Sediment, Carbon, Chlorine]), []);
    assert_eq!(order(&[Carbon, Sediment, Chlorine]), amiss);
    assert_eq!(order(&[Sediment, Chlorine, Carbon]), amiss);
    let sediment = || filter(0, Sediment, 1);
    assert_eq!(found(vec![sediment(), lamp(UvClass::A, 2)], true, now), []);
    assert_eq!(found(vec![sediment(), lamp(UvClass::B, 2)], true, now), amiss);
    assert_eq!(found(vec![lamp(UvClass::A, 1)], true, now), amiss, "no filter before it");
}

#[test]
fn a_lamp_without_power_is_told() {
    let stages = || vec![filter(0, StageKind::Sediment, 1), lamp(UvClass::A, 2)];
    let now = "2026-02-01T08:00:00Z";
    assert_eq!(found(stages(), true, now), []);
    assert_eq!(found(stages(), false, now), [("light", Weight::Mind)]);
    assert_eq!(found(vec![filter(0, StageKind::Sediment, 1)], false, now), []);
}
