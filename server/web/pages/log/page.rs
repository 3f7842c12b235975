//! The form of an entry: opened, looked at before it is logged, logged.

use std::sync::Arc;

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::Kind;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::picture::cluster::moment;
use crate::service;
use crate::service::entries::New;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::FormData;
use crate::web::extract::Pairs;
use crate::web::extract::Path;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::pages::entries::deed;
use crate::web::pages::log::deeds;
use crate::web::pages::log::form;
use crate::web::pages::log::form::Form;
use crate::web::pages::log::form::choice;
use crate::web::pages::log::head::Head;
use crate::web::pages::log::once::log_once;
use crate::web::pages::log::pick::HOW;
use crate::web::pages::log::pick::Pick;
use crate::web::pages::log::subject::Subject;
use crate::web::pages::log::typed;
use crate::web::pages::log::will;
use crate::web::visitor::Visitor;

pub(super) async fn open_site(
    State(house): State<House>,
    visitor: Visitor,
    Path((id, kind)): Path<(SiteId, String)>,
    Question(typed): Question,
) -> Result<Response, Error> {
    let subject = Subject::site(&house.app, &visitor.caller, id)?;
    Sheet::of(&house, &visitor, &subject, &kind)?.open(&typed)
}

pub(super) async fn open_vessel(
    State(house): State<House>,
    visitor: Visitor,
    Path((id, kind)): Path<(VesselId, String)>,
    Question(typed): Question,
) -> Result<Response, Error> {
    let subject = Subject::vessel(&house.app, &visitor.caller, id)?;
    Sheet::of(&house, &visitor, &subject, &kind)?.open(&typed)
}

pub(super) async fn open_supply(
    State(house): State<House>,
    visitor: Visitor,
    Path((id, kind)): Path<(SourceId, String)>,
    Question(typed): Question,
) -> Result<Response, Error> {
    let subject = Subject::supply(&house.app, &visitor.caller, id)?;
    Sheet::of(&house, &visitor, &subject, &kind)?.open(&typed)
}

pub(super) async fn log_site(
    State(house): State<House>,
    visitor: Visitor,
    Path((id, kind)): Path<(SiteId, String)>,
    typed: FormData,
) -> Result<Response, Error> {
    let subject = Subject::site(&house.app, &visitor.caller, id)?;
    Sheet::of(&house, &visitor, &subject, &kind)?.log(&typed).await
}

pub(super) async fn log_vessel(
    State(house): State<House>,
    visitor: Visitor,
    Path((id, kind)): Path<(VesselId, String)>,
    typed: FormData,
) -> Result<Response, Error> {
    let subject = Subject::vessel(&house.app, &visitor.caller, id)?;
    Sheet::of(&house, &visitor, &subject, &kind)?.log(&typed).await
}

pub(super) async fn log_supply(
    State(house): State<House>,
    visitor: Visitor,
    Path((id, kind)): Path<(SourceId, String)>,
    typed: FormData,
) -> Result<Response, Error> {
    let subject = Subject::supply(&house.app, &visitor.caller, id)?;
    Sheet::of(&house, &visitor, &subject, &kind)?.log(&typed).await
}

/// One form in the hands of one visitor.
struct Sheet<'a> {
    house: &'a House,
    visitor: &'a Visitor,
    subject: &'a Subject,
    kind: Kind,
}

/// What an entry will do.
struct Will {
    deed: Message,
    words: Vec<Message>,
    surprise: Option<Message>,
}

/// The form as its template needs it.
#[derive(Template)]
#[template(path = "log/form.html")]
struct FormPage<'a> {
    chrome: Chrome,
    back: (String, &'a str),
    head: Head,
    question: &'static str,
    action: String,
    /// the number that the entry will have, and that of a reading after it
    id: String,
    then: String,
    form: Form,
    more_open: bool,
    when: [Field; 3],
    when_open: bool,
    faults: Vec<Message>,
    will: Option<Will>,
    caution: Option<(&'static str, &'static str)>,
}

impl<'a> Sheet<'a> {
    fn of(house: &'a House, visitor: &'a Visitor, subject: &'a Subject, kind: &str) -> Result<Self, Error> {
        let found = Kind::from_key(kind).filter(|kind| subject.takes(*kind));
        let kind = found.ok_or_else(|| Error::no_page(&format!("{}/{kind}", subject.href())))?;
        Ok(Self { house, visitor, subject, kind })
    }

