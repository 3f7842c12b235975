//! What an import makes of what is kept already.

use super::*;
use crate::model::entry::Act;
use crate::model::entry::fuel::Move;
use crate::service::import::Tally;

fn house(texts: &[&str]) -> House {
    let mut house = House::default();
    let plan = house.plan(texts);
    house.apply(&plan);
    house
}

#[test]
fn the_same_files_twice_change_nothing() {
    let readings = "vessel,time,depth (m)\nEast tank,2026-03-04 08:10,1.0\nEast tank,2026-03-05 08:10,0.9\n";
    let fuel = "site,store,fuel,amount\nParish hall,Cans,petrol,40\n";
    let people = "site,category,number\nParish hall,adult,12\n";
    let all = [SITES, TANK, CANS, readings, fuel, people];
    let house = house(&all);
    let again = house.plan(&all);
    assert!(again.is_empty(), "{again:#?}");
    let skipped = |skipped| Tally { skipped, ..Tally::default() };
    let found = again.counts;
    let tallies = [found.sites, found.vessels, found.readings, found.fuel, found.people];
    assert_eq!(tallies, [skipped(1), skipped(2), skipped(2), skipped(1), skipped(1)]);
    assert_eq!(again.counts.lines().len(), 5);
    assert_eq!(again.counts.said().len(), 5);
}

#[test]
fn a_row_that_stands_twice_in_a_file_is_taken_once() {
    let readings = "vessel,time,depth (m)\nEast tank,2026-03-04 08:10,1.0\nEast tank,2026-03-04 08:10,1.00\n";
    let plan = House::default().plan(&[SITES, TANK, readings]);
    assert_eq!(plan.entries.len(), 1);
    assert_eq!((plan.counts.readings.added, plan.counts.readings.skipped), (1, 1));
}

#[test]
fn another_value_at_the_same_time_is_another_reading() {
    let first = "vessel,time,depth (m)\nEast tank,2026-03-04 08:10,1.0\n";
    let house = house(&[SITES, TANK, first]);
    let plan = house.plan(&[&first.replace("1.0", "1.1")]);
    assert_eq!((plan.entries.len(), plan.things.len()), (1, 0));
}

#[test]
fn what_differs_is_a_change_from_its_revision_and_empty_cells_change_nothing() {
    let house = house(&[SITES, TANK, "site,category,number\nParish hall,adult,12\nParish hall,sheep,4\n"]);
    let tank = "site,name,shape,pump outlet (cm),full mark (m),food grade,closed,opaque\n\
        PARISH HALL,east tank,upright cylinder,25,1.6,,,\n";
    let plan = house.plan(&[tank, "site,category,number\nParish hall,adults,14\nParish hall,sheep,0\n"]);
    let revisions: Vec<Option<i64>> = plan.things.iter().map(|(_, revision)| *revision).collect();
    assert_eq!(revisions, [Some(1), Some(1)]);
    assert_eq!((plan.counts.vessels.changed, plan.counts.people.changed), (1, 2));
    let (site, tank) = (&sites(&plan)["Parish hall"], &vessels(&plan)["East tank"]);
    assert_eq!((site.heads(), site.animals.len()), (14, 0));
    assert!((tank.dimensions["diameter_m"] - 1.2).abs() < 1e-12 && tank.food_grade && tank.opaque);
    assert_eq!(tank.draws.len(), 2);
    assert_eq!(tank.since, "2026-01-01T00:00:00Z".parse().unwrap());
}

#[test]
fn a_change_that_makes_no_vessel_is_refused() {
    let house = house(&[SITES, TANK]);
    let low = "site,name,shape,height (m)\nParish hall,East tank,upright cylinder,0.05\n";
    let faults = house.faults(&[low]);
    assert!(said(&faults[0]).contains("The outlet is 0.1 m over the floor; allowed is 0 m to 0.05 m"), "{faults:#?}");
    let later = "site,name,shape,in place since\nParish hall,East tank,upright cylinder,2026-02-01\n";
    let faults = house.faults(&[later]);
    assert_eq!(faults[0].column, "in place since");
}

