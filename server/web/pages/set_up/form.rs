//! What every form of the set-up has in common: what it is about, who may, how it is shown, how it is kept, and what is
//! said when another was quicker. What is asked stands in a file for each noun.

use std::sync::Arc;

use askama::Template;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use jiff::Timestamp;
use keepwell_engine::vessel::Capacity;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::entry::fields::Problem;
use crate::model::id::SiteId;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::picture::Picture;
use crate::service;
use crate::service::Caller;
use crate::service::authorise::Deed;
use crate::service::entries::New;
use crate::service::set_up::site_of;
use crate::web::House;
use crate::web::asking::Asking;
use crate::web::asking::Sheet;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::Pairs;
use crate::web::filters;
use crate::web::form;
use crate::web::pages::set_up::bank;
use crate::web::pages::set_up::battery;
use crate::web::pages::set_up::carry;
use crate::web::pages::set_up::changes::Difference;
use crate::web::pages::set_up::changes::since;
use crate::web::pages::set_up::fuel_store;
use crate::web::pages::set_up::generator;
use crate::web::pages::set_up::load;
use crate::web::pages::set_up::neighbourhood;
use crate::web::pages::set_up::noun::Noun;
use crate::web::pages::set_up::pump;
use crate::web::pages::set_up::site;
use crate::web::pages::set_up::source;
use crate::web::pages::set_up::stage;
use crate::web::pages::set_up::stands::Stands;
use crate::web::pages::set_up::vessel;
use crate::web::visitor::Visitor;

/// As long as an address, a way in, or notes may be, in characters.
pub(super) const WORDS: usize = 2000;

/// One form: what it is about, and the set-up it was drawn from.
pub(super) struct Task {
    pub noun: Noun,
    pub id: Uuid,
    /// where it stands; none for what is the neighbourhood's, and for a new site
    pub site: Option<SiteId>,
    /// the thing as it stands, with its revision; none for a new one
    pub standing: Option<(Thing, i64)>,
    /// what the address asks beside: the shape of a vessel
    pub asked: Pairs,
    pub now: Timestamp,
    picture: Arc<Picture>,
    caller: Caller,
}

/// What a form's answers come to.
pub(super) struct Answer {
    /// what is kept, all or none; the form's own thing last
    pub things: Vec<Thing>,
    /// what is known of a new vessel from the first
    pub first: Vec<First>,
}

/// An entry that is logged with a new vessel, and under which of the form's fields its faults belong.
pub(super) struct First {
    pub new: New,
    pub field: fn(&str) -> &'static str,
}

/// What was asked, and what could be drawn of it.
pub(super) struct Asked {
    pub answer: Option<Answer>,
    pub sketch: Option<vessel::Sketch>,
}

impl Answer {
    pub(super) fn of(thing: Thing) -> Self {
        Self { things: vec![thing], first: Vec::new() }
    }
}

impl Task {
    /// A new thing, with the id that the form carried or a fresh one.
    pub(super) fn new(house: &House, visitor: &Visitor, noun: Noun, site: Option<SiteId>) -> Result<Self, Error> {
        let picture = house.app.picture();
        let caller = visitor.caller.clone();
        match site {
            Some(site) => {
                caller.may(Deed::ChangeSite, Some(site))?;
                picture.set_up.sites.get(&site).ok_or(service::Error::NotFound("site"))?;
            }
            None => caller.may(Deed::Coordinate, None)?,
        }
        let id = Uuid::now_v7();
        Ok(Self { noun, id, site, standing: None, asked: Pairs::default(), now: visitor.reader.now, picture, caller })
    }

    /// What is kept already.
    pub(super) fn change(house: &House, visitor: &Visitor, noun: Noun, id: Uuid) -> Result<Self, Error> {
        let picture = house.app.picture();
        let caller = visitor.caller.clone();
        let standing = noun.find(&picture.set_up, id);
        let site = standing.as_ref().and_then(|(thing, _)| site_of(thing));
        match (&standing, site) {
            (Some(_), Some(site)) => caller.may(Deed::ChangeSite, Some(site))?,
            _ => caller.may(Deed::Coordinate, None)?,
        }
        let standing = Some(standing.ok_or(service::Error::NotFound(noun.word()))?);
        Ok(Self { noun, id, site, standing, asked: Pairs::default(), now: visitor.reader.now, picture, caller })
    }

    pub(super) fn set_up(&self) -> &SetUp {
        &self.picture.set_up
    }

    pub(super) const fn caller(&self) -> &Caller {
        &self.caller
    }

    /// The same form sent twice finds its thing there: what it was kept as.
    pub(super) fn kept_before(&self) -> Option<Thing> {
        self.noun.find(self.set_up(), self.id).map(|(thing, _)| thing)
    }

