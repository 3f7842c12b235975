//! Style, script, fonts and pictures: files of `static/` under names that hold a hash of their content, so that a
//! browser may keep each for ever. `server/build.rs` makes the table.

use axum::extract::OriginalUri;
use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::web::error::Error;

/// One file, packed three ways; an absent packing would not have been smaller.
struct Asset {
    name: &'static str,
    path: &'static str,
    media: &'static str,
    tag: &'static str,
    plain: &'static [u8],
    brotli: Option<&'static [u8]>,
    gzip: Option<&'static [u8]>,
}

static ASSETS: &[Asset] = &include!(concat!(env!("OUT_DIR"), "/assets.rs"));

/// The address of a file of `static/`: `asset("keepwell.css")` is `/static/keepwell.3fa9....css`. `None` for a name
/// that is not there, which a template turns into an error rather than a dead link.
#[must_use]
pub fn asset(name: &str) -> Option<&'static str> {
    ASSETS.iter().find(|asset| asset.name == name).map(|asset| asset.path)
}

/// The whole of a file that is text.
#[must_use]
pub fn text(name: &str) -> Option<&'static str> {
    let asset = ASSETS.iter().find(|asset| asset.name == name)?;
    std::str::from_utf8(asset.plain).ok()
}

/// Every address under `/static`.
pub fn paths() -> impl Iterator<Item = &'static str> {
    ASSETS.iter().map(|asset| asset.path)
}

/// `GET /static/{*path}`
pub(super) async fn serve(OriginalUri(address): OriginalUri, headers: HeaderMap) -> Result<Response, Error> {
    let asset =
        ASSETS.iter().find(|asset| asset.path == address.path()).ok_or_else(|| Error::no_page(address.path()))?;
    let mut reply = HeaderMap::new();
    reply.insert(header::CACHE_CONTROL, HeaderValue::from_static("public, max-age=31536000, immutable"));
    reply.insert(header::ETAG, HeaderValue::from_static(asset.tag));
    reply.insert(header::VARY, HeaderValue::from_static("Accept-Encoding"));
    if headers.get_all(header::IF_NONE_MATCH).iter().any(|given| matches(given, asset.tag)) {
        return Ok((StatusCode::NOT_MODIFIED, reply).into_response());
    }
    reply.insert(header::CONTENT_TYPE, HeaderValue::from_static(asset.media));
    let (bytes, coding) = match (asset.brotli, asset.gzip) {
        (Some(brotli), _) if accepts(&headers, "br") => (brotli, Some("br")),
        (_, Some(gzip)) if accepts(&headers, "gzip") => (gzip, Some("gzip")),
        _ => (asset.plain, None),
    };
    if let Some(coding) = coding {
        reply.insert(header::CONTENT_ENCODING, HeaderValue::from_static(coding));
    }
    Ok((reply, bytes).into_response())
}

/// `If-None-Match` is a list, compared weakly.
fn matches(given: &HeaderValue, tag: &str) -> bool {
    given
        .to_str()
        .is_ok_and(|list| list.split(',').map(str::trim).any(|one| one == "*" || one.trim_start_matches("W/") == tag))
}

/// Whether `Accept-Encoding` names this coding with a weight above nought.
fn accepts(headers: &HeaderMap, coding: &str) -> bool {
    headers.get_all(header::ACCEPT_ENCODING).iter().filter_map(|value| value.to_str().ok()).any(|list| {
        list.split(',').any(|one| {
            let mut parts = one.split(';').map(str::trim);
            let named = parts.next().is_some_and(|name| name.eq_ignore_ascii_case(coding));
            let weight = parts.find_map(|part| part.strip_prefix("q=")).map_or(Ok(1.0), str::parse::<f64>);
            named && weight.is_ok_and(|weight| weight > 0.0)
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_coding_with_no_weight_is_refused() {
        let mut headers = HeaderMap::new();
        headers.insert(header::ACCEPT_ENCODING, HeaderValue::from_static("gzip;q=0, BR;q=0.5, deflate"));
        assert!(accepts(&headers, "br"));
        assert!(!accepts(&headers, "gzip"));
        assert!(!accepts(&HeaderMap::new(), "br"));
    }

    #[test]
    fn tags_match_in_a_list_and_weakly() {
        assert!(matches(&HeaderValue::from_static("\"a\", W/\"b\""), "\"b\""));
        assert!(!matches(&HeaderValue::from_static("\"a\""), "\"b\""));
    }
}
