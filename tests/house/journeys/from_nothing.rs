//! A new neighbourhood by hand: the link of the first run, a supply, a site, a tank, and its days of water.

use crate::harness::Answer;
use crate::harness::House;
use crate::harness::Visitor;
use crate::pages::set_up::Form;
use keepwell::service::Caller;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;

fn onward(answer: &Answer) -> &str {
    assert_eq!(answer.status, 303, "{}", answer.text);
    answer.header("location")
}

/// The first run's own link, as it is printed.
async fn begin(house: &House, visitor: &Visitor) {
    let link = house.running.greeting().unwrap().pop().unwrap();
    let path = link.strip_prefix(&visitor.base).unwrap().to_owned();
    let first = Form::open(visitor, &path).await.with(&[
        ("name", "Lower Weir"),
        ("zone", "Europe/Dublin"),
        ("mains", "Mains"),
        ("disinfectant", "free_chlorine"),
        ("coordinator", "Ruth"),
        ("password", "four wet boots"),
        ("again", "four wet boots"),
    ]);
    assert_eq!(onward(&first.send(visitor).await), "/set-up");
}

#[tokio::test]
async fn one_site_one_tank_dipped_at_a_metre() {
    let house = House::open().await;
    let visitor = house.visitor();
    begin(&house, &visitor).await;
    let page = visitor.get("/set-up").await;
    assert!(page.text.contains("No site yet. Start with"), "{}", page.text);

    let form = Form::open(&visitor, "/set-up/sites/new").await;
    let mains = form.choice("sources", "Mains");
    let form =
        form.with(&[("name", "Mill Cottage"), ("kind", "household"), ("people_adult", "12"), ("sources", &mains)]);
    let kept = form.send(&visitor).await;
    let site = onward(&kept).to_owned();
    let page = visitor.get(&site).await;
    assert!(page.text.contains("No vessel yet. Start with the biggest"), "{}", page.text);

    let at = format!("{}/vessels/new", site.split('?').next().unwrap());
    let shapes = visitor.get(&at).await;
    let shape = format!("{at}?shape=upright_cylinder");
    assert!(shapes.text.contains(&shape), "{}", shapes.text);
    let form = Form::open(&visitor, &shape).await;
    let form = form.with(&[
        ("name", "East"),
        ("diameter_m", "1.20"),
        ("height_m", "1.30"),
        ("gravity_m", "0.10"),
        ("material", "polyethylene"),
        ("food_grade", "yes"),
        ("closed", "yes"),
        ("opaque", "yes"),
        ("stands_on", "slab"),
        ("source", &mains),
        ("filled", "1 March 2026"),
        ("filled_from", &mains),
        ("depth_now", "1.00"),
    ]);
    onward(&form.send(&visitor).await);

    let app = house.running.app();
    let (_, today) = app.today(&Caller::House, Some("basic")).unwrap();
    let standing = &today.sites[0].standing;
    // 1,017.9 L: pi/4 x 1.20² x (1.00 - 0.10) m = 1.01788 m³, the area of a circle. 5.65 days: that over 12 people x 15 L,
    // by division. A dip is right to some millimetres, and each is 1.13 L of this tank.
    let litres = as_litres(standing.water.drink);
    assert!((litres - 1017.9).abs() < 0.05, "{litres}");
    let days = as_days(standing.timeline.days_at_ration);
    assert!((days - 5.65).abs() < 0.005, "{days}");
    let picture = app.picture();
    let vessel = &picture.sites()[0].vessels[0];
    assert!(vessel.is_known() && vessel.vessel.since.to_string() == "2026-03-01T12:00:00Z", "{}", vessel.vessel.since);
    house.close().await;
}