    /// The address that the form is shown at and sent to.
    pub(super) fn address(&self) -> String {
        match (&self.standing, self.site) {
            (Some(_), _) if self.noun == Noun::Neighbourhood => "/set-up/neighbourhood".to_owned(),
            (Some(_), _) => format!("/set-up/{}/{}", self.noun.path(), self.id),
            (None, Some(site)) => format!("/set-up/sites/{site}/{}/new", self.noun.path()),
            (None, None) => format!("/set-up/{}/new", self.noun.path()),
        }
    }

    /// Where one goes on to: the site that it belongs to, or the whole.
    pub(super) fn home(&self) -> String {
        match self.site {
            Some(site) if self.noun != Noun::Site => format!("/set-up/sites/{site}"),
            _ => "/set-up".to_owned(),
        }
    }

    fn questions(&self, asking: &mut Asking) -> Asked {
        let plain = |answer| Asked { answer, sketch: None };
        match self.noun {
            Noun::Neighbourhood => plain(neighbourhood::questions(self, asking)),
            Noun::Source => plain(source::questions(self, asking)),
            Noun::Site => plain(site::questions(self, asking)),
            Noun::Bank => plain(bank::questions(self, asking)),
            Noun::Vessel => vessel::questions(self, asking),
            Noun::Generator => plain(generator::questions(self, asking)),
            Noun::FuelStore => plain(fuel_store::questions(self, asking)),
            Noun::Load => plain(load::questions(self, asking)),
            Noun::Battery => plain(battery::questions(self, asking)),
            Noun::Carry => plain(carry::questions(self, asking)),
            Noun::Stage => plain(stage::questions(self, asking)),
            Noun::Pump => plain(pump::questions(self, asking)),
        }
    }

    /// The form with what stands in it.
    pub(super) fn show(&self, visitor: &Visitor, kept: Option<&str>) -> Result<Response, Error> {
        let mut asking = Asking::of(&visitor.reader, None);
        let asked = self.questions(&mut asking);
        let mut view = self.view(visitor, asked.sketch, asking.finish(Vec::new()));
        view.kept = kept.and_then(|id| self.named(id));
        page(&visitor.reader, view)
    }

    /// Keeps what was sent, or shows it again with what is wrong with it.
    pub(super) async fn keep(mut self, house: &House, visitor: &Visitor, sent: &Pairs) -> Result<Response, Error> {
        let mut began_from = None;
        if self.standing.is_some() {
            began_from = sent.get("revision").and_then(|revision| revision.parse::<i64>().ok());
            if began_from.is_none() {
                return Err(Error::Unreadable(Message::new(
                    "The form did not say which state of things it began from. Open the page again.",
                )));
            }
        } else {
            let id = sent.get("id").and_then(|id| Uuid::try_parse(id).ok());
            self.id = id.ok_or_else(|| {
                Error::Unreadable(Message::new("The form came without its number. Open the page again."))
            })?;
        }
        let mut asking = Asking::of(&visitor.reader, Some(sent));
        let asked = self.questions(&mut asking);
        let Some(answer) = asked.answer.filter(|_| asking.holds()) else {
            return self.refused(visitor, asked.sketch, asking, Vec::new());
        };
        let faults = first_faults(house, &answer);
        if !faults.is_empty() {
            return self.refused(visitor, asked.sketch, asking, faults);
        }
        let things: Vec<(Thing, Option<i64>)> = answer
            .things
            .into_iter()
            .map(|thing| {
                let revision = began_from.filter(|_| thing.id() == self.id);
                (thing, revision)
            })
            // What a form that was sent twice has kept already needs no keeping.
            .filter(|(thing, revision)| {
                revision.is_some() || self.set_up().find(thing).is_none_or(|(there, _)| there != *thing)
            })
            .collect();
        if !things.is_empty() {
            match house.app.keep_all(&visitor.caller, things).await {
                Ok(_) => {}
                Err(service::Error::Invalid(problems)) => {
                    return self.refused(visitor, asked.sketch, asking, problems.into_iter().map(fault).collect());
                }
                Err(service::Error::Stale) => {
                    return self.stale(house, visitor, asking, asked.sketch, began_from).await;
                }
                Err(other) => return Err(other.into()),
            }
        }
        for first in answer.first {
            match house.app.log(&visitor.caller, first.new).await {
                // Its number is there with another minute: the form was sent twice.
                Ok(_) | Err(service::Error::IdTaken) => {}
                Err(other) => return Err(other.into()),
            }
        }
        let onward = if self.noun == Noun::Site { format!("/set-up/sites/{}", self.id) } else { self.home() };
        Ok(Redirect::to(&format!("{onward}?kept={}", self.id)).into_response())
    }