    fn form(&self) -> Form {
        Form::of(self.kind, self.subject, &self.visitor.caller, &self.visitor.reader)
    }

    fn read(&self, typed: &Pairs) -> Result<typed::Typed, Vec<Fault>> {
        typed::read(self.kind, self.subject, typed, &self.visitor.reader, self.house.app.instant())
    }

    /// The form; filled in and looked at where it is asked with `check`.
    fn open(&self, typed: &Pairs) -> Result<Response, Error> {
        if typed.get("check").is_none() {
            // What the usual answers would do stands above the button at once; an address may answer some already.
            let mut usual = self.usual();
            let given: Vec<_> = typed.0.iter().filter(|(name, _)| usual.get(name).is_some()).cloned().collect();
            usual.0.retain(|(name, _)| typed.get(name).is_none());
            usual.0.extend(given.iter().cloned());
            let will = self.read(&usual).ok().and_then(|typed| self.will(&typed.new).ok());
            if given.is_empty() {
                usual.0.clear();
            }
            return self.page(&usual, Vec::new(), will);
        }
        let will = match self.read(typed) {
            Ok(read) => self.will(&read.new),
            Err(faults) => return self.page(typed, faults, None),
        };
        match will {
            Ok(will) => self.page(typed, Vec::new(), Some(will)),
            Err(error) => self.refused(typed, error),
        }
    }

    async fn log(&self, typed: &Pairs) -> Result<Response, Error> {
        let read = match self.read(typed) {
            Ok(read) => read,
            Err(faults) => return self.page(typed, faults, None),
        };
        let ids: Vec<EntryId> = read.new.iter().map(|new| new.id).collect();
        match log_once(&self.house.app, &self.visitor.caller, read.new, read.just_now).await {
            Ok(()) => {
                let then = ids.get(1).map(|id| format!("?then={id}")).unwrap_or_default();
                let id = ids.first().copied().ok_or(service::Error::NotFound("entry"))?;
                Ok(Redirect::to(&format!("/log/done/{id}{then}")).into_response())
            }
            Err(error) => self.refused(typed, error),
        }
    }

    fn refused(&self, typed: &Pairs, error: service::Error) -> Result<Response, Error> {
        let service::Error::Invalid(problems) = error else { return Err(error.into()) };
        let fault = |problem: crate::model::entry::fields::Problem| Fault {
            field: Some(typed::place(self.kind, typed, problem.field)),
            detail: problem.message,
        };
        self.page(typed, problems.into_iter().map(fault).collect(), None)
    }

    /// The form as it would be sent if nobody typed anything.
    fn usual(&self) -> Pairs {
        let form = self.form();
        let mut pairs = vec![("id".to_owned(), EntryId::fresh().to_string())];
        pairs.extend(form.picks.iter().filter(|pick| pick.taken).map(|pick| (HOW.to_owned(), pick.value.to_owned())));
        pairs.extend(form.all().map(|field| (field.name.clone(), field.typed().to_owned())));
        Pairs(pairs)
    }

    /// What those entries will do.
    fn will(&self, new: &[New]) -> Result<Will, service::Error> {
        let (app, caller, picture) = (&self.house.app, &self.visitor.caller, &self.subject.picture);
        let mut entries: Vec<Arc<Entry>> = Vec::new();
        for new in new {
            entries.push(app.check(caller, picture, new.clone())?);
        }
        let now = will::looked_at(self.subject.now, &entries);
        let deed = entries.first().map_or(Message::new(""), |entry| deed(entry, picture));
        let mut words = Vec::new();
        let mut surprise = None;
        if let Some(before) = self.subject.as_vessel()
            && moves_water(self.kind)
        {
            let after = entries.iter().fold(before.clone(), |after, entry| after.with(entry, &picture.sources));
            surprise = will::surprise(&after, &entries);
            words = will::change(before, &after, &entries, now);
            if let Some(Act::Transfer(transfer)) = entries.first().map(|entry| &entry.act) {
                let at = entries.first().map_or(now, |entry| moment(entry.at));
                words.extend(will::mixing(picture, before, transfer, at, now));
            }
        } else if let Some(entry) = entries.first() {
            words = will::supply(&entry.act);
        }
        Ok(Will { deed, words, surprise })
    }

