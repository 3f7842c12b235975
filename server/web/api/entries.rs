//! The ledger: entries listed, logged one by one or many at once, and what would be believed if one were logged.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::response::Response;
use jiff::Timestamp;
use serde::Deserialize;
use serde::Serialize;
use serde_json::Value;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::Kind;
use crate::model::entry::fields::Values;
use crate::model::id::EntryId;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::service;
use crate::service::entries::Listed;
use crate::service::entries::New;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::answer::Page;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::client::Sent;
use crate::web::api::client::typed_as;
use crate::web::api::cursor;
use crate::web::api::kept::USUAL_PAGE;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::shape::AFTER;
use crate::web::api::shape::LIMIT;
use crate::web::api::shape::Member;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::Path;

const LIST: &str = "/api/v1/entries";
const ONE: &str = "/api/v1/entries/{id}";

const ASKS: [Member; 4] = [
    Member::maybe("site", "only those about this site; a keeper names one", What::Id),
    Member::maybe("vessel", "only those about this vessel", What::Id),
    AFTER,
    LIMIT,
];

pub fn routes() -> Api {
    Api::new()
        .add(
            Operation::get(LIST, "listEntries", "Entries, the newest first", What::Page(&What::Entry))
                .asking(&ASKS)
                .saying("By when they happened. An entry that was declared void stands among them, with its reason."),
            list,
        )
        .add(
            Operation::post(LIST, "logEntry", "Logs an entry", What::NewEntry, What::Entry).saying(
                "The same entry sent again, by its id, is answered with 200 as the first time. The same id with other \
                 content is refused. A wrong entry is voided by another, of the kind void.",
            ),
            log,
        )
        .add(Operation::get(ONE, "getEntry", "One entry", What::Entry), read)
}

/// An entry as it is answered.
#[derive(Debug, Serialize)]
pub struct Shown {
    id: EntryId,
    kind: &'static str,
    at: Timestamp,
    site: Option<SiteId>,
    vessel: Option<VesselId>,
    fields: Value,
    arrived: Timestamp,
    /// who says so
    person: Option<PersonId>,
    voided: Option<Voided>,
}

#[derive(Debug, Serialize)]
struct Voided {
    entry: EntryId,
    reason: String,
}

impl Shown {
    /// # Errors
    /// Never for an entry of the ledger: its figures are finite.
    pub fn of(listed: &Listed) -> Result<Self, Error> {
        let entry = &listed.entry;
        let voided = listed.voided.as_ref().map(|void| Voided {
            entry: void.id,
            reason: match &void.act {
                Act::Void(void) => void.reason.clone(),
                _ => String::new(),
            },
        });
        Ok(Self {
            id: entry.id,
            kind: entry.act.kind().key(),
            at: entry.at,
            site: entry.site,
            vessel: entry.vessel,
            fields: entry.act.to_json().map_err(Error::internal)?,
            arrived: entry.arrived,
            person: entry.by,
            voided,
        })
    }
}

/// An entry as it came in, checked against its description.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Given {
    id: EntryId,
    kind: String,
    at: Timestamp,
    site: Option<SiteId>,
    vessel: Option<VesselId>,
    fields: Values,
}

/// # Errors
/// What the kind itself refuses.
pub fn entry(sent: Value) -> Result<New, Error> {
    let given: Given = typed_as(sent)?;
    let kind = Kind::from_key(&given.kind)
        .ok_or_else(|| Error::invalid("/kind", Message::new("There is no such kind of entry.")))?;
    let act = Act::parse(kind, given.fields).map_err(|problems| placed(service::Error::Invalid(problems)))?;
    Ok(New { id: given.id, site: given.site, vessel: given.vessel, at: given.at, act })
}

/// A refusal of the service, with its fields as pointers: an entry's own are at its head, the kind's are among `fields`.
pub fn placed(refusal: service::Error) -> Error {
    match Error::from(refusal) {
        Error::Invalid(faults) => {
            let point = |fault: Fault| {
                let pointer = match fault.field.as_deref() {
                    None | Some("") => "/fields".to_owned(),
                    Some(head @ ("at" | "site" | "vessel")) => format!("/{head}"),
                    Some(field) => format!("/fields/{field}"),
                };
                Fault { field: Some(pointer), ..fault }
            };
            Error::Invalid(faults.into_iter().map(point).collect())
        }
        error => error,
    }
}

#[derive(Debug, Deserialize)]
struct Question {
    site: Option<SiteId>,
    vessel: Option<VesselId>,
    after: Option<String>,
    limit: Option<usize>,
}

async fn list(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    let tag = answer::tag(&house, &client, &uri)?;
    if let Some(held) = tag.held(&house, &headers) {
        return Ok(answer::varied(held));
    }
    // Who asks for a vessel asks for the site it stands at.
    let site = match (asked.site, asked.vessel) {
        (None, Some(vessel)) => Some(house.app.vessel(&client.caller, vessel)?.site.site.id),
        (site, _) => site,
    };
    let name = format!("{LIST} {:?} {:?}", asked.site, asked.vessel);
    let before = match &asked.after {
        None => None,
        Some(cursor) => {
            let id = EntryId::from_uuid(cursor::read(&name, cursor)?);
            Some(house.app.entry(&client.caller, id).map_err(|_| Error::ForeignCursor)?.entry.id)
        }
    };
    let limit = asked.limit.unwrap_or(USUAL_PAGE);
    let most = i64::try_from(limit).unwrap_or(i64::MAX).saturating_add(1);
    let mut found = house.app.entries(&client.caller, site, asked.vessel, before, most).await?;
    let more = found.len() > limit;
    found.truncate(limit);
    let next = found.last().filter(|_| more).map(|last| {
        let mut question = Vec::new();
        question.extend(asked.site.map(|site| ("site", site.to_string())));
        question.extend(asked.vessel.map(|vessel| ("vessel", vessel.to_string())));
        question.push(("limit", limit.to_string()));
        cursor::next(LIST, &question, &cursor::after(&name, last.entry.id.uuid()))
    });
    let items = found.iter().map(Shown::of).collect::<Result<Vec<_>, Error>>()?;
    Ok(answer::varied(tag.dress(answer::page(&Page { items, next })?)))
}

async fn read(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Path(id): Path<EntryId>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || Shown::of(&house.app.entry(&client.caller, id)?))
}

async fn log(State(house): State<House>, client: Client, Sent(sent): Sent) -> Result<Response, Error> {
    let caller = client.still(&house)?;
    let new = entry(sent)?;
    let (listed, stored) = house.app.log_once(&caller, new).await.map_err(placed)?;
    let status = match stored {
        service::entries::Stored::New => StatusCode::CREATED,
        service::entries::Stored::Again => StatusCode::OK,
    };
    let location = ONE.replace("{id}", &listed.entry.id.to_string());
    answer::at(answer::json(status, &Shown::of(&listed)?)?, &location)
}
