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

/// What comes for certain or never, and an outage whose length is known: the chances are those of the draws.
#[tokio::test]
async fn a_forecast_takes_what_is_supposed_and_how_long_the_mains_are_off() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let asked = async |question: &str| json(&machine.get(&format!("/api/v1/today/forecast?{question}")).await);
    let plain = asked("").await;
    assert_eq!(plain["first"]["ration_lasts"], serde_json::Value::Null);
    let need = json(&machine.get("/api/v1/today").await)["pooled"]["need_l_per_day"].as_f64().unwrap();
    let pooled = |forecast: &serde_json::Value| forecast["pooled_days"]["p50"].as_f64().unwrap();
    let promised = format!("delivery_l=1000&delivery_day=0.5&delivery_at={}", ids.birch);
    let never = asked(&format!("{promised}&delivery_chance=0")).await;
    assert!((pooled(&never) - pooled(&plain)).abs() < 1e-9, "{} and {}", pooled(&never), pooled(&plain));
    // 1,000 L at the need of all; use in each draw is a little more or less
    let comes = asked(&promised).await;
    let more = pooled(&comes) - pooled(&plain);
    assert!((more - 1000.0 / need).abs() < 0.1 * 1000.0 / need, "{more}, by hand {}", 1000.0 / need);
    for (half, most, chance) in [(0.01, 0.01, 1.0), (700.0, 700.0, 0.0)] {
        let known = asked(&format!("outage_half_days={half}&outage_most_days={most}")).await;
        let sites = known["sites"].as_array().unwrap();
        let birch = sites.iter().find(|site| site["site"] == ids.birch.to_string()).unwrap();
        assert_eq!(birch["ration_lasts"].as_f64(), Some(chance), "{half}");
    }
    for (question, field) in [
        ("outage_half_days=3", "outage_most_days"),
        ("outage_most_days=3", "outage_half_days"),
        ("outage_half_days=3&outage_most_days=2", "outage_most_days"),
        ("delivery_chance=1.5", "delivery_chance"),
        ("delivery_chance=0.5", "delivery_l"),
    ] {
        let refused = machine.get(&format!("/api/v1/today/forecast?{question}")).await;
        assert_eq!(refused.status, 422, "{question}");
        assert!(refused.text.contains(field), "{question}: {}", refused.text);
    }
    assert_eq!(machine.get("/api/v1/today/supposed?delivery_chance=0.5").await.status, 422, "a day has no chance");
    house.close().await;
}
