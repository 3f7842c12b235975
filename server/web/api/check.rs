//! Holds what came in against its description. Every fault is told at once, each with its JSON pointer (RFC 6901), what
//! was given and what is allowed.

use jiff::Timestamp;
use jiff::civil::Date;
use keepwell_engine::quantity::Measure;
use serde_json::Map;
use serde_json::Number;
use serde_json::Value;

use crate::model::choice::Choice;
use crate::model::entry::Kind;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::web::api::entry;
use crate::web::api::shape::Member;
use crate::web::api::shape::Must;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Fault;

/// Faults told of one request; who has more has another trouble.
const MOST_FAULTS: usize = 100;
/// A figure from here on is shown as it was written: nobody reads so many digits.
const SAYABLE: f64 = 1e15;
/// As much of a wrong value is shown.
const SHOWN: usize = 60;

/// Checks a value in its place, and writes a whole number that came as `5.0` as the whole number it is.
pub fn check(value: &mut Value, what: &What, at: &str, faults: &mut Vec<Fault>) {
    if faults.len() >= MOST_FAULTS {
        return;
    }
    match (what, &mut *value) {
        (What::Object(object), Value::Object(map)) => members(map, object.members, at, faults),
        (What::New(object), Value::Object(map)) => with_id(map, object, at, faults),
        (What::Patch(object), Value::Object(map)) => patch(map, object, at, faults),
        (What::NewEntry, Value::Object(map)) => new_entry(map, at, faults),
        (What::Batch, Value::Object(map)) => batch(map, at, faults),
        (What::Fields(kind), Value::Object(map)) => members(map, &entry::fields(*kind), at, faults),
        (What::List(each, most), Value::Array(list)) => {
            if list.len() > *most {
                let words = Message::new("{field} holds {count}; allowed are {most} at most.");
                faults.push(fault(
                    at,
                    words.with("count", Arg::Count(list.len() as u64)).with("most", Arg::Count(*most as u64)),
                ));
                return;
            }
            for (number, one) in list.iter_mut().enumerate() {
                check(one, each, &format!("{at}/{number}"), faults);
            }
        }
        (What::Figures(known) | What::FiguresPatch(known), Value::Object(map)) => {
            let known = known();
            let patch = matches!(what, What::FiguresPatch(_));
            for (key, value) in map.iter_mut().filter(|(_, value)| !(patch && value.is_null())) {
                let at = under(at, key);
                match known.iter().find(|(name, _)| name == key) {
                    Some((_, measure)) => figure(value, measure, false, &at, faults),
                    None => {
                        let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
                        faults.push(unknown(&at, &names));
                    }
                }
            }
        }
        (What::Pairs(first, second, most), Value::Array(rows)) => pairs(rows, (first, second, *most), at, faults),
        (What::Figure(measure), value) => figure(value, measure, false, at, faults),
        (What::Whole(measure), value) => figure(value, measure, true, at, faults),
        (What::Count(least, most), value) => count(value, *least, *most, at, faults),
        (_, value) => {
            if let Err(message) = plain(value, what) {
                let given = shown(value);
                faults.push(fault(at, message.with("value", Arg::text(given))));
            }
        }
    }
}

