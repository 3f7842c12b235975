//! Paper: what can be printed and by whom, labels and their codes, dip tables.

mod grid;
mod status;

use keepwell::model::id::SiteId;
use keepwell::model::id::VesselId;

use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::scene;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

fn vessel(house: &House, name: &str) -> VesselId {
    let set_up = house.running.app().picture().set_up.clone();
    set_up.vessels.values().find(|kept| kept.thing.name.as_str() == name).unwrap().thing.id
}

#[tokio::test]
async fn a_keeper_is_offered_their_own_site_and_the_coordinator_all() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let ruth = text(&signed_in(&house, ids.ruth).await.get("/paper").await.text);
    assert!(ruth.contains("Alder Reach Hall 3 labels print type in East North West"), "{ruth}");
    assert!(!ruth.contains("Birch Court") && !ruth.contains("Weir Cottage"), "{ruth}");
    let maren = text(&signed_in(&house, ids.maren).await.get("/paper").await.text);
    // A set of cans has no depth, and so no dip table.
    assert!(maren.contains("Weir Cottage 1 label print type in –"), "{maren}");
    assert!(maren.contains("Birch Court 1 label print type in Cellar tank"), "{maren}");
    house.close().await;
}

#[tokio::test]
async fn a_label_says_what_a_wall_needs_and_no_level() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let ruth = signed_in(&house, ids.ruth).await;
    let page = ruth.get(&format!("/paper/labels/{}", ids.hall)).await;
    assert_eq!(page.status, 200, "{}", page.text);
    let words = text(&page.text);
    // By hand: a cylinder 1.8 m across holds π · 0.9² · 1,000 L = 2,544.7 L a metre: 25.4 L a centimetre, 4,988 L at 1.96 m.
    assert!(words.contains("full 4,988 L 1 cm is 25.4 L measure up from the floor"), "{words}");
    // Filled 200 days before 14 March 2026 and due after 180.
    assert!(words.contains("North Treat first. Do not drink as it is"), "{words}");
    assert!(words.contains("26 August 2025 rotate by 22 February 2026, overdue"), "{words}");
    assert!(words.contains("East Drinking water"), "{words}");
    assert!(words.contains("Never enter a tank."), "{words}");
    // 1.118 m was read in East: 2,845 L, which would be old on paper.
    assert!(!words.contains("2,845"), "no level stands on a label: {words}");
    assert!(words.contains("100 cm: 2,545 L"), "{words}");
    assert_eq!(page.text.matches("class=\"page labels\"").count(), 2, "three labels on two sheets");
    assert!(words.contains("A phone cannot reach this."), "opened on this machine's own name: {words}");
    let by_name = ruth.get_with(&format!("/paper/labels/{}", ids.hall), &[("host", "water.example:8730")]).await;
    let words = text(&by_name.text);
    assert!(!words.contains("A phone cannot reach this.") && words.contains("water.example:8730/log"), "{words}");
    let us = signed_in(&house, ids.ruth).await;
    us.set_cookie("kw_units", "us");
    let words = text(&us.get(&format!("/paper/labels/{}", ids.hall)).await.text);
    // 1 in is 2.54 cm and 1 US gal 3.785411784 L (NIST SP 811, table B.8): 25.447 · 2.54 / 3.785 = 17.1 gal.
    assert!(words.contains("1 in is 17.1 US gal"), "{words}");
    house.close().await;
}

/// The code that stands on the label of a vessel.
async fn code_of(visitor: &Visitor, site: SiteId, name: &str) -> String {
    let words = text(&visitor.get(&format!("/paper/labels/{site}")).await.text);
    let from = words.find(&format!("type {name} ")).unwrap() + 5;
    words[from..].split('.').next().unwrap().to_owned()
}

