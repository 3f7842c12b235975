//! A reader's own units and language, kept in two cookies.

use axum::http::HeaderValue;
use axum::http::header;
use axum::response::AppendHeaders;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;

use crate::model::message::Message;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::reader::LANGUAGE_COOKIE;
use crate::web::reader::Language;
use crate::web::reader::UNITS_COOKIE;
use crate::web::reader::Units;
use crate::web::routes::Routes;
use crate::web::whence::Whence;
use crate::web::whence::local;

/// A year.
const KEPT_SECONDS: u32 = 365 * 24 * 60 * 60;

pub(super) fn routes() -> Routes {
    Routes::new().post("/preferences", choose)
}

/// Takes either or both, then goes back to `next`, or to the page that the form stood on.
async fn choose(whence: Whence, sent: FormData) -> Result<Response, Error> {
    let unknown = |field, allowed| Error::invalid(field, Message::new(allowed));
    let mut cookies = Vec::new();
    if let Some(code) = sent.get("units") {
        let units = Units::from_code(code)
            .ok_or_else(|| unknown("units", "These units are not known here; known are metric and us."))?;
        cookies.push(kept(UNITS_COOKIE, units.code())?);
    }
    if let Some(code) = sent.get("language") {
        let language = Language::from_code(code)
            .ok_or_else(|| unknown("language", "This language is not spoken here; spoken is en."))?;
        cookies.push(kept(LANGUAGE_COOKIE, language.code())?);
    }
    let next = sent.get("next").or(whence.from.as_deref()).unwrap_or("/");
    let cookies = cookies.into_iter().map(|cookie| (header::SET_COOKIE, cookie)).collect::<Vec<_>>();
    Ok((AppendHeaders(cookies), Redirect::to(local(next))).into_response())
}

fn kept(name: &str, value: &str) -> Result<HeaderValue, Error> {
    HeaderValue::from_str(&format!("{name}={value}; HttpOnly; SameSite=Lax; Path=/; Max-Age={KEPT_SECONDS}"))
        .map_err(Error::internal)
}
