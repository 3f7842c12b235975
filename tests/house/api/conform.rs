//! Holds every answer against the document that the server itself serves, with a checker of our own for the part of JSON
//! Schema that the document uses. It knows nothing of the descriptions that the document was made from.

use std::sync::OnceLock;

use reqwest::Method;
use serde_json::Value;

use crate::harness::Answer;

/// The same in every house of this program.
static DOCUMENT: OnceLock<Value> = OnceLock::new();

/// What the server said of itself.
pub fn learn(document: Value) {
    assert_eq!(*DOCUMENT.get_or_init(|| document.clone()), document);
}

/// The operation of the document that a request meets.
pub fn operation<'a>(document: &'a Value, method: &Method, path: &str) -> Option<(&'a str, &'a Value)> {
    let path = path.split('?').next().unwrap();
    let parts: Vec<&str> = path.split('/').collect();
    let fits = |template: &str| {
        let wanted: Vec<&str> = template.split('/').collect();
        wanted.len() == parts.len()
            && wanted.iter().zip(&parts).all(|(want, part)| want.starts_with('{') || want == part)
    };
    let mut paths: Vec<&String> = document["paths"].as_object().unwrap().keys().filter(|path| fits(path)).collect();
    // A path without a place for an id is nearer than one with.
    paths.sort_by_key(|path| path.contains('{'));
    let template = paths.first()?.as_str();
    let operation = document["paths"][template].get(method.as_str().to_lowercase())?;
    Some((template, operation))
}

/// The answer is one that the document foretells, to the letter.
pub fn conforms(method: &Method, path: &str, answer: &Answer) {
    let document = DOCUMENT.get().unwrap();
    // HEAD is a GET whose body stays behind.
    let asked = if method == Method::HEAD { &Method::GET } else { method };
    let Some((_, operation)) = operation(document, asked, path) else {
        // What the document does not know is refused, as a problem.
        assert!([404, 405].contains(&answer.status), "{method} {path}: {} {}", answer.status, answer.text);
        assert_eq!(answer.header("content-type"), "application/problem+json", "{method} {path}");
        return;
    };
    let what = format!("{method} {path}: {} {}", answer.status, answer.text);
    let response = &operation["responses"][answer.status.to_string()];
    let response = resolved(document, response);
    assert!(!response.is_null(), "no such status is foretold: {what}");
    for (name, header) in response["headers"].as_object().into_iter().flatten() {
        let there = answer.headers.contains_key(name.as_str());
        assert!(there || header["required"] != true, "the header {name} is missing: {what}");
    }
    match response["content"].as_object() {
        Some(_) if method == Method::HEAD => {}
        None => assert!(answer.text.is_empty(), "no body is foretold: {what}"),
        Some(content) => {
            let schema =
                &content.get(answer.header("content-type")).unwrap_or_else(|| panic!("media: {what}"))["schema"];
            let body: Value = serde_json::from_str(&answer.text).unwrap();
            let mut wrong = Vec::new();
            check(document, schema, &body, "", &mut wrong);
            assert!(wrong.is_empty(), "{wrong:?}: {what}");
        }
    }
}

fn resolved<'a>(document: &'a Value, schema: &'a Value) -> &'a Value {
    match schema["$ref"].as_str() {
        Some(reference) => document.pointer(reference.trim_start_matches('#')).unwrap(),
        None => schema,
    }
}

const KNOWN: [&str; 22] = [
    "$ref",
    "type",
    "description",
    "format",
    "pattern",
    "minLength",
    "maxLength",
    "minimum",
    "maximum",
    "enum",
    "const",
    "items",
    "prefixItems",
    "minItems",
    "maxItems",
    "properties",
    "required",
    "additionalProperties",
    "oneOf",
    "discriminator",
    "title",
    "default",
];

