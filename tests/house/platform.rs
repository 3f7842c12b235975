//! What holds for every address: headers, who may knock, what is refused in words, files kept for ever, one keepwell to
//! a data folder, and a clean end. The table of headers is `standards.md`'s, written out again here.

use std::io::BufRead;
use std::io::BufReader;
use std::io::Read;
use std::path::Path;
use std::process::Child;
use std::process::Command;
use std::process::Stdio;

use keepwell::app;
use keepwell::app::StartError;
use keepwell::clock::Clock;
use keepwell::web::assets;
use reqwest::Method;

use crate::harness::Answer;
use crate::harness::Folder;
use crate::harness::House;
use crate::harness::Visitor;
use crate::harness::serve_in;
use crate::pages::scene;

const HEADERS: [(&str, &str); 6] = [
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; \
         connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; \
         frame-ancestors 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("x-frame-options", "DENY"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "geolocation=(), microphone=(), camera=(self)"),
];

fn has_the_headers(answer: &Answer, what: &str) {
    for (name, value) in HEADERS {
        assert_eq!(answer.header(name), value, "{what}: {name}");
    }
    // Kept nowhere, or asked about each time; only a file whose name holds its own hash is kept unasked.
    let kept = answer.header("cache-control");
    let hashed = "public, max-age=31536000, immutable";
    assert!(["no-store", "private, no-cache", "no-cache", hashed].contains(&kept), "{what}: cache-control {kept}");
    assert!(kept != hashed || what.starts_with("/static/"), "{what}: cache-control {kept}");
    if kept == "private, no-cache" {
        assert!(answer.header("vary").contains("Cookie"), "{what}: vary {}", answer.header("vary"));
    }
    if !answer.text.is_empty() {
        assert!(!answer.header("content-type").is_empty(), "{what}: content-type");
    }
    assert!(!answer.header("x-request-id").is_empty(), "{what}: x-request-id");
    for absent in ["server", "x-powered-by", "strict-transport-security"] {
        assert_eq!(answer.header(absent), "", "{what}: {absent}");
    }
}

#[tokio::test]
async fn every_route_carries_the_headers_and_none_falls_over() {
    let house = House::open().await;
    let ids = scene::reach(house.running.app()).await;
    let routes = house.running.routes();
    assert!(routes.iter().any(|route| route.path.starts_with("/api/v1/")));
    // Met by nobody, and by the coordinator, who signs in anew each time: a route may sign out.
    for (number, route) in routes.iter().chain(routes).enumerate() {
        let nobody = number < routes.len();
        let visitor = if nobody { house.visitor() } else { scene::signed_in(&house, ids.maren).await };
        // Ids that do not exist: a page that is not there is an answer too.
        let path = route.path.replace(['{', '}'], "");
        let own = visitor.base.clone();
        let answer = match route.method {
            Method::POST => visitor.post(&path, &[]).await,
            _ => visitor.send(route.method.clone(), &path, &[("origin", own.as_str())], String::new()).await,
        };
        let what = format!("{} {} {}", route.method, route.path, if nobody { "by nobody" } else { "signed in" });
        has_the_headers(&answer, &what);
        assert!(answer.status < 500, "{what}: {} {}", answer.status, answer.text);
    }
    house.close().await;
}

#[tokio::test]
async fn refusals_and_files_carry_the_headers_too() {
    let house = House::open().await;
    let visitor = house.visitor();
    has_the_headers(&visitor.get("/no/such/page").await, "404");
    has_the_headers(&visitor.get_with("/healthz", &[("host", "evil.example")]).await, "421");
    has_the_headers(&visitor.post("/healthz", &[]).await, "405");
    for path in assets::paths() {
        has_the_headers(&visitor.get(path).await, path);
    }
    house.close().await;
}

