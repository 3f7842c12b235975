//! Things of the set-up: every noun is listed, made, read and changed in the same way. What a thing is made of is its
//! type in the model, the same JSON that the record of changes holds; the description beside it says what may come in.

use core::ops::Bound;
use std::collections::BTreeMap;

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Method;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::response::Response;
use serde::Deserialize;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use uuid::Uuid;

use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::answer::Page;
use crate::web::api::check::check;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::client::Sent;
use crate::web::api::client::typed_as;
use crate::web::api::cursor;
use crate::web::api::operation::Api;
use crate::web::api::operation::Operation;
use crate::web::api::shape::AFTER;
use crate::web::api::shape::LIMIT;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::Path;

/// How many are answered at once where no limit is asked for.
pub const USUAL_PAGE: usize = 100;

const OF_SITE: Member = Member::maybe("site", "only those at this site", What::Id);

/// One noun of the set-up.
pub trait Noun: Serialize + DeserializeOwned + Clone + PartialEq + Send + Sync + 'static {
    /// What its ids are of.
    type Of: Ord + Clone + Send + Sync + 'static;
    /// How it stands in a list.
    type Line: Serialize + Send;
    /// `/api/v1/sites`
    const LIST: &'static str;
    /// `/api/v1/sites/{id}`
    const ONE: &'static str;
    /// "Site", "Sites": in the names of operations
    const NAMES: (&'static str, &'static str);
    /// "site", "sites": in sentences
    const WORDS: (&'static str, &'static str);
    const BODY: &'static Object;
    const LINE: &'static Object;
    /// What one has to be allowed, to see it whole and to see it in a list.
    const SEE: (Deed, Deed);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<Self::Of>, Kept<Self>>;
    fn line(kept: &Kept<Self>) -> Self::Line;
    fn thing(self) -> Thing;
    /// The site it stands at.
    fn site(&self) -> Option<SiteId> {
        None
    }
    /// What its description alone cannot say.
    fn faults(&self) -> Vec<Fault> {
        Vec::new()
    }
}

/// A thing as it is answered.
#[derive(Debug, Serialize)]
pub struct Shown<'a, N> {
    #[serde(flatten)]
    pub thing: &'a N,
    pub revision: i64,
}

pub fn routes<N: Noun>() -> Api {
    let (name, names) = N::NAMES;
    let (one, many) = N::WORDS;
    let is_of_site = N::BODY.members.iter().any(|member| member.key == "site");
    let asks: &[Member] = if is_of_site { &[OF_SITE, AFTER, LIMIT] } else { &[AFTER, LIMIT] };
    let line: &'static What = const { &What::Object(N::LINE) };
    let (body, new, patch, shown) =
        (What::Object(N::BODY), What::New(N::BODY), What::Patch(N::BODY), What::Kept(N::BODY));
    Api::new()
        .add(
            Operation::get(N::LIST, format!("list{names}"), format!("The {many}"), What::Page(line)).asking(asks),
            list::<N>,
        )
        .add(
            Operation::post(N::LIST, format!("add{name}"), format!("Adds a {one}"), new, shown).saying(
                "With an id of the sender's own, the same sent again is answered with 200 and changes nothing.",
            ),
            add::<N>,
        )
        .add(Operation::get(N::ONE, format!("get{name}"), format!("One {one}, as it is kept"), shown), read::<N>)
        .add(
            Operation::change(
                Method::PUT,
                N::ONE,
                format!("put{name}"),
                format!("Puts another {one} in its place"),
                body,
                shown,
            ),
            put::<N>,
        )
        .add(
            Operation::change(
                Method::PATCH,
                N::ONE,
                format!("change{name}"),
                format!("Changes members of a {one}"),
                patch,
                shown,
            )
            .saying("A merge patch (RFC 7396): null takes a member away."),
            change::<N>,
        )
}

#[derive(Debug, Deserialize)]
struct Question {
    site: Option<SiteId>,
    after: Option<String>,
    limit: Option<usize>,
}

