//! One good request for every operation of the API, and what each role is answered: the coordinator, the keeper of the
//! hall, which all of them are about, and the keeper of another site.

use core::sync::atomic::AtomicU32;
use core::sync::atomic::Ordering;

use keepwell::service::reckoner::calculations;
use reqwest::Method;
use serde_json::Value;
use serde_json::json;

use crate::api::Machine;
use crate::api::fresh;
use crate::api::json;
use crate::harness::Answer;
use crate::harness::THEN;
use crate::pages::scene::Reach;

/// A request, and the statuses that (coordinator, keeper of the hall, another keeper) are answered.
pub struct Call {
    pub method: Method,
    /// as the document writes it
    pub template: &'static str,
    pub path: String,
    pub body: Option<Value>,
    pub told: [u16; 3],
}

/// Everybody who has come in.
const ALL: [u16; 3] = [200, 200, 200];
/// Whoever has the site.
const SITE: [u16; 3] = [200, 200, 404];
const MADE_AT_SITE: [u16; 3] = [201, 201, 404];
/// The coordinator alone.
const ONE: [u16; 3] = [200, 403, 403];
const MADE_BY_ONE: [u16; 3] = [201, 403, 403];

pub async fn call(machine: &Machine, tags: &Machine, call: &Call) -> Answer {
    match (&call.method, &call.body) {
        (&Method::GET, _) | (&Method::DELETE, _) => {
            machine.send(call.method.clone(), &call.path, &[], String::new()).await
        }
        (&Method::POST, Some(body)) => machine.post(&call.path, body).await,
        (method, Some(body)) => {
            let tag = tags.get(&call.path).await.header("etag").to_owned();
            if *method == Method::PUT {
                machine.put(&call.path, &tag, body).await
            } else {
                machine.patch(&call.path, &tag, body).await
            }
        }
        other => panic!("{other:?}"),
    }
}

/// Questions of the whole neighbourhood, and of the API itself.
const QUESTIONS: [(&str, [u16; 3]); 20] = [
    ("/api/v1/reckoner", ALL),
    ("/api/v1/today", ALL),
    ("/api/v1/today/sites", ALL),
    ("/api/v1/today/curve", ALL),
    ("/api/v1/today/carries", ALL),
    ("/api/v1/today/moves", ALL),
    ("/api/v1/today/losses", ALL),
    ("/api/v1/today/guards", ALL),
    ("/api/v1/today/deliveries", ALL),
    ("/api/v1/today/forecast", ALL),
    ("/api/v1/today/supposed", ALL),
    ("/api/v1/findings", ALL),
    ("/api/v1/changes", ONE),
    ("/api/v1/kinds", ALL),
    ("/api/v1/choices", ALL),
    ("/api/v1/shapes", ALL),
    ("/api/v1/rations", ALL),
    ("/api/v1/me", ALL),
    ("/api/v1/openapi.json", ALL),
    ("/api/v1/tokens", ONE),
];

