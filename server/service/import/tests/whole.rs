//! Whole imports.

use std::sync::Arc;

use jiff::civil::Date;
use keepwell_engine::demand::Ladder;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::usable;

use super::*;
use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::reading::Method;
use crate::model::power::FuelStore;
use crate::model::site::Category;
use crate::model::source::SourceKind;
use crate::model::vessel::DrawWay;
use crate::model::vessel::ShapeKind;
use crate::picture::body::Body;
use crate::picture::cluster::moment;
use crate::picture::fold::Fold;
use crate::picture::standing::Standing;
use crate::service::import::Kind;
use crate::service::import::Tally;
use crate::service::import::template;

const PEOPLE: &str = "site,category,number\nParish hall,adult,12\n";
const READING: &str = "site,vessel,time,depth (m)\nParish hall,East tank,2026-03-04 08:10,1.00\n";

#[test]
fn a_site_of_twelve_and_a_dipped_tank_come_to_the_same_as_by_hand() {
    let plan = House::default().plan(&[READING, TANK, PEOPLE, SITES]);
    let (site, tank) = (&sites(&plan)["Parish hall"], &vessels(&plan)["East tank"]);
    assert_eq!(site.heads(), 12);
    let Act::Reading(reading) = &plan.entries[0].act else { panic!("{plan:?}") };
    assert_eq!(reading.method, Method::Dipstick);
    assert_eq!((plan.entries[0].site, plan.entries[0].vessel), (Some(site.id), Some(tank.id)));
    assert_eq!(plan.entries[0].at.to_string(), "2026-03-04T08:10:00Z");

    // By hand: π/4 × 1.2² × (1.00 − 0.10) m³ = 1,017.876 L; over 12 people × 15 L a day, 5.65 days.
    let body = Body::of(tank).unwrap();
    let held = body.shape.volume_at(metres(reading.depth_m.unwrap())).unwrap();
    let litres = as_litres(usable(&body.shape, &body.fittings, held).unwrap().0);
    assert!((litres - 1017.876).abs() < 0.001, "{litres}");
    assert!((litres / (12.0 * 15.0) - 5.65).abs() < 0.005);
}

#[test]
fn the_picture_says_the_same() {
    let tank =
        TANK.replace("since\n", "since,source,last filled\n").replace("2026-01-01", "2026-01-01,mains,2026-03-01");
    let plan = House::default().plan(&[READING, &tank, PEOPLE, SITES]);
    let things: Vec<(Thing, i64)> = plan.things.iter().map(|(thing, _)| (thing.clone(), 1)).collect();
    let entries: Vec<Arc<Entry>> = plan.entries.iter().cloned().map(Arc::new).collect();
    let mut fold = Fold::of(SetUp::default(), Vec::new(), 0, 0);
    fold.change(&things, 1, "2026-03-04T08:00:00Z".parse().unwrap());
    let picture = fold.add(&entries, 1);

    let dipped = moment("2026-03-04T08:10:00Z".parse().unwrap());
    let ladder = Ladder::default();
    let standing = Standing::of(&picture.sites()[0], ladder.rung("basic").unwrap(), dipped).unwrap();
    // As above, by hand: 1,017.876 L. A dip is off by millimetres, of 1.131 L each.
    let drink = as_litres(standing.water.drink);
    assert!((drink - 1017.876).abs() < 0.01, "{drink}");
    let days = as_days(standing.timeline.days_at_ration);
    assert!((days - 5.65).abs() < 0.01, "{days}");
}

#[test]
fn every_template_is_taken_by_an_empty_house() {
    for units in [Units::Metric, Units::Us] {
        let texts: Vec<&str> = Kind::LIST.iter().map(|row| template(row.0, units)).collect();
        // The unit stands in every heading that has one: the argument decides nothing.
        for assumed in [Units::Metric, Units::Us] {
            let mut house = House { units: assumed, ..House::default() };
            let plan = house.plan(&texts);
            let two = Tally { added: 2, ..Tally::default() };
            let found = plan.counts;
            assert_eq!([found.sites, found.vessels, found.people, found.readings, found.fills, found.fuel], [two; 6]);
            assert_eq!(found.sources.added, 1);
            let tank = &vessels(&plan)["East tank"];
            let diameter = tank.dimensions["diameter_m"];
            let expected = if units == Units::Metric { 1.20 } else { 1.2192 }; // 48 in, at 25.4 mm
            assert!((diameter - expected).abs() < 1e-12, "{diameter}");

            house.apply(&plan);
            let again = house.plan(&texts);
            assert!(again.is_empty(), "{again:#?}");
            let two = Tally { skipped: 2, ..Tally::default() };
            let found = again.counts;
            assert_eq!([found.sites, found.vessels, found.people, found.readings, found.fills, found.fuel], [two; 6]);
        }
    }
}