async fn list<N: Noun>(
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
    if let Some(site) = asked.site {
        client.caller.may(Deed::SeeSite, Some(site))?;
    }
    let name = format!("{} {:?}", N::LIST, asked.site);
    let from = match &asked.after {
        Some(cursor) => Bound::Excluded(Id::from_uuid(cursor::read(&name, cursor)?)),
        None => Bound::Unbounded,
    };
    let limit = asked.limit.unwrap_or(USUAL_PAGE);
    let picture = house.app.picture();
    let seen = |kept: &&Kept<N>| {
        let site = kept.thing.site();
        asked.site.is_none_or(|asked| site == Some(asked)) && client.caller.can(N::SEE.1, site)
    };
    if N::SEE.1 == Deed::Coordinate {
        client.caller.may(Deed::Coordinate, None)?;
    }
    if let Bound::Excluded(id) = &from
        && !N::all(&picture.set_up).contains_key(id)
    {
        return Err(Error::ForeignCursor);
    }
    let range = N::all(&picture.set_up).range((from, Bound::Unbounded));
    let mut found = range.filter(|(_, kept)| seen(kept)).take(limit + 1).collect::<Vec<_>>();
    let more = found.len() > limit;
    found.truncate(limit);
    let next = found.last().filter(|_| more).map(|(id, _)| {
        let mut question = Vec::new();
        question.extend(asked.site.map(|site| ("site", site.to_string())));
        question.push(("limit", limit.to_string()));
        cursor::next(N::LIST, &question, &cursor::after(&name, id.uuid()))
    });
    let items = found.into_iter().map(|(_, kept)| N::line(kept)).collect();
    Ok(answer::varied(tag.dress(answer::page(&Page { items, next })?)))
}

/// The thing of that id, if the client may see it whole.
fn find<N: Noun>(house: &House, client: &Client, id: Uuid) -> Result<Kept<N>, Error> {
    let missing = || service::Error::NotFound(N::WORDS.0);
    if N::SEE.0 == Deed::Coordinate {
        client.caller.may(Deed::Coordinate, None)?;
    }
    let kept = N::all(&house.app.picture().set_up).get(&Id::from_uuid(id)).cloned().ok_or_else(missing)?;
    client.caller.may(N::SEE.0, kept.thing.site()).map_err(|refusal| match refusal {
        service::Error::NotFound(_) => missing(),
        refusal => refusal,
    })?;
    Ok(kept)
}

async fn read<N: Noun>(
    State(house): State<House>,
    client: Client,
    headers: HeaderMap,
    Path(id): Path<Uuid>,
) -> Result<Response, Error> {
    let kept = find::<N>(&house, &client, id)?;
    if let Some(held) = answer::held(&headers, kept.revision)? {
        return Ok(held);
    }
    shown(StatusCode::OK, &kept, None)
}

fn shown<N: Noun>(status: StatusCode, kept: &Kept<N>, location: Option<&str>) -> Result<Response, Error> {
    let shown = Shown { thing: &*kept.thing, revision: kept.revision };
    answer::kept(status, &shown, kept.revision, location)
}

/// A body that was checked, as the thing of that id.
fn made<N: Noun>(id: Uuid, body: &Value) -> Result<N, Error> {
    let mut body = body.clone();
    body["id"] = id.to_string().into();
    let thing: N = typed_as(body)?;
    let faults = thing.faults();
    if faults.is_empty() { Ok(thing) } else { Err(Error::Invalid(faults)) }
}

async fn add<N: Noun>(State(house): State<House>, client: Client, Sent(mut sent): Sent) -> Result<Response, Error> {
    let caller = client.still(&house)?;
    let id = match sent.as_object_mut().and_then(|map| map.remove("id")) {
        Some(id) => typed_as::<Uuid>(id)?,
        None => Uuid::now_v7(),
    };
    let thing = made::<N>(id, &sent)?;
    let location = N::ONE.replace("{id}", &id.to_string());
    let there = N::all(&house.app.picture().set_up).get(&Id::from_uuid(id)).cloned();
    if let Some(there) = there {
        client.caller.may(N::SEE.0, there.thing.site())?;
        if *there.thing == thing {
            return shown(StatusCode::OK, &there, Some(&location));
        }
        let words = Message::new("There is a {noun} of the id {id} already, and it is not the same.");
        return Err(Error::Conflict(words.with("noun", Arg::Word(N::WORDS.0)).with("id", Arg::text(id.to_string()))));
    }
    let revision = house.app.keep(&caller, thing.clone().thing(), None).await.map_err(|refusal| match refusal {
        // Of another noun, or made at the same moment by another.
        service::Error::Stale => Error::Conflict(
            Message::new("The id {id} is that of something else.").with("id", Arg::text(id.to_string())),
        ),
        refusal => told(refusal, &sent),
    })?;
    shown(StatusCode::CREATED, &Kept { thing: thing.into(), revision }, Some(&location))
}

