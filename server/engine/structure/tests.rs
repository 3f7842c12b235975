//! Published tables, laws of standing vessels, and arbitrary figures.

use proptest::prelude::*;

use super::*;
use crate::quantity::*;

#[test]
fn unheld_vessels_slide_and_tip_as_the_table_says() {
    // Full drum, tote, two totes stacked, tank of 95 in: 0.4 SDS, friction 0.4; slide and tip, worked apart.
    for (centre, half, rows) in [
        (0.43, 0.286, [(0.5, 0.62, 0.38), (1.0, 1.43, 0.86), (1.5, 2.50, 1.50)]),
        (0.62, 0.508, [(0.5, 0.62, 0.31), (1.0, 1.43, 0.70), (1.5, 2.50, 1.22)]),
        (1.20, 0.508, [(0.5, 0.62, 0.59), (1.0, 1.43, 1.35), (1.5, 2.50, 2.36)]),
        (1.05, 1.207, [(0.5, 0.62, 0.22), (1.0, 1.43, 0.50), (1.5, 2.50, 0.87)]),
    ] {
        for (sds, slides, tips) in rows {
            let standing = Standing::new(kilonewtons(0.4 * sds * 10.0), kilonewtons(10.0), sds).unwrap();
            assert!((standing.sliding(0.4).unwrap().value - slides).abs() < 0.006);
            assert!((standing.tipping(metres(centre), metres(half)).unwrap().value - tips).abs() < 0.006);
        }
    }
}

#[test]
fn waves_stand_as_high_as_the_table_says() {
    // SD1 0.6, SDS 1.0, TL 4 s: period, acceleration, wave, swinging part, worked apart.
    let spectrum = Spectrum { sds: 1.0, sd1: 0.6, long_period: seconds(4.0) };
    for (across, depth, period, acceleration, wave, part) in [
        (0.57, 0.85, 0.79, 1.14, 0.27, 0.155),
        (1.2, 1.0, 1.15, 0.78, 0.40, 0.275),
        (1.8, 1.6, 1.41, 0.64, 0.48, 0.258),
        (3.0, 2.2, 1.82, 0.50, 0.62, 0.311),
    ] {
        let basin = Basin::round(metres(across), metres(depth)).unwrap();
        let found = basin.period().value;
        assert!((as_seconds(found) - period).abs() < 0.006);
        assert!((spectrum.convective(found).unwrap().value - acceleration).abs() < 0.006);
        assert!((as_metres(basin.wave(&spectrum, 1.0).unwrap().value) - wave).abs() < 0.006);
        assert!((basin.swinging_part().value - part).abs() < 0.001);
    }
}

#[test]
fn a_living_room_floor_is_over_at_200_millimetres_of_water() {
    // 40 lb a square foot are reached at 196 mm: one square metre of it is 195.3 kg.
    let over = |mass: f64| floor_load(kilograms(mass), square_metres(1.0)).unwrap().over;
    assert!(!over(195.0).contains(&Allowance::Living) && over(196.0).contains(&Allowance::Living));
    let load = floor_load(kilograms(100.0), square_metres(1.0)).unwrap();
    assert!((load.a_square_foot - 9.290_304).abs() < 1e-9 && (load.a_square_metre - 100.0).abs() < 1e-12);
}

#[test]
fn a_weightless_vessel_is_refused() {
    let refused = Standing::new(kilonewtons(1.0), kilonewtons(1.0), 4.6);
    assert_eq!(refused, Err(StructureError::Weightless { sds: 4.6 }));
}