/// One request for each operation. `machine` is the coordinator's, and reads what is there.
pub async fn calls(machine: &Machine, ids: &Reach) -> Vec<Call> {
    let mut calls = Vec::new();
    let mut add = |method: Method, template: &'static str, id: &str, body: Option<Value>, told: [u16; 3]| {
        // A keeper asks for the entries of one site.
        let asked = if template == "/api/v1/entries" && method == Method::GET {
            format!("?site={}", ids.hall)
        } else {
            String::new()
        };
        let path = template.replace("{id}", id) + &asked;
        calls.push(Call { method, template, path, body, told });
    };
    let (hall, north, mains) = (ids.hall.to_string(), ids.north.to_string(), ids.mains.to_string());
    let weir = ids.weir.to_string();
    let reckoner = calculations().iter().map(|calculation| (calculation.api(), ALL));
    for (template, told) in reckoner.chain(QUESTIONS) {
        add(Method::GET, template, "", None, told);
    }
    add(Method::GET, "/api/v1/sites/{id}/standing", &hall, None, SITE);
    add(Method::GET, "/api/v1/vessels/{id}/standing", &north, None, SITE);
    add(Method::GET, "/api/v1/vessels/{id}/levels", &north, None, SITE);
    add(Method::GET, "/api/v1/sources/{id}/standing", &mains, None, ALL);

    // The ledger.
    let entry = || json!({ "id": fresh(), "kind": "draw", "at": THEN, "vessel": north, "fields": { "litres": 1 } });
    let logged = entry();
    machine.post("/api/v1/entries", &logged).await;
    add(Method::GET, "/api/v1/entries/{id}", logged["id"].as_str().unwrap(), None, SITE);
    add(Method::POST, "/api/v1/entries", "", Some(entry()), MADE_AT_SITE);
    add(Method::POST, "/api/v1/entries/preview", "", Some(entry()), SITE);
    add(Method::POST, "/api/v1/entries/batch", "", Some(json!({ "entries": [entry()] })), ALL);

    add(Method::GET, "/api/v1/entries", "", None, SITE);

    // The set-up: of each noun one that is there, and one to be added.
    static YEAR: AtomicU32 = AtomicU32::new(1900);
    let year = YEAR.fetch_add(1, Ordering::Relaxed);
    for (list, one, body, [lists, adds, reads, changes]) in nouns([&hall, &weir], year) {
        // The one that is read and changed; a site is the hall itself.
        let (id, mut whole) = if list == "/api/v1/sites" {
            (hall.clone(), json(&machine.get(&format!("/api/v1/sites/{hall}")).await))
        } else {
            let made = json(&machine.post(list, &body).await);
            (made["id"].as_str().unwrap_or_else(|| panic!("{list}: {made}")).to_owned(), made)
        };
        whole.as_object_mut().unwrap().retain(|key, _| key != "id" && key != "revision");
        let mut other = body.clone();
        if other["name"].is_string() {
            other["name"] = name().into();
        } else {
            other["since"] = format!("{}-02-01T00:00:00Z", year).into();
            other["rations"][0]["since"] = other["since"].clone();
            other["ended"] = format!("{}-02-02T00:00:00Z", year).into();
        }
        add(Method::GET, list, "", None, lists);
        add(Method::POST, list, "", Some(other), adds);
        add(Method::GET, one, &id, None, reads);
        add(Method::PUT, one, &id, Some(whole), changes);
        add(Method::PATCH, one, &id, Some(changed(list)), changes);
    }
    let settings = "/api/v1/neighbourhood";
    let whole = json(&machine.get(settings).await);
    add(Method::GET, settings, "", None, ALL);
    add(Method::PUT, settings, "", Some(whole), ONE);
    add(Method::PATCH, settings, "", Some(json!({ "target_days": 10 })), ONE);

    let token = || json!({ "id": fresh(), "name": "Another", "role": "keeper", "sites": [hall] });
    let made = json(&machine.post("/api/v1/tokens", &token()).await);
    let id = made["id"].as_str().unwrap();
    add(Method::POST, "/api/v1/tokens", "", Some(token()), MADE_BY_ONE);
    add(Method::GET, "/api/v1/tokens/{id}", id, None, ONE);
    add(Method::DELETE, "/api/v1/tokens/{id}", id, None, [204, 403, 403]);
    calls
}

/// A change of one member.
fn changed(list: &str) -> Value {
    match list {
        "/api/v1/banks" => json!({ "coupled_at_first": false }),
        "/api/v1/generators" => json!({ "rated_w": 2000.5 }),
        "/api/v1/fuel-stores" => json!({ "stabilised": true }),
        "/api/v1/loads" => json!({ "hours_a_day": 5 }),
        "/api/v1/batteries" => json!({ "idle_w": 15 }),
        "/api/v1/carries" => json!({ "litres_a_day": 50 }),
        "/api/v1/stages" => json!({ "passed_l": 12 }),
        "/api/v1/pumps" => json!({ "lift_m": 4.5 }),
        "/api/v1/people" => json!({ "role": "keeper" }),
        _ => json!({ "notes": "x" }),
    }
}

/// A name that nothing has yet.
fn name() -> String {
    format!("New {}", &fresh()[24..])
}

