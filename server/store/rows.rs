//! How the model's types lie in columns: times as microseconds, ids as 16 bytes, lists as JSON. Private to the store.

use jiff::Timestamp;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::model::choice::Choice;
use crate::model::name::Name;
use crate::store::Error;

pub(super) fn time(micros: i64) -> Result<Timestamp, Error> {
    Timestamp::from_microsecond(micros).map_err(unreadable)
}

pub(super) fn maybe_time(micros: Option<i64>) -> Result<Option<Timestamp>, Error> {
    micros.map(time).transpose()
}

pub(super) fn name(text: &str) -> Result<Name, Error> {
    Name::new(text).map_err(|message| Error::Unreadable(format!("the name {text:?}: {}", message.key)))
}

pub(super) fn choice<T: Choice>(key: &str) -> Result<T, Error> {
    T::from_key(key).ok_or_else(|| Error::Unreadable(format!("{key:?} is not in its list")))
}

pub(super) fn maybe_choice<T: Choice>(key: Option<&str>) -> Result<Option<T>, Error> {
    key.map(choice).transpose()
}

pub(super) fn count(number: i64) -> Result<u32, Error> {
    u32::try_from(number).map_err(unreadable)
}

pub(super) fn list<T: DeserializeOwned>(json: &str) -> Result<T, Error> {
    serde_json::from_str(json).map_err(unreadable)
}

pub(super) fn json<T: Serialize>(value: &T) -> Result<String, Error> {
    serde_json::to_string(value).map_err(unreadable)
}

pub(super) fn unreadable(error: impl core::fmt::Display) -> Error {
    Error::Unreadable(error.to_string())
}
