//! Pumps, what they draw from, what they press into, what they take.

use keepwell_engine::hydraulics;
use keepwell_engine::hydraulics::PumpCurve;
use keepwell_engine::hydraulics::Suction;
use keepwell_engine::hydraulics::Switch;
use keepwell_engine::hydraulics::System;
use keepwell_engine::quantity::as_cubic_metres;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_minute;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::as_watts;
use keepwell_engine::quantity::cubic_metres;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_minute;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::metres_per_second;
use keepwell_engine::quantity::seconds;
use keepwell_engine::quantity::watts;

use super::Got;
use super::density;
use super::flow;
use super::hydraulics::the_pipe;
use super::hydraulics::the_water;
use super::length;
use super::pressure;
use super::why;
use crate::row::Row;
use crate::row::wanted;

pub(super) fn got(row: &Row) -> Option<Got> {
    Some(match row.quantity {
        "pump_head_at_flow" | "duty_flow" | "duty_head" | "duty_flow_pipe" | "shutoff_pressure_margin" => pump(row),
        "atmospheric_pressure" => length(row, "altitude_m").and_then(|altitude| {
            let found = hydraulics::atmospheric_pressure(altitude).map_err(why)?;
            Ok((as_kilopascals(found.value), "kPa"))
        }),
        "npsh_available" | "npsh_from_gauge" | "max_suction_lift" | "siphon_crest_limit" => suction(row),
        "hydraulic_power" | "electrical_power" | "energy_per_m3" | "wire_to_water_efficiency" => energy(row),
        "pressure_tank_drawdown" | "drawdown_factor" | "acceptance_factor" => tank(row),
        "pump_starts_per_hour" | "max_pump_starts_per_hour" | "tank_volume_for_run_time" => starts(row),
        _ => return None,
    })
}

fn curve(row: &Row) -> Result<PumpCurve, String> {
    const KEY: &str = "pump_points_L_min_m";
    let value = row.value(KEY)?;
    let pair = |point: &serde_json::Value| match point.as_array().map(Vec::as_slice) {
        Some([flow, head]) => Some((litres_per_minute(flow.as_f64()?), metres(head.as_f64()?))),
        _ => None,
    };
    let points = value.as_array().and_then(|points| points.iter().map(pair).collect::<Option<Vec<_>>>());
    PumpCurve::new(&points.ok_or_else(|| wanted(KEY, value, "a list of pairs of flow and head"))?).map_err(why)
}

fn pump(row: &Row) -> Got {
    let curve = curve(row)?;
    Ok(match row.quantity {
        "pump_head_at_flow" => (as_metres(curve.head_at(flow(row, "flow_L_min")?).map_err(why)?.value), "m"),
        "duty_flow_pipe" => {
            let (lift, delivery) = (length(row, "lift_m")?, pressure(row, "delivery_kPa_gauge")?);
            let line = (&the_pipe(row)?, row.number("k_total")?);
            let duty = hydraulics::duty_through_pipe(&curve, lift, delivery, line, &the_water(row)?).map_err(why)?;
            (as_litres_per_minute(duty.flow), "L/min")
        }
        "shutoff_pressure_margin" => {
            let (level, cut_out) = (length(row, "suction_level_above_pump_m")?, pressure(row, "cut_out_kPa_gauge")?);
            let margin = hydraulics::shut_off_margin(&curve, level, cut_out, density(row)?).map_err(why)?;
            (as_kilopascals(margin.value), "kPa")
        }
        quantity => {
            let (rest, loss) = (length(row, "static_head_m")?, length(row, "system_loss_m")?);
            let system = System::new(rest, loss, flow(row, "system_loss_flow_L_min")?).map_err(why)?;
            let duty = hydraulics::duty(&curve, &system).map_err(why)?;
            if quantity == "duty_flow" {
                (as_litres_per_minute(duty.flow), "L/min")
            } else {
                (as_metres(duty.head), "m")
            }
        }
    })
}

fn suction(row: &Row) -> Got {
    let (air, vapour) = (pressure(row, "atmospheric_kPa")?, pressure(row, "vapour_pressure_kPa")?);
    let suction = Suction::new(air, vapour, density(row)?).map_err(why)?;
    let speed = || row.number("velocity_m_s").map(metres_per_second);
    let found = match row.quantity {
        "npsh_available" => suction.npsh(length(row, "static_suction_m")?, length(row, "suction_loss_m")?),
        "npsh_from_gauge" => {
            let gauge = pressure(row, "suction_gauge_kPa")?;
            suction.npsh_from_gauge(gauge, speed()?, length(row, "gauge_above_datum_m")?)
        }
        "max_suction_lift" => {
            suction.max_lift(length(row, "suction_loss_m")?, length(row, "npsh_required_m")?, length(row, "margin_m")?)
        }
        _ => suction.siphon_crest(speed()?, length(row, "upleg_loss_m")?),
    };
    Ok((as_metres(found.map_err(why)?.value), "m"))
}

fn energy(row: &Row) -> Got {
    let (head, density) = (length(row, "head_m")?, density(row)?);
    let (rate, part) = (|| flow(row, "flow_L_min"), || row.number("wire_to_water_fraction"));
    Ok(match row.quantity {
        "hydraulic_power" => (as_watts(hydraulics::hydraulic_power(rate()?, head, density).map_err(why)?.value), "W"),
        "electrical_power" => {
            (as_watts(hydraulics::electrical_power(rate()?, head, density, part()?).map_err(why)?.value), "W")
        }
        "energy_per_m3" => (hydraulics::energy_per_cubic_metre(head, density, part()?).map_err(why)?.value, "kWh/m3"),
        _ => {
            let taken = watts(row.number("electrical_power_W")?);
            (hydraulics::wire_to_water(rate()?, head, taken, density).map_err(why)?.value, "1")
        }
    })
}

fn tank(row: &Row) -> Got {
    let (precharge, cut_out) = (pressure(row, "precharge_kPa_gauge")?, pressure(row, "cut_out_kPa_gauge")?);
    let air = pressure(row, "atmospheric_kPa")?;
    if row.quantity == "acceptance_factor" {
        return Ok((hydraulics::acceptance_factor(precharge, cut_out, air).map_err(why)?.value, "1"));
    }
    let switch = Switch::new(precharge, pressure(row, "cut_in_kPa_gauge")?, cut_out, air).map_err(why)?;
    if row.quantity == "drawdown_factor" {
        return Ok((switch.drawdown_factor().value, "1"));
    }
    let drawn = switch.drawdown(cubic_metres(row.number("tank_volume_m3")?)).map_err(why)?;
    Ok((as_cubic_metres(drawn.value), "m3"))
}

fn starts(row: &Row) -> Got {
    let pump = flow(row, "pump_flow_L_min")?;
    let drawdown = || row.number("drawdown_L").map(litres);
    Ok(match row.quantity {
        "pump_starts_per_hour" => {
            (hydraulics::pump_starts(drawdown()?, pump, flow(row, "demand_L_min")?).map_err(why)?.value, "1/h")
        }
        "max_pump_starts_per_hour" => (hydraulics::most_pump_starts(drawdown()?, pump).map_err(why)?.value, "1/h"),
        _ => {
            let (run, part) = (seconds(row.number("run_time_s")?), row.number("drawdown_factor_fraction")?);
            (as_litres(hydraulics::tank_for_run_time(pump, run, part).map_err(why)?.value), "L")
        }
    })
}
