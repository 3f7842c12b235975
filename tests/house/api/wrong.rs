//! Every bad input, each a problem that says what, where and what is allowed; and the header that goes with it.

use keepwell::model::person::Role;
use reqwest::Method;
use serde_json::Value;
use serde_json::json;
use tokio::io::AsyncReadExt;
use tokio::io::AsyncWriteExt;
use tokio::net::TcpStream;

use crate::api::Machine;
use crate::api::fresh;
use crate::api::house;
use crate::api::json;
use crate::harness::Answer;
use crate::harness::THEN;
use crate::pages::scene;

const JSON: [(&str, &str); 1] = [("content-type", "application/json")];

/// The kind of problem, the first place it names and what it says of it.
fn told(answer: &Answer) -> (u16, String, String, String) {
    assert_eq!(answer.header("content-type"), "application/problem+json", "{}", answer.text);
    let problem = json(answer);
    assert_eq!(problem["status"], answer.status);
    let error = &problem["errors"][0];
    let place = error["pointer"].as_str().or(error["parameter"].as_str()).unwrap_or("-");
    let words = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    (
        answer.status,
        words(&problem["type"]),
        place.to_owned(),
        (words(&error["detail"]) + &words(&problem["detail"])).replace('\u{a0}', " "),
    )
}

#[tokio::test]
async fn what_cannot_be_read_or_does_not_hold_is_told_with_its_place() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let north = ids.north.to_string();
    let entry = |fields: Value| {
        json!({ "id": fresh(), "kind": "reading", "at": THEN, "vessel": north, "fields": fields }).to_string()
    };
    let stranger =
        json!({ "id": fresh(), "kind": "note", "at": THEN, "site": ids.hall, "fields": { "text": "x" }, "a/b~c": 1 });
    let cases: Vec<(String, u16, &str, &str, &str)> = vec![
        ("{\"id\": ".to_owned(), 400, "/problems/unreadable", "-", "EOF"),
        (String::new(), 400, "/problems/unreadable", "-", "EOF"),
        ("{\"id\": 1, \"id\": 2}".to_owned(), 400, "/problems/unreadable", "-", "twice"),
        ("[]".to_owned(), 422, "/problems/invalid", "", "object"),
        (entry(json!({ "method": "dipstick", "depth_m": "1.2" })), 422, "/problems/invalid", "/fields/depth_m", "number from 0 m to 30 m"),
        (entry(json!({ "method": "dipstick", "depth_m": -3 })), 422, "/problems/invalid", "/fields/depth_m", "−3 m"),
        (entry(json!({ "method": "dipstick", "depth_m": 1e200 })), 422, "/problems/invalid", "/fields/depth_m", "1e+200"),
        (entry(json!({ "method": "dipstick", "depth_m": 29 })), 422, "/problems/invalid", "/fields/depth_m", "deep at most"),
        (entry(json!({ "method": "guess", "depth_m": 1 })), 422, "/problems/invalid", "/fields/method", "dipstick, sight_glass"),
        (entry(json!({ "depth_m": 1 })), 422, "/problems/invalid", "/fields/method", "missing"),
        (entry(json!({ "method": "eye", "part": 0.5, "litres": 3 })), 422, "/problems/invalid", "/fields/depth_m", "several"),
        (stranger.to_string(), 422, "/problems/invalid", "/a~1b~0c", "not known"),
        (json!({ "kind": "dance" }).to_string(), 422, "/problems/invalid", "/kind", "\"dance\""),
        (json!({ "id": "1", "kind": "note", "at": "now", "site": 7, "fields": [] }).to_string(), 422, "/problems/invalid", "/id", "version 7"),
        (
            json!({ "id": fresh(), "kind": "note", "at": "2026-03-14T09:45:00Z", "site": ids.hall, "fields": { "text": "x" } }).to_string(),
            422, "/problems/invalid", "/at", "ahead",
        ),
        (
            json!({ "id": fresh(), "kind": "note", "at": THEN, "site": fresh(), "fields": { "text": "x" } }).to_string(),
            404, "/problems/not-found", "-", "no site",
        ),
        (
            json!({ "id": fresh(), "kind": "fill", "at": THEN, "vessel": north, "fields": { "source": fresh() } }).to_string(),
            422, "/problems/invalid", "/fields/source", "nothing that is kept here",
        ),
    ];
    for (body, status, kind, place, says) in cases {
        let answer = machine.send(Method::POST, "/api/v1/entries", &JSON, body.clone()).await;
        let (got, got_kind, got_place, words) = told(&answer);
        assert_eq!((got, got_kind.as_str(), got_place.as_str()), (status, kind, place), "{body}: {}", answer.text);
        assert!(words.contains(says), "{body}: {words}");
    }
    // All that is wrong is told at once.
    let many = json!({ "id": "1", "kind": "note", "at": "now", "site": 7, "fields": [] });
    let answer = machine.post("/api/v1/entries", &many).await;
    assert_eq!(json(&answer)["errors"].as_array().unwrap().len(), 4, "{}", answer.text);
    house.close().await;
}

