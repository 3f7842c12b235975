//! What can go wrong, as a visitor meets it. The only place that picks a status. An error travels inside the response
//! that it became, and `dress`, which knows who asked, turns it into a page or into problem details (RFC 9457).

use std::fmt;
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
use serde_json::json;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::filters;
use crate::web::loggable;
use crate::web::reader::Reader;
use crate::web::visitor::Visitor;

/// Messages are for the visitor, in plain words, without innards.
#[derive(Debug)]
pub enum Error {
    /// What was looked for is not there.
    NotFound(Message),
    /// There is something here, but not for this method.
    MethodNotAllowed,
    /// Why not.
    Forbidden(Message),
    /// A change that did not come from our own pages.
    CrossSite,
    /// Sign in, then on to this address (path and question).
    SignInNeeded { next: String },
    /// Not to be understood at all: a broken escape, a missing part.
    Unreadable(Message),
    /// Understood, but wrong.
    Invalid(Vec<Fault>),
    /// More than this many bytes.
    TooLarge { limit_bytes: usize },
    /// What is taken instead.
    UnsupportedMedia { wanted: &'static str },
    /// The name that was asked for, as it was given.
    BadHost(String),
    /// The same id with other content, or a thing that is there already.
    Conflict(Message),
    /// The thing has changed since the form was drawn: what changed.
    Stale(Message),
    /// Try again in so many seconds.
    TooMany { seconds: u32 },
    /// The server is busy or stopping: why.
    Unavailable(Message),
    /// It took longer than we allow.
    TimedOut,
    /// The disk is full.
    Full,
    /// Our fault. The cause goes to the log, and nowhere else.
    Internal(Box<dyn std::error::Error + Send + Sync>),
}

/// One thing wrong with what was sent.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The form field or JSON pointer, where there is one.
    pub field: Option<String>,
    /// Names the field, the value and what is allowed.
    pub detail: Message,
}

impl Error {
    /// One fault of one field.
    pub fn invalid(field: impl Into<String>, detail: Message) -> Self {
        Self::Invalid(vec![Fault { field: Some(field.into()), detail }])
    }

    pub fn internal(cause: impl Into<Box<dyn std::error::Error + Send + Sync>>) -> Self {
        Self::Internal(cause.into())
    }

    /// Nothing stands at this address.
    #[must_use]
    pub fn no_page(path: &str) -> Self {
        Self::NotFound(Message::new("There is no page at {address}.").with("address", Arg::text(path)))
    }

