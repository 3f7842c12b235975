//! Headers that every answer carries, errors and files included.

use axum::extract::Request;
use axum::http::HeaderName;
use axum::http::HeaderValue;
use axum::http::header;
use axum::middleware::Next;
use axum::response::Response;

/// Nothing from elsewhere, no script or style in the page itself, no frame round it.
const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
     font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; \
     frame-ancestors 'none'";

/// Over plain http. `Referrer-Policy: no-referrer` would make browsers send `Origin: null` with a form, which the guard
/// refuses. Strict-Transport-Security is left out on purpose: a lapsed certificate must never lock people out.
pub const EVERYWHERE: [(HeaderName, HeaderValue); 6] = [
    (header::CONTENT_SECURITY_POLICY, HeaderValue::from_static(CONTENT_SECURITY_POLICY)),
    (header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff")),
    (header::REFERRER_POLICY, HeaderValue::from_static("same-origin")),
    (header::X_FRAME_OPTIONS, HeaderValue::from_static("DENY")),
    (HeaderName::from_static("cross-origin-resource-policy"), HeaderValue::from_static("same-origin")),
    (
        HeaderName::from_static("permissions-policy"),
        HeaderValue::from_static("geolocation=(), microphone=(), camera=(self)"),
    ),
];

pub(super) async fn everywhere(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in EVERYWHERE {
        headers.insert(name, value);
    }
    // What nobody thought about is not kept.
    if !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}
