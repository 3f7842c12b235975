//! Published tables, rivals compared over their whole range, laws of water on its way, and arbitrary figures.

mod any;

use proptest::prelude::*;

use super::water;
use super::water::Water;
use super::*;
use crate::quantity::*;
use crate::vessel::Shape;
use crate::working::Trust;

fn clean() -> Water {
    Water::new(kg_per_cubic_metre(998.2), pascal_seconds(0.001_002)).unwrap()
}

fn curve(points: &[(f64, f64)]) -> Result<PumpCurve, HydraulicsError> {
    PumpCurve::new(&points.iter().map(|(q, h)| (litres_per_minute(*q), metres(*h))).collect::<Vec<_>>())
}

#[track_caller]
fn near(got: f64, expected: f64, part: f64) {
    assert!((got - expected).abs() <= part * expected.abs(), "{got} is not {expected} within {part}");
}

#[test]
fn water_has_the_properties_of_the_tables() {
    // IAPWS R6-95 density, R12-08 viscosity and R7-97 saturation through the iapws library, 101.325 kPa, as printed to
    // the last digit shown.
    for (warmth, density, viscosity, vapour) in [
        (0.0, 999.84, 1.792, 0.611),
        (4.0, 999.97, 1.567, 0.814),
        (10.0, 999.70, 1.306, 1.228),
        (20.0, 998.21, 1.002, 2.339),
        (30.0, 995.65, 0.797, 4.247),
        (40.0, 992.22, 0.653, 7.384),
        (50.0, 988.04, 0.547, 12.351),
    ] {
        let (warmth, air) = (celsius(warmth), kilopascals(water::STANDARD_ATMOSPHERE));
        let found = as_kg_per_cubic_metre(water::density(warmth, air).unwrap().value);
        assert!((found - density).abs() < 0.011, "{found} {density}");
        let found = as_pascal_seconds(water::viscosity(warmth, air).unwrap().value) * 1000.0;
        assert!((found - viscosity).abs() < 0.0011, "{found} {viscosity}");
        let found = as_kilopascals(water::vapour_pressure(warmth).unwrap().value);
        assert!((found - vapour).abs() < 0.0011, "{found} {vapour}");
    }
    // IAPWS R7-97 table 5 and table 35, the two other verification points that are liquid below 150 °C or near it.
    let found = as_kg_per_cubic_metre(water::density(celsius(26.85), kilopascals(80_000.0)).unwrap().value);
    near(1.0 / found, 0.971_180_894e-3, 1e-9);
    assert!(matches!(water::density(celsius(100.0), kilopascals(101.325)), Err(HydraulicsError::Boils { .. })));
}

#[test]
fn friction_in_plastic_pipe_is_that_of_the_table() {
    // Head lost in m per 100 m, Darcy (0.0015 mm, 20 °C) and Hazen-Williams (C 150), average bore, worked out apart from
    // this program.
    for (gpm, size, darcy, works) in [
        (3.0, PipeSize::Half, 9.35, 8.41),
        (5.0, PipeSize::ThreeQuarters, 5.85, 5.36),
        (10.0, PipeSize::One, 6.23, 5.92),
        (15.0, PipeSize::OneAndQuarter, 3.39, 3.24),
        (20.0, PipeSize::OneAndHalf, 2.69, 2.60),
    ] {
        let kind = PipeKind::PlasticAverage;
        let flow = us_gallon() * gpm / seconds(60.0);
        let pipe = Pipe::new(kind.bore(size), metres(100.0), kind.roughness()).unwrap();
        near(as_metres(line_loss(flow, &pipe, 0.0, &clean()).unwrap().total()), darcy, 0.006);
        let other = hazen_williams(flow, kind.bore(size), metres(100.0), kind.smoothness()).unwrap();
        near(as_metres(other.value), works, 0.006);
    }
}

#[test]
fn the_two_bores_of_schedule_40_differ_as_the_table_says() {
    // Ratios of head lost: 1.12, 1.09, 1.08, 1.06, 1.06, 1.04, from the two published bores.
    for (size, ratio) in PipeSize::ALL.into_iter().zip([1.12, 1.09, 1.08, 1.06, 1.06, 1.04]) {
        let loss = |kind: PipeKind| {
            let lost = hazen_williams(litres_per_minute(20.0), kind.bore(size), metres(10.0), 150.0);
            as_metres(lost.unwrap().value)
        };
        assert!((loss(PipeKind::PlasticAverage) / loss(PipeKind::PlasticThinnest) - ratio).abs() < 0.006);
    }
}

