//! Levels by the estimator that keeps several explanations: what the house makes of it. What truly was in the vessel is
//! made up here; expected figures by hand.

use std::sync::Arc;

use jiff::SignedDuration;
use jiff::Timestamp;
use keepwell::findings;
use keepwell::findings::Finding;
use keepwell::model::entry::Act;
use keepwell::model::entry::Entry;
use keepwell::model::entry::coupling::Coupled;
use keepwell::model::entry::coupling::Coupling;
use keepwell::model::entry::draw::Draw;
use keepwell::model::entry::fill::Fill;
use keepwell::model::entry::fill::Measured;
use keepwell::model::entry::reading::Method;
use keepwell::model::entry::reading::Reading;
use keepwell::model::outage::Outage;
use keepwell::model::outage::OutageKind;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::Bank;
use keepwell::model::vessel::ShapeKind;
use keepwell::model::vessel::Vessel;
use keepwell::picture::Picture;
use keepwell::picture::VesselPicture;
use keepwell_engine::level::explain::Why;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_day;
use keepwell_engine::quantity::days;
use keepwell_engine::vessel::usable;

use super::at_once;
use super::scene;
use super::scene::id;

/// Litres of the upright tank of 1.20 m when it is a metre deep: π/4 · 1.2² · 1,000.
const A_METRE: f64 = 1_130.973_355;

/// The upright tank, 1.70 m deep, its outlet 0.10 m up.
fn tank(n: usize) -> Vessel {
    let byte = (0..=u8::MAX).find(|byte| scene::vessel(0, (*byte, 0, 1, 0, 0)).shape == ShapeKind::UprightCylinder);
    let vessel = scene::vessel(n, (byte.unwrap(), 0, 1, 0, 0));
    Vessel { bank: None, since: scene::start(), daily_use: false, floor_m: 0.0, ..vessel }
}

fn set_up(vessels: impl IntoIterator<Item = Vessel>) -> SetUp {
    let mut set_up = SetUp::default();
    set_up.put(Thing::Source(scene::source(0, SourceKind::Mains, Disinfectant::FreeChlorine)), 1);
    set_up.put(Thing::Site(scene::site(0)), 1);
    let bank = Bank { id: id(0), site: id(0), name: scene::name("Bank"), coupled_at_first: false };
    set_up.put(Thing::Bank(bank), 1);
    for vessel in vessels {
        set_up.put(Thing::Vessel(vessel), 1);
    }
    set_up
}

fn day(day: f64) -> Timestamp {
    scene::start() + SignedDuration::from_secs_f64(86_400.0 * day)
}

fn now(at: f64) -> Moment {
    Moment::from_micros(day(at).as_microsecond())
}

/// What happens to a vessel on a day.
type Told = (f64, usize, Act);

fn entries(told: &[Told]) -> Vec<Arc<Entry>> {
    let entry = |(n, (at, vessel, act)): (usize, &Told)| {
        let at = day(*at);
        let vessel = (!matches!(act, Act::Coupling(_))).then(|| id(*vessel));
        Arc::new(Entry { id: id(n), site: Some(id(0)), vessel, at, arrived: at, by: None, act: act.clone() })
    };
    told.iter().enumerate().map(entry).collect()
}

fn dip(depth_m: f64) -> Act {
    Act::Reading(Reading { depth_m: Some(depth_m), ..Reading::by(Method::Dipstick) })
}

/// What a stick finds of so many litres, to the millimetre.
fn dip_of(litres: f64) -> Act {
    dip((1_000.0 * litres / A_METRE).round() / 1_000.0)
}

fn draw(litres: f64) -> Act {
    let measured = Some(Measured::Bucket);
    Act::Draw(Draw { litres: Some(litres), to_outlet: false, measured, lot: None, note: None })
}

fn filled() -> Act {
    Act::Fill(Fill {
        litres: None,
        to_top: true,
        measured: None,
        source: id(0),
        boiled: false,
        printed: None,
        lot: None,
        note: None,
    })
}

/// A dip a week, the first so many weeks of a tank that stands, then as it loses water.
fn weekly(quiet: u32, weeks: u32, litres_a_day: f64) -> Vec<Told> {
    let week = |week: u32| {
        let at = 7.0 * f64::from(week);
        (at, 0, dip_of(1_700.0 - litres_a_day * (at - 7.0 * f64::from(quiet)).max(0.0)))
    };
    (0..weeks).map(week).collect()
}

fn of(picture: &Picture, n: usize) -> &VesselPicture {
    picture.vessel(id(n)).unwrap().1
}

