//! The situation report: one page, by the headings that such reports have, as of a moment. What nobody here can know
//! (decisions, who checked it) is left to be written in by hand.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use keepwell_engine::grade::Reason;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_mg_per_litre;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::hours;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::id::EntryId;
use crate::model::id::OutageId;
use crate::model::outage::Outage;
use crate::model::site::Category;
use crate::picture::SitePicture;
use crate::picture::cluster::moment;
use crate::picture::course::Course;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::service;
use crate::service::authorise::Deed;
use crate::service::outages::OutageAnswer;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::dates::When;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::pages::door::Door;
use crate::web::pages::outage::next;
use crate::web::pages::outage::one;
use crate::web::pages::today::notices;
use crate::web::pages::today::supplies;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::outlook;
use crate::web::visitor::Visitor;
use crate::web::visitor::day_of;
use crate::web::words::Phrase;

/// Sites with a row of their own on one page, and incidents.
const SITES: usize = 16;
const INCIDENTS: usize = 5;
/// The hours by which needs are told.
const HORIZONS: [f64; 4] = [12.0, 24.0, 48.0, 72.0];
/// For the city desk, in one message.
const ONE_LINE: usize = 160;

#[derive(Template)]
#[template(path = "outage/report.html")]
struct Report<'a> {
    chrome: Chrome,
    answer: &'a OutageAnswer,
    outage: &'a Outage,
    neighbourhood: String,
    day: u64,
    period: (Moment, Moment),
    supplies: Vec<Phrase>,
    notices: Vec<Phrase>,
    inlets: one::Inlets,
    ration: Phrase,
    people: Vec<(&'static str, u32)>,
    heads: u64,
    today: Option<&'a Today>,
    first: Option<Phrase>,
    next: Vec<next::Next>,
    sites: Vec<Site>,
    more: usize,
    given: (f64, f64),
    served: Phrase,
    received: f64,
    used: f64,
    quality: Vec<Phrase>,
    power: Vec<Phrase>,
    /// to the door of those who cannot fetch it
    door: Vec<Phrase>,
    door_more: usize,
    incidents: Vec<(Moment, Phrase)>,
    needs: Vec<Need>,
    one_line: String,
}

struct Site {
    name: String,
    people: u64,
    drink: Volume,
    other: Volume,
    days: Option<Time>,
    read: Option<Moment>,
    residual: Option<String>,
}

/// By so many hours from now.
struct Need {
    hours: Time,
    /// people whose ration has ended by then
    people: f64,
    /// litres that they lack until then
    litres: f64,
}

pub(super) async fn on(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    let answer = house.app.outage(&visitor.caller, None)?.ok_or(service::Error::NotFound("outage"))?;
    show(&visitor, &answer)
}

pub(super) async fn past(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<OutageId>,
) -> Result<Response, Error> {
    let answer = house.app.outage(&visitor.caller, Some(id))?.ok_or(service::Error::NotFound("outage"))?;
    show(&visitor, &answer)
}

fn show(visitor: &Visitor, answer: &OutageAnswer) -> Result<Response, Error> {
    let reader = &visitor.reader;
    let outage = &*answer.kept.thing;
    let today = answer.ahead.as_ref().map(|ahead| &*ahead.today);
    let from = answer.until.after(-days(1.0)).max(answer.since());
    let whole = if answer.is_on() { from } else { answer.since() };
    let period = Course::of(&answer.picture, whole, answer.until).all();
    let mine: Vec<&SitePicture> = answer
        .picture
        .sites()
        .iter()
        .map(|site| &**site)
        .filter(|site| visitor.caller.can(Deed::SeeSite, Some(site.site.id)))
        .collect();
    let mut sites = sites(visitor, answer, &mine);
    let more = sites.len().saturating_sub(SITES);
    sites.truncate(SITES);
    let door = today.map_or_else(Vec::new, |today| Door::of(visitor, &answer.picture, today).said(visitor));
    let people = people(answer);
    let heads = people.iter().map(|(_, count)| u64::from(*count)).sum();
    let view = Report {
        chrome: visitor.chrome(Place::Outage),
        neighbourhood: answer
            .picture
            .set_up
            .neighbourhood
            .as_ref()
            .map_or_else(String::new, |kept| kept.thing.name.to_string()),
        day: day_of(outage.ended.unwrap_or(reader.now).duration_since(outage.since)),
        period: (whole, answer.until),
        supplies: supplies(reader, &answer.picture).1,
        notices: notices(reader, &answer.picture),
        inlets: one::inlets(visitor, answer),
        ration: one::ration(reader, outage, outage.ended.unwrap_or(reader.now)),
        first: today.and_then(|today| first(visitor, today)),
        next: today.map_or_else(Vec::new, |today| next::next(visitor, today).into_iter().take(4).collect()),
        given: (period.given_out, period.people),
        served: shown::people(reader, counted(period.people)),
        received: period.received,
        used: period.used(),
        quality: quality(reader, answer, &mine),
        power: today.map_or_else(Vec::new, |today| power(visitor, today)),
        door_more: door.len().saturating_sub(INCIDENTS),
        door: door.into_iter().take(INCIDENTS).collect(),
        incidents: incidents(reader, answer, &mine, whole),
        needs: today.map_or_else(Vec::new, needs),
        one_line: one_line(visitor, answer, heads),
        people,
        heads,
        sites,
        more,
        today,
        outage,
        answer,
    };
    page(reader, view)
}

