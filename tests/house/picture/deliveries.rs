//! What is brought to the door of those who cannot fetch water: by hand.

use keepwell::model::carry::Carry;
use keepwell::model::carry::Means;
use keepwell::model::power::BurnPoint;
use keepwell::model::power::Fuel;
use keepwell::model::power::FuelStore;
use keepwell::model::power::Generator;
use keepwell::model::power::Load;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::model::site::Category;
use keepwell::model::site::People;
use keepwell::model::site::Site;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::Draw;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::Policy;
use keepwell::model::vessel::Vessel;
use keepwell::picture::deliveries::Delivery;
use keepwell::picture::deliveries::deliveries;
use keepwell::picture::suppose::Suppose;
use keepwell::picture::suppose::Then;
use keepwell::picture::today::BASIC;
use keepwell::picture::today::Question;
use keepwell::picture::today::Today;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;

use super::at_once;
use super::cases::entry;
use super::cases::fill;
use super::cases::litres;
use super::scene;
use super::scene::id;

fn people(category: Category, count: u32) -> People {
    People { category, count }
}

/// Site 0: four people, two of whom cannot fetch water; a tank of 900 L that is pumped from over its outlet and dipped to
/// its floor; a generator that burns 0.5 L an hour whatever it carries, and 12 L for it. Site 1: four people and no store.
fn set_up(unable: u32) -> SetUp {
    let mut set_up = SetUp::default();
    set_up.put(Thing::Source(scene::source(0, SourceKind::Mains, Disinfectant::FreeChlorine)), 1);
    set_up.put(Thing::Site(Site { cannot_collect: 2, ..scene::site(0) }), 1);
    set_up.put(Thing::Site(Site { cannot_collect: unable, sources: Vec::new(), ..scene::site(1) }), 1);
    let draw = |way, height_m| Draw { way, height_m };
    set_up.put(
        Thing::Vessel(Vessel {
            bank: None,
            since: scene::start(),
            draws: vec![draw(DrawWay::Pump, 0.1), draw(DrawWay::Dip, 0.0)],
            policy: Policy::default(),
            ..scene::vessel(0, (0, 0, 1, 0, 0))
        }),
        1,
    );
    let (id, site, rated_w) = (id(0), id(0), 2_500.0);
    let point = |load_w| BurnPoint { load_w, litres_per_hour: 0.5 };
    let burn = vec![point(0.0), point(2_000.0)];
    let name = scene::name("Set");
    set_up.put(
        Thing::Generator(Generator { id, site, name, fuel: Fuel::Petrol, rated_w, burst_w: None, burn, ended: None }),
        1,
    );
    let bought = Some(jiff::tz::TimeZone::UTC.to_datetime(scene::start()).date());
    set_up.put(Thing::FuelStore(FuelStore { bought, ..scene::fuel_store(0, 12.0) }), 1);
    let (id, site, name) = (scene::id(0), scene::id(0), scene::name("Pump"));
    let (running_w, hours_a_day) = (520.0, 2.0);
    set_up.put(Thing::Load(Load { id, site, name, running_w, surge_w: None, hours_a_day, pump: true, ended: None }), 1);
    set_up
}

fn carry(n: usize, means: Means, litres_a_day: f64) -> Carry {
    let (id, from, to, name) = (id(n), id(0), id(1), scene::name(&format!("Way {n}")));
    Carry { id, name, from, to, means, litres_a_day, litres_a_trip: 20.0, loss: 0.0, ended: None }
}

fn asked(set_up: &SetUp, ration: &str, suppose: Suppose) -> Vec<Delivery> {
    asked_of(set_up, 900.0, ration, suppose)
}

fn asked_of(set_up: &SetUp, held: f64, ration: &str, suppose: Suppose) -> Vec<Delivery> {
    let at = scene::start();
    let hour = at + jiff::SignedDuration::from_hours(1);
    let picture = at_once(set_up, &[entry(0, at, Some(0), fill(held, None)), entry(1, hour, Some(0), litres(held))]);
    let question = Question { outage: false, ration: ration.to_owned(), suppose };
    let today = Today::of(&picture, &question, Moment::from_micros(hour.as_microsecond()), None).unwrap();
    deliveries(&picture, &today)
}