fn found(picture: &Picture, at: f64) -> Vec<Finding> {
    let site = picture.site(id(0)).unwrap();
    findings::at(&findings::Scene { picture, site, standing: None, now: now(at) })
}

fn rules(picture: &Picture, at: f64) -> Vec<&'static str> {
    found(picture, at).iter().map(|finding| finding.rule).filter(|rule| matches!(*rule, "leak" | "misfit")).collect()
}

#[test]
fn the_first_dip_is_taken_as_it_is() {
    let picture = at_once(&set_up([tank(0)]), &entries(&[(0.5, 0, dip(1.0))]));
    let vessel = of(&picture, 0);
    assert!(vessel.explained().is_none(), "one reading has nothing to be weighed against");
    let held = vessel.estimate(now(0.5)).volume;
    // By hand: π/4 · 1.2² · (1.00 − 0.10) m³.
    let above = usable(&vessel.body.shape, &vessel.body.fittings, held).unwrap().0;
    assert!((as_litres(above) - 1_017.876).abs() < 0.001, "{}", as_litres(above));
}

#[test]
fn dips_that_agree_make_it_surer() {
    let told = [(0.5, 0, dip(1.0)), (7.5, 0, dip(1.0)), (14.5, 0, dip(1.0)), (21.5, 0, dip(1.0))];
    let picture = at_once(&set_up([tank(0)]), &entries(&told));
    let estimate = of(&picture, 0).estimate(now(21.5));
    // By hand: four dips of 4 mm each: 4 mm/√4 · 1.131 L a millimetre.
    assert!((as_litres(estimate.volume) - A_METRE).abs() < 0.5, "{}", as_litres(estimate.volume));
    assert!((as_litres(estimate.sd) - 2.26).abs() < 0.3, "{}", as_litres(estimate.sd));
}

#[test]
fn a_slow_leak_is_found_and_said_with_its_error_and_since_when() {
    let told = weekly(8, 13, 5.0);
    let set_up = set_up([tank(0)]);
    let before = at_once(&set_up, &entries(&told[..9]));
    assert_eq!(rules(&before, 56.0), [""; 0], "it has not begun");
    let picture = at_once(&set_up, &entries(&told));
    let leak = of(&picture, 0).leak().unwrap();
    let (rate, sd) = (as_litres_per_day(leak.rate.mean), as_litres_per_day(leak.rate.sd));
    assert!((rate - 5.0).abs() < 2.0 * sd && sd < 0.6, "{rate} ± {sd}");
    let since = as_days(leak.since.since(now(0.0)));
    assert!((since - 56.0).abs() < 5.0, "since day {since}");
    assert_eq!(rules(&picture, 84.0), ["leak"]);
    let finding = &found(&picture, 84.0)[0];
    assert_eq!((finding.since, finding.vessel), (Some(leak.since), Some(id(0))));
}

#[test]
fn a_leak_that_was_mended_is_said_no_more() {
    let mut told = weekly(8, 13, 5.0);
    told.extend((13..19_u32).map(|week| (7.0 * f64::from(week), 0, dip_of(1_700.0 - 5.0 * 28.0))));
    let picture = at_once(&set_up([tank(0)]), &entries(&told));
    assert_eq!(rules(&picture, 127.0), [""; 0]);
}

#[test]
fn what_was_drawn_and_logged_is_no_leak() {
    let mut told = weekly(8, 13, 5.0);
    for week in 9..13_u32 {
        told.push((7.0 * f64::from(week) - 1.0, 0, draw(35.0)));
    }
    let picture = at_once(&set_up([tank(0)]), &entries(&told));
    assert_eq!(rules(&picture, 84.0), [""; 0]);
}

#[test]
fn a_vessel_in_daily_use_has_a_rate_and_no_leak() {
    // 25 L a day, and filled to the top every fourth week.
    let mut told = Vec::new();
    for week in 0..12_u32 {
        let at = 7.0 * f64::from(week);
        let since = 7.0 * f64::from(week % 4);
        if week % 4 == 0 {
            told.push((at, 0, filled()));
        }
        told.push((at + 0.01, 0, dip_of(1_917.0 - 25.0 * since)));
    }
    let picture = at_once(&set_up([Vessel { daily_use: true, ..tank(0) }]), &entries(&told));
    let vessel = of(&picture, 0);
    let usage = vessel.explained().unwrap().usage(now(77.0)).unwrap();
    let (rate, sd) = (as_litres_per_day(usage.mean), as_litres_per_day(usage.sd));
    assert!((rate - 25.0).abs() < 2.5 * sd && sd < 6.0, "{rate} ± {sd}");
    assert_eq!(rules(&picture, 77.1), [""; 0]);
    // What is not told about is reckoned on: three days later there are some 75 L less.
    let litres = |at| as_litres(vessel.estimate(now(at)).volume);
    assert!((litres(77.1) - litres(80.1) - 3.0 * rate).abs() < 1.0, "{} {}", litres(77.1), litres(80.1));
    // The same told of a vessel that stands: its falls are a riddle.
    let standing = at_once(&set_up([tank(0)]), &entries(&told));
    assert!(!rules(&standing, 77.1).is_empty());
    assert!(of(&standing, 0).explained().unwrap().usage(now(77.0)).is_none());
}

