//! One row: the quantity asked for, its inputs by name, and the unit to answer in. Every complaint names the key, what
//! stands there and what is wanted.

use serde_json::Map;
use serde_json::Value;

/// The answer as printed, or why there is none.
pub type Answer = Result<String, String>;

/// A row of check values.
pub struct Row<'a> {
    /// what is asked for
    pub quantity: &'a str,
    /// the unit to answer in; empty for the quantity's own
    pub unit: &'a str,
    inputs: Map<String, Value>,
}

impl<'a> Row<'a> {
    /// From the cells of a row.
    pub fn new(quantity: &'a str, inputs: &str, unit: &'a str) -> Result<Self, String> {
        match serde_json::from_str(inputs) {
            Ok(Value::Object(inputs)) => Ok(Self { quantity: quantity.trim(), unit: unit.trim(), inputs }),
            Ok(other) => Err(wanted("inputs", &other, "a JSON object")),
            Err(error) => Err(format!("inputs is not JSON: {error}")),
        }
    }

    /// `value`, which is in `unit`, as printed in the unit the row asks for.
    pub fn print(&self, value: f64, unit: &str) -> Answer {
        // An error is in the unit of what it is the error of, whatever that is.
        if self.unit.is_empty() || self.unit == unit || unit.starts_with("same as ") {
            return Ok((value + 0.0).to_string());
        }
        match (size(unit), size(self.unit)) {
            (Some((what, own)), Some((asked, theirs))) if what == asked => Ok((value * (own / theirs)).to_string()),
            _ => Err(format!("unit is {}; wanted is {unit}", self.unit)),
        }
    }

    /// Whether anything stands under `key`.
    pub fn has(&self, key: &str) -> bool {
        self.inputs.get(key).is_some_and(|value| !value.is_null())
    }

    /// What stands under `key`.
    pub fn value(&self, key: &str) -> Result<&Value, String> {
        self.inputs.get(key).ok_or_else(|| format!("{key} is missing"))
    }

    /// The number under `key`; text that looks like one is none.
    pub fn number(&self, key: &str) -> Result<f64, String> {
        let value = self.value(key)?;
        value.as_f64().filter(|number| number.is_finite()).ok_or_else(|| wanted(key, value, "a number"))
    }

    /// The number under `key`, or `usual` where nothing stands there.
    pub fn number_or(&self, key: &str, usual: f64) -> Result<f64, String> {
        if self.has(key) { self.number(key) } else { Ok(usual) }
    }

    /// The text under `key`.
    pub fn text(&self, key: &str) -> Result<&str, String> {
        let value = self.value(key)?;
        value.as_str().ok_or_else(|| wanted(key, value, "text"))
    }
}

/// What a unit measures, and how large it is. Exact by definition, NIST SP 811 (2008), appendix B.
fn size(unit: &str) -> Option<(&'static str, f64)> {
    const GALLON: f64 = 3.785_411_784e-3;
    const POUND: f64 = 0.453_592_37;
    Some(match unit {
        "m3" | "m³" => ("volume", 1.0),
        "L" => ("volume", 1e-3),
        "mL" => ("volume", 1e-6),
        "gal" | "US gal" => ("volume", GALLON),
        "m" => ("length", 1.0),
        "cm" => ("length", 1e-2),
        "mm" => ("length", 1e-3),
        "ft" => ("length", 0.3048),
        "in" => ("length", 0.0254),
        "m2" | "m²" => ("area", 1.0),
        "ft2" => ("area", 0.3048 * 0.3048),
        "Pa" => ("pressure", 1.0),
        "kPa" => ("pressure", 1e3),
        "bar" => ("pressure", 1e5),
        "psi" => ("pressure", 6_894.757_293_168),
        "m3/s" => ("flow", 1.0),
        "m3/h" => ("flow", 1.0 / 3600.0),
        "L/s" => ("flow", 1e-3),
        "L/min" => ("flow", 1e-3 / 60.0),
        "L/h" => ("flow", 1e-3 / 3600.0),
        "gpm" | "US gal/min" => ("flow", GALLON / 60.0),
        "s" => ("time", 1.0),
        "min" => ("time", 60.0),
        "h" => ("time", 3600.0),
        "W" => ("power", 1.0),
        "kW" => ("power", 1e3),
        "Wh" => ("energy", 1.0),
        "kWh" => ("energy", 1e3),
        "N" => ("force", 1.0),
        "kN" => ("force", 1e3),
        "kg" => ("mass", 1.0),
        "g" => ("mass", 1e-3),
        "lb" => ("mass", POUND),
        "kg/m3" => ("density", 1.0),
        "kg/L" => ("density", 1e3),
        "lb/US gal" => ("density", POUND / GALLON),
        "Pa.s" | "Pa·s" => ("viscosity", 1.0),
        "mPa.s" | "mPa·s" => ("viscosity", 1e-3),
        "m/s" => ("velocity", 1.0),
        "ft/s" => ("velocity", 0.3048),
        _ => return None,
    })
}

/// The complaint that `name` is not of the kind that is wanted.
pub fn wanted(name: &str, value: &Value, kind: &str) -> String {
    format!("{name} is {value}; wanted is {kind}")
}
