//! Whether a generator bears what hangs on it, and what becomes of the days where it does not: by hand.

use keepwell::model::power::BurnPoint;
use keepwell::model::power::Fuel;
use keepwell::model::power::Generator;
use keepwell::model::power::Load;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::model::site::Site;
use keepwell::picture::bears::Bears;
use keepwell::picture::bears::Verdict;
use keepwell::picture::bears::bears;
use keepwell::picture::fold::Fold;
use keepwell::picture::standing::Standing;
use keepwell_engine::demand::Ladder;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_watts;

use crate::picture::scene;

fn load(n: usize, running_w: f64, surge_w: Option<f64>, pump: bool) -> Thing {
    let (id, site, name) = (scene::id(n), scene::id(0), scene::name("Load"));
    Thing::Load(Load { id, site, name, running_w, surge_w, hours_a_day: 2.0, pump, ended: None })
}

/// A pump of 750 W that starts with 2,250, a refrigerator of 150 that starts with 600, light of 100; 5,000 ft up.
fn bearing(rated_w: f64, burst_w: Option<f64>, start: Option<f64>) -> (Bears, bool) {
    let mut set_up = SetUp::default();
    set_up.put(Thing::Site(Site { elevation_m: Some(1524.0), ..scene::site(0) }), 1);
    for load in [load(0, 750.0, start, true), load(1, 150.0, Some(600.0), false), load(2, 100.0, Some(100.0), false)] {
        set_up.put(load, 1);
    }
    let burn = [(0.0, 0.6), (500.0, 0.9)];
    let burn = burn.map(|(load_w, litres_per_hour)| BurnPoint { load_w, litres_per_hour }).to_vec();
    set_up.put(
        Thing::Generator(Generator {
            id: scene::id(0),
            site: scene::id(0),
            name: scene::name("Set"),
            fuel: Fuel::Petrol,
            rated_w,
            burst_w,
            burn,
            ended: None,
        }),
        1,
    );
    let fold = Fold::of(set_up, Vec::new(), 0, 0);
    let site = &fold.picture().sites()[0];
    let now = Moment::from_micros("2026-03-14T09:30:00Z".parse::<jiff::Timestamp>().unwrap().as_microsecond());
    let standing = Standing::of(site, Ladder::default().rung("basic").unwrap(), now).unwrap();
    let pumps = standing.run.power.is_some();
    (bears(site, &standing, now).unwrap().unwrap(), pumps)
}

/// 1 − 5 × 0.035 = 0.825 of it is left up there (ENG-115). Together 1,000 W; the pump starting 250 + 2,250 = 2,500 W; the
/// pump first 2,250 W.
#[test]
fn what_height_leaves_must_run_and_start_it_all() {
    for (rated, burst, verdict, pumps) in [
        (2000.0, None, Verdict::Unsaid, true),
        // 2,400 × 0.825 = 1,980 W do not start the pump
        (2000.0, Some(2400.0), Verdict::NotThePump, false),
        // 2,475 W do if it is first
        (2000.0, Some(3000.0), Verdict::InOrder, true),
        // 2,640 W do while the rest runs
        (2000.0, Some(3200.0), Verdict::All, true),
        // 825 W run the pump alone
        (1000.0, Some(3200.0), Verdict::NotAll, true),
        // 742.5 W do not
        (900.0, Some(3200.0), Verdict::NotThePump, false),
        // and 3,300 W all day start it, whatever nobody said
        (4000.0, None, Verdict::All, true),
    ] {
        let (found, runs) = bearing(rated, burst, Some(2250.0));
        assert_eq!((found.verdict, runs), (verdict, pumps), "{rated} W, {burst:?}");
        assert!((as_watts(found.makes.value) - 0.825 * rated).abs() < 1e-6);
        assert!((as_watts(found.borne.running) - 1000.0).abs() < 1e-6);
        assert!((as_watts(found.borne.any_start) - 2500.0).abs() < 1e-6);
        assert!((as_watts(found.borne.in_order) - 2250.0).abs() < 1e-6);
    }
}

/// A motor takes 3 to 7 times its running power as it starts (NEMA MG 1 code letters): where nobody said it, only what
/// bears 7 × 750 + 250 = 5,500 W surely does; 0.825 × 6,700 = 5,527 W.
#[test]
fn a_start_that_nobody_said_is_not_taken_for_none() {
    for (rated, burst, verdict) in [
        (2000.0, Some(3200.0), Verdict::Unsaid),
        (2000.0, Some(6700.0), Verdict::All),
        (6700.0, None, Verdict::All),
        (1000.0, None, Verdict::NotAll),
    ] {
        assert_eq!(bearing(rated, burst, None).0.verdict, verdict, "{rated} W, {burst:?}");
    }
}
