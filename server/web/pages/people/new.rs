//! Adding a person: their account, and the way in which they sign in for the first time.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;

use crate::model::choice::Choice as _;
use crate::model::id::PersonId;
use crate::model::message::Message;
use crate::model::person::Role;
use crate::model::setup::Thing;
use crate::service;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Pairs;
use crate::web::filters;
use crate::web::form::Choice;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::form::Wrong;
use crate::web::pages::people::fields;
use crate::web::pages::people::link;
use crate::web::pages::people::person;
use crate::web::pages::people::told_password;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;
use crate::web::whence::Whence;

pub(super) fn routes() -> Routes {
    Routes::new().get("/people/new", ask).post("/people/new", add)
}

#[derive(Template)]
#[template(path = "people/new.html")]
struct New {
    chrome: Chrome,
    overheard: bool,
    stray: Vec<String>,
    fields: Vec<Field>,
}

async fn ask(State(house): State<House>, visitor: Visitor, whence: Whence) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    let first =
        [("id", PersonId::fresh().to_string()), ("role", Role::Keeper.key().to_owned()), ("way", LINK.to_owned())];
    let first = Pairs(first.map(|(name, value)| (name.to_owned(), value)).to_vec());
    new_form(&house, &visitor, &whence, &first, &Wrong::default())
}

/// The ways in which someone may sign in for the first time.
const LINK: &str = "link";
const PASSWORD: &str = "password";

async fn add(State(house): State<House>, visitor: Visitor, whence: Whence, sent: FormData) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    let id = sent.get("id").and_then(|id| id.parse::<PersonId>().ok());
    let id = id.ok_or_else(|| Error::Unreadable(Message::new("The form came without its number. Open it again.")))?;
    let by_link = sent.get("way") != Some(PASSWORD);
    let password = sent.get("password").unwrap_or_default().to_owned();
    let mut wrong = Wrong::default();
    let person = person(id, &sent, &mut wrong);
    if !by_link && let Err(why) = service::sign_in::acceptable(&password) {
        wrong.add("password", why);
    }
    let Some(person) = person.filter(|_| wrong.is_empty()) else {
        let form = new_form(&house, &visitor, &whence, &sent, &wrong)?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, form).into_response());
    };
    match house.app.keep(&visitor.caller, Thing::Person(person.clone()), None).await {
        Ok(_) => {}
        // The second tap on the button: the account is there, as it was typed.
        Err(service::Error::Stale)
            if house.app.picture().set_up.people.get(&id).is_some_and(|kept| *kept.thing == person) => {}
        Err(refusal) => {
            let form = new_form(&house, &visitor, &whence, &sent, &Wrong::of(refusal)?)?;
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, form).into_response());
        }
    }
    if by_link {
        return link(&house, &visitor, &whence, id);
    }
    house.app.set_password(&visitor.caller, id, password).await?;
    Ok(Redirect::to("/people").into_response())
}

fn new_form(
    house: &House,
    visitor: &Visitor,
    whence: &Whence,
    typed: &Pairs,
    wrong: &Wrong,
) -> Result<Response, Error> {
    let reader = &visitor.reader;
    let mut fields = fields(&house.app.picture().set_up, reader, typed, wrong);
    let way = |value: &str, label, hint| Choice {
        value: value.to_owned(),
        label: reader.word(label).to_owned(),
        hint: reader.word(hint).to_owned(),
    };
    let ways = vec![
        way(LINK, "By a link that is good once", "You are shown it next, to hand on. They choose their own password."),
        way(PASSWORD, "With the password below", "You tell it to them; they can change it."),
    ];
    fields.push(
        Field::new("way", reader.word("How they sign in the first time"), Control::Radios(ways))
            .value(typed.get("way").unwrap_or(LINK)),
    );
    let hint = "For the second way: 8 characters or more; several words are best.";
    fields.push(told_password(reader, wrong).hint(reader.word(hint)).optional());
    fields.push(Field::new("id", "", Control::Hidden).value(typed.get("id").unwrap_or_default()));
    let stray = wrong.about_none_of(reader, &fields);
    let chrome = visitor.chrome(Place::SetUp);
    page(reader, New { chrome, overheard: whence.is_overheard(), stray, fields })
}
