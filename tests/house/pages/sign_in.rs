//! Setting a neighbourhood up, signing in and out, the links that are good once.

use jiff::SignedDuration;
use jiff::Timestamp;
use keepwell::service::sign_in::Purpose;

use crate::harness::Answer;
use crate::harness::House;
use crate::harness::THEN;
use crate::harness::Visitor;

pub const PASSWORD: &str = "four wet boots";

pub const FIRST: [(&str, &str); 10] = [
    ("name", "Lower Weir"),
    ("zone", "Europe/Dublin"),
    ("units", "metric"),
    ("ration", "basic"),
    ("target_days", "14"),
    ("mains", "Public mains"),
    ("disinfectant", "chloramine"),
    ("coordinator", "Ruth"),
    ("password", PASSWORD),
    ("again", PASSWORD),
];

/// The form with some of its fields answered otherwise.
fn with(changes: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
    let changed = |(name, value): (&'static str, &'static str)| {
        (name, changes.iter().find(|change| change.0 == name).map_or(value, |change| change.1))
    };
    FIRST.into_iter().map(changed).collect()
}

/// A house with a neighbourhood, and its coordinator signed in.
pub async fn set_up() -> (House, Visitor) {
    let house = House::open().await;
    let visitor = house.visitor();
    let token = house.running.app().one_time(Purpose::SetUp).unwrap();
    let answer = visitor.post(&format!("/begin/{token}"), &FIRST).await;
    assert_eq!((answer.status, answer.header("location")), (303, "/set-up"), "{}", answer.text);
    (house, visitor)
}

fn later(house: &House, hours: i64) {
    let at = THEN.parse::<Timestamp>().unwrap() + SignedDuration::from_hours(hours);
    assert!(house.clock.set(at));
}

/// Whether the visitor is known: `/people/me` is for anyone who has signed in.
pub async fn is_in(visitor: &Visitor) -> bool {
    let answer = visitor.get("/people/me").await;
    match answer.status {
        200 => true,
        303 => {
            assert_eq!(answer.header("location"), "/sign-in?next=/people/me");
            false
        }
        other => panic!("{other}: {}", answer.text),
    }
}

fn assert_cookie(answer: &Answer) {
    let cookie = answer.header("set-cookie");
    let (pair, attributes) = cookie.split_once("; ").unwrap();
    assert_eq!(attributes, "HttpOnly; SameSite=Lax; Path=/; Max-Age=2592000", "{cookie}");
    let token = pair.strip_prefix("kw_lan=").unwrap();
    assert!(token.len() == 64 && token.bytes().all(|byte| byte.is_ascii_hexdigit()), "{cookie}");
}

#[tokio::test]
async fn the_first_run_sets_a_neighbourhood_up_once() {
    let house = House::open().await;
    let visitor = house.visitor();
    let nothing = visitor.get("/sign-in").await;
    assert!(nothing.status == 404 && nothing.text.contains("Open the link that was printed"), "{}", nothing.text);
    let link = house.running.greeting().unwrap().pop().unwrap();
    let path = link.strip_prefix(&house.running.url()).map(|rest| format!("/{rest}")).unwrap();

    let page = visitor.get(&path).await;
    assert_eq!(page.status, 200);
    for held in ["Basic: 15 L a day for each person", "Sphere Handbook 2018", "value=\"14\"", "Europe/Dublin"] {
        assert!(page.text.replace('\u{a0}', " ").contains(held), "{held} is not there");
    }
    assert!(page.text.contains("value=\"basic\" checked"), "{}", page.text);
    assert!(!house.running.app().is_set_up(), "looking changes nothing");

    let done = visitor.post(&path, &FIRST).await;
    assert_eq!((done.status, done.header("location")), (303, "/set-up"), "{}", done.text);
    assert_cookie(&done);
    assert!(is_in(&visitor).await);
    let set_up = house.running.app().picture();
    let set_up = &set_up.set_up;
    assert_eq!(set_up.neighbourhood.as_ref().unwrap().thing.zone, "Europe/Dublin");
    assert_eq!((set_up.sources.len(), set_up.people.len()), (1, 1));

    let again = visitor.post(&path, &FIRST).await;
    assert_eq!((again.status, again.header("location")), (303, "/set-up"), "a second tap does no harm");
    let stranger = house.visitor();
    for answer in [stranger.get(&path).await, stranger.post(&path, &with(&[("coordinator", "Eve")])).await] {
        assert!(answer.status == 404 && answer.text.contains("is set up already"), "{}", answer.text);
    }
    assert_eq!(house.running.app().picture().set_up.people.len(), 1);
    house.close().await;
}

