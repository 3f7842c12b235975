//! How tanks of every shape stand: the figures by hand, and in words where there is none.

use std::collections::BTreeMap;

use keepwell::model::choice::Choice;
use keepwell::model::neighbourhood::Neighbourhood;
use keepwell::model::setup::SetUp;
use keepwell::model::setup::Thing;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::Material;
use keepwell::model::vessel::ShapeKind;
use keepwell::model::vessel::StandsOn;
use keepwell::model::vessel::Vessel;
use keepwell::picture::structure::Edition;
use keepwell::picture::structure::Stands;
use keepwell::picture::structure::stands;
use keepwell_engine::quantity::as_kilonewtons;
use keepwell_engine::quantity::as_kilopascals;

use super::at_once;
use super::scene;
use crate::store::records::settings;

fn shaken() -> Neighbourhood {
    Neighbourhood { sds_g: Some(1.0), sd1_g: Some(0.6), ..settings() }
}

/// A vessel of that shape and these measures, on a slab, not anchored, of which nothing else is said.
fn tank(shape: ShapeKind, measures: &[(&str, f64)]) -> Vessel {
    let place = ShapeKind::LIST.iter().position(|row| row.0 == shape).unwrap();
    let made = scene::vessel(0, (u8::try_from(place).unwrap(), 0, 1, 0, 0));
    let dimensions: BTreeMap<String, f64> = measures.iter().map(|(key, value)| ((*key).to_owned(), *value)).collect();
    let dimensions = if measures.is_empty() { made.dimensions.clone() } else { dimensions };
    Vessel { dimensions, bank: None, full_m: None, material: Material::Polyethylene, empty_kg: None, ..made }
}

fn stand(vessel: Vessel, edition: Edition) -> Stands {
    let mut set_up = SetUp::default();
    set_up.put(Thing::Source(scene::source(0, SourceKind::Mains, Disinfectant::FreeChlorine)), 1);
    set_up.put(Thing::Site(scene::site(0)), 1);
    let key = vessel.id;
    set_up.put(Thing::Vessel(vessel), 1);
    let picture = at_once(&set_up, &[]);
    let (_, vessel) = picture.vessel(key).unwrap();
    stands(vessel, Some(&shaken()), edition).unwrap()
}

fn near(found: f64, by_hand: f64) {
    assert!((found - by_hand).abs() < 1e-6 * by_hand.abs().max(1.0), "{found}, not {by_hand}");
}

#[test]
fn a_lying_tank_presses_by_its_plan_and_neither_tips_nor_swings_by_a_published_figure() {
    // π/4 · 1.2² · 2.4 = 2.714336 m³; with 100 kg 2,814.336 kg on 1.2 · 2.4 = 2.88 m²: · 9.80665/2.88 = 9.583059 kPa.
    let lying = tank(ShapeKind::HorizontalCylinder, &[("diameter_m", 1.2), ("length_m", 2.4)]);
    let lying = stand(Vessel { empty_kg: Some(100.0), ..lying }, Edition::Asce7_16);
    near(as_kilopascals(lying.floor.as_ref().unwrap().pressure), 9.583_059);
    assert!(lying.at_least && lying.weighed);
    let loose = lying.quake.as_ref().unwrap().loose.as_ref().unwrap();
    // Whatever it weighs: 0.4 · 1/(0.2 · (0.9 − 0.2 · 1)).
    near(loose.sliding.value, 0.4 / 0.14);
    assert!(loose.tipping.clone().unwrap_err().contains("cradle"));
    assert!(lying.wave.clone().unwrap().unwrap_err().contains("upright walls"));
    assert!(lying.quake.unwrap().moves(), "it slides, though of tipping there is no figure");
}

#[test]
fn the_editions_part_on_a_roof() {
    let roof = |anchored, edition| {
        let tank = tank(ShapeKind::UprightCylinder, &[("diameter_m", 1.2), ("height_m", 1.7)]);
        stand(Vessel { stands_on: StandsOn::Roof, anchored, ..tank }, edition).quake.unwrap()
    };
    // Not held: 7-16 has 0.4 · (1 + 2 · 1) = 1.2 of its weight, 7-22 0.4 · (1 + 2.5 · 1) = 1.4; over 0.2 · 0.7, and times
    // 0.85 m over 0.7 · 0.6 m.
    for (edition, part) in [(Edition::Asce7_16, 1.2), (Edition::Asce7_22, 1.4)] {
        let loose = roof(false, edition).loose.unwrap();
        near(loose.sliding.value, part / 0.14);
        near(loose.tipping.unwrap().value, part * 0.85 / 0.42);
    }
    // Held, for what is needed afterwards: 0.4 · 3/(2.5/1.5) = 0.72; 0.4 · 1.5 · 3.5/1.5 = 1.4.
    let force = |edition| as_kilonewtons(roof(true, edition).force.value);
    near(force(Edition::Asce7_22) / force(Edition::Asce7_16), 1.4 / 0.72);
}

#[test]
fn what_is_known_by_its_litres_alone_slides_and_no_more() {
    let cans = stand(tank(ShapeKind::Set, &[("count", 10.0), ("litres_each", 20.0)]), Edition::Asce7_22);
    let heater = stand(tank(ShapeKind::HeaterTank, &[("litres", 190.0)]), Edition::Asce7_22);
    for known in [&cans, &heater] {
        assert!(known.floor.is_err() && !known.is_over());
        near(known.quake.as_ref().unwrap().loose.as_ref().unwrap().sliding.value, 0.4 / 0.14);
        assert_eq!(known.unsaid().len(), 3, "{:?}", known.unsaid());
    }
    assert!(heater.wave.unwrap().unwrap_err().contains("closed"));
}

#[test]
fn an_owners_table_presses_as_deep_as_it_is() {
    // A metre of water: 1,000 · 9.80665 · 1 = 9.80665 kPa, whatever its width.
    let table = Vessel { strapping: vec![(0.0, 0.0), (1.0, 500.0)], ..tank(ShapeKind::Table, &[]) };
    let table = stand(Vessel { dimensions: BTreeMap::new(), draws: Vec::new(), ..table }, Edition::Asce7_16);
    near(as_kilopascals(table.floor.unwrap().pressure), 9.806_65);
}

#[test]
fn of_every_shape_each_figure_is_there_or_why_not() {
    for (shape, key, _) in ShapeKind::LIST {
        let standing = stand(tank(*shape, &[]), Edition::default());
        let whole = matches!(shape, ShapeKind::UprightCylinder | ShapeKind::Box | ShapeKind::RoundedBox);
        assert_eq!(standing.unsaid().is_empty(), whole, "{key}: {:?}", standing.unsaid());
        assert!(standing.unsaid().iter().all(|(_, why)| !why.is_empty()), "{key}");
        assert!(standing.quake.unwrap().loose.unwrap().sliding.value > 0.0, "{key}");
        if let Ok(floor) = standing.floor {
            let counted = floor.working.left_out.iter().any(|left| left.contains("its weight is not set up"));
            assert!(counted, "{key}: the empty vessel is left out, and that is not said");
        }
    }
}
