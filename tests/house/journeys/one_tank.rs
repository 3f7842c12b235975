//! One site, one tank, one dip: how long it lasts and what ends it, through the service alone.

use keepwell::model::entry::Act;
use keepwell::model::entry::draw::Draw;
use keepwell::model::id::EntryId;
use keepwell::model::setup::Thing;
use keepwell::model::site::SiteKind;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::ShapeKind;
use keepwell::model::vessel::Vessel;
use keepwell::service::Caller;
use keepwell::service::Error;
use keepwell::service::entries::New;
use keepwell_engine::endurance::Cause;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;

use crate::harness::House;
use crate::pages::scene;

#[tokio::test]
async fn twelve_people_draw_on_one_tank_until_its_water_ends() {
    let house = House::open().await;
    let app = house.running.app();
    let mains = scene::mains();
    let site = scene::site("Mill Cottage", SiteKind::Household, 12);
    let tank = Vessel {
        dimensions: [("diameter_m".to_owned(), 1.2), ("height_m".to_owned(), 1.7)].into(),
        full_m: None,
        ..scene::upright(&site, "East", &[(DrawWay::Gravity, 0.1)])
    };
    assert_eq!(tank.shape, ShapeKind::UprightCylinder);
    let (source, place) = (Thing::Source(mains.clone()), Thing::Site(site.clone()));
    scene::keep(app, vec![scene::neighbourhood(), source, place, Thing::Vessel(tank.clone())]).await;
    scene::log(app, None, Some(tank.id), scene::days_ago(1), scene::filled(mains.id)).await;
    scene::log(app, None, Some(tank.id), scene::now(), scene::dipped(1.0)).await;

    let answer = app.site(&Caller::House, site.id, Some("basic")).unwrap();
    let standing = answer.standing.unwrap().standing;
    // By hand: pi/4 x 1.2² x (1.00 - 0.10) m = 1.017876 m³; over 12 x 15 L a day, 5.6549 days. The dip is weighed with
    // what was believed since the tank was filled to the top a day before, which it does not fit.
    let litres = as_litres(standing.water.drink);
    assert!((litres - 1017.876).abs() < 0.001, "{litres}");
    let days = as_days(standing.timeline.days_at_ration);
    assert!((days - 5.6549).abs() < 0.0001, "{days}");
    let ends = standing.timeline.spans.iter().find(|span| span.to == standing.timeline.days_at_ration).unwrap();
    assert_eq!(ends.cause, Cause::Water);

    // A tank is one water: it has no lots to draw from.
    let draw = Draw { litres: Some(5.0), to_outlet: false, measured: None, lot: Some("a".to_owned()), note: None };
    let new = New { id: EntryId::fresh(), site: None, vessel: Some(tank.id), at: scene::now(), act: Act::Draw(draw) };
    let refused = app.log(&Caller::House, new).await;
    let Err(Error::Invalid(problems)) = refused else { panic!("{refused:?}") };
    assert_eq!((problems.len(), problems[0].field), (1, "lot"));
    assert_eq!(problems[0].message.key, "Only a set is told apart by lots.");
    house.close().await;
}