fn near(got: f64, by_hand: f64) {
    assert!((got - by_hand).abs() < 1e-6, "{got}, by hand {by_hand}");
}

/// 12 L ÷ 0.5 L an hour are 24 hours of running, 1.5 days of 16 hours. Two people, 15 L each: 30 L, which is a can and a
/// half. 4 · 15 L a day from 900 L, dipped once the pump stands: 15 days.
#[test]
fn a_store_whose_pump_stops_with_its_fuel() {
    let found = asked(&set_up(0), BASIC, Suppose::default());
    let [one] = &found[..] else { panic!("{found:?}") };
    assert_eq!((one.people, one.cans), (2, 2));
    near(as_litres(one.a_day), 30.0);
    near(as_days(one.from.unwrap()), 1.5);
    near(as_days(one.store_ends.unwrap()), 15.0);
    assert!(one.has_store() && !one.is_open() && one.carries.is_empty());
}

/// The same tank with nothing but the pump to reach it: from the day that they need it, it gives nothing.
#[test]
fn a_store_that_only_the_pump_reaches_is_none_by_then() {
    let mut set_up = set_up(0);
    let tank = Vessel::clone(&set_up.vessels[&id(0)].thing);
    let draws = vec![Draw { way: DrawWay::Pump, height_m: 0.1 }];
    set_up.put(Thing::Vessel(Vessel { draws, ..tank }), 2);
    let found = asked(&set_up, BASIC, Suppose::default());
    near(as_days(found[0].from.unwrap()), 1.5);
    near(as_days(found[0].store_ends.unwrap()), 1.5);
    assert!(!found[0].has_store() && found[0].is_open());
}

/// Gas from the main has no end of its own, so the water over the pump's outlet is what ends.
#[test]
fn a_tap_stops_where_the_pump_reaches_no_more() {
    let mut set_up = set_up(0);
    let generator = Generator::clone(&set_up.generators[&id(0)].thing);
    set_up.put(Thing::Generator(Generator { fuel: Fuel::MainsGas, ..generator }), 2);
    let found = asked(&set_up, BASIC, Suppose::default());
    // Pumped to its outlet: (900 − 1000 · π/4 · 1.2² · 0.1) / 60 = 13.115 days, then dipped to its floor: 15.
    near(as_days(found[0].from.unwrap()), (900.0 - 36.0 * core::f64::consts::PI) / 60.0);
    near(as_days(found[0].store_ends.unwrap()), 15.0);
    // 13,000 L for one: 730 days of 15 L are 10,950 L, and under an outlet of 0.1 m stand 1000 · π/4 · 3² · 0.1 = 707 L.
    let tank = Vessel::clone(&set_up.vessels[&id(0)].thing);
    let dimensions = [("diameter_m".to_owned(), 3.0), ("height_m".to_owned(), 2.0)].into();
    set_up.put(Thing::Vessel(Vessel { dimensions, ..tank }), 2);
    set_up.put(Thing::Site(Site { people: vec![people(Category::Adult, 1)], cannot_collect: 1, ..scene::site(0) }), 2);
    let found = asked_of(&set_up, 13_000.0, BASIC, Suppose::default());
    assert!(found[0].from.is_none() && found[0].store_ends.is_none(), "{found:?}");
    assert!(found[0].has_store() && !found[0].is_open());
}