#[test]
fn both_forms_of_the_water_works_formula_agree() {
    // NFPA 13: psi/ft = 4.52 Q^1.85/(C^1.85 d^4.87), gpm and inches. The rounded exponents leave less than 2 %.
    for (gpm, inches) in [(5.0_f64, 1.0_f64), (20.0, 1.5), (100.0, 3.0), (500.0, 6.0)] {
        let psi_foot = 4.52 * gpm.powf(1.85) / (150.0_f64.powf(1.85) * inches.powf(4.87));
        let head = psi_foot * 6.894_757 / (0.998_2 * 9.806_65);
        let flow = us_gallon() * gpm / seconds(60.0);
        let ours = hazen_williams(flow, metres(inches * 0.0254), metres(0.3048), 150.0).unwrap().value;
        near(as_metres(ours), head, 0.02);
    }
}

#[test]
fn rivals_agree_with_colebrook_within_their_stated_error_over_their_whole_range() {
    for by in Explicit::ALL {
        let ((low, high), (smooth, rough)) = by.range();
        let mut worst: f64 = 0.0;
        for step in 0..=200 {
            let reynolds = low * (high / low).powf(f64::from(step) / 200.0);
            for step in 0..=100 {
                let least = smooth.max(1e-9);
                let relative = if step == 0 { smooth } else { least * (rough / least).powf(f64::from(step) / 100.0) };
                let theirs = friction_explicit(by, reynolds, relative).unwrap();
                let ours = friction_colebrook(reynolds, relative).unwrap();
                assert_eq!((theirs.trust(), ours.trust()), (Trust::InRange, Trust::InRange));
                worst = worst.max((theirs.value / ours.value - 1.0).abs());
            }
        }
        assert!(worst <= by.error(), "{}: {worst}", by.name());
        assert!(worst > by.error() / 20.0, "{}: the stated error says nothing, {worst}", by.name());
    }
}

#[test]
fn between_the_regimes_the_answer_is_marked() {
    assert_eq!(friction_colebrook(3000.0, 0.0).unwrap().trust(), Trust::Extrapolated);
    assert_eq!(friction_colebrook(4000.0, 0.0).unwrap().trust(), Trust::InRange);
    assert!(friction_colebrook(2299.0, 0.0).is_err() && friction_laminar(2300.0).is_err());
    let pipe = Pipe::new(millimetres(16.0), metres(12.0), millimetres(0.0015)).unwrap();
    let loss = line_loss(litres_per_minute(1.78), &pipe, 0.0, &clean()).unwrap();
    assert_eq!((loss.regime, loss.working().trust), (Regime::Critical, Trust::Extrapolated));
    let still = line_loss(litres_per_minute(0.0), &pipe, 5.0, &clean()).unwrap();
    assert_eq!((still.regime, as_metres(still.total())), (Regime::Still, 0.0));
}

#[test]
fn a_pump_curve_that_rises_or_says_too_little_is_refused() {
    assert!(matches!(curve(&[(0.0, 30.0), (40.0, 35.0), (80.0, 36.0)]), Err(HydraulicsError::Rises { .. })));
    assert!(matches!(curve(&[(0.0, 30.0), (40.0, 25.0)]), Err(HydraulicsError::TooFewPoints { given: 2 })));
    assert!(matches!(curve(&[(0.0, 30.0), (40.0, 25.0), (40.0, 20.0)]), Err(HydraulicsError::SameFlow { .. })));
    // A fit that turns up again before its last point.
    assert!(matches!(curve(&[(0.0, 40.0), (40.0, 10.0), (80.0, 9.9)]), Err(HydraulicsError::Rises { .. })));
    // Falling points whose fit has a hump at low flow are taken, and marked.
    let hump = curve(&[(0.0, 42.0), (40.0, 41.0), (80.0, 22.0)]).unwrap();
    assert!(hump.hump());
    let system = System::new(metres(8.0), metres(9.0), litres_per_minute(50.0)).unwrap();
    assert_eq!(duty(&hump, &system).unwrap().working.trust, Trust::Extrapolated);
}