    fn page(&self, typed: &Pairs, faults: Vec<Fault>, will: Option<Will>) -> Result<Response, Error> {
        let reader = &self.visitor.reader;
        let mut form = self.form();
        let mut when = when_fields(self.visitor);
        if !typed.0.is_empty() {
            for pick in &mut form.picks {
                pick.taken = typed.get(HOW) == Some(pick.value);
            }
            let fill = |field: &mut Field| {
                field.values = typed.all(&field.name).map(str::to_owned).collect();
            };
            form.each(fill);
            // Who sends no time at all means now.
            when.iter_mut().filter(|field| typed.get(&field.name).is_some()).for_each(fill);
        }
        let mut above = Vec::new();
        let wrong = !faults.is_empty();
        for fault in faults {
            let said = reader.say(&fault.detail).to_string();
            let name = fault.field.clone().unwrap_or_default();
            let mut placed = false;
            let mut put = |field: &mut Field| {
                if field.name == name {
                    placed = true;
                    field.error = Some(said.clone());
                }
            };
            form.each(&mut put);
            when.iter_mut().for_each(&mut put);
            if !placed {
                above.push(fault.detail);
            }
        }
        let id = |name: &str| typed.get(name).filter(|id| id.parse::<EntryId>().is_ok()).map(str::to_owned);
        let said = |field: &Field| field.error.is_some() || !field.typed().is_empty();
        let template = FormPage {
            chrome: self.visitor.chrome(Place::Log),
            back: (self.subject.href(), self.subject.name()),
            head: Head::of(self.subject, reader),
            question: deeds::of(self.kind).question,
            action: format!("{}/{}", self.subject.href(), self.kind.key()),
            id: id("id").unwrap_or_else(|| EntryId::fresh().to_string()),
            then: id("then").unwrap_or_else(|| EntryId::fresh().to_string()),
            more_open: form.more.iter().any(said),
            form,
            when_open: !when[0].is("now") || when.iter().any(|field| field.error.is_some()),
            when,
            faults: above,
            will,
            caution: caution(self.kind),
        };
        let answer = page(reader, template)?;
        let status = if wrong { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
        Ok((status, answer).into_response())
    }
}

/// Whether an entry of that kind can change what is believed of a vessel.
pub(super) const fn moves_water(kind: Kind) -> bool {
    !matches!(kind, Kind::Service | Kind::Inspection | Kind::Inlet | Kind::Note)
}

/// When it happened: now, unless somebody says otherwise.
fn when_fields(visitor: &Visitor) -> [Field; 3] {
    let reader = &visitor.reader;
    let day = |value, words| choice(reader, value, words);
    let days = vec![
        day("now", "now"),
        day("today", "earlier today"),
        day("yesterday", "yesterday"),
        day("other", "another day"),
    ];
    [
        Field::new("when", &form::label(reader, "when was it?"), Control::Radios(days)).value("now"),
        Field::new("hour", &form::label(reader, "at what hour"), Control::Text { autocomplete: "off" })
            .hint(reader.word("if not now, such as 07:40")),
        Field::new("day", &form::label(reader, "on which day"), Control::Day).hint(reader.word("if another day")),
    ]
}

/// The caution beside what can hurt (design: safety on the page).
const fn caution(kind: Kind) -> Option<(&'static str, &'static str)> {
    Some(match kind {
        Kind::Reading | Kind::Inspection | Kind::Discard => (
            "Never enter a tank.",
            "Read it from the hatch or the sight tube. Keep the vent open while filling or drawing.",
        ),
        Kind::Fill => (
            "No hose below the water.",
            "Leave an air gap between hose and water, or use the backflow preventer a licensed plumber put in. Keep the vent open.",
        ),
        Kind::Dose | Kind::Disinfection => (
            "Chlorine alone.",
            "Never with acid or ammonia. Open doors and windows. Plain, unscented bleach only. Stir, wait 30 minutes, test.",
        ),
        Kind::Fuel => (
            "Fuel burns.",
            "Let the engine cool before filling. Store it as the fire code says, away from water stores and flames.",
        ),
        Kind::GeneratorRun => (
            "Exhaust kills.",
            "Outdoors only, 6 m (20 ft) or more from openings, exhaust pointing away, with a CO alarm inside. A transfer switch fitted by a licensed electrician, never a plug into a socket.",
        ),
        Kind::Notice | Kind::Lifted => {
            ("The authority's word stands over ours.", "Infants and the ill follow medical advice.")
        }
        _ => return None,
    })
}

impl FormPage<'_> {
    fn picks(&self) -> &[Pick] {
        &self.form.picks
    }
}