#[tokio::test]
async fn only_our_names_are_answered() {
    let house = House::open().await;
    let visitor = house.visitor();
    for ours in ["127.0.0.1", "10.1.2.3:8730", "[::1]:8730", "localhost", "keepwell.local:8730", "water.example"] {
        assert_eq!(visitor.get_with("/healthz", &[("host", ours)]).await.status, 200, "{ours}");
    }
    for other in ["evil.example", "127.0.0.1.evil.example:8730", "localhost.", "water.example.evil"] {
        let answer = visitor.get_with("/healthz", &[("host", other)]).await;
        if other == "localhost." {
            assert_eq!(answer.status, 200, "a last point is only the root of all names");
        } else {
            assert_eq!(answer.status, 421, "{other}");
            assert!(answer.text.contains("does not answer to the name") && answer.text.contains("--name"));
        }
    }
    house.close().await;
}

#[tokio::test]
async fn a_change_must_come_from_our_own_pages() {
    let house = House::open().await;
    let visitor = house.visitor();
    let own = visitor.base.clone();
    let cases: [(&[(&str, &str)], bool); 10] = [
        (&[("origin", &own), ("cookie", "kw_lan=1")], true),
        (&[("origin", "http://evil.example")], false),
        (&[("origin", "null")], false),
        (&[("origin", "http://127.0.0.1:1")], false),
        (&[("sec-fetch-site", "same-origin"), ("cookie", "kw_lan=1")], true),
        (&[("sec-fetch-site", "cross-site"), ("origin", &own)], false),
        (&[("sec-fetch-site", "same-site")], false),
        (&[("cookie", "kw_lan=1")], false),
        (&[("cookie", "kw_lan=1"), ("authorization", "Bearer kwt_00")], true),
        (&[], true),
    ];
    for (headers, passes) in cases {
        let answer = visitor.send(Method::POST, "/healthz", headers, String::new()).await;
        // What passes the guard meets the route, which takes no posts.
        assert_eq!(answer.status, if passes { 405 } else { 403 }, "{headers:?}");
        if !passes {
            assert!(answer.text.contains("did not come from a page of ours"), "{}", answer.text);
        }
    }
    house.close().await;
}

#[tokio::test]
async fn what_is_not_there_is_said_with_a_way_onward() {
    let house = House::open().await;
    let visitor = house.visitor();
    let answer = visitor.get("/sightes/%3Cb%3E").await;
    assert_eq!(answer.status, 404);
    assert!(answer.text.contains("/sightes/%3Cb%3E") && answer.text.contains("href=\"/sites\""), "{}", answer.text);
    let answer = visitor.send(Method::DELETE, "/healthz", &[("accept", "application/json")], String::new()).await;
    assert_eq!((answer.status, answer.header("allow")), (405, "GET,HEAD"));
    assert_eq!(answer.header("content-type"), "application/problem+json");
    let answer = visitor.send(Method::HEAD, "/healthz", &[], String::new()).await;
    assert_eq!((answer.status, answer.text.as_str()), (200, ""));
    house.close().await;
}

#[tokio::test]
async fn files_are_kept_for_ever_and_sent_packed() {
    let house = House::open().await;
    let visitor = house.visitor();
    assert!(assets::paths().count() > 0);
    for path in assets::paths() {
        let plain = visitor.get(path).await;
        assert_eq!(plain.status, 200, "{path}");
        assert_eq!(plain.header("cache-control"), "public, max-age=31536000, immutable");
        assert_eq!(plain.header("content-encoding"), "");
        let tag = plain.header("etag");
        let again = visitor.get_with(path, &[("if-none-match", tag)]).await;
        assert_eq!((again.status, again.text.as_str(), again.header("etag")), (304, "", tag));
        assert_eq!(visitor.get_with(path, &[("if-none-match", "\"other\"")]).await.status, 200);
    }
    let licence = assets::asset("fonts/besley-OFL.txt").unwrap();
    let plain = visitor.get(licence).await;
    assert_eq!(plain.text, include_str!("../../static/fonts/besley-OFL.txt"));
    for coding in ["br", "gzip"] {
        let packed = visitor.get_with(licence, &[("accept-encoding", coding)]).await;
        assert_eq!(packed.header("content-encoding"), coding);
        assert!(packed.header("content-length").parse::<usize>().unwrap() < plain.text.len());
        assert_eq!(packed.header("vary"), "Accept-Encoding");
    }
    assert_eq!(visitor.get("/static/fonts/besley-OFL.txt").await.status, 404, "only the hashed name is kept for ever");
    assert_eq!(visitor.get("/static/../Cargo.toml").await.status, 404);
    assert_eq!(assets::asset("no-such-file.css"), None);
    house.close().await;
}