#[test]
fn a_reading_is_held_against_the_vessel_that_is_kept() {
    let house = house(&[SITES, TANK]);
    let faults = house.faults(&["vessel,time,depth (m)\nEast tank,2026-03-04,1.8\nEast tank,2025-12-31,1\n"]);
    let places: Vec<_> = faults.iter().map(|fault| (fault.line, fault.column.as_str())).collect();
    assert_eq!(places, [(2, "depth (m)"), (3, "time")]);
}

#[test]
fn another_amount_of_fuel_is_measured_on_a_day() {
    let house = house(&[SITES, "site,store,fuel,amount,measured on\nParish hall,Cans,petrol,40,2026-03-01\n"]);
    let without = house.faults(&["site,store,fuel,amount\nParish hall,Cans,petrol,30\n"]);
    assert!(said(&without[0]).contains("Say in “measured on”"), "{without:#?}");
    let before = house.faults(&["site,store,fuel,amount,measured on\nParish hall,Cans,petrol,30,2026-02-01\n"]);
    assert_eq!(before[0].column, "measured on");

    let small = "site,store,fuel,capacity,amount,measured on\nParish hall,Cans,petrol,35,30,2026-03-05\n";
    assert_eq!(house.faults(&[small])[0].column, "capacity");

    let dated = "site,store,fuel,amount,measured on\nParish hall,Cans,petrol,30,2026-03-05\n";
    let plan = house.plan(&[dated]);
    assert!(plan.things.is_empty());
    let Act::Fuel(fuel) = &plan.entries[0].act else { panic!() };
    assert!(fuel.way == Move::Measured && (fuel.litres - 30.0).abs() < 1e-12);
    assert_eq!(plan.counts.fuel, Tally { added: 1, ..Tally::default() });
    let mut house = house;
    house.apply(&plan);
    assert!(house.plan(&[dated]).is_empty());
}

#[test]
fn what_is_no_longer_in_use_keeps_its_name() {
    let mut house = house(&[SITES, TANK]);
    let mut vessel = (*house.set_up.vessels.values().next().unwrap().thing).clone();
    vessel.ended = Some(now());
    house.set_up.put(Thing::Vessel(vessel), 2);
    for text in [TANK, "vessel,time,depth (m)\nEast tank,2026-03-04,1\n"] {
        let faults = house.faults(&[text]);
        assert!(said(&faults[0]).contains("no longer in use"), "{faults:#?}");
    }
}

#[test]
fn no_more_cannot_collect_than_are_counted_whichever_file_says_so() {
    let people = |count: u32| format!("site,category,number\nParish hall,adult,{count}\nParish hall,day visitor,30\n");
    let unable = "name,kind,cannot collect\nParish hall,hall,5\n";
    let house = house(&[SITES, &people(12)]);
    assert_eq!(sites(&house.plan(&[unable]))["Parish hall"].cannot_collect, 5);
    // The sites are read first, and those who draw there come with the next file.
    assert_eq!(sites(&House::default().plan(&[unable, &people(5)]))["Parish hall"].cannot_collect, 5);
    for (files, place) in [
        (vec![unable.replace(",5", ",13")], (2, "cannot collect")),
        (vec![unable.to_owned(), people(4)], (3, "number")),
    ] {
        let files: Vec<&str> = files.iter().map(String::as_str).collect();
        let faults = house.faults(&files);
        assert_eq!(faults.iter().map(|fault| (fault.line, fault.column.as_str())).collect::<Vec<_>>(), [place]);
        assert!(said(&faults[0]).contains("the people counted here without day visits"), "{faults:#?}");
    }
    let half = house.faults(&["name,kind,cannot collect\nParish hall,hall,1.5\n"]);
    assert!(said(&half[0]).contains("whole number"), "{half:#?}");
}
