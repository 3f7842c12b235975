//! Today: if the mains stopped now, the day the first person goes without, where and why; then the reasons.

mod curve;
mod head;
pub(super) mod help;

pub(super) use head::Head;
pub(super) use head::notices;
pub(super) use head::supplies;
mod ladder;

use std::sync::Arc;

use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::StatusCode;
use axum::http::Uri;
use axum::response::IntoResponse;
use axum::response::Response;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use serde::Deserialize;

use crate::picture::shared::WithCarries;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::error::Error;
use crate::web::extract::Query;
use crate::web::extract::Question;
use crate::web::filters;
use crate::web::fresh::Fresh;
use crate::web::pages::ration;
use crate::web::pages::rows;
use crate::web::pages::rows::Pages;
use crate::web::pages::rows::Rows;
use crate::web::pages::suppose;
use crate::web::pages::tasks;
use crate::web::pages::tasks::Tasks;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::shown;
use crate::web::shown::outlook;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

pub(super) fn routes() -> Routes {
    Routes::new().get("/", today)
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    /// the rung of the ladder; the one in force where none is named
    ration: Option<String>,
    /// the place in the list from which sites are shown
    from: usize,
    /// the order of what would help
    by: help::By,
}

#[derive(Template)]
#[template(path = "today/page.html")]
struct Page<'a> {
    chrome: Chrome,
    today: &'a Today,
    head: head::Head,
    figures: Figures,
    curve: Drawing,
    falls: Vec<curve::Row>,
    more_falls: usize,
    rows: Rows,
    pages: Pages,
    tasks: Tasks,
    ladder: ladder::Ladder,
    rests: Vec<Rest>,
    help: Vec<help::Line>,
    /// the moves are in the order of what money buys, and whether anybody said what things cost
    by_money: bool,
    priced: bool,
    losses: Vec<help::LossLine>,
    guards: Vec<help::Line>,
    what_if: suppose::Supposed,
    /// the answer is of what the address supposes
    supposing: bool,
    beside: Vec<suppose::Beside>,
    asked_ration: Option<&'a str>,
    /// the question of this address, to be carried on: "?ration=lean" or nothing
    question: String,
}

#[derive(Template)]
#[template(path = "today/empty.html")]
struct Empty {
    chrome: Chrome,
    may_set_up: bool,
}

/// The three figures, in falling size.
pub(super) struct Figures {
    pub first: Option<First>,
    pub dry: Option<First>,
    /// with the agreed carries, where any are agreed
    pub carried: Option<Carried>,
    /// people are counted at all
    pub people: bool,
}

/// When the first person goes without although what is agreed is carried.
pub(super) struct Carried {
    /// none: nobody, as far as is looked
    pub at: Option<Time>,
    pub words: Phrase,
    pub band: Option<(Time, Time)>,
    pub moves: usize,
}

/// When the first of something happens, where and why.
pub(super) struct First {
    pub at: Time,
    /// "Saturday 7 March, about midday"
    pub when: Option<String>,
    pub words: Phrase,
    pub band: Option<(Time, Time)>,
    working: Option<String>,
    /// the same site at the same moment as the figure before it
    pub same: bool,
}

/// One line of what the litres rest on.
struct Rest {
    what: &'static str,
    volume: Volume,
    why: Option<&'static str>,
}

async fn today(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
    Question(sent): Question,
) -> Result<Response, Error> {
    let ration = ration::asked(asked.ration.as_deref())?;
    visitor.caller.may(Deed::SeeTotals, None)?;
    let fresh = Fresh::of(&house, &visitor, &uri)?;
    if let Some(held) = fresh.held(&house, &headers) {
        return Ok(held);
    }
    let what_if = suppose::asked(&visitor, &house.app.picture(), &sent, None);
    let supposing = !what_if.suppose.is_nothing();
    let (picture, present) = house.app.today(&visitor.caller, ration)?;
    let today = if supposing {
        house.app.supposing(&visitor.caller, ration, what_if.suppose.clone())?.1
    } else {
        Arc::clone(&present)
    };
    let (reader, chrome) = (&visitor.reader, visitor.chrome(Place::Today));
    if today.sites.is_empty() {
        let may_set_up = visitor.caller.can(Deed::Coordinate, None);
        return Ok(fresh.dress(page(reader, Empty { chrome, may_set_up })?));
    }
    let seen: Vec<&SiteToday> = today.sites.iter().filter(|site| sees(&visitor, site)).collect();
    let (range, pages) = rows::page(reader, asked.from, seen.len());
    let findings = house.app.all_findings(&visitor.caller, &picture, &today)?;
    let tasks = tasks::tasks(reader, &picture, &findings, true);
    let (falls, more_falls) = curve::table(&visitor, &today);
    let mut question = ration::question(ration);
    if !what_if.carried.is_empty() {
        question.push(if question.is_empty() { '?' } else { '&' });
        question.push_str(&what_if.carried);
    }
    let priced = picture.set_up.neighbourhood.as_ref().is_some_and(|kept| kept.thing.prices.any());
    let by = if priced { asked.by } else { help::By::Work };
    let status = if what_if.refused { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::OK };
    let view = Page {
        beside: if supposing { suppose::beside(&present, &today) } else { Vec::new() },
        supposing,
        asked_ration: ration,
        what_if,
        head: head::Head::of(reader, &picture, &today),
        figures: figures(&visitor, &today, &question),
        curve: curve::drawn(&visitor, &today),
        falls,
        more_falls,
        rows: rows::rows(reader, &today, seen.get(range).unwrap_or_default()),
        pages,
        tasks,
        ladder: ladder::Ladder::of(&house, &visitor, &today)?,
        rests: rests(&today),
        help: help::moves(&house, &visitor, (&picture, &today), by)?,
        by_money: by == help::By::Money,
        priced,
        losses: help::losses(&house, &visitor, &picture, &today)?,
        guards: help::guards(&house, &visitor, (&picture, &today), None)?,
        chrome,
        today: &today,
        question,
    };
    let page = page(reader, view)?;
    // What does not hold is told anew each time.
    Ok(if status == StatusCode::OK { fresh.dress(page) } else { (status, page).into_response() })
}

