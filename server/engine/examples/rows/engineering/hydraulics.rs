//! Water, pipes, fittings, gravity.

use keepwell_engine::hydraulics;
use keepwell_engine::hydraulics::Explicit;
use keepwell_engine::hydraulics::Filter;
use keepwell_engine::hydraulics::HydraulicsError;
use keepwell_engine::hydraulics::Opening;
use keepwell_engine::hydraulics::Pipe;
use keepwell_engine::hydraulics::water;
use keepwell_engine::hydraulics::water::Water;
use keepwell_engine::quantity::as_kg_per_cubic_metre;
use keepwell_engine::quantity::as_kilograms;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_minute;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::as_metres_per_second;
use keepwell_engine::quantity::as_pascal_seconds;
use keepwell_engine::quantity::as_seconds;
use keepwell_engine::quantity::celsius;
use keepwell_engine::quantity::kilopascals;
use keepwell_engine::quantity::millimetres;
use keepwell_engine::quantity::pascal_seconds;
use keepwell_engine::quantity::square_metres;
use keepwell_engine::working::Reckoned;

use super::Got;
use super::bore;
use super::density;
use super::flow;
use super::length;
use super::pressure;
use super::why;
use crate::row::Row;

pub(super) fn got(row: &Row) -> Option<Got> {
    Some(match row.quantity {
        "water_density"
        | "water_dynamic_viscosity"
        | "water_vapour_pressure"
        | "water_weight_per_us_gallon"
        | "water_volume_ratio"
        | "freezing_expansion_fraction" => of_water(row),
        "pipe_velocity"
        | "reynolds"
        | "pipe_contents"
        | "minor_loss_head"
        | "line_head_loss"
        | "head_loss_darcy"
        | "head_loss_hazen_williams" => in_pipe(row),
        "friction_factor_colebrook"
        | "friction_factor_laminar"
        | "friction_factor_swamee_jain"
        | "friction_factor_haaland" => friction(row),
        "k_from_turbulent_factor"
        | "filter_pressure_drop"
        | "valve_pressure_drop_cv"
        | "head_to_pressure"
        | "hydrostatic_pressure" => fitted(row),
        "orifice_flow" | "drain_time_constant_section" | "gravity_pipe_flow" => of_itself(row),
        _ => return None,
    })
}

fn of_water(row: &Row) -> Got {
    let temperature = |key: &str| row.number(key).map(celsius);
    let air = kilopascals(row.number_or("pressure_kPa", water::STANDARD_ATMOSPHERE)?);
    if row.quantity == "water_volume_ratio" {
        let ratio = water::volume_ratio(temperature("from_temperature_C")?, temperature("to_temperature_C")?);
        return Ok((ratio.map_err(why)?.value, "1"));
    }
    let warm = temperature("temperature_C")?;
    Ok(match row.quantity {
        "water_density" => (as_kg_per_cubic_metre(water::density(warm, air).map_err(why)?.value), "kg/m3"),
        "water_dynamic_viscosity" => (as_pascal_seconds(water::viscosity(warm, air).map_err(why)?.value), "Pa.s"),
        "water_vapour_pressure" => (as_kilopascals(water::vapour_pressure(warm).map_err(why)?.value), "kPa"),
        "freezing_expansion_fraction" => (water::freezing_expansion(warm).map_err(why)?.value, "1"),
        _ => (as_kilograms(water::us_gallon_mass(warm).map_err(why)?.value) / 0.453_592_37, "lb/US gal"),
    })
}

pub(super) fn the_water(row: &Row) -> Result<Water, String> {
    Water::new(density(row)?, pascal_seconds(row.number("dynamic_viscosity_Pa_s")?)).map_err(why)
}

pub(super) fn the_pipe(row: &Row) -> Result<Pipe, String> {
    let roughness = row.number("roughness_mm").map(millimetres)?;
    Pipe::new(bore(row)?, length(row, "length_m")?, roughness).map_err(why)
}

