//! A house of one's own for a test: the real rooms on a free port, an empty data folder, a clock that stands still until
//! it is moved, and a visitor who behaves as a browser does (cookies kept, `Origin` on a post, redirects not followed
//! unless asked).

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::Once;
use std::sync::atomic::AtomicU32;
use std::sync::atomic::Ordering;

use jiff::Timestamp;
use keepwell::app;
use keepwell::app::Running;
use keepwell::clock::Clock;
use keepwell::config::Serve;
use reqwest::Method;
use reqwest::header::HeaderMap;

/// A Saturday morning in March.
pub const THEN: &str = "2026-03-14T09:30:00Z";

/// A folder that is gone when the test ends.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new() -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let number = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("keepwell-test-{}-{number}", std::process::id()));
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        std::fs::remove_dir_all(&self.0).unwrap();
    }
}

pub struct House {
    pub clock: Clock,
    pub running: Running,
    /// Dropped last: the running house holds a lock inside.
    pub folder: Folder,
}

impl House {
    pub async fn open() -> Self {
        Self::open_in(Folder::new()).await
    }

    /// On a folder that may have a past.
    pub async fn open_in(folder: Folder) -> Self {
        install_tls();
        let clock = Clock::standing_at(THEN.parse::<Timestamp>().unwrap());
        let running = app::start(&serve_in(folder.path()), clock.clone()).await.unwrap();
        Self { clock, running, folder }
    }

    /// Closes the door and hands back the folder, for what may be opened in it next.
    pub async fn close(self) -> Folder {
        self.running.stop().await.unwrap();
        self.folder
    }

    pub fn visitor(&self) -> Visitor {
        Visitor::of(&self.running.url())
    }
}

pub fn serve_in(folder: &Path) -> Serve {
    Serve {
        demo: false,
        lan: false,
        port: 0,
        data: folder.to_owned(),
        names: vec!["water.example".to_owned()],
        a_minute: None,
    }
}

fn install_tls() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| app::install_tls().unwrap());
}

/// Someone with a browser: one jar of cookies, kept by hand.
pub struct Visitor {
    /// Without the last slash: `http://127.0.0.1:8730`.
    pub base: String,
    client: reqwest::Client,
    cookies: Mutex<BTreeMap<String, String>>,
}

#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: HeaderMap,
    pub text: String,
}

impl Answer {
    /// A header's value, or nothing.
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }
}

impl Visitor {
    pub fn of(url: &str) -> Self {
        install_tls();
        let client = app::client().unwrap().redirect(reqwest::redirect::Policy::none()).build().unwrap();
        Self { base: url.trim_end_matches('/').to_owned(), client, cookies: Mutex::default() }
    }

    /// As a browser opens an address.
    pub async fn get(&self, path: &str) -> Answer {
        self.get_with(path, &[]).await
    }

    pub async fn get_with(&self, path: &str, headers: &[(&str, &str)]) -> Answer {
        self.send(Method::GET, path, headers, String::new()).await
    }

    /// As a browser sends a form.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.try_post(path, fields).await.unwrap()
    }

    /// The same of a server that may be gone before it answers.
    pub async fn try_post(&self, path: &str, fields: &[(&str, &str)]) -> reqwest::Result<Answer> {
        let origin = self.base.clone();
        let headers = [("origin", origin.as_str()), ("content-type", "application/x-www-form-urlencoded")];
        self.try_send(Method::POST, path, &headers, form(fields)).await
    }

    /// Whatever is given, and the cookies; `Accept` is a browser's unless given.
    pub async fn send(&self, method: Method, path: &str, headers: &[(&str, &str)], body: String) -> Answer {
        self.try_send(method, path, headers, body).await.unwrap()
    }

    /// The same of a server that may be gone before it answers.
    pub async fn try_send(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        body: String,
    ) -> reqwest::Result<Answer> {
        let mut request = self.client.request(method, format!("{}{path}", self.base)).body(body);
        if !headers.iter().any(|(name, _)| *name == "accept") {
            request = request.header("accept", "text/html,*/*;q=0.8");
        }
        let cookies =
            self.cookies.lock().unwrap().iter().map(|(name, value)| format!("{name}={value}")).collect::<Vec<_>>();
        if !cookies.is_empty() {
            request = request.header("cookie", cookies.join("; "));
        }
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let response = request.send().await?;
        let (status, headers) = (response.status().as_u16(), response.headers().clone());
        for cookie in headers.get_all("set-cookie") {
            self.keep(cookie.to_str().unwrap());
        }
        let bytes = response.bytes().await?;
        Ok(Answer { status, headers, text: String::from_utf8_lossy(&bytes).into_owned() })
    }

    pub fn set_cookie(&self, name: &str, value: &str) {
        self.cookies.lock().unwrap().insert(name.to_owned(), value.to_owned());
    }

    pub fn cookie(&self, name: &str) -> Option<String> {
        self.cookies.lock().unwrap().get(name).cloned()
    }

    fn keep(&self, set: &str) {
        let (pair, rest) = set.split_once(';').unwrap_or((set, ""));
        let (name, value) = pair.split_once('=').unwrap();
        let mut cookies = self.cookies.lock().unwrap();
        if rest.to_ascii_lowercase().contains("max-age=0") {
            cookies.remove(name);
        } else {
            cookies.insert(name.to_owned(), value.to_owned());
        }
    }
}

fn form(fields: &[(&str, &str)]) -> String {
    let escaped = |text: &str| {
        text.bytes().fold(String::new(), |mut out, byte| {
            if byte.is_ascii_alphanumeric() {
                out.push(char::from(byte));
            } else {
                write!(out, "%{byte:02X}").unwrap();
            }
            out
        })
    };
    fields.iter().map(|(name, value)| format!("{}={}", escaped(name), escaped(value))).collect::<Vec<_>>().join("&")
}

#[tokio::test]
async fn the_clock_stands_and_cookies_come_and_go() {
    let house = House::open().await;
    assert_eq!(house.clock.minute(), THEN.parse().unwrap());
    let visitor = house.visitor();
    visitor.set_cookie("kw_units", "us");
    visitor.keep("kw_lan=00ff; HttpOnly; Path=/; Max-Age=60");
    assert_eq!(visitor.cookie("kw_lan").as_deref(), Some("00ff"));
    visitor.keep("kw_lan=; Path=/; Max-Age=0");
    assert_eq!(visitor.cookie("kw_lan"), None);
    assert_eq!(visitor.cookie("kw_units").as_deref(), Some("us"));
    house.close().await;
}
