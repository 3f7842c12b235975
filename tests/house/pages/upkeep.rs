//! Upkeep: what is due, overdue and done, who sees it, and the deeds that take two entries in one step.

use keepwell::model::entry::Act;
use keepwell::model::entry::Kind;
use keepwell::model::entry::discard::HowFar;
use keepwell::model::entry::fuel::Move;
use keepwell::model::id::EntryId;
use keepwell::model::id::VesselId;
use keepwell::model::setup::Thing;
use keepwell::model::vessel::RotateHow;
use keepwell::picture::upkeep::Of;
use keepwell::service::Caller;
use keepwell_engine::upkeep::Duty;
use keepwell_engine::upkeep::State;

use crate::harness::House;

use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

fn state_of(house: &House, duty: Duty, of: Of) -> State {
    let upkeep = house.running.app().upkeep(&Caller::House, None).unwrap();
    let found = upkeep.tasks.iter().find(|(_, task)| task.duty == duty && task.of == of);
    found.map(|(_, task)| task.reckoned.state).unwrap()
}

async fn kinds_at(house: &House, site: keepwell::model::id::SiteId) -> Vec<(Kind, Act)> {
    let listed = house.running.app().entries(&Caller::House, Some(site), None, None, 1000).await.unwrap();
    listed.iter().map(|listed| (listed.entry.act.kind(), listed.entry.act.clone())).collect()
}

async fn change(house: &House, vessel: VesselId, how: RotateHow) {
    let app = house.running.app();
    let kept = app.picture().set_up.vessels[&vessel].clone();
    let mut thing = (*kept.thing).clone();
    thing.policy.how = how;
    app.keep(&Caller::House, Thing::Vessel(thing), Some(kept.revision)).await.unwrap();
}

#[tokio::test]
async fn what_is_overdue_comes_first_with_its_date_and_who_says_so() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let page = maren.get("/upkeep").await;
    assert_eq!(page.status, 200, "{}", page.text);
    let words = text(&page.text);
    // By hand: filled 200 days before 14 March 2026, due after 180: 20 days ago, Sunday 22 February.
    assert!(words.contains("Overdue North: water renewed Alder Reach Hall Sunday 22 February 20 days ago"), "{words}");
    assert!(words.contains("Every 180 days CDC, Creating &#38; Storing an Emergency Water Supply, 2017"), "{words}");
    assert!(words.contains("common practice, no source"), "{words}");
    assert!(words.contains("NFPA 110, section 8.4: monthly, 30 minutes under load"), "{words}");
    let overdue = words.find("Overdue North").unwrap();
    assert!(overdue < words.find("Done, and not due yet 1").unwrap_or(words.len()), "the pressing first");
    house.close().await;
}

#[tokio::test]
async fn a_keeper_sees_their_own_and_the_address_picks() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let ruth = signed_in(&house, reach.ruth).await;
    let page = ruth.get("/upkeep").await;
    assert!(page.text.contains("Alder Reach Hall"), "{}", page.text);
    for other in ["Birch Court", "Weir Cottage", "Reach Primary", "Ferry House"] {
        assert!(!page.text.contains(other), "{other} is named to a keeper of another site");
    }
    assert_eq!(ruth.get(&format!("/upkeep?site={}", reach.birch)).await.status, 404);
    let maren = signed_in(&house, reach.maren).await;
    let birch = maren.get(&format!("/upkeep?site={}&state=overdue", reach.birch)).await;
    assert!(!birch.text.contains("North"), "{}", birch.text);
    let dips = text(&maren.get("/upkeep?what=dip").await.text);
    assert!(dips.contains("West: level read") && !dips.contains("water renewed Alder"), "{dips}");
    let none = maren.get("/upkeep?state=soonish").await;
    assert_eq!(none.status, 422);
    let words = text(&none.text);
    assert!(words.contains("There is no soonish here; there are overdue, due, done."), "{words}");
    assert_eq!(maren.get("/upkeep?site=nowhere").await.status, 404);
    assert_eq!(house.visitor().get("/upkeep").await.status, 303);
    house.close().await;
}