/// What is wrong with a value that has no parts.
fn plain(value: &Value, what: &What) -> Result<(), Message> {
    let text = value.as_str();
    match what {
        What::Id if text.is_some_and(is_id) => Ok(()),
        What::Id => Err(Message::new(
            "{field} is an id, such as 019ced4e-f260-7a31-8c5d-2f0e6b9a4c17, in quotes. You gave {value}.",
        )),
        What::Fresh if text.is_some_and(is_fresh) => Ok(()),
        What::Fresh => Err(Message::new(
            "{field} is an id of your own making: a UUID of version 7, such as 019ced4e-f260-7a31-8c5d-2f0e6b9a4c17. \
             You gave {value}.",
        )),
        What::Name if text.is_some_and(|text| Name::new(text).is_ok() && text.trim() == text) => Ok(()),
        What::Name => Err(Message::new(
            "{field} is text of 1 to 80 characters on one line, without control characters and without spaces around \
             it. You gave {value}.",
        )),
        What::Text(longest) => match text {
            Some(text) if text.chars().count() > *longest => {
                Err(Message::new("{field} has {longest} characters at most. You gave {count}.")
                    .with("longest", Arg::Count(*longest as u64))
                    .with("count", Arg::Count(text.chars().count() as u64)))
            }
            Some(text) if text.chars().any(is_unwritten) => {
                Err(Message::new("{field} holds a control character. Allowed are line breaks and tabs alone."))
            }
            Some(_) => Ok(()),
            None => Err(Message::new("{field} is text, in quotes. You gave {value}.")),
        },
        What::Flag if value.is_boolean() => Ok(()),
        What::Flag => Err(Message::new("{field} is true or false, without quotes. You gave {value}.")),
        What::Choice(options) => {
            let options = options();
            if text.is_some_and(|text| options.iter().any(|(key, _)| *key == text)) {
                return Ok(());
            }
            let allowed: Vec<&str> = options.iter().map(|(key, _)| *key).collect();
            Err(Message::new("{field} is one of: {allowed}. You gave {value}.")
                .with("allowed", Arg::text(allowed.join(", "))))
        }
        What::Moment if text.is_some_and(|text| text.parse::<Timestamp>().is_ok()) => Ok(()),
        What::Moment => Err(Message::new(
            "{field} is a time with its offset, such as 2026-03-14T09:30:00Z, in quotes. You gave {value}.",
        )),
        What::Date if text.is_some_and(|text| text.len() == 10 && text.parse::<Date>().is_ok()) => Ok(()),
        What::Date => Err(Message::new("{field} is a day, such as 2026-03-04, in quotes. You gave {value}.")),
        What::Record if value.is_object() => Ok(()),
        What::List(..) | What::Pairs(..) => Err(Message::new("{field} is a list. You gave {value}.")),
        _ => Err(Message::new("{field} is an object. You gave {value}.")),
    }
}

fn members(map: &mut Map<String, Value>, known: &[Member], at: &str, faults: &mut Vec<Fault>) {
    strangers(map, known, at, faults);
    for member in known {
        let here = under(at, member.key);
        match (map.get_mut(member.key), member.must) {
            (None, Must::Needed) => {
                faults.push(fault(&here, Message::new("{field} is missing.")));
            }
            (None, Must::Usual | Must::Maybe) | (Some(Value::Null), Must::Maybe) => {}
            (Some(value), _) => check(value, &member.what, &here, faults),
        }
    }
}

fn strangers(map: &Map<String, Value>, known: &[Member], at: &str, faults: &mut Vec<Fault>) {
    let strange = map.keys().filter(|key| !known.iter().any(|member| member.key == **key));
    let names: Vec<&str> = known.iter().map(|member| member.key).collect();
    faults.extend(strange.map(|key| unknown(&under(at, key), &names)));
}

/// As it is sent to be kept: the sender may give it an id.
fn with_id(map: &mut Map<String, Value>, object: &Object, at: &str, faults: &mut Vec<Fault>) {
    let mut id = map.remove("id");
    if let Some(id) = &mut id {
        check(id, &What::Fresh, &under(at, "id"), faults);
    }
    members(map, object.members, at, faults);
    if let Some(id) = id {
        map.insert("id".to_owned(), id);
    }
}

/// Members to change; null takes away what there need not be.
fn patch(map: &mut Map<String, Value>, object: &Object, at: &str, faults: &mut Vec<Fault>) {
    strangers(map, object.members, at, faults);
    for member in object.members {
        let here = under(at, member.key);
        match map.get_mut(member.key) {
            None => {}
            Some(Value::Null) if member.must == Must::Maybe => {}
            Some(value) => check(value, &member.what.to_change(), &here, faults),
        }
    }
}

/// The kind decides what else there is.
fn new_entry(map: &mut Map<String, Value>, at: &str, faults: &mut Vec<Fault>) {
    match map.get("kind").and_then(Value::as_str).and_then(Kind::from_key) {
        Some(kind) => members(map, &entry::members(kind), at, faults),
        None => check(
            map.get_mut("kind").unwrap_or(&mut Value::Null),
            &What::Choice(crate::model::choice::options::<Kind>),
            &under(at, "kind"),
            faults,
        ),
    }
}

/// The list alone: each entry has a result of its own.
fn batch(map: &mut Map<String, Value>, at: &str, faults: &mut Vec<Fault>) {
    const RECORDS: &[Member] = &[Member::needed("entries", "", What::List(&What::Record, usize::MAX))];
    members(map, RECORDS, at, faults);
    if map.get("entries").and_then(Value::as_array).is_some_and(Vec::is_empty) {
        faults.push(fault(&under(at, "entries"), Message::new("{field} holds no entry; at least one is needed.")));
    }
}

