//! Published burn and fuel figures, and laws of the burn line.

use proptest::prelude::*;
use uom::si::energy::kilowatt_hour;
use uom::si::energy::megajoule;
use uom::si::mass::kilogram;

use super::*;
use crate::moment::Moment;
use crate::quantity::Mass;
use crate::quantity::as_days;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_hour;
use crate::quantity::days;
use crate::quantity::hours;
use crate::quantity::litres;
use crate::quantity::litres_per_hour;
use crate::quantity::watts;
use crate::working::Trust;

fn set(rated: f64, points: &[(f64, f64)]) -> Result<Generator, PowerError> {
    let points: Vec<_> =
        points.iter().map(|&(load, burn)| BurnPoint { load: watts(load), burn: litres_per_hour(burn) }).collect();
    Generator::new(FuelKind::Diesel, watts(rated), &points)
}

fn burn(set: &Generator, load: f64) -> f64 {
    as_litres_per_hour(set.burn(watts(load)).unwrap().rate)
}

fn answer(quantity: &str, inputs: &serde_json::Value) -> f64 {
    let number = |key: &str| inputs[key].as_f64().unwrap();
    let list = |key: &str| inputs[key].as_array().unwrap().iter().map(|it| it.as_f64().unwrap()).collect::<Vec<_>>();
    match quantity {
        "fuel_rate_interpolated" => {
            let loads = list("load_fractions").into_iter().map(|part| 20_000.0 * part);
            let points: Vec<_> = loads.zip(list("rates_L_h")).collect();
            burn(&set(20_000.0, &points).unwrap(), 20_000.0 * number("load_fraction"))
        }
        "linear_fuel_model" => {
            let rated = 1000.0 * number("rated_kW");
            let points = [(0.0, number("no_load_rate_L_h")), (rated, number("full_load_rate_L_h"))];
            burn(&set(rated, &points).unwrap(), 1000.0 * number("load_kW"))
        }
        "propane_energy" => {
            let volume = propane_from_mass(Mass::new::<kilogram>(number("propane_kg"))).unwrap();
            FuelKind::Propane.energy_of(volume).unwrap().get::<kilowatt_hour>()
        }
        "convert" => FuelKind::Petrol.energy_of(litres(1.0)).unwrap().get::<megajoule>(),
        other => panic!("unknown quantity {other}"),
    }
}

#[test]
fn published_burns_and_energies() {
    let mut reader = csv::Reader::from_reader(include_str!("../../../tests/published/power.csv").as_bytes());
    let rows: Vec<_> = reader.records().collect::<Result<_, _>>().unwrap();
    assert_eq!(rows.len(), 4);
    for row in rows {
        let (expected, tolerance): (f64, f64) = (row[3].parse().unwrap(), row[5].parse().unwrap());
        let got = answer(&row[1], &serde_json::from_str(&row[2]).unwrap());
        assert!((got - expected).abs() <= tolerance * expected, "{}: {got} is not {expected}", &row[0]);
    }
}

#[test]
fn twelve_litres_at_half_a_litre_an_hour_twelve_hours_a_day_are_two_days() {
    let generator = set(2000.0, &[(0.0, 0.3), (1000.0, 0.5)]).unwrap();
    let Lasts::For(running) = generator.lasts(litres(12.0), watts(1000.0), hours(12.0)).unwrap() else {
        panic!("no end")
    };
    assert!((as_hours(running.hours) - 24.0).abs() < 1e-9);
    assert!((as_days(running.days) - 2.0).abs() < 1e-9);
    assert!((as_litres(running.a_day()) - 6.0).abs() < 1e-9);
    let working = running.working();
    assert!((working.steps.last().unwrap().figure.value - 2.0).abs() < 1e-9);
    assert_eq!(working.trust, Trust::InRange);
}

#[test]
fn outside_the_points_the_line_is_extended_and_says_so_and_above_the_rating_there_is_no_answer() {
    let generator = set(2000.0, &[(1500.0, 0.9), (500.0, 0.5)]).unwrap();
    // by hand: 0.0004 L/h a watt, 0.3 L/h at no load
    for (load, expected, trust) in [
        (0.0, 0.3, Trust::Extrapolated),
        (500.0, 0.5, Trust::InRange),
        (1000.0, 0.7, Trust::InRange),
        (1500.0, 0.9, Trust::InRange),
        (2000.0, 1.1, Trust::Extrapolated),
    ] {
        let burn = generator.burn(watts(load)).unwrap();
        assert!((as_litres_per_hour(burn.rate) - expected).abs() < 1e-9, "{load}");
        assert_eq!(burn.trust, trust, "{load}");
    }
    let error = generator.burn(watts(2001.0)).unwrap_err();
    assert_eq!(error.to_string(), "the load is 2001 W; allowed is 0 to 2000 W, what the generator is rated for");
}

