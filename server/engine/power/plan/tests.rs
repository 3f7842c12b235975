//! Run plans by hand, and what holds of each.

use proptest::prelude::*;

use super::*;
use crate::endurance;
use crate::endurance::Run;
use crate::endurance::Stock;
use crate::endurance::Uses;
use crate::endurance::usual_levels;
use crate::grade::Grade;
use crate::power::BurnPoint;
use crate::power::FuelKind;
use crate::quantity::watts;
use crate::vessel::Way;

fn set(fuel: FuelKind, no_load: f64) -> Generator {
    let point = |load, burn| BurnPoint { load: watts(load), burn: litres_per_hour(burn) };
    Generator::new(fuel, watts(3000.0), &[point(0.0, no_load), point(3000.0, no_load + 1.3)]).unwrap()
}

/// As in the data sheet: the pump takes 1.25 h and 0.96875 L a day, an hour more 0.45 L; the water lasts 10 days.
fn ask(generator: &Generator) -> ToRun<'_> {
    ToRun {
        generator,
        beside: watts(0.0),
        pump: watts(750.0),
        flow: litres_per_hour(1200.0),
        a_day: litres(1500.0),
        water: litres(15_000.0),
        fuel: litres(24.0),
        target: None,
        bridge: litres(20.0),
        runs: 2,
        first: hours(FIRST_RUN),
    }
}

fn near(got: f64, expected: f64) {
    assert!((got - expected).abs() < 1e-6, "{got}, expected {expected}");
}

#[test]
fn by_hand_the_runs_and_what_lies_between_them() {
    let petrol = set(FuelKind::Petrol, 0.45);
    let plan = run_plan(&ask(&petrol)).unwrap();
    near(as_days(plan.fuel_lasts), 10.0);
    near(as_litres(plan.fuel_a_day), 2.4);
    // two runs of 2.215278 h; 16 − 4.430556 = 11.569444 h between them, so the second begins at 6 + 13.784722 h
    near(as_hours(plan.runs[0].starts), 6.0);
    near(as_hours(plan.runs[1].starts), 19.784_722);
    near(as_hours(plan.runs[1].lasts), 2.215_278);
    near(as_hours(plan.longest_gap), 11.569_444);
    // between them 1,500 × 11.569444/16 = 1,084.635 L are asked for: 20 L flow, the rest is drawn ahead
    near(as_litres(plan.bridged), 20.0);
    near(as_litres(plan.drawn_ahead), 1_064.635_417);
    // three runs: two gaps of half as long, bridged twice
    let three = run_plan(&ToRun { runs: 3, ..ask(&petrol) }).unwrap();
    near(as_hours(three.longest_gap), 5.784_722);
    near(as_litres(three.bridged), 40.0);
    near(as_hours(three.runs[2].starts + three.runs[2].lasts), 22.0);
    // one, from 20:00: until 0:26, and the gap after it
    let one = run_plan(&ToRun { runs: 1, first: hours(20.0), ..ask(&petrol) }).unwrap();
    assert_eq!(one.runs.len(), 1);
    near(as_hours(one.runs[0].lasts), 4.430_556);
    assert_eq!(plan.working(&ask(&petrol)).trust, Trust::InRange);
}

