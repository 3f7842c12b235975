//! One entry in full, and the one way to take it back: declaring it void, with a reason. It stays visible.

use std::sync::Arc;

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use jiff::Timestamp;
use serde_json::Value;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::fields::Field as Spec;
use crate::model::entry::fields::What;
use crate::model::id::EntryId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::entries::Listed;
use crate::service::entries::New;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::pages::entries::line;
use crate::web::pages::log::change;
use crate::web::pages::log::log_once;
use crate::web::visitor::Visitor;

#[derive(Template)]
#[template(path = "entries/show.html")]
struct Show {
    chrome: Chrome,
    id: EntryId,
    line: Message,
    kind: &'static str,
    at: Timestamp,
    arrived: Timestamp,
    by: Option<String>,
    /// site and vessel: address and name
    places: Vec<(String, String)>,
    fields: Vec<(&'static str, Message)>,
    void: Option<Voided>,
    /// the form that voids it, where the visitor may
    form: Option<VoidForm>,
}

/// Who declared it void, when and why.
struct Voided {
    id: EntryId,
    at: Timestamp,
    by: Option<String>,
    reason: String,
}

struct VoidForm {
    id: String,
    will: Vec<Message>,
    field: Field,
}

/// `GET /entries/{id}`
pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<EntryId>,
) -> Result<Response, Error> {
    let listed = house.app.entry(&visitor.caller, id)?;
    view(&house, &visitor, &listed, None)
}

