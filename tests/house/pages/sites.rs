//! A site's page, and the workings behind its figures.

use jiff::SignedDuration;
use keepwell::model::entry::Act;
use keepwell::model::entry::void::Void;

use crate::harness::House;
use crate::pages::scene;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::today::text;

#[tokio::test]
async fn a_site_says_what_gives_out_first_and_what_then() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let hall = text(&maren.get(&format!("/sites/{}", reach.hall)).await.text);
    // By hand: 18 L of propane at 0.5 L an hour, 16 hours a day, are 2.25 days.
    assert!(
        hall.contains(
            "Propane gives out first, on day 2.3. From then water is carried by hand. Basic is met in full until"
        ),
        "{hall}"
    );
    assert!(hall.contains("Hours on hand 36 hours") && hall.contains("Exhaust kills."), "{hall}");
    assert!(hall.contains("72 adults 1,080 L"), "{hall}");
    // 18 L at 4.24 lb a US gallon: 18 / 3.785412 x 4.24 x 0.45359237 = 9.145 kg.
    assert!(hall.contains("Propane on hand 9.1 kg"), "{hall}");
    let birch = text(&maren.get(&format!("/sites/{}", reach.birch)).await.text);
    // 1,900 L less 58 people x 15 L x 1.5 days = 595 L.
    assert!(birch.contains("Diesel gives out first, on day 1.5. 595 L stay out of reach."), "{birch}");
    let weir = text(&maren.get(&format!("/sites/{}", reach.weir)).await.text);
    assert!(weir.contains("Water gives out first, on day 4.0."), "{weir}");
    house.close().await;
}

#[tokio::test]
async fn each_tank_says_what_it_is_counted_as_and_why() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let hall = text(&maren.get(&format!("/sites/{}", reach.hall)).await.text);
    assert!(hall.contains("West drinking water Mains fill 3 January; free chlorine 0.6 mg/L on 20 February"), "{hall}");
    assert!(hall.contains("North treat first Mains fill 26 August 2025. Past its date, since 22 February"), "{hall}");
    assert!(hall.contains("Never by: A dose without a test"), "what lifts it and what never does: {hall}");
    // 1.842 m less the 0.14 m below the outlet in a cylinder 1.8 m across: pi / 4 x 1.8^2 x 1.702 = 4.331 m3.
    assert!(hall.contains("4,331 L"), "{hall}");
    house.close().await;
}

#[tokio::test]
async fn a_voided_entry_stays_struck_through_with_its_reason() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let app = house.running.app();
    let wrong = scene::log(app, None, Some(reach.north), scene::days_ago(1), scene::drawn(77.0)).await;
    let void = Act::Void(Void { entry: wrong, reason: "it was <West>".to_owned() });
    scene::log(app, None, None, scene::now() - SignedDuration::from_hours(1), void).await;
    let page = signed_in(&house, reach.maren).await.get(&format!("/sites/{}", reach.hall)).await;
    assert!(page.text.contains("<span class=\"void\">North drawn, 77"), "{}", page.text);
    assert!(page.text.contains("voided: it was &#60;West&#62;"), "{}", page.text);
    house.close().await;
}

#[tokio::test]
async fn contacts_are_for_those_who_may_see_them_and_are_not_kept() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let address = format!("/sites/{}", reach.hall);
    for person in [reach.maren, reach.ruth] {
        let page = signed_in(&house, person).await.get(&address).await;
        assert!(page.text.contains("555 0100"), "{}", page.text);
        assert_eq!((page.header("cache-control"), page.header("etag")), ("no-store", ""));
    }
    let ruth = signed_in(&house, reach.ruth).await;
    for path in [format!("/sites/{}", reach.birch), format!("/sites/{}/working", reach.birch)] {
        assert_eq!(ruth.get(&path).await.status, 404, "another's site answers as if it were not there");
    }
    let list = ruth.get("/sites").await.text;
    assert!(list.contains("Alder Reach Hall") && !list.contains("Birch Court"), "{list}");
    assert_eq!(ruth.get("/sites/none").await.status, 404);
    house.close().await;
}

#[tokio::test]
async fn every_figure_shows_its_working() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let working = async |of: &str| text(&maren.get(&format!("/sites/{}/working?of={of}", reach.hall)).await.text);
    let days = working("days").await;
    assert!(days.contains("days = (litres above the heel) / (people × litres a person a day)"), "{days}");
    assert!(days.contains("Days until fuel is spent") && days.contains("losses in handing out"), "{days}");
    assert!(days.contains("North 4,211 L") || days.contains("North 4,212 L"), "each water by its name: {days}");
    let need = working("need").await;
    assert!(need.contains("Q = Σ count × litres each") && need.contains("1,080 L a day"), "{need}");
    let water = working("water").await;
    assert!(water.contains("usable = V − V(a), not below 0") && water.contains("Euclid"), "{water}");
    let fuel = working("fuel").await;
    assert!(fuel.contains("days = F ÷ burn(load) ÷ hours a day") && fuel.contains("36 hours"), "{fuel}");
    let unknown = maren.get(&format!("/sites/{}/working?of=gold", reach.hall)).await;
    assert!(unknown.status == 422 && text(&unknown.text).contains("no working of gold"), "{}", unknown.text);
    let none = maren.get(&format!("/sites/{}/working?of=fuel", reach.weir)).await;
    assert_eq!(none.status, 404, "no generator, so no working of its fuel");
    let pooled = text(&maren.get("/working/pooled").await.text);
    assert!(pooled.contains("D = Σ litres / Σ (litres a day)") && pooled.contains("an upper bound"), "{pooled}");
    house.close().await;
}