fn in_pipe(row: &Row) -> Got {
    let rate = || flow(row, "flow_L_min");
    let loss = |fittings: f64| -> Got {
        let loss = hydraulics::line_loss(rate()?, &the_pipe(row)?, fittings, &the_water(row)?).map_err(why)?;
        Ok((as_metres(loss.total()), "m"))
    };
    Ok(match row.quantity {
        "pipe_velocity" => (as_metres_per_second(hydraulics::velocity(rate()?, bore(row)?).map_err(why)?.value), "m/s"),
        "reynolds" => (hydraulics::reynolds(rate()?, bore(row)?, &the_water(row)?).map_err(why)?.value, "1"),
        "pipe_contents" => {
            (as_litres(hydraulics::pipe_contents(bore(row)?, length(row, "length_m")?).map_err(why)?.value), "L")
        }
        "minor_loss_head" => {
            (as_metres(hydraulics::minor_loss(rate()?, bore(row)?, row.number("k_total")?).map_err(why)?.value), "m")
        }
        "line_head_loss" => return loss(row.number("k_total")?),
        "head_loss_darcy" => return loss(0.0),
        _ => {
            let (long, smooth) = (length(row, "length_m")?, row.number("c_factor")?);
            (as_metres(hydraulics::hazen_williams(rate()?, bore(row)?, long, smooth).map_err(why)?.value), "m")
        }
    })
}

fn friction(row: &Row) -> Got {
    let reynolds = row.number("reynolds_number")?;
    let relative = || row.number("relative_roughness");
    let found: Result<Reckoned<f64>, HydraulicsError> = match row.quantity {
        "friction_factor_colebrook" => hydraulics::friction_colebrook(reynolds, relative()?),
        "friction_factor_laminar" => hydraulics::friction_laminar(reynolds),
        "friction_factor_swamee_jain" => hydraulics::friction_explicit(Explicit::SwameeJain, reynolds, relative()?),
        _ => hydraulics::friction_explicit(Explicit::Haaland, reynolds, relative()?),
    };
    Ok((found.map_err(why)?.value, "1"))
}

fn fitted(row: &Row) -> Got {
    let rate = || flow(row, "flow_L_min");
    Ok(match row.quantity {
        "k_from_turbulent_factor" => {
            (hydraulics::loss_factor(row.number("multiple_of_fT")?, row.number("fT")?).map_err(why)?.value, "1")
        }
        "filter_pressure_drop" => {
            let rated = flow(row, "rated_flow_L_min")?;
            let filter = Filter::new(pressure(row, "rated_drop_kPa")?, rated, row.number("exponent")?).map_err(why)?;
            (as_kilopascals(filter.drop_at(rate()?, 0.0).map_err(why)?.value), "kPa")
        }
        "valve_pressure_drop_cv" => {
            let valve = row.number("cv_gpm_per_sqrt_psi")?;
            (as_kilopascals(hydraulics::valve_drop(rate()?, valve).map_err(why)?.value), "kPa")
        }
        quantity => {
            let key = if quantity == "head_to_pressure" { "head_m" } else { "depth_m" };
            let found = hydraulics::pressure_of_head(length(row, key)?, density(row)?).map_err(why)?;
            (as_kilopascals(found.value), "kPa")
        }
    })
}

fn of_itself(row: &Row) -> Got {
    let discharge = || row.number("discharge_coefficient");
    Ok(match row.quantity {
        "orifice_flow" => {
            let opening = Opening::round(millimetres(row.number("orifice_diameter_mm")?), discharge()?).map_err(why)?;
            (as_litres_per_minute(opening.flow(length(row, "head_m")?).map_err(why)?.value), "L/min")
        }
        "drain_time_constant_section" => {
            let opening = Opening::new(square_metres(row.number("orifice_area_m2")?), discharge()?).map_err(why)?;
            let plan = square_metres(row.number("plan_area_m2")?);
            let time = opening.drain_upright(plan, length(row, "start_head_m")?, length(row, "end_head_m")?);
            (as_seconds(time.map_err(why)?.value), "s")
        }
        _ => {
            let (head, fittings) = (length(row, "head_m")?, row.number("k_total")?);
            let found = hydraulics::gravity_flow(head, &the_pipe(row)?, fittings, &the_water(row)?).map_err(why)?;
            (as_litres_per_minute(found.value), "L/min")
        }
    })
}
