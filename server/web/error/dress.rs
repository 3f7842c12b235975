//! From an error to what is sent: its page, or its problem details where JSON is asked for.

use std::sync::Arc;

use askama::Template;
use axum::extract::Request;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::http::header;
use axum::middleware::Next;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use serde_json::Value;
use serde_json::json;

use crate::model::message::Message;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::filters;
use crate::web::loggable;
use crate::web::reader::Reader;
use crate::web::visitor::Visitor;

/// Gives each error its page, or its problem details where JSON is asked for. An error status without an error (from
/// a layer of a library) gets one.
pub(in crate::web) async fn dress(
    State(house): State<House>,
    reader: Reader,
    request: Request,
    next: Next,
) -> Response {
    let (uri, asked) = (request.uri().clone(), request.headers().clone());
    let mut response = next.run(request).await;
    let Some(error) = response.extensions_mut().remove::<Arc<Error>>().or_else(|| nameless(&response, &uri)) else {
        return response;
    };
    match &*error {
        Error::Internal(_) => tracing::error!(path = %loggable(uri.path()), "{error}"),
        _ => tracing::info!(path = %loggable(uri.path()), status = error.status().as_u16(), "{error}"),
    }
    let mut dressed = if wants_json(&asked, uri.path()) {
        problem(&error, &uri, &reader)
    } else if let Error::SignInNeeded { next } = &*error {
        // What was asked for is where they want to go on to.
        let next = if next.is_empty() { uri.path_and_query().map_or("/", |here| here.as_str()) } else { next };
        Redirect::to(&format!("/sign-in?next={}", escaped(next))).into_response()
    } else {
        error_page(&error, &reader, chrome(&house, &reader, &asked).await)
    };
    for (name, value) in response.headers() {
        if name != header::CONTENT_LENGTH && name != header::CONTENT_TYPE {
            dressed.headers_mut().insert(name, value.clone());
        }
    }
    dressed.headers_mut().insert(header::VARY, HeaderValue::from_static("Accept, Accept-Language, Cookie"));
    dressed
}

/// A library's bare refusal as one of ours.
fn nameless(response: &Response, uri: &Uri) -> Option<Arc<Error>> {
    if response.headers().contains_key(header::CONTENT_TYPE) {
        return None;
    }
    Some(Arc::new(match response.status() {
        StatusCode::NOT_FOUND => Error::no_page(uri.path()),
        StatusCode::METHOD_NOT_ALLOWED => Error::MethodNotAllowed,
        StatusCode::SERVICE_UNAVAILABLE => Error::TimedOut,
        _ => return None,
    }))
}

#[derive(Template)]
#[template(path = "error.html")]
struct ErrorPage<'a> {
    chrome: Chrome,
    title: &'static str,
    detail: Message,
    faults: &'a [Fault],
}

/// What stands round an error's page: as round any other, unless who asks cannot be found out either.
async fn chrome(house: &House, reader: &Reader, asked: &HeaderMap) -> Chrome {
    match Visitor::of(house, reader.clone(), asked).await {
        Ok(visitor) => visitor.chrome(Place::None),
        Err(second) => {
            tracing::error!("who met the error is not known: {second}");
            Chrome::nowhere()
        }
    }
}

fn error_page(error: &Error, reader: &Reader, chrome: Chrome) -> Response {
    let (title, detail) = (error.title(), error.detail());
    match page(reader, ErrorPage { chrome, title, detail, faults: error.faults() }) {
        Ok(page) => (error.status(), page).into_response(),
        Err(second) => {
            tracing::error!("the error page itself failed: {second}");
            (error.status(), format!("{title}\n")).into_response()
        }
    }
}

fn problem(error: &Error, uri: &Uri, reader: &Reader) -> Response {
    let mut body = told(error, reader);
    body["instance"] = uri.path().into();
    let media = [(header::CONTENT_TYPE, HeaderValue::from_static("application/problem+json"))];
    let mut response = (error.status(), media, body.to_string()).into_response();
    // RFC 6750, section 3: what to come with, and whether what came was it.
    let challenge = match error {
        Error::SignInNeeded { .. } => Some("Bearer realm=\"Keepwell\""),
        Error::BadToken => Some("Bearer realm=\"Keepwell\", error=\"invalid_token\""),
        _ => None,
    };
    if let Some(challenge) = challenge {
        response.headers_mut().insert(header::WWW_AUTHENTICATE, HeaderValue::from_static(challenge));
    }
    response
}

/// Problem details, without the address they came about.
pub(in crate::web) fn told(error: &Error, reader: &Reader) -> Value {
    let mut body = json!({
        "type": format!("/problems/{}", error.kind().name),
        "title": reader.word(error.title()),
        "status": error.status().as_u16(),
        "detail": reader.say(&error.detail()).to_string(),
    });
    if !error.faults().is_empty() {
        let said = |fault: &Fault| {
            let detail = reader.say(&fault.detail).to_string();
            match fault.field.as_deref().unwrap_or_default() {
                pointer if pointer.is_empty() || pointer.starts_with('/') => {
                    json!({ "pointer": pointer, "detail": detail })
                }
                field => match field.strip_prefix('?') {
                    Some(parameter) => json!({ "parameter": parameter, "detail": detail }),
                    None => json!({ "pointer": format!("/{field}"), "detail": detail }),
                },
            }
        };
        body["errors"] = error.faults().iter().map(said).collect();
    }
    body
}

/// The API speaks JSON; elsewhere the first of the two that `Accept` ranks higher. A browser lists `text/html`.
fn wants_json(asked: &HeaderMap, path: &str) -> bool {
    let weight = |wanted: fn(&str) -> bool| {
        let lists = asked.get_all(header::ACCEPT).iter().filter_map(|value| value.to_str().ok());
        lists
            .flat_map(|list| list.split(','))
            .filter_map(|one| {
                let mut parts = one.split(';').map(str::trim);
                let named = parts.next().is_some_and(wanted);
                let weight = parts.find_map(|part| part.strip_prefix("q=")).map_or(Ok(1.0), str::parse::<f64>);
                weight.ok().filter(|_| named)
            })
            .fold(0.0, f64::max)
    };
    let json = weight(|media| media == "application/json" || media == "application/problem+json");
    path.starts_with("/api/") || json > weight(|media| media == "text/html")
}

/// Safe inside a query: everything but letters, digits and `/-_.~` as `%XX`.
fn escaped(text: &str) -> String {
    text.bytes().fold(String::new(), |mut out, byte| {
        if byte.is_ascii_alphanumeric() || b"/-_.~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
        out
    })
}