/// Three people, 45 L: two cans and a quarter.
#[test]
fn without_a_store_it_is_what_is_agreed_that_brings_it() {
    let mut set_up = set_up(3);
    let found = |set_up: &SetUp| {
        let all = asked(set_up, BASIC, Suppose::default());
        // from now, so before the one whose tap still runs
        assert_eq!(all.iter().map(|one| one.people).collect::<Vec<_>>(), [3, 2]);
        all.into_iter().next().unwrap()
    };
    let one = found(&set_up);
    assert_eq!(one.cans, 3);
    near(as_litres(one.a_day), 45.0);
    near(as_days(one.from.unwrap()), 0.0);
    assert!(!one.has_store() && one.is_open() && one.carries.is_empty());

    let over = Some(scene::start() - jiff::SignedDuration::from_hours(1));
    set_up.put(Thing::Carry(carry(0, Means::Foot, 500.0)), 1);
    set_up.put(Thing::Carry(Carry { ended: over, ..carry(1, Means::Car, 500.0) }), 1);
    let one = found(&set_up);
    assert_eq!(one.carries.iter().map(|carry| carry.id).collect::<Vec<_>>(), [id(0)]);
    assert!(one.is_open(), "on foot nobody brings two cans and more");

    // 20 L, and 30 L of which a sixth is spilt: 45 L arrive.
    set_up.put(Thing::Carry(carry(2, Means::Hose, 20.0)), 1);
    assert!(found(&set_up).is_open());
    set_up.put(Thing::Carry(Carry { loss: 1.0 / 6.0, ..carry(3, Means::Cart, 30.0) }), 1);
    let one = found(&set_up);
    near(as_litres(one.brought), 45.0);
    assert!(!one.is_open() && one.carries.len() == 3);
    let uncarried = asked(&set_up, BASIC, Suppose { uncarried: true, ..Suppose::default() });
    assert!(uncarried[0].is_open() && uncarried[0].carries.is_empty());
}

#[test]
fn nobody_is_no_line() {
    let mut nobody = set_up(0);
    nobody.put(Thing::Site(scene::site(0)), 2);
    assert!(asked(&nobody, BASIC, Suppose::default()).is_empty());
    let mut gone = set_up(3);
    let ended = Some(scene::start());
    gone.put(Thing::Site(Site { cannot_collect: 3, ended, ..scene::site(1) }), 2);
    assert_eq!(asked(&gone, BASIC, Suppose::default()).len(), 1, "a site that has ended");
}

/// Of two people, from day 1.5 on. Lean is 7.5 L. Of a larger ration 15 L are carried by hand. Heat adds the 3 L of
/// drinking again as long as it lasts.
#[test]
fn the_ration_and_the_heat_of_the_day_it_begins() {
    let basic = set_up(0);
    let day = |ration: &str, suppose: Suppose| as_litres(asked(&basic, ration, suppose)[0].a_day);
    near(day("lean", Suppose::default()), 15.0);
    near(day("ample", Suppose::default()), 30.0);
    for (heat_days, litres) in [(1.0, 30.0), (3.0, 36.0)] {
        near(day(BASIC, Suppose { heat_days, ..Suppose::default() }), litres);
    }
    for (after, litres) in [(1.0, 15.0), (2.0, 30.0)] {
        let then = Some(Then { ration: "lean".to_owned(), after });
        near(day(BASIC, Suppose { then, ..Suppose::default() }), litres);
    }
}

/// Six beds at 40 L whatever the ration (Sphere 2018, WASH appendix 3: 40 to 60 L an inpatient a day), and one at 7.5 L. A
/// place with patients comes first, though at the other it is as soon.
#[test]
fn patients_in_beds_have_theirs_in_full_and_come_first() {
    let mut set_up = set_up(3);
    let counted = vec![people(Category::Adult, 4), people(Category::Bed, 6), people(Category::DayVisitor, 30)];
    set_up.put(Thing::Site(Site { people: counted, cannot_collect: 7, ..scene::site(2) }), 1);
    let found = asked(&set_up, "lean", Suppose::default());
    assert_eq!(found.iter().map(|one| one.people).collect::<Vec<_>>(), [7, 3, 2]);
    near(as_litres(found[0].a_day), 6.0 * 40.0 + 7.5);
    assert_eq!(found[0].cans, 13);
}
