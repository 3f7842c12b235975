//! Whether a page is the same as the one the browser holds: then it is not made again. A page that shows the picture
//! alone depends on the picture, the minute, the address, the reader, and this run of the program.

use std::fmt::Write as _;
use std::sync::LazyLock;

use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;
use sha2::Digest;
use sha2::Sha256;
use uuid::Uuid;

use crate::web::House;
use crate::web::error::Error;
use crate::web::visitor::Visitor;

/// Another run may be another build, so nothing is held from one run to the next; and nobody outside can guess a tag.
static RUN: LazyLock<Uuid> = LazyLock::new(Uuid::now_v7);

/// The tag of a page before it is made.
#[derive(Clone, Debug)]
pub struct Fresh(HeaderValue);

impl Fresh {
    /// # Errors
    /// Never in practice: a tag is made of letters and digits.
    pub fn of(house: &House, visitor: &Visitor, uri: &Uri) -> Result<Self, Error> {
        let picture = house.app.picture();
        let told = format!(
            "{} {} {} {} {uri} {:?} {} {:?}",
            *RUN,
            picture.entry_seq,
            picture.change_seq,
            house.app.now().micros(),
            visitor.caller.id(),
            visitor.reader.language.code(),
            visitor.reader.units,
        );
        let mut tag = String::from("W/\"");
        for byte in Sha256::digest(told).iter().take(16) {
            // writing to a String cannot fail
            let _ = write!(tag, "{byte:02x}");
        }
        tag.push('"');
        HeaderValue::from_str(&tag).map(Self).map_err(Error::internal)
    }

    /// The answer that needs no page, if the browser holds this one.
    #[must_use]
    pub fn held(&self, headers: &HeaderMap) -> Option<Response> {
        let held = headers.get_all(header::IF_NONE_MATCH).iter().filter_map(|value| value.to_str().ok());
        let mut tags = held.flat_map(|value| value.split(','));
        let same = |tag: &str| self.0.to_str().is_ok_and(|mine| mine.trim_start_matches("W/") == tag);
        tags.any(|tag| same(tag.trim().trim_start_matches("W/")))
            .then(|| self.dress(StatusCode::NOT_MODIFIED.into_response()))
    }

    /// The page with its tag.
    #[must_use]
    pub fn dress(&self, mut page: Response) -> Response {
        let headers = page.headers_mut();
        headers.insert(header::ETAG, self.0.clone());
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("private, no-cache"));
        headers.insert(header::VARY, HeaderValue::from_static("Cookie, Accept-Language"));
        page
    }
}
