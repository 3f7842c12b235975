//! A vessel's page: what its level tells, its free chlorine to come, and how much bleach to add.

use keepwell::model::entry::Act;
use keepwell::model::entry::mains::Mains;
use keepwell::model::entry::mains::Supply;
use keepwell::model::setup::Thing;
use keepwell::model::source::Disinfectant;
use keepwell::model::vessel::Vessel;
use keepwell::service::Caller;

use crate::harness::House;
use crate::pages::scene;
use crate::pages::scene::days_ago;
use crate::pages::scene::dipped;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;
use crate::pages::scene::tested;
use crate::pages::today::text;

/// The tank called North is 1.80 m across, 2.54 L a millimetre, and was dipped two days ago at 1.655 m. It stands for
/// months before that and falls 5 mm, 12.7 L, a day in the last five weeks.
async fn dip_north(house: &House, reach: &scene::Reach) {
    for week in 1..=11_u32 {
        let ago = f64::from(7 * week);
        let depth = 1.655 + 0.005 * (ago.min(35.0) - 2.0);
        let at = days_ago(i64::from(7 * week));
        scene::log(house.running.app(), None, Some(reach.north), at, dipped((1_000.0 * depth).round() / 1_000.0)).await;
    }
}

#[tokio::test]
async fn a_leak_is_said_with_its_size_error_and_beginning() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let page = async || text(&maren.get(&format!("/vessels/{}", reach.north)).await.text);
    assert!(!page().await.contains("leak"), "{}", page().await);
    dip_north(&house, &reach).await;
    let page = page().await;
    assert!(page.contains("North may be leaking: falling 13 L a day, give or take 0."), "{page}");
    assert!(page.contains("Look at the floor, the outlet and the joints."), "{page}");
    assert!(page.contains("February, give or take") && page.contains("a leak?"), "the drawing says it too: {page}");
    let working = text(&maren.get(&format!("/vessels/{}/working", reach.north)).await.text);
    assert!(working.contains("what leaks") && working.contains("Kalman 1960"), "{working}");
    // Two days after a dip of 4,211 L, at 12.7 L a day.
    assert!(working.contains("4,185 L") || working.contains("4,186 L"), "{working}");
    house.close().await;
}

#[tokio::test]
async fn use_a_day_is_said_of_a_vessel_in_daily_use() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let north = app.picture().set_up.vessels[&reach.north].clone();
    let daily = Vessel { daily_use: true, ..Vessel::clone(&north.thing) };
    app.keep_all(&Caller::House, vec![(Thing::Vessel(daily), Some(north.revision))]).await.unwrap();
    dip_north(&house, &reach).await;
    let maren = signed_in(&house, reach.maren).await;
    let page = text(&maren.get(&format!("/vessels/{}", reach.north)).await.text);
    assert!(page.contains("L a day is used, give or take"), "{page}");
    assert!(!page.contains("may be leaking"), "{page}");
    house.close().await;
}

#[tokio::test]
async fn a_reading_that_does_not_fit_is_named_in_words() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    for (ago, depth) in [(40, 1.655), (33, 1.655), (26, 1.655), (19, 1.565), (12, 1.655)] {
        scene::log(app, None, Some(reach.north), days_ago(ago), dipped(depth)).await;
    }
    let maren = signed_in(&house, reach.maren).await;
    let page = text(&maren.get(&format!("/vessels/{}", reach.north)).await.text);
    assert!(page.contains("Readings that do not fit"), "{page}");
    assert!(page.contains("read at 1.565 m") && page.contains("does not fit. The reading is wrong."), "{page}");
    house.close().await;
}

