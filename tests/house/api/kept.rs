//! Things of the set-up: listed, added, read, changed; whole answers as they are.

use keepwell::model::person::Role;
use serde_json::Value;
use serde_json::json;

use crate::api::Machine;
use crate::api::fresh;
use crate::api::house;
use crate::api::json;
use crate::api::masked;

/// The first line of a list.
async fn first(machine: &Machine, list: &str) -> Value {
    json(&machine.get(list).await)["items"][0].clone()
}

#[tokio::test]
async fn answers_are_whole() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    for (name, path) in [
        ("today", "/api/v1/today".to_owned()),
        ("today-sites", "/api/v1/today/sites?limit=2".to_owned()),
        ("curve", "/api/v1/today/curve".to_owned()),
        ("with-carries", "/api/v1/today/carries".to_owned()),
        ("moves", "/api/v1/today/moves".to_owned()),
        ("losses", "/api/v1/today/losses".to_owned()),
        ("guards", "/api/v1/today/guards".to_owned()),
        ("deliveries", "/api/v1/today/deliveries".to_owned()),
        ("supposed", "/api/v1/today/supposed?heat_days=2&untreated=true&then_ration=lean&then_after_days=3".to_owned()),
        ("carries", "/api/v1/carries".to_owned()),
        ("sites", "/api/v1/sites?limit=3".to_owned()),
        ("site", format!("/api/v1/sites/{}", ids.hall)),
        ("site-standing", format!("/api/v1/sites/{}/standing", ids.birch)),
        ("vessels", format!("/api/v1/vessels?site={}", ids.hall)),
        ("vessel", format!("/api/v1/vessels/{}", ids.north)),
        ("vessel-standing", format!("/api/v1/vessels/{}/standing", ids.north)),
        ("levels", format!("/api/v1/vessels/{}/levels?since=2026-03-12T00:00:00Z", ids.north)),
        ("sources", "/api/v1/sources".to_owned()),
        ("source", format!("/api/v1/sources/{}", ids.mains)),
        ("source-standing", format!("/api/v1/sources/{}/standing", ids.mains)),
        ("generators", "/api/v1/generators".to_owned()),
        ("fuel-stores", "/api/v1/fuel-stores".to_owned()),
        ("loads", "/api/v1/loads".to_owned()),
        ("people", "/api/v1/people".to_owned()),
        ("person", format!("/api/v1/people/{}", ids.ruth)),
        ("neighbourhood", "/api/v1/neighbourhood".to_owned()),
        ("reckoner-dose", "/api/v1/reckoner/dose?litres=20&free_mg_l=0.1".to_owned()),
        ("entries", format!("/api/v1/entries?vessel={}&limit=2", ids.north)),
    ] {
        let answer = machine.get(&path).await;
        assert_eq!(answer.status, 200, "{path}: {}", answer.text);
        insta::assert_json_snapshot!(name, masked(&answer));
        // What is held is not sent again.
        let tag = answer.header("etag").to_owned();
        assert!(!tag.is_empty(), "{path}");
        let again = machine.get_with(&path, &[("if-none-match", &tag)]).await;
        assert_eq!((again.status, again.text.as_str(), again.header("etag")), (304, "", tag.as_str()), "{path}");
        assert_eq!(machine.get_with(&path, &[("if-none-match", "\"other\"")]).await.status, 200, "{path}");
    }
    let generator = first(&machine, "/api/v1/generators").await;
    let store = first(&machine, "/api/v1/fuel-stores").await;
    for (name, path) in [
        ("generator", format!("/api/v1/generators/{}", generator["id"].as_str().unwrap())),
        ("fuel-store", format!("/api/v1/fuel-stores/{}", store["id"].as_str().unwrap())),
    ] {
        insta::assert_json_snapshot!(name, masked(&machine.get(&path).await));
    }
    house.close().await;
}

#[tokio::test]
async fn an_id_is_one_things_alone_whatever_its_noun() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let mut source = a_source();
    source["id"] = ids.hall.to_string().into();
    let refused = machine.post("/api/v1/sources", &source).await;
    assert_eq!((refused.status, json(&refused)["type"].as_str()), (409, Some("/problems/id-used")));
    house.close().await;
}

fn a_source() -> Value {
    json!({ "name": "Mill well", "kind": "well", "disinfectant": "none", "notes": "behind the mill" })
}

