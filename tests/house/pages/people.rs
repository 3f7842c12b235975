//! Accounts: added, changed, ended; who may open the pages; one's own password.

use keepwell::model::id::PersonId;
use keepwell::model::id::SiteId;
use keepwell::model::name::Name;
use keepwell::model::person::Person;
use keepwell::model::setup::Thing;
use keepwell::service::Caller;
use reqwest::Method;

use crate::harness::Answer;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::sign_in::PASSWORD;
use crate::pages::sign_in::is_in;
use crate::pages::sign_in::set_up;

const THEIRS: &str = "two dry socks";

fn found(house: &House, name: &str) -> (PersonId, Person, i64) {
    let picture = house.running.app().picture();
    let kept = picture.set_up.people.values().find(|kept| kept.thing.name.as_str() == name).unwrap();
    (kept.thing.id, Person::clone(&kept.thing), kept.revision)
}

/// A value that stands in a page behind `before`, up to the next quote or tag.
fn after<'a>(answer: &'a Answer, before: &str) -> &'a str {
    answer
        .text
        .split(before)
        .nth(1)
        .unwrap_or_else(|| panic!("no {before} in {}", answer.text))
        .split(['"', '<'])
        .next()
        .unwrap()
}

/// Adds a keeper by the form, as it is drawn.
async fn add(visitor: &Visitor, name: &str, changes: &[(&str, &str)]) -> Answer {
    let drawn = visitor.get("/people/new").await;
    let id = after(&drawn, "name=\"id\" value=\"").to_owned();
    let mut fields =
        vec![("id", id.as_str()), ("name", name), ("role", "keeper"), ("way", "password"), ("password", THEIRS)];
    for (name, value) in changes {
        fields.retain(|(field, _)| field != name);
        fields.push((name, value));
    }
    visitor.post("/people/new", &fields).await
}

async fn signed_in(house: &House, name: &str, password: &str) -> Visitor {
    let visitor = house.visitor();
    let answer = visitor.post("/sign-in", &[("name", name), ("password", password)]).await;
    assert_eq!(answer.status, 303, "{}", answer.text);
    visitor
}

#[tokio::test]
async fn the_coordinator_adds_a_keeper_who_may_not_open_these_pages() {
    let (house, visitor) = set_up().await;
    let answer = add(&visitor, "Tom & <Ann>", &[]).await;
    assert_eq!((answer.status, answer.header("location")), (303, "/people"), "{}", answer.text);
    let list = visitor.get("/people").await;
    assert!(list.text.contains("Tom &#38; &#60;Ann&#62;") && list.text.contains("none yet"), "{}", list.text);
    assert!(!list.text.contains("The network can read along"), "from this machine itself");

    let keeper = signed_in(&house, "Tom & <Ann>", THEIRS).await;
    let (id, ..) = found(&house, "Ruth");
    for path in ["/people".to_owned(), "/people/new".to_owned(), format!("/people/{id}")] {
        let refused = keeper.get(&path).await;
        assert!(refused.status == 403 && refused.text.contains("That is for the coordinator."), "{}", refused.text);
    }
    let fields =
        [("id", "0198c1de-0000-7000-8000-000000000001"), ("name", "Eve"), ("role", "coordinator"), ("revision", "1")];
    for path in ["", "/password", "/link", "/end", "/return"].map(|act| format!("/people/{id}{act}")) {
        assert_eq!(keeper.post(&path, &fields).await.status, 403, "{path}");
    }
    assert_eq!(keeper.post("/people/new", &fields).await.status, 403);
    assert_eq!(house.running.app().picture().set_up.people.len(), 2);
    house.close().await;
}

#[tokio::test]
async fn a_wrong_account_comes_back_as_typed() {
    let (house, visitor) = set_up().await;
    for (name, changed, value, words) in [
        (" ", "", "", "Give it a name."),
        ("ruth", "", "", "ruth is taken."),
        ("Tom", "role", "king", "Choose one of these."),
        ("Tom", "password", "short", "A password has 8 characters or more."),
        ("Tom", "sites", "0198c1de-0000-7000-8000-000000000001", "There is no such site."),
    ] {
        let answer = add(&visitor, name, &[(changed, value)]).await;
        assert!(answer.status == 422 && answer.text.contains(words), "{words}: {}", answer.text);
        assert!(answer.text.contains(&format!("value=\"{name}\"")), "{}", answer.text);
        assert!(!answer.text.contains(THEIRS), "a password is not sent back");
    }
    assert_eq!(visitor.post("/people/new", &[("name", "Tom"), ("role", "keeper")]).await.status, 400);
    assert_eq!(house.running.app().picture().set_up.people.len(), 1);
    house.close().await;
}