/// What of a value does not hold to its schema.
pub fn check(document: &Value, schema: &Value, value: &Value, at: &str, wrong: &mut Vec<String>) {
    let schema = resolved(document, schema);
    let Some(words) = schema.as_object() else { return };
    for word in words.keys() {
        assert!(KNOWN.contains(&word.as_str()), "the checker does not know {word}");
    }
    if let Some(all) = schema["oneOf"].as_array() {
        let holds = |one: &&Value| {
            let mut wrong = Vec::new();
            check(document, one, value, at, &mut wrong);
            wrong.is_empty()
        };
        if all.iter().filter(holds).count() != 1 {
            wrong.push(format!("{at} is not one of {} kinds: {value}", all.len()));
        }
        return;
    }
    let kinds: Vec<&str> = match &schema["type"] {
        Value::String(one) => vec![one],
        Value::Array(several) => several.iter().map(|kind| kind.as_str().unwrap()).collect(),
        _ => Vec::new(),
    };
    if !kinds.is_empty() && !kinds.iter().any(|kind| is(kind, value)) {
        return wrong.push(format!("{at} is not {kinds:?}: {value}"));
    }
    if schema["enum"].as_array().is_some_and(|all| !all.contains(value))
        || schema.get("const").is_some_and(|one| one != value)
    {
        wrong.push(format!("{at} is not in its list: {value}"));
    }
    match value {
        Value::Number(number) => {
            let number = number.as_f64().unwrap();
            let (least, most) = (schema["minimum"].as_f64(), schema["maximum"].as_f64());
            if least.is_some_and(|least| number < least) || most.is_some_and(|most| number > most) {
                wrong.push(format!("{at} is out of its range: {number}"));
            }
        }
        Value::String(text) => {
            if schema["maxLength"].as_u64().is_some_and(|most| text.chars().count() as u64 > most) {
                wrong.push(format!("{at} is too long"));
            }
            if schema["format"] == "uuid" && uuid::Uuid::try_parse(text).is_err() {
                wrong.push(format!("{at} is no id: {text}"));
            }
            if schema["format"] == "date-time" && text.parse::<jiff::Timestamp>().is_err() {
                wrong.push(format!("{at} is no moment: {text}"));
            }
        }
        Value::Array(list) => {
            if schema["maxItems"].as_u64().is_some_and(|most| list.len() as u64 > most) {
                wrong.push(format!("{at} is too long a list"));
            }
            for (number, one) in list.iter().enumerate() {
                let each = schema["prefixItems"].get(number).unwrap_or(&schema["items"]);
                check(document, each, one, &format!("{at}/{number}"), wrong);
            }
        }
        Value::Object(members) => {
            for needed in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
                if !members.contains_key(needed) {
                    wrong.push(format!("{at}/{needed} is missing"));
                }
            }
            for (key, member) in members {
                match schema["properties"].get(key) {
                    Some(known) => check(document, known, member, &format!("{at}/{key}"), wrong),
                    None if schema["additionalProperties"] == false => {
                        wrong.push(format!("{at}/{key} is not foretold"))
                    }
                    None => {}
                }
            }
        }
        Value::Null | Value::Bool(_) => {}
    }
}

fn is(kind: &str, value: &Value) -> bool {
    match kind {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "integer" => value.as_f64().is_some_and(|number| number.fract() == 0.0),
        "number" => value.is_number(),
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        other => panic!("the checker does not know the type {other}"),
    }
}

#[test]
fn the_checker_finds_what_is_wrong() {
    let schema = serde_json::json!({ "type": "object", "required": ["a"], "additionalProperties": false,
        "properties": { "a": { "type": "number", "maximum": 1 }, "b": { "type": ["string", "null"], "enum": ["x", null] } } });
    let wrong = |value: Value| {
        let mut wrong = Vec::new();
        check(&Value::Null, &schema, &value, "", &mut wrong);
        wrong.len()
    };
    assert_eq!(wrong(serde_json::json!({ "a": 1, "b": null })), 0);
    for (bad, faults) in [
        (serde_json::json!({}), 1),
        (serde_json::json!({ "a": 2 }), 1),
        (serde_json::json!({ "a": "1" }), 1),
        (serde_json::json!({ "a": 1, "b": "y" }), 1),
        (serde_json::json!({ "c": 1 }), 2),
        (serde_json::json!([]), 1),
    ] {
        assert_eq!(wrong(bad), faults);
    }
}