#[test]
fn no_leak_is_said_that_began_in_an_outage() {
    let outage = |kind| Outage {
        id: id(0),
        kind,
        since: day(50.0),
        ended: None,
        target_days: 14.0,
        rations: Vec::new(),
        expected: None,
        ran_out: String::new(),
        notes: String::new(),
    };
    for (kind, expected) in [(OutageKind::Real, 0), (OutageKind::Drill, 1)] {
        let mut set_up = set_up([tank(0)]);
        set_up.put(Thing::Outage(outage(kind)), 1);
        let picture = at_once(&set_up, &entries(&weekly(8, 13, 20.0)));
        let leaks = rules(&picture, 84.0).iter().filter(|rule| **rule == "leak").count();
        assert_eq!(leaks, expected, "{kind:?}");
        // What is dipped in an outage is there, however much less it is.
        let mut told = weekly(8, 9, 0.0);
        told.push((60.0, 0, dip(0.5)));
        let held = as_litres(of(&at_once(&set_up, &entries(&told)), 0).estimate(now(60.0)).volume);
        assert!((held - 0.5 * A_METRE).abs() < 5.0, "{kind:?}: {held} L");
    }
}

#[test]
fn a_mistyped_dip_counts_until_the_next_and_is_then_set_aside() {
    let mut told = weekly(9, 8, 0.0);
    // 1,503 mm typed with two digits changed about.
    told.push((56.0, 0, dip(1.053)));
    let set_up = set_up([tank(0)]);
    let picture = at_once(&set_up, &entries(&told));
    assert_eq!(rules(&picture, 56.1), ["misfit"]);
    let misfit = of(&picture, 0).misfit().unwrap();
    assert_eq!((misfit.entry, misfit.why), (id(8), Some(Why::WrongReading)));
    assert!((as_litres(misfit.expected.volume) - 1_700.0).abs() < 5.0);
    // What was read counts until then: 1.053 m.
    let held = as_litres(of(&picture, 0).estimate(now(56.1)).volume);
    assert!((held - 1.053 * A_METRE).abs() < 5.0, "{held} L");
    told.push((57.0, 0, dip_of(1_700.0)));
    let picture = at_once(&set_up, &entries(&told));
    assert_eq!(rules(&picture, 57.1), [""; 0]);
    // It is told of on the vessel's page all the same.
    let said: Vec<_> =
        of(&picture, 0).explained().unwrap().misfits().iter().map(|said| (said.entry, said.why)).collect();
    assert_eq!(said, [(id(8), Some(Why::WrongReading))]);
    let held = as_litres(of(&picture, 0).estimate(now(57.1)).volume);
    assert!((held - 1_700.0).abs() < 5.0, "{held} L");
}

#[test]
fn a_fill_or_a_draw_that_nobody_logged_is_named() {
    let twice = |to: f64| [(56.0, 0, dip_of(to)), (57.0, 0, dip_of(to))];
    let set_up = set_up([Vessel { full_m: Some(1.6), ..tank(0) }]);
    let full = 1.6 * A_METRE - 5.0;
    for (from, to, why) in [(900.0, full, Why::UnloggedFill), (1_700.0, 1_640.0, Why::UnloggedDraw)] {
        let mut told: Vec<Told> = (0..8_u32).map(|week| (7.0 * f64::from(week), 0, dip_of(from))).collect();
        told.extend(twice(to));
        let picture = at_once(&set_up, &entries(&told));
        let said = of(&picture, 0).explained().unwrap().misfits();
        assert_eq!(said.iter().map(|said| (said.entry, said.why)).collect::<Vec<_>>(), [(id(8), Some(why))], "{why:?}");
        assert_eq!(rules(&picture, 57.1), [""; 0], "the second reading fits");
        let first = at_once(&set_up, &entries(&told[..9]));
        assert_eq!(rules(&first, 56.1), ["misfit"], "{why:?}");
    }
}

