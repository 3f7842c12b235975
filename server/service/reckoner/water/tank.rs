//! The pressure tank.

use keepwell_engine::hydraulics::Switch;
use keepwell_engine::hydraulics::atmospheric_pressure;
use keepwell_engine::hydraulics::measures;
use keepwell_engine::hydraulics::most_pump_starts;
use keepwell_engine::hydraulics::pump_starts;
use keepwell_engine::hydraulics::tank_for_run_time;
use keepwell_engine::quantity as q;
use keepwell_engine::quantity::Unit;

use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

pub(super) fn pressure_tank() -> Calculation {
    Calculation::new(
        Topic::Water,
        "pressure-tank",
        "What a pressure tank gives",
        "The water between the switch's two pressures, how often the pump starts for it, and what is left when power fails.",
        reckon,
    )
    .figure("tank_l", "The tank's own volume", "", &measures::TANK, 100.0)
    .figure("precharge_kpa", "Precharge", "Of the air, with the tank empty of water.", &measures::GAUGE, 193.0)
    .figure("cut_in_kpa", "Cut-in", "The pump starts.", &measures::GAUGE, 207.0)
    .figure("cut_out_kpa", "Cut-out", "The pump stops.", &measures::GAUGE, 345.0)
    .figure("elevation_m", "Height over the sea", "", &measures::ALTITUDE, 0.0)
    .figure("pump_l_min", "The pump's flow", "", &measures::RATED_FLOW, 40.0)
    .figure("drawn_l_min", "Drawn at the taps", "", &measures::DEMAND, 10.0)
    .figure("run_s", "Run wanted at a time", "Makers ask for a minute, two from 2 hp.", &measures::RUN_TIME, 60.0)
}

fn reckon(given: &Given) -> Result<Answer, Refused> {
    let air = atmospheric_pressure(q::metres(given.figure("elevation_m")?))?.value;
    let kilopascals = |key| Ok::<_, Refused>(q::kilopascals(given.figure(key)?));
    let cut_out = kilopascals("cut_out_kpa")?;
    let switch = Switch::new(kilopascals("precharge_kpa")?, kilopascals("cut_in_kpa")?, cut_out, air)?;
    let tank = q::litres(given.figure("tank_l")?);
    let given_off = switch.drawdown(tank)?;
    let left = switch.left_at(tank, cut_out)?;
    let (pump, drawn) =
        (q::litres_per_minute(given.figure("pump_l_min")?), q::litres_per_minute(given.figure("drawn_l_min")?));
    let mut answer = Answer::new()
        .figure("drawdown_l", "before the pump starts", q::as_litres(given_off.value), Unit::Litre)
        .figure("left_l", "left at cut-out when power fails", q::as_litres(left.value), Unit::Litre)
        .say_if(switch.interrupts(), "The precharge is above the cut-in: the water stops before the pump starts. Set it some 14 kPa (2 psi) below.")
        .warn(Warning::BACKFLOW)
        .working(given_off.working);
    let factor = switch.drawdown_factor().value;
    if factor <= 0.0 {
        return Ok(answer.say_if(true, "With this precharge the tank gives nothing between the two pressures."));
    }
    let starts = pump_starts(given_off.value, pump, drawn)?;
    let most = most_pump_starts(given_off.value, pump)?;
    let wanted = tank_for_run_time(pump, q::seconds(given.figure("run_s")?), factor)?;
    answer = answer
        .figure("starts_per_h", "starts of the pump at that draw", starts.value, Unit::PerHour)
        .figure("most_starts_per_h", "most starts that any draw causes", most.value, Unit::PerHour)
        .figure("wanted_l", "tank for the run that is wanted", q::as_litres(wanted.value), Unit::Litre)
        .say_if(drawn >= pump, "More is drawn than the pump gives: it never stops.");
    Ok(answer.working(starts.working).working(most.working).working(wanted.working).working(left.working))
}
