//! Structure, carrying, instruments.

use keepwell_engine::distribution;
use keepwell_engine::distribution::Lift;
use keepwell_engine::quantity::Force;
use keepwell_engine::quantity::as_cubic_metres;
use keepwell_engine::quantity::as_kilograms;
use keepwell_engine::quantity::as_kilonewtons;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::as_seconds;
use keepwell_engine::quantity::celsius;
use keepwell_engine::quantity::kilograms;
use keepwell_engine::quantity::kilonewtons;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::seconds;
use keepwell_engine::quantity::square_metres;
use keepwell_engine::sensing;
use keepwell_engine::sensing::Spread;
use keepwell_engine::structure;
use keepwell_engine::structure::Basin;
use keepwell_engine::structure::Force7_16;
use keepwell_engine::structure::Force7_22;
use keepwell_engine::structure::Site;
use keepwell_engine::structure::Spectrum;
use keepwell_engine::structure::Standing;

use super::Got;
use super::density;
use super::length;
use super::pressure;
use super::why;
use crate::row::Row;

pub(super) fn got(row: &Row) -> Option<Got> {
    Some(match row.quantity {
        "floor_pressure" | "depth_at_floor_limit" => floor(row),
        "seismic_fp_7_16" | "seismic_fp_7_22" => force(row),
        "sliding_demand_capacity" | "overturning_demand_capacity" | "strap_force" => standing(row),
        "sloshing_period_circular"
        | "sloshing_period_rectangular"
        | "convective_acceleration"
        | "sloshing_height"
        | "sloshing_height_from_acceleration"
        | "convective_weight_fraction"
        | "impulsive_weight_fraction" => slosh(row),
        "container_mass" | "niosh_rwl" | "haul_trips" => carried(row),
        "depth_from_pressure"
        | "barometric_depth_error"
        | "ultrasonic_speed_error"
        | "tilt_depth_offset"
        | "sd_from_limits"
        | "sd_from_resolution"
        | "volume_change_sd" => sensed(row),
        _ => return None,
    })
}

fn floor(row: &Row) -> Got {
    if row.quantity == "floor_pressure" {
        let (mass, contact) = (kilograms(row.number("mass_kg")?), square_metres(row.number("contact_area_m2")?));
        return Ok((as_kilopascals(structure::floor_load(mass, contact).map_err(why)?.pressure), "kPa"));
    }
    let (limit, tare) = (pressure(row, "limit_kPa")?, pressure(row, "tare_kPa")?);
    Ok((as_metres(structure::depth_at_limit(limit, tare, density(row)?).map_err(why)?.value), "m"))
}

fn kilonewtons_of(row: &Row, key: &str) -> Result<Force, String> {
    row.number(key).map(kilonewtons)
}

fn force(row: &Row) -> Got {
    let weight = kilonewtons_of(row, "weight_kN")?;
    let site = Site { sds: row.number("sds_g")?, importance: row.number("ip")? };
    let force = if row.quantity == "seismic_fp_7_16" {
        let factors = Force7_16 {
            amplification: row.number("ap")?,
            response: row.number("rp")?,
            storey: row.number("z_over_h")?,
        };
        factors.force(weight, site)
    } else {
        let factors = Force7_22 {
            height: row.number("hf")?,
            ductility: row.number("r_mu")?,
            resonance: row.number("c_ar")?,
            strength: row.number("r_po")?,
        };
        factors.force(weight, site)
    };
    Ok((as_kilonewtons(force.map_err(why)?.value), "kN"))
}

fn standing(row: &Row) -> Got {
    let (force, weight) = (kilonewtons_of(row, "fp_kN")?, kilonewtons_of(row, "weight_kN")?);
    let standing = Standing::new(force, weight, row.number("sds_g")?).map_err(why)?;
    if row.quantity == "sliding_demand_capacity" {
        return Ok((standing.sliding(row.number("friction_coefficient")?).map_err(why)?.value, "1"));
    }
    let (centre, half) = (length(row, "cg_height_m")?, length(row, "base_half_width_m")?);
    if row.quantity == "overturning_demand_capacity" {
        return Ok((standing.tipping(centre, half).map_err(why)?.value, "1"));
    }
    let strap = standing.strap(centre, half, length(row, "strap_height_m")?).map_err(why)?;
    Ok((as_kilonewtons(strap.value), "kN"))
}