fn people(answer: &OutageAnswer) -> Vec<(&'static str, u32)> {
    let in_use =
        answer.picture.sites().iter().filter(|site| site.site.ended.is_none_or(|ended| moment(ended) > answer.until));
    let all: Vec<_> = in_use.flat_map(|site| &site.site.people).collect();
    Category::LIST
        .iter()
        .map(|(category, _, label)| {
            let of = all.iter().filter(|people| people.category == *category);
            (*label, of.map(|people| people.count).fold(0, u32::saturating_add))
        })
        .filter(|(_, count)| *count > 0)
        .collect()
}

/// Those that end first stand first.
fn sites(visitor: &Visitor, answer: &OutageAnswer, mine: &[&SitePicture]) -> Vec<Site> {
    let reader = &visitor.reader;
    let today = answer.ahead.as_ref().map(|ahead| &*ahead.today);
    let standing = |site: &SitePicture| today.and_then(|today| today.site(site.site.id));
    let mut all: Vec<(Option<Time>, Site)> = mine
        .iter()
        .filter(|site| site.site.ended.is_none_or(|ended| moment(ended) > answer.until))
        .map(|site| {
            let found = standing(site);
            let water = found.map(|found| found.standing.water);
            let days = found.and_then(|found| found.standing.timeline.ration_ends());
            let read = site.vessels_at(answer.until).filter_map(|vessel| vessel.state().last_reading).map(|(at, _)| at);
            let row = Site {
                name: site.site.name.to_string(),
                people: found.map_or(0, |found| found.standing.demand.people),
                drink: water.map_or_else(Volume::default, |water| water.drink),
                other: water.map_or_else(Volume::default, |water| water.treat + water.utility + water.hold),
                days,
                read: read.max(),
                residual: residual(reader, site, answer.until),
            };
            (days, row)
        })
        .collect();
    all.sort_by(|a, b| {
        let key = |row: &(Option<Time>, Site)| row.0.map_or(f64::INFINITY, as_days);
        key(a).total_cmp(&key(b)).then_with(|| a.1.name.cmp(&b.1.name))
    });
    all.into_iter().map(|(_, row)| row).collect()
}

/// The last residual at a site, with its day.
fn residual(reader: &Reader, site: &SitePicture, at: Moment) -> Option<String> {
    let parts = site.vessels_at(at).flat_map(|vessel| vessel.parts(at));
    let tested = parts.flat_map(|part| part.graded.reasons).filter_map(|reason| match reason {
        Reason::Tested { at, reading, .. } => Some((at, reading)),
        _ => None,
    });
    let (when, reading) = tested.max_by_key(|(at, _)| *at)?;
    let figure = shown::figure(reader, as_mg_per_litre(reading), Unit::MilligramPerLitre);
    Some(format!("{figure}, {}", shown::date(reader, &when)))
}

fn first(visitor: &Visitor, today: &Today) -> Option<Phrase> {
    let reader = &visitor.reader;
    let fall = today.as_placed.ration.first()?;
    let site: &SiteToday = today.sites.get(fall.place)?;
    let name = if visitor.caller.can(Deed::SeeSite, Some(site.site.site.id)) {
        site.site.site.name.to_string()
    } else {
        reader.word("another site").to_owned()
    };
    let why = outlook::why_it_ends(reader, &site.site, &site.standing, today.now);
    Some(
        shown::words(reader, "{name}, {people}: {why} {when}.")
            .with("name", name)
            .with("people", shown::people(reader, site.standing.demand.people))
            .with("why", why)
            .with("when", shown::part_of_day(reader, &today.now.after(fall.at))),
    )
}

/// What water is not counted for drinking, and why, by vessel.
fn quality(reader: &Reader, answer: &OutageAnswer, mine: &[&SitePicture]) -> Vec<Phrase> {
    let mut found = Vec::new();
    for site in mine {
        for vessel in site.vessels_at(answer.until) {
            let hold = vessel
                .parts(answer.until)
                .iter()
                .any(|part| part.graded.grade == Some(keepwell_engine::grade::Grade::Hold));
            if hold {
                found.push(
                    shown::words(reader, "{site}, {vessel}: on hold, for no use")
                        .with("site", site.site.name.as_str())
                        .with("vessel", vessel.vessel.name.as_str()),
                );
            }
        }
    }
    found.truncate(INCIDENTS);
    found
}