proptest! {
    #[test]
    fn both_editions_stay_between_their_bounds(
        sds in 0.0..3.0, ip in 0.5..1.5, a in 0.5..2.5, r in 1.0..12.0, z in -1.0..2.0, w in 0.1..1000.0
    ) {
        let site = Site { sds, importance: ip };
        let old = Force7_16 { amplification: a, response: r, storey: z }.force(kilonewtons(w), site).unwrap();
        let hf = height_factor(z, None).unwrap();
        let new = Force7_22 { height: hf, ductility: r, resonance: a, strength: 1.5 }.force(kilonewtons(w), site).unwrap();
        for force in [old.value, new.value] {
            let part = as_kilonewtons(force) / w;
            prop_assert!(part >= 0.3 * sds * ip * (1.0 - 1e-12) && part <= 1.6 * sds * ip * (1.0 + 1e-12));
        }
    }

    #[test]
    fn a_strap_is_needed_just_where_it_tips(f in 0.0..50.0, w in 0.1..50.0, sds in 0.0..3.0, h in 0.01..3.0, b in 0.05..2.0) {
        let standing = Standing::new(kilonewtons(f), kilonewtons(w), sds).unwrap();
        let tips = standing.tipping(metres(h), metres(b)).unwrap().value > 1.0 + 1e-9;
        let strap = as_kilonewtons(standing.strap(metres(h), metres(b), metres(1.0)).unwrap().value);
        prop_assert!(!tips || strap > 0.0);
        prop_assert!(strap <= f * h);
    }

    #[test]
    fn a_larger_vessel_never_passes_where_a_smaller_does_not(
        sizes in prop::array::uniform3(0.1..3.0), more in 1.0..2.0, w in 0.5..2.0, h in 1.0..3.0
    ) {
        let small = Passage::new(sizes.map(metres)).unwrap();
        let large = Passage::new(sizes.map(|size: f64| metres(size * more))).unwrap();
        let door = |vessel: &Passage| as_metres(passes(vessel, metres(w), metres(h)).unwrap().value);
        let turn = |vessel: &Passage| as_metres(turns(vessel, (metres(w), metres(w)), metres(h)).unwrap().value);
        prop_assert!(door(&large) <= door(&small) + 1e-12);
        prop_assert!((turn(&large) < 0.0) || turn(&small) >= -1e-9);
    }

    #[test]
    fn any_figures_are_an_answer_or_an_error(
        f in prop::array::uniform6(prop::num::f64::ANY), near in prop::array::uniform6(0.0..10.0)
    ) {
        for f in [f, near] {
            let site = Site { sds: f[1], importance: f[2] };
            let [weight, force] = [f[0], f[5]].map(kilonewtons);
            let old = Force7_16 { amplification: f[3], response: f[4], storey: f[5] };
            let new = Force7_22 { height: f[3], ductility: f[4], resonance: f[5], strength: f[0] };
            let spectrum = Spectrum { sds: f[0], sd1: f[1], long_period: seconds(f[2]) };
            let mut answers = vec![
                floor_load(kilograms(f[0]), square_metres(f[1])).map(|load| load.pressure.value + load.a_square_foot),
                depth_at_limit(kilopascals(f[0]), kilopascals(f[1]), kg_per_cubic_metre(f[2])).map(|d| d.value.value),
                old.force(weight, site).map(|found| found.value.value),
                new.force(weight, site).map(|found| found.value.value),
                height_factor(f[0], Some(f[1])),
                height_factor(f[0], None),
                spectrum.convective(seconds(f[3])).map(|found| found.value),
                wave_height(metres(f[0]), f[1], f[2]).map(|found| found.value.value),
            ];
            if let Ok(standing) = Standing::new(force, weight, f[1]) {
                answers.push(standing.sliding(f[2]).map(|found| found.value));
                answers.push(standing.tipping(metres(f[2]), metres(f[3])).map(|found| found.value));
                answers.push(standing.strap(metres(f[2]), metres(f[3]), metres(f[4])).map(|found| found.value.value));
            }
            for basin in [Basin::round(metres(f[3]), metres(f[4])), Basin::rectangular(metres(f[3]), metres(f[4]))] {
                let Ok(basin) = basin else { continue };
                answers.push(Ok(basin.period().value.value));
                answers.push(Ok(basin.swinging_part().value));
                answers.push(Ok(basin.still_part().value));
                answers.push(basin.wave(&spectrum, f[5]).map(|found| found.value.value));
            }
            if let Ok(vessel) = Passage::new([f[0], f[1], f[2]].map(metres)) {
                answers.push(passes(&vessel, metres(f[3]), metres(f[4])).map(|found| found.value.value));
                answers.push(turns(&vessel, (metres(f[3]), metres(f[4])), metres(f[5])).map(|found| found.value.value));
            }
            prop_assert!(answers.into_iter().flatten().all(f64::is_finite));
        }
    }
}