#[tokio::test]
async fn a_code_leads_to_its_vessel_however_it_is_typed() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let maren = signed_in(&house, ids.maren).await;
    let code = code_of(&maren, ids.hall, "EAST").await;
    assert_eq!(code.len(), "EAST 7Q4".len(), "{code}");
    let east = format!("/log/vessels/{}", vessel(&house, "East"));
    let slips = code.to_lowercase().replace(' ', "").replace('0', "o").replace('1', "l");
    for typed in [code.clone(), format!("+{slips}++"), slips.clone(), code.replace(' ', "-")] {
        let answer = maren.get(&format!("/log?code={}", typed.replace(' ', "+"))).await;
        assert_eq!((answer.status, answer.header("location")), (303, east.as_str()), "{typed}");
    }
    let unknown = maren.get("/log?code=EAST+%3Cb%3E").await;
    assert_eq!(unknown.status, 422);
    assert!(
        text(&unknown.text).contains("“EAST &#60;b&#62;” is the code of no vessel that you may log at"),
        "{}",
        unknown.text
    );
    assert!(unknown.text.contains("value=\"EAST &#60;b&#62;\""), "what was typed stays: {}", unknown.text);
    assert!(text(&maren.get("/log?code=").await.text).contains("Type the code that stands at the foot"));
    // Another's vessel answers as one that is not there.
    let orla = scene::person("Orla", keepwell::model::person::Role::Keeper, &[ids.weir]);
    let id = orla.id;
    scene::keep(house.running.app(), vec![keepwell::model::setup::Thing::Person(orla)]).await;
    let orla = signed_in(&house, id).await;
    assert_eq!(orla.get(&format!("/log?code={}", code.replace(' ', "+"))).await.status, 422);
    assert!(text(&maren.get("/log").await.text).contains("Code from a label"));
    house.close().await;
}

#[tokio::test]
async fn two_vessels_of_one_code_are_offered_to_choose_from() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    // An id that differs from East's where the code does not look.
    let set_up = house.running.app().picture().set_up.clone();
    let mut twin = (*set_up.vessels[&vessel(&house, "East")].thing).clone();
    let other = twin.id.uuid().as_u128() ^ (1 << 20);
    twin.id = VesselId::from_uuid(uuid::Uuid::from_u128(other));
    twin.site = ids.birch;
    scene::keep(house.running.app(), vec![keepwell::model::setup::Thing::Vessel(twin)]).await;
    let maren = signed_in(&house, ids.maren).await;
    let code = code_of(&maren, ids.hall, "EAST").await.replace(' ', "+");
    let answer = maren.get(&format!("/log?code={code}")).await;
    let words = text(&answer.text);
    assert_eq!(answer.status, 422);
    assert!(words.contains("is the code of several vessels"), "{words}");
    assert!(words.contains("East Alder Reach Hall") && words.contains("East Birch Court"), "{words}");
    house.close().await;
}

#[tokio::test]
async fn a_dip_table_has_both_systems_and_its_marks() {
    let house = House::open().await;
    let ids = reach(house.running.app()).await;
    let maren = signed_in(&house, ids.maren).await;
    let tank = vessel(&house, "Cellar tank");
    let words = text(&maren.get(&format!("/paper/dip/{tank}?step=10")).await.text);
    // One metre square: a centimetre is 10 L; 100 cm are 39.37 in and 1,000 L are 264.17 US gal (NIST SP 811, table B.8).
    assert!(words.contains("100.0 1,000 39.37 264"), "{words}");
    assert!(words.contains("0.0 0.0 0.00 0.0 floor"), "{words}");
    assert!(words.contains("14.0 140 5.51 37.0 suction"), "the outlet has a line of its own: {words}");
    assert!(words.contains("200.0 2,000 78.74 528 full, rim"), "{words}");
    assert!(words.contains("usable when full 1,860 L (491 US gal)"), "{words}");
    assert!(words.contains("give or take"), "{words}");
    let north = format!("/paper/dip/{}", ids.north);
    for (typed, said) in
        [("0", "The step is 0 cm; allowed is"), ("999", "The step is 999 cm"), ("x", "“x” is not a number")]
    {
        let answer = maren.get(&format!("{north}?step={typed}")).await;
        assert_eq!(answer.status, 422, "{typed}");
        assert!(text(&answer.text).contains(said), "{typed}: {}", text(&answer.text));
        assert!(answer.text.contains(&format!("value=\"{typed}\"")), "what was typed stays");
        assert!(!answer.text.contains("page dip"), "no sheet of a step that was refused");
    }
    assert_eq!(maren.get(&format!("/paper/dip/{}", ids.unread)).await.status, 404, "cans have no depth");
    house.close().await;
}