#[tokio::test]
async fn addresses_media_and_methods_that_are_wrong_are_told() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    for (path, status, kind, place) in [
        ("/api/v1/sites?limit=0", 422, "/problems/invalid", "limit"),
        ("/api/v1/sites?limit=ten", 422, "/problems/invalid", "limit"),
        ("/api/v1/sites?colour=red", 422, "/problems/invalid", "colour"),
        ("/api/v1/sites?limit=1&limit=2", 422, "/problems/invalid", "limit"),
        ("/api/v1/today?ration=feast", 422, "/problems/invalid", "ration"),
        ("/api/v1/today?x=%zz", 400, "/problems/unreadable", "-"),
        ("/api/v1/sites?after=", 400, "/problems/cursor", "-"),
        ("/api/v1/sites?after=0123", 400, "/problems/cursor", "-"),
        ("/api/v1/sites/none", 404, "/problems/not-found", "-"),
        ("/api/v1/nothing", 404, "/problems/not-found", "-"),
    ] {
        let (got, got_kind, got_place, _) = told(&machine.get(path).await);
        assert_eq!((got, got_kind.as_str(), got_place.as_str()), (status, kind, place), "{path}");
    }
    // A cursor of another list, and of another question of the same list.
    let next = json(&machine.get("/api/v1/sites?limit=1").await)["next"].as_str().unwrap().to_owned();
    let cursor = next.split("after=").nth(1).unwrap();
    for path in [format!("/api/v1/vessels?after={cursor}"), format!("/api/v1/today/sites?after={cursor}")] {
        assert_eq!(told(&machine.get(&path).await).1, "/problems/cursor", "{path}");
    }
    let gone = machine.send(Method::DELETE, "/api/v1/sites", &[], String::new()).await;
    assert_eq!((told(&gone).1.as_str(), gone.header("allow")), ("/problems/method", "GET,HEAD,POST"));
    let form = [("content-type", "application/x-www-form-urlencoded")];
    let media = machine.send(Method::POST, "/api/v1/entries", &form, "kind=draw".to_owned()).await;
    assert_eq!((media.status, told(&media).1.as_str()), (415, "/problems/media"));
    assert!(told(&media).3.contains("application/json"));
    let page = machine.get_with("/api/v1/today", &[("accept", "text/html")]).await;
    assert_eq!((page.status, told(&page).1.as_str()), (406, "/problems/not-acceptable"));
    let long = "x".repeat(1024 * 1024 + 1);
    let large = machine.send(Method::POST, "/api/v1/entries", &JSON, long).await;
    assert_eq!((large.status, told(&large).1.as_str()), (413, "/problems/too-large"));
    let head = machine.send(Method::HEAD, "/api/v1/today", &[], String::new()).await;
    assert_eq!((head.status, head.text.as_str()), (200, ""));
    house.close().await;
}

