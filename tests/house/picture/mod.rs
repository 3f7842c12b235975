//! The picture does not depend on how it came about: late and shuffled entries, one at a time or all at once, changes
//! of the set-up in between, it is the same as built anew; and nothing in it is impossible.

mod battery;
mod bears;
mod cases;
mod deliveries;
mod levels;
pub mod scene;
mod stands;
mod works;

use std::sync::Arc;

use keepwell::findings;
use keepwell::findings::Before;
use keepwell::model::entry::Entry;
use keepwell::model::setup::SetUp;
use keepwell::picture::Picture;
use keepwell::picture::fold::Fold;
use keepwell::picture::suppose::Suppose;
use keepwell::picture::today::BASIC;
use keepwell::picture::today::Question;
use keepwell::picture::today::SiteToday;
use keepwell::picture::today::Today;
use keepwell::service::verify::differences;
use keepwell_engine::level::Estimate;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use proptest::prelude::*;
use proptest::test_runner::Config;

use scene::Scene;

fn cases(cases: u32) -> Config {
    Config { cases, failure_persistence: None, ..Config::default() }
}

/// Equal by the comparison that `verify` makes, and to the last field of everything in it.
fn same(one: &Picture, other: &Picture) -> Result<(), TestCaseError> {
    let found = differences(one, other);
    prop_assert!(found.is_empty(), "{}", found.join("; "));
    prop_assert_eq!(format!("{one:?}"), format!("{other:?}"), "the comparison missed something");
    // What is reckoned only when it is asked for is no older than the rest.
    for (one, other) in one.sites().iter().zip(other.sites()) {
        for (one, other) in one.vessels.iter().zip(&other.vessels) {
            prop_assert_eq!(one.explained(), other.explained());
        }
    }
    Ok(())
}

/// Nothing that cannot be: figures are numbers, and no more is in a vessel than it holds, now and later.
fn possible(picture: &Picture) -> Result<(), TestCaseError> {
    let first = Moment::from_micros(scene::start().as_microsecond());
    for vessel in picture.sites().iter().flat_map(|site| &site.vessels) {
        let brim = as_litres(vessel.body.capacity.brim);
        for later in [0.0, 31.0, 400.0] {
            let now = first.after(days(later));
            within(&vessel.estimate(now), brim)?;
            let parts = vessel.parts(now);
            prop_assert!(!parts.is_empty());
            let mut sum = 0.0;
            for part in &parts {
                within(&part.estimate, brim)?;
                sum += as_litres(part.estimate.volume);
            }
            prop_assert!(sum <= brim * (1.0 + 1e-9), "the parts hold {sum} L of {brim} L");
        }
        let points = vessel.trace(&picture.sources, first, first.after(days(40.0)), days(5.0));
        prop_assert!(points.len() >= 9);
        for point in points {
            within(&point.estimate, brim)?;
        }
    }
    for site in picture.sites() {
        for fuel in site.ledger.state.fuel.values() {
            prop_assert!(fuel.litres.is_finite() && fuel.litres >= 0.0, "{fuel:?}");
        }
    }
    Ok(())
}

fn within(estimate: &Estimate, brim: f64) -> Result<(), TestCaseError> {
    let Estimate { volume, sd, low, high } = *estimate;
    let (volume, low, high, sd) = (as_litres(volume), as_litres(low), as_litres(high), as_litres(sd));
    let most = brim * (1.0 + 1e-9);
    prop_assert!((0.0..=most).contains(&volume), "{volume} L of {brim} L");
    prop_assert!((0.0..=most).contains(&low) && (0.0..=most).contains(&high), "{low} to {high} L of {brim} L");
    prop_assert!(low <= volume * (1.0 + 1e-9) && volume <= high * (1.0 + 1e-9) + 1e-9, "{low} {volume} {high}");
    prop_assert!(sd.is_finite() && sd >= 0.0, "{sd}");
    Ok(())
}

fn at_once(set_up: &SetUp, entries: &[Arc<Entry>]) -> Arc<Picture> {
    let seq = i64::try_from(entries.len()).unwrap();
    Arc::clone(Fold::of(set_up.clone(), entries.to_vec(), seq, 1).picture())
}

fn shuffled() -> impl Strategy<Value = (Scene, Vec<usize>, Vec<usize>)> {
    scene::scene(1..40).prop_flat_map(|scene| {
        let order: Vec<usize> = (0..scene.entries.len()).collect();
        (Just(scene), Just(order).prop_shuffle(), prop::collection::vec(1..6_usize, 40))
    })
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn late_and_shuffled_entries_give_the_same_picture((scene, order, groups) in shuffled()) {
        let ordered = at_once(&scene.set_up, &scene.entries);
        let entries: Vec<Arc<Entry>> = order.iter().map(|at| Arc::clone(&scene.entries[*at])).collect();
        same(&ordered, &at_once(&scene.set_up, &entries))?;

        let seq = i64::try_from(entries.len()).unwrap();
        let mut fold = Fold::of(scene.set_up.clone(), Vec::new(), 0, 1);
        let mut rest = entries.as_slice();
        for group in groups {
            let (now, later) = rest.split_at(group.min(rest.len()));
            fold.add(now, seq);
            rest = later;
        }
        fold.add(rest, seq);
        same(&ordered, fold.picture())?;
        possible(&ordered)?;
    }
}

