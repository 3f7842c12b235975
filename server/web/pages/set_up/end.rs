//! Taking something out of use, and back: before a loss, what will change; then the two buttons.

use askama::Template;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use uuid::Uuid;

use crate::model::message::Message;
use crate::model::setup::Thing;
use crate::service;
use crate::web::House;
use crate::web::asking::Asking;
use crate::web::asking::Sheet;
use crate::web::asking::ask;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Pairs;
use crate::web::filters;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::form::name_of;
use crate::web::pages::set_up::noun::Noun;
use crate::web::visitor::Visitor;

#[derive(Template)]
#[template(path = "set_up/end.html")]
struct EndPage {
    chrome: Chrome,
    noun: Noun,
    name: String,
    words: &'static str,
    sheet: Sheet,
    action: String,
    back: String,
    revision: i64,
}

/// What is lost; English, as a key.
const fn loss(noun: Noun) -> &'static str {
    match noun {
        Noun::Site => {
            "From then on its people, its vessels and its fuel are counted no more: they leave every total, and the day the \
             first person goes without may change. Its entries stay."
        }
        Noun::Vessel => {
            "From then on its water is counted no more, and nothing later can be logged of it. Its entries stay. A vessel \
             that took its place is a new one."
        }
        Noun::Generator => "From then on no water is pumped by it in an outage. Its entries stay.",
        Noun::FuelStore => "From then on its fuel is counted no more. Its entries stay.",
        Noun::Load => "From then on no fuel is reckoned for it; without a pump, water is drawn by gravity or by hand.",
        Noun::Battery => "From then on it bridges nothing, and nothing is reckoned of its panels.",
        Noun::Carry => "From then on nothing is counted on to be carried that way.",
        Noun::Stage => "From then on it treats nothing, and the train is reckoned without it. Its entries stay.",
        Noun::Pump => "From then on nothing is reckoned of what it brings to the tap. Its entries stay.",
        Noun::Neighbourhood | Noun::Source | Noun::Bank => "",
    }
}

/// What stands to be taken out of use.
fn standing(house: &House, visitor: &Visitor, noun: Noun, id: Uuid) -> Result<(Task, Thing, i64), Error> {
    let task = Task::change(house, visitor, noun, id)?;
    match task.standing.clone().filter(|_| noun.can_end()) {
        Some((thing, revision)) => Ok((task, thing, revision)),
        None => Err(Error::no_page(&format!("{}/end", task.address()))),
    }
}

fn questions(asking: &mut Asking) -> Option<jiff::Timestamp> {
    asking.group("", "Since when");
    let question = ask("ended", "No longer in use since").hint("Such as “now”, “4 March 2026” or “today 07:40”.");
    asking.when(question, Some(asking.reader.now))
}

pub(super) fn show(house: &House, visitor: &Visitor, noun: Noun, id: Uuid) -> Result<Response, Error> {
    let (task, thing, revision) = standing(house, visitor, noun, id)?;
    let mut asking = Asking::of(&visitor.reader, None);
    questions(&mut asking);
    let sheet = asking.finish(Vec::new());
    view(visitor, &task, &thing, revision, sheet)
}

pub(super) async fn keep(
    house: &House,
    visitor: &Visitor,
    noun: Noun,
    id: Uuid,
    sent: &Pairs,
) -> Result<Response, Error> {
    let (task, thing, revision) = standing(house, visitor, noun, id)?;
    let began_from = sent.get("revision").and_then(|revision| revision.parse::<i64>().ok());
    let back_in_use = sent.get("back_in_use").is_some();
    let mut asking = Asking::of(&visitor.reader, Some(sent));
    let since = if back_in_use { None } else { questions(&mut asking) };
    let since_when = asking.holds();
    if !since_when {
        let sheet = asking.finish(Vec::new());
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, view(visitor, &task, &thing, revision, sheet)?).into_response());
    }
    let wanted = Noun::end(thing.clone(), since);
    if wanted != thing {
        match house.app.keep(&visitor.caller, wanted, began_from).await {
            Ok(_) => {}
            Err(service::Error::Stale) => {
                return Err(Error::Stale(
                    Message::new("{name} was changed while you were at it. Look at it again, then repeat this.")
                        .with("name", crate::model::message::Arg::text(name_of(&thing))),
                ));
            }
            Err(other) => return Err(other.into()),
        }
    }
    Ok(Redirect::to(&format!("{}?kept={id}", task.home())).into_response())
}

fn view(visitor: &Visitor, task: &Task, thing: &Thing, revision: i64, sheet: Sheet) -> Result<Response, Error> {
    page(
        &visitor.reader,
        EndPage {
            chrome: visitor.chrome(Place::SetUp),
            noun: task.noun,
            name: name_of(thing),
            words: loss(task.noun),
            sheet,
            action: format!("{}/end", task.address()),
            back: task.address(),
            revision,
        },
    )
}