#[tokio::test]
async fn water_poured_away_and_filled_is_one_step_and_counts_once() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    change(&house, reach.north, RotateHow::PouredAway).await;
    assert_eq!(state_of(&house, Duty::Rotation, Of::Vessel(reach.north)), State::Overdue);
    let ruth = signed_in(&house, reach.ruth).await;
    let address = format!("/upkeep/rotation/{}", reach.north);
    let form = ruth.get(&address).await;
    assert_eq!(form.status, 200, "{}", form.text);
    assert!(text(&form.text).contains("The rotation date becomes Thursday 10 September."), "{}", text(&form.text));
    let (id, then) = (EntryId::fresh().to_string(), EntryId::fresh().to_string());
    let source = reach.mains.to_string();
    let fields = [("id", id.as_str()), ("then", &then), ("litres", ""), ("source", &source), ("at", "")];
    for _ in 0..2 {
        let done = ruth.post(&address, &fields).await;
        assert_eq!(done.status, 303, "{}", done.text);
        assert_eq!(done.header("location"), format!("/log/done/{id}?from=upkeep&then={then}"));
        house.clock.set(house.clock.now() + jiff::SignedDuration::from_mins(1));
    }
    let entries = kinds_at(&house, reach.hall).await;
    let fills = entries.iter().filter(|(_, act)| matches!(act, Act::Fill(fill) if fill.to_top));
    let poured = |act: &Act| matches!(act, Act::Discard(discard) if discard.how_far == HowFar::ToOutlet);
    assert_eq!(entries.iter().filter(|(_, act)| poured(act)).count(), 1);
    assert!(fills.count() >= 1);
    assert_eq!(state_of(&house, Duty::Rotation, Of::Vessel(reach.north)), State::InOrder);
    let done = ruth.get(&format!("/log/done/{id}?from=upkeep&then={then}")).await;
    assert!(text(&done.text).contains("Upkeep: what is next"), "{}", done.text);
    house.close().await;
}

#[tokio::test]
async fn a_dose_with_its_test_is_one_step_and_a_bad_figure_is_kept() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    change(&house, reach.north, RotateHow::Dosed).await;
    let ruth = signed_in(&house, reach.ruth).await;
    let address = format!("/upkeep/rotation/{}", reach.north);
    let (id, then) = (EntryId::fresh().to_string(), EntryId::fresh().to_string());
    let bad = ruth.post(&address, &[("id", &id), ("then", &then), ("free_mg_l", "lots"), ("at", "")]).await;
    assert_eq!(bad.status, 422, "{}", bad.text);
    assert!(bad.text.contains("value=\"lots\"") && bad.text.contains(&id), "what was typed stays: {}", bad.text);
    let done = ruth.post(&address, &[("id", &id), ("then", &then), ("free_mg_l", "0.8"), ("at", "")]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let listed = house.running.app().entries(&Caller::House, Some(reach.hall), None, None, 2).await.unwrap();
    assert_eq!(listed.iter().map(|one| one.entry.act.kind()).collect::<Vec<_>>(), [Kind::Test, Kind::Dose]);
    // A good residual half an hour after the dose vouches for 90 days.
    assert_eq!(state_of(&house, Duty::Rotation, Of::Vessel(reach.north)), State::InOrder);
    assert_eq!(state_of(&house, Duty::Test, Of::Vessel(reach.north)), State::InOrder);
    house.close().await;
}

