//! Who reads the page: in which language and units, in which zone, and when.

use std::any::Any;
use std::sync::Arc;

use askama::Values;
use axum::extract::FromRequestParts;
use axum::extract::Request;
use axum::extract::State;
use axum::http::request::Parts;
use axum::middleware::Next;
use axum::response::Response;
use axum_extra::extract::CookieJar;
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::web::error::Error;
pub use crate::web::words::Language;

/// The cookie that holds the reader's units.
pub const UNITS_COOKIE: &str = "kw_units";
/// The cookie that holds the reader's language.
pub const LANGUAGE_COOKIE: &str = "kw_lang";

/// The system of units a reader thinks in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// litres, metres, °C, kPa, kg
    #[default]
    Metric,
    /// US gallons, feet and inches, °F, psi, pounds
    Us,
}

impl Units {
    /// Every system, as offered to a reader.
    pub const ALL: [Self; 2] = [Self::Metric, Self::Us];

    /// The word for it in the cookie, the settings and a form.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Us => "us",
        }
    }

    /// The system of a code, if there is one.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|units| units.code() == code)
    }
}

/// Whom a page is for. Filters find it among askama's values.
#[derive(Clone, Debug)]
pub struct Reader {
    /// the language of the words
    pub language: Language,
    /// the units of the figures
    pub units: Units,
    /// the zone of the neighbourhood's clocks
    pub zone: TimeZone,
    /// the moment the page is made
    pub now: Timestamp,
}

impl Reader {
    /// The name under which filters find the reader among askama's values.
    pub const KEY: &str = "reader";

    /// This reader, with the language and units of the cookies where those name any.
    #[must_use]
    pub fn with_cookies(mut self, cookies: &CookieJar) -> Self {
        if let Some(units) = cookies.get(UNITS_COOKIE).and_then(|cookie| Units::from_code(cookie.value())) {
            self.units = units;
        }
        if let Some(language) = cookies.get(LANGUAGE_COOKIE).and_then(|cookie| Language::from_code(cookie.value())) {
            self.language = language;
        }
        self
    }

    /// One of our words in the reader's language.
    pub(crate) fn word(&self, key: &'static str) -> &'static str {
        self.language.catalogue().word(key)
    }
}

/// Makes the reader of a request whose cookies say nothing: the neighbourhood's setting, and the time.
#[derive(Clone)]
pub struct Usual(Arc<dyn Fn() -> Reader + Send + Sync>);

impl Usual {
    /// Asked once for each request.
    pub fn new(usual: impl Fn() -> Reader + Send + Sync + 'static) -> Self {
        Self(Arc::new(usual))
    }
}

/// Finds out who reads, once for each request, so that its page and its errors have one reader and one time.
pub(super) async fn meet(State(usual): State<Usual>, mut request: Request, next: Next) -> Response {
    let mut reader = (usual.0)().with_cookies(&CookieJar::from_headers(request.headers()));
    if request.uri().path().starts_with("/api/") {
        // Its figures are metric, so what is said of them is.
        reader.units = Units::Metric;
    }
    request.extensions_mut().insert(reader);
    next.run(request).await
}

impl<S: Sync> FromRequestParts<S> for Reader {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        parts.extensions.get::<Self>().cloned().ok_or_else(|| Error::internal("no reader was met before this route"))
    }
}

/// A reader is all the values a page needs: `page.render_with_values(&reader)`.
impl Values for Reader {
    fn get_value<'a>(&'a self, key: &str) -> Option<&'a dyn Any> {
        (key == Self::KEY).then_some(self as &dyn Any)
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use axum_extra::extract::cookie::Cookie;

    use super::*;

    /// A reader in an invented place one hour ahead of UTC, on Wednesday 4 March 2026, 08:10.
    pub fn reader(units: Units) -> Reader {
        Reader {
            language: Language::English,
            units,
            zone: TimeZone::fixed(jiff::tz::offset(1)),
            now: "2026-03-04T07:10:00Z".parse().unwrap(),
        }
    }

    #[test]
    fn a_cookie_wins_over_the_setting_and_nonsense_does_not() {
        let jar = |value: &'static str| CookieJar::new().add(Cookie::new(UNITS_COOKIE, value));
        assert_eq!(reader(Units::Metric).with_cookies(&jar("us")).units, Units::Us);
        assert_eq!(reader(Units::Us).with_cookies(&jar("metric")).units, Units::Metric);
        assert_eq!(reader(Units::Us).with_cookies(&jar("cubits")).units, Units::Us);
        assert_eq!(reader(Units::Us).with_cookies(&CookieJar::new()).units, Units::Us);
    }
}