#[test]
fn by_hand_what_sets_the_hours() {
    let petrol = set(FuelKind::Petrol, 0.45);
    // 5 L ÷ 0.96875 L a day = 5.161290 days is the most that the pump allows; on demand 5 ÷ 7.60625 = 0.657354
    let little = run_plan(&ToRun { fuel: litres(5.0), ..ask(&petrol) }).unwrap();
    assert_eq!(little.set_by, SetBy::Pump);
    near(as_hours(little.hours), 1.25);
    near(as_days(little.fuel_lasts), 5.161_290);
    near(as_days(little.gains), 5.161_290 - 0.657_354);
    // 100 L ÷ 7.60625 = 13.147 days on demand: longer than the water, so nothing is gained
    let plenty = run_plan(&ToRun { fuel: litres(100.0), ..ask(&petrol) }).unwrap();
    assert_eq!((plenty.set_by, plenty.runs.len()), (SetBy::OnDemand, 1));
    near(as_hours(plenty.hours), 16.0);
    near(as_days(plenty.gains), 0.0);
    near(as_litres(plenty.drawn_ahead), 0.0);
    // 6 days are asked for: 4 L a day, 1.25 + (4 − 0.96875)/0.45 = 7.986111 h
    let six = run_plan(&ToRun { target: Some(days(6.0)), ..ask(&petrol) }).unwrap();
    near(as_hours(six.hours), 7.986_111);
    // 20 days are asked for, but the water lasts 10
    let twenty = run_plan(&ToRun { target: Some(days(20.0)), ..ask(&petrol) }).unwrap();
    near(as_days(twenty.wanted), 10.0);
    // a light of 300 W beside it: b₁ = 0.45 + 1.3 × 0.35 = 0.905, b₀ = 0.58; 1.25 + (2.4 − 1.13125)/0.58 = 3.4375 h
    let lit = run_plan(&ToRun { beside: watts(300.0), ..ask(&petrol) }).unwrap();
    near(as_hours(lit.hours), 3.4375);
    // nothing is burnt at no load: 1.25 h × 0.325 = 0.40625 L a day however long it runs, so it runs on demand
    let thrifty = set(FuelKind::Petrol, 0.0);
    let free = run_plan(&ToRun { fuel: litres(4.0), ..ask(&thrifty) }).unwrap();
    assert_eq!(free.set_by, SetBy::Pump);
    near(as_days(free.fuel_lasts), 9.846_154);
    let free = run_plan(&ToRun { fuel: litres(5.0), ..ask(&thrifty) }).unwrap();
    assert_eq!(free.set_by, SetBy::OnDemand);
}

#[test]
fn a_run_by_the_plan_has_fuel_for_as_long_as_it_has_water() {
    // 100 people at 15 L are the 1,500 L a day of the plan: on day 10 the last litre of either is gone.
    let petrol = set(FuelKind::Petrol, 0.45);
    let plan = run_plan(&ask(&petrol)).unwrap();
    let run = Run {
        horizon: days(30.0),
        people: 100.0,
        levels: usual_levels(Uses::litres(3.0, 6.0, 6.0, 0.0), litres(7.5), false),
        stocks: vec![Stock {
            id: "tank".into(),
            grade: Grade::Drink,
            volume: litres(15_000.0),
            heel: [(Way::Pump, litres(0.0)), (Way::Dip, litres(0.0))].into_iter().collect(),
        }],
        power: Some(endurance::Power { fuel: Some(litres(24.0)), burn: plan.burn, hours_a_day: plan.hours }),
        battery: None,
        treatment: None,
        keep_drinking: days(0.0),
        events: vec![],
    };
    let timeline = endurance::run(&run).unwrap();
    near(as_days(timeline.days_at_ration), 10.0);
    near(as_litres(timeline.left[0]), 0.0);
    // on demand, 7.60625 L in 16 hours: 3.155300 days at the tap
    let on_demand =
        endurance::Power { burn: litres_per_hour(7.60625 / 16.0), hours_a_day: hours(16.0), ..run.power.unwrap() };
    let timeline = endurance::run(&Run { power: Some(on_demand), ..run }).unwrap();
    near(as_days(timeline.days_at_ration), as_days(plan.on_demand));
    near(as_days(plan.on_demand), 3.155_300);
}

