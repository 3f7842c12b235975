//! Fuel, generators, batteries, sunlight; conversions.

use keepwell_engine::power;
use keepwell_engine::power::BurnPoint;
use keepwell_engine::power::Derating;
use keepwell_engine::power::FuelKind;
use keepwell_engine::power::Generator;
use keepwell_engine::quantity::Energy;
use keepwell_engine::quantity::Pressure;
use keepwell_engine::quantity::as_cubic_metres;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_kilowatt_hours;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_hour;
use keepwell_engine::quantity::as_watts;
use keepwell_engine::quantity::celsius;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::kilograms;
use keepwell_engine::quantity::kilowatt_hours;
use keepwell_engine::quantity::litres_per_hour;
use keepwell_engine::quantity::us_gallon;
use keepwell_engine::quantity::watts;
use serde_json::Value;
use uom::si::energy::btu_it;
use uom::si::energy::megajoule;
use uom::si::pressure::pound_force_per_square_foot;
use uom::si::pressure::psi;

use super::Got;
use super::density;
use super::length;
use super::why;
use crate::row::Row;
use crate::row::wanted;

pub(super) fn got(row: &Row) -> Option<Got> {
    Some(match row.quantity {
        "convert" => convert(row),
        "fuel_rate_interpolated" => interpolated(row),
        "linear_fuel_model" => linear(row),
        "genset_efficiency" | "genset_efficiency_gas" => efficiency(row),
        "fuel_from_bsfc" => by_mass(row),
        "generator_derated" => derated(row),
        "propane_energy" => propane(row),
        "locked_rotor_current_single_phase" => starting(row),
        "battery_usable_energy" | "battery_pumped_volume" | "solar_daily_energy" => stored(row),
        _ => return None,
    })
}

fn convert(row: &Row) -> Got {
    let value = row.number("value")?;
    Ok(match row.text("conversion")? {
        "gpm_to_L_min" => (value * as_litres(us_gallon()), "L/min"),
        "psi_to_kPa" => (as_kilopascals(Pressure::new::<psi>(value)), "kPa"),
        "psf_to_kPa" => (as_kilopascals(Pressure::new::<pound_force_per_square_foot>(value)), "kPa"),
        "Btu_per_gal_to_MJ_per_L" => (Energy::new::<btu_it>(value).get::<megajoule>() / as_litres(us_gallon()), "MJ/L"),
        other => return Err(format!("conversion is {other}; not one of those known")),
    })
}

fn list(row: &Row, key: &str) -> Result<Vec<f64>, String> {
    let value = row.value(key)?;
    let numbers = value.as_array().and_then(|list| list.iter().map(Value::as_f64).collect::<Option<Vec<_>>>());
    numbers.ok_or_else(|| wanted(key, value, "a list of numbers"))
}

fn interpolated(row: &Row) -> Got {
    let (parts, rates) = (list(row, "load_fractions")?, list(row, "rates_L_h")?);
    if parts.len() != rates.len() {
        return Err(format!("rates_L_h has {} figures; wanted is one for each of load_fractions", rates.len()));
    }
    let points: Vec<_> = parts.into_iter().zip(rates.into_iter().map(litres_per_hour)).collect();
    let burn = power::burn_at_part_load(&points, row.number("load_fraction")?).map_err(why)?;
    Ok((as_litres_per_hour(burn.value), "L/h"))
}

fn linear(row: &Row) -> Got {
    let rated = row.number("rated_kW")? * 1000.0;
    let point = |load: f64, key: &str| -> Result<BurnPoint, String> {
        Ok(BurnPoint { load: watts(load), burn: litres_per_hour(row.number(key)?) })
    };
    let line = [point(0.0, "no_load_rate_L_h")?, point(rated, "full_load_rate_L_h")?];
    let set = Generator::new(FuelKind::Petrol, watts(rated), &line).map_err(why)?;
    let burn = set.burn(watts(row.number("load_kW")? * 1000.0)).map_err(why)?;
    Ok((as_litres_per_hour(burn.rate), "L/h"))
}

fn efficiency(row: &Row) -> Got {
    let output = watts(row.number("output_kW")? * 1000.0);
    let found = if row.quantity == "genset_efficiency" {
        let burn = litres_per_hour(row.number("fuel_rate_L_h")?);
        power::efficiency(output, burn, row.number("heating_value_MJ_L")?)
    } else {
        power::efficiency_on_heat(output, Energy::new::<btu_it>(row.number("heat_input_Btu_h")?) / hours(1.0))
    };
    Ok((found.map_err(why)?.value, "1"))
}

fn by_mass(row: &Row) -> Got {
    let (load, run) = (watts(row.number("load_kW")? * 1000.0), hours(row.number("hours_h")?));
    let (specific, heavy) = (row.number("specific_consumption_g_kWh")?, row.number("fuel_density_kg_L")?);
    Ok((as_litres(power::fuel_by_mass(load, run, specific, heavy).map_err(why)?.value), "L"))
}

fn derated(row: &Row) -> Got {
    let rule = Derating {
        a_thousand_feet: row.number("altitude_fraction_per_1000ft")?,
        ten_fahrenheit: row.number("temperature_fraction_per_10F")?,
        from: celsius(row.number("reference_temperature_C")?),
    };
    let rated = watts(row.number("rated_kW")? * 1000.0);
    let left = rule.rating(rated, length(row, "altitude_m")?, celsius(row.number("temperature_C")?)).map_err(why)?;
    Ok((as_watts(left.value) / 1000.0, "kW"))
}

fn propane(row: &Row) -> Got {
    let heat = power::heat_of_mass(kilograms(row.number("propane_kg")?), row.number("heating_value_Btu_lb")?);
    Ok((as_kilowatt_hours(heat.map_err(why)?.value), "kWh"))
}

fn starting(row: &Row) -> Got {
    let (motor, code) = (row.number("motor_hp")?, row.number("kva_per_hp")?);
    Ok((power::starting_current(motor, code, row.number("voltage_V")?).map_err(why)?.value, "A"))
}

fn stored(row: &Row) -> Got {
    let inverter = || row.number("inverter_efficiency_fraction");
    Ok(match row.quantity {
        "battery_usable_energy" => {
            let (charge, volts) = (row.number("capacity_Ah")?, row.number("nominal_V")?);
            let part = row.number("depth_of_discharge_fraction")?;
            let energy = power::battery_energy(charge, volts, part, inverter()?).map_err(why)?;
            (as_kilowatt_hours(energy.value), "kWh")
        }
        "battery_pumped_volume" => {
            let energy = kilowatt_hours(row.number("usable_ac_kWh")?);
            let part = row.number("wire_to_water_fraction")?;
            let lifted = power::water_lifted(energy, length(row, "head_m")?, density(row)?, part).map_err(why)?;
            (as_cubic_metres(lifted.value), "m3")
        }
        _ => {
            let (array, sun) = (watts(row.number("array_kW_dc")? * 1000.0), hours(row.number("peak_sun_hours_h")?));
            let energy = power::solar_day(array, sun, row.number("system_loss_fraction")?, inverter()?).map_err(why)?;
            (as_kilowatt_hours(energy.value), "kWh")
        }
    })
}
