//! `GET /upkeep`: every duty, by site and state as the address asks.

use std::collections::BTreeMap;
use std::sync::Arc;

use askama::Template;
use axum::extract::State as Held;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::upkeep::Duty;
use keepwell_engine::upkeep::State;
use serde::Deserialize;

use crate::model::id::SiteId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::SitePicture;
use crate::picture::upkeep::Task;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Query;
use crate::web::filters;
use crate::web::form::Choice;
use crate::web::form::Control;
use crate::web::form::Field;
use crate::web::fresh::Fresh;
use crate::web::pages::upkeep::line::Line;
use crate::web::reader::Reader;
use crate::web::visitor::Visitor;

/// The answer that picks nothing.
const ALL: &str = "all";

/// Lines on one page.
const A_PAGE: usize = 100;

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Asked {
    site: String,
    state: String,
    what: String,
    from: usize,
}

/// Lines of one state under their heading.
struct Group {
    state: State,
    heading: &'static str,
    lines: Vec<Line>,
    open: bool,
}

#[derive(Template)]
#[template(path = "upkeep/page.html")]
struct Page {
    chrome: Chrome,
    /// by state, before the question picks among them
    overdue: usize,
    due: usize,
    in_order: usize,
    any: bool,
    fields: [Field; 3],
    asks: bool,
    groups: Vec<Group>,
    found: usize,
    /// what goes with the link to another page of the list
    carried: String,
    before: Option<usize>,
    after: Option<usize>,
    may_set: bool,
    /// the mains are off: then no water is poured away
    off: bool,
}

pub(super) async fn show(
    Held(house): Held<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    let (site, state, duty) = read(&asked)?;
    visitor.caller.may(Deed::SeeTotals, None)?;
    let fresh = Fresh::of(&house, &visitor, &uri)?;
    if let Some(held) = fresh.held(&house, &headers) {
        return Ok(held);
    }
    let all = house.app.upkeep(&visitor.caller, None)?;
    if let Some(site) = site {
        visitor.caller.may(Deed::SeeSite, Some(site))?;
        all.picture.site(site).ok_or(crate::service::Error::NotFound("site"))?;
    }
    let reader = &visitor.reader;
    let mine = |pair: &&(Arc<SitePicture>, Task)| site.is_none_or(|site| pair.0.site.id == site);
    let kind = |pair: &&(Arc<SitePicture>, Task)| duty.is_none_or(|duty| pair.1.duty == duty);
    let of = |state: State| {
        all.tasks.iter().filter(mine).filter(kind).filter(move |pair| pair.1.reckoned.state == state).count()
    };
    let wanted: Vec<&(Arc<SitePicture>, Task)> = all
        .tasks
        .iter()
        .filter(mine)
        .filter(kind)
        .filter(|pair| state.is_none_or(|state| pair.1.reckoned.state == state))
        .collect();
    let from = if asked.from < wanted.len() { asked.from } else { 0 };
    let to = (from + A_PAGE).min(wanted.len());
    let shown = wanted.get(from..to).unwrap_or_default();
    let group = |of: State| {
        let lines: Vec<Line> = shown
            .iter()
            .filter(|pair| pair.1.reckoned.state == of)
            .map(|(site, task)| Line::of(reader, site, task))
            .collect();
        Group { state: of, heading: heading(of), open: state == Some(of) || of != State::InOrder, lines }
    };
    let view = Page {
        chrome: visitor.chrome(Place::Upkeep),
        overdue: of(State::Overdue),
        due: of(State::Due),
        in_order: of(State::InOrder),
        any: !all.tasks.is_empty(),
        fields: fields(reader, &asked, &all.tasks),
        asks: site.is_some() || state.is_some() || duty.is_some(),
        groups: State::ALL.map(group).into_iter().filter(|group| !group.lines.is_empty()).collect(),
        found: wanted.len(),
        carried: carried(&asked),
        before: (from > 0).then(|| from.saturating_sub(A_PAGE)),
        after: (to < wanted.len()).then_some(to),
        may_set: visitor.caller.can(Deed::Coordinate, None),
        off: crate::web::pages::today::supplies(reader, &all.picture).0,
    };
    Ok(fresh.dress(page(reader, view)?))
}

/// At which site, in which state, of which duty.
type Wanted = (Option<SiteId>, Option<State>, Option<Duty>);

/// What the address asks; each word must be one there is.
fn read(asked: &Asked) -> Result<Wanted, Error> {
    let one_of = |field: &'static str, given: &str, known: Vec<&'static str>| {
        let words = Message::new("There is no {given} here; there are {known}.")
            .with("given", Arg::text(given))
            .with("known", Arg::text(known.join(", ")));
        Error::invalid(field, words)
    };
    let site = match asked.site.as_str() {
        "" | ALL => None,
        site => Some(site.parse().map_err(|_| crate::service::Error::NotFound("site"))?),
    };
    let state = match asked.state.as_str() {
        "" | ALL => None,
        state => Some(
            State::ALL
                .into_iter()
                .find(|one| one.key() == state)
                .ok_or_else(|| one_of("state", state, State::ALL.map(State::key).to_vec()))?,
        ),
    };
    let duty = match asked.what.as_str() {
        "" | ALL => None,
        what => Some(Duty::from_key(what).ok_or_else(|| one_of("what", what, Duty::ALL.map(Duty::key).to_vec()))?),
    };
    Ok((site, state, duty))
}

const fn heading(state: State) -> &'static str {
    match state {
        State::Overdue => "Overdue",
        State::Due => "Due soon",
        State::InOrder => "Done, and not due yet",
    }
}

/// The three questions of the page.
fn fields(reader: &Reader, asked: &Asked, tasks: &[(Arc<SitePicture>, Task)]) -> [Field; 3] {
    let option =
        |value: &str, label: &str| Choice { value: value.to_owned(), label: label.to_owned(), hint: String::new() };
    let capital = |words: &str| reader.language.catalogue().phrase(words).capital().to_string();
    let sites: BTreeMap<(String, SiteId), ()> =
        tasks.iter().map(|(site, _)| ((site.site.name.to_string(), site.site.id), ())).collect();
    let sites = sites.into_keys().map(|(name, id)| option(&id.to_string(), &name)).collect();
    let states = State::ALL.map(|state| option(state.key(), &capital(heading(state)))).to_vec();
    let duties = Duty::ALL.map(|duty| option(duty.key(), &capital(duty.name()))).to_vec();
    let field = |name: &str, label: &'static str, mut list: Vec<Choice>, value: &str| {
        list.insert(0, option(ALL, reader.word("all")));
        let value = if value.is_empty() { ALL } else { value };
        Field::new(name, reader.word(label), Control::Select(list)).value(value)
    };
    [
        field("site", "Site", sites, &asked.site),
        field("state", "State", states, &asked.state),
        field("what", "What", duties, &asked.what),
    ]
}

/// The question without its place in the list. Each part was read as one of ours, so none needs an escape.
fn carried(asked: &Asked) -> String {
    let parts = [("site", &asked.site), ("state", &asked.state), ("what", &asked.what)];
    let given = parts.into_iter().filter(|(_, value)| !value.is_empty() && value.as_str() != ALL);
    given.map(|(name, value)| format!("{name}={value}&")).collect()
}
