//! The routes, the document and the requests made are the same list; and every operation answers each role as it should.

use std::collections::BTreeSet;

use keepwell::model::person::Role;
use reqwest::Method;

use crate::api::Machine;
use crate::api::calls::call;
use crate::api::calls::calls;
use crate::api::house;
use crate::api::json;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;

fn routes(house: &House) -> BTreeSet<(String, String)> {
    let ours = house.running.routes().iter().filter(|route| route.path.starts_with("/api/v1/"));
    ours.map(|route| (route.method.to_string(), route.path.to_owned())).collect()
}

#[tokio::test]
async fn every_route_is_in_the_document_and_is_asked_for() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let document = json(&machine.get("/api/v1/openapi.json").await);
    let described: BTreeSet<(String, String)> = document["paths"]
        .as_object()
        .unwrap()
        .iter()
        .flat_map(|(path, operations)| {
            operations.as_object().unwrap().keys().map(|method| (method.to_uppercase(), path.clone()))
        })
        .collect();
    assert_eq!(described, routes(&house));
    let mut asked = BTreeSet::new();
    for one in calls(&machine, &ids).await {
        let answer = call(&machine, &machine, &one).await;
        assert_eq!(answer.status, one.told[0], "{} {}: {}", one.method, one.path, answer.text);
        asked.insert((one.method.to_string(), one.template.to_owned()));
    }
    assert_eq!(asked, described, "an operation that no request is made of");
    house.close().await;
}

#[tokio::test]
async fn every_operation_answers_each_role_as_the_table_says() {
    let (house, ids) = house().await;
    let machine = Machine::coordinator(&house, &ids).await;
    let own = Machine::with(&house, &ids, Role::Keeper, &[ids.hall]).await.0;
    let foreign = Machine::with(&house, &ids, Role::Keeper, &[ids.weir]).await.0;
    for (place, keeper) in [(1, own), (2, foreign)] {
        for one in calls(&machine, &ids).await {
            let answer = call(&keeper, &machine, &one).await;
            assert_eq!(answer.status, one.told[place], "{place}: {} {}: {}", one.method, one.path, answer.text);
        }
    }
    // Nobody, and a token that was never made.
    let nobody: Visitor = house.visitor();
    for one in calls(&machine, &ids).await {
        let open = one.template == "/api/v1/openapi.json";
        for headers in [&[][..], &[("authorization", "Bearer kwt_00")]] {
            let mut all = vec![("content-type", "application/json"), ("accept", "application/json")];
            if one.method == Method::PATCH {
                all[0].1 = "application/merge-patch+json";
            }
            all.extend_from_slice(headers);
            let body = one.body.as_ref().map(ToString::to_string).unwrap_or_default();
            let answer = nobody.send(one.method.clone(), &one.path, &all, body).await;
            assert_eq!(answer.status, if open { 200 } else { 401 }, "{} {}: {}", one.method, one.path, answer.text);
        }
    }
    // A person who has signed in reads the same in a browser.
    let ruth = scene::signed_in(&house, ids.ruth).await;
    for one in calls(&machine, &ids).await.into_iter().filter(|one| one.method == Method::GET) {
        let answer = ruth.get_with(&one.path, &[("accept", "application/json")]).await;
        assert_eq!(answer.status, one.told[1], "{}: {}", one.path, answer.text);
    }
    house.close().await;
}