/// A long life whose entries arrive nearly in the order of time, each up to so many places late.
fn nearly_in_order() -> impl Strategy<Value = (Scene, Vec<usize>, Vec<usize>)> {
    scene::scene(120..220).prop_flat_map(|scene| {
        let late = prop::collection::vec(prop_oneof![3 => Just(0_usize), 1 => 0..80_usize], scene.entries.len());
        (Just(scene), late, prop::collection::vec(1..20_usize, 60))
    })
}

proptest! {
    #![proptest_config(cases(60))]

    #[test]
    fn what_comes_a_little_late_is_folded_in_as_if_in_order((scene, late, groups) in nearly_in_order()) {
        let mut entries = scene.entries.clone();
        entries.sort_by_key(|entry| (entry.at, entry.id));
        let mut arrivals: Vec<(usize, Arc<Entry>)> =
            entries.into_iter().enumerate().map(|(at, entry)| (at + late[at], entry)).collect();
        arrivals.sort_by_key(|arrival| arrival.0);
        let arrivals: Vec<Arc<Entry>> = arrivals.into_iter().map(|arrival| arrival.1).collect();
        let mut fold = Fold::of(scene.set_up.clone(), Vec::new(), 0, 1);
        let mut done = 0;
        for group in groups {
            let next = (done + group).min(arrivals.len());
            fold.add(&arrivals[done..next], i64::try_from(next).unwrap());
            done = next;
            same(&at_once(&scene.set_up, &arrivals[..done]), fold.picture())?;
        }
    }
}

/// One step in a neighbourhood's life: an entry arrives, or something of the set-up changes.
fn steps() -> impl Strategy<Value = (Scene, Vec<usize>, Vec<Option<scene::Change>>)> {
    scene::scene(1..30).prop_flat_map(|scene| {
        let order: Vec<usize> = (0..scene.entries.len()).collect();
        let changes = prop::collection::vec(prop::option::weighted(0.3, scene::change()), scene.entries.len());
        (Just(scene), Just(order).prop_shuffle(), changes)
    })
}

proptest! {
    #![proptest_config(cases(150))]

    #[test]
    fn after_every_step_the_picture_is_as_built_anew((scene, order, changes) in steps()) {
        let mut set_up = scene.set_up.clone();
        let mut fold = Fold::of(set_up.clone(), Vec::new(), 0, 1);
        let mut arrived = Vec::new();
        for (at, change) in order.into_iter().zip(changes) {
            let entry = Arc::clone(&scene.entries[at]);
            arrived.push(Arc::clone(&entry));
            fold.add(&[entry], i64::try_from(arrived.len()).unwrap());
            same(&at_once(&set_up, &arrived), fold.picture())?;
            if let Some(change) = change {
                let thing = scene::changed(&set_up, change);
                set_up.put(thing.clone(), 2);
                set_up.note(&thing, scene::start());
                fold.change(&[(thing, 2)], 1, scene::start());
                same(&at_once(&set_up, &arrived), fold.picture())?;
            }
        }
        possible(fold.picture())?;
    }
}

proptest! {
    #![proptest_config(cases(60))]

    #[test]
    fn an_answer_grown_from_the_one_before_is_the_one_reckoned_anew((scene, order, _) in steps()) {
        let mut fold = Fold::of(scene.set_up.clone(), Vec::new(), 0, 1);
        let question = Question { outage: false, ration: BASIC.to_owned(), suppose: Suppose::default() };
        let now = Moment::from_micros(scene::start().as_microsecond()).after(days(60.0));
        let mut before: Option<Before> = None;
        for (count, at) in order.into_iter().enumerate() {
            fold.add(&[Arc::clone(&scene.entries[at])], i64::try_from(count).unwrap());
            let picture = fold.picture();
            let anew = Today::of(picture, &question, now, None).unwrap();
            let found_anew = findings::everywhere(picture, &anew, None);
            let grown = Today::of(picture, &question, now, before.as_ref().map(|before| &*before.today)).unwrap();
            let found = findings::everywhere(picture, &grown, before.as_ref());
            prop_assert_eq!(figures(&grown), figures(&anew));
            prop_assert_eq!(&found, &found_anew);
            let sources = Arc::clone(&picture.sources);
            before = Some(Before { sources, today: Arc::new(grown), found: found.into() });
        }
    }
}

/// What an answer says, to the last digit.
fn figures(today: &Today) -> String {
    let site = |site: &SiteToday| {
        let standing = &site.standing;
        format!(
            "{:?} {:?} {:?} {:?} {:?}",
            site.site.site.id, standing.timeline, standing.low, standing.high, standing.water
        )
    };
    let sites: Vec<String> = today.sites.iter().map(site).collect();
    format!("{sites:?} {:?} {:?} {:?} {:?}", today.as_placed, today.pooled, today.first_band, today.water)
}
