//! Who asks, what they ask, and what they send: the three things a handler of the API takes from a request. Whatever is
//! wrong with them is said as problem details, against the description of the operation.

use std::sync::Arc;

use axum::extract::FromRequest;
use axum::extract::FromRequestParts;
use axum::extract::Request;
use axum::http::HeaderMap;
use axum::http::header;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;
use serde_json::Map;
use serde_json::Value;

use crate::model::id::TokenId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::Caller;
use crate::web::House;
use crate::web::api::check::check;
use crate::web::api::operation::Operation;
use crate::web::api::read;
use crate::web::api::shape::BATCH;
use crate::web::api::shape::What;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::Pairs;
use crate::web::extract::body;
use crate::web::extract::is_media;
use crate::web::reader::Reader;
use crate::web::session;

/// Who asks: by a token, or in a browser by the session of a person. A token that is not good is never made up for by a
/// session.
#[derive(Clone, Debug)]
pub struct Client {
    pub caller: Caller,
    /// the token it came by
    pub token: Option<TokenId>,
    pub reader: Reader,
}

impl FromRequestParts<House> for Client {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, house: &House) -> Result<Self, Error> {
        let reader = Reader::from_request_parts(parts, house).await?;
        let (caller, token) = if parts.headers.contains_key(header::AUTHORIZATION) {
            let secret = bearer(&parts.headers).ok_or(Error::BadToken)?;
            let bearer = house.app.bearer(secret).await?.ok_or(Error::BadToken)?;
            (bearer.caller, Some(bearer.token.id))
        } else {
            let caller = house.app.caller(session::read(&parts.headers).as_deref()).await?;
            if matches!(caller, Caller::Nobody) {
                return Err(Error::SignInNeeded { next: String::new() });
            }
            (caller, None)
        };
        house.app.allow_caller(&caller, token)?;
        let client = Self { caller, token, reader };
        prepare(parts)?;
        Ok(client)
    }
}

impl Client {
    /// Who asks now: a token may have been revoked while its request was still on its way.
    ///
    /// # Errors
    /// It was.
    pub fn still(&self, house: &House) -> Result<Caller, Error> {
        match self.token {
            None => Ok(self.caller.clone()),
            Some(token) => house.app.bearer_of(token).map(|bearer| bearer.caller).ok_or(Error::BadToken),
        }
    }

    /// What tells this client from another, for the tag of an answer.
    #[must_use]
    pub fn whose(&self) -> String {
        format!("{:?} {:?}", self.token, self.caller.id())
    }
}

/// RFC 6750, section 2.1. The scheme's name has no case.
fn bearer(headers: &HeaderMap) -> Option<&str> {
    let (scheme, secret) = headers.get(header::AUTHORIZATION)?.to_str().ok()?.split_once(' ')?;
    scheme.eq_ignore_ascii_case("bearer").then(|| secret.trim())
}

fn operation(parts: &Parts) -> Result<Arc<Operation>, Error> {
    parts
        .extensions
        .get::<Arc<Operation>>()
        .cloned()
        .ok_or_else(|| Error::internal("a handler of the API stands at a route without an operation"))
}

/// What was asked behind the `?`, checked.
#[derive(Clone)]
struct Checked(Map<String, Value>);

/// Holds the address's parameters and `Accept` against the operation, whether or not its handler asks for them.
fn prepare(parts: &mut Parts) -> Result<(), Error> {
    let operation = operation(parts)?;
    acceptable(&parts.headers)?;
    let mut asked = Map::new();
    let mut faults = Vec::new();
    for (name, text) in Pairs::read(parts.uri.query().unwrap_or_default())?.0 {
        let at = format!("?{}", name.chars().take(60).collect::<String>());
        let fault = |message: Message| Fault {
            field: Some(at.clone()),
            detail: message.with("name", Arg::text(at.trim_start_matches('?'))),
        };
        let Some(ask) = operation.asks.iter().find(|ask| ask.key == name) else {
            let known: Vec<&str> = operation.asks.iter().map(|ask| ask.key).collect();
            let words = if known.is_empty() {
                Message::new("{name} is not a parameter of this address, which has none.")
            } else {
                Message::new("{name} is not a parameter of this address. There are: {known}.")
                    .with("known", Arg::text(known.join(", ")))
            };
            faults.push(fault(words));
            continue;
        };
        let mut value = typed(&text, &ask.what);
        check(&mut value, &ask.what, &at, &mut faults);
        if asked.insert(name, value).is_some() {
            faults.push(fault(Message::new("{name} stands twice in the address.")));
        }
    }
    if !faults.is_empty() {
        return Err(Error::Invalid(faults));
    }
    parts.extensions.insert(Checked(asked));
    Ok(())
}

