//! What a handler may take from a request. Each fails in words; axum's own, which fail in plain text, are banned by
//! `.clippy.toml`.

#![expect(clippy::disallowed_types, reason = "the extractors that replace the banned ones stand on them")]

use std::pin::Pin;
use std::time::Duration;

use axum::body::Body;
use axum::body::Bytes;
use axum::body::HttpBody;
use axum::extract::DefaultBodyLimit;
use axum::extract::FromRequest;
use axum::extract::FromRequestParts;
use axum::extract::Request;
use axum::http::HeaderMap;
use axum::http::header;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::error::Error;
use crate::web::routes::BODY_LIMIT_BYTES;
use crate::web::routes::BodyLimit;

/// The parts of the address in `{braces}`. One that cannot be what it should be names nothing that exists: 404.
#[derive(Clone, Copy, Debug)]
pub struct Path<T>(pub T);

impl<T: DeserializeOwned + Send, S: Send + Sync> FromRequestParts<S> for Path<T> {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Error> {
        match axum::extract::Path::<T>::from_request_parts(parts, state).await {
            Ok(axum::extract::Path(value)) => Ok(Self(value)),
            Err(axum::extract::rejection::PathRejection::FailedToDeserializePathParams(_)) => {
                Err(Error::no_page(parts.uri.path()))
            }
            Err(wiring) => Err(Error::internal(wiring)),
        }
    }
}

/// The question behind `?`, as a struct. Repeated keys are kept by [`Question`] instead.
#[derive(Clone, Copy, Debug)]
pub struct Query<T>(pub T);

impl<T: DeserializeOwned, S: Send + Sync> FromRequestParts<S> for Query<T> {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        Pairs::read(parts.uri.query().unwrap_or_default())?;
        match axum::extract::Query::<T>::try_from_uri(&parts.uri) {
            Ok(axum::extract::Query(value)) => Ok(Self(value)),
            Err(wrong) => {
                let why = std::error::Error::source(&wrong).map_or_else(|| wrong.to_string(), ToString::to_string);
                Err(Error::Unreadable(because("What stands after the ? of the address cannot be read: {why}.", &why)))
            }
        }
    }
}

/// Names and values in the order given, repeats kept: what a form or the question of an address holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Pairs(pub Vec<(String, String)>);

/// A posted form.
pub type FormData = Pairs;

/// The question behind `?` as pairs.
#[derive(Clone, Debug, Default)]
pub struct Question(pub Pairs);

impl Pairs {
    /// More than any form of ours has, and few enough to be gone through at once.
    const MOST: usize = 10_000;

    /// The first value of this name.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&str> {
        self.0.iter().find(|(given, _)| given == name).map(|(_, value)| value.as_str())
    }

    /// Every value of this name, in order.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a str> {
        self.0.iter().filter(move |(given, _)| given == name).map(|(_, value)| value.as_str())
    }

    /// # Errors
    /// Too many fields, a broken escape, or bytes that are not UTF-8.
    pub fn read(text: &str) -> Result<Self, Error> {
        let mut pairs = Vec::new();
        for one in text.split('&').filter(|one| !one.is_empty()) {
            if pairs.len() == Self::MOST {
                return Err(Error::Unreadable(
                    Message::new("More than {most} fields were sent.").with("most", Arg::Count(Self::MOST as u64)),
                ));
            }
            let (name, value) = one.split_once('=').unwrap_or((one, ""));
            let name = unescaped(name).ok_or_else(|| unreadable(name))?;
            let value = unescaped(value).ok_or_else(|| unreadable(&name))?;
            pairs.push((name, value));
        }
        Ok(Self(pairs))
    }
}

const BROKEN_FORM: &str = "The form that was sent cannot be read: {why}.";

/// A sentence with a library's own reason in it, which stays in English.
fn because(key: &'static str, why: &impl ToString) -> Message {
    Message::new(key).with("why", Arg::text(why.to_string()))
}

fn unreadable(name: &str) -> Error {
    Error::Unreadable(
        Message::new("The field {name} holds something that is not UTF-8 text, or a % without its two digits.")
            .with("name", Arg::text(name)),
    )
}

/// `+` is a space, `%XX` a byte; `None` if that gives no UTF-8.
fn unescaped(text: &str) -> Option<String> {
    let mut out = Vec::with_capacity(text.len());
    let mut bytes = text.bytes();
    while let Some(byte) = bytes.next() {
        out.push(match byte {
            b'+' => b' ',
            b'%' => {
                let mut digit = || bytes.next().and_then(|digit| char::from(digit).to_digit(16));
                u8::try_from(digit()? * 16 + digit()?).ok()?
            }
            other => other,
        });
    }
    String::from_utf8(out).ok()
}

impl<S: Send + Sync> FromRequestParts<S> for Question {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        Pairs::read(parts.uri.query().unwrap_or_default()).map(Self)
    }
}

