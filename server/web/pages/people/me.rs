//! One's own account: who one is here, and one's password.

use askama::Template;
use axum::extract::State;
use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::model::choice::Choice as _;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service;
use crate::service::Caller;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::form::Wrong;
use crate::web::pages::sign_in::entered;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;
use crate::web::whence::Whence;

pub(super) fn routes() -> Routes {
    Routes::new().get("/people/me", show).post("/people/me", change)
}

#[derive(Template)]
#[template(path = "people/me.html")]
struct Me {
    chrome: Chrome,
    overheard: bool,
    name: String,
    role: &'static str,
    has_password: bool,
    coordinates: bool,
    fields: Vec<Field>,
}

async fn show(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Question(asked): Question,
) -> Result<Response, Error> {
    let said = asked.get("done").map(|_| "Your password is changed. Everywhere else you are signed out.");
    form(&house, &visitor, &whence, &Wrong::default(), said).await
}

async fn change(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    sent: FormData,
) -> Result<Response, Error> {
    let [current, password, again] = ["current", "password", "again"].map(|field| sent.get(field).unwrap_or_default());
    let mut wrong = Wrong::default();
    if password != again {
        wrong.add("again", Message::new("The two differ. Write the same password in both."));
        let form = form(&house, &visitor, &whence, &wrong, None).await?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, form).into_response());
    }
    let changed = house.app.change_password(&visitor.caller, current.to_owned(), password.to_owned(), &whence.address);
    match changed.await {
        Ok(token) => entered(&token, "/people/me?done=1"),
        Err(service::Error::TooMany(seconds)) => {
            let time = Arg::Counted { count: seconds.into(), one: "{n} second", other: "{n} seconds" };
            wrong.add("current", Message::new("Too many tries. Wait {time}, then try again.").with("time", time));
            let retry = [(header::RETRY_AFTER, HeaderValue::from(seconds))];
            let form = form(&house, &visitor, &whence, &wrong, None).await?;
            Ok((StatusCode::TOO_MANY_REQUESTS, retry, form).into_response())
        }
        Err(refusal) => {
            let form = form(&house, &visitor, &whence, &Wrong::of(refusal)?, None).await?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, form).into_response())
        }
    }
}

async fn form(
    house: &House,
    visitor: &Visitor,
    whence: &Whence,
    wrong: &Wrong,
    said: Option<&'static str>,
) -> Result<Response, Error> {
    let Caller::Person(person) = &visitor.caller else { return Err(service::Error::SignInNeeded.into()) };
    let reader = &visitor.reader;
    let has_password = house.app.has_password(&visitor.caller).await?;
    let password = |name, label, autocomplete| {
        Field::new(name, reader.word(label), Control::Password { autocomplete }).error(wrong.about(reader, name))
    };
    let mut fields = Vec::new();
    if has_password {
        fields.push(password("current", "The password you have now", "current-password"));
    }
    fields.push(
        password("password", "New password", "new-password")
            .hint(reader.word("8 characters or more; several words are best.")),
    );
    fields.push(password("again", "The same password again", "new-password"));
    let said = said.map(|said| reader.word(said).to_owned());
    let me = Me {
        chrome: Chrome { said, ..visitor.chrome(Place::None) },
        overheard: whence.is_overheard(),
        name: person.name.to_string(),
        role: person.role.label(),
        has_password,
        coordinates: visitor.caller.can(Deed::Coordinate, None),
        fields,
    };
    page(reader, me)
}
