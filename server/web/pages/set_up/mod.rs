//! The set-up: what is kept about the neighbourhood, and a form for each noun of it. What a form asks stands in the noun's
//! own file; how it is shown and kept in `form`.

mod bank;
mod battery;
mod carry;
mod changes;
mod end;
mod first;
mod form;
mod fuel_store;
mod generator;
mod load;
mod neighbourhood;
mod noun;
mod overview;
mod pump;
mod record;
mod shapes;
mod site;
mod sketch;
mod source;
mod stage;
mod stands;
mod strapping;
mod vessel;

use axum::extract::State;
use axum::response::Response;
use uuid::Uuid;

use crate::model::id::SiteId;
use crate::web::House;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::noun::Noun;
use crate::web::routes::Routes;
use crate::web::visitor::Visitor;

pub(super) fn routes() -> Routes {
    Routes::new()
        .get("/set-up", whole)
        .get("/changes", record::list)
        .get("/changes/{seq}", record::show)
        .post("/changes/{seq}/undo", record::undo)
        .get("/set-up/neighbourhood", neighbourhood_form)
        .post("/set-up/neighbourhood", keep_neighbourhood)
        .get("/set-up/{noun}/new", new_form)
        .post("/set-up/{noun}/new", keep_new)
        .get("/set-up/{noun}/{id}", change_form)
        .post("/set-up/{noun}/{id}", keep_change)
        .get("/set-up/{noun}/{id}/end", end_form)
        .post("/set-up/{noun}/{id}/end", keep_end)
        .get("/set-up/{noun}/{id}/{under}/new", new_form_at)
        .post("/set-up/{noun}/{id}/{under}/new", keep_new_at)
}

async fn whole(State(house): State<House>, visitor: Visitor, asked: Question) -> Result<Response, Error> {
    overview::show(&house, &visitor, &asked.0).await
}

async fn neighbourhood_form(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    Task::change(&house, &visitor, Noun::Neighbourhood, Uuid::nil())?.show(&visitor, None)
}

async fn keep_neighbourhood(State(house): State<House>, visitor: Visitor, sent: FormData) -> Result<Response, Error> {
    Task::change(&house, &visitor, Noun::Neighbourhood, Uuid::nil())?.keep(&house, &visitor, &sent).await
}

/// A noun of the neighbourhood's own: a site, a supply.
fn own(noun: &str) -> Result<Noun, Error> {
    let found = Noun::of_path(noun).filter(|noun| !noun.is_of_a_site());
    found.ok_or_else(|| Error::no_page(&format!("/set-up/{noun}/new")))
}

async fn new_form(State(house): State<House>, visitor: Visitor, noun: Path<String>) -> Result<Response, Error> {
    Task::new(&house, &visitor, own(&noun.0)?, None)?.show(&visitor, None)
}

async fn keep_new(
    State(house): State<House>,
    visitor: Visitor,
    noun: Path<String>,
    sent: FormData,
) -> Result<Response, Error> {
    Task::new(&house, &visitor, own(&noun.0)?, None)?.keep(&house, &visitor, &sent).await
}

/// A noun that stands at a site, and which site.
fn at_site((noun, id, under): &(String, SiteId, String)) -> Result<(Noun, SiteId), Error> {
    let found = Noun::of_path(under).filter(|under| under.is_of_a_site() && noun == Noun::Site.path());
    found.map(|found| (found, *id)).ok_or_else(|| Error::no_page(&format!("/set-up/{noun}/{id}/{under}/new")))
}

async fn new_form_at(
    State(house): State<House>,
    visitor: Visitor,
    place: Path<(String, SiteId, String)>,
    asked: Question,
) -> Result<Response, Error> {
    let (noun, site) = at_site(&place.0)?;
    let mut task = Task::new(&house, &visitor, noun, Some(site))?;
    if noun == Noun::Vessel && asked.0.get("shape").is_none() {
        return shapes::show(&visitor, &task);
    }
    task.asked = asked.0;
    task.show(&visitor, None)
}

async fn keep_new_at(
    State(house): State<House>,
    visitor: Visitor,
    place: Path<(String, SiteId, String)>,
    sent: FormData,
) -> Result<Response, Error> {
    let (noun, site) = at_site(&place.0)?;
    Task::new(&house, &visitor, noun, Some(site))?.keep(&house, &visitor, &sent).await
}

fn kept((noun, id): &(String, Uuid)) -> Result<(Noun, Uuid), Error> {
    let found = Noun::of_path(noun).map(|noun| (noun, *id));
    found.ok_or_else(|| Error::no_page(&format!("/set-up/{noun}/{id}")))
}

async fn change_form(
    State(house): State<House>,
    visitor: Visitor,
    place: Path<(String, Uuid)>,
    asked: Question,
) -> Result<Response, Error> {
    let (noun, id) = kept(&place.0)?;
    let mut task = Task::change(&house, &visitor, noun, id)?;
    if noun == Noun::Vessel && asked.0.get("shape") == Some("") {
        return shapes::show(&visitor, &task);
    }
    let kept = asked.0.get("kept").map(str::to_owned);
    task.asked = asked.0;
    task.show(&visitor, kept.as_deref())
}

async fn keep_change(
    State(house): State<House>,
    visitor: Visitor,
    place: Path<(String, Uuid)>,
    sent: FormData,
) -> Result<Response, Error> {
    let (noun, id) = kept(&place.0)?;
    Task::change(&house, &visitor, noun, id)?.keep(&house, &visitor, &sent).await
}

async fn end_form(
    State(house): State<House>,
    visitor: Visitor,
    place: Path<(String, Uuid)>,
) -> Result<Response, Error> {
    let (noun, id) = kept(&place.0)?;
    end::show(&house, &visitor, noun, id)
}

async fn keep_end(
    State(house): State<House>,
    visitor: Visitor,
    place: Path<(String, Uuid)>,
    sent: FormData,
) -> Result<Response, Error> {
    let (noun, id) = kept(&place.0)?;
    end::keep(&house, &visitor, noun, id, &sent).await
}
