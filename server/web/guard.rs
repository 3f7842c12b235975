//! Who may knock. The name the request was sent to must be ours (a page elsewhere that rebinds its own name to this
//! machine would arrive under that name), and a change must come from our own pages. tower-http's layer holds
//! `Sec-Fetch-Site` and `Origin` against `Host`; here stands what it leaves open.

use std::net::IpAddr;
use std::net::Ipv6Addr;
use std::sync::Arc;

use axum::extract::Request;
use axum::extract::State;
use axum::http::header;
use axum::middleware::Next;
use axum::response::Response;

use crate::web::error::Error;

/// Names that are always ours; addresses are too.
const OUR_NAMES: [&str; 2] = ["localhost", "keepwell.local"];

/// On every request: 421 for a name that is not ours.
pub(super) async fn host(State(names): State<Arc<[String]>>, request: Request, next: Next) -> Result<Response, Error> {
    match not_ours(&request, &names) {
        None => Ok(next.run(request).await),
        Some(wrong) => Err(Error::BadHost(wrong)),
    }
}

/// The name a request was sent to, where it is not ours; empty where it names none. HTTP/2 carries the name in the
/// address, HTTP/1.1 in the header; if both are there, both must be ours.
fn not_ours(request: &Request, names: &[String]) -> Option<String> {
    let headers = request.headers().get_all(header::HOST).iter().map(|value| value.to_str().unwrap_or_default());
    let mut given = headers.chain(request.uri().authority().map(|authority| authority.as_str())).peekable();
    if given.peek().is_none() {
        return Some(String::new());
    }
    given.find(|given| !is_ours(given, names)).map(str::to_owned)
}

/// On a change: 403 where neither header says whence it came and a cookie came with it. Browsers always send `Origin`
/// on a post; a program of one's own has a token, in a header that no page elsewhere can make a browser send.
pub(super) async fn origin(request: Request, next: Next) -> Result<Response, Error> {
    let headers = request.headers();
    let says_whence = headers.contains_key("sec-fetch-site") || headers.contains_key(header::ORIGIN);
    let by_token = headers.contains_key(header::AUTHORIZATION);
    if request.method().is_safe() || says_whence || by_token || !headers.contains_key(header::COOKIE) {
        Ok(next.run(request).await)
    } else {
        Err(Error::CrossSite)
    }
}

fn is_ours(given: &str, names: &[String]) -> bool {
    let Some(name) = without_port(given) else { return false };
    let name = name.trim_end_matches('.').to_ascii_lowercase();
    name.parse::<IpAddr>().is_ok()
        || name
            .strip_prefix('[')
            .and_then(|rest| rest.strip_suffix(']'))
            .is_some_and(|v6| v6.parse::<Ipv6Addr>().is_ok())
        || OUR_NAMES.contains(&name.as_str())
        || names.contains(&name)
}

/// The name of a `Host` header; `None` where what follows the colon is no port.
pub(super) fn without_port(given: &str) -> Option<&str> {
    let (name, port) = match given.rsplit_once(':') {
        Some((_, after)) if after.ends_with(']') => (given, None),
        Some((name, port)) => (name, Some(port)),
        None => (given, None),
    };
    port.is_none_or(|port| port.parse::<u16>().is_ok()).then_some(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_and_our_names_are_answered() {
        let names = ["water.example".to_owned()];
        for ours in [
            "127.0.0.1",
            "127.0.0.1:8730",
            "192.168.1.7:80",
            "[::1]:8730",
            "[fe80::1]",
            "localhost:8730",
            "LOCALHOST",
            "keepwell.local",
            "keepwell.local.:8730",
            "water.example:8730",
            "Water.Example",
        ] {
            assert!(is_ours(ours, &names), "{ours}");
        }
    }

    #[test]
    fn a_rebound_name_is_not() {
        for wrong in [
            "evil.example",
            "evil.example:8730",
            "127.0.0.1.evil.example",
            "localhost.evil.example",
            "",
            ":80",
            "::1x",
            "localhost:80:80",
            "[::1",
            "localhost:port",
            "hall",
        ] {
            assert!(!is_ours(wrong, &[]), "{wrong}");
        }
    }
}
