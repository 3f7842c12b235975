//! JSON as it comes in. A member that stands in an object twice is refused: which of the two was meant is not ours to
//! guess.

use core::fmt;

use serde::Deserialize;
use serde::Deserializer;
use serde::de::Error as _;
use serde::de::MapAccess;
use serde::de::SeqAccess;
use serde::de::Visitor;
use serde_json::Map;
use serde_json::Value;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::error::Error;

/// # Errors
/// Not JSON, or a member stands twice: where reading stopped.
pub fn json(bytes: &[u8]) -> Result<Value, Error> {
    serde_json::from_slice::<Strict>(bytes).map(|read| read.0).map_err(|wrong| {
        let why = Arg::text(wrong.to_string());
        Error::Unreadable(Message::new("The JSON that was sent cannot be read: {why}.").with("why", why))
    })
}

struct Strict(Value);

impl<'de> Deserialize<'de> for Strict {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Reading).map(Strict)
    }
}

struct Reading;

impl<'de> Visitor<'de> for Reading {
    type Value = Value;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }

    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }

    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_f64<E>(self, value: f64) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(Value::from(value))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut from: A) -> Result<Value, A::Error> {
        let mut list = Vec::new();
        while let Some(Strict(value)) = from.next_element()? {
            list.push(value);
        }
        Ok(Value::Array(list))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut from: A) -> Result<Value, A::Error> {
        let mut map = Map::new();
        while let Some(key) = from.next_key::<String>()? {
            let Strict(value) = from.next_value()?;
            if map.contains_key(&key) {
                return Err(A::Error::custom(format_args!("the member {key:?} stands twice in one object")));
            }
            map.insert(key, value);
        }
        Ok(Value::Object(map))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_json_is_read_as_it_stands() {
        for text in ["null", "[1,-2,2.5,\"a\",true,{\"a\":{\"a\":[]}}]", "0.1", "18446744073709551615"] {
            assert_eq!(json(text.as_bytes()).unwrap().to_string(), text);
        }
    }

    #[test]
    fn what_is_not_json_or_says_two_things_is_refused() {
        for text in
            ["", "{", "{\"a\":1,\"a\":1}", "[{\"b\":{\"a\":1,\"c\":2,\"a\":3}}]", "1e999", "NaN", "1 2", "\u{feff}{}"]
        {
            assert!(matches!(json(text.as_bytes()), Err(Error::Unreadable(_))), "{text}");
        }
        assert!(json("[".repeat(10_000).as_bytes()).is_err(), "too deep to be read");
        assert!(json(&[b'"', 0xff, b'"']).is_err(), "not UTF-8");
    }
}