#[tokio::test]
async fn a_wrong_first_form_comes_back_with_everything_but_the_passwords() {
    let house = House::open().await;
    let visitor = house.visitor();
    let wrong = visitor.post("/begin/00ff", &FIRST).await;
    assert!(wrong.status == 404 && wrong.text.contains("This link is not good"), "{}", wrong.text);
    let token = house.running.app().one_time(Purpose::SetUp).unwrap();
    let path = format!("/begin/{token}");
    let cases: [(&[(&str, &str)], &str); 8] = [
        (&[("name", " ")], "Give it a name."),
        (&[("zone", "Mars/Base")], "That is no time zone we know."),
        (&[("units", "cubits")], "Choose one of these."),
        (&[("ration", "feast")], "That is no rung of the ladder."),
        (&[("target_days", "soon")], "“soon” is not a number."),
        (&[("target_days", "-3")], "3,650"),
        (&[("password", "short"), ("again", "short")], "A password has 8 characters or more."),
        (&[("again", "four wet socks")], "The two differ."),
    ];
    for (changes, words) in cases {
        let answer = visitor.post(&path, &with(changes)).await;
        assert!(answer.status == 422 && answer.text.contains(words), "{changes:?}: {}", answer.text);
        assert!(answer.text.contains("value=\"Ruth\""), "what was typed is kept: {}", answer.text);
        assert!(!answer.text.contains(PASSWORD), "a password is not sent back");
        assert!(!house.running.app().is_set_up(), "{changes:?}");
    }
    let odd = visitor.post(&path, &with(&[("name", "\"Weir\" <b>🌊 שלום")])).await;
    assert_eq!(odd.status, 303);
    let shown = visitor.get("/people/me").await.text;
    assert!(shown.contains("&#60;b&#62;🌊 שלום") && !shown.contains("<b>🌊"), "{shown}");
    house.close().await;
}

#[tokio::test]
async fn one_signs_in_and_goes_on_to_a_page_of_ours_alone() {
    let (house, _) = set_up().await;
    let visitor = house.visitor();
    let page = visitor.get("/sign-in?next=/log%3Fsite=1").await;
    for held in ["autocomplete=\"username\"", "autocomplete=\"current-password\"", "value=\"/log?site=1\""] {
        assert!(page.text.replace('\u{a0}', " ").contains(held), "{held} is not there");
    }
    for (next, goes) in
        [("/log?site=1", "/log?site=1"), ("//evil.example/", "/"), ("https://evil.example", "/"), ("", "/")]
    {
        let fields = [("name", " ruth "), ("password", PASSWORD), ("next", next)];
        let answer = visitor.post("/sign-in", &fields).await;
        assert_eq!((answer.status, answer.header("location")), (303, goes), "{}", answer.text);
        assert_cookie(&answer);
    }
    assert!(is_in(&visitor).await);
    house.close().await;
}

#[tokio::test]
async fn a_wrong_sign_in_keeps_the_name_and_says_no_more_than_it_must() {
    let (house, _) = set_up().await;
    let visitor = house.visitor();
    let said = |name: &'static str, password: &'static str| {
        let visitor = &visitor;
        async move { visitor.post("/sign-in", &[("name", name), ("password", password), ("next", "/log")]).await }
    };
    for (name, password) in [("Ruth", "four wet socks"), ("Nobody", PASSWORD)] {
        let answer = said(name, password).await;
        assert!(answer.status == 422 && answer.text.contains("Name and password do not match."), "{}", answer.text);
        assert!(answer.text.contains(&format!("value=\"{name}\"")) && answer.text.contains("value=\"/log\""));
        assert!(!answer.text.contains(password) && answer.header("set-cookie").is_empty());
    }
    let empty = said("", "").await;
    assert!(empty.status == 422 && empty.text.contains("Write the name") && empty.text.contains("Write your password"));
    house.close().await;
}

#[tokio::test]
async fn after_five_failures_the_next_try_waits() {
    let (house, _) = set_up().await;
    let visitor = house.visitor();
    let wrong = [("name", "Ruth"), ("password", "four wet socks")];
    for _ in 0..5 {
        assert_eq!(visitor.post("/sign-in", &wrong).await.status, 422);
    }
    let right = [("name", "Ruth"), ("password", PASSWORD)];
    let answer = visitor.post("/sign-in", &right).await;
    assert_eq!((answer.status, answer.header("retry-after")), (429, "5"), "{}", answer.text);
    assert!(answer.text.contains("Wait 5 seconds") && answer.text.contains("value=\"Ruth\""), "{}", answer.text);
    later(&house, 1);
    assert_eq!(visitor.post("/sign-in", &right).await.status, 303);
    house.close().await;
}

