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

    /// `value`, which is in `unit`, as printed; the row must ask for that unit or for none.
    pub fn print(&self, value: f64, unit: &str) -> Answer {
        if self.unit.is_empty() || self.unit == unit {
            return Ok(value.to_string());
        }
        Err(format!("unit is {}; wanted is {unit}", self.unit))
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

    /// The text under `key`.
    pub fn text(&self, key: &str) -> Result<&str, String> {
        let value = self.value(key)?;
        value.as_str().ok_or_else(|| wanted(key, value, "text"))
    }
}

/// The complaint that `name` is not of the kind that is wanted.
pub fn wanted(name: &str, value: &Value, kind: &str) -> String {
    format!("{name} is {value}; wanted is {kind}")
}