/// The text of a parameter as the value it is to be.
fn typed(text: &str, what: &What) -> Value {
    let read = match what {
        What::Figure(_) | What::Whole(_) | What::Count(..) => serde_json::from_str(text).ok().filter(Value::is_number),
        What::Flag => text.parse::<bool>().ok().map(Value::Bool),
        _ => None,
    };
    read.unwrap_or_else(|| Value::from(text))
}

/// Answers are JSON; whoever can read nothing of the kind is told so.
fn acceptable(headers: &HeaderMap) -> Result<(), Error> {
    let mut lists = headers.get_all(header::ACCEPT).iter().filter_map(|value| value.to_str().ok()).peekable();
    if lists.peek().is_none() {
        return Ok(());
    }
    let ours = ["application/json", "application/*", "*/*", "application/problem+json"];
    let takes = |one: &str| {
        let mut parts = one.split(';').map(str::trim);
        let named = parts.next().is_some_and(|media| ours.iter().any(|our| media.eq_ignore_ascii_case(our)));
        named && !parts.any(|part| part.strip_prefix("q=").and_then(|q| q.parse::<f64>().ok()) == Some(0.0))
    };
    if lists.any(|list| list.split(',').any(takes)) { Ok(()) } else { Err(Error::NotAcceptable) }
}

/// What was asked behind the `?`. A handler that takes it takes a [`Client`] before it.
#[derive(Clone, Debug)]
pub struct Asked<T>(pub T);

impl<T: DeserializeOwned> FromRequestParts<House> for Asked<T> {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &House) -> Result<Self, Error> {
        if parts.extensions.get::<Checked>().is_none() {
            prepare(parts)?;
        }
        let asked = parts.extensions.get::<Checked>().map(|checked| checked.0.clone()).unwrap_or_default();
        serde_json::from_value(Value::Object(asked)).map(Self).map_err(Error::internal)
    }
}

/// The body, checked against what the operation takes.
#[derive(Clone, Debug)]
pub struct Sent(pub Value);

impl FromRequest<House> for Sent {
    type Rejection = Error;

    async fn from_request(request: Request, _: &House) -> Result<Self, Error> {
        let (parts, rest) = request.into_parts();
        let operation = operation(&parts)?;
        let wanted = operation.media();
        if !is_media(&parts.headers, wanted) {
            return Err(Error::UnsupportedMedia { wanted });
        }
        let what =
            operation.takes.ok_or_else(|| Error::internal("an operation that takes nothing was sent something"))?;
        let bytes = body(Request::from_parts(parts, rest)).await?;
        let mut value = read::json(&bytes)?;
        let mut faults = Vec::new();
        check(&mut value, &what, "", &mut faults);
        if let What::Batch = what
            && let Some(given) =
                value.get("entries").and_then(Value::as_array).map(Vec::len).filter(|given| *given > BATCH)
        {
            return Err(Error::LongBatch { given, most: BATCH });
        }
        if faults.is_empty() { Ok(Self(value)) } else { Err(Error::Invalid(faults)) }
    }
}

/// A checked value as the struct it describes.
///
/// # Errors
/// What a type of the model refuses beyond its description.
pub fn typed_as<T: DeserializeOwned>(value: Value) -> Result<T, Error> {
    serde_json::from_value(value).map_err(|wrong| {
        let why = Arg::text(wrong.to_string());
        Error::invalid("", Message::new("What was sent does not hold: {why}.").with("why", why))
    })
}