#[test]
fn the_system_of_units_decides_where_a_heading_names_none() {
    let vessels_csv = "Site,Name,Shape,Diameter,Height,Gravity_outlet,food grade,closed,opaque\n\
        Parish hall,East tank,upright cylinder,4,5.5,0.5,y,1,TRUE\n";
    let readings = "vessel,time,volume\nEast tank,2026-03-04,100\n";
    let house = House { units: Units::Us, ..House::default() };
    let plan = house.plan(&[SITES, vessels_csv, readings]);
    let tank = &vessels(&plan)["East tank"];
    // 4 ft = 1.2192 m and 100 US gal = 378.5411784 L, by definition.
    assert!((tank.dimensions["diameter_m"] - 1.2192).abs() < 1e-12);
    assert!((tank.draws[0].height_m - 0.1524).abs() < 1e-12 && tank.draws[0].way == DrawWay::Gravity);
    let Act::Reading(reading) = &plan.entries[0].act else { panic!() };
    assert!((reading.litres.unwrap() - 378.541_178_4).abs() < 1e-4); // uom's gallon has seven figures
    assert_eq!(reading.method, Method::SightGlass);
}

#[test]
fn a_unit_in_the_cell_wins_over_the_heading() {
    let readings = "vessel;time;depth (cm)\nEast tank;2026-03-04;100\nEast tank;2026-03-05;0,95 m\n\
        East tank;2026-03-06;12 in\n";
    let plan = House::default().plan(&[SITES, TANK, readings]);
    let depths: Vec<f64> = plan
        .entries
        .iter()
        .filter_map(|entry| match &entry.act {
            Act::Reading(reading) => reading.depth_m,
            _ => None,
        })
        .collect();
    for (depth, expected) in depths.iter().zip([1.0, 0.95, 0.3048]) {
        assert!((depth - expected).abs() < 1e-12, "{depths:?}");
    }
    assert_eq!(depths.len(), 3);
}

#[test]
fn every_shape_is_read() {
    let columns = [
        "diameter",
        "length",
        "width",
        "height",
        "count",
        "litres each",
        "litres",
        "shell height",
        "shell length",
        "head depth",
        "crown radius",
        "knuckle radius",
        "bore",
        "corner radius",
        "bottom edge radius",
        "table (cm:L)",
    ];
    let rows: [(&str, &[(&str, &str)]); 16] = [
        ("upright cylinder", &[("diameter", "1.2"), ("height", "1.7")]),
        ("Cylinder lying down", &[("diameter", "1.2"), ("length", "2.4")]),
        ("box", &[("length", "2"), ("width", "1"), ("height", "1.5")]),
        (
            "Box with rounded edges",
            &[
                ("length", "2"),
                ("width", "1"),
                ("height", "1.5"),
                ("corner radius", "0.1"),
                ("bottom edge radius", "0.1"),
            ],
        ),
        (
            "upright cylinder with a cone bottom",
            &[("diameter", "1.2"), ("shell height", "1"), ("head depth", "0.5"), ("bore", "0")],
        ),
        (
            "upright_dished",
            &[("diameter", "1.2"), ("shell height", "1"), ("crown radius", "1.2"), ("knuckle radius", "0.072")],
        ),
        ("upright_elliptical", &[("diameter", "1.2"), ("shell height", "1"), ("head depth", "0.3")]),
        ("upright_round", &[("diameter", "1.2"), ("shell height", "1")]),
        (
            "horizontal_dished",
            &[("diameter", "1.2"), ("shell length", "1"), ("crown radius", "1.2"), ("knuckle radius", "0.072")],
        ),
        ("horizontal_elliptical", &[("diameter", "1.2"), ("shell length", "1"), ("head depth", "0.3")]),
        ("horizontal_round", &[("diameter", "1.2"), ("shell length", "1")]),
        ("horizontal_cone", &[("diameter", "1.2"), ("shell length", "1"), ("head depth", "0.3")]),
        ("sphere", &[("diameter", "1")]),
        ("set", &[("count", "24"), ("litres each", "20")]),
        ("water heater", &[("litres", "150")]),
        ("table", &[("table (cm:L)", "0:0 50:300 100:700")]),
    ];
    let mut text = format!("site,name,shape,{},food grade,closed,opaque\n", columns.join(","));
    for (name, (shape, told)) in ('A'..).zip(rows) {
        let cells = columns.map(|column| told.iter().find(|one| one.0 == column).map_or("", |one| one.1)).join(",");
        let words = if shape == "water heater" { ",," } else { "yes,yes,yes" };
        text += &format!("Parish hall,{name},{shape},{cells},{words}\n");
    }
    let plan = House::default().plan(&[SITES, &text]);
    let found = vessels(&plan);
    let shapes: Vec<ShapeKind> = found.values().map(|vessel| vessel.shape).collect();
    let all: Vec<ShapeKind> = ShapeKind::LIST.iter().map(|row| row.0).collect();
    assert_eq!(shapes, all);
    assert_eq!(found["P"].strapping, [(0.0, 0.0), (0.5, 300.0), (1.0, 700.0)]);
    assert!(found["O"].outage_only && found["O"].closed && found["O"].food_grade && found["O"].opaque);
    let brim = |name: &str| as_litres(Body::of(&found[name]).unwrap().shape.brim());
    // By counting: 24 × 20 L. By the formula of a sphere: π ÷ 6 × 1 m³. Of half of one, over a straight wall: π ÷ 12 ×
    // (1.2 m)³ + π ÷ 4 × (1.2 m)² × 1 m.
    for (name, litres) in [("N", 480.0), ("M", 523.598_775_6), ("H", 1_583.362_697_4)] {
        assert!((brim(name) - litres).abs() < 1e-6, "{name}: {}", brim(name));
    }
}