#[test]
fn an_open_bank_shares_what_is_told_of_it() {
    let banked = |n| Vessel { bank: Some(id(0)), ..tank(n) };
    let open = |state| Act::Coupling(Coupling { bank: id(0), state, note: None });
    let told = [
        (1.0, 0, open(Coupled::Coupled)),
        (2.0, 0, dip(1.0)),
        (9.0, 1, dip(1.0)),
        (16.0, 0, dip(1.0)),
        (17.0, 0, draw(A_METRE / 2.0)),
        (20.0, 0, open(Coupled::Separate)),
        (21.0, 1, draw(100.0)),
    ];
    let set_up = set_up([banked(0), banked(1)]);
    let open = at_once(&set_up, &entries(&told[..5]));
    for n in 0..2 {
        // By hand: both a metre deep, then half a metre of one taken from both.
        let held = as_litres(of(&open, n).estimate(now(17.1)).volume);
        assert!((held - 0.75 * A_METRE).abs() < 4.0, "{held} L");
        assert!(of(&open, n).explained().is_some());
    }
    let shut = at_once(&set_up, &entries(&told));
    for (n, drawn) in [(0, 0.0), (1, 100.0)] {
        let held = as_litres(of(&shut, n).estimate(now(21.1)).volume);
        assert!((held - 0.75 * A_METRE + drawn).abs() < 6.0, "{held} L");
        assert!(of(&shut, n).explained().is_none(), "nobody has read it since it stands alone");
    }
}

#[test]
fn what_was_believed_then_is_what_would_have_been_said_then() {
    let mut told = weekly(6, 14, 9.0);
    told.extend([(20.0, 0, draw(55.0)), (33.0, 0, filled()), (62.5, 0, draw(20.0)), (70.5, 0, dip(0.4))]);
    told.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (set_up, all) = (set_up([tank(0)]), entries(&told));
    let picture = at_once(&set_up, &all);
    let trace = of(&picture, 0).trace(&picture.sources, now(25.0), now(95.0), days(3.0));
    assert!(trace.len() > 30);
    for (place, point) in trace.iter().enumerate() {
        // The first of several points at one time is before the entry.
        let is_first = place.checked_sub(1).is_none_or(|before| trace[before].at < point.at);
        let after = !is_first || trace.get(place + 1).is_none_or(|next| next.at > point.at);
        let by_then = |entry: &&Arc<Entry>| {
            let at = Moment::from_micros(entry.at.as_microsecond());
            at < point.at || after && at == point.at
        };
        let then: Vec<Arc<Entry>> = all.iter().filter(by_then).map(Arc::clone).collect();
        let would = of(&at_once(&set_up, &then), 0).estimate(point.at);
        let off = (as_litres(would.volume) - as_litres(point.estimate.volume)).abs()
            + (as_litres(would.sd) - as_litres(point.estimate.sd)).abs();
        assert!(off < 1e-6, "{off} L at {:?}", point.at);
    }
}

#[test]
fn a_sensor_by_the_hour_is_told_in_time() {
    let read = |depth: f64| Act::Reading(Reading { depth_m: Some(depth), ..Reading::by(Method::Sensor) });
    let hour = |hour: u32| {
        let at = f64::from(hour) / 24.0;
        let lost = 20.0 * (at - 20.0).max(0.0);
        (at, 0, read((1_000.0 * (1_700.0 - lost) / A_METRE).round() / 1_000.0))
    };
    let told: Vec<Told> = (0..24 * 25).map(hour).collect();
    let picture = at_once(&set_up([tank(0)]), &entries(&told));
    assert_eq!(rules(&picture, 25.0), ["leak"]);
    let held = of(&picture, 0).estimate(now(25.0));
    assert!((as_litres(held.volume) - 1_600.0).abs() < 10.0, "{}", as_litres(held.volume));
}

#[test]
fn sets_and_what_counts_only_in_an_outage_keep_the_simple_level() {
    let byte = (0..=u8::MAX).find(|byte| scene::vessel(0, (*byte, 0, 1, 0, 0)).shape == ShapeKind::Set).unwrap();
    let set = Vessel { bank: None, since: scene::start(), ..scene::vessel(0, (byte, 0, 1, 0, 0)) };
    let bath = Vessel { outage_only: true, ..tank(1) };
    let count = Act::Reading(Reading { full: Some(20.0), ..Reading::by(Method::Counted) });
    let told = [(1.0, 0, count.clone()), (2.0, 0, count), (1.0, 1, dip(1.0)), (2.0, 1, dip(1.0))];
    let picture = at_once(&set_up([set, bath]), &entries(&told));
    for n in 0..2 {
        assert!(of(&picture, n).explained().is_none() && of(&picture, n).is_known());
    }
    assert!((as_litres(of(&picture, 0).estimate(now(2.0)).volume) - 400.0).abs() < 1e-6);
}
