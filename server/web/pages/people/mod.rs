//! Accounts: who may sign in, as what, and for which sites. The coordinator's, but for one's own password.

mod me;
mod new;

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;

use crate::model::choice::Choice as _;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::person::Person;
use crate::model::person::Role;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
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
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::form::Choice;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::form::Wrong;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;
use crate::web::whence::Whence;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/people", list)
        .get("/people/{id}", show)
        .post("/people/{id}", change)
        .post("/people/{id}/password", set_password)
        .post("/people/{id}/link", invite)
        .post("/people/{id}/end", end)
        .post("/people/{id}/return", take_back)
        .merge(me::routes())
        .merge(new::routes())
}

#[derive(Template)]
#[template(path = "people/list.html")]
struct List {
    chrome: Chrome,
    overheard: bool,
    people: Vec<Row>,
    ended: Vec<Row>,
}

struct Row {
    id: String,
    name: String,
    role: &'static str,
    sites: Vec<String>,
    /// a keeper of no site can log nothing
    idle: bool,
    is_me: bool,
}

#[derive(Template)]
#[template(path = "people/person.html")]
struct Show {
    chrome: Chrome,
    overheard: bool,
    person: Row,
    ended: bool,
    revision: i64,
    stray: Vec<String>,
    fields: Vec<Field>,
    password: Field,
}

#[derive(Template)]
#[template(path = "people/link.html")]
struct Link {
    chrome: Chrome,
    overheard: bool,
    name: String,
    link: String,
    here_only: bool,
}

async fn list(State(house): State<House>, visitor: Visitor, whence: Whence) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    let picture = house.app.picture();
    let rows = |is_ended: bool| {
        let people = picture.set_up.people.values().filter(|kept| kept.thing.ended.is_some() == is_ended);
        let mut rows = people.map(|kept| row(&picture.set_up, &visitor, &kept.thing)).collect::<Vec<_>>();
        rows.sort_by_key(|row| row.name.to_lowercase());
        rows
    };
    let (people, ended) = (rows(false), rows(true));
    let chrome = visitor.chrome(Place::SetUp);
    page(&visitor.reader, List { chrome, overheard: whence.is_overheard(), people, ended })
}

fn row(set_up: &SetUp, visitor: &Visitor, person: &Person) -> Row {
    let keeps = person.role == Role::Keeper;
    let known = person.sites.iter().filter(|_| keeps).filter_map(|site| set_up.sites.get(site));
    let sites = known.map(|kept| kept.thing.name.to_string()).collect::<Vec<_>>();
    Row {
        id: person.id.to_string(),
        name: person.name.to_string(),
        role: person.role.label(),
        idle: keeps && sites.is_empty(),
        sites,
        is_me: visitor.caller.id() == Some(person.id),
    }
}

/// The account that was typed, if its name and role hold.
fn person(id: PersonId, sent: &Pairs, wrong: &mut Wrong) -> Option<Person> {
    let name = Name::new(sent.get("name").unwrap_or_default()).map_err(|why| wrong.add("name", why)).ok();
    let role = Role::from_key(sent.get("role").unwrap_or_default());
    if role.is_none() {
        wrong.add("role", Message::new("Choose one of these."));
    }
    let sites = sent.all("sites").map(str::parse::<SiteId>).collect::<Result<Vec<_>, _>>();
    let sites = sites.map_err(|_| wrong.add("sites", Message::new("There is no such site."))).ok();
    Some(Person { id, name: name?, role: role?, sites: sites?, ended: None })
}

async fn show(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(id): Path<PersonId>,
) -> Result<Response, Error> {
    let kept = kept(&house, &visitor, id)?;
    shown(&house, &visitor, &whence, &kept, None, &Wrong::default())
}