#[test]
fn a_fill_comes_from_its_vessels_source_its_sites_or_the_mains() {
    let sites_csv = "name,kind,source\nParish hall,hall,mains\nMill,household,rain\n";
    let text = "site,name,shape,count,litres each,food grade,closed,opaque,source,last filled,to the top\n\
        Parish hall,Own,set,1,20,yes,yes,no,bought,1 March 2026,yes\n\
        Mill,Sites,set,1,20,yes,yes,no,,2026-03-01,\n";
    let plan = House::default().plan(&[sites_csv, text]);
    let kind = |wanted| {
        plan.things.iter().find_map(|(thing, _)| match thing {
            Thing::Source(source) if source.kind == wanted => Some(source.id),
            _ => None,
        })
    };
    let fills: Vec<_> = plan
        .entries
        .iter()
        .filter_map(|entry| match &entry.act {
            Act::Fill(fill) => Some((Some(fill.source), fill.to_top, fill.litres)),
            _ => None,
        })
        .collect();
    assert_eq!(fills, [(kind(SourceKind::Bought), true, None), (kind(SourceKind::Rain), false, None)]);
    assert_eq!(plan.counts.sources.added, 3);
    // In place since it was filled, for want of anything earlier.
    assert_eq!(vessels(&plan)["Own"].since, "2026-03-01T00:00:00Z".parse().unwrap());
}

#[test]
fn a_vessel_is_in_place_since_its_first_reading_or_else_now() {
    let readings = "vessel,time,full containers\nCans,2026-03-04,20\nCans,2026-02-01,24\n";
    let plan = House::default().plan(&[SITES, CANS, readings]);
    assert_eq!(vessels(&plan)["Cans"].since, "2026-02-01T00:00:00Z".parse().unwrap());
    let plan = House::default().plan(&[SITES, CANS]);
    assert_eq!(vessels(&plan)["Cans"].since, now());
}

#[test]
fn people_and_animals_are_counted_by_category() {
    let text = "Category;Site;Number\nadults;parish hall;12\nInfant;PARISH HALL;2\nDogs and cats;Parish hall;3\n";
    let plan = House::default().plan(&[SITES, text]);
    let site = &sites(&plan)["Parish hall"];
    let people: Vec<_> = site.people.iter().map(|people| (people.category, people.count)).collect();
    assert_eq!(people, [(Category::Adult, 12), (Category::Infant, 2)]);
    assert_eq!(site.animals[0].count, 3);
    assert_eq!(plan.counts.people.added, 3);
}

#[test]
fn fuel_is_set_up_with_its_amount_and_propane_may_be_weighed() {
    let text = "site,store,fuel,capacity,amount,bought,stabilised\n\
        Parish hall,Cans,petrol,60,40,2026-01-05,yes\nParish hall,Cylinder,propane,,20 lb,,\n";
    let plan = House::default().plan(&[SITES, text]);
    let stores: Vec<&FuelStore> = plan
        .things
        .iter()
        .filter_map(|(thing, _)| match thing {
            Thing::FuelStore(store) => Some(store),
            _ => None,
        })
        .collect();
    assert_eq!(stores[0].bought, Some(Date::new(2026, 1, 5).unwrap()));
    assert!(stores[0].stabilised && (stores[0].amount_l - 40.0).abs() < 1e-9);
    // Makers' standby manuals: 4.24 lb a US gallon, so 20 lb are 4.717 gal or 17.856 L.
    assert!((stores[1].amount_l - 17.856).abs() < 0.001, "{}", stores[1].amount_l);
}

#[test]
fn a_name_is_a_name_whatever_it_looks_like() {
    let names = ["<script>alert(1)</script>", "O'Hara \"the well\"", "🌊 صهريج", "; drop, table"];
    let rows: String = names.iter().map(|name| format!("\"{}\",household\r\n", name.replace('"', "\"\""))).collect();
    let plan = House::default().plan(&[&format!("name,kind\r\n{rows}")]);
    let found: Vec<String> = sites(&plan).into_keys().collect();
    assert!(names.iter().all(|name| found.contains(&(*name).to_owned())), "{found:?}");
}