#[tokio::test]
async fn a_session_ends_on_signing_out() {
    let (house, visitor) = set_up().await;
    let token = visitor.cookie("kw_lan").unwrap();
    let out = visitor.post("/sign-out", &[]).await;
    assert_eq!((out.status, out.header("location")), (303, "/sign-in?out=1"));
    assert_eq!(visitor.cookie("kw_lan"), None);
    assert!(visitor.get("/sign-in?out=1").await.text.contains("You are signed out."));
    visitor.set_cookie("kw_lan", &token);
    assert!(!is_in(&visitor).await, "the token itself is good no more");
    house.close().await;
}

/// Twelve idle hours and thirty days: the session limits of the security table (12 h / 30 d).
#[tokio::test]
async fn a_session_ends_when_idle_and_at_last() {
    let (house, visitor) = set_up().await;
    for hour in [11, 22, 33] {
        later(&house, hour);
        assert!(is_in(&visitor).await, "in use at hour {hour}");
    }
    later(&house, 46);
    assert!(!is_in(&visitor).await, "idle for 13 hours");
    visitor.post("/sign-in", &[("name", "Ruth"), ("password", PASSWORD)]).await;
    for hour in (46..46 + 30 * 24).step_by(11) {
        later(&house, hour);
        assert!(is_in(&visitor).await, "in use at hour {hour}");
    }
    later(&house, 46 + 30 * 24 + 1);
    assert!(!is_in(&visitor).await, "after thirty days");
    house.close().await;
}

#[tokio::test]
async fn a_sign_in_link_is_good_once_and_only_when_pressed() {
    let (house, _) = set_up().await;
    let app = house.running.app();
    let person = *app.picture().set_up.people.keys().next().unwrap();
    let path = format!("/enter/{}", app.one_time(Purpose::SignIn(person)).unwrap());
    let visitor = house.visitor();
    for _ in 0..2 {
        let page = visitor.get(&path).await;
        assert!(page.status == 200 && page.text.contains("Sign in as Ruth"), "{}", page.text);
    }
    let answer = visitor.post(&path, &[]).await;
    assert_eq!((answer.status, answer.header("location")), (303, "/"));
    assert_cookie(&answer);
    assert!(is_in(&visitor).await);
    assert_eq!(visitor.post(&path, &[]).await.status, 303, "a second tap");
    let stranger = house.visitor();
    for answer in [stranger.get(&path).await, stranger.post(&path, &[]).await, stranger.get("/enter/x").await] {
        assert!(answer.status == 404 && answer.text.contains("not good any more"), "{}", answer.text);
    }
    assert!(!is_in(&stranger).await);
    house.close().await;
}

#[tokio::test]
async fn a_reader_chooses_units_and_goes_back() {
    let (house, visitor) = set_up().await;
    let chosen = visitor.post("/preferences", &[("units", "us"), ("next", "/people/me")]).await;
    assert_eq!((chosen.status, chosen.header("location")), (303, "/people/me"), "{}", chosen.text);
    assert_eq!(chosen.header("set-cookie"), "kw_units=us; HttpOnly; SameSite=Lax; Path=/; Max-Age=31536000");
    let origin = visitor.base.clone();
    let referer = format!("{origin}/log?x=1");
    let form = "application/x-www-form-urlencoded";
    let headers = [("origin", origin.as_str()), ("referer", referer.as_str()), ("content-type", form)];
    let back = visitor.send(reqwest::Method::POST, "/preferences", &headers, "language=en".to_owned()).await;
    assert_eq!((back.status, back.header("location")), (303, "/log?x=1"));
    assert_eq!(back.header("set-cookie"), "kw_lang=en; HttpOnly; SameSite=Lax; Path=/; Max-Age=31536000");
    for (field, value) in [("units", "cubits"), ("language", "xx")] {
        let wrong = visitor.post("/preferences", &[(field, value), ("next", "//evil.example")]).await;
        assert!(wrong.status == 422 && wrong.header("set-cookie").is_empty(), "{}", wrong.text);
    }
    house.close().await;
}
