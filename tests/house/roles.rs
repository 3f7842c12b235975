//! Every page's route, met by each who may come: the coordinator, the keeper of the site it is about, the keeper of
//! another, and nobody. A new route is a new line in one of the lists below; the API has its own table.

use keepwell::model::entry::Act;
use keepwell::model::entry::note::Note;
use keepwell::model::id::OutageId;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::outage::Step;
use keepwell::model::person::Role;
use keepwell::model::setup::Thing;
use reqwest::Method;

use crate::api;
use crate::harness::Answer;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::carries::carry;
use crate::pages::scene;
use crate::pages::scene::Reach;

/// Met by everybody.
const OPEN: &[&str] = &[
    "GET /healthz",
    "GET /sign-in",
    "POST /sign-in",
    "POST /sign-out",
    "GET /enter/{token}",
    "POST /enter/{token}",
    "GET /begin/{token}",
    "POST /begin/{token}",
    "POST /preferences",
    "GET /api",
    "GET /problems",
    "GET /problems/{name}",
];

/// Met by whoever has signed in.
const SIGNED_IN: &[&str] = &[
    "GET /",
    "GET /sites",
    "GET /log",
    "GET /log/supplies",
    "GET /log/supplies/{supply}",
    "GET /log/supplies/{supply}/{kind}",
    "POST /log/supplies/{supply}/{kind}",
    "GET /people/me",
    "POST /people/me",
    "GET /set-up",
    "GET /outage",
    "GET /outage/report",
    "GET /outages/{id}",
    "GET /outages/{id}/report",
    "GET /paper",
    "GET /paper/status",
    "GET /reckoner",
    "GET /reckoner/{key}",
    "GET /upkeep",
    "GET /working/need",
    "GET /working/pooled",
    "GET /working/shared",
    "GET /carries",
    "GET /forecast",
];

/// About the hall: its keeper may, another's is told that there is no such thing.
const AT_A_SITE: &[&str] = &[
    "GET /sites/{id}",
    "GET /sites/{id}/working",
    "GET /vessels/{id}",
    "GET /vessels/{id}/dose",
    "GET /vessels/{id}/working",
    "GET /paper/labels/{site}",
    "GET /paper/dip/{vessel}",
    "GET /paper/sheets/{site}",
    "GET /paper/sheets/{site}/type-in",
    "POST /paper/sheets/{site}/type-in",
    "GET /paper/sheets/{site}/typed-in",
    "GET /changes/{seq}",
    "POST /changes/{seq}/undo",
    "GET /entries/{id}",
    "POST /entries/{id}/void",
    "GET /upkeep/rotation/{vessel}",
    "POST /upkeep/rotation/{vessel}",
    "GET /upkeep/fuel/{store}",
    "POST /upkeep/fuel/{store}",
    "POST /carries/{carry}",
    "GET /log/done/{entry}",
    "GET /log/sites/{site}",
    "GET /log/sites/{site}/{kind}",
    "POST /log/sites/{site}/{kind}",
    "GET /log/vessels/{vessel}",
    "GET /log/vessels/{vessel}/{kind}",
    "POST /log/vessels/{vessel}/{kind}",
    "GET /set-up/{noun}/{id}",
    "POST /set-up/{noun}/{id}",
    "GET /set-up/{noun}/{id}/end",
    "POST /set-up/{noun}/{id}/end",
    "GET /set-up/{noun}/{id}/{under}/new",
    "POST /set-up/{noun}/{id}/{under}/new",
];

/// The coordinator's.
const COORDINATORS: &[&str] = &[
    "GET /changes",
    "GET /data",
    "GET /data/backup",
    "GET /data/export/{file}",
    "GET /data/templates/{kind}",
    "GET /data/verify",
    "POST /data/import",
    "GET /entries",
    "GET /outage/new",
    "POST /outage/new",
    "GET /outage/change",
    "POST /outage/change",
    "GET /outage/end",
    "POST /outage/end",
    "GET /people",
    "GET /people/new",
    "POST /people/new",
    "GET /people/{id}",
    "POST /people/{id}",
    "POST /people/{id}/end",
    "POST /people/{id}/link",
    "POST /people/{id}/password",
    "POST /people/{id}/return",
    "GET /set-up/neighbourhood",
    "POST /set-up/neighbourhood",
    "GET /set-up/{noun}/new",
    "POST /set-up/{noun}/new",
    "GET /tokens",
    "POST /tokens",
    "POST /tokens/{id}/revoke",
];

/// What else stands at the hall, and an outage that is on.
struct There {
    entry: String,
    store: String,
    /// the change by which the hall was added
    change: String,
    outage: String,
    carry: String,
}

