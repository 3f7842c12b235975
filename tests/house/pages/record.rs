//! The record of changes: what was, what is, and putting it back.

use keepwell::model::person::Role;
use keepwell::model::setup::Thing;
use keepwell::service::Caller;
use keepwell::service::sign_in::Purpose;
use reqwest::Method;

use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::set_up::Form;
use crate::pages::set_up::site;
use crate::pages::set_up::tank;
use crate::pages::sign_in;

fn newest(house: &House) -> i64 {
    house.running.app().picture().change_seq
}

/// A site with a tank; the addresses of their forms.
async fn scene(visitor: &Visitor) -> (String, String) {
    let site = site(visitor, "Mill Cottage").await;
    assert_eq!(tank(visitor, &site).await.send(visitor).await.status, 303);
    let page = visitor.get(&site).await.text;
    let id = page.split("/set-up/vessels/").nth(1).unwrap().split('"').next().unwrap();
    (site, format!("/set-up/vessels/{id}"))
}

async fn change(visitor: &Visitor, form: &str, answers: &[(&str, &str)]) {
    let answer = Form::open(visitor, form).await.with(answers).send(visitor).await;
    assert_eq!(answer.status, 303, "{}", answer.text);
}

async fn undo(visitor: &Visitor, seq: i64) {
    let form = Form::open(visitor, &format!("/changes/{seq}")).await;
    let answer = form.send(visitor).await;
    assert_eq!((answer.status, answer.header("location")), (303, "/changes?undone=1"), "{}", answer.text);
}

#[tokio::test]
async fn a_change_is_shown_in_the_readers_units_and_put_back() {
    let (house, visitor) = sign_in::set_up().await;
    let (_, form) = scene(&visitor).await;
    let before = house.running.app().picture().set_up.vessels.values().next().unwrap().thing.clone();
    change(&visitor, &form, &[("height_m", "1.5"), ("material", "steel")]).await;
    let seq = newest(&house);
    let page = visitor.get(&format!("/changes/{seq}")).await.text.replace('\u{a0}', " ");
    for shown in ["<bdi>1.3 m</bdi>", "<bdi>1.5 m</bdi>", "<bdi>coated steel</bdi>", "Ruth", "Undo this change"] {
        assert!(page.contains(shown), "{shown} is not in {page}");
    }
    assert!(!page.contains("height_m") && !page.contains("{&#34;"), "{page}");
    visitor.set_cookie("kw_units", "us");
    let page = visitor.get(&format!("/changes/{seq}")).await.text.replace('\u{a0}', " ");
    assert!(!page.contains(" m</bdi>") && page.contains("<bdi>4.2651 ft</bdi>"), "{page}");

    // What things cost is money, whatever ends like litres.
    change(&visitor, "/set-up/neighbourhood", &[("diesel_l", "1.5")]).await;
    let page = visitor.get(&format!("/changes/{}", newest(&house))).await.text.replace('\u{a0}', " ");
    assert!(page.contains("A litre of diesel") && page.contains("<bdi>1.5</bdi>"), "{page}");
    undo(&visitor, newest(&house)).await;

    undo(&visitor, seq).await;
    let after = house.running.app().picture().set_up.vessels.values().next().unwrap().thing.clone();
    assert_eq!(before, after);
    assert_eq!(newest(&house), seq + 3, "the undo is on record");
    let list = visitor.get("/changes?undone=1").await.text;
    assert!(list.contains("Undone.") && list.contains(&format!("/changes/{}\"", seq + 1)), "{list}");
    let again = visitor.get(&format!("/changes/{seq}")).await.text;
    assert!(again.contains("It stands as it was before this change already."), "{again}");
    house.close().await;
}

#[tokio::test]
async fn what_was_changed_later_stays_or_stands_in_the_way() {
    let (house, visitor) = sign_in::set_up().await;
    let (_, form) = scene(&visitor).await;
    change(&visitor, &form, &[("full_m", "1.2")]).await;
    let first = newest(&house);
    change(&visitor, &form, &[("notes", "lid cracked")]).await;
    let old = Form::open(&visitor, &format!("/changes/{first}")).await;
    change(&visitor, &form, &[("notes", "lid mended")]).await;
    let stale = old.send(&visitor).await;
    assert!(stale.status == 412 && stale.text.contains("Somebody changed it"), "{}", stale.text);
    undo(&visitor, first).await;
    let vessel = house.running.app().picture().set_up.vessels.values().next().unwrap().thing.clone();
    assert!(vessel.full_m.is_none() && vessel.notes == "lid mended", "{vessel:?}");

    change(&visitor, &form, &[("full_m", "1.1")]).await;
    let second = newest(&house);
    change(&visitor, &form, &[("full_m", "1.0")]).await;
    let page = visitor.get(&format!("/changes/{second}")).await.text;
    assert!(page.contains("was changed again later") && !page.contains("Undo this change"), "{page}");
    let forced = visitor.post(&format!("/changes/{second}/undo"), &[("revision", &newest(&house).to_string())]).await;
    assert!(forced.status == 422 && forced.text.contains("It was not undone"), "{}", forced.text);
    assert_eq!(visitor.post(&format!("/changes/{second}/undo"), &[]).await.status, 400);
    assert_eq!(visitor.get("/changes/99999").await.status, 404);
    assert_eq!(visitor.get("/changes/soon").await.status, 404);
    house.close().await;
}