#[test]
fn burn_lines_that_cannot_be_are_refused_by_name() {
    assert!(matches!(set(2000.0, &[(0.0, 0.3)]), Err(PowerError::TooFewPoints { given: 1 })));
    assert!(matches!(set(2000.0, &[(500.0, 0.3), (500.0, 0.4)]), Err(PowerError::SameLoad { .. })));
    assert!(matches!(set(2000.0, &[(500.0, 0.5), (1000.0, 0.4)]), Err(PowerError::Falls { .. })));
    assert!(matches!(set(2000.0, &[(500.0, 0.2), (1000.0, 0.6)]), Err(PowerError::NegativeAtNoLoad { .. })));
    assert!(matches!(set(2000.0, &[(0.0, 0.2), (2500.0, 0.6)]), Err(PowerError::AboveRated { .. })));
    assert!(matches!(set(0.0, &[(0.0, 0.2), (0.0, 0.6)]), Err(PowerError::Zero { .. })));
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(set(bad, &[(0.0, 0.2), (1.0, 0.6)]).is_err());
        assert!(set(2000.0, &[(0.0, bad), (1000.0, 0.6)]).is_err());
        let good = set(2000.0, &[(0.0, 0.2), (1000.0, 0.6)]).unwrap();
        assert!(good.burn(watts(bad)).is_err());
        assert!(good.lasts(litres(bad), watts(1.0), hours(16.0)).is_err());
        assert!(good.lasts(litres(1.0), watts(1.0), hours(bad)).is_err());
        assert!(propane_from_mass(Mass::new::<kilogram>(bad)).is_err());
        assert!(cylinder_limit(litres(bad)).is_err());
        assert!(FuelStore::new(FuelKind::Petrol, litres(bad), litres(0.0), None, false).is_err());
    }
    let good = set(2000.0, &[(0.0, 0.2), (1000.0, 0.6)]).unwrap();
    assert!(matches!(good.lasts(litres(1.0), watts(1.0), hours(0.0)), Err(PowerError::Zero { .. })));
    assert!(good.lasts(litres(1.0), watts(1.0), hours(25.0)).is_err());
}

#[test]
fn gas_from_the_main_lasts_while_the_main_does() {
    let points =
        [(0.0, 0.2), (1000.0, 0.6)].map(|(load, burn)| BurnPoint { load: watts(load), burn: litres_per_hour(burn) });
    let set = Generator::new(FuelKind::MainsGas, watts(1000.0), &points).unwrap();
    assert_eq!(set.lasts(litres(0.0), watts(500.0), hours(TAP_ON_DEMAND)), Ok(Lasts::WhileTheMainDoes));
}

#[test]
fn fuel_ages_by_its_kind() {
    // 3 to 6 months untreated, 12 stabilised, diesel 6 to 12, propane never
    let now = Moment::from_micros(0);
    let store = |kind, stabilised, age: f64| {
        FuelStore::new(kind, litres(20.0), litres(2.0), Some(now.after(days(-age))), stabilised).unwrap()
    };
    for (kind, stabilised, age, state) in [
        (FuelKind::Petrol, false, 90.0, FuelState::Good),
        (FuelKind::Petrol, false, 95.0, FuelState::Ageing),
        (FuelKind::Petrol, false, 185.0, FuelState::Past),
        (FuelKind::Petrol, true, 360.0, FuelState::Good),
        (FuelKind::Petrol, true, 370.0, FuelState::Past),
        (FuelKind::Diesel, false, 200.0, FuelState::Ageing),
        (FuelKind::Diesel, false, 366.0, FuelState::Past),
        (FuelKind::Propane, false, 4000.0, FuelState::Good),
    ] {
        assert_eq!(store(kind, stabilised, age).state(now), state, "{kind:?} {stabilised} {age}");
    }
    let undated = FuelStore::new(FuelKind::Petrol, litres(5.0), litres(0.0), None, false).unwrap();
    assert_eq!(undated.state(now), FuelState::Unknown);
    let stores = [
        store(FuelKind::Petrol, false, 10.0),
        store(FuelKind::Petrol, false, 200.0),
        undated,
        store(FuelKind::Diesel, false, 1.0),
    ];
    let petrol = on_hand(FuelKind::Petrol, &stores, now);
    assert!((as_litres(petrol.good) - 18.0).abs() < 1e-9);
    assert!((as_litres(petrol.old) - 23.0).abs() < 1e-9);
}

#[test]
fn a_cylinder_is_filled_to_four_fifths() {
    // a "20 lb" cylinder holds 47.6 lb = 21.6 L of water: 80 % is 17.3 L
    assert!((as_litres(cylinder_limit(litres(21.6)).unwrap()) - 17.28).abs() < 1e-9);
}

proptest! {
    #[test]
    fn more_load_never_burns_less_and_no_load_is_not_free(
        fixed in 0.01..2.0f64, slope in 0.0..0.001f64, bend in 1.0..3.0f64, a in 0.0..3000.0, b in 0.0..3000.0,
    ) {
        let middle = fixed + slope * 1000.0;
        let generator = set(3000.0, &[(500.0, fixed + slope * 500.0), (1000.0, middle), (2500.0, middle + slope * bend * 1500.0)]).unwrap();
        prop_assert!(burn(&generator, f64::min(a, b)) <= burn(&generator, f64::max(a, b)) + 1e-9);
        prop_assert!((burn(&generator, 0.0) - fixed).abs() < 1e-9);
    }
}
