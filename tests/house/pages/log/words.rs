//! What the log says before it is done, and when it cannot be.

use keepwell::model::id::EntryId;

use crate::harness::House;
use crate::pages::log::called;
use crate::pages::log::log;
use crate::pages::log::stored;
use crate::pages::log::words;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;

/// A kind, what is typed, what is said.
type Case<'a> = (&'a str, &'a [(&'a str, &'a str)], &'a str);

#[tokio::test]
async fn what_it_will_do_stands_above_the_button() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let tank = called(app, reach.birch, "Cellar tank");
    // Full at the rim of 2 m, 1,900 L by the last dip: the usual answer, to the top, is seen at once.
    let form = words(&maren.get(&format!("/log/vessels/{tank}/fill")).await);
    assert!(form.contains("What this will do:"), "{form}");
    assert!(form.contains("Stays drinking water."), "{form}");
    assert!(form.contains("it was not drawn to the outlet first."), "{form}");
    let count = stored(app, reach.birch).await;
    let check = format!("/log/vessels/{tank}/draw?id={}&how=amount&litres=400&check=yes", EntryId::fresh());
    let seen = words(&maren.get(&check).await);
    assert!(seen.contains("Drawn, 400 L.") && seen.contains("becomes 1,500 L."), "{seen}");
    assert_eq!(stored(app, reach.birch).await, count, "looking stores nothing");
    // Dipped at 0.50 m of 2 m: 475 L, give or take a few, so 1,999 L cannot have been believed.
    let dip = [("how", "depth"), ("depth_m", "50"), ("from", "floor"), ("method.depth", "dipstick")];
    assert_eq!(log(&maren, &format!("/log/vessels/{tank}/reading"), &dip).await.status, 303);
    let count = stored(app, reach.birch).await;
    let seen = words(
        &maren.get(&format!("/log/vessels/{tank}/draw?id={}&how=amount&litres=1999&check=yes", EntryId::fresh())).await,
    );
    assert!(seen.contains("the level was wrong, not you"), "{seen}");
    let lid = format!("/log/vessels/{tank}/wrong?id={}&what=lid&check=yes", EntryId::fresh());
    assert!(words(&maren.get(&lid).await).contains("Becomes water to be treated: Open."));
    assert_eq!(stored(app, reach.birch).await, count, "looking stores nothing");
    house.close().await;
}

#[tokio::test]
async fn mixed_water_is_the_worst_of_what_is_mixed() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let (west, east) = (called(app, reach.hall, "West"), called(app, reach.hall, "East"));
    log(&maren, &format!("/log/vessels/{west}/wrong"), &[("what", "lid")]).await;
    let check = format!("/log/vessels/{west}/transfer?id={}&to={east}&litres=100&check=yes", EntryId::fresh());
    let seen = words(&maren.get(&check).await);
    assert!(seen.contains("East: Becomes water to be treated: Open."), "{seen}");
    assert!(seen.contains("Mixed water counts as the worst of what is mixed."), "{seen}");
    house.close().await;
}

#[tokio::test]
async fn the_impossible_is_refused_in_words_and_nothing_typed_is_lost() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let tank = called(app, reach.birch, "Cellar tank");
    let count = stored(app, reach.birch).await;
    let mains = reach.mains.to_string();
    let at = |kind: &str| format!("/log/vessels/{tank}/{kind}");
    let cases: &[Case<'_>] = &[
        (
            "draw",
            &[("how", "amount"), ("litres", "19,000")],
            "can hold 2,000 L at most. You gave 19000 L: one nought too many?",
        ),
        ("draw", &[("how", "amount"), ("litres", "-4")], "is −4 L; allowed is 0 L to 10,000,000 L"),
        ("draw", &[("how", "amount"), ("litres", "")], "Amount is missing."),
        ("draw", &[("how", "amount"), ("litres", "40 stone")], "has a unit that does not fit"),
        ("draw", &[("litres", "40")], "Choose one of these."),
        ("fill", &[("how", "mark"), ("mark", "250"), ("source", &mains)], "deep at most"),
        ("reading", &[("how", "depth"), ("depth_m", "250"), ("method.depth", "dipstick")], "deep at most"),
        ("transfer", &[("litres", "4")], "Into is missing."),
        ("test", &[], "Give at least one result."),
        ("note", &[], "Note is missing."),
        ("inspection", &[], "All in order is missing."),
        ("note", &[("text", "x"), ("when", "other"), ("day", "2026-03-20"), ("hour", "07:00")], "ahead of the clock"),
        (
            "note",
            &[("text", "x"), ("when", "other"), ("day", "2020-03-20"), ("hour", "07:00")],
            "nothing can have happened",
        ),
        ("note", &[("text", "x"), ("when", "yesterday")], "Say at what hour"),
    ];
    for (kind, fields, said) in cases {
        let answer = log(&maren, &at(kind), fields).await;
        let seen = words(&answer).replace(',', "");
        assert_eq!(answer.status, 422, "{kind} {fields:?}: {seen}");
        assert!(seen.contains(&said.replace(',', "")), "{kind} {fields:?}: {said}: {seen}");
        for (_, typed) in fields.iter().filter(|(name, _)| *name != "how") {
            assert!(answer.text.contains(&format!("value=\"{typed}\"")) || answer.text.contains(typed), "{typed}");
        }
    }
    let numberless = maren.post(&at("draw"), &[("how", "amount"), ("litres", "40")]).await;
    assert_eq!(numberless.status, 422);
    assert_eq!(stored(app, reach.birch).await, count);
    house.close().await;
}