fn view(
    house: &House,
    visitor: &Visitor,
    listed: &Listed,
    typed: Option<(&FormData, String)>,
) -> Result<Response, Error> {
    let (entry, reader, picture) = (&listed.entry, &visitor.reader, house.app.picture());
    let person = |by: &Entry| {
        let kept = by.by.and_then(|by| picture.set_up.people.get(&by));
        kept.map(|kept| kept.thing.name.to_string())
    };
    let void = listed.voided.as_ref().map(|void| Voided {
        id: void.id,
        at: void.at,
        by: person(void),
        reason: if let Act::Void(act) = &void.act { act.reason.clone() } else { String::new() },
    });
    let mut places = Vec::new();
    if let Some(site) = entry.site.and_then(|site| picture.set_up.sites.get(&site)) {
        places.push((format!("/sites/{}", site.thing.id), site.thing.name.to_string()));
    }
    if let Some(vessel) = entry.vessel.and_then(|vessel| picture.set_up.vessels.get(&vessel)) {
        places.push((format!("/vessels/{}", vessel.thing.id), vessel.thing.name.to_string()));
    }
    let deed = if entry.site.is_some() { Deed::Log } else { Deed::LogSupply };
    let form = (void.is_none() && visitor.caller.can(deed, entry.site)).then(|| {
        let label = reader.word("What was wrong with it");
        let field = Field::new("reason", label, Control::Text { autocomplete: "off" });
        let typed_id = typed.as_ref().and_then(|(typed, _)| typed.get("id")).filter(|id| id.parse::<EntryId>().is_ok());
        VoidForm {
            id: typed_id.map_or_else(|| EntryId::fresh().to_string(), str::to_owned),
            will: will(&picture, entry, house),
            field: match &typed {
                Some((typed, error)) => field.value(typed.get("reason").unwrap_or_default()).error(Some(error.clone())),
                None => field,
            },
        }
    });
    let template = Show {
        chrome: visitor.chrome(Place::None),
        id: entry.id,
        line: line(entry, &picture),
        kind: entry.act.kind().label(),
        at: entry.at,
        arrived: entry.arrived,
        by: person(entry),
        places,
        fields: fields(entry, &picture)?,
        void,
        form,
    };
    let answer = page(reader, template)?;
    let status = if typed.is_some() { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    Ok((status, answer).into_response())
}

/// What voiding it would change of its vessel.
fn will(picture: &Picture, entry: &Arc<Entry>, house: &House) -> Vec<Message> {
    if matches!(entry.act, Act::Void(_)) {
        return vec![Message::new("The entry that it declared void will count again.")];
    }
    let Some((_, with)) = entry.vessel.and_then(|vessel| picture.vessel(vessel)) else {
        return vec![Message::new("It will stay visible, struck through, and count no more.")];
    };
    let now = house.app.now();
    let without = with.without(std::slice::from_ref(entry), &picture.sources);
    let name = Arg::text(with.vessel.name.as_str());
    let mut words =
        vec![Message::new("It will stay visible, struck through, and count no more. {vessel}:").with("vessel", name)];
    words.extend(change(with, &without, &[], now));
    words
}

/// The entry's own fields, as they are kept.
fn fields(entry: &Entry, picture: &Picture) -> Result<Vec<(&'static str, Message)>, Error> {
    let json = entry.act.to_json().map_err(Error::internal)?;
    let given = |spec: &'static Spec| Some((spec, json.get(spec.key)?)).filter(|(_, value)| !value.is_null());
    let shown = |(spec, value): (&'static Spec, &Value)| (spec.label, said(spec, value, picture));
    Ok(entry.act.kind().fields().iter().filter_map(given).map(shown).collect())
}

fn said(spec: &Spec, value: &Value, picture: &Picture) -> Message {
    let text = || value.as_str().unwrap_or_default();
    let one = |arg: Arg| Message::new("{value}").with("value", arg);
    match spec.what {
        What::Figure(measure) | What::Whole(measure) => {
            one(value.as_f64().map_or(Arg::Word("unknown"), |figure| Arg::Exact(figure, measure.unit)))
        }
        What::Choice(options) => {
            let label = options().into_iter().find(|option| option.0 == text()).map(|option| option.1);
            label.map_or_else(|| one(Arg::text(text())), Message::new)
        }
        What::Flag => Message::new(if value.as_bool() == Some(true) { "yes" } else { "no" }),
        What::Text(_) => one(Arg::text(text())),
        What::Date => text().parse().map_or_else(|_| one(Arg::text(text())), |date| one(Arg::Date(date))),
        What::Ref(_) => one(name_of(text(), picture)),
    }
}

/// The name of whatever has that id.
fn name_of(id: &str, picture: &Picture) -> Arg {
    let set_up = &picture.set_up;
    let Ok(id) = id.parse::<uuid::Uuid>() else { return Arg::text(id) };
    let names = [
        set_up.vessels.values().find(|kept| kept.thing.id.uuid() == id).map(|kept| kept.thing.name.to_string()),
        set_up.banks.values().find(|kept| kept.thing.id.uuid() == id).map(|kept| kept.thing.name.to_string()),
        set_up.sources.values().find(|kept| kept.thing.id.uuid() == id).map(|kept| kept.thing.name.to_string()),
        set_up.generators.values().find(|kept| kept.thing.id.uuid() == id).map(|kept| kept.thing.name.to_string()),
        set_up.fuel_stores.values().find(|kept| kept.thing.id.uuid() == id).map(|kept| kept.thing.name.to_string()),
        set_up.stages.values().find(|kept| kept.thing.id.uuid() == id).map(|kept| kept.thing.name.to_string()),
    ];
    Arg::text(names.into_iter().flatten().next().unwrap_or_else(|| id.to_string()))
}

/// `POST /entries/{id}/void`
pub(super) async fn void(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<EntryId>,
    typed: FormData,
) -> Result<Response, Error> {
    let app = &house.app;
    let listed = app.entry(&visitor.caller, id)?;
    let from_log = typed.get("from") == Some("log");
    let back = if from_log { format!("/log/done/{id}") } else { format!("/entries/{id}") };
    if listed.voided.is_some() {
        return Ok(Redirect::to(&back).into_response());
    }
    let reason = typed.get("reason").unwrap_or_default().trim().to_owned();
    let again = |error: Message| {
        let error = visitor.reader.say(&error).to_string();
        view(&house, &visitor, &listed, Some((&typed, error)))
    };
    if reason.is_empty() {
        return again(Message::new("Say what was wrong with it."));
    }
    // A reading that was logged in one with a fill goes with it.
    let also = typed.all("also").zip(typed.all("also_id"));
    let pairs = [(id.to_string(), typed.get("id").unwrap_or_default().to_owned())];
    let pairs = pairs.into_iter().chain(also.map(|(entry, id)| (entry.to_owned(), id.to_owned())));
    let mut new = Vec::new();
    for (entry, number) in pairs {
        let (Ok(entry), Ok(number)) = (entry.parse(), number.parse()) else {
            return again(Message::new("The form came without its number. Open the page again."));
        };
        let mut values = serde_json::Map::new();
        values.insert("entry".to_owned(), EntryId::to_string(&entry).into());
        values.insert("reason".to_owned(), reason.clone().into());
        let act = match Act::parse(crate::model::entry::Kind::Void, values) {
            Ok(act) => act,
            Err(problems) => {
                let first = problems.into_iter().next().map(|problem| problem.message);
                return again(first.unwrap_or(Message::new("Say what was wrong with it.")));
            }
        };
        new.push(New { id: number, site: None, vessel: None, at: app.instant(), act });
    }
    match log_once(app, &visitor.caller, new, true).await {
        Ok(()) => Ok(Redirect::to(&back).into_response()),
        Err(service::Error::Invalid(problems)) => {
            let first = problems.into_iter().next().map(|problem| problem.message);
            again(first.unwrap_or(Message::new("It cannot be voided.")))
        }
        Err(error) => Err(error.into()),
    }
}