#[test]
fn a_straight_curve_and_a_flat_system_meet() {
    // By hand: H = 130/3 − Q/3 m meets 8 m at Q = 106 L/min, beyond the last point and so marked.
    let line = curve(&[(10.0, 40.0), (40.0, 30.0), (70.0, 20.0)]).unwrap();
    let found = duty(&line, &System::new(metres(8.0), metres(0.0), litres_per_minute(50.0)).unwrap()).unwrap();
    near(as_litres_per_minute(found.flow), 106.0, 1e-12);
    assert_eq!(found.working.trust, Trust::Extrapolated);
    let high = System::new(metres(50.0), metres(0.0), litres_per_minute(50.0)).unwrap();
    assert!(matches!(duty(&line, &high), Err(HydraulicsError::OutOfReach { .. })));
}

#[test]
fn more_points_are_fitted_by_least_squares() {
    // By hand: five points of H = 42 − Q²/320 give it back, and the system's duty of three points.
    let points: Vec<_> = [0.0, 20.0, 40.0, 60.0, 80.0].map(|q: f64| (q, 42.0 - q * q / 320.0)).to_vec();
    let fit = curve(&points).unwrap();
    assert!(as_metres(fit.misfit()) < 1e-12);
    near(as_metres(fit.head_at(litres_per_minute(60.0)).unwrap().value), 30.75, 1e-12);
}

#[test]
fn precharge_decides_what_a_pressure_tank_gives() {
    // 40/60 psi at sea level: precharge 20 → 0.170, 30 → 0.219, 38 → 0.258, 45 → 0.201, 55 psi → 0.067, worked apart.
    let psi = |value: f64| kilopascals(value * 6.894_757);
    for (precharge, part) in [(20.0, 0.170), (30.0, 0.219), (38.0, 0.258), (45.0, 0.201), (55.0, 0.067)] {
        let switch = Switch::new(psi(precharge), psi(40.0), psi(60.0), kilopascals(101.325)).unwrap();
        let found = switch.drawdown_factor();
        assert!((found.value - part).abs() < 0.0006, "{precharge}: {}", found.value);
        assert_eq!(found.trust() == Trust::Extrapolated, precharge > 40.0);
    }
    assert!(Switch::new(psi(30.0), psi(60.0), psi(40.0), kilopascals(101.325)).is_err());
    let over = Switch::new(psi(70.0), psi(40.0), psi(60.0), kilopascals(101.325)).unwrap();
    assert!(over.drawdown_factor().value.abs() < 1e-15);
}

#[test]
fn a_hose_and_a_bare_outlet_are_those_of_the_tables() {
    let hose = Pipe::new(millimetres(15.9), metres(15.0), millimetres(0.0015)).unwrap();
    // 15.9 mm by 15 m, ΣK 3; and a bare 19 mm outlet of Cd 0.61, worked apart.
    for (head, litres_a_minute) in [(0.5, 6.3), (1.0, 9.4), (1.5, 11.8), (2.0, 13.8), (4.0, 20.3)] {
        let found = gravity_flow(metres(head), &hose, 3.0, &clean()).unwrap().value;
        assert!((as_litres_per_minute(found) - litres_a_minute).abs() < 0.06);
    }
    let outlet = Opening::round(millimetres(19.0), 0.61).unwrap();
    for (head, litres_a_minute) in [(0.1, 14.5), (0.3, 25.2), (0.5, 32.5), (1.0, 46.0), (2.0, 65.0)] {
        let found = outlet.flow(metres(head)).unwrap().value;
        assert!((as_litres_per_minute(found) - litres_a_minute).abs() < 0.06);
    }
}

#[test]
fn draining_an_upright_tank_by_either_way_takes_the_same_time() {
    let tank = Shape::Box(crate::vessel::Cuboid::new(metres(2.0), metres(1.0), metres(2.0)).unwrap());
    let opening = Opening::new(square_metres(0.0005), 0.61).unwrap();
    for end in [0.0, 0.3, 1.2] {
        let bare = opening.drain_upright(square_metres(2.0), metres(1.7), metres(end)).unwrap().value;
        let shaped = opening.drain(&tank, metres(1.7), metres(end), metres(0.0)).unwrap().value;
        near(as_seconds(shaped), as_seconds(bare), 1e-9);
    }
    assert!(matches!(
        opening.drain(&tank, metres(1.0), metres(0.1), metres(0.2)),
        Err(HydraulicsError::BelowOutlet { .. })
    ));
}

