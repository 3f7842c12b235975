//! An outage begun, changed and ended, by the coordinator alone: the forms, and what becomes of what was typed.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;

use crate::model::id::Id;
use crate::model::id::OutageId;
use crate::model::outage::Outage;
use crate::model::setup::Kept;
use crate::picture::cluster::moment;
use crate::service;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::asking::Asking;
use crate::web::asking::Sheet;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::FormData;
use crate::web::extract::Pairs;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::pages::outage::form;
use crate::web::visitor::Visitor;

#[derive(Clone, Copy, PartialEq, Eq)]
enum What {
    Begin,
    Change,
    End,
}

#[derive(Template)]
#[template(path = "outage/form.html")]
struct FormPage {
    chrome: Chrome,
    title: &'static str,
    button: &'static str,
    action: &'static str,
    id: String,
    revision: Option<i64>,
    sheet: Sheet,
    ends: bool,
    /// another kept a change first
    stale: bool,
}

/// One form in the hands of the coordinator.
struct Task<'a> {
    house: &'a House,
    visitor: &'a Visitor,
    what: What,
    id: OutageId,
    standing: Option<Kept<Outage>>,
    drill: bool,
}

pub(super) async fn new_form(
    State(house): State<House>,
    visitor: Visitor,
    Question(asked): Question,
) -> Result<Response, Error> {
    let drill = asked.get("kind") == Some("drill");
    Task::begin(&house, &visitor, Id::fresh(), drill)?.show()
}

pub(super) async fn begin(State(house): State<House>, visitor: Visitor, sent: FormData) -> Result<Response, Error> {
    let id = sent.get("id").and_then(|id| id.parse().ok()).ok_or_else(|| Error::Unreadable(form::numberless()))?;
    Task::begin(&house, &visitor, id, false)?.keep(&sent).await
}

pub(super) async fn change_form(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    Task::on(&house, &visitor, What::Change, None)?.show()
}

pub(super) async fn change(State(house): State<House>, visitor: Visitor, sent: FormData) -> Result<Response, Error> {
    Task::on(&house, &visitor, What::Change, sent.get("id"))?.keep(&sent).await
}

pub(super) async fn end_form(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    Task::on(&house, &visitor, What::End, None)?.show()
}

pub(super) async fn end(State(house): State<House>, visitor: Visitor, sent: FormData) -> Result<Response, Error> {
    visitor.caller.may(Deed::Coordinate, None)?;
    // The same form sent twice: it is over, as it was meant to be.
    if let Some(id) = sent.get("id").and_then(|id| id.parse::<OutageId>().ok())
        && let Some(kept) = house.app.picture().set_up.outages.get(&id)
        && kept.thing.ended.is_some()
    {
        return Ok(Redirect::to(&format!("/outages/{id}")).into_response());
    }
    Task::on(&house, &visitor, What::End, sent.get("id"))?.keep(&sent).await
}

impl<'a> Task<'a> {
    fn begin(house: &'a House, visitor: &'a Visitor, id: OutageId, drill: bool) -> Result<Self, Error> {
        visitor.caller.may(Deed::Coordinate, None)?;
        Ok(Self { house, visitor, what: What::Begin, id, standing: None, drill })
    }

    /// The outage that is on; `id` is the one that a form was drawn for.
    fn on(house: &'a House, visitor: &'a Visitor, what: What, id: Option<&str>) -> Result<Self, Error> {
        visitor.caller.may(Deed::Coordinate, None)?;
        let picture = house.app.picture();
        if let Some(id) = id.and_then(|id| id.parse::<OutageId>().ok())
            && let Some(ended) = picture.set_up.outages.get(&id).and_then(|kept| kept.thing.ended)
        {
            return Err(Error::Conflict(form::over(moment(ended))));
        }
        let standing = picture.set_up.outage().cloned().ok_or(service::Error::NotFound("outage"))?;
        Ok(Self { house, visitor, what, id: standing.thing.id, standing: Some(standing), drill: false })
    }

    fn questions(&self, asking: &mut Asking) -> form::Answer {
        let picture = self.house.app.picture();
        let now = self.house.app.instant();
        match (self.what, &self.standing) {
            (What::Change, Some(old)) => form::change(asking, &old.thing, now),
            (What::End, Some(old)) => form::end(asking, &picture, &old.thing, now),
            _ => form::begin(asking, &picture, self.id, self.drill, now),
        }
    }

    fn show(&self) -> Result<Response, Error> {
        let mut asking = Asking::of(&self.visitor.reader, None);
        self.questions(&mut asking);
        self.page(asking.finish(Vec::new()), false, StatusCode::OK)
    }

    async fn keep(&self, sent: &Pairs) -> Result<Response, Error> {
        // The same form sent twice has begun it already.
        if self.what == What::Begin && self.house.app.picture().set_up.outages.contains_key(&self.id) {
            return Ok(Redirect::to("/outage").into_response());
        }
        let began_from = match self.what {
            What::Begin => None,
            What::Change | What::End => {
                let revision = sent.get("revision").and_then(|revision| revision.parse::<i64>().ok());
                Some(revision.ok_or_else(|| Error::Unreadable(form::numberless()))?)
            }
        };
        let mut asking = Asking::of(&self.visitor.reader, Some(sent));
        let answer = self.questions(&mut asking);
        let Some((outage, with)) = answer.filter(|_| asking.holds()) else {
            return self.page(asking.finish(Vec::new()), false, StatusCode::UNPROCESSABLE_ENTITY);
        };
        let id = outage.id;
        match self.house.app.keep_outage(&self.visitor.caller, outage, began_from, with).await {
            Ok(()) if self.what == What::End => Ok(Redirect::to(&format!("/outages/{id}")).into_response()),
            Ok(()) => Ok(Redirect::to("/outage").into_response()),
            Err(service::Error::Invalid(problems)) => {
                let found = problems.into_iter().map(|problem| Fault {
                    field: (!problem.field.is_empty()).then(|| problem.field.to_owned()),
                    detail: problem.message,
                });
                let sheet = asking.finish(found.collect());
                self.page(sheet, false, StatusCode::UNPROCESSABLE_ENTITY)
            }
            Err(service::Error::Stale) => self.page(asking.finish(Vec::new()), true, StatusCode::PRECONDITION_FAILED),
            Err(other) => Err(other.into()),
        }
    }

    fn page(&self, sheet: Sheet, stale: bool, status: StatusCode) -> Result<Response, Error> {
        let drill = self.standing.as_ref().is_some_and(|kept| kept.thing.is_drill()) || self.drill;
        let (title, button, action) = match (self.what, drill) {
            (What::Begin, true) => ("A drill", "Begin it", "/outage/new"),
            (What::Begin, false) => ("The mains are off", "Begin it", "/outage/new"),
            (What::Change, _) => ("Ration and plan", "Keep it", "/outage/change"),
            (What::End, true) => ("End the drill", "End it", "/outage/end"),
            (What::End, false) => ("End the outage", "End it", "/outage/end"),
        };
        // A form that was overtaken goes on from how things stand now.
        let now = self.house.app.picture().set_up.outages.get(&self.id).map(|kept| kept.revision);
        let view = FormPage {
            chrome: self.visitor.chrome(Place::Outage),
            title,
            button,
            action,
            id: self.id.to_string(),
            revision: self.standing.as_ref().and(now),
            sheet,
            ends: self.what == What::End,
            stale,
        };
        Ok((status, page(&self.visitor.reader, view)?).into_response())
    }
}