#[tokio::test]
async fn a_second_tap_adds_nobody_twice() {
    let (house, visitor) = set_up().await;
    let id = after(&visitor.get("/people/new").await, "name=\"id\" value=\"").to_owned();
    let fields = [("id", id.as_str()), ("name", "Tom"), ("role", "keeper"), ("way", "password"), ("password", THEIRS)];
    for _ in 0..2 {
        assert_eq!(visitor.post("/people/new", &fields).await.status, 303);
    }
    assert_eq!(house.running.app().picture().set_up.people.len(), 2);
    let other = [("id", id.as_str()), ("name", "Tim"), ("role", "keeper"), ("way", "password"), ("password", THEIRS)];
    assert_eq!(visitor.post("/people/new", &other).await.status, 412, "another account under the same number");
    house.close().await;
}

#[tokio::test]
async fn a_link_is_shown_once_and_lets_its_owner_choose_a_password() {
    let (house, visitor) = set_up().await;
    let shown = add(&visitor, "Tom", &[("way", "link"), ("password", "")]).await;
    let first = after(&shown, "/enter/").to_owned();
    assert_eq!(shown.status, 200);
    let (id, ..) = found(&house, "Tom");
    let second = after(&visitor.post(&format!("/people/{id}/link"), &[]).await, "/enter/").to_owned();
    let keeper = house.visitor();
    assert_eq!(keeper.get(&format!("/enter/{first}")).await.status, 404, "an earlier link is good no more");
    let entered = keeper.post(&format!("/enter/{second}"), &[]).await;
    assert_eq!((entered.status, entered.header("location")), (303, "/people/me"));
    let page = keeper.get("/people/me").await;
    assert!(page.text.contains("Choose a password") && !page.text.contains("name=\"current\""), "{}", page.text);
    let chosen = keeper.post("/people/me", &[("password", THEIRS), ("again", THEIRS)]).await;
    assert_eq!((chosen.status, chosen.header("location")), (303, "/people/me?done=1"), "{}", chosen.text);
    assert!(is_in(&keeper).await && is_in(&signed_in(&house, "Tom", THEIRS).await).await);
    house.close().await;
}

#[tokio::test]
async fn an_account_changes_ends_and_is_taken_up_again() {
    let (house, visitor) = set_up().await;
    add(&visitor, "Tom", &[]).await;
    let keeper = signed_in(&house, "Tom", THEIRS).await;
    let (id, _, revision) = found(&house, "Tom");
    let path = format!("/people/{id}");
    let drawn = visitor.get(&path).await;
    assert_eq!(after(&drawn, "name=\"revision\" value=\""), revision.to_string());
    let revision = revision.to_string();
    let fields = [("name", "Tomas"), ("role", "coordinator"), ("revision", revision.as_str())];
    assert_eq!(visitor.post(&path, &fields).await.status, 303);
    assert_eq!(keeper.get("/people").await.status, 200, "a coordinator now");
    assert_eq!(visitor.post(&path, &fields).await.status, 412, "it began from an earlier revision");
    assert_eq!(visitor.post(&path, &[("name", "Tomas"), ("role", "keeper")]).await.status, 400, "no revision");

    let (_, _, revision) = found(&house, "Tomas");
    let ended = visitor.post(&format!("{path}/end"), &[("revision", &revision.to_string())]).await;
    assert_eq!(ended.status, 303, "{}", ended.text);
    assert!(!is_in(&keeper).await, "signed out");
    assert_eq!(keeper.post("/sign-in", &[("name", "Tomas"), ("password", THEIRS)]).await.status, 422);
    assert_eq!(visitor.post(&format!("{path}/link"), &[]).await.status, 404);
    let (_, person, revision) = found(&house, "Tomas");
    assert!(person.ended.is_some() && visitor.get(&path).await.text.contains("Take it up again"));
    visitor.post(&format!("{path}/return"), &[("revision", &revision.to_string())]).await;
    assert!(is_in(&signed_in(&house, "Tomas", THEIRS).await).await);
    house.close().await;
}

