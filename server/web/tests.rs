//! The way of a request, with routes made for the purpose: every error as a page and as problem details, bodies too
//! large, forms, panics. What needs no made-up route is in `tests/house`.

use std::collections::BTreeSet;
use std::net::Ipv4Addr;

use axum::body::Body;
use axum::body::to_bytes;
use axum::extract::Request;
use axum::http::HeaderMap;
use axum::http::Method;
use tokio::io::AsyncReadExt;
use tokio::io::AsyncWriteExt;
use tower::ServiceExt;

use super::*;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::App;
use crate::web::extract::FormData;
use crate::web::extract::Path;
use crate::web::extract::Upload;
use crate::web::fresh::Shelf;
use crate::web::reader::Units;
use crate::web::reader::Usual;
use crate::web::reader::tests::reader;

/// One of each.
fn errors() -> Vec<Error> {
    vec![
        Error::NotFound(Message::new("There is no vessel {id}.").with("id", Arg::text("<12>"))),
        Error::MethodNotAllowed,
        Error::Forbidden(Message::new("Only a coordinator may do this.")),
        Error::CrossSite,
        Error::SignInNeeded { next: "/sites?kind=hall&x=1".to_owned() },
        Error::Unreadable(Message::new("The JSON stops half way.")),
        Error::invalid("depth", Message::new("Depth: -3 cm; 0 to 1.20 m")),
        Error::TooLarge { limit_bytes: 1024 * 1024 },
        Error::UnsupportedMedia { wanted: "a form" },
        Error::BadHost("evil.example".to_owned()),
        Error::Conflict(Message::new("This entry is there already, with another amount.")),
        Error::Stale(Message::new("Someone changed the name to Byre 2.")),
        Error::TooMany { seconds: 40 },
        Error::Unavailable(Message::new("The server is stopping.")),
        Error::TimedOut,
        Error::Full,
        Error::internal("the disk under /srv/secret is on fire"),
    ]
}

/// A new variant does not compile until it has a number here; the test below then wants it among [`errors`].
fn number(error: &Error) -> usize {
    match error {
        Error::NotFound(_) => 0,
        Error::MethodNotAllowed => 1,
        Error::Forbidden(_) => 2,
        Error::CrossSite => 3,
        Error::SignInNeeded { .. } => 4,
        Error::Unreadable(_) => 5,
        Error::Invalid(_) => 6,
        Error::TooLarge { .. } => 7,
        Error::UnsupportedMedia { .. } => 8,
        Error::BadHost(_) => 9,
        Error::Conflict(_) => 10,
        Error::Stale(_) => 11,
        Error::TooMany { .. } => 12,
        Error::Unavailable(_) => 13,
        Error::TimedOut => 14,
        Error::Full => 15,
        Error::Internal(_) => 16,
    }
}

async fn wrong(Path(number): Path<usize>) -> Error {
    errors().swap_remove(number)
}

async fn form(form: FormData) -> String {
    format!("{:?} {:?}", form.get("depth"), form.all("lot").collect::<Vec<_>>())
}

async fn upload(upload: Upload) -> String {
    let files: Vec<_> = upload.files.iter().map(|file| format!("{} {}", file.name, file.bytes.len())).collect();
    format!("{:?} {files:?}", upload.fields.get("units"))
}

async fn panics() {
    panic!("a secret inside");
}

async fn made_up() -> Router {
    let routes = Routes::new().get("/wrong/{number}", wrong).get("/panics", panics).post("/form", form).post_up_to(
        "/import",
        3 * BODY_LIMIT_BYTES,
        upload,
    );
    let app = App::that_keeps_nothing().await;
    assemble(
        routes,
        House { names: Arc::from([]), usual: Usual::new(|| reader(Units::Metric)), app, shelf: Shelf::default() },
    )
    .0
}

struct Answer {
    status: u16,
    headers: HeaderMap,
    text: String,
}

impl Answer {
    fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }
}

async fn ask(request: Request) -> Answer {
    let response = made_up().await.oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    let text = String::from_utf8(to_bytes(body, 1 << 20).await.unwrap().to_vec()).unwrap();
    Answer { status: parts.status.as_u16(), headers: parts.headers, text }
}

fn request(method: Method, path: &str, headers: &[(&str, &str)], body: impl Into<Body>) -> Request {
    let mut request = Request::builder().method(method).uri(path).header("host", "127.0.0.1:8730");
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    request.body(body.into()).unwrap()
}