async fn put<N: Noun>(
    State(house): State<House>,
    client: Client,
    headers: HeaderMap,
    Path(id): Path<Uuid>,
    Sent(sent): Sent,
) -> Result<Response, Error> {
    let kept = find::<N>(&house, &client, id)?;
    keep(&house, &client, &headers, &kept, id, &sent).await
}

async fn change<N: Noun>(
    State(house): State<House>,
    client: Client,
    headers: HeaderMap,
    Path(id): Path<Uuid>,
    Sent(sent): Sent,
) -> Result<Response, Error> {
    let kept = find::<N>(&house, &client, id)?;
    let merged = patched(&*kept.thing, sent, N::BODY)?;
    keep(&house, &client, &headers, &kept, id, &merged).await
}

async fn keep<N: Noun>(
    house: &House,
    client: &Client,
    headers: &HeaderMap,
    kept: &Kept<N>,
    id: Uuid,
    sent: &Value,
) -> Result<Response, Error> {
    let caller = client.still(house)?;
    let began_from = matching(headers, kept.revision)?;
    let thing = made::<N>(id, sent)?;
    let revision = house.app.keep(&caller, thing.clone().thing(), Some(began_from)).await;
    let revision = revision.map_err(|refusal| told(refusal, sent))?;
    shown(StatusCode::OK, &Kept { thing: thing.into(), revision }, None)
}

/// The revision that a change began from, which must be the newest.
///
/// # Errors
/// It is not, or none was named.
pub fn matching(headers: &HeaderMap, newest: i64) -> Result<i64, Error> {
    let began_from = answer::began_from(headers)?;
    if began_from == newest {
        return Ok(began_from);
    }
    let words =
        Message::new("It stands at {newest} by now; the change began from {began}. Read it again, then change it.");
    let tag = |revision| Arg::text(answer::revision_tag(revision));
    Err(Error::Stale(words.with("newest", tag(newest)).with("began", tag(began_from))))
}

/// A thing with a merge patch over it (RFC 7396), checked as a whole.
///
/// # Errors
/// What does not hold then.
pub fn patched(thing: &impl Serialize, patch: Value, body: &'static Object) -> Result<Value, Error> {
    let mut whole = serde_json::to_value(thing).map_err(Error::internal)?;
    if let Some(members) = whole.as_object_mut() {
        members.remove("id");
    }
    merge(&mut whole, patch);
    let mut faults = Vec::new();
    check(&mut whole, &What::Object(body), "", &mut faults);
    if faults.is_empty() { Ok(whole) } else { Err(Error::Invalid(faults)) }
}

fn merge(target: &mut Value, patch: Value) {
    let Value::Object(patch) = patch else {
        *target = patch;
        return;
    };
    if !target.is_object() {
        *target = Value::Object(serde_json::Map::new());
    }
    let Some(members) = target.as_object_mut() else { return };
    for (key, value) in patch {
        if value.is_null() {
            members.remove(&key);
        } else {
            merge(members.entry(key).or_insert(Value::Null), value);
        }
    }
}

/// A refusal of the service, with its fields as pointers into what was sent.
pub fn told(refusal: service::Error, sent: &Value) -> Error {
    match Error::from(refusal) {
        Error::Invalid(faults) => {
            let placed = |fault: Fault| {
                let pointer = pointer(fault.field.as_deref().unwrap_or_default(), sent);
                Fault { field: Some(pointer), ..fault }
            };
            Error::Invalid(faults.into_iter().map(placed).collect())
        }
        error => error,
    }
}

/// Where in the body a field of the service stands: at its head, or in an object within.
fn pointer(field: &str, sent: &Value) -> String {
    if field.is_empty() {
        return String::new();
    }
    let within = sent.as_object().and_then(|members| {
        members.iter().find(|(_, value)| value.get(field).is_some()).map(|(key, _)| format!("/{key}/{field}"))
    });
    match within {
        Some(within) if sent.get(field).is_none() => within,
        // a way of drawing, as the form of a vessel calls its height
        None if matches!(field, "pump_m" | "gravity_m" | "dip_m") => "/draws".to_owned(),
        None if field.ends_with("_m") && sent.get(field).is_none() && sent.get("dimensions").is_some() => {
            format!("/dimensions/{field}")
        }
        _ => format!("/{field}"),
    }
}