    #[must_use]
    pub fn status(&self) -> StatusCode {
        match self {
            Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::MethodNotAllowed => StatusCode::METHOD_NOT_ALLOWED,
            Self::Forbidden(_) | Self::CrossSite => StatusCode::FORBIDDEN,
            Self::SignInNeeded { .. } => StatusCode::UNAUTHORIZED,
            Self::Unreadable(_) => StatusCode::BAD_REQUEST,
            Self::Invalid(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::TooLarge { .. } => StatusCode::PAYLOAD_TOO_LARGE,
            Self::UnsupportedMedia { .. } => StatusCode::UNSUPPORTED_MEDIA_TYPE,
            Self::BadHost(_) => StatusCode::MISDIRECTED_REQUEST,
            Self::Conflict(_) => StatusCode::CONFLICT,
            Self::Stale(_) => StatusCode::PRECONDITION_FAILED,
            Self::TooMany { .. } => StatusCode::TOO_MANY_REQUESTS,
            Self::Unavailable(_) | Self::TimedOut => StatusCode::SERVICE_UNAVAILABLE,
            Self::Full => StatusCode::INSUFFICIENT_STORAGE,
            Self::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// The heading; English, and a key for translation.
    #[must_use]
    pub fn title(&self) -> &'static str {
        match self {
            Self::NotFound(_) => "Not found",
            Self::MethodNotAllowed => "Not done this way",
            Self::Forbidden(_) => "Not allowed",
            Self::CrossSite => "Not sent from here",
            Self::SignInNeeded { .. } => "Sign in first",
            Self::Unreadable(_) => "Could not be read",
            Self::Invalid(_) => "Something needs correcting",
            Self::TooLarge { .. } => "Too large",
            Self::UnsupportedMedia { .. } => "Not in a form we read",
            Self::BadHost(_) => "Not our name",
            Self::Conflict(_) => "There already, and different",
            Self::Stale(_) => "Changed in the meantime",
            Self::TooMany { .. } => "Too many tries",
            Self::Unavailable(_) => "Not just now",
            Self::TimedOut => "This took too long",
            Self::Full => "The disk is full",
            Self::Internal(_) => "Something broke",
        }
    }

    /// One paragraph: what happened and what to do next.
    #[must_use]
    pub fn detail(&self) -> Message {
        match self {
            Self::NotFound(why)
            | Self::Forbidden(why)
            | Self::Unreadable(why)
            | Self::Conflict(why)
            | Self::Stale(why)
            | Self::Unavailable(why) => why.clone(),
            Self::MethodNotAllowed => Message::new(
                "There is something at this address, but it cannot be asked in this way. If you pressed a button, go \
                 back and open the page again.",
            ),
            Self::CrossSite => Message::new(
                "This change did not come from a page of ours, so nothing was changed. Open the page again from here \
                 and repeat it.",
            ),
            Self::SignInNeeded { .. } => Message::new("This is for people who have signed in."),
            Self::Invalid(_) => Message::new("Nothing was stored."),
            Self::TooLarge { limit_bytes } => {
                Message::new("At most {size} can be sent here. Nothing was stored.").with("size", size(*limit_bytes))
            }
            Self::UnsupportedMedia { wanted } => {
                Message::new("This address takes {wanted}. Nothing was stored.").with("wanted", Arg::Word(wanted))
            }
            Self::BadHost(name) if name.is_empty() => {
                Message::new("The request did not say which host it is for. Use this machine's address.")
            }
            Self::BadHost(name) => Message::new(
                "This server does not answer to the name {name}. Use this machine's address, or start the server with \
                 --name and that name.",
            )
            .with("name", Arg::text(name)),
            Self::TooMany { seconds } => {
                Message::new("Wait {seconds} seconds and try again.").with("seconds", Arg::Count((*seconds).into()))
            }
            Self::TimedOut => Message::new("The answer was not ready in time. Try again in a moment."),
            Self::Full => Message::new(
                "Nothing more can be stored until room is made on the disk. What is there can still be read.",
            ),
            Self::Internal(_) => Message::new(
                "This is our fault, not yours. What happened stands in the server's log. Nothing was stored by half.",
            ),
        }
    }

    #[must_use]
    pub fn faults(&self) -> &[Fault] {
        match self {
            Self::Invalid(faults) => faults,
            _ => &[],
        }
    }
}

/// For the log: what happened, without what anyone typed.
impl fmt::Display for Error {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::Internal(cause) = self else { return write!(out, "{}: {}", self.title(), self.detail().key) };
        write!(out, "{cause}")?;
        let mut under = cause.source();
        while let Some(cause) = under {
            write!(out, ": {cause}")?;
            under = cause.source();
        }
        Ok(())
    }
}

impl std::error::Error for Error {}

impl From<service::Error> for Error {
    fn from(error: service::Error) -> Self {
        match error {
            service::Error::NotFound(noun) => {
                Self::NotFound(Message::new("There is no {noun} of that address.").with("noun", Arg::Word(noun)))
            }
            service::Error::SignInNeeded => Self::SignInNeeded { next: String::new() },
            service::Error::Forbidden(whose) => {
                Self::Forbidden(Message::new("That is for {whose}.").with("whose", Arg::Word(whose)))
            }
            service::Error::Invalid(problems) => Self::Invalid(
                problems
                    .into_iter()
                    .map(|problem| Fault {
                        field: (!problem.field.is_empty()).then(|| problem.field.to_owned()),
                        detail: problem.message,
                    })
                    .collect(),
            ),
            service::Error::Stale => Self::Stale(Message::new(
                "Somebody changed it while you were at it. Look at it again, then make your change.",
            )),
            service::Error::IdTaken => {
                Self::Conflict(Message::new("This entry's number was used before, for something else."))
            }
            service::Error::TooMany(seconds) => Self::TooMany { seconds },
            service::Error::Full => Self::Full,
            service::Error::Busy => Self::Unavailable(Message::new("The server is busy. Try again in a moment.")),
            service::Error::Internal(cause) => Self::Internal(cause.into()),
        }
    }
}

impl From<askama::Error> for Error {
    fn from(cause: askama::Error) -> Self {
        Self::internal(cause)
    }
}

impl IntoResponse for Error {
    fn into_response(self) -> Response {
        let mut response = self.status().into_response();
        if let Self::TooMany { seconds } = self {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        } else if response.status() == StatusCode::SERVICE_UNAVAILABLE {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(5));
        }
        response.extensions_mut().insert(Arc::new(self));
        response
    }
}

/// Gives each error its page, or its problem details where JSON is asked for. An error status without an error (from
/// a layer of a library) gets one.
pub(super) async fn dress(State(house): State<House>, reader: Reader, request: Request, next: Next) -> Response {
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
    let mut body = json!({
        "type": "about:blank",
        "title": reader.word(error.title()),
        "status": error.status().as_u16(),
        "detail": reader.say(&error.detail()).to_string(),
        "instance": uri.path(),
    });
    if !error.faults().is_empty() {
        let said = |fault: &Fault| json!({ "pointer": fault.field, "detail": reader.say(&fault.detail).to_string() });
        body["errors"] = error.faults().iter().map(said).collect();
    }
    let media = [(header::CONTENT_TYPE, HeaderValue::from_static("application/problem+json"))];
    (error.status(), media, body.to_string()).into_response()
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
    path == "/api" || path.starts_with("/api/") || json > weight(|media| media == "text/html")
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

/// "1 MB", "200 kB", "12 bytes", in binary thousands, as file managers show them.
fn size(bytes: usize) -> Arg {
    Arg::text(match bytes {
        0..1024 => format!("{bytes} bytes"),
        1024..1_048_576 => format!("{} kB", bytes / 1024),
        _ => format!("{} MB", bytes / 1_048_576),
    })
}