fn supply() -> Supply {
    let line = |long: f64, fittings: f64| Run {
        pipe: Pipe::new(PipeKind::PlasticAverage.bore(PipeSize::One), metres(long), millimetres(0.0015)).unwrap(),
        fittings,
    };
    Supply {
        pump: curve(&[(0.0, 42.0), (40.0, 37.0), (80.0, 22.0)]).unwrap(),
        suction: line(2.0, 2.0),
        delivery: line(25.0, 12.0),
        filter: Some((Filter::new(kilopascals(35.0), litres_per_minute(30.0), 1.5).unwrap(), 0.0)),
        tap: 3.0,
        lift: metres(3.0),
        water: clean(),
        air: Suction::new(kilopascals(101.325), kilopascals(2.339), kg_per_cubic_metre(998.2)).unwrap(),
        efficiency: 0.35,
    }
}

#[test]
fn what_arrives_at_the_tap_balances() {
    let supply = supply();
    let at = supply.at_the_tap(metres(1.0)).unwrap();
    let lines = [supply.suction, supply.delivery]
        .map(|run| as_metres(line_loss(at.flow, &run.pipe, run.fittings, &supply.water).unwrap().total()));
    let (filter, _) = supply.filter.unwrap();
    let pressed = filter.drop_at(at.flow, 0.0).unwrap().value + at.pressure;
    let metre = as_kilopascals(pressure_of_head(metres(1.0), supply.water.density()).unwrap().value);
    let needed = 3.0 - 1.0 + lines[0] + lines[1] + as_kilopascals(pressed) / metre;
    near(as_metres(at.head), needed, 1e-9);
    near(as_watts(at.power) / 1000.0 / (as_litres_per_hour(at.flow) / 1000.0), at.energy, 1e-9);
    // Lower water, a clogged filter: less at the tap, and less air left at the pump.
    let levels = supply.as_it_empties(metres(1.0), metres(-2.0), 12).unwrap();
    assert!(levels.windows(2).all(|pair| pair[1].1.flow < pair[0].1.flow && pair[1].1.npsh < pair[0].1.npsh));
    let clogged = Supply { filter: supply.filter.map(|(filter, _)| (filter, 0.5)), ..supply };
    assert!(clogged.at_the_tap(metres(1.0)).unwrap().flow < at.flow);
    // Common practice, no source: the pump runs on for about half a minute after the last tap closes.
    let psi = |value: f64| kilopascals(value * 6.894_757);
    let switch = Switch::new(psi(28.0), psi(30.0), psi(50.0), kilopascals(101.325)).unwrap();
    let after = supply.runs_on(metres(1.0), &switch, litres(80.0), (psi(30.0), psi(50.0))).unwrap();
    assert!((10.0..90.0).contains(&as_seconds(after)), "{}", as_seconds(after));
}

#[test]
fn a_hose_drains_slower_than_its_bare_outlet() {
    let tank = Shape::Upright(crate::vessel::Upright::new(metres(1.2), metres(1.5)).unwrap());
    let hose = Pipe::new(millimetres(15.9), metres(15.0), millimetres(0.0015)).unwrap();
    let long =
        drain_through_hose(&tank, (metres(1.4), metres(0.2)), (metres(0.1), metres(0.5)), (&hose, 3.0), &clean());
    let bare = Opening::round(millimetres(15.9), 0.61).unwrap();
    let quick = bare.drain(&tank, metres(1.4), metres(0.2), metres(0.1)).unwrap();
    let long = as_seconds(long.unwrap().value);
    assert!(long > 1.5 * as_seconds(quick.value));
    // Between what the flows at both ends of the fall would take.
    let flow = |head: f64| as_litres_per_minute(gravity_flow(metres(head), &hose, 3.0, &clean()).unwrap().value);
    let drawn = as_litres(tank.volume_at(metres(1.4)).unwrap() - tank.volume_at(metres(0.2)).unwrap());
    assert!(long > drawn / flow(1.8) * 60.0 && long < drawn / flow(0.6) * 60.0);
}