#[tokio::test]
async fn free_chlorine_is_forecast_from_two_tests_and_not_from_one() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let page = async || text(&maren.get(&format!("/vessels/{}", reach.north)).await.text);
    assert!(page().await.contains("No forecast of free chlorine: nobody has tested it since"), "{}", page().await);
    scene::log(app, None, Some(reach.north), days_ago(40), tested(0.8)).await;
    assert!(page().await.contains("No forecast of free chlorine: one test, of"), "{}", page().await);
    scene::log(app, None, Some(reach.north), days_ago(20), tested(0.6)).await;
    // By hand: ln(0.8/0.6)/20 = 0.01438 a day; 0.6·exp(−20·0.01438) = 0.45 mg/L now; ln(0.8/0.2)/0.01438 = 96.4 days
    // after the first test, 56 from now: 9 May.
    let said = page().await;
    assert!(said.contains("Expected now: free chlorine 0.45 mg/L"), "{said}");
    assert!(said.contains("about Saturday 9 May"), "{said}");
    assert!(said.contains("it changes no grade"), "{said}");
    let working = text(&maren.get(&format!("/vessels/{}/working", reach.north)).await.text);
    assert!(working.contains("Free chlorine to be expected now") && working.contains("Vasconcelos"), "{working}");
    scene::log(app, None, Some(reach.north), days_ago(1), scene::filled(reach.mains)).await;
    assert!(page().await.contains("No forecast of free chlorine: nobody has tested it since"), "{}", page().await);
    house.close().await;
}

#[tokio::test]
async fn a_dose_is_reckoned_from_the_address() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let maren = signed_in(&house, reach.maren).await;
    let address = format!("/vessels/{}/dose", reach.north);
    let get = async |question: &str| text(&maren.get(&format!("{address}?{question}")).await.text);
    // Only shown: filled in from the last dip, π/4 · 1.8² · 1.655 m = 4,211.5 L, weighed with what was believed.
    let shown = maren.get(&address).await.text;
    assert!(shown.contains("value=\"4212\"") && !shown.contains("thing to mend"), "{shown}");
    // By hand: 1,000 L · (0.5 + 0.5 − 0.1) mg/L / 60 g/L = 15 mL, three teaspoons of 4.93 mL.
    let usual = "litres=1000&demand=0.5&target=0.5&present=0.1&turbidity=0.5&label=60&means=g_L&age=0";
    let dose = get(&format!("{usual}&product=bleach")).await;
    assert!(dose.contains("15 mL") && dose.contains("3 teaspoons"), "{dose}");
    assert!(dose.contains("Never mix with acid, ammonia") && dose.contains("wait 30 minutes"), "{dose}");
    // 1,000 L · 0.9 mg/L / 0.65 = 1.38 g.
    let solid = get(&format!("{}&product=granules", usual.replace("label=60", "label=65"))).await;
    assert!(solid.contains("1.4 g"), "{solid}");
    for (question, words) in [
        (format!("{usual}&product=scented"), "the bleach is scented; allowed is plain unscented bleach"),
        (format!("{}&product=bleach", usual.replace("target=0.5", "target=11")), "More is a shock dose"),
        (format!("{}&product=bleach", usual.replace("label=60", "label=")), "Figure on the label is missing."),
        (format!("{}&product=bleach", usual.replace("litres=1000", "litres=many")), "water in it now"),
        (format!("{}&product=bleach", usual.replace("turbidity=0.5", "turbidity=101")), "settle and filter it first"),
    ] {
        let refused = get(&question).await;
        assert!(refused.to_lowercase().contains(&words.to_lowercase()), "{question}: {refused}");
        assert!(!refused.contains("It adds"), "{question}: {refused}");
    }
    house.close().await;
}

#[tokio::test]
async fn chloraminated_water_is_dosed_only_where_free_chlorine_was_confirmed() {
    let house = House::open().await;
    let app = house.running.app();
    let reach = reach(app).await;
    let told =
        Mains { source: reach.mains, state: Supply::On, disinfectant: Some(Disinfectant::Chloramine), note: None };
    scene::log(app, None, None, days_ago(9), Act::Mains(told)).await;
    scene::log(app, None, Some(reach.north), days_ago(8), scene::filled(reach.mains)).await;
    let maren = signed_in(&house, reach.maren).await;
    let asked = "litres=1000&demand=0.5&target=0.5&present=0.1&label=60&means=g_L&product=bleach";
    let get = async |more: &str| text(&maren.get(&format!("/vessels/{}/dose?{asked}{more}", reach.north)).await.text);
    let refused = get("").await;
    assert!(refused.contains("The water is chloraminated.") && !refused.contains("It adds"), "{refused}");
    let sure = get("&free_confirmed=yes").await;
    assert!(sure.contains("15 mL"), "{sure}");
    house.close().await;
}