/// Another's site has no name here.
pub(super) fn sees(visitor: &Visitor, site: &SiteToday) -> bool {
    visitor.caller.can(Deed::SeeSite, Some(site.site.site.id))
}

pub(super) fn figures(visitor: &Visitor, today: &Today, question: &str) -> Figures {
    let reader = &visitor.reader;
    let place = |fall: &keepwell_engine::neighbourhood::Fall| today.sites.get(fall.place);
    let first = today.as_placed.ration.first().and_then(|fall| Some((fall, place(fall)?)));
    let dry = today.as_placed.water.first().and_then(|fall| Some((fall, place(fall)?)));
    let ahead = |at: Time| (at > Time::default()).then(|| shown::part_of_day(reader, &today.now.after(at)));
    let working =
        |site: &SiteToday| sees(visitor, site).then(|| format!("/sites/{}/working{question}", site.site.site.id));
    Figures {
        first: first.map(|(fall, site)| First {
            at: fall.at,
            when: ahead(fall.at),
            words: shown::words(reader, "{where}: {why}")
                .with("where", named(visitor, site))
                .with("why", outlook::why_it_ends(reader, &site.site, &site.standing, today.now)),
            band: today.first_band.filter(|(low, high)| high > low),
            working: working(site),
            same: false,
        }),
        dry: dry.map(|(fall, site)| First {
            at: fall.at,
            when: ahead(fall.at),
            words: named(visitor, site),
            band: None,
            working: working(site),
            same: first.is_some_and(|(first, _)| first.place == fall.place && first.at == fall.at),
        }),
        carried: today.with_carries.as_ref().map(|with| carried(visitor, today, with)),
        people: today.people > 0.0,
    }
}

fn carried(visitor: &Visitor, today: &Today, with: &WithCarries) -> Carried {
    let reader = &visitor.reader;
    let moves = with.moves.iter().filter(|step| step.sent > Volume::default()).count();
    let place = with.first.and_then(|(place, at)| Some((today.sites.get(place)?, at)));
    let words = match place {
        None => shown::words(reader, "Nobody goes without within 2 years: {litres} moved, {trips}."),
        Some((site, at)) if at <= Time::default() => {
            shown::words(reader, "{where} is without from the start. {litres} moved, {trips}.")
                .with("where", named(visitor, site))
        }
        Some((site, at)) => shown::words(reader, "{where} goes without first, {when}: {litres} moved, {trips}.")
            .with("where", named(visitor, site))
            .with("when", shown::part_of_day(reader, &today.now.after(at))),
    };
    let words = words
        .with("litres", shown::litres(reader, with.carried()))
        .with("trips", reader.plural("{n} trip", "{n} trips", whole(with.trips())));
    let band = with.band.filter(|(low, high)| high > low);
    Carried { at: with.first.map(|(_, at)| at), words, band, moves }
}

/// A site by name with its people; another's site has no name here.
fn named(visitor: &Visitor, site: &SiteToday) -> Phrase {
    let reader = &visitor.reader;
    match (sees(visitor, site), site.standing.demand.people) {
        (false, _) => shown::words(reader, "At another's site"),
        (true, 0) => shown::words(reader, "<b>{site}</b>").with("site", site.site.site.name.as_str()),
        (true, people) => shown::words(reader, "<b>{site}, {people}</b>")
            .with("site", site.site.site.name.as_str())
            .with("people", shown::people(reader, people)),
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count, not negative; saturates")]
fn whole(count: f64) -> u64 {
    count.round().max(0.0) as u64
}

fn rests(today: &Today) -> Vec<Rest> {
    let water = &today.water;
    let line = |what, volume, why| Rest { what, volume, why };
    let mut rests = vec![
        line("tested in the last 90 days", water.tested, None),
        line("on the fill date alone", water.untested, None),
    ];
    let apart = [
        line("out of reach", water.out_of_reach, Some("below every outlet, or where no way of drawing is set up")),
        line("treat first", water.treat, Some("not counted until it is treated, or dosed, left 30 minutes and tested")),
        line(
            "washing only",
            water.utility,
            Some("for floors and flushing; no boiling and no bleach makes it drinking water"),
        ),
        line("on hold", water.hold, Some("for nothing, and in no total")),
    ];
    rests.extend(apart.into_iter().filter(|rest| rest.volume > Volume::default()));
    rests
}

/// "What each person gets" of a rung, for the head of the page.
pub(super) fn ration_words(reader: &Reader, today: &Today) -> Phrase {
    shown::words(reader, "at {ration}, {litres} a person a day")
        .with("ration", shown::words(reader, today.rung.name()))
        .with("litres", shown::litres(reader, today.rung.uses().total()))
}
