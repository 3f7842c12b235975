//! The whole record of changes, and one change: what it was before and after, and how it is undone.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use serde::Deserialize;

use crate::model::entry::fields::Problem;
use crate::model::message::Message;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::set_up::Change;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Path;
use crate::web::extract::Query;
use crate::web::filters;
use crate::web::pages::set_up::changes::Difference;
use crate::web::pages::set_up::changes::Recorded;
use crate::web::pages::set_up::changes::in_full;
use crate::web::pages::set_up::changes::told;
use crate::web::pages::set_up::noun::Noun;
use crate::web::visitor::Visitor;

/// Changes on one page.
const MOST: usize = 50;
const ONE_MORE: i64 = 51;

#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    /// the change that ended the page before
    before: Option<i64>,
    undone: Option<String>,
}

#[derive(Template)]
#[template(path = "set_up/record.html")]
struct Record {
    chrome: Chrome,
    record: Vec<Recorded>,
    undone: bool,
    newest: Option<&'static str>,
    older: Option<String>,
}

pub(super) async fn list(
    State(house): State<House>,
    visitor: Visitor,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    // One more than is shown, to know whether there are older ones.
    let mut changes = house.app.changes(&visitor.caller, None, asked.before, ONE_MORE).await?;
    let whole = changes.len() <= MOST;
    changes.truncate(MOST);
    let last = changes.last().map(|change| change.seq);
    let template = Record {
        chrome: visitor.chrome(Place::SetUp),
        record: told(&changes, &house.app.picture().set_up, &visitor.reader),
        undone: asked.undone.is_some(),
        newest: asked.before.map(|_| "/changes"),
        older: last.filter(|_| !whole).map(|last| format!("/changes?before={last}")),
    };
    page(&visitor.reader, template)
}

#[derive(Template)]
#[template(path = "set_up/change.html")]
struct ChangePage {
    chrome: Chrome,
    change: Recorded,
    differences: Vec<Difference>,
    /// the state that an undo begins from, or what stands in its way
    undo: Result<i64, Vec<String>>,
    /// why an undo that was asked for was not done
    standing: Vec<String>,
    /// where the thing itself is changed
    form: Option<String>,
}

pub(super) async fn show(State(house): State<House>, visitor: Visitor, seq: Path<i64>) -> Result<Response, Error> {
    let change = house.app.change(&visitor.caller, seq.0).await?;
    view(&house, &visitor, &change, Vec::new())
}

pub(super) async fn undo(
    State(house): State<House>,
    visitor: Visitor,
    seq: Path<i64>,
    sent: FormData,
) -> Result<Response, Error> {
    let began_from = sent.get("revision").and_then(|revision| revision.parse::<i64>().ok()).ok_or_else(|| {
        Error::Unreadable(Message::new(
            "The form did not say which state of things it began from. Open the page again.",
        ))
    })?;
    let (status, why) = match house.app.undo(&visitor.caller, seq.0, began_from).await {
        Ok(_) if visitor.caller.can(Deed::Coordinate, None) => {
            return Ok(Redirect::to("/changes?undone=1").into_response());
        }
        Ok(_) => return Ok(Redirect::to("/set-up").into_response()),
        Err(service::Error::Invalid(problems)) => (StatusCode::UNPROCESSABLE_ENTITY, said(&visitor, problems)),
        Err(service::Error::Stale) => {
            let words = "Somebody changed it while you were at it. What stands below is how it is now.";
            (StatusCode::PRECONDITION_FAILED, vec![visitor.reader.word(words).to_owned()])
        }
        Err(other) => return Err(other.into()),
    };
    let change = house.app.change(&visitor.caller, seq.0).await?;
    Ok((status, view(&house, &visitor, &change, why)?).into_response())
}

fn said(visitor: &Visitor, problems: Vec<Problem>) -> Vec<String> {
    problems.into_iter().map(|problem| visitor.reader.say(&problem.message).to_string()).collect()
}

fn view(house: &House, visitor: &Visitor, change: &Change, standing: Vec<String>) -> Result<Response, Error> {
    let picture = house.app.picture();
    let set_up = &picture.set_up;
    let undo = house.app.undoing(change);
    let noun = Noun::ALL.into_iter().find(|noun| noun.find(set_up, change.thing).is_some());
    let form = match noun {
        Some(Noun::Neighbourhood) => Some("/set-up/neighbourhood".to_owned()),
        Some(noun) => Some(format!("/set-up/{}/{}", noun.path(), change.thing)),
        None => set_up.people.keys().find(|id| id.uuid() == change.thing).map(|id| format!("/people/{id}")),
    };
    let recorded = told(core::slice::from_ref(change), set_up, &visitor.reader).into_iter().next();
    page(
        &visitor.reader,
        ChangePage {
            chrome: visitor.chrome(Place::SetUp),
            change: recorded.ok_or_else(|| Error::no_page(&format!("/changes/{}", change.seq)))?,
            differences: in_full(change, set_up, &visitor.reader),
            undo: undo.map(|undo| undo.began_from()).map_err(|problems| said(visitor, problems)),
            standing,
            form,
        },
    )
}