#[tokio::test]
async fn a_style_sheet_names_files_that_are_there() {
    let house = House::open().await;
    let visitor = house.visitor();
    for sheet in assets::paths().filter(|path| path.ends_with(".css")) {
        let text = visitor.get(sheet).await.text;
        for named in text.split("url(").skip(1).map(|rest| rest.split(')').next().unwrap().trim_matches('"')) {
            if !named.starts_with("data:") && !named.starts_with('#') {
                assert_eq!(visitor.get(named).await.status, 200, "{sheet} names {named}");
            }
        }
    }
    house.close().await;
}

#[tokio::test]
async fn a_second_keepwell_on_a_folder_is_refused_in_words() {
    let house = House::open().await;
    let refused = app::start(&serve_in(house.folder.path()), Clock::system()).await.unwrap_err();
    assert!(matches!(refused, StartError::InUse { .. }), "{refused}");
    assert!(refused.to_string().contains("is in use by another keepwell"), "{refused}");
    // From another process, too.
    let mut second = keepwell(house.folder.path());
    let mut said = String::new();
    second.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    assert!(!second.wait().unwrap().success());
    assert!(said.contains("is in use by another keepwell"), "{said}");
    // And free again once the first has stopped.
    let folder = house.close().await;
    House::open_in(folder).await.close().await;
}

fn keepwell(folder: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_keepwell"))
        .args(["serve", "--port", "0", "--data"])
        .arg(folder)
        .env_remove("KEEPWELL_LAN")
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

#[tokio::test]
async fn the_program_prints_its_address_first_answers_a_ping_and_stops_on_a_signal() {
    for signal in ["TERM", "INT"] {
        let folder = Folder::new();
        let mut program = keepwell(folder.path());
        let mut first = String::new();
        BufReader::new(program.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let port = first.strip_prefix("http://127.0.0.1:").and_then(|rest| rest.strip_suffix("/\n")).unwrap();
        assert_eq!(Visitor::of(first.trim()).get("/healthz").await.text, "well\n");
        let ping =
            |port: &str| Command::new(env!("CARGO_BIN_EXE_keepwell")).args(["ping", "--port", port]).output().unwrap();
        assert!(ping(port).status.success());
        let killed = Command::new("kill").args([format!("-{signal}"), program.id().to_string()]).status().unwrap();
        assert!(killed.success());
        assert!(program.wait().unwrap().success(), "a clean stop is a success");
        let silence = ping(port);
        assert!(!silence.status.success());
        assert!(String::from_utf8_lossy(&silence.stderr).starts_with("keepwell: "), "{silence:?}");
    }
}

#[test]
fn the_command_line_explains_itself() {
    let asked = |words: &[&str]| Command::new(env!("CARGO_BIN_EXE_keepwell")).args(words).output().unwrap();
    let help = asked(&["--help"]);
    let text = String::from_utf8(help.stdout).unwrap();
    assert!(help.status.success());
    for word in ["serve", "import", "verify", "ping", "--demo", "--lan", "--port", "--data", "--name", "KEEPWELL_PORT"]
    {
        assert!(text.contains(word), "{word}: {text}");
    }
    let wrong = asked(&["--port", "70000"]);
    assert!(!wrong.status.success());
    let said = String::from_utf8(wrong.stderr).unwrap();
    assert!(said.contains("70000") && said.contains("--port") && said.contains("65535"), "{said}");
}