async fn get_as(path: &str, accept: &str) -> Answer {
    ask(request(Method::GET, path, &[("accept", accept)], "")).await
}

const BROWSER: &str = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8";

#[tokio::test]
async fn every_error_has_a_page_with_its_status_and_a_way_onward() {
    let all = errors();
    assert_eq!(all.iter().map(number).collect::<BTreeSet<_>>(), (0..17).collect());
    for (at, error) in all.iter().enumerate() {
        let answer = get_as(&format!("/wrong/{at}"), BROWSER).await;
        if let Error::SignInNeeded { .. } = error {
            assert_eq!(answer.status, 303);
            assert_eq!(answer.header("location"), "/sign-in?next=/sites%3Fkind%3Dhall%26x%3D1");
            continue;
        }
        assert_eq!(answer.status, error.status().as_u16(), "{error}");
        assert_eq!(answer.header("content-type"), "text/html; charset=utf-8");
        assert!(answer.text.contains(&format!("<h1>{}</h1>", error.title())), "{}", answer.text);
        assert!(answer.text.contains("href=\"/sites\"") && answer.text.contains("</html>"), "{}", answer.text);
        assert!(answer.header("cache-control").contains("no-store"));
        for fault in error.faults() {
            assert!(answer.text.contains(fault.detail.key));
        }
    }
}

#[tokio::test]
async fn every_error_has_problem_details_where_json_is_asked_for() {
    for (at, error) in errors().iter().enumerate() {
        let answer = get_as(&format!("/wrong/{at}"), "application/json, text/html;q=0.5").await;
        assert_eq!(answer.status, error.status().as_u16());
        assert_eq!(answer.header("content-type"), "application/problem+json");
        let problem: serde_json::Value = serde_json::from_str(&answer.text).unwrap();
        assert_eq!(problem["status"], error.status().as_u16());
        assert_eq!(problem["title"], error.title());
        let detail = problem["detail"].as_str().unwrap();
        assert!(!detail.is_empty() && !detail.contains('{'), "{detail}");
        assert_eq!(problem["errors"].as_array().map_or(0, Vec::len), error.faults().len());
    }
    assert_eq!(get_as("/api/v1/nothing", BROWSER).await.header("content-type"), "application/problem+json");
}

#[tokio::test]
async fn what_was_looked_for_is_named_and_cannot_become_markup() {
    let answer = get_as("/wrong/0", BROWSER).await;
    assert!(answer.text.contains("There is no vessel &#60;12&#62;."), "{}", answer.text);
    let answer = get_as("/wrong/three", BROWSER).await;
    assert!(answer.status == 404 && answer.text.contains("/wrong/three"));
}

#[tokio::test]
async fn a_visitor_never_sees_innards() {
    for path in ["/wrong/16", "/panics"] {
        let answer = get_as(path, BROWSER).await;
        assert_eq!(answer.status, 500);
        assert!(answer.text.contains("Something broke") && !answer.text.contains("secret"), "{}", answer.text);
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
    }
}

#[tokio::test]
async fn those_who_must_wait_are_told_how_long() {
    assert_eq!(get_as("/wrong/12", BROWSER).await.header("retry-after"), "40");
    assert_eq!(get_as("/wrong/13", BROWSER).await.header("retry-after"), "5");
}

const FORM: (&str, &str) = ("content-type", "application/x-www-form-urlencoded");