#[tokio::test]
async fn a_thing_at_the_edge_of_its_ranges_is_refused_in_words_or_kept() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let hall = ids.hall;
    let store = |capacity: f64| {
        json!({ "site": hall, "name": "Edge", "fuel": "petrol", "capacity_l": capacity, "amount_l": 0,
            "since": "2026-01-05T00:00:00Z" })
    };
    assert_eq!(told(&machine.post("/api/v1/fuel-stores", &store(0.0)).await).2, "/capacity_l");
    assert_eq!(machine.post("/api/v1/fuel-stores", &store(0.5)).await.status, 201);
    let none = json!({ "site": hall, "name": "None", "fuel": "petrol", "rated_w": 0, "burn": [] });
    assert_eq!(machine.post("/api/v1/generators", &none).await.status, 422);
    let load = json!({ "site": hall, "name": "Still", "running_w": 0, "surge_w": 0, "hours_a_day": 0 });
    assert_eq!(machine.post("/api/v1/loads", &load).await.status, 201);
    let lamp =
        |class: &str| json!({ "site": hall, "name": "Lamp", "kind": "ultraviolet", "place": 1, "uv_class": class });
    assert_eq!(told(&machine.post("/api/v1/stages", &lamp("a")).await).2, "/most_flow_l_per_min");
    assert_eq!(told(&machine.post("/api/v1/stages", &lamp("c")).await).2, "/uv_class");
    let pump = |heads: [f64; 3], cut_out: f64| {
        let point = |(n, head): (usize, &f64)| json!({ "flow_l_per_min": 10 * n, "head_m": head });
        json!({ "site": hall, "name": "Pump", "curve": heads.iter().enumerate().map(point).collect::<Vec<_>>(),
            "cut_in_kpa": 200, "cut_out_kpa": cut_out })
    };
    assert_eq!(told(&machine.post("/api/v1/pumps", &pump([20.0, 18.0, 30.0], 300.0)).await).2, "/curve");
    assert_eq!(told(&machine.post("/api/v1/pumps", &pump([30.0, 25.0, 10.0], 200.0)).await).2, "/cut_out_kpa");
    assert_eq!(machine.post("/api/v1/pumps", &pump([30.0, 25.0, 10.0], 300.0)).await.status, 201);
    let battery = |members: Value| {
        let mut whole = json!({ "site": hall, "name": "Edge", "capacity_wh": 0.5, "usable": 1, "inverter": 1 });
        whole.as_object_mut().unwrap().extend(members.as_object().unwrap().clone());
        whole
    };
    for (members, place) in [
        (json!({ "capacity_wh": 0 }), "/capacity_wh"),
        (json!({ "usable": 0 }), "/usable"),
        (json!({ "usable": 1.01 }), "/usable"),
        (json!({ "inverter": 0 }), "/inverter"),
        (json!({ "sun_hours": 3 }), "/panels_w"),
        (json!({ "panels_w": 0 }), "/panels_w"),
    ] {
        assert_eq!(told(&machine.post("/api/v1/batteries", &battery(members)).await).2, place);
    }
    assert_eq!(machine.post("/api/v1/batteries", &battery(json!({}))).await.status, 201);
    let site = json!({ "name": "Idle", "kind": "other", "pump_hours_a_day": 0 });
    assert_eq!(told(&machine.post("/api/v1/sites", &site).await).2, "/pump_hours_a_day");
    let path = format!("/api/v1/vessels/{}", ids.north);
    for (member, least, status) in [("full_m", 0.0, 422), ("floor_m", -500.0, 200), ("full_m", 30.0, 422)] {
        let tag = machine.get(&path).await.header("etag").to_owned();
        let answer = machine.patch(&path, &tag, &json!({ member: least })).await;
        assert_eq!(answer.status, status, "{member} {least}: {}", answer.text);
    }
    house.close().await;
}

#[tokio::test]
async fn a_change_says_what_it_began_from() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let path = format!("/api/v1/sites/{}", ids.hall);
    let patch = [("content-type", "application/merge-patch+json")];
    let body = json!({ "notes": "x" }).to_string();
    let missing = machine.send(Method::PATCH, &path, &patch, body.clone()).await;
    assert_eq!((missing.status, told(&missing).1.as_str()), (428, "/problems/revision"));
    for tag in ["*", "r7", "W/\"r7\"", "\"7\""] {
        let wrong = machine.send(Method::PATCH, &path, &[patch[0], ("if-match", tag)], body.clone()).await;
        let (status, _, place, words) = told(&wrong);
        assert_eq!((status, place.as_str()), (422, "If-Match"), "{tag}");
        assert!(words.contains(tag));
    }
    let stale = machine.patch(&path, "\"r1\"", &json!({ "notes": "x" })).await;
    let (status, kind, _, words) = told(&stale);
    assert_eq!((status, kind.as_str()), (412, "/problems/stale"));
    assert!(words.contains("\"r1\""), "{words}");
    house.close().await;
}

