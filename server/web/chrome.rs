//! What stands round every page: the neighbourhood's name, the places one can go, who is signed in, and what has just
//! been said; and the one way in which a page is rendered.

use askama::Template;
use axum::http::HeaderValue;
use axum::http::header;
use axum::response::Html;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::web::error::Error;
use crate::web::reader::Reader;

/// For `base.html`: every page's template struct has a field `chrome`.
#[derive(Clone, Debug, Default)]
pub struct Chrome {
    /// Empty until the neighbourhood has a name.
    pub neighbourhood: String,
    /// "Maren, coordinator"; `None` when nobody is signed in.
    pub who: Option<String>,
    pub place: Place,
    /// What was just done, shown once: "Logged: 40 L drawn from Byre 2."
    pub said: Option<String>,
    /// the outage that is on
    pub outage: Option<Mark>,
    /// the disk is full: nothing new can be kept
    pub full: bool,
}

/// An outage that is on, or a drill: it stands on every page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mark {
    pub drill: bool,
    pub since: jiff::Timestamp,
    /// its day, the first being 1
    pub day: u64,
}

/// Where the visitor stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Place {
    Today,
    Sites,
    Log,
    Upkeep,
    Outage,
    Paper,
    SetUp,
    Data,
    SignIn,
    #[default]
    None,
}

impl Chrome {
    /// For pages outside every place, such as an error's.
    #[must_use]
    pub fn nowhere() -> Self {
        Self::default()
    }

    /// The outage's mark, where it is not said by the page itself. A drill is said everywhere.
    #[must_use]
    pub fn mark(&self) -> Option<Mark> {
        self.outage.filter(|mark| self.who.is_some() && (mark.drill || self.place != Place::Outage))
    }

    /// For the templates:
    /// (address, English label, is it here). None for who has still to sign in: each would lead back there.
    #[must_use]
    pub fn places(&self) -> Vec<(&'static str, &'static str, bool)> {
        if self.who.is_none() && self.place == Place::SignIn {
            return Vec::new();
        }
        [
            ("/", "Today", Place::Today),
            ("/sites", "Sites", Place::Sites),
            ("/log", "Log", Place::Log),
            ("/upkeep", "Upkeep", Place::Upkeep),
            ("/outage", "Outage", Place::Outage),
            ("/paper", "Paper", Place::Paper),
            ("/set-up", "Set-up", Place::SetUp),
            ("/data", "Data", Place::Data),
        ]
        .map(|(href, label, place)| (href, label, place == self.place))
        .to_vec()
    }
}

/// Renders a page for its reader. Pages are personal until one says otherwise, so they are not stored.
///
/// # Errors
/// A filter that failed: our fault, never the visitor's.
pub fn page<T: Template>(reader: &Reader, template: T) -> Result<Response, Error> {
    let html = template.render_with_values(reader)?;
    let mut response = Html(html).into_response();
    let headers = response.headers_mut();
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    headers.insert(header::VARY, HeaderValue::from_static("Cookie, Accept-Language"));
    Ok(response)
}
