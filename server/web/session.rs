//! The cookie that holds a visitor's session token. What a token is good for is the service's to say; here it only
//! goes out and comes back.

use axum::http::HeaderMap;
use axum::http::HeaderValue;
use axum_extra::extract::cookie::CookieJar;

/// Over plain http. A `Secure` or `__Host-` cookie would be dropped there, and cookies ignore ports, so the one for
/// https will have a name of its own.
pub const NAME: &str = "kw_lan";

/// A session ends after 30 days at the latest (the service ends idle ones sooner).
const LONGEST_SECONDS: u32 = 30 * 24 * 60 * 60;

/// The token that came with a request.
#[must_use]
pub fn read(headers: &HeaderMap) -> Option<String> {
    CookieJar::from_headers(headers).get(NAME).map(|cookie| cookie.value().to_owned()).filter(|token| !token.is_empty())
}

/// The `Set-Cookie` value that starts a session. Tokens are hexadecimal; `None` for anything else.
#[must_use]
pub fn set(token: &str) -> Option<HeaderValue> {
    if token.is_empty() || !token.bytes().all(|byte| byte.is_ascii_hexdigit()) {
        return None;
    }
    let cookie = format!("{NAME}={token}; HttpOnly; SameSite=Lax; Path=/; Max-Age={LONGEST_SECONDS}");
    HeaderValue::from_str(&cookie).ok()
}

/// The `Set-Cookie` value that ends it.
#[must_use]
pub fn clear() -> HeaderValue {
    HeaderValue::from_static("kw_lan=; HttpOnly; SameSite=Lax; Path=/; Max-Age=0")
}

#[cfg(test)]
mod tests {
    use axum::http::header;

    use super::*;

    #[test]
    fn what_is_set_comes_back() {
        let sent = set("00ff").unwrap();
        let pair = sent.to_str().unwrap().split(';').next().unwrap();
        let mut headers = HeaderMap::new();
        headers.insert(header::COOKIE, HeaderValue::from_str(&format!("other=1; {pair}")).unwrap());
        assert_eq!(read(&headers).as_deref(), Some("00ff"));
    }

    #[test]
    fn nothing_else_slips_into_the_header() {
        assert_eq!(set("a; Domain=evil"), None);
        assert_eq!(set(""), None);
        assert!(clear().to_str().unwrap().starts_with(NAME));
    }
}
