//! A JSON object read key by key. Every complaint names the key, what stands there and what is wanted.

use serde_json::Map;
use serde_json::Value;

/// One object of a case, with the path that leads to it.
pub struct Fields<'a> {
    object: &'a Map<String, Value>,
    path: String,
}

impl<'a> Fields<'a> {
    /// `value` as an object; `path` is how it is named in a complaint, empty for the case itself.
    pub fn of(value: &'a Value, path: impl Into<String>) -> Result<Self, String> {
        let path = path.into();
        match value.as_object() {
            Some(object) => Ok(Self { object, path }),
            None => Err(wanted(if path.is_empty() { "the case" } else { &path }, value, "an object")),
        }
    }

    /// How `key` is named in a complaint.
    pub fn name(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    /// Whether `key` is there, whatever stands under it.
    pub fn has(&self, key: &str) -> bool {
        self.object.contains_key(key)
    }

    /// The complaint that the word under `key` is none of those known.
    pub fn unknown(&self, key: &str, known: &str) -> String {
        wanted(&self.name(key), self.object.get(key).unwrap_or(&Value::Null), known)
    }

    fn have(&self, key: &str) -> Result<&'a Value, String> {
        self.object.get(key).ok_or_else(|| format!("{} is missing", self.name(key)))
    }

    /// The object under `key`.
    pub fn object(&self, key: &str) -> Result<Self, String> {
        Self::of(self.have(key)?, self.name(key))
    }

    /// The array under `key`.
    pub fn array(&self, key: &str) -> Result<&'a [Value], String> {
        let value = self.have(key)?;
        value.as_array().map(Vec::as_slice).ok_or_else(|| wanted(&self.name(key), value, "a list"))
    }

    /// The text under `key`.
    pub fn text(&self, key: &str) -> Result<&'a str, String> {
        let value = self.have(key)?;
        value.as_str().ok_or_else(|| wanted(&self.name(key), value, "text"))
    }

    /// The text under `key`, if the key is there.
    pub fn maybe_text(&self, key: &str) -> Result<Option<&'a str>, String> {
        self.has(key).then(|| self.text(key)).transpose()
    }

    /// The number under `key`; text that looks like one is none.
    pub fn number(&self, key: &str) -> Result<f64, String> {
        let value = self.have(key)?;
        value.as_f64().filter(|number| number.is_finite()).ok_or_else(|| wanted(&self.name(key), value, "a number"))
    }

    /// The number under `key`, if the key is there.
    pub fn maybe_number(&self, key: &str) -> Result<Option<f64>, String> {
        self.has(key).then(|| self.number(key)).transpose()
    }

    /// True or false under `key`.
    pub fn flag(&self, key: &str) -> Result<bool, String> {
        let value = self.have(key)?;
        value.as_bool().ok_or_else(|| wanted(&self.name(key), value, "true or false"))
    }

    /// True or false under `key`, if the key is there.
    pub fn maybe_flag(&self, key: &str) -> Result<Option<bool>, String> {
        self.has(key).then(|| self.flag(key)).transpose()
    }
}

/// The complaint that `name` is not of the kind that is wanted.
pub fn wanted(name: &str, value: &Value, kind: &str) -> String {
    format!("{name} is {value}; wanted is {kind}")
}