#[tokio::test]
async fn fuel_turned_over_is_new_fuel_and_the_figure_is_needed() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let app = house.running.app();
    let store = app.picture().set_up.fuel_stores.values().find(|kept| kept.thing.site == reach.birch).unwrap().thing.id;
    let maren = signed_in(&house, reach.maren).await;
    let address = format!("/upkeep/fuel/{store}");
    let (id, then) = (EntryId::fresh().to_string(), EntryId::fresh().to_string());
    let empty = maren.post(&address, &[("id", &id), ("then", &then), ("litres", "")]).await;
    assert_eq!(empty.status, 422);
    assert!(text(&empty.text).contains("Fresh fuel put in is missing."), "{}", text(&empty.text));
    let done = maren.post(&address, &[("id", &id), ("then", &then), ("litres", "18")]).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let picture = app.picture();
    let state = &picture.site(reach.birch).unwrap().ledger.state.fuel[&store];
    assert!((state.litres - 18.0).abs() < 1e-9);
    assert_eq!(state.bought, Some(jiff::civil::date(2026, 3, 14)));
    assert_eq!(state_of(&house, Duty::Fuel, Of::FuelStore(store)), State::InOrder);
    let ways: Vec<Move> = kinds_at(&house, reach.birch)
        .await
        .into_iter()
        .filter_map(|(_, act)| if let Act::Fuel(moved) = act { Some(moved.way) } else { None })
        .collect();
    assert_eq!(ways, [Move::In, Move::Measured]);
    let ruth = signed_in(&house, reach.ruth).await;
    assert_eq!(ruth.get(&address).await.status, 404, "another's fuel is not there");
    house.close().await;
}

#[tokio::test]
async fn a_pump_run_is_logged_through_the_usual_form_already_filled_in() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    assert_eq!(state_of(&house, Duty::PumpRun, Of::Site), State::Due);
    let ruth = signed_in(&house, reach.ruth).await;
    let list = ruth.get("/upkeep?what=pump").await;
    let href = format!("/log/sites/{}/inspection?of=pump", reach.hall);
    assert!(list.text.contains(&href), "{}", list.text);
    let form = ruth.get(&href).await;
    let taken = form.text.split("<input").find(|part| part.contains("name=\"of\"") && part.contains(" checked"));
    assert!(taken.is_some_and(|part| part.contains("value=\"pump\"")), "{}", form.text);
    let id = EntryId::fresh().to_string();
    let sent = [("id", id.as_str()), ("of", "pump"), ("in_order", "yes"), ("when", "now")];
    let done = ruth.post(&format!("/log/sites/{}/inspection", reach.hall), &sent).await;
    assert_eq!(done.status, 303, "{}", done.text);
    let upkeep = house.running.app().upkeep(&Caller::House, Some(reach.hall)).unwrap();
    let pump = upkeep.tasks.iter().find(|(_, task)| task.duty == Duty::PumpRun).unwrap();
    assert_eq!(pump.1.reckoned.state, State::InOrder);
    let round = upkeep.tasks.iter().find(|(_, task)| task.duty == Duty::Round).unwrap();
    assert_eq!(round.1.reckoned.done, None, "a pump that ran is no round");
    house.close().await;
}

#[tokio::test]
async fn the_days_between_are_the_neighbourhoods_to_choose() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let app = house.running.app();
    let kept = app.picture().set_up.neighbourhood.clone().unwrap();
    let mut thing = (*kept.thing).clone();
    thing.upkeep.dip_days = 1.0;
    app.keep(&Caller::House, Thing::Neighbourhood(thing.clone()), Some(kept.revision)).await.unwrap();
    assert_eq!(state_of(&house, Duty::Dip, Of::Vessel(reach.north)), State::Overdue);
    let maren = signed_in(&house, reach.maren).await;
    let words = text(&maren.get("/upkeep?what=dip").await.text);
    assert!(words.contains("chosen here; usual is 30 days, common practice, no source"), "{words}");
    let site = text(&maren.get(&format!("/sites/{}", reach.hall)).await.text);
    assert!(site.contains("North: level read"), "in short on the site's page: {site}");
    thing.upkeep.dip_days = 0.0;
    let kept = app.picture().set_up.neighbourhood.clone().unwrap();
    let refused = app.keep(&Caller::House, Thing::Neighbourhood(thing), Some(kept.revision)).await;
    assert!(matches!(refused, Err(keepwell::service::Error::Invalid(_))), "{refused:?}");
    house.close().await;
}
