//! Pumps: where one works against its pipe, and what that takes.

use keepwell_engine::hydraulics::PumpCurve;
use keepwell_engine::hydraulics::duty_through_pipe;
use keepwell_engine::hydraulics::electrical_power;
use keepwell_engine::hydraulics::energy_per_cubic_metre;
use keepwell_engine::hydraulics::hydraulic_power;
use keepwell_engine::hydraulics::measures;
use keepwell_engine::hydraulics::shut_off_margin;
use keepwell_engine::hydraulics::wire_to_water;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::Unit;

use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;
use crate::service::reckoner::water::of_pipe;
use crate::service::reckoner::water::of_water;
use crate::service::reckoner::water::piped;
use crate::service::reckoner::water::warm;

/// Advised beyond cut-out at least, kPa: common practice, no source.
const SHUT_OFF: f64 = 35.0;

pub(super) fn duty() -> Calculation {
    let asked = Calculation::new(
        Topic::Water,
        "pump-duty",
        "What a pump delivers through a pipe",
        "Where the pump's own curve meets what lift, pipe and pressure ask of it: the flow, and what it takes.",
        reckon_duty,
    )
    .figure(
        "first_l_min",
        "Curve, first point: flow",
        "From the maker's sheet; at no flow first.",
        &measures::FLOW,
        0.0,
    )
    .figure("first_m", "Curve, first point: head", "", &measures::HEAD, 42.0)
    .figure("second_l_min", "Curve, second point: flow", "", &measures::FLOW, 40.0)
    .figure("second_m", "Curve, second point: head", "", &measures::HEAD, 37.0)
    .figure("third_l_min", "Curve, third point: flow", "", &measures::FLOW, 80.0)
    .figure("third_m", "Curve, third point: head", "", &measures::HEAD, 22.0)
    .figure("lift_m", "Lift", "From the water's level up to the outlet; below 0 downwards.", &measures::LIFT, 3.0)
    .figure("delivery_kpa", "Pressure wanted at the outlet", "", &measures::GAUGE, 200.0);
    warm(
        piped(asked, 25.0)
            .figure(
                "loss_factor",
                "Loss factor of the fittings",
                "The sum of K: its own page adds them up.",
                &measures::LOSS_FACTOR,
                12.0,
            )
            .figure("efficiency", "Wire-to-water efficiency", "20 to 55 %; small sets 35.", &measures::EFFICIENCY, 0.35)
            .maybe("cut_out_kpa", "Cut-out of its pressure switch", "To see whether it ever opens.", &measures::GAUGE),
    )
}

fn reckon_duty(given: &Given) -> Result<Answer, Refused> {
    let mut points = Vec::new();
    for (flow, head) in [("first_l_min", "first_m"), ("second_l_min", "second_m"), ("third_l_min", "third_m")] {
        points.push((q::litres_per_minute(given.figure(flow)?), q::metres(given.figure(head)?)));
    }
    let curve = PumpCurve::new(&points)?;
    let (pipe, _) = of_pipe(given)?;
    let water = of_water(given)?;
    let lift = q::metres(given.figure("lift_m")?);
    let delivery = q::kilopascals(given.figure("delivery_kpa")?);
    let duty = duty_through_pipe(&curve, lift, delivery, (&pipe, given.figure("loss_factor")?), &water)?;
    let efficiency = given.figure("efficiency")?;
    let power = electrical_power(duty.flow, duty.head, water.density(), efficiency)?;
    let energy = energy_per_cubic_metre(duty.head, water.density(), efficiency)?;
    let cut_out = given.maybe("cut_out_kpa").map(q::kilopascals);
    let margin =
        cut_out.map(|cut_out| shut_off_margin(&curve, q::metres(0.0), cut_out, water.density())).transpose()?;
    let beyond = margin.as_ref().map(|margin| q::as_kilopascals(margin.value));
    let answer = Answer::new()
        .figure("flow_l_min", "delivered", q::as_litres_per_minute(duty.flow), Unit::LitrePerMinute)
        .figure("head_m", "at a head of", q::as_metres(duty.head), Unit::Metre)
        .figure("power_w", "electricity that it takes", q::as_watts(power.value), Unit::Watt)
        .figure("energy_kwh_m3", "electricity for 1000 L", energy.value, Unit::KilowattHourPerCubicMetre)
        .maybe("margin_kpa", "beyond cut-out with the taps shut", beyond, Unit::Kilopascal)
        .say_if(
            beyond.is_some_and(|beyond| beyond < 0.0),
            "The switch never opens: the pump runs on against shut taps and is ruined.",
        )
        .say_if(
            beyond.is_some_and(|beyond| (0.0..SHUT_OFF).contains(&beyond)),
            "35 to 70 kPa beyond cut-out is advised (common practice, no source).",
        )
        .warn(Warning::BACKFLOW)
        .working(duty.working)
        .working(power.working)
        .working(energy.working);
    Ok(match margin {
        Some(margin) => answer.working(margin.working),
        None => answer,
    })
}

pub(super) fn energy() -> Calculation {
    warm(
        Calculation::new(
            Topic::Water,
            "pump-energy",
            "Electricity for lifted water",
            "The power that a flow at a head takes, and the electricity for 1000 L.",
            reckon_energy,
        )
        .figure("flow_l_min", "Flow", "", &measures::FLOW, 40.0)
        .figure("head_m", "Head", "Lift, losses and pressure together.", &measures::HEAD, 30.0)
        .figure("efficiency", "Wire-to-water efficiency", "20 to 55 %; small sets 35.", &measures::EFFICIENCY, 0.35)
        .maybe(
            "electrical_w",
            "Electricity measured",
            "To be told the efficiency that it means.",
            &measures::ELECTRICAL,
        ),
    )
}

fn reckon_energy(given: &Given) -> Result<Answer, Refused> {
    let (flow, head) = (q::litres_per_minute(given.figure("flow_l_min")?), q::metres(given.figure("head_m")?));
    let (density, efficiency) = (of_water(given)?.density(), given.figure("efficiency")?);
    let energy = energy_per_cubic_metre(head, density, efficiency)?;
    let power = electrical_power(flow, head, density, efficiency)?;
    let water = hydraulic_power(flow, head, density)?;
    let measured = given.maybe("electrical_w").map(q::watts);
    let found = measured.map(|electrical| wire_to_water(flow, head, electrical, density)).transpose()?;
    let answer = Answer::new()
        .figure("energy_kwh_m3", "for 1000 L", energy.value, Unit::KilowattHourPerCubicMetre)
        .figure("power_w", "electricity while it runs", q::as_watts(power.value), Unit::Watt)
        .figure("water_w", "of that, in the water", q::as_watts(water.value), Unit::Watt)
        .maybe(
            "found",
            "efficiency by the electricity measured",
            found.as_ref().map(|found| found.value),
            Unit::Fraction,
        )
        .working(energy.working)
        .working(power.working);
    Ok(match found {
        Some(found) => answer.working(found.working),
        None => answer,
    })
}
