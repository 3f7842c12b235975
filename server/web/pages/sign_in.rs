//! Signing in and out, and the link that signs one person in once.

use std::sync::Arc;

use askama::Template;
use axum::extract::State;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::person::Person;
use crate::service;
use crate::service::Caller;
use crate::service::sign_in::Purpose;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::form::Wrong;
use crate::web::routes::Routes;
use crate::web::session;
use crate::web::visitor::Visitor;
use crate::web::whence::Whence;
use crate::web::whence::local;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/sign-in", ask)
        .post("/sign-in", sign_in)
        .post("/sign-out", sign_out)
        .get("/enter/{token}", show_link)
        .post("/enter/{token}", use_link)
}

#[derive(Template)]
#[template(path = "sign_in/form.html")]
struct Form {
    chrome: Chrome,
    fields: Vec<Field>,
}

/// What a person reads where a link or the sign-in leads nowhere: what is the matter, and what to do.
#[derive(Template)]
#[template(path = "sign_in/no_way.html")]
struct NoWay {
    chrome: Chrome,
    title: &'static str,
    words: &'static str,
    step: Option<(&'static str, &'static str)>,
}

#[derive(Template)]
#[template(path = "sign_in/enter.html")]
struct Enter {
    chrome: Chrome,
    name: String,
    token: String,
}

async fn ask(State(house): State<House>, visitor: Visitor, Question(asked): Question) -> Result<Response, Error> {
    if !house.app.is_set_up() {
        return not_set_up(&visitor);
    }
    let said = asked.get("out").map(|_| visitor.reader.word("You are signed out.").to_owned());
    form(&visitor, "", asked.get("next").unwrap_or("/"), &Wrong::default(), said)
}

async fn sign_in(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    sent: FormData,
) -> Result<Response, Error> {
    if !house.app.is_set_up() {
        return not_set_up(&visitor);
    }
    let [name, password, next] = ["name", "password", "next"].map(|field| sent.get(field).unwrap_or_default());
    let mut wrong = Wrong::default();
    if name.trim().is_empty() {
        wrong.add("name", Message::new("Write the name of your account."));
    }
    if password.is_empty() {
        wrong.add("password", Message::new("Write your password."));
    }
    if !wrong.is_empty() {
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, form(&visitor, name, next, &wrong, None)?).into_response());
    }
    match house.app.sign_in(name, password.to_owned(), &whence.address).await {
        Ok(token) => {
            leave(&house, &visitor).await?;
            entered(&token, local(next))
        }
        Err(service::Error::TooMany(seconds)) => {
            let wait = Message::new(
                "Too many tries. Wait {time}, then try again. Until then even the right password is not looked at.",
            );
            let time = Arg::Counted { count: seconds.into(), one: "{n} second", other: "{n} seconds" };
            wrong.add("password", wait.with("time", time));
            let retry = [(header::RETRY_AFTER, HeaderValue::from(seconds))];
            Ok((StatusCode::TOO_MANY_REQUESTS, retry, form(&visitor, name, next, &wrong, None)?).into_response())
        }
        Err(refusal) => {
            let wrong = Wrong::of(refusal)?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, form(&visitor, name, next, &wrong, None)?).into_response())
        }
    }
}

async fn sign_out(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    leave(&house, &visitor).await?;
    Ok(([(header::SET_COOKIE, session::clear())], Redirect::to("/sign-in?out=1")).into_response())
}

async fn show_link(State(house): State<House>, visitor: Visitor, Path(token): Path<String>) -> Result<Response, Error> {
    let Some(person) = of_link(&house, &token) else { return used_up(&visitor) };
    page(&visitor.reader, Enter { chrome: visitor.chrome(Place::SignIn), name: person.name.to_string(), token })
}

async fn use_link(State(house): State<House>, visitor: Visitor, Path(token): Path<String>) -> Result<Response, Error> {
    let Some(person) = of_link(&house, &token) else {
        // The second tap on the button: the first has signed them in.
        let done = matches!(visitor.caller, Caller::Person(_));
        return if done { Ok(Redirect::to("/").into_response()) } else { used_up(&visitor) };
    };
    match house.app.sign_in_by_link(&token).await {
        Ok(token) => {
            leave(&house, &visitor).await?;
            let has_password = house.app.has_password(&Caller::Person(person)).await?;
            entered(&token, if has_password { "/" } else { "/people/me" })
        }
        // Another window was quicker.
        Err(service::Error::NotFound(_)) => used_up(&visitor),
        Err(refusal) => Err(refusal.into()),
    }
}

/// Whom that link signs in.
fn of_link(house: &House, token: &str) -> Option<Arc<Person>> {
    let Some(Purpose::SignIn(person)) = house.app.purpose(token) else { return None };
    let picture = house.app.picture();
    let person = picture.set_up.people.get(&person)?;
    person.thing.ended.is_none().then(|| Arc::clone(&person.thing))
}

/// Sends someone who has just been let in on their way, with the session's cookie.
pub(super) fn entered(token: &str, next: &str) -> Result<Response, Error> {
    let cookie = session::set(token).ok_or_else(|| Error::internal("a session's token cannot stand in a cookie"))?;
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(next)).into_response())
}

/// Ends the session that a visitor came with, so that none is left lying about.
pub(super) async fn leave(house: &House, visitor: &Visitor) -> Result<(), Error> {
    match &visitor.token {
        Some(token) => Ok(house.app.sign_out(token).await?),
        None => Ok(()),
    }
}

/// For a link whose token is good for nothing.
pub(super) fn no_way(
    visitor: &Visitor,
    title: &'static str,
    words: &'static str,
    step: Option<(&'static str, &'static str)>,
) -> Result<Response, Error> {
    let shown = page(&visitor.reader, NoWay { chrome: visitor.chrome(Place::SignIn), title, words, step })?;
    Ok((StatusCode::NOT_FOUND, shown).into_response())
}

fn used_up(visitor: &Visitor) -> Result<Response, Error> {
    no_way(
        visitor,
        "This link is not good any more",
        "A sign-in link is good once, and only until the server is stopped. If yours is used up, sign in by name and \
         password, or ask the coordinator for another link. The demonstration prints a new one each time it is started.",
        Some(("/sign-in", "Sign in")),
    )
}

fn not_set_up(visitor: &Visitor) -> Result<Response, Error> {
    no_way(
        visitor,
        "Nothing is kept here yet",
        "This neighbourhood has still to be set up. Open the link that was printed where the server was started; if \
         you cannot find it, stop the server and start it again: it prints a new one.",
        None,
    )
}

fn form(visitor: &Visitor, name: &str, next: &str, wrong: &Wrong, said: Option<String>) -> Result<Response, Error> {
    let reader = &visitor.reader;
    let chrome = Chrome { said, ..visitor.chrome(Place::SignIn) };
    let fields = vec![
        Field::new("name", reader.word("Name"), Control::Text { autocomplete: "username" })
            .value(name)
            .error(wrong.about(reader, "name")),
        Field::new("password", reader.word("Password"), Control::Password { autocomplete: "current-password" })
            .error(wrong.about(reader, "password")),
        Field::new("next", "", Control::Hidden).value(local(next)),
    ];
    page(reader, Form { chrome, fields })
}