impl<S: Send + Sync> FromRequest<S> for Pairs {
    type Rejection = Error;

    async fn from_request(request: Request, _: &S) -> Result<Self, Error> {
        if !is_media(request.headers(), "application/x-www-form-urlencoded") {
            return Err(Error::UnsupportedMedia { wanted: "a form (application/x-www-form-urlencoded)" });
        }
        let body = body(request).await?;
        let text = std::str::from_utf8(&body)
            .map_err(|_| Error::Unreadable(Message::new("The form that was sent is not UTF-8 text.")))?;
        Self::read(text)
    }
}

/// Files and fields of a form with `enctype="multipart/form-data"`.
#[derive(Clone, Debug, Default)]
pub struct Upload {
    pub fields: Pairs,
    pub files: Vec<File>,
}

#[derive(Clone, Debug)]
pub struct File {
    /// The form field that it was chosen in.
    pub field: String,
    /// As the sender calls it: for showing, never for opening.
    pub name: String,
    pub bytes: Bytes,
}

impl<S: Send + Sync> FromRequest<S> for Upload {
    type Rejection = Error;

    async fn from_request(request: Request, state: &S) -> Result<Self, Error> {
        if !is_media(request.headers(), "multipart/form-data") {
            return Err(Error::UnsupportedMedia { wanted: "a form with files (multipart/form-data)" });
        }
        // Read whole first: the limit is then told in one place, and a parser never sees half a body.
        let headers = request.headers().clone();
        let mut whole = Request::new(Body::from(body(request).await?));
        *whole.headers_mut() = headers;
        DefaultBodyLimit::apply(DefaultBodyLimit::disable(), &mut whole);
        let broken = |wrong: axum::extract::multipart::MultipartError| {
            Error::Unreadable(because(BROKEN_FORM, &wrong.body_text()))
        };
        let mut parts = axum::extract::Multipart::from_request(whole, state)
            .await
            .map_err(|wrong| Error::Unreadable(because(BROKEN_FORM, &wrong)))?;
        let mut upload = Self::default();
        while let Some(part) = parts.next_field().await.map_err(broken)? {
            let field = part.name().unwrap_or_default().to_owned();
            if let Some(name) = part.file_name().map(str::to_owned) {
                upload.files.push(File { field, name, bytes: part.bytes().await.map_err(broken)? });
            } else {
                let bytes = part.bytes().await.map_err(broken)?;
                let value = std::str::from_utf8(&bytes).map_err(|_| unreadable(&field))?.to_owned();
                upload.fields.0.push((field, value));
            }
        }
        Ok(upload)
    }
}

pub(super) fn is_media(headers: &HeaderMap, wanted: &str) -> bool {
    let given = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok()).unwrap_or_default();
    given.split(';').next().is_some_and(|media| media.trim().eq_ignore_ascii_case(wanted))
}

/// The body, up to the limit of its route.
pub(super) async fn body(request: Request) -> Result<Bytes, Error> {
    let limit_bytes = request.extensions().get::<BodyLimit>().map_or(BODY_LIMIT_BYTES, |limit| limit.0);
    let declared = request.headers().get(header::CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse().ok());
    let mut stream = request.into_body();
    let mut bytes = Vec::new();
    if declared.is_some_and(|length: usize| length > limit_bytes) {
        linger(stream);
        return Err(Error::TooLarge { limit_bytes });
    }
    while let Some(chunk) = next(&mut stream).await {
        let chunk =
            chunk.map_err(|_| Error::Unreadable(Message::new("The connection broke off before all was sent.")))?;
        if bytes.len() + chunk.len() > limit_bytes {
            linger(stream);
            return Err(Error::TooLarge { limit_bytes });
        }
        bytes.extend_from_slice(&chunk);
    }
    Ok(bytes.into())
}

/// A sender whose connection is cut while it still sends may never see the answer. So, for a moment and no longer,
/// what is on its way is taken and dropped while the refusal goes out.
fn linger(mut stream: Body) {
    const MOST_BYTES: usize = 8 * 1024 * 1024;
    const LONGEST: Duration = Duration::from_secs(2);
    tokio::spawn(tokio::time::timeout(LONGEST, async move {
        let mut taken = 0;
        while let Some(Ok(chunk)) = next(&mut stream).await {
            taken += chunk.len();
            if taken > MOST_BYTES {
                break;
            }
        }
    }));
}

/// The next piece of a body.
async fn next(body: &mut Body) -> Option<Result<Bytes, axum::Error>> {
    loop {
        let frame = std::future::poll_fn(|context| Pin::new(&mut *body).poll_frame(context)).await?;
        match frame.map(|frame| frame.into_data()) {
            Ok(Ok(bytes)) => return Some(Ok(bytes)),
            Ok(Err(_trailers)) => {}
            Err(broken) => return Some(Err(broken)),
        }
    }
}