async fn change(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(id): Path<PersonId>,
    sent: FormData,
) -> Result<Response, Error> {
    let kept = kept(&house, &visitor, id)?;
    let mut wrong = Wrong::default();
    if let Some(mut person) = person(id, &sent, &mut wrong) {
        person.ended = kept.thing.ended;
        match house.app.keep(&visitor.caller, Thing::Person(person), began_from(&sent)?).await {
            Ok(_) => return Ok(Redirect::to("/people").into_response()),
            Err(refusal) => wrong = Wrong::of(refusal)?,
        }
    }
    let page = shown(&house, &visitor, &whence, &kept, Some(&sent), &wrong)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// The revision that a form was drawn from.
fn began_from(sent: &Pairs) -> Result<Option<i64>, Error> {
    let revision = sent.get("revision").and_then(|revision| revision.parse().ok());
    let revision = revision.ok_or_else(|| {
        Error::Unreadable(Message::new("The form came without the revision it began from. Open it again."))
    })?;
    Ok(Some(revision))
}

async fn set_password(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(id): Path<PersonId>,
    sent: FormData,
) -> Result<Response, Error> {
    let kept = kept(&house, &visitor, id)?;
    if visitor.caller.id() == Some(id) {
        // One's own asks for the present one first.
        return Ok(Redirect::to("/people/me").into_response());
    }
    let password = sent.get("password").unwrap_or_default().to_owned();
    match house.app.set_password(&visitor.caller, id, password).await {
        Ok(()) => Ok(Redirect::to("/people").into_response()),
        Err(refusal) => {
            let page = shown(&house, &visitor, &whence, &kept, None, &Wrong::of(refusal)?)?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

async fn invite(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(id): Path<PersonId>,
) -> Result<Response, Error> {
    link(&house, &visitor, &whence, id)
}

/// Makes a link and shows it, this once.
fn link(house: &House, visitor: &Visitor, whence: &Whence, id: PersonId) -> Result<Response, Error> {
    let kept = kept(house, visitor, id)?;
    let token = house.app.invite(&visitor.caller, id)?;
    let link = format!("http://{}/enter/{token}", whence.host);
    let (chrome, name) = (visitor.chrome(Place::SetUp), kept.thing.name.to_string());
    let overheard = whence.is_overheard();
    page(&visitor.reader, Link { chrome, overheard, name, link, here_only: !overheard })
}

async fn end(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(id): Path<PersonId>,
    sent: FormData,
) -> Result<Response, Error> {
    let now = jiff::Timestamp::from_microsecond(house.app.now().micros()).map_err(Error::internal)?;
    turn(&house, &visitor, &whence, id, &sent, Some(now)).await
}

async fn take_back(
    State(house): State<House>,
    visitor: Visitor,
    whence: Whence,
    Path(id): Path<PersonId>,
    sent: FormData,
) -> Result<Response, Error> {
    turn(&house, &visitor, &whence, id, &sent, None).await
}

/// Ends an account, or takes it up again.
async fn turn(
    house: &House,
    visitor: &Visitor,
    whence: &Whence,
    id: PersonId,
    sent: &Pairs,
    ended: Option<jiff::Timestamp>,
) -> Result<Response, Error> {
    let kept = kept(house, visitor, id)?;
    let person = Person { ended, ..Person::clone(&kept.thing) };
    match house.app.keep(&visitor.caller, Thing::Person(person), began_from(sent)?).await {
        Ok(_) => Ok(Redirect::to("/people").into_response()),
        Err(refusal) => {
            let page = shown(house, visitor, whence, &kept, None, &Wrong::of(refusal)?)?;
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

/// The account of that id, for the coordinator.
fn kept(house: &House, visitor: &Visitor, id: PersonId) -> Result<Kept<Person>, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    let picture = house.app.picture();
    Ok(picture.set_up.people.get(&id).cloned().ok_or(service::Error::NotFound("account"))?)
}

/// A password that is to be told to somebody else stands readable.
fn told_password(reader: &Reader, wrong: &Wrong) -> Field {
    Field::new("password", reader.word("Password"), Control::Text { autocomplete: "off" })
        .hint(reader.word("8 characters or more; several words are best."))
        .error(wrong.about(reader, "password"))
}

fn shown(
    house: &House,
    visitor: &Visitor,
    whence: &Whence,
    kept: &Kept<Person>,
    typed: Option<&Pairs>,
    wrong: &Wrong,
) -> Result<Response, Error> {
    let (reader, person) = (&visitor.reader, &kept.thing);
    let picture = house.app.picture();
    let mut on_record =
        vec![("name".to_owned(), person.name.to_string()), ("role".to_owned(), person.role.key().to_owned())];
    on_record.extend(person.sites.iter().map(|site| ("sites".to_owned(), site.to_string())));
    let on_record = Pairs(on_record);
    let fields = fields(&picture.set_up, reader, typed.unwrap_or(&on_record), wrong);
    let password = told_password(reader, wrong);
    let known = [fields.as_slice(), std::slice::from_ref(&password)].concat();
    // A form that began from an earlier revision stays one: what was typed is not put over what was not seen.
    let revision = match typed {
        Some(typed) => began_from(typed)?.unwrap_or(kept.revision),
        None => kept.revision,
    };
    let show = Show {
        chrome: visitor.chrome(Place::SetUp),
        overheard: whence.is_overheard(),
        person: row(&picture.set_up, visitor, person),
        ended: person.ended.is_some(),
        revision,
        stray: wrong.about_none_of(reader, &known),
        fields,
        password,
    };
    page(reader, show)
}

/// What every account has: name, role, sites.
fn fields(set_up: &SetUp, reader: &Reader, typed: &Pairs, wrong: &Wrong) -> Vec<Field> {
    let hint = |role| match role {
        Role::Coordinator => "Sees and changes everything.",
        Role::Keeper => "Logs and changes at the sites ticked below; sees the neighbourhood's totals.",
    };
    let role = |(role, key, label): &(Role, &'static str, &'static str)| Choice {
        value: (*key).to_owned(),
        label: reader.word(label).to_owned(),
        hint: reader.word(hint(*role)).to_owned(),
    };
    let ticked = typed.all("sites").map(str::to_owned).collect::<Vec<_>>();
    let offered = set_up.sites.values().map(|kept| &kept.thing);
    let offered = offered.filter(|site| site.ended.is_none() || ticked.contains(&site.id.to_string()));
    let mut sites = offered
        .map(|site| Choice { value: site.id.to_string(), label: site.name.to_string(), hint: String::new() })
        .collect::<Vec<_>>();
    sites.sort_by_key(|site| site.label.to_lowercase());
    let none = if sites.is_empty() { "There is no site yet. Sites are added in the set-up." } else { "" };
    let mut keeps = Field::new("sites", reader.word("Sites they keep"), Control::Checks(sites))
        .hint(reader.word(none))
        .error(wrong.about(reader, "sites"))
        .optional();
    keeps.values = ticked;
    vec![
        Field::new("name", reader.word("Name"), Control::Text { autocomplete: "off" })
            .hint(reader.word("They sign in by it."))
            .value(typed.get("name").unwrap_or_default())
            .error(wrong.about(reader, "name")),
        Field::new("role", reader.word("Role"), Control::Radios(Role::LIST.iter().map(role).collect()))
            .value(typed.get("role").unwrap_or_default())
            .error(wrong.about(reader, "role")),
        keeps,
    ]
}
