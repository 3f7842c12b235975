//! What one loss would cost and what would hurt less then, asked of the API, by hand.

use keepwell::model::setup::Thing;
use keepwell::model::vessel::Vessel;
use keepwell::service::Caller;

use crate::api::Machine;
use crate::api::house;
use crate::api::json;

/// Above the outlet: West π/4 × 1.8² × (1.842 − 0.14) = 4.331 m³, the cellar tank of Birch Court 1.9 − 0.14 = 1.760 m³.
const WEST: f64 = 4331.0;
const CELLAR: f64 = 1760.0;

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() < 20.0
}

#[tokio::test]
async fn what_is_supposed_lost_is_missing_from_the_drinking_water() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let vessels = json(&machine.get(&format!("/api/v1/vessels?site={}", ids.hall)).await);
    let west = vessels["items"].as_array().unwrap().iter().find(|vessel| vessel["name"] == "West").unwrap();
    let west = west["id"].as_str().unwrap();
    let asked = async |question: &str| {
        let answer = machine.get(&format!("/api/v1/today/supposed?{question}")).await;
        assert_eq!(answer.status, 200, "{question}: {}", answer.text);
        json(&answer)["pooled"]["drink_l"].as_f64().unwrap()
    };
    let all = asked("").await;
    for (question, gone) in [
        (format!("lost_vessel={west}"), WEST),
        (format!("fouled={west}"), WEST),
        // what stands there is out of reach by any other way
        (format!("pumpless={}", ids.birch), CELLAR),
        // power is not water
        (format!("unpowered={}", ids.birch), 0.0),
        // all of it came from there
        (format!("spoilt={}", ids.mains), all),
        // nothing more comes, and what is there stays
        (format!("failed={}", ids.mains), 0.0),
    ] {
        let left = asked(&question).await;
        assert!(near(all - left, gone), "{question}: {left} of {all}");
    }
    house.close().await;
}

#[tokio::test]
async fn a_guard_says_after_which_loss_it_helps() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let app = house.running.app();
    assert_eq!(json(&machine.get("/api/v1/today/guards").await), serde_json::json!([]), "all is anchored");
    let picture = app.picture();
    let kept = picture.set_up.vessels.values().find(|kept| kept.thing.name.as_str() == "West").unwrap();
    let west = Vessel { anchored: false, ..(*kept.thing).clone() };
    app.keep(&Caller::House, Thing::Vessel(west.clone()), Some(kept.revision)).await.unwrap();
    let guards = json(&machine.get("/api/v1/today/guards").await);
    let [guard] = &guards.as_array().unwrap()[..] else { panic!("{guards}") };
    let step = &guard["step"];
    assert_eq!((guard["after"].as_str(), step["what"].as_str()), (Some("earthquake"), Some("anchor")), "{guard}");
    assert_eq!(step["vessel"].as_str(), Some(&*west.id.to_string()), "{guard}");
    // 72 people at 15 L, for two hours of work
    let of = |member: &str| step[member].as_f64().unwrap();
    assert!((of("gain_days") - WEST / 1080.0).abs() < 0.03 && near(of("gain_l"), WEST), "{guard}");
    assert!((of("work_hours") - 2.0).abs() < 1e-9 && (of("people") - 72.0).abs() < 1e-9, "{guard}");
    let losses = json(&machine.get("/api/v1/today/losses").await);
    let quake = losses.as_array().unwrap().iter().find(|loss| loss["what"] == "earthquake").unwrap();
    assert_eq!((quake["vessels"].as_u64(), quake["people"].as_f64()), (Some(1), Some(72.0)), "{quake}");
    assert!(near(quake["lost_l"].as_f64().unwrap(), WEST), "{quake}");
    house.close().await;
}