/// List, address of one, a new one, and who is told what of listing, adding, reading and changing.
type NounCalls = (&'static str, &'static str, Value, [[u16; 3]; 4]);

/// The nouns of the set-up; the outage is one of that year.
fn nouns([hall, weir]: [&str; 2], year: u32) -> [NounCalls; 13] {
    let policy = json!({ "interval_days": 180, "how": "poured_away", "redose_days": 90 });
    let site = json!({ "name": name(), "kind": "household", "pump_hours_a_day": 16 });
    let vessel = json!({
        "site": hall, "name": name(), "shape": "upright_cylinder", "dimensions": { "diameter_m": 0.6, "height_m": 0.9 },
        "draws": [], "material": "polyethylene", "food_grade": true, "closed": true, "opaque": true,
        "stands_on": "ground", "anchored": false, "since": "2026-01-01T00:00:00Z", "policy": policy,
    });
    let generator = json!({ "site": hall, "name": name(), "fuel": "petrol", "rated_w": 2000,
        "burn": [{ "load_w": 0, "litres_per_hour": 0.3 }, { "load_w": 2000, "litres_per_hour": 1.1 }] });
    let store =
        json!({ "site": hall, "name": name(), "fuel": "petrol", "amount_l": 20, "since": "2026-01-05T00:00:00Z" });
    let load = json!({ "site": hall, "name": name(), "running_w": 60, "hours_a_day": 4 });
    let battery = json!({ "site": hall, "name": name(), "capacity_wh": 2560, "usable": 0.8, "inverter": 0.9 });
    let carry =
        json!({ "name": name(), "from": hall, "to": weir, "means": "cart", "litres_a_day": 60, "litres_a_trip": 20 });
    let stage = json!({ "site": hall, "name": name(), "kind": "carbon", "place": 2, "life_l": 4000 });
    let pump = json!({ "site": hall, "name": name(), "curve": [{ "flow_l_per_min": 0, "head_m": 40 },
        { "flow_l_per_min": 30, "head_m": 34 }, { "flow_l_per_min": 60, "head_m": 20 }] });
    let bank = json!({ "site": hall, "name": name(), "coupled_at_first": true });
    let source = json!({ "name": name(), "kind": "well", "disinfectant": "none" });
    let person = json!({ "name": name(), "role": "keeper", "sites": [hall] });
    let outage = json!({ "kind": "drill", "since": format!("{year}-01-01T00:00:00Z"), "ended": format!("{year}-01-02T00:00:00Z"),
        "target_days": 3, "rations": [{ "since": format!("{year}-01-01T00:00:00Z"), "ration": "basic" }] });
    let all = [ALL, MADE_BY_ONE, ALL, ONE];
    let at_site = [ALL, MADE_AT_SITE, SITE, SITE];
    [
        ("/api/v1/sites", "/api/v1/sites/{id}", site, [ALL, [201, 404, 404], SITE, SITE]),
        ("/api/v1/vessels", "/api/v1/vessels/{id}", vessel, at_site),
        ("/api/v1/banks", "/api/v1/banks/{id}", bank, at_site),
        ("/api/v1/generators", "/api/v1/generators/{id}", generator, at_site),
        ("/api/v1/fuel-stores", "/api/v1/fuel-stores/{id}", store, at_site),
        ("/api/v1/loads", "/api/v1/loads/{id}", load, at_site),
        ("/api/v1/batteries", "/api/v1/batteries/{id}", battery, at_site),
        ("/api/v1/stages", "/api/v1/stages/{id}", stage, at_site),
        ("/api/v1/pumps", "/api/v1/pumps/{id}", pump, at_site),
        ("/api/v1/sources", "/api/v1/sources/{id}", source, all),
        ("/api/v1/carries", "/api/v1/carries/{id}", carry, [ONE, MADE_BY_ONE, ONE, ONE]),
        ("/api/v1/outages", "/api/v1/outages/{id}", outage, all),
        ("/api/v1/people", "/api/v1/people/{id}", person, [ONE, MADE_BY_ONE, ONE, ONE]),
    ]
}
