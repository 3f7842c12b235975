//! A site: how long it lasts and what gives out first, its tanks and what each is counted as, its power, who draws there,
//! what was logged.

use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::response::IntoResponse;
use axum::response::Response;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_days;
use serde::Deserialize;

use crate::model::choice::Choice;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::site::Site;
use crate::picture::Picture;
use crate::picture::structure::Edition;
use crate::picture::today::SiteToday;
use crate::service::authorise::Deed;
use crate::service::entries::Listed;
use crate::service::reckon::SiteAnswer;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::draw::service;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::extract::Query;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::fresh::Fresh;
use crate::web::pages::entries;
use crate::web::pages::ration;
use crate::web::pages::rows;
use crate::web::pages::rows::Days;
use crate::web::pages::sites::battery::Battery;
use crate::web::pages::sites::battery::battery;
use crate::web::pages::sites::need::Need;
use crate::web::pages::sites::power::Power;
use crate::web::pages::sites::stands::Structure;
use crate::web::pages::sites::stands::edition;
use crate::web::pages::sites::tanks::Tanks;
use crate::web::pages::sites::works::Tap;
use crate::web::pages::sites::works::Train;
use crate::web::pages::suppose;
use crate::web::pages::tasks;
use crate::web::pages::tasks::Tasks;
use crate::web::pages::today::help;
use crate::web::pages::today::supplies;
use crate::web::pages::upkeep::Short;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::outlook;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// Entries shown; the rest are a page of their own.
const ENTRIES: i64 = 12;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Asked {
    ration: Option<String>,
    /// of the standard that earthquakes are reckoned by
    edition: Option<String>,
}

#[derive(Template)]
#[template(path = "sites/page.html")]
struct Page<'a> {
    chrome: Chrome,
    site: &'a Site,
    what: Phrase,
    now: String,
    supplies: Vec<Phrase>,
    /// none for a site no longer in use
    hero: Option<Hero>,
    tasks: Tasks,
    upkeep: Short,
    /// a finding asks for bleach: then its caution stands beside it
    bleach: bool,
    tanks: Tanks,
    power: Option<Power>,
    battery: Option<Battery>,
    tap: Option<Tap>,
    train: Option<Train>,
    structure: Option<Structure>,
    need: Option<Need>,
    entries: Vec<Line>,
    contact: bool,
    may_log: bool,
    may_change: bool,
    question: String,
    help: Vec<help::Line>,
    /// at one site there is one order
    by_money: bool,
    priced: bool,
    guards: Vec<help::Line>,
    what_if: suppose::Supposed,
    supposing: bool,
    beside: Vec<suppose::Beside>,
    asked_ration: Option<&'a str>,
}

/// The figure at the head.
struct Hero {
    days: Days,
    lead: Vec<Phrase>,
    band: Option<(Time, Time)>,
    /// when it is dry, where that is later than the end of the ration
    dry: Option<Time>,
    bar: Drawing,
}

/// An entry in a line.
struct Line {
    id: EntryId,
    when: String,
    words: Phrase,
    who: Option<String>,
    voided: Option<String>,
}

pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Path(id): Path<SiteId>,
    Query(asked): Query<Asked>,
    Question(sent): Question,
) -> Result<Response, Error> {
    let ration = ration::asked(asked.ration.as_deref())?;
    let edition = edition(asked.edition.as_deref())?;
    visitor.caller.may(Deed::SeeSite, Some(id))?;
    let fresh = Fresh::of(&house, &visitor, &uri)?;
    if let Some(held) = fresh.held(&house, &headers) {
        return Ok(held);
    }
    let what_if = suppose::asked(&visitor, &house.app.picture(), &sent, Some(id));
    let supposing = !what_if.suppose.is_nothing();
    let present = house.app.site(&visitor.caller, id, ration)?;
    let answer = if supposing {
        house.app.site_supposing(&visitor.caller, id, ration, what_if.suppose.clone())?
    } else {
        present.clone()
    };
    let (reader, site) = (&visitor.reader, &answer.site.site);
    let findings = house.app.findings(&visitor.caller, &answer)?;
    let listed = house.app.entries(&visitor.caller, Some(id), None, None, ENTRIES).await?;
    let has_contact = !(site.contact.is_empty() && site.phone.is_empty() && site.address.is_empty());
    let contact = has_contact && visitor.caller.can(Deed::SeeContacts, Some(id));
    let view = Page {
        chrome: visitor.chrome(Place::Sites),
        site,
        what: what(reader, &answer),
        now: shown::moment(reader, &answer.now),
        supplies: supplies(reader, &answer.picture).1,
        hero: answer.standing.as_ref().map(|standing| hero(reader, &answer, standing)),
        tasks: tasks::tasks(reader, &answer.picture, &findings, false),
        upkeep: Short::of(reader, &house.app.upkeep(&visitor.caller, Some(id))?.tasks),
        bleach: findings.iter().any(|finding| matches!(finding.rule, "overdue" | "twice_dosed")),
        tanks: Tanks::of(reader, &answer),
        power: match &answer.standing {
            Some(site) => Power::of(reader, &answer.site, &site.standing, answer.now).map_err(Error::internal)?,
            None => None,
        },
        battery: battery(reader, &answer)?,
        tap: answer.standing.as_ref().and_then(|site| Tap::of(reader, &site.standing)),
        train: answer.standing.as_ref().and_then(|site| Train::of(reader, &site.standing, answer.now)),
        structure: answer.standing.as_ref().and_then(|_| Structure::of(reader, &answer, edition, ration)),
        need: answer.standing.as_ref().map(|site| Need::of(&site.standing)),
        entries: listed.iter().map(|listed| line(reader, &answer.picture, listed)).collect(),
        contact,
        may_log: visitor.caller.can(Deed::Log, Some(id)),
        may_change: visitor.caller.can(Deed::ChangeSite, Some(id)),
        question: ration::question(ration),
        by_money: false,
        priced: false,
        help: help::of_site(&house, &visitor, &answer)?,
        guards: help::guards(&house, &visitor, (&answer.picture, &answer.today), Some(id))?,
        beside: if supposing { suppose::beside_at(id, &present.today, &answer.today) } else { Vec::new() },
        supposing,
        asked_ration: ration,
        what_if,
    };
    let refused = view.what_if.refused;
    let page = page(reader, view)?;
    if refused {
        // What does not hold is told anew each time.
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    // Contacts are personal: a browser keeps no copy of them.
    Ok(if contact { page } else { fresh.dress(page) })
}

fn what(reader: &Reader, answer: &SiteAnswer) -> Phrase {
    match &answer.standing {
        Some(site) if site.standing.demand.people > 0 => {
            shown::words(reader, "{what} draw here").with("what", rows::what(reader, site))
        }
        Some(site) => rows::what(reader, site),
        None => shown::words(reader, answer.site.site.kind.label()),
    }
}

fn hero(reader: &Reader, answer: &SiteAnswer, site: &SiteToday) -> Hero {
    let standing = &site.standing;
    let rung = answer.today.rung.name();
    let name = site.site.site.name.as_str();
    let timeline = &standing.timeline;
    let bar = shown::service::bar(reader, name, standing, rung);
    let ends = [timeline.dry_from(), timeline.ration_ends(), Some(standing.high)];
    let last = ends.into_iter().flatten().map(as_days).filter(|day| *day < 700.0).fold(0.0, f64::max);
    let length = if last > 0.0 { (last * 1.12).max(7.0) } else { 28.0 };
    let ration = timeline.ration_ends().filter(|at| *at > Time::default());
    Hero {
        days: Days::of(site),
        lead: outlook::lead(reader, &site.site, standing, rung, answer.now),
        band: ration.map(|_| (standing.low, standing.high)).filter(|(low, high)| high > low),
        dry: timeline.dry_from().filter(|dry| Some(*dry) != timeline.ration_ends()),
        bar: service::large(&bar, &shown::service::axis(reader, answer.now, length)),
    }
}

fn line(reader: &Reader, picture: &Picture, listed: &Listed) -> Line {
    let entry = &listed.entry;
    let who = entry.by.and_then(|by| picture.set_up.people.get(&by)).map(|kept| kept.thing.name.to_string());
    let reason = listed.voided.as_ref().map(|void| match &void.act {
        crate::model::entry::Act::Void(void) => void.reason.clone(),
        _ => String::new(),
    });
    Line {
        id: entry.id,
        when: shown::moment(reader, &entry.at),
        words: reader.say(&entries::line(entry, picture)),
        who,
        voided: reason,
    }
}