#[tokio::test]
async fn what_was_added_goes_unless_something_names_it_and_comes_back() {
    let (house, visitor) = sign_in::set_up().await;
    let (_, form) = scene(&visitor).await;
    let app = house.running.app().clone();
    let set_up = app.picture().set_up.clone();
    let (tank, site) = (newest(&house), newest(&house) - 1);
    let page = visitor.get(&format!("/changes/{site}")).await.text;
    assert!(page.contains("“East” belongs to it or names it.") && !page.contains("Undo this change"), "{page}");
    undo(&visitor, tank).await;
    assert!(app.picture().set_up.vessels.is_empty());
    assert_eq!(visitor.get(&form).await.status, 404);
    let gone = newest(&house);
    let page = visitor.get(&format!("/changes/{gone}")).await.text;
    assert!(page.contains("taken away") && page.contains("It is put back as it was."), "{page}");
    undo(&visitor, gone).await;
    let back = app.picture().set_up.vessels.values().next().unwrap().thing.clone();
    assert_eq!(set_up.vessels.values().next().unwrap().thing, back);

    let log = form.replace("/set-up/", "/log/") + "/reading";
    let reading = Form::open(&visitor, &log).await.with(&[("depth_m", "0.8")]).send(&visitor).await;
    assert_eq!(reading.status, 303, "{}", reading.text);
    let page = visitor.get(&format!("/changes/{}", newest(&house))).await.text;
    assert!(page.contains("The ledger speaks of it: 1 entry."), "{page}");
    let folder = house.close().await;
    let report = keepwell::service::verify::verify(folder.path()).await.unwrap();
    assert_eq!(report.found(), Vec::<String>::new());
}

#[tokio::test]
async fn the_record_is_paged_and_the_overview_folds_it() {
    let (house, visitor) = sign_in::set_up().await;
    let (_, form) = scene(&visitor).await;
    for number in 0..60 {
        change(&visitor, &form, &[("notes", &format!("looked at {number} times"))]).await;
    }
    let overview = visitor.get("/set-up").await.text;
    let (shown, folded) = overview.split_once("<details class=\"fold\">").unwrap();
    let count = |text: &str| text.matches("href=\"/changes/").count();
    assert_eq!((count(shown), count(folded)), (12, 38));
    assert!(folded.contains("href=\"/changes\"") && overview.contains("href=\"/people\""), "{overview}");
    let (mut path, mut all) = ("/changes".to_owned(), 0);
    loop {
        let page = visitor.get(&path).await;
        assert_eq!(page.status, 200);
        all += count(&page.text);
        let Some(older) = page.text.split("href=\"/changes?before=").nth(1) else { break };
        path = format!("/changes?before={}", older.split('"').next().unwrap());
    }
    assert_eq!(all, usize::try_from(newest(&house)).unwrap(), "each once");
    assert_eq!(visitor.get("/changes?before=soon").await.status, 400);
    house.close().await;
}

#[tokio::test]
async fn a_keeper_undoes_at_home_and_sees_no_more() {
    let (house, coordinator) = sign_in::set_up().await;
    let (mine, form) = scene(&coordinator).await;
    site(&coordinator, "Weir House").await;
    let foreign = newest(&house);
    let id = mine.rsplit('/').next().unwrap().parse().unwrap();
    let app = house.running.app();
    let keeper = scene::person("Noor", Role::Keeper, &[id]);
    let person = keeper.id;
    app.keep(&Caller::House, Thing::Person(keeper), None).await.unwrap();
    let account = newest(&house);
    let visitor = house.visitor();
    let link = format!("/enter/{}", app.one_time(Purpose::SignIn(person)).unwrap());
    assert_eq!(visitor.post(&link, &[]).await.status, 303);
    change(&visitor, &form, &[("notes", "green tap")]).await;
    let own = newest(&house);
    assert_eq!(visitor.get("/changes").await.status, 403);
    assert_eq!(visitor.get(&format!("/changes/{foreign}")).await.status, 404);
    assert_eq!(visitor.get(&format!("/changes/{account}")).await.status, 403);
    for seq in [foreign, account] {
        let answer = visitor.post(&format!("/changes/{seq}/undo"), &[("revision", &seq.to_string())]).await;
        assert!([403, 404].contains(&answer.status), "{}", answer.text);
    }
    let answer = Form::open(&visitor, &format!("/changes/{own}")).await.send(&visitor).await;
    assert_eq!((answer.status, answer.header("location")), (303, "/set-up"), "{}", answer.text);
    assert_eq!(house.visitor().send(Method::GET, "/changes", &[], String::new()).await.status, 303);
    house.close().await;
}
