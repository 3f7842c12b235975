//! Rows of levels that were read.

use serde_json::Value;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::Kind;
use crate::model::entry::fields::Field;
use crate::model::entry::fields::Values;
use crate::model::entry::fields::What;
use crate::model::entry::reading;
use crate::model::entry::reading::Method;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::body::Body;
use crate::service::import::draft::ANYWHERE;
use crate::service::import::draft::Draft;
use crate::service::import::draft::Found;
use crate::service::import::draft::Waiting;
use crate::service::import::heading::plain_name;
use crate::service::import::row::Row;
use crate::service::import::row::none_of;
use crate::service::import::sites;
use crate::service::import::wall;

pub fn read(row: &mut Row<'_>, draft: &mut Draft) {
    let vessel = vessel(row, draft);
    if row.text("time").is_empty() {
        row.missing("time");
    }
    let at = row.moment("time");
    let mut values = Values::new();
    for field in reading::FIELDS {
        if let Some(value) = value(row, field) {
            values.insert(field.key.to_owned(), value);
        }
    }
    if values.contains_key("from") && !values.contains_key("depth_m") && row.text("depth_m").is_empty() {
        row.fault("from", Message::new("Only a depth is measured from somewhere: give one, or leave this empty."));
    }
    // What a cell has been blamed for already is not said again of the reading as a whole.
    if !row.is_sound() {
        return;
    }
    if let Some(method) = usual_method(&values)
        && row.text("method").is_empty()
    {
        values.insert("method".to_owned(), Value::from(method.key()));
    }
    if !values.contains_key("method") {
        let none = "Give the depth, the part of full, the volume, the meter or the full containers.";
        row.fault("depth_m", Message::new(none));
        return;
    }
    let act = match Act::parse(Kind::Reading, values) {
        Ok(act) => act,
        Err(problems) => {
            problems.into_iter().for_each(|problem| row.fault(problem.field, problem.message));
            return;
        }
    };
    let (Some(vessel), Some(at)) = (vessel, at) else { return };
    let item = &draft.vessels.items[vessel];
    if !item.broken
        && let (Act::Reading(reading), Ok(body)) = (&act, Body::of(&item.thing))
        && let Err((key, message)) = wall::of_reading(&body.shape, reading)
    {
        row.fault(key, message);
        return;
    }
    let (site, spot) = (item.thing.site, row.spot("time"));
    draft.waiting.push(Waiting { site, vessel: Some(vessel), at, act, spot, counted: |counts| &mut counts.readings });
}

/// The vessel the row names: of its site or, where it names none, of the neighbourhood.
fn vessel(row: &mut Row<'_>, draft: &Draft) -> Option<usize> {
    let name = row.text("vessel");
    if name.is_empty() {
        row.missing("vessel");
    }
    let site = row.text("site");
    let within = if site.is_empty() { ANYWHERE } else { draft.sites.items[sites::named(row, draft)?].thing.id.uuid() };
    if name.is_empty() {
        return None;
    }
    match draft.vessels.find(within, name) {
        Found::One(at) => return Some(at),
        Found::Several if within == ANYWHERE => {
            let message = Message::new("Several vessels are called “{name}”: say in a column “site” which is meant.");
            row.fault("vessel", message.with("name", Arg::text(name)));
        }
        Found::None if draft.has_gaps => {}
        Found::None => row.fault(
            "vessel",
            Message::new("There is no vessel “{name}” here: it has to be kept already or stand in the same import.")
                .with("name", Arg::text(name)),
        ),
        found => row.fault("vessel", sites::unusable(found, "vessels", name)),
    }
    None
}

/// A cell as the value of that field.
fn value(row: &mut Row<'_>, field: &Field) -> Option<Value> {
    let text = row.text(field.key);
    if text.is_empty() {
        return None;
    }
    match field.what {
        What::Figure(_) => row.figure(field.key).map(Value::from),
        What::Whole(_) => row.whole(field.key).map(Value::from),
        What::Flag => row.flag(field.key).map(Value::from),
        What::Date => row.day(field.key).map(|day| Value::from(day.to_string())),
        What::Text(_) | What::Ref(_) => Some(Value::from(text)),
        What::Choice(options) => {
            let (options, text) = (options(), plain_name(text));
            let found = options.iter().find(|option| plain_name(option.0) == text || plain_name(option.1) == text);
            if found.is_none() {
                let allowed: Vec<String> = options.iter().map(|option| option.0.replace('_', " ")).collect();
                row.fault(field.key, none_of(field.label, row.text(field.key), &allowed));
            }
            found.map(|option| Value::from(option.0))
        }
    }
}

/// How such a figure is usually come by, where the row does not say.
fn usual_method(values: &Values) -> Option<Method> {
    let usual = [
        ("depth_m", Method::Dipstick),
        ("part", Method::Eye),
        ("litres", Method::SightGlass),
        ("meter_l", Method::Meter),
        ("full", Method::Counted),
    ];
    usual.into_iter().find(|(key, _)| values.contains_key(*key)).map(|(_, method)| method)
}
