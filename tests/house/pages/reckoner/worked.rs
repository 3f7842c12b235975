//! Calculations of the reckoner against arithmetic by hand.

use keepwell::model::message::Arg;
use keepwell::service::Caller;
use keepwell::service::Error;
use keepwell::service::reckoner::Reckoned;
use keepwell::service::reckoner::calculation;
use serde_json::Value;
use serde_json::json;

use crate::harness::House;

/// What a calculation answers to these figures.
fn asked(house: &House, key: &str, given: Value) -> Result<Reckoned, Error> {
    let Value::Object(given) = given else { panic!("{given} is no object") };
    let one = calculation(key).unwrap();
    house.running.app().reckoned(&Caller::House, one, given)
}

fn found(reckoned: &Reckoned, key: &str) -> Option<f64> {
    reckoned.answer.figures.iter().find(|found| found.key == key).map(|found| found.value)
}

fn says(reckoned: &Reckoned, words: &str) -> bool {
    reckoned
        .answer
        .said
        .iter()
        .any(|message| message.key.contains(words) || format!("{:?}", message.args).contains(words))
}

#[tokio::test]
async fn a_train_is_as_good_as_its_order_and_its_weakest_stage() {
    let house = House::open().await;
    // NSF/ANSI 55 Class A counts as 40 mJ/cm²; 40 CFR 141.720(d)(1): 4 powers of ten of both protozoa, half of one of viruses.
    let usual = asked(&house, "treatment-train", json!({ "turbidity_ntu": 0.5 })).unwrap();
    for (key, log) in [("cryptosporidium_log", 4.0), ("giardia_log", 4.0), ("virus_log", 0.5)] {
        assert!((found(&usual, key).unwrap() - log).abs() < 1e-12, "{key}");
    }
    assert!(usual.answer.said.iter().all(|message| !message.key.starts_with("Stage")), "{:?}", usual.answer.said);
    // The least of 12 and 20 L/min passes; 15 is too much for the first, and then nothing counts.
    let fast = json!({ "flow_1_l_min": 12.0, "flow_3_l_min": 20.0, "left_2_l": 900.0 });
    let fast = asked(&house, "treatment-train", fast).unwrap();
    assert_eq!(found(&fast, "most_l_min"), Some(12.0));
    assert_eq!(found(&fast, "treatable_l"), Some(0.0));
    assert!(says(&fast, "more flows than the stage may pass"));
    let slow = json!({ "flow_l_min": 10.0, "flow_1_l_min": 12.0, "left_2_l": 900.0, "months_2": 3.0 });
    let slow = asked(&house, "treatment-train", slow).unwrap();
    assert_eq!((found(&slow, "treatable_l"), found(&slow, "months_left")), (Some(900.0), Some(3.0)));
    // An empty place in between does not change which stage a fault is said of.
    let kinds = json!({ "stage_1": "chlorine", "stage_2": "none", "stage_3": "carbon", "stage_4": "uv_b" });
    let wrong = asked(&house, "treatment-train", kinds).unwrap();
    let stage =
        wrong.answer.said.iter().find(|message| format!("{message:?}").contains("carbon takes the chlorine out"));
    assert_eq!(stage.unwrap().args[0], ("n", Arg::Count(3)));
    assert!(says(&wrong, "counts as no barrier"));
    assert_eq!(found(&wrong, "giardia_log"), Some(0.0));
    let dark = asked(&house, "treatment-train", json!({ "no_power": true })).unwrap();
    assert_eq!((found(&dark, "treatable_l"), found(&dark, "giardia_log")), (Some(0.0), Some(0.0)));
    // A lamp behind no filter is no barrier, whatever its class.
    let bare = asked(&house, "treatment-train", json!({ "stage_1": "none", "turbidity_ntu": 0.5 })).unwrap();
    assert_eq!(found(&bare, "giardia_log"), Some(0.0));
    house.close().await;
}

#[tokio::test]
async fn a_generator_starts_what_it_runs_only_where_it_has_the_burst() {
    let house = House::open().await;
    // At sea level and 25 °C nothing is lost. A pump of 750 W that starts with 2,250, a refrigerator 150 and 600, light 100:
    // together 1,000 W; the pump starting 250 + 2,250 = 2,500; the pump first 2,250.
    let at_sea = |rated: f64, burst: f64| {
        json!({ "rated_w": rated, "burst_w": burst, "elevation_m": 0.0, "air_c": 25.0, "load_2_w": 150.0,
            "start_2_w": 600.0, "load_3_w": 100.0 })
    };
    let all = asked(&house, "generator-loads", at_sea(2000.0, 2500.0)).unwrap();
    assert_eq!((found(&all, "running_w"), found(&all, "any_start_w")), (Some(1000.0), Some(2500.0)));
    assert_eq!(found(&all, "in_order_w"), Some(2250.0));
    assert!(says(&all, "starts any of them"));
    let rows = &all.answer.table.as_ref().unwrap().rows;
    assert_eq!(rows[0], ("Load 1".to_owned(), vec![2250.0, 750.0]));
    assert_eq!(rows[1], ("Load 2".to_owned(), vec![1350.0, 900.0]));
    assert_eq!(rows[2], ("Load 3".to_owned(), vec![1000.0, 1000.0]));
    assert!(says(
        &asked(&house, "generator-loads", at_sea(2000.0, 2400.0)).unwrap(),
        "A pump that starts by its switch"
    ));
    assert!(says(&asked(&house, "generator-loads", at_sea(2000.0, 2200.0)).unwrap(), "in whatever order"));
    assert!(says(&asked(&house, "generator-loads", at_sea(900.0, 4000.0)).unwrap(), "it stalls"));
    // ENG-115: 8.1015 kW are left of 10 at 1,524 m and 35 °C; so of 3 kW, 2,430.45.
    let high = asked(&house, "generator-loads", json!({ "elevation_m": 1524.0, "air_c": 35.0 })).unwrap();
    assert!((found(&high, "left_w").unwrap() - 2430.45).abs() < 1e-6);
    for (given, field) in [
        (json!({ "start_2_w": 600.0 }), "load_2_w"),
        (json!({ "load_2_w": 600.0, "start_2_w": 500.0 }), "start_2_w"),
        (json!({ "burst_w": 2000.0 }), "burst_w"),
    ] {
        let Err(Error::Invalid(problems)) = asked(&house, "generator-loads", given) else { panic!("{field} is taken") };
        assert_eq!(problems[0].field, field);
    }
    house.close().await;
}

#[tokio::test]
async fn darker_water_gets_less_of_a_lamps_dose() {
    let house = House::open().await;
    // The maker's flow and a new lamp, so that 40 mJ/cm² are left; by hand 40 · 0.530235/0.882061 = 24.0453 (5 cm of 75 and
    // of 95 %).
    let lamp = json!({ "lamp_h": 0.0, "flow_l_min": 30.0, "transmittance": 75.0, "rated_transmittance": 95.0, "path_mm": 50.0 });
    let dark = asked(&house, "uv", lamp).unwrap();
    assert!((found(&dark, "dose_mj_cm2").unwrap() - 24.0453).abs() < 1e-3);
    let half = asked(&house, "uv", json!({ "transmittance": 75.0 }));
    let Err(Error::Invalid(problems)) = half else { panic!("half of it is taken") };
    assert_eq!(problems[0].field, "path_mm");
    house.close().await;
}