#[tokio::test]
async fn every_noun_is_added_once_read_back_and_changed_from_its_revision() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let hall = ids.hall.to_string();
    let vessel = json!({
        "site": hall, "name": "Barrel", "shape": "upright_cylinder", "dimensions": { "diameter_m": 0.6, "height_m": 0.9 },
        "draws": [{ "way": "dip", "height_m": 0.05 }], "material": "polyethylene", "food_grade": true, "closed": true,
        "opaque": true, "stands_on": "ground", "anchored": false, "since": "2026-01-01T00:00:00Z",
        "policy": { "interval_days": 180, "how": "poured_away", "redose_days": 90 },
    });
    let generator = json!({ "site": hall, "name": "Spare", "fuel": "petrol", "rated_w": 2000,
        "burn": [{ "load_w": 0, "litres_per_hour": 0.3 }, { "load_w": 2000, "litres_per_hour": 1.1 }] });
    let store = json!({ "site": hall, "name": "Cans", "fuel": "petrol", "capacity_l": 40, "amount_l": 20,
        "bought": "2026-01-05", "since": "2026-01-05T00:00:00Z" });
    for (list, body) in [
        ("/api/v1/sources", a_source()),
        (
            "/api/v1/sites",
            json!({ "name": "Gate House", "kind": "household", "pump_hours_a_day": 16,
            "people": [{ "category": "adult", "count": 2.0 }], "latitude": 52.1, "longitude": -6.5 }),
        ),
        ("/api/v1/banks", json!({ "site": hall, "name": "North bank", "coupled_at_first": true })),
        ("/api/v1/vessels", vessel),
        ("/api/v1/generators", generator),
        ("/api/v1/fuel-stores", store),
        ("/api/v1/loads", json!({ "site": hall, "name": "Lights", "running_w": 60, "hours_a_day": 4 })),
        (
            "/api/v1/batteries",
            json!({ "site": hall, "name": "House battery", "capacity_wh": 5120, "usable": 0.8, "inverter": 0.9,
            "idle_w": 12.5, "charge": 0.75, "panels_w": 1600, "sun_hours": 2.5, "panel_loss": 0.2 }),
        ),
        (
            "/api/v1/stages",
            json!({ "site": hall, "name": "Lamp", "kind": "ultraviolet", "place": 3, "uv_class": "a",
            "most_flow_l_per_min": 30, "lamp_hours": 120.5, "fitted": "2026-01-05", "draws_w": 40 }),
        ),
        (
            "/api/v1/pumps",
            json!({ "site": hall, "name": "House pump", "power_w": 700, "pipe": "copper",
            "suction_size": "one", "suction_fittings": 3, "cut_in_kpa": 200, "cut_out_kpa": 350 }),
        ),
        ("/api/v1/people", json!({ "name": "Orla", "role": "keeper", "sites": [hall] })),
    ] {
        let mut sent = body.clone();
        sent["id"] = fresh().into();
        let made = machine.post(list, &sent).await;
        assert_eq!(made.status, 201, "{list}: {}", made.text);
        let place = format!("{list}/{}", sent["id"].as_str().unwrap());
        assert_eq!(made.header("location"), place);
        // The same again is the same.
        let again = machine.post(list, &sent).await;
        assert_eq!((again.status, &again.text), (200, &made.text));
        // Another of that id is refused.
        sent["name"] = "Something else".into();
        let other = machine.post(list, &sent).await;
        assert_eq!((other.status, json(&other)["type"].as_str()), (409, Some("/problems/id-used")), "{list}");
        // Read back as it was sent, and as the list has it.
        let read = machine.get(&place).await;
        assert_eq!((read.status, &read.text), (200, &made.text));
        for (key, value) in body.as_object().unwrap() {
            let there = json(&read)[key].clone();
            let same = there == *value || there.as_f64().is_some_and(|there| Some(there) == value.as_f64());
            assert!(
                same || key == "people" || key == "policy" || key == "dimensions" || key == "burn" || key == "draws",
                "{list} {key}: {there} {value}"
            );
        }
        // Changed from its revision, and not from an older one.
        let tag = read.header("etag").to_owned();
        let renamed = machine.patch(&place, &tag, &json!({ "name": "Renamed" })).await;
        assert_eq!((renamed.status, json(&renamed)["name"].as_str()), (200, Some("Renamed")), "{}", renamed.text);
        let mut expected = json(&read);
        (expected["name"], expected["revision"]) = ("Renamed".into(), json(&renamed)["revision"].clone());
        assert_eq!(json(&renamed), expected, "a patch changes what it names and nothing else");
        let stale = machine.patch(&place, &tag, &json!({ "name": "Late" })).await;
        assert_eq!((stale.status, json(&stale)["type"].as_str()), (412, Some("/problems/stale")));
        let put = machine.put(&place, renamed.header("etag"), &body).await;
        assert_eq!((put.status, json(&put)["name"].clone()), (200, body["name"].clone()), "{}", put.text);
        assert_eq!(machine.put(&place, &tag, &body).await.status, 412);
    }
    house.close().await;
}