#[tokio::test]
async fn the_only_coordinator_stays_one() {
    let (house, visitor) = set_up().await;
    let (id, _, revision) = found(&house, "Ruth");
    let revision = revision.to_string();
    let fields = [("name", "Ruth"), ("role", "keeper"), ("revision", revision.as_str())];
    for path in [format!("/people/{id}"), format!("/people/{id}/end")] {
        let refused = visitor.post(&path, &fields).await;
        assert!(refused.status == 422 && refused.text.contains("This is the only coordinator."), "{}", refused.text);
    }
    assert_eq!(visitor.get("/people").await.status, 200);
    house.close().await;
}

#[tokio::test]
async fn ones_own_password_is_changed_by_who_knows_it() {
    let (house, visitor) = set_up().await;
    let elsewhere = signed_in(&house, "Ruth", PASSWORD).await;
    let said = |current: &'static str, new: &'static str, again: &'static str| {
        let visitor = &visitor;
        async move { visitor.post("/people/me", &[("current", current), ("password", new), ("again", again)]).await }
    };
    for (current, new, again, words) in [
        ("four wet socks", THEIRS, THEIRS, "That is not your password."),
        (PASSWORD, THEIRS, "two dry boots", "The two differ."),
        (PASSWORD, "password1", "password1", "tried first"),
    ] {
        let answer = said(current, new, again).await;
        assert!(answer.status == 422 && answer.text.contains(words), "{words}: {}", answer.text);
    }
    assert_eq!(said(PASSWORD, THEIRS, THEIRS).await.status, 303);
    assert!(is_in(&visitor).await && !is_in(&elsewhere).await, "signed out everywhere else");
    let (id, ..) = found(&house, "Ruth");
    let around = visitor.post(&format!("/people/{id}/password"), &[("password", PASSWORD)]).await;
    assert_eq!((around.status, around.header("location")), (303, "/people/me"), "no way round the present one");
    signed_in(&house, "Ruth", THEIRS).await;
    for _ in 0..5 {
        assert_eq!(said("four wet socks", PASSWORD, PASSWORD).await.status, 422);
    }
    let answer = said(THEIRS, PASSWORD, PASSWORD).await;
    assert_eq!((answer.status, answer.header("retry-after")), (429, "5"), "{}", answer.text);
    house.close().await;
}

#[tokio::test]
async fn the_coordinator_sets_anothers_password() {
    let (house, visitor) = set_up().await;
    add(&visitor, "Tom", &[]).await;
    let keeper = signed_in(&house, "Tom", THEIRS).await;
    let (id, ..) = found(&house, "Tom");
    let path = format!("/people/{id}/password");
    let weak = visitor.post(&path, &[("password", "short")]).await;
    assert!(weak.status == 422 && weak.text.contains("8 characters or more."), "{}", weak.text);
    assert!(is_in(&keeper).await);
    assert_eq!(visitor.post(&path, &[("password", "two dry boots")]).await.status, 303);
    assert!(!is_in(&keeper).await);
    signed_in(&house, "Tom", "two dry boots").await;
    house.close().await;
}

#[tokio::test]
async fn over_the_network_the_pages_say_who_can_read_along() {
    let (house, visitor) = set_up().await;
    for path in ["/people", "/people/new", "/people/me"] {
        let answer = visitor.get_with(path, &[("host", "192.168.1.7:8730")]).await;
        assert!(answer.status == 200 && answer.text.contains("The network can read along."), "{}", answer.text);
    }
    let (id, ..) = found(&house, "Ruth");
    let headers = [
        ("host", "hall.local:1"),
        ("origin", "http://hall.local:1"),
        ("content-type", "application/x-www-form-urlencoded"),
    ];
    let wrong_name = visitor.send(Method::POST, &format!("/people/{id}/link"), &headers, String::new()).await;
    assert_eq!(wrong_name.status, 421, "a link is never made for a name that is not ours");
    house.close().await;
}

#[tokio::test]
async fn a_site_that_is_not_there_cannot_be_kept() {
    let (house, _) = set_up().await;
    let (_, person, revision) = found(&house, "Ruth");
    let person = Person { name: Name::new("Ruth").unwrap(), sites: vec![SiteId::fresh()], ..person };
    assert!(house.running.app().keep(&Caller::House, Thing::Person(person), Some(revision)).await.is_err());
    house.close().await;
}