#[test]
fn what_cannot_be_planned_is_refused_by_name() {
    let (petrol, main) = (set(FuelKind::Petrol, 0.45), set(FuelKind::MainsGas, 0.45));
    let good = ask(&petrol);
    let bad: [(ToRun<'_>, &str); 12] = [
        (ToRun { a_day: litres(0.0), ..good }, "litres needed a day is 0"),
        (ToRun { water: litres(f64::NAN), ..good }, "water in reach of the pump is NaN"),
        (ToRun { fuel: litres(-1.0), ..good }, "fuel is -1"),
        (ToRun { flow: litres_per_hour(0.0), ..good }, "what the pump delivers is 0"),
        (ToRun { flow: litres_per_hour(60.0), ..good }, "25.0 hours"),
        (ToRun { target: Some(days(0.0)), ..good }, "days the fuel is to last is 0"),
        (ToRun { bridge: litres(-5.0), ..good }, "volume is -5"),
        (ToRun { runs: 0, ..good }, "runs a day is 0"),
        (ToRun { runs: 4, ..good }, "runs a day is 4"),
        (ToRun { first: hours(24.0), ..good }, "hour of the first run is 24"),
        (ToRun { pump: watts(3500.0), ..good }, "3500 W"),
        (ToRun { generator: &main, ..good }, "gas from the main"),
    ];
    for (ask, words) in bad {
        let error = run_plan(&ask).unwrap_err().to_string();
        assert!(error.contains(words) && error.contains("allowed"), "{error:?} does not say {words:?}");
    }
}

proptest! {
    #[test]
    fn a_plan_keeps_to_its_hours_and_never_loses(
        fuel in 0.1..500.0f64, water in 10.0..1e5f64, a_day in 10.0..2e4f64, no_load in 0.0..1.0f64, runs in 1u32..4,
        target in prop::option::of(0.5..60.0f64), bridge in 0.0..5e3f64,
    ) {
        let set = set(FuelKind::Diesel, no_load);
        let ask = ToRun {
            fuel: litres(fuel), water: litres(water), a_day: litres(a_day), target: target.map(days), runs,
            bridge: litres(bridge), ..ask(&set)
        };
        let plan = run_plan(&ask).unwrap();
        let (h, least) = (as_hours(plan.hours), as_hours(plan.least));
        prop_assert!(h >= least - 1e-9 && h <= least.max(16.0) + 1e-9);
        prop_assert!(as_days(plan.gains) >= -1e-9);
        let lasts = as_days(plan.fuel_lasts) / as_days(plan.wanted) - 1.0;
        match plan.set_by {
            SetBy::Fuel => prop_assert!(lasts.abs() < 1e-9),
            SetBy::OnDemand => prop_assert!(lasts >= -1e-9),
            SetBy::Pump => prop_assert!(lasts < 0.0 && (h - least).abs() < 1e-9),
        }
        let run: f64 = plan.runs.iter().map(|run| as_hours(run.lasts)).sum();
        prop_assert!((run - h).abs() < 1e-9);
        let asked = a_day * (16.0 - h).max(0.0) / 16.0;
        prop_assert!((as_litres(plan.bridged + plan.drawn_ahead) - asked).abs() < 1e-6);
        prop_assert!((as_litres(plan.burn * plan.hours) - as_litres(plan.fuel_a_day)).abs() < 1e-9 * fuel.max(1.0));
    }

    #[test]
    fn any_plan_is_an_answer_or_an_error(f in prop::array::uniform9(prop_oneof![prop::num::f64::ANY, 0.0..3e3f64]), runs: u32) {
        let set = set(FuelKind::Diesel, 0.3);
        let ask = ToRun {
            generator: &set, beside: watts(f[0]), pump: watts(f[1]), flow: litres_per_hour(f[2]), a_day: litres(f[3]),
            water: litres(f[4]), fuel: litres(f[5]), target: Some(days(f[6])), bridge: litres(f[7]), runs: runs % 5,
            first: hours(f[8]),
        };
        if let Ok(plan) = run_plan(&ask) {
            prop_assert!(plan.working(&ask).steps.iter().all(|step| step.figure.value.is_finite()));
            prop_assert!(as_days(plan.gains).is_finite() && as_litres_per_hour(plan.burn).is_finite());
        }
    }
}
