//! A deed of two entries in one form: shown, looked at, logged all or none.

use std::sync::Arc;

use askama::Template;
use axum::http::StatusCode;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use jiff::Timestamp;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::service;
use crate::service::entries::New;
use crate::web::House;
use crate::web::asking::Asking;
use crate::web::asking::Sheet;
use crate::web::asking::ask;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::error::Fault;
use crate::web::extract::Pairs;
use crate::web::filters;
use crate::web::pages::log::log_once;
use crate::web::visitor::Visitor;

/// What is done, and to what.
pub(super) struct Deed<'a> {
    pub house: &'a House,
    pub visitor: &'a Visitor,
    pub site: (SiteId, String),
    pub vessel: Option<VesselId>,
    /// "North: renew the water"
    pub name: String,
    pub question: &'static str,
    /// what is to know before one begins
    pub facts: Vec<Message>,
    pub cautions: Vec<(&'static str, &'static str)>,
    pub action: String,
}

#[derive(Template)]
#[template(path = "upkeep/do.html")]
struct DeedPage<'a> {
    chrome: Chrome,
    name: &'a str,
    site: &'a (SiteId, String),
    question: &'static str,
    facts: &'a [Message],
    cautions: &'a [(&'static str, &'static str)],
    action: &'a str,
    sheet: Sheet,
    will: Vec<Message>,
}

impl Deed<'_> {
    /// The entries' numbers, made when the form was drawn, and when it happened.
    pub fn begin(&self, asking: &mut Asking, typed: Option<&Pairs>) -> ([Option<EntryId>; 2], Timestamp, bool) {
        let id = |asking: &mut Asking, key| {
            let kept = asking.hidden(key, EntryId::fresh().to_string());
            let id = kept.parse().ok();
            if id.is_none() {
                let words = "The form came without its number. Open it again from the list and fill it in anew.";
                asking.fault_if_sent(key, Message::new(words));
            }
            id
        };
        let ids = [id(asking, "id"), id(asking, "then")];
        if typed.is_some_and(|typed| typed.get("id").is_none()) {
            let words = "The form came without its number. Open it again from the list and fill it in anew.";
            asking.fault_if_sent("id", Message::new(words));
        }
        let when = ask("at", "When").hint("Leave it empty for just now; or such as 07:40, yesterday 18:15.").optional();
        let said = asking.when(when, None);
        (ids, said.unwrap_or_else(|| self.house.app.instant()), said.is_none())
    }

    /// Two acts, the second a hair later, so that it counts later.
    pub fn entries(&self, ids: [Option<EntryId>; 2], at: Timestamp, acts: [Option<Act>; 2]) -> Vec<New> {
        let later = |number: i64| at.checked_add(jiff::SignedDuration::from_micros(number)).unwrap_or(at);
        let new = ids.into_iter().zip(acts).zip(0..);
        new.filter_map(|((id, act), number)| {
            let (id, act) = (id?, act?);
            Some(New { id, site: Some(self.site.0), vessel: self.vessel, at: later(number), act })
        })
        .collect()
    }

    /// The form, with what it would do if it were sent as it stands.
    pub fn show(&self, asking: Asking, new: &[New]) -> Result<Response, Error> {
        let will = self.will(new);
        self.page(asking.finish(Vec::new()), will, StatusCode::OK)
    }

    /// Logs all or none; on a fault the form comes back with what was typed.
    pub async fn log(&self, asking: Asking<'_>, new: Vec<New>, just_now: bool) -> Result<Response, Error> {
        if !asking.holds() || new.is_empty() {
            return self.page(asking.finish(Vec::new()), Vec::new(), StatusCode::UNPROCESSABLE_ENTITY);
        }
        let ids: Vec<EntryId> = new.iter().map(|new| new.id).collect();
        match log_once(&self.house.app, &self.visitor.caller, new, just_now).await {
            Ok(()) => {
                let first = ids.first().copied().ok_or(service::Error::NotFound("entry"))?;
                let then = ids.get(1).map(|id| format!("&then={id}")).unwrap_or_default();
                Ok(Redirect::to(&format!("/log/done/{first}?from=upkeep{then}")).into_response())
            }
            Err(service::Error::Invalid(problems)) => {
                let fault = |problem: crate::model::entry::fields::Problem| Fault {
                    field: (!problem.field.is_empty()).then(|| problem.field.to_owned()),
                    detail: problem.message,
                };
                let found = problems.into_iter().map(fault).collect();
                self.page(asking.finish(found), Vec::new(), StatusCode::UNPROCESSABLE_ENTITY)
            }
            Err(other) => Err(other.into()),
        }
    }

    fn will(&self, new: &[New]) -> Vec<Message> {
        let (app, caller) = (&self.house.app, &self.visitor.caller);
        let picture = app.picture();
        let checked: Result<Vec<Arc<Entry>>, _> =
            new.iter().map(|new| app.check(caller, &picture, new.clone())).collect();
        let (Ok(entries), Some(id)) = (checked, self.vessel) else { return Vec::new() };
        let Some((_, before)) = picture.vessel(id) else { return Vec::new() };
        let after = entries.iter().fold(before.clone(), |after, entry| after.with(entry, &picture.sources));
        let now = entries.iter().map(|entry| crate::picture::cluster::moment(entry.at)).fold(app.now(), Ord::max);
        crate::web::pages::log::change(before, &after, &entries, now)
    }

    fn page(&self, sheet: Sheet, will: Vec<Message>, status: StatusCode) -> Result<Response, Error> {
        let view = DeedPage {
            chrome: self.visitor.chrome(Place::Upkeep),
            name: &self.name,
            site: &self.site,
            question: self.question,
            facts: &self.facts,
            cautions: &self.cautions,
            action: &self.action,
            sheet,
            will,
        };
        Ok((status, page(&self.visitor.reader, view)?).into_response())
    }
}