fn slosh(row: &Row) -> Got {
    let round = || Basin::round(length(row, "diameter_m")?, length(row, "depth_m")?).map_err(why);
    let spectrum = || -> Result<Spectrum, String> {
        let long_period = seconds(row.number("long_period_transition_s")?);
        Ok(Spectrum { sds: row.number("sds_g")?, sd1: row.number("sd1_g")?, long_period })
    };
    let importance = || row.number("importance_factor");
    Ok(match row.quantity {
        "sloshing_period_circular" => (as_seconds(round()?.period().value), "s"),
        "sloshing_period_rectangular" => {
            let basin = Basin::rectangular(length(row, "length_m")?, length(row, "depth_m")?).map_err(why)?;
            (as_seconds(basin.period().value), "s")
        }
        "convective_acceleration" => {
            (spectrum()?.convective(seconds(row.number("period_s")?)).map_err(why)?.value, "g")
        }
        "sloshing_height" => (as_metres(round()?.wave(&spectrum()?, importance()?).map_err(why)?.value), "m"),
        "sloshing_height_from_acceleration" => {
            let (across, shaken) = (length(row, "diameter_m")?, row.number("convective_acceleration_g")?);
            (as_metres(structure::wave_height(across, importance()?, shaken).map_err(why)?.value), "m")
        }
        "convective_weight_fraction" => (round()?.swinging_part().value, "1"),
        _ => (round()?.still_part().value, "1"),
    })
}

fn carried(row: &Row) -> Got {
    let centimetres = |key: &str| row.number(key).map(|value| metres(value / 100.0));
    Ok(match row.quantity {
        "container_mass" => {
            let (full, tare) = (litres(row.number("volume_L")?), kilograms(row.number("tare_kg")?));
            (as_kilograms(distribution::container_mass(full, density(row)?, tare).map_err(why)?.value), "kg")
        }
        "niosh_rwl" => {
            let lift = Lift {
                reach: centimetres("horizontal_cm")?,
                height: centimetres("vertical_cm")?,
                travel: centimetres("travel_cm")?,
                turn: row.number("asymmetry_deg")?,
                frequency: row.number("frequency_multiplier")?,
                coupling: row.number("coupling_multiplier")?,
            };
            (as_kilograms(lift.limit().map_err(why)?.value), "kg")
        }
        _ => {
            let can = (litres(row.number("container_L")?), kilograms(row.number("container_tare_kg")?));
            let (all, payload) = (litres(row.number("volume_L")?), kilograms(row.number("payload_kg")?));
            (distribution::trips(all, payload, can, density(row)?).map_err(why)?.value, "count")
        }
    })
}

fn sensed(row: &Row) -> Got {
    Ok(match row.quantity {
        "depth_from_pressure" => (
            as_metres(sensing::depth_from_pressure(pressure(row, "pressure_kPa")?, density(row)?).map_err(why)?.value),
            "m",
        ),
        "barometric_depth_error" => {
            let change = pressure(row, "pressure_change_kPa")?;
            (as_metres(sensing::barometric_error(change, density(row)?).map_err(why)?.value), "m")
        }
        "ultrasonic_speed_error" => {
            let air = |key: &str| row.number(key).map(celsius);
            let (actual, assumed) = (air("actual_air_temperature_C")?, air("assumed_air_temperature_C")?);
            let off = sensing::ultrasonic_error(length(row, "distance_m")?, actual, assumed).map_err(why)?;
            (as_metres(off.value), "m")
        }
        "tilt_depth_offset" => {
            let off = sensing::tilt_offset(length(row, "diameter_m")?, row.number("tilt_deg")?).map_err(why)?;
            (as_metres(off.value), "m")
        }
        "sd_from_limits" => {
            let spread = match row.text("distribution")? {
                "uniform" => Spread::Uniform,
                "triangular" => Spread::Triangular,
                "normal_95" => Spread::Normal95,
                other => return Err(format!("distribution is {other}; not one of those known")),
            };
            (sensing::sd_from_limits(row.number("half_width")?, spread).map_err(why)?, "same as half_width")
        }
        "sd_from_resolution" => {
            (sensing::sd_from_resolution(row.number("resolution")?).map_err(why)?, "same as resolution")
        }
        _ => {
            let plan = square_metres(row.number("plan_area_m2")?);
            let sd = sensing::volume_change_sd(plan, length(row, "depth_sd_m")?).map_err(why)?;
            (as_cubic_metres(sd.value), "m3")
        }
    })
}
