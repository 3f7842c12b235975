//! What a battery bridges: by hand.

use keepwell::model::battery::Battery;
use keepwell::model::power::Load;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::model::site::Site;
use keepwell::picture::battery::BatteryNow;
use keepwell::picture::fold::Fold;
use keepwell::picture::standing::Standing;
use keepwell_engine::demand::Ladder;
use keepwell_engine::endurance::Change;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_watt_hours;

use crate::picture::scene;

fn load(n: usize, running_w: f64, hours_a_day: f64, pump: bool) -> Load {
    let (id, site, name) = (scene::id(n), scene::id(0), scene::name("Load"));
    Load { id, site, name, running_w, surge_w: None, hours_a_day, pump, ended: None }
}

/// 5,120 Wh, full, without panels or an inverter that takes anything.
fn plain() -> Battery {
    Battery { charge: None, panels_w: None, sun_hours: None, panel_loss: None, ..scene::battery(0) }
}

/// A pump of 520 W for two hours and a lamp of 60 W for ten, on the morning of 14 March 2026.
fn stands(battery: Battery, latitude: Option<f64>) -> Standing {
    let mut set_up = SetUp::default();
    set_up.put(Thing::Site(Site { latitude, ..scene::site(0) }), 1);
    set_up.put(Thing::Load(load(0, 520.0, 2.0, true)), 1);
    set_up.put(Thing::Load(load(1, 60.0, 10.0, false)), 1);
    set_up.put(Thing::Battery(battery), 1);
    let fold = Fold::of(set_up, Vec::new(), 0, 0);
    let site = &fold.picture().sites()[0];
    let now = Moment::from_micros("2026-03-14T09:30:00Z".parse::<jiff::Timestamp>().unwrap().as_microsecond());
    Standing::of(site, Ladder::default().rung("basic").unwrap(), now).unwrap()
}

fn now(battery: Battery, latitude: Option<f64>) -> Option<BatteryNow> {
    stands(battery, latitude).battery
}

fn near(got: f64, expected: f64) {
    assert!((got - expected).abs() < 1e-6 * expected.abs().max(1.0), "{got}, by hand {expected}");
}

/// 5,120 × 0.8 × 0.9 = 3,686.4 Wh; the pump alone runs 3,686.4 / 520 = 7.09 h, and with 20 W of inverter 3,686.4 / 540 =
/// 6.83 h. Asked a day: 520 × 2 + 60 × 10 = 1,640 Wh: two whole days, and 406 Wh left.
#[test]
fn what_it_gives_and_how_long_it_runs_the_pump() {
    let full = now(plain(), None).unwrap();
    near(as_watt_hours(full.bank.now), 3_686.4);
    near(as_hours(full.pump.as_ref().unwrap().hours), 3_686.4 / 520.0);
    near(as_watt_hours(full.asked.total()), 1_640.0);
    let days = full.days().unwrap();
    near(as_days(days.lasts()), 2.0);
    near(as_watt_hours(days.days[1].left), 3_686.4 - 2.0 * 1_640.0);
    let idle = now(Battery { idle_w: Some(20.0), ..plain() }, None).unwrap();
    near(as_hours(idle.pump.as_ref().unwrap().hours), 3_686.4 / 540.0);
    // 24 × 20 = 480 Wh of inverter
    near(as_watt_hours(idle.asked.total()), 2_120.0);
    near(as_days(idle.days().unwrap().lasts()), 1.0);
}

/// Half full: of 50 % the lower 20 % stay in it, so 5,120 × 0.3 × 0.9 = 1,382.4 Wh. At 15 % nothing may be used.
#[test]
fn how_full_it_is_counts_above_what_must_stay_in_it() {
    let half = now(Battery { charge: Some(0.5), ..plain() }, None).unwrap();
    near(as_watt_hours(half.bank.now), 1_382.4);
    near(as_watt_hours(half.bank.full), 3_686.4);
    near(as_watt_hours(now(Battery { charge: Some(0.15), ..plain() }, None).unwrap().bank.now), 0.0);
    near(as_watt_hours(now(Battery { charge: Some(1.0), ..plain() }, None).unwrap().bank.now), 3_686.4);
}

/// 1,600 W × 2.5 h × 0.86 × 0.9 = 3,096 Wh of 1,640 asked: it never falls short. A tenth of the panels give 309.6 Wh, so
/// each day takes 1,330.4 of the 3,686.4: two days leave 1,025.6, and the third falls short.
#[test]
fn the_sun_as_entered_puts_back_what_the_panels_give() {
    let sunny = Battery { panels_w: Some(1_600.0), sun_hours: Some(2.5), ..plain() };
    let found = now(sunny.clone(), None).unwrap();
    near(as_watt_hours(found.sun.as_ref().unwrap().a_day.value), 3_096.0);
    assert_eq!(found.days().unwrap().first_short, None);
    let found = now(Battery { panels_w: Some(160.0), ..sunny }, None).unwrap();
    let days = found.days().unwrap();
    assert_eq!(days.first_short, Some(2));
    near(as_watt_hours(days.days[1].left), 1_025.6);
}

/// At 40° N in March 27.2 MJ a square metre fall outside the air (FAO 56, annex 2, table 2.6, from memory); with three
/// tenths of the daylight bright, (0.25 + 0.50 × 0.3) × 27.2 / 3.6 = 3.02 h of full sun.
#[test]
fn by_month_and_latitude_where_nobody_has_the_hours() {
    let panels = Battery { panels_w: Some(1_600.0), ..plain() };
    let sun = now(panels.clone(), Some(40.0)).unwrap().sun.unwrap();
    assert!((as_hours(sun.hours) - 3.02).abs() < 0.02 && sun.by_latitude.is_some(), "{}", as_hours(sun.hours));
    assert!(now(panels.clone(), None).unwrap().sun.is_none(), "nobody knows the sun");
    let entered = now(Battery { sun_hours: Some(2.0), ..panels }, Some(40.0)).unwrap().sun.unwrap();
    assert!(entered.by_latitude.is_none());
    near(as_hours(entered.hours), 2.0);
}

#[test]
fn what_is_out_of_use_bridges_nothing() {
    let ended = Some("2026-03-14T09:00:00Z".parse().unwrap());
    assert!(now(Battery { ended, ..plain() }, None).is_none());
}

/// The days of water count on what the pump's battery gives, 3,686.4 Wh of 1,640 a day, half of it asked after dark.
#[test]
fn the_days_count_on_it_and_on_the_sun() {
    let run = stands(plain(), None).run.battery.unwrap();
    near(as_watt_hours(run.now), 3_686.4);
    near(as_watt_hours(run.asked), 1_640.0);
    near(as_watt_hours(run.sun), 0.0);
    near(run.after_dark, 0.5);
    let sunny = Battery { panels_w: Some(1_600.0), sun_hours: Some(2.5), ..plain() };
    let standing = stands(sunny, None);
    near(as_watt_hours(standing.run.battery.unwrap().sun), 3_096.0);
    assert!(standing.run.events.is_empty(), "the same sun all year");
}

/// From 14 March it is 18 days to April; two years ahead are 24 months.
#[test]
fn the_sun_changes_with_the_month() {
    let panels = Battery { panels_w: Some(400.0), ..plain() };
    let events = stands(panels, Some(40.0)).run.events;
    near(as_days(events[0].at), 18.0);
    near(as_days(events[1].at), 48.0);
    assert_eq!(events.len(), 24);
    assert!(events.iter().all(|event| matches!(event.change, Change::Sun(_))));
}