fn power(visitor: &Visitor, today: &Today) -> Vec<Phrase> {
    let reader = &visitor.reader;
    let seen = today.sites.iter().filter(|site| visitor.caller.can(Deed::SeeSite, Some(site.site.site.id)));
    let mut all: Vec<(f64, Phrase)> = seen
        .filter_map(|site| {
            let power = site.standing.power.as_ref()?;
            let running = power.running?;
            let lasts = keepwell_engine::quantity::as_hours(running);
            let words = shown::words(reader, "{site}: {fuel} for {hours}, {plan} a day")
                .with("site", site.site.site.name.as_str())
                .with("fuel", shown::words(reader, power.fuel.name()))
                .with("hours", shown::figure(reader, lasts, Unit::Hour))
                .with(
                    "plan",
                    shown::figure(reader, keepwell_engine::quantity::as_hours(power.hours_a_day), Unit::Hour),
                );
            Some((lasts, words))
        })
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all.into_iter().map(|(_, words)| words).take(INCIDENTS).collect()
}

/// What went wrong in the period, the newest first.
fn incidents(reader: &Reader, answer: &OutageAnswer, mine: &[&SitePicture], from: Moment) -> Vec<(Moment, Phrase)> {
    let mut found: Vec<(EntryId, Moment, Phrase)> = Vec::new();
    for site in mine {
        let of_vessels = site.vessels.iter().flat_map(|vessel| vessel.cluster().history().iter());
        for entry in of_vessels.chain(site.ledger.history.iter()) {
            let at = moment(entry.at);
            let Act::Wrong(wrong) = &entry.act else { continue };
            if at <= from || at > answer.until || wrong.over || entry.site != Some(site.site.id) {
                continue;
            }
            let words = shown::words(reader, "{site}: {what}")
                .with("site", site.site.name.as_str())
                .with("what", shown::words(reader, wrong.what.label()));
            if !found.iter().any(|(id, ..)| *id == entry.id) {
                found.push((entry.id, at, words));
            }
        }
    }
    found.sort_by_key(|(_, at, _)| core::cmp::Reverse(*at));
    found.into_iter().map(|(_, at, words)| (at, words)).take(INCIDENTS).collect()
}

/// Whose ration has ended by then, and what they lack until then.
fn needs(today: &Today) -> Vec<Need> {
    let need = |hour: f64| {
        let at = hours(hour);
        let curve = &today.as_placed.ration;
        let short = today.sites.iter().filter_map(|site| {
            let ends = site.standing.timeline.ration_ends().filter(|ends| *ends < at)?;
            let a_day = keepwell_engine::quantity::as_litres(site.standing.demand.drink_grade());
            Some(a_day * as_days(at - ends))
        });
        Need { hours: at, people: (curve.people - curve.supplied_at(at)).round(), litres: short.sum() }
    };
    HORIZONS.map(need).into_iter().collect()
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a sum of whole counts, none below 0")]
fn counted(count: f64) -> u64 {
    count.round() as u64
}

impl Report<'_> {
    fn each(&self) -> f64 {
        if self.given.1 > 0.0 { self.given.0 / self.given.1 } else { 0.0 }
    }
}

/// Under 160 characters, for whoever has room for no more.
fn one_line(visitor: &Visitor, answer: &OutageAnswer, heads: u64) -> String {
    let reader = &visitor.reader;
    let name = answer.picture.set_up.neighbourhood.as_ref().map(|kept| kept.thing.name.to_string()).unwrap_or_default();
    let today = answer.ahead.as_ref().map(|ahead| &ahead.today);
    let first = today.and_then(|today| today.as_placed.ration.first());
    let drill = if answer.kept.thing.is_drill() { reader.word("DRILL. ") } else { "" };
    let words = match first {
        Some(fall) => shown::words(
            reader,
            "{drill}{name}, {when}: {people}, {litres} left, first without in {days}, pooled {pooled}.",
        )
        .with("days", shown::figure(reader, as_days(fall.at), Unit::Day))
        .with(
            "pooled",
            today
                .and_then(|today| today.pooled.days)
                .map_or_else(String::new, |lasts| shown::figure(reader, as_days(lasts), Unit::Day)),
        ),
        None => shown::words(reader, "{drill}{name}, {when}: {people}, {litres} left."),
    };
    let when = answer.until.instant(reader).map_or_else(
        |_| String::new(),
        |at| {
            let local = reader.local(at);
            format!("{} {:02}:{:02}", local.date(), local.hour(), local.minute())
        },
    );
    let line = words
        .with("drill", drill)
        .with("name", name)
        .with("when", when)
        .with("people", shown::people(reader, heads))
        .with("litres", shown::litres(reader, answer.course.at_end()))
        .to_string();
    line.chars().take(ONE_LINE).collect()
}