/// The address of a route, about the hall and what stands there.
fn address(path: &str, ids: &Reach, there: &There) -> String {
    let vessel = ids.north.to_string();
    let (hall, mains, ruth) = (ids.hall.to_string(), ids.mains.to_string(), ids.ruth.to_string());
    let id = match path.split('/').nth(1).unwrap() {
        "vessels" => vessel.as_str(),
        "entries" => there.entry.as_str(),
        "outages" => there.outage.as_str(),
        "people" => ruth.as_str(),
        _ => hall.as_str(),
    };
    let noun = if path.contains("{id}") { "sites" } else { "sources" };
    let kind = if path.starts_with("/log/supplies") {
        "mains"
    } else if path.starts_with("/log/sites") {
        "note"
    } else if path.starts_with("/data") {
        "sites.csv"
    } else {
        "draw"
    };
    path.replace("{id}", id)
        .replace("{site}", &hall)
        .replace("{vessel}", &vessel)
        .replace("{supply}", &mains)
        .replace("{entry}", &there.entry)
        .replace("{store}", &there.store)
        .replace("{carry}", &there.carry)
        .replace("{seq}", &there.change)
        .replace("{noun}", noun)
        .replace("{under}", "banks")
        .replace("{kind}", kind)
        .replace("{file}", "sites.csv")
        .replace("{name}", "invalid")
        .replace("{key}", "dose")
        .replace("{token}", "0000")
}

async fn ask(visitor: &Visitor, method: &Method, path: &str) -> Answer {
    // A multipart form without parts, for the one route that takes files; elsewhere a form that lacks everything.
    if *method == Method::POST && path == "/data/import" {
        let headers = [("origin", visitor.base.as_str()), ("content-type", "multipart/form-data; boundary=x")];
        return visitor.send(Method::POST, path, &headers, "--x--\r\n".to_owned()).await;
    }
    match *method {
        Method::POST => visitor.post(path, &[("id", &api::fresh()), ("revision", "1")]).await,
        _ => visitor.get(path).await,
    }
}

fn sent_away(answer: &Answer) -> bool {
    answer.status == 401 || (answer.status == 303 && answer.header("location").starts_with("/sign-in?next="))
}

#[tokio::test]
async fn every_page_answers_each_role_as_its_list_says() {
    let house = House::open().await;
    let ids = scene::reach(house.running.app()).await;
    let app = house.running.app();
    let act = Act::Note(Note { text: "x".to_owned() });
    let entry = scene::log(app, Some(ids.hall), None, scene::days_ago(1), act).await.to_string();
    let another = scene::person("Orla", Role::Keeper, &[ids.weir]);
    let orla = another.id;
    let since = scene::days_ago(1);
    let outage = Outage {
        id: OutageId::fresh(),
        kind: OutageKind::Real,
        since,
        ended: None,
        target_days: 7.0,
        rations: vec![Step { since, ration: "basic".to_owned() }],
        expected: None,
        ran_out: String::new(),
        notes: String::new(),
    };
    let id = outage.id.to_string();
    let carry = carry(ids.hall, ids.weir, 10.0);
    let agreed = carry.id.to_string();
    scene::keep(app, vec![Thing::Person(another), Thing::Outage(outage), Thing::Carry(carry)]).await;
    let set_up = app.picture().set_up.clone();
    let store = set_up.fuel_stores.values().find(|kept| kept.thing.site == ids.hall).unwrap();
    let change = set_up.sites[&ids.hall].revision.to_string();
    let there = There { entry, store: store.thing.id.to_string(), change, outage: id, carry: agreed };
    let mut wrong = Vec::new();
    for route in house.running.routes().iter().filter(|route| !route.path.starts_with("/api/v1/")) {
        let line = format!("{} {}", route.method, route.path);
        let lists = [OPEN, SIGNED_IN, AT_A_SITE, COORDINATORS];
        let in_lists: Vec<usize> = (0..lists.len()).filter(|list| lists[*list].contains(&line.as_str())).collect();
        let [list] = in_lists[..] else {
            wrong.push(format!("{line}: who may meet it? Add it to one of the lists in tests/house/roles.rs"));
            continue;
        };
        // Signed in anew for each: a route may sign out.
        let maren = scene::signed_in(&house, ids.maren).await;
        let ruth = scene::signed_in(&house, ids.ruth).await;
        let orla = scene::signed_in(&house, orla).await;
        let nobody = house.visitor();
        let path = address(route.path, &ids, &there);
        let answers = [
            ask(&nobody, &route.method, &path).await,
            ask(&orla, &route.method, &path).await,
            ask(&ruth, &route.method, &path).await,
            ask(&maren, &route.method, &path).await,
        ];
        let told = answers.each_ref().map(|answer| answer.status);
        let in_reach = |answer: &Answer| !sent_away(answer) && answer.status != 403;
        let there = |answer: &Answer| in_reach(answer) && answer.status != 404;
        let [nobody, orla, ruth, maren] = &answers;
        let holds = match list {
            0 => answers.iter().all(in_reach),
            1 => sent_away(nobody) && there(orla) && there(ruth) && there(maren),
            2 => sent_away(nobody) && orla.status == 404 && there(ruth) && there(maren),
            _ => sent_away(nobody) && orla.status == 403 && ruth.status == 403 && in_reach(maren),
        };
        if !holds || told.iter().any(|status| *status >= 500) {
            wrong.push(format!(
                "{line} ({path}): nobody, another keeper, its keeper, the coordinator are told {told:?}"
            ));
        }
    }
    let known: Vec<String> =
        house.running.routes().iter().map(|route| format!("{} {}", route.method, route.path)).collect();
    for line in [OPEN, SIGNED_IN, AT_A_SITE, COORDINATORS].concat() {
        if !known.iter().any(|known| known == line) {
            wrong.push(format!("{line}: there is no such route"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    house.close().await;
}