proptest! {
    #[test]
    fn colebrook_is_solved_to_the_last_digits(power in 3.4..9.0, rough in 0.0..0.05) {
        let reynolds = 10.0_f64.powf(power);
        let found = friction_colebrook(reynolds, rough).unwrap().value;
        let left = 1.0 / found.sqrt();
        let right = -2.0 * (rough / 3.7 + 2.51 / (reynolds * found.sqrt())).log10();
        prop_assert!((left - right).abs() <= left * 1e-14, "{left} {right}");
    }

    #[test]
    fn more_flow_and_a_longer_narrower_rougher_pipe_lose_more(
        flow in 0.1..80.0, bore in 0.01..0.08, long in 1.0..100.0, more in 1.01..3.0
    ) {
        let lost = |flow: f64, bore: f64, long: f64, rough: f64| {
            let pipe = Pipe::new(metres(bore), metres(long), metres(rough)).unwrap();
            as_metres(line_loss(litres_per_minute(flow), &pipe, 2.0, &clean()).unwrap().total())
        };
        let usual = lost(flow, bore, long, 1.5e-6);
        prop_assert!(lost(flow * more, bore, long, 1.5e-6) > usual);
        prop_assert!(lost(flow, bore, long * more, 1.5e-6) > usual);
        prop_assert!(lost(flow, bore, long, 1.5e-4) >= usual);
        // A wider pipe may cross from turbulent to laminar, which only helps.
        prop_assert!(lost(flow, bore * more, long, 1.5e-6) < usual);
    }

    #[test]
    fn gravity_flow_comes_back_as_its_head(head in 0.01..20.0, bore in 0.004..0.1, long in 0.1..100.0, k in 0.0..20.0) {
        let pipe = Pipe::new(metres(bore), metres(long), millimetres(0.0015)).unwrap();
        let found = gravity_flow(metres(head), &pipe, k, &clean()).unwrap();
        let loss = line_loss(found.value, &pipe, k + 1.0, &clean()).unwrap();
        // Where the friction jumps between the regimes, no flow has this head: the jump itself is the answer.
        let jump = (loss.reynolds - LAMINAR_ENDS).abs() < 1e-6 * LAMINAR_ENDS;
        prop_assert!(jump || (as_metres(loss.total()) - head).abs() < 1e-9 * head, "{} {head}", as_metres(loss.total()));
    }

    #[test]
    fn at_the_duty_point_pump_and_system_are_equal(
        top in 10.0..80.0, fall in 0.1..0.9, rest in -5.0..9.0, loss in 0.0..20.0, rated in 5.0..100.0
    ) {
        let pump = curve(&[(0.0, top), (30.0, top * (1.0 - fall / 4.0)), (60.0, top * (1.0 - fall))]).unwrap();
        let system = System::new(metres(rest), metres(loss), litres_per_minute(rated)).unwrap();
        let found = duty(&pump, &system).unwrap();
        let flow = as_litres_per_minute(found.flow);
        let needed = rest + loss * (flow / rated).powi(2);
        prop_assert!((as_metres(found.head) - needed).abs() < 1e-9 * top, "{found:?} {needed}");
    }

    #[test]
    fn what_is_drawn_down_is_never_more_than_is_taken_up(p0 in 0.0..600.0, p1 in 0.0..500.0, wide in 1.0..400.0) {
        let [pre, low, high, air] = [p0, p1, p1 + wide, 101.325].map(kilopascals);
        let switch = Switch::new(pre, low, high, air).unwrap();
        let (down, up) = (switch.drawdown_factor().value, acceptance_factor(pre, high, air).unwrap().value);
        prop_assert!(down >= 0.0 && down <= up + 1e-15 && up < 1.0);
    }

    #[test]
    fn draining_further_takes_longer_and_in_two_parts_the_same(a in 0.0..1.0, b in 0.0..1.0) {
        let opening = Opening::new(square_metres(0.0004), 0.61).unwrap();
        for shape in Shape::samples().into_iter().filter(|shape| shape.height().is_some()) {
            let rim = shape.height().unwrap();
            let (a, b): (f64, f64) = (a, b);
            let (high, low) = (rim * a.max(b), rim * a.min(b));
            let time = |from, to| as_seconds(opening.drain(&shape, from, to, metres(0.0)).unwrap().value);
            let (whole, parts) = (time(rim, metres(0.0)), time(rim, high) + time(high, low) + time(low, metres(0.0)));
            prop_assert!((whole - parts).abs() <= whole * 1e-6, "{shape:?} {whole} {parts}");
        }
    }
}