#[tokio::test]
async fn the_neighbourhoods_settings_are_one_thing() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let path = "/api/v1/neighbourhood";
    let read = machine.get(path).await;
    let changed = machine.patch(path, read.header("etag"), &json!({ "target_days": 21 })).await;
    assert_eq!((changed.status, json(&changed)["target_days"].as_f64()), (200, Some(21.0)));
    let mut whole = json(&changed);
    whole["zone"] = "Nowhere/At all".into();
    let wrong = machine.put(path, changed.header("etag"), &whole).await;
    assert_eq!((wrong.status, json(&wrong)["errors"][0]["pointer"].as_str()), (422, Some("/zone")));
    whole["zone"] = "Europe/Lisbon".into();
    assert_eq!(machine.put(path, changed.header("etag"), &whole).await.status, 200);
    house.close().await;
}

#[tokio::test]
async fn a_patch_reaches_into_objects_and_null_takes_away() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let path = format!("/api/v1/vessels/{}", ids.north);
    let read = machine.get(&path).await;
    let policy = json!({ "policy": { "redose_days": 30, "floor_mg_l": 0.5 }, "full_m": 1.7 });
    let changed = machine.patch(&path, read.header("etag"), &policy).await;
    let body = json(&changed);
    assert_eq!(changed.status, 200, "{}", changed.text);
    assert_eq!((body["policy"]["redose_days"].as_f64(), body["full_m"].as_f64()), (Some(30.0), Some(1.7)));
    assert_eq!(body["policy"]["how"], json(&read)["policy"]["how"]);
    let cleared = machine
        .patch(&path, changed.header("etag"), &json!({ "policy": { "floor_mg_l": null }, "full_m": null }))
        .await;
    assert_eq!((&json(&cleared)["policy"]["floor_mg_l"], &json(&cleared)["full_m"]), (&Value::Null, &Value::Null));
    // What is needed cannot be taken away.
    let bare = machine.patch(&path, cleared.header("etag"), &json!({ "dimensions": { "height_m": null } })).await;
    assert_eq!(
        (bare.status, json(&bare)["errors"][0]["pointer"].as_str()),
        (422, Some("/dimensions/height_m")),
        "{}",
        bare.text
    );
    house.close().await;
}

#[tokio::test]
async fn a_list_is_walked_to_its_end_each_thing_once() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    for list in ["/api/v1/sites", "/api/v1/vessels", "/api/v1/entries", "/api/v1/today/sites"] {
        let whole = json(&machine.get(&format!("{list}?limit=500")).await);
        assert_eq!(whole["next"], Value::Null);
        let mut walked = Vec::new();
        let mut next = Some(format!("{list}?limit=3"));
        while let Some(path) = next {
            let answer = machine.get(&path).await;
            assert_eq!(answer.status, 200, "{path}: {}", answer.text);
            let page = json(&answer);
            walked.extend(page["items"].as_array().unwrap().clone());
            next = page["next"].as_str().map(str::to_owned);
            let link = next.as_ref().map_or_else(String::new, |next| format!("<{next}>; rel=\"next\""));
            assert_eq!(answer.header("link"), link);
        }
        assert_eq!(&walked, whole["items"].as_array().unwrap(), "{list}");
        assert!(walked.len() > 3);
    }
    house.close().await;
}

#[tokio::test]
async fn a_keepers_token_reaches_its_own_sites_and_no_other() {
    let (house, ids) = house().await;
    let (machine, _) = Machine::with(&house, &ids, Role::Keeper, &[ids.weir]).await;
    let sites = json(&machine.get("/api/v1/sites").await);
    assert_eq!(sites["items"].as_array().unwrap().len(), 1);
    assert_eq!(machine.get(&format!("/api/v1/sites/{}", ids.weir)).await.status, 200);
    for path in [
        format!("/api/v1/sites/{}", ids.hall),
        format!("/api/v1/sites/{}/standing", ids.hall),
        format!("/api/v1/vessels/{}", ids.north),
        format!("/api/v1/vessels/{}/standing", ids.north),
        format!("/api/v1/vessels?site={}", ids.hall),
        format!("/api/v1/entries?site={}", ids.hall),
    ] {
        assert_eq!(machine.get(&path).await.status, 404, "{path}");
    }
    for path in ["/api/v1/people", "/api/v1/entries"] {
        assert_eq!(machine.get(path).await.status, 403, "{path}");
    }
    assert_eq!(machine.post("/api/v1/sources", &a_source()).await.status, 403);
    // Totals are everybody's; another's site has no name in them.
    let today = json(&machine.get("/api/v1/today").await);
    assert_eq!(today["first_without"]["site"], Value::Null);
    assert_eq!(json(&machine.get("/api/v1/today/sites").await)["items"].as_array().unwrap().len(), 1);
    house.close().await;
}