#[tokio::test]
async fn a_form_keeps_repeated_keys_and_any_name() {
    let body = "depth=1%2C20+m&lot=a&lot=%E2%9C%93%26&empty=&&flag";
    let answer = ask(request(Method::POST, "/form", &[FORM], body)).await;
    assert_eq!((answer.status, answer.text.as_str()), (200, r#"Some("1,20 m") ["a", "✓&"]"#));
}

#[tokio::test]
async fn a_form_that_cannot_be_read_is_refused_in_words() {
    for body in ["depth=%FF", "depth=%4", "depth=%zz"] {
        let answer = ask(request(Method::POST, "/form", &[FORM, ("accept", BROWSER)], body)).await;
        assert_eq!(answer.status, 400, "{body}");
        assert!(answer.text.contains("The field depth holds something that is not UTF-8"), "{}", answer.text);
    }
    let answer = ask(request(Method::POST, "/form", &[FORM], vec![b'a', b'=', 0xff])).await;
    assert_eq!(answer.status, 400);
    let fields = "a=1&".repeat(10_001);
    assert_eq!(ask(request(Method::POST, "/form", &[FORM], fields)).await.status, 400);
    assert_eq!(ask(request(Method::POST, "/form", &[("content-type", "text/plain")], "a=1")).await.status, 415);
}

#[tokio::test]
async fn a_body_over_its_routes_limit_is_refused_and_the_limit_said() {
    let form = |bytes: usize| request(Method::POST, "/form", &[FORM, ("accept", BROWSER)], "a".repeat(bytes));
    assert_eq!(ask(form(BODY_LIMIT_BYTES)).await.status, 200);
    let answer = ask(form(BODY_LIMIT_BYTES + 1)).await;
    assert_eq!(answer.status, 413);
    assert!(answer.text.contains("At most 1 MB can be sent here"), "{}", answer.text);
}

fn file(bytes: usize) -> Request {
    let body = format!(
        "--cut\r\nContent-Disposition: form-data; name=\"units\"\r\n\r\nus\r\n--cut\r\nContent-Disposition: form-data; \
         name=\"file\"; filename=\"sites.csv\"\r\nContent-Type: text/csv\r\n\r\n{}\r\n--cut--\r\n",
        "x".repeat(bytes)
    );
    let headers = [("content-type", "multipart/form-data; boundary=cut"), ("accept", BROWSER)];
    request(Method::POST, "/import", &headers, body)
}

#[tokio::test]
async fn a_file_may_be_larger_where_the_route_says_so() {
    let answer = ask(file(2 * BODY_LIMIT_BYTES)).await;
    assert_eq!((answer.status, answer.text.as_str()), (200, r#"Some("us") ["sites.csv 2097152"]"#));
    let answer = ask(file(3 * BODY_LIMIT_BYTES)).await;
    assert!(answer.status == 413 && answer.text.contains("At most 3 MB"), "{} {}", answer.status, answer.text);
    let headers = [("content-type", "multipart/form-data; boundary=cut")];
    assert_eq!(ask(request(Method::POST, "/import", &headers, "--cut\r\nhalf")).await.status, 400);
}

/// A sender of 100 MB gets the refusal while most of it is still unsent, with its length told beforehand and without.
#[tokio::test]
async fn a_hundred_megabytes_are_refused_without_being_read() {
    let listener = tokio::net::TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await.unwrap();
    let address = listener.local_addr().unwrap();
    let serving = tokio::spawn(axum::serve(listener, made_up().await).into_future());
    for length in ["Content-Length: 104857600", "Transfer-Encoding: chunked"] {
        let visitor = tokio::net::TcpStream::connect(address).await.unwrap();
        let (mut answer, mut sending) = visitor.into_split();
        let head = format!("POST /form HTTP/1.1\r\nHost: {address}\r\nContent-Type: {}\r\n{length}\r\n\r\n", FORM.1);
        sending.write_all(head.as_bytes()).await.unwrap();
        let chunked = length.ends_with("chunked");
        let sender = tokio::spawn(async move {
            let piece = vec![b'a'; 64 * 1024];
            let mut sent = 0;
            while sent < 104_857_600 {
                let framed = if chunked { [b"10000\r\n", &piece[..], b"\r\n"].concat() } else { piece.clone() };
                if sending.write_all(&framed).await.is_err() {
                    break;
                }
                sent += piece.len();
            }
            sent
        });
        let mut text = Vec::new();
        while !String::from_utf8_lossy(&text).contains("</html>") && answer.read_buf(&mut text).await.unwrap() > 0 {}
        let text = String::from_utf8_lossy(&text);
        assert!(text.starts_with("HTTP/1.1 413") && text.contains("At most 1 MB"), "{length}: {text}");
        let sent = sender.await.unwrap();
        assert!(sent < 50 * 1024 * 1024, "{length}: {sent} bytes were taken");
    }
    serving.abort();
}

#[test]
fn the_log_shows_no_token() {
    assert_eq!(loggable(&format!("/c/{}", "a".repeat(64))), "/c/...");
    assert_eq!(
        loggable("/vessels/019ced4e-f260-7000-8000-000000000001"),
        "/vessels/019ced4e-f260-7000-8000-000000000001"
    );
}