    fn refused(
        &self,
        visitor: &Visitor,
        sketch: Option<vessel::Sketch>,
        asking: Asking,
        found: Vec<Fault>,
    ) -> Result<Response, Error> {
        let view = self.view(visitor, sketch, asking.finish(found));
        Ok((StatusCode::UNPROCESSABLE_ENTITY, page(&visitor.reader, view)?).into_response())
    }

    /// Another was quicker: what they changed, and what was typed here, kept. Keeping it again is then meant.
    async fn stale(
        self,
        house: &House,
        visitor: &Visitor,
        asking: Asking<'_>,
        sketch: Option<vessel::Sketch>,
        began_from: Option<i64>,
    ) -> Result<Response, Error> {
        let noun = self.noun;
        let now = Self::change(house, visitor, noun, self.id)?;
        let changes = house.app.changes(&visitor.caller, Some(self.id), None, 50).await?;
        let differences = since(&changes, began_from, now.set_up(), &visitor.reader);
        let mut view = now.view(visitor, sketch, asking.finish(Vec::new()));
        view.stale = Some(differences);
        Ok((StatusCode::PRECONDITION_FAILED, page(&visitor.reader, view)?).into_response())
    }

    fn named(&self, id: &str) -> Option<String> {
        let id = Uuid::try_parse(id).ok()?;
        Noun::ALL.into_iter().find_map(|noun| noun.find(self.set_up(), id)).map(|(thing, _)| name_of(&thing))
    }

    fn view(&self, visitor: &Visitor, sketch: Option<vessel::Sketch>, sheet: Sheet) -> FormPage {
        let name = self.standing.as_ref().map(|(thing, _)| name_of(thing)).unwrap_or_default();
        let site = self.site.filter(|_| self.noun != Noun::Site).and_then(|site| self.set_up().sites.get(&site));
        let ended = self.standing.as_ref().and_then(|(thing, _)| Noun::ended(thing));
        FormPage {
            chrome: visitor.chrome(Place::SetUp),
            noun: self.noun,
            place: site.map(|kept| kept.thing.name.to_string()).unwrap_or_default(),
            action: self.address(),
            home: self.home(),
            id: self.id.to_string(),
            revision: self.standing.as_ref().map(|(_, revision)| *revision),
            can_end: self.standing.is_some() && self.noun.can_end() && ended.is_none(),
            ended,
            stands: (self.noun == Noun::Site && self.standing.is_some()).then(|| Stands::of(self)),
            drawing: sketch.as_ref().and_then(|sketch| sketch.drawing(&visitor.reader)),
            capacity: sketch.and_then(|sketch| sketch.capacity),
            name,
            sheet,
            kept: None,
            stale: None,
        }
    }
}

/// What is wrong with the entries that would come with a new vessel, under the form's own fields.
fn first_faults(house: &House, answer: &Answer) -> Vec<Fault> {
    let Some(Thing::Vessel(vessel)) = answer.things.last() else { return Vec::new() };
    let mut faults = Vec::new();
    for first in &answer.first {
        for problem in house.app.first_problems(vessel, &first.new) {
            faults.push(Fault { field: Some((first.field)(problem.field).to_owned()), detail: problem.message });
        }
    }
    faults
}

fn fault(problem: Problem) -> Fault {
    Fault { field: (!problem.field.is_empty()).then(|| problem.field.to_owned()), detail: problem.message }
}

/// What a thing is called.
pub(super) fn name_of(thing: &Thing) -> String {
    match thing {
        Thing::Outage(outage) => outage.kind.label().to_owned(),
        _ => thing.name().map(ToString::to_string).unwrap_or_default(),
    }
}

/// What there is to choose from, by id and name.
pub(super) fn choices<'a>(things: impl Iterator<Item = (String, &'a Name)>) -> Vec<form::Choice> {
    let choice = |(value, name): (String, &Name)| form::Choice { value, label: name.to_string(), hint: String::new() };
    let mut list: Vec<form::Choice> = things.map(choice).collect();
    list.sort_by(|a, b| a.label.cmp(&b.label));
    list
}

#[derive(Template)]
#[template(path = "set_up/form.html")]
struct FormPage {
    chrome: Chrome,
    noun: Noun,
    /// what the thing is called; empty while it is new
    name: String,
    /// the site it belongs to, or empty
    place: String,
    sheet: Sheet,
    action: String,
    home: String,
    id: String,
    revision: Option<i64>,
    can_end: bool,
    ended: Option<Timestamp>,
    kept: Option<String>,
    stale: Option<Vec<Difference>>,
    stands: Option<Stands>,
    drawing: Option<Drawing>,
    capacity: Option<Capacity>,
}
