//! Whether a page is the same as one made before: then it is not made again. A page that shows the picture alone depends
//! on the picture, the minute, the address, the reader, and this run of the program. The browser that holds it is told
//! so; another that may see the same is given the page from the [`Shelf`], packed as it was.

use std::collections::VecDeque;
use std::fmt::Write as _;
use std::sync::Arc;
use std::sync::LazyLock;
use std::sync::Mutex;
use std::sync::PoisonError;

use axum::body::Body;
use axum::body::Bytes;
use axum::body::to_bytes;
use axum::extract::Request;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::Method;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::http::header;
use axum::middleware::Next;
use axum::response::IntoResponse;
use axum::response::Response;
use sha2::Digest;
use sha2::Sha256;
use uuid::Uuid;

use crate::web::House;
use crate::web::error::Error;
use crate::web::reader::Reader;
use crate::web::visitor::Visitor;

/// Another run may be another build, so nothing is held from one run to the next; and nobody outside can guess a tag.
static RUN: LazyLock<Uuid> = LazyLock::new(Uuid::now_v7);

/// What the shelf holds at most: some fifty pages as they are, some three hundred packed.
const SHELF_BYTES: usize = 4 * 1024 * 1024;

/// The tag of a page before it is made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fresh(HeaderValue);

impl Fresh {
    /// # Errors
    /// Never in practice: a tag is made of letters and digits.
    pub fn of(house: &House, visitor: &Visitor, uri: &Uri) -> Result<Self, Error> {
        Self::to(house, &format!("{:?} {}", visitor.caller.id(), visitor.full), &visitor.reader, uri)
    }

    /// The same for an answer to `whose` questions, where it is not a visitor of the pages.
    ///
    /// # Errors
    /// As [`Fresh::of`].
    pub fn to(house: &House, whose: &str, reader: &Reader, uri: &Uri) -> Result<Self, Error> {
        let picture = house.app.picture();
        let told = format!(
            "{} {} {} {} {uri} {whose} {} {:?}",
            *RUN,
            picture.entry_seq,
            picture.change_seq,
            house.app.now().micros(),
            reader.language.code(),
            reader.units,
        );
        let mut tag = String::from("W/\"");
        for byte in Sha256::digest(told).iter().take(16) {
            // writing to a String cannot fail
            let _ = write!(tag, "{byte:02x}");
        }
        tag.push('"');
        HeaderValue::from_str(&tag).map(Self).map_err(Error::internal)
    }

    /// The answer that needs no page made, if the browser holds this one or it stands on the shelf.
    #[must_use]
    pub fn held(&self, house: &House, headers: &HeaderMap) -> Option<Response> {
        let held = headers.get_all(header::IF_NONE_MATCH).iter().filter_map(|value| value.to_str().ok());
        let mut tags = held.flat_map(|value| value.split(','));
        let same = |tag: &str| self.0.to_str().is_ok_and(|mine| mine.trim_start_matches("W/") == tag);
        if tags.any(|tag| same(tag.trim().trim_start_matches("W/"))) {
            return Some(self.dress(StatusCode::NOT_MODIFIED.into_response()));
        }
        house.shelf.take(self, headers.get(header::ACCEPT_ENCODING))
    }

    /// The page with its tag.
    #[must_use]
    pub fn dress(&self, mut page: Response) -> Response {
        let headers = page.headers_mut();
        headers.insert(header::ETAG, self.0.clone());
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("private, no-cache"));
        headers.insert(header::VARY, HeaderValue::from_static("Cookie, Accept-Language"));
        page.extensions_mut().insert(self.clone());
        page
    }
}

/// Pages just made, as they were sent, the newest last.
#[derive(Clone, Debug, Default)]
pub struct Shelf(Arc<Mutex<VecDeque<Made>>>);

#[derive(Debug)]
struct Made {
    tag: Fresh,
    /// how its asker could unpack it
    unpacks: Option<HeaderValue>,
    headers: HeaderMap,
    body: Bytes,
}

impl Shelf {
    fn take(&self, tag: &Fresh, unpacks: Option<&HeaderValue>) -> Option<Response> {
        let shelf = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let made = shelf.iter().find(|made| made.tag == *tag && made.unpacks.as_ref() == unpacks)?;
        let mut response = Response::new(Body::from(made.body.clone()));
        response.headers_mut().clone_from(&made.headers);
        Some(response)
    }

    fn put(&self, made: Made) {
        let mut shelf = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        shelf.push_back(made);
        while shelf.iter().map(|made| made.body.len()).sum::<usize>() > SHELF_BYTES {
            shelf.pop_front();
        }
    }
}

/// Puts every page that was made with a tag on the shelf. Stands outside the layer that packs.
pub(super) async fn shelve(State(house): State<House>, request: Request, next: Next) -> Response {
    let unpacks = request.headers().get(header::ACCEPT_ENCODING).cloned();
    let whole = request.method() == Method::GET;
    let response = next.run(request).await;
    if !whole || response.status() != StatusCode::OK {
        return response;
    }
    let Some(tag) = response.extensions().get::<Fresh>().cloned() else { return response };
    let (parts, body) = response.into_parts();
    // a page is made in memory, and so is what it is packed into
    let body = match to_bytes(body, usize::MAX).await {
        Ok(body) => body,
        Err(error) => return Error::internal(error).into_response(),
    };
    house.shelf.put(Made { tag, unpacks, headers: parts.headers.clone(), body: body.clone() });
    Response::from_parts(parts, Body::from(body))
}
