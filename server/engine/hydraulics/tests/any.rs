//! Arbitrary figures: every question ends in a number or an error.

use proptest::prelude::*;

use super::super::water;
use super::super::water::Water;
use super::super::*;
use super::clean;
use super::curve;
use super::supply;
use crate::quantity::*;
use crate::vessel::Shape;

fn finite(value: f64) -> bool {
    value.is_finite()
}

proptest! {
    #[test]
    fn any_figures_of_water_and_pipes_are_an_answer_or_an_error(
        f in prop::array::uniform7(prop::num::f64::ANY), near in prop::array::uniform7(0.0..200.0)
    ) {
        for f in [f, near] {
            let (warm, air) = (celsius(f[0]), kilopascals(f[1]));
            let water = Water::new(kg_per_cubic_metre(f[0]), pascal_seconds(f[1])).unwrap_or_else(|_| clean());
            let flow = litres_per_minute(f[2]);
            let mut answers = vec![
                water::density(warm, air).map(|found| found.value.value),
                water::viscosity(warm, air).map(|found| found.value.value),
                water::vapour_pressure(warm).map(|found| found.value.value),
                water::volume_ratio(warm, celsius(f[1])).map(|found| found.value),
                water::freezing_expansion(warm).map(|found| found.value),
                water::us_gallon_mass(warm).map(|found| found.value.value),
                Water::at(warm).map(|found| found.viscosity().value),
                velocity(flow, metres(f[3])).map(|found| found.value.value),
                reynolds(flow, metres(f[3]), &water).map(|found| found.value),
                friction_laminar(f[4]).map(|found| found.value),
                friction_colebrook(f[4], f[5]).map(|found| found.value),
                hazen_williams(flow, metres(f[3]), metres(f[4]), f[5]).map(|found| found.value.value),
                minor_loss(flow, metres(f[3]), f[4]).map(|found| found.value.value),
                pipe_contents(metres(f[3]), metres(f[4])).map(|found| found.value.value),
                loss_factor(f[0], f[1]).map(|found| found.value),
                valve_drop(flow, f[3]).map(|found| found.value.value),
            ];
            answers.extend(Explicit::ALL.map(|by| friction_explicit(by, f[4], f[5]).map(|found| found.value)));
            if let Ok(pipe) = Pipe::new(metres(f[3]), metres(f[4]), metres(f[5])) {
                answers.push(line_loss(flow, &pipe, f[6], &water).map(|loss| as_metres(loss.total()) + loss.factor));
                answers.push(gravity_flow(metres(f[2]), &pipe, f[6], &water).map(|found| found.value.value));
            }
            if let Ok(filter) = Filter::new(kilopascals(f[0]), litres_per_minute(f[1]), f[2]) {
                answers.push(filter.drop_at(flow, f[3]).map(|found| found.value.value));
                answers.push(filter.clogged(flow, kilopascals(f[3])).map(|found| found.value));
            }
            let points = [(flow, kilopascals(f[3])), (litres_per_minute(f[4]), kilopascals(f[5]))];
            answers.push(Filter::from_points(points).and_then(|filter| Ok(filter.drop_at(flow, 0.0)?.value.value)));
            prop_assert!(answers.into_iter().flatten().all(finite));
        }
    }

    #[test]
    fn any_figures_of_pumps_and_tanks_are_an_answer_or_an_error(
        f in prop::array::uniform8(prop::num::f64::ANY), near in prop::array::uniform8(0.0..100.0)
    ) {
        for f in [f, near] {
            let (flow, head) = (litres_per_minute(f[0]), metres(f[1]));
            let density = kg_per_cubic_metre(if f[2].is_normal() { f[2] } else { 998.2 });
            let [a, b, c, d] = [f[0], f[1], f[2], f[3]].map(kilopascals);
            let mut answers = vec![
                atmospheric_pressure(metres(f[0])).map(|found| found.value.value),
                pressure_of_head(head, density).map(|found| found.value.value),
                hydraulic_power(flow, head, density).map(|found| found.value.value),
                electrical_power(flow, head, density, f[3]).map(|found| found.value.value),
                energy_per_cubic_metre(head, density, f[3]).map(|found| found.value),
                wire_to_water(flow, head, watts(f[3]), density).map(|found| found.value),
                acceptance_factor(a, b, c).map(|found| found.value),
                pump_starts(litres(f[0]), litres_per_minute(f[1]), litres_per_minute(f[2])).map(|found| found.value),
                most_pump_starts(litres(f[0]), litres_per_minute(f[1])).map(|found| found.value),
                tank_for_run_time(flow, seconds(f[1]), f[2]).map(|found| found.value.value),
                fill_time(litres(f[0]), litres_per_minute(f[1])).map(|found| found.value.value),
            ];
            if let Ok(switch) = Switch::new(a, b, c, d) {
                answers.push(Ok(switch.drawdown_factor().value));
                answers.push(switch.drawdown(litres(f[4])).map(|found| found.value.value));
                answers.push(switch.left_at(litres(f[4]), kilopascals(f[5])).map(|found| found.value.value));
            }
            if let Ok(suction) = Suction::new(a, b, density) {
                answers.push(suction.npsh(metres(f[3]), metres(f[4])).map(|found| found.value.value));
                let speed = metres_per_second(f[4]);
                answers.push(suction.npsh_from_gauge(d, speed, metres(f[5])).map(|found| found.value.value));
                answers.push(suction.max_lift(metres(f[3]), metres(f[4]), metres(f[5])).map(|found| found.value.value));
                answers.push(suction.siphon_crest(speed, metres(f[5])).map(|found| found.value.value));
            }
            if let Ok(opening) = Opening::new(square_metres(f[0]), f[1]).or(Opening::round(metres(f[0]), f[1])) {
                answers.push(opening.flow(metres(f[2])).map(|found| found.value.value));
                let plan = square_metres(f[2]);
                answers.push(opening.drain_upright(plan, metres(f[3]), metres(f[4])).map(|found| found.value.value));
                for shape in Shape::samples() {
                    let time = opening.drain(&shape, metres(f[5]), metres(f[6]), metres(f[7]));
                    answers.push(time.map(|found| found.value.value));
                }
            }
            if let Ok(pump) = curve(&[(f[0], f[1]), (f[2], f[3]), (f[4], f[5])]) {
                answers.push(pump.head_at(litres_per_minute(f[6])).map(|found| found.value.value));
                answers.push(shut_off_margin(&pump, metres(f[6]), a, density).map(|found| found.value.value));
                if let Ok(system) = System::new(metres(f[6]), metres(f[7]), flow) {
                    answers.push(duty(&pump, &system).map(|found| found.flow.value + found.head.value));
                }
                let supply = Supply { pump, tap: f[6], lift: metres(f[7]), ..supply() };
                answers.push(supply.at_the_tap(metres(f[0])).map(|found| found.flow.value + found.energy));
                answers.push(supply.into_tank(metres(f[0]), a).map(|found| found.value));
                answers.push(supply.margin(metres(f[0]), a).map(|found| found.value));
                let through = (&supply.delivery.pipe, f[6]);
                let found = duty_through_pipe(&pump, metres(f[7]), a, through, &clean());
                answers.push(found.map(|found| found.flow.value));
            }
            prop_assert!(answers.into_iter().flatten().all(finite));
        }
    }

    #[test]
    fn any_pump_that_falls_meets_or_says_why(
        falls in prop::array::uniform3(0.0..60.0), steps in prop::array::uniform2(0.01..500.0), first in 0.0..50.0,
        rest in -50.0..80.0, loss in 0.0..100.0
    ) {
        let mut heads: [f64; 3] = falls;
        heads.sort_by(|one, other| other.total_cmp(one));
        let flows = [first, first + steps[0], first + steps[0] + steps[1]];
        if let Ok(pump) = curve(&[(flows[0], heads[0]), (flows[1], heads[1]), (flows[2], heads[2])]) {
            let system = System::new(metres(rest), metres(loss), litres_per_minute(20.0)).unwrap();
            if let Ok(found) = duty(&pump, &system) {
                prop_assert!(finite(found.flow.value) && found.flow.value >= 0.0 && finite(found.head.value));
            }
        }
    }
}
