//! Where a request came from, and over what: the address its tries to sign in are counted by, the name it asked for,
//! and whether others on the way could read it.

use std::net::IpAddr;
use std::net::Ipv6Addr;
use std::net::SocketAddr;

use axum::extract::ConnectInfo;
use axum::extract::FromRequestParts;
use axum::http::header;
use axum::http::request::Parts;

use crate::web::error::Error;
use crate::web::guard;

/// The way a request came.
#[derive(Clone, Debug)]
pub struct Whence {
    /// the other end's address, without its port
    pub address: String,
    /// the name and port that were asked for: `192.168.1.7:8730`
    pub host: String,
    /// the page of ours that was open when it was sent: its path and question
    pub from: Option<String>,
}

impl<S: Sync> FromRequestParts<S> for Whence {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        let peer = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        let address = peer.map_or_else(|| "unknown".to_owned(), |peer| peer.0.ip().to_canonical().to_string());
        let told = |name| parts.headers.get(name).and_then(|value: &axum::http::HeaderValue| value.to_str().ok());
        let asked = parts.uri.authority().map(axum::http::uri::Authority::as_str);
        let host = asked.or_else(|| told(header::HOST)).unwrap_or_default().to_owned();
        let from = told(header::REFERER).and_then(|from| {
            let here = from.split_once("://")?.1.strip_prefix(host.as_str())?;
            here.starts_with('/').then(|| here.to_owned())
        });
        Ok(Self { address, host, from })
    }
}

impl Whence {
    /// Whether it came over the network, where plain http can be read along. To this machine's own name it did not.
    #[must_use]
    pub fn is_overheard(&self) -> bool {
        let Some(name) = guard::without_port(&self.host) else { return true };
        let name = name.trim_end_matches('.');
        let v6 = name.strip_prefix('[').and_then(|rest| rest.strip_suffix(']'));
        let stays = v6.map_or_else(
            || name.parse::<IpAddr>().map_or_else(|_| name.eq_ignore_ascii_case("localhost"), |ip| ip.is_loopback()),
            |v6| v6.parse::<Ipv6Addr>().is_ok_and(|ip| ip.is_loopback()),
        );
        !stays
    }
}

/// An address on this server that a visitor may be sent on to: it begins with one `/`, and holds nothing that a
/// browser might read as another host. Anything else becomes the first page.
#[must_use]
pub fn local(next: &str) -> &str {
    let plain = next.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'\\');
    if plain && next.starts_with('/') && !next.starts_with("//") { next } else { "/" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_own_addresses_are_gone_on_to() {
        for ours in ["/", "/sites?kind=hall&x=1", "/log#end", "/a//b"] {
            assert_eq!(local(ours), ours);
        }
        for other in [
            "",
            "sites",
            "//evil.example",
            "/\\evil.example",
            "https://evil.example/",
            "/a\r\nSet-Cookie: x",
            "/é",
            "/\t/evil",
        ] {
            assert_eq!(local(other), "/", "{other:?}");
        }
    }

    async fn asked(host: &str, referer: &str) -> Whence {
        let request = axum::http::Request::builder().uri("/x").header("host", host).header("referer", referer);
        let (mut parts, ()) = request.body(()).unwrap().into_parts();
        Whence::from_request_parts(&mut parts, &()).await.unwrap()
    }

    #[tokio::test]
    async fn this_machine_is_not_overheard_and_the_network_is() {
        for here in ["127.0.0.1:8730", "127.9.9.9", "localhost:1", "LOCALHOST.", "[::1]:8730"] {
            assert!(!asked(here, "").await.is_overheard(), "{here}");
        }
        for there in ["192.168.1.7:8730", "keepwell.local", "[fe80::1]", "127.0.0.1.evil.example", "localhost:x"] {
            assert!(asked(there, "").await.is_overheard(), "{there}");
        }
    }

    #[tokio::test]
    async fn the_page_before_is_known_if_it_is_ours() {
        let from = |referer: &'static str| async move { asked("hall:8730", referer).await.from };
        assert_eq!(from("http://hall:8730/sites?x=1").await.as_deref(), Some("/sites?x=1"));
        assert_eq!(from("http://evil.example/sites").await, None);
        assert_eq!(from("http://hall:87301/sites").await, None);
        assert_eq!(from("").await, None);
    }
}