fn pairs(
    rows: &mut [Value],
    (first, second, most): (&'static Measure, &'static Measure, usize),
    at: &str,
    faults: &mut Vec<Fault>,
) {
    if rows.len() > most {
        let words = Message::new("{field} holds {count}; allowed are {most} at most.");
        let (count, most) = (Arg::Count(rows.len() as u64), Arg::Count(most as u64));
        return faults.push(fault(at, words.with("count", count).with("most", most)));
    }
    for (number, row) in rows.iter_mut().enumerate() {
        let at = format!("{at}/{number}");
        match row.as_array_mut().map(Vec::as_mut_slice) {
            Some([one, other]) => {
                figure(one, first, false, &format!("{at}/0"), faults);
                figure(other, second, false, &format!("{at}/1"), faults);
            }
            _ => faults.push(fault(&at, Message::new("{field} is a list of two numbers."))),
        }
    }
}

fn figure(value: &mut Value, measure: &'static Measure, whole: bool, at: &str, faults: &mut Vec<Fault>) {
    let Value::Number(number) = &*value else {
        let words = Message::new("{field} is a number from {least} to {most}, without quotes. You gave {value}.");
        return faults.push(fault(at, range(words, measure).with("value", Arg::text(shown(value)))));
    };
    let number = number.as_f64().unwrap_or(f64::NAN);
    if whole && number.fract().abs() > 0.0 {
        let words = Message::new("{field} is a whole number. You gave {value}.");
        return faults.push(fault(at, words.with("value", Arg::text(shown(value)))));
    }
    if measure.check(number).is_err() {
        let given = if number.abs() < SAYABLE { Arg::Exact(number, measure.unit) } else { Arg::text(shown(value)) };
        let words = Message::new("{field} is {value}; allowed is {least} to {most}.");
        return faults.push(fault(at, range(words, measure).with("value", given)));
    }
    if whole {
        write_whole(value, number);
    }
}

fn range(words: Message, measure: &'static Measure) -> Message {
    words.with("least", Arg::Exact(measure.min, measure.unit)).with("most", Arg::Exact(measure.max, measure.unit))
}

fn count(value: &mut Value, least: u64, most: u64, at: &str, faults: &mut Vec<Fault>) {
    let number = value.as_number().and_then(Number::as_f64);
    let fits = |number: &f64| number.fract() == 0.0 && (least as f64..=most as f64).contains(number);
    match number.filter(fits) {
        Some(number) => write_whole(value, number),
        None => {
            let words = Message::new("{field} is a whole number from {least} to {most}. You gave {value}.");
            faults.push(fault(
                at,
                words
                    .with("least", Arg::Count(least))
                    .with("most", Arg::Count(most))
                    .with("value", Arg::text(shown(value))),
            ));
        }
    }
}

/// JSON does not tell 5 from 5.0; serde does.
fn write_whole(value: &mut Value, number: f64) {
    if let Ok(whole) = format!("{number:.0}").parse::<i64>() {
        *value = Value::Number(whole.into());
    }
}

fn unknown(at: &str, known: &[&str]) -> Fault {
    let words = Message::new("{field} is not known here. There are: {known}.");
    fault(at, words.with("known", Arg::text(known.join(", "))))
}

/// A fault in its place, which is also what the sentence calls it.
fn fault(at: &str, message: Message) -> Fault {
    let name = at.rsplit(['/', '?']).next().filter(|name| !name.is_empty()).unwrap_or("the body");
    let name = if name.bytes().all(|byte| byte.is_ascii_digit()) { at } else { name };
    Fault {
        field: Some(at.to_owned()),
        detail: message.with("field", Arg::text(name.replace("~1", "/").replace("~0", "~"))),
    }
}

/// The pointer to a member (RFC 6901, section 3: `~` and `/` are escaped).
pub fn under(at: &str, key: &str) -> String {
    let key: String = key.chars().take(SHOWN).collect();
    if at == "?" { format!("?{key}") } else { format!("{at}/{}", key.replace('~', "~0").replace('/', "~1")) }
}

fn shown(value: &Value) -> String {
    let text = value.to_string();
    if text.chars().count() <= SHOWN {
        return text;
    }
    text.chars().take(SHOWN).chain(['…']).collect()
}

fn is_id(text: &str) -> bool {
    text.len() == 36 && uuid::Uuid::try_parse(text).is_ok()
}

fn is_fresh(text: &str) -> bool {
    let id = uuid::Uuid::try_parse(text).ok().filter(|_| text.len() == 36);
    id.is_some_and(|id| id.get_version_num() == 7 && id.get_variant() == uuid::Variant::RFC4122)
}

/// A control character that is neither a line break nor a tab.
fn is_unwritten(letter: char) -> bool {
    matches!(letter, '\u{0}'..='\u{8}' | '\u{b}' | '\u{c}' | '\u{e}'..='\u{1f}' | '\u{7f}')
}
