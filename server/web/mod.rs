//! Pages, and how a request reaches one. From the outside in: headers that every answer carries, a number for the
//! request, a line in the log, errors made into pages, panics caught, a limit on time, the guard, compression, the
//! route. `/static` stands beside the compression: its files are packed already.

pub mod api;
pub mod asking;
pub mod assets;
pub mod chrome;
pub mod dates;
pub mod draw;
pub mod error;
pub mod extract;
pub mod figures;
pub mod filters;
pub mod form;
pub mod fresh;
mod guard;
mod headers;
pub mod input;
pub mod pages;
pub mod reader;
pub mod routes;
pub mod say;
pub mod session;
pub mod shown;
mod storm;
#[cfg(test)]
mod tests;
pub mod visitor;
pub mod whence;
pub mod words;

use std::any::Any;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::extract::Request;
use axum::http::HeaderName;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::http::header;
use axum::middleware::from_fn;
use axum::middleware::from_fn_with_state;
use axum::response::IntoResponse;
use axum::response::Response;
use axum::routing::get;
use jiff::tz::TimeZone;
use tower::ServiceBuilder;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::csrf::CsrfLayer;
use tower_http::csrf::ProtectionError;
use tower_http::request_id::MakeRequestUuid;
use tower_http::request_id::PropagateRequestIdLayer;
use tower_http::request_id::RequestId;
use tower_http::request_id::SetRequestIdLayer;
use tower_http::timeout::TimeoutLayer;
use tower_http::trace::TraceLayer;

use crate::model::choice::Choice;
use crate::service::App;
use crate::web::error::Error;
use crate::web::fresh::Shelf;
use crate::web::reader::Language;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::reader::Usual;
use crate::web::routes::BODY_LIMIT_BYTES;
use crate::web::routes::Route;
use crate::web::routes::Routes;

/// Longer than any page takes, import included; short enough that a stuck one is noticed.
const LONGEST: Duration = Duration::from_secs(60);

const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

pub use crate::web::pages::paper::status_file;

/// What a handler may ask for, by `State(house): State<House>`.
#[derive(Clone)]
pub struct House {
    /// Further host names we answer to, beside addresses, `localhost` and `keepwell.local`.
    pub names: Arc<[String]>,
    /// Who reads, before a cookie says otherwise.
    pub usual: Usual,
    pub app: App,
    /// pages just made
    pub shelf: Shelf,
}

/// The reader of a neighbourhood before a cookie says otherwise: its zone, units and language, and the minute.
#[must_use]
pub fn usual(app: &App) -> Reader {
    let picture = app.picture();
    let now = app.now();
    let now = jiff::Timestamp::from_microsecond(now.micros()).unwrap_or(jiff::Timestamp::MAX);
    let Some(kept) = &picture.set_up.neighbourhood else {
        return Reader { language: Language::English, units: Units::Metric, zone: TimeZone::UTC, now };
    };
    let settings = &kept.thing;
    Reader {
        language: Language::from_code(&settings.language).unwrap_or(Language::English),
        units: Units::from_code(settings.units.key()).unwrap_or_default(),
        zone: TimeZone::get(&settings.zone).unwrap_or(TimeZone::UTC),
        now,
    }
}

/// Every page's routes. A new noun adds one `.merge` here.
fn pages() -> Routes {
    Routes::new().get("/healthz", health).merge(pages::routes()).merge(api::routes())
}

/// The whole of what is served, and the list of its routes.
pub fn router(house: House) -> (Router, Vec<Route>) {
    assemble(pages(), house)
}

fn assemble(pages: Routes, house: House) -> (Router, Vec<Route>) {
    let names = Arc::clone(&house.names);
    let usual = house.usual.clone();
    let (pages, list) = pages.into_parts();
    let router = pages
        .layer(CompressionLayer::new())
        .layer(from_fn_with_state(house.clone(), fresh::shelve))
        .route("/static/{*path}", get(assets::serve))
        .fallback(nothing_here)
        .method_not_allowed_fallback(wrong_method)
        .with_state(house.clone())
        .layer(
            ServiceBuilder::new()
                .layer(from_fn(headers::everywhere))
                .layer(SetRequestIdLayer::new(REQUEST_ID, MakeRequestUuid))
                .layer(TraceLayer::new_for_http().make_span_with(span).on_request(()))
                .layer(PropagateRequestIdLayer::new(REQUEST_ID))
                .layer(from_fn_with_state(usual, reader::meet))
                .layer(from_fn_with_state(house.clone(), error::dress))
                .layer(CatchPanicLayer::custom(panicked))
                .layer(TimeoutLayer::with_status_code(StatusCode::SERVICE_UNAVAILABLE, LONGEST))
                .layer(from_fn_with_state(names, guard::host))
                .layer(from_fn_with_state(house, storm::limit))
                .layer(CsrfLayer::new().with_rejection_response(|_: ProtectionError| Error::CrossSite.into_response()))
                .layer(from_fn(guard::origin))
                .layer(DefaultBodyLimit::max(BODY_LIMIT_BYTES)),
        );
    (router, list)
}

/// `GET /healthz`: the program runs and answers.
async fn health() -> impl IntoResponse {
    ([(header::CACHE_CONTROL, HeaderValue::from_static("no-store"))], "well\n")
}

async fn nothing_here(uri: Uri) -> Error {
    Error::no_page(uri.path())
}

async fn wrong_method() -> Error {
    Error::MethodNotAllowed
}

/// The log's line: no question (it may hold a name), no headers (they hold cookies).
fn span(request: &Request) -> tracing::Span {
    let id = request.extensions().get::<RequestId>().and_then(|id| id.header_value().to_str().ok());
    tracing::info_span!("request", method = %request.method(), path = %loggable(request.uri().path()), id)
}

/// A path as the log may show it: a long part may be a one-time link or a card's token, and is left out.
fn loggable(path: &str) -> String {
    const LONGEST_ID: usize = 36;
    path.split('/').map(|part| if part.len() > LONGEST_ID { "..." } else { part }).collect::<Vec<_>>().join("/")
}

fn panicked(cause: Box<dyn Any + Send>) -> Response {
    let said = cause.downcast_ref::<String>().map(String::as_str).or_else(|| cause.downcast_ref::<&str>().copied());
    Error::internal(format!("a handler panicked: {}", said.unwrap_or("without a word"))).into_response()
}
