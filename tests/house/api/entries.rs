//! Entries over the API: logged once, however often they are sent; many at once; voided; looked at beforehand.

use serde_json::Value;
use serde_json::json;

use crate::api::Machine;
use crate::api::fresh;
use crate::api::house;
use crate::api::json;
use crate::api::masked;
use crate::harness::THEN;
use crate::pages::scene::Reach;

fn draw(ids: &Reach, litres: f64) -> Value {
    json!({ "id": fresh(), "kind": "draw", "at": THEN, "vessel": ids.north, "fields": { "litres": litres } })
}

#[tokio::test]
async fn an_entry_sent_again_is_answered_the_same_and_stored_once() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let entry = draw(&ids, 40.0);
    let first = machine.post("/api/v1/entries", &entry).await;
    assert_eq!(first.status, 201, "{}", first.text);
    insta::assert_json_snapshot!("logged", masked(&first));
    let again = machine.post("/api/v1/entries", &entry).await;
    assert_eq!((again.status, &again.text), (200, &first.text));
    // In other words, the same.
    let mut same = entry.clone();
    same["site"] = ids.hall.to_string().into();
    same["at"] = "2026-03-14T10:30:00+01:00".into();
    assert_eq!(machine.post("/api/v1/entries", &same).await.status, 200);
    // And even where it could not be logged any more.
    let path = format!("/api/v1/vessels/{}", ids.north);
    let read = machine.get(&path).await;
    machine.patch(&path, read.header("etag"), &json!({ "ended": "2026-03-14T09:00:00Z" })).await;
    assert_eq!(machine.post("/api/v1/entries", &entry).await.status, 200);
    let listed = json(&machine.get(&format!("/api/v1/entries?vessel={}", ids.north)).await);
    let same = listed["items"].as_array().unwrap().iter().filter(|one| one["id"] == entry["id"]);
    assert_eq!(same.count(), 1);
    let mut other = entry.clone();
    other["fields"]["litres"] = 41.into();
    let refused = machine.post("/api/v1/entries", &other).await;
    assert_eq!((refused.status, json(&refused)["type"].as_str()), (409, Some("/problems/id-used")));
    assert_eq!(json(&machine.get(first.header("location")).await), json(&first));
    house.close().await;
}

#[tokio::test]
async fn a_wrong_entry_is_voided_and_stays_in_sight() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let entry = draw(&ids, 400.0);
    machine.post("/api/v1/entries", &entry).await;
    let standing = format!("/api/v1/vessels/{}/standing", ids.north);
    let drawn = json(&machine.get(&standing).await)["litres"].as_f64().unwrap();
    let void = json!({ "id": fresh(), "kind": "void", "at": THEN, "fields": { "entry": entry["id"], "reason": "40, not 400" } });
    let voided = machine.post("/api/v1/entries", &void).await;
    assert_eq!(voided.status, 201, "{}", voided.text);
    let read = json(&machine.get(&format!("/api/v1/entries/{}", entry["id"].as_str().unwrap())).await);
    assert_eq!(read["voided"], json!({ "entry": void["id"], "reason": "40, not 400" }));
    let back = json(&machine.get(&standing).await)["litres"].as_f64().unwrap();
    assert!((back - drawn - 400.0).abs() < 1.0, "{back} {drawn}");
    house.close().await;
}

#[tokio::test]
async fn a_batch_has_one_result_for_each_and_can_be_sent_again() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let (one, two) = (draw(&ids, 1.0), draw(&ids, 2.0));
    let mut twice = one.clone();
    twice["fields"]["litres"] = 9.into();
    let void = json!({ "id": fresh(), "kind": "void", "at": THEN, "fields": { "entry": two["id"], "reason": "no" } });
    let entries = json!([
        one, two, { "id": fresh(), "kind": "draw", "at": THEN, "vessel": ids.north, "fields": { "litres": "3" } }, twice, one, void,
        { "id": fresh(), "kind": "draw", "at": THEN, "vessel": fresh(), "fields": {} }, {}, { "kind": "nothing" },
        { "id": fresh(), "kind": "draw", "at": THEN, "vessel": ids.north, "fields": { "litres": 1e6 } },
    ]);
    let first = machine.post("/api/v1/entries/batch", &json!({ "entries": entries })).await;
    assert_eq!(first.status, 200, "{}", first.text);
    insta::assert_json_snapshot!("batch", masked(&first));
    let again = json(&machine.post("/api/v1/entries/batch", &json!({ "entries": entries })).await);
    let told: Vec<u64> =
        again["results"].as_array().unwrap().iter().map(|one| one["status"].as_u64().unwrap()).collect();
    assert_eq!(told, [200, 200, 422, 409, 200, 200, 404, 422, 422, 422]);
    assert_eq!(
        (again["stored"].as_u64(), again["again"].as_u64(), again["refused"].as_u64()),
        (Some(0), Some(4), Some(6))
    );
    house.close().await;
}

#[tokio::test]
async fn a_thousand_entries_are_one_batch_and_one_more_is_none() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let mut entries: Vec<Value> = (0..1000).map(|_| draw(&ids, 0.01)).collect();
    let stored = json(&machine.post("/api/v1/entries/batch", &json!({ "entries": entries })).await);
    assert_eq!(stored["stored"], 1000);
    entries.push(draw(&ids, 0.01));
    let long = machine.post("/api/v1/entries/batch", &json!({ "entries": entries })).await;
    let problem = json(&long);
    assert_eq!((long.status, problem["type"].as_str()), (413, Some("/problems/batch")));
    assert!(problem["detail"].as_str().unwrap().contains("1,001"), "{problem}");
    house.close().await;
}

#[tokio::test]
async fn a_preview_stores_nothing() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let standing = format!("/api/v1/vessels/{}/standing", ids.north);
    let before = json(&machine.get(&standing).await)["litres"].as_f64().unwrap();
    let entry = draw(&ids, 100.0);
    let would = machine.post("/api/v1/entries/preview", &entry).await;
    assert_eq!(would.status, 200, "{}", would.text);
    assert!((before - json(&would)["litres"].as_f64().unwrap() - 100.0).abs() < 1.0);
    assert_eq!(json(&machine.get(&standing).await)["litres"].as_f64(), Some(before));
    assert_eq!(machine.get(&format!("/api/v1/entries/{}", entry["id"].as_str().unwrap())).await.status, 404);
    house.close().await;
}