#[tokio::test]
async fn who_comes_without_a_token_or_with_a_bad_one_is_told_how_to_come() {
    let (house, ids) = house().await;
    let (machine, id) = Machine::with(&house, &ids, Role::Coordinator, &[]).await;
    let nobody = house.visitor().get("/api/v1/today").await;
    assert_eq!((nobody.status, told(&nobody).1.as_str()), (401, "/problems/sign-in"));
    assert_eq!(nobody.header("www-authenticate"), "Bearer realm=\"Keepwell\"");
    for bad in ["Bearer kwt_00", "Bearer", "Basic bWFyZW46eA==", "Bearer  "] {
        let answer = machine.get_with("/api/v1/today", &[("authorization", bad)]).await;
        assert_eq!((answer.status, told(&answer).1.as_str()), (401, "/problems/token"), "{bad}");
        assert!(answer.header("www-authenticate").contains("invalid_token"));
    }
    // A session does not make up for a token that is not good.
    let visitor = scene::signed_in(&house, ids.maren).await;
    assert_eq!(visitor.get("/api/v1/today").await.status, 200);
    assert_eq!(visitor.get_with("/api/v1/today", &[("authorization", "Bearer kwt_00")]).await.status, 401);
    assert_eq!(machine.get("/api/v1/today").await.status, 200);
    house.running.app().revoke_token(&scene::caller(house.running.app(), ids.maren), id).await.unwrap();
    assert_eq!(machine.get("/api/v1/today").await.status, 401);
    house.close().await;
}

#[tokio::test]
async fn a_token_revoked_while_its_batch_is_on_the_way_stores_nothing() {
    let (house, ids) = house().await;
    let (machine, id) = Machine::with(&house, &ids, Role::Coordinator, &[]).await;
    let entry = json!({ "id": fresh(), "kind": "draw", "at": THEN, "vessel": ids.north, "fields": { "litres": 4 } });
    let body = json!({ "entries": [entry] }).to_string();
    let (head, tail) = body.split_at(20);
    let address = house.running.url().replace("http://", "").replace('/', "");
    let mut stream = TcpStream::connect(&address).await.unwrap();
    let request = format!(
        "POST /api/v1/entries/batch HTTP/1.1\r\nHost: {address}\r\nAuthorization: Bearer {}\r\nContent-Type: \
         application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{head}",
        machine.token(),
        body.len(),
    );
    stream.write_all(request.as_bytes()).await.unwrap();
    stream.flush().await.unwrap();
    // Long enough that its head was read and its token found good.
    tokio::time::sleep(core::time::Duration::from_millis(300)).await;
    let app = house.running.app();
    app.revoke_token(&scene::caller(app, ids.maren), id).await.unwrap();
    stream.write_all(tail.as_bytes()).await.unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).await.unwrap();
    assert!(answer.starts_with("HTTP/1.1 401"), "{answer}");
    assert!(answer.contains("/problems/token"), "{answer}");
    let other = Machine::coordinator(&house, &ids).await;
    assert_eq!(other.get(&format!("/api/v1/entries/{}", entry["id"].as_str().unwrap())).await.status, 404);
    house.close().await;
}

#[tokio::test]
async fn what_cannot_be_supposed_is_named() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    for (asked, status) in [
        ("guests=10".to_owned(), 422),
        (format!("guests=10&guests_at={}", fresh()), 404),
        (format!("lost_site={}", fresh()), 404),
        (format!("lost_vessel={}", fresh()), 404),
        (format!("fouled={}", fresh()), 404),
        (format!("spoilt={}", fresh()), 404),
        (format!("failed={}", fresh()), 404),
        (format!("pumpless={}", fresh()), 404),
        ("frost=perhaps".to_owned(), 422),
        ("heat_days=-1".to_owned(), 422),
        ("heat_days=much".to_owned(), 422),
        ("untreated=perhaps".to_owned(), 422),
        (format!("guests=10&guests_at={}", ids.weir), 200),
        (format!("lost_vessel={}&unpowered={}", ids.north, ids.birch), 200),
        (format!("fouled={}&pumpless={}&frost=true", ids.north, ids.birch), 200),
        (format!("spoilt={}&failed={}", ids.mains, ids.mains), 200),
    ] {
        let answer = machine.get(&format!("/api/v1/today/supposed?{asked}")).await;
        assert_eq!(answer.status, status, "{asked}: {}", answer.text);
    }
    house.close().await;
}
