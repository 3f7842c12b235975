//! What goes out: JSON with its entity tag, pages of a list with the way to the next.

use axum::http::HeaderMap;
use axum::http::HeaderName;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use serde::Serialize;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::House;
use crate::web::api::client::Client;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::fresh::Fresh;

const VARY: HeaderValue = HeaderValue::from_static("Accept, Accept-Language, Authorization, Cookie");

/// A value as JSON.
///
/// # Errors
/// Never for what we answer: its figures are finite, its keys are text.
pub fn json(status: StatusCode, value: &impl Serialize) -> Result<Response, Error> {
    let body = serde_json::to_vec(value).map_err(Error::internal)?;
    let mut response =
        (status, [(header::CONTENT_TYPE, HeaderValue::from_static("application/json"))], body).into_response();
    response.headers_mut().insert(header::VARY, VARY);
    Ok(response)
}

/// What is reckoned from the picture at this minute, unless the client holds it already.
///
/// # Errors
/// As `make`.
pub fn fresh<T: Serialize>(
    house: &House,
    client: &Client,
    uri: &Uri,
    asked: &HeaderMap,
    make: impl FnOnce() -> Result<T, Error>,
) -> Result<Response, Error> {
    let fresh = tag(house, client, uri)?;
    if let Some(held) = fresh.held(house, asked) {
        return Ok(varied(held));
    }
    Ok(varied(fresh.dress(json(StatusCode::OK, &make()?)?)))
}

/// The tag of an answer that depends on the picture, the minute, the address and who asks.
///
/// # Errors
/// As [`Fresh::to`].
pub fn tag(house: &House, client: &Client, uri: &Uri) -> Result<Fresh, Error> {
    Fresh::to(house, &client.whose(), &client.reader, uri)
}

pub fn varied(mut response: Response) -> Response {
    response.headers_mut().insert(header::VARY, VARY);
    response
}

/// One page of a list.
#[derive(Debug, Serialize)]
pub struct Page<T> {
    pub items: Vec<T>,
    /// the address of the next page
    pub next: Option<String>,
}

/// The page, with the next also in the header `Link` (RFC 8288).
///
/// # Errors
/// As [`json`].
pub fn page<T: Serialize>(page: &Page<T>) -> Result<Response, Error> {
    let mut response = json(StatusCode::OK, page)?;
    if let Some(next) = &page.next {
        let link = HeaderValue::from_str(&format!("<{next}>; rel=\"next\"")).map_err(Error::internal)?;
        response.headers_mut().insert(header::LINK, link);
    }
    Ok(response)
}

/// A thing that was kept, with its revision as a strong tag, and where it stands.
///
/// # Errors
/// As [`json`].
pub fn kept(
    status: StatusCode,
    value: &impl Serialize,
    revision: i64,
    location: Option<&str>,
) -> Result<Response, Error> {
    let mut response = json(status, value)?;
    let headers = response.headers_mut();
    put(headers, header::ETAG, &revision_tag(revision))?;
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("private, no-cache"));
    if let Some(location) = location {
        put(headers, header::LOCATION, location)?;
    }
    Ok(response)
}

/// The answer, with where the thing it is about stands.
///
/// # Errors
/// Never for an address of ours.
pub fn at(mut response: Response, location: &str) -> Result<Response, Error> {
    put(response.headers_mut(), header::LOCATION, location)?;
    Ok(response)
}

fn put(headers: &mut HeaderMap, name: HeaderName, value: &str) -> Result<(), Error> {
    headers.insert(name, HeaderValue::from_str(value).map_err(Error::internal)?);
    Ok(())
}

#[must_use]
pub fn revision_tag(revision: i64) -> String {
    format!("\"r{revision}\"")
}

/// Whether the client holds the thing at that revision: then the answer is empty.
///
/// # Errors
/// As [`kept`].
pub fn held(asked: &HeaderMap, revision: i64) -> Result<Option<Response>, Error> {
    let mine = revision_tag(revision);
    let lists = asked.get_all(header::IF_NONE_MATCH).iter().filter_map(|value| value.to_str().ok());
    let mut tags = lists.flat_map(|list| list.split(',')).map(|tag| tag.trim().trim_start_matches("W/"));
    if !tags.any(|tag| tag == mine) {
        return Ok(None);
    }
    let mut response = varied(StatusCode::NOT_MODIFIED.into_response());
    put(response.headers_mut(), header::ETAG, &mine)?;
    response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("private, no-cache"));
    Ok(Some(response))
}

/// The revision that a change began from, out of `If-Match`.
///
/// # Errors
/// There is none, or it is no tag of ours.
pub fn began_from(asked: &HeaderMap) -> Result<i64, Error> {
    let given = asked.get(header::IF_MATCH).ok_or(Error::RevisionNeeded)?.to_str().unwrap_or_default().trim();
    let revision = given.strip_prefix("\"r").and_then(|rest| rest.strip_suffix('"'));
    let revision = revision.filter(|digits| digits.bytes().all(|byte| byte.is_ascii_digit()));
    revision.and_then(|digits| digits.parse().ok()).ok_or_else(|| {
        let detail = Message::new("If-Match is the entity tag of the thing, such as \"r7\". You gave {given}.")
            .with("given", Arg::text(given.chars().take(60).collect::<String>()));
        Error::Invalid(vec![Fault { field: Some("?If-Match".to_owned()), detail }])
    })
}
