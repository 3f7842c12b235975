//! `GET /outage` and one that is over: the page itself.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use jiff::Timestamp;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;

use crate::model::entry::inlet::InletState;
use crate::model::id::OutageId;
use crate::model::id::SiteId;
use crate::model::outage::Outage;
use crate::model::setup::Kept;
use crate::picture::cluster::moment;
use crate::picture::course::Day;
use crate::picture::shared::Move;
use crate::picture::shared::taken_since;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
use crate::service::outages::OutageAnswer;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::pages::door::Door;
use crate::web::pages::outage::chart;
use crate::web::pages::outage::next;
use crate::web::pages::outage::used;
use crate::web::pages::today::supplies;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::outlook;
use crate::web::visitor::Visitor;
use crate::web::visitor::day_of;
use crate::web::words::Phrase;

/// Carries on the page.
const CARRIES: usize = 20;

#[derive(Template)]
#[template(path = "outage/page.html")]
struct Page<'a> {
    chrome: Chrome,
    answer: &'a OutageAnswer,
    outage: &'a Outage,
    day: u64,
    now: String,
    supplies: Vec<Phrase>,
    clock: Clock,
    ration: Phrase,
    steps: Vec<(Timestamp, Phrase)>,
    first: Option<First>,
    today: Option<&'a Today>,
    /// litres left more than the plan has; below 0 behind it
    ahead: f64,
    ends_on: Option<String>,
    chart: Drawing,
    rows: Vec<chart::Row>,
    used: used::Used,
    given: Given,
    next: Vec<next::Next>,
    inlets: Inlets,
    unread: usize,
    carries: Vec<Carried>,
    door: Door,
    may: bool,
    past: Vec<Past>,
}

/// A carry that is agreed and would help, and when it was last taken.
pub struct Carried {
    pub name: String,
    pub words: Phrase,
    pub last: Option<Timestamp>,
}

fn carried(visitor: &Visitor, answer: &OutageAnswer) -> Vec<Carried> {
    let picture = &answer.picture;
    let today = answer.ahead.as_ref().map(|ahead| &ahead.today);
    let moves = today.and_then(|today| today.with_carries.as_ref()).map_or(&[][..], |with| &with.moves);
    let of = |step: &Move| {
        let carry = &step.carry;
        let name = |id| visitor.caller.can(Deed::SeeSite, Some(id)).then(|| picture.site(id)).flatten();
        let (from, to) = (name(carry.from)?, name(carry.to)?);
        let words = shown::words(&visitor.reader, "{from} to {to}, {litres} a day")
            .with("from", from.site.name.as_str())
            .with("to", to.site.name.as_str())
            .with("litres", shown::figure(&visitor.reader, carry.litres_a_day, Unit::Litre));
        Some(Carried { name: carry.name.to_string(), words, last: taken_since(picture, carry, answer.since()) })
    };
    moves.iter().filter(|step| step.sent > Volume::default()).take(CARRIES).filter_map(of).collect()
}

#[derive(Template)]
#[template(path = "outage/none.html")]
struct Nothing {
    chrome: Chrome,
    may: bool,
    past: Vec<Past>,
}

/// How long it has been going on: whole hours and minutes, and the seconds for the script that moves it on.
pub struct Clock {
    pub hours: u64,
    pub minutes: u64,
    pub seconds: u64,
}

/// When the first person goes without.
struct First {
    at: Time,
    words: Phrase,
    /// "day 4.5 of the outage: Sunday 8 March, in the evening"
    when: Option<String>,
    day: Time,
}

/// Handed out today, and since it began.
struct Given {
    today: f64,
    people: f64,
    whole: f64,
    people_in_all: f64,
    each: Option<f64>,
}

/// Where the inlets stand, of the sites that the visitor may see.
pub struct Inlets {
    pub shut: usize,
    pub all: usize,
    pub open: Vec<(SiteId, String)>,
}

/// One that is over, in a line.
struct Past {
    id: OutageId,
    drill: bool,
    since: Timestamp,
    lasted: Time,
    ran_out: String,
}

/// `GET /outage`
pub(super) async fn on(State(house): State<House>, visitor: Visitor) -> Result<Response, Error> {
    match house.app.outage(&visitor.caller, None)? {
        Some(answer) => show(&house, &visitor, &answer),
        None => {
            let past = past_ones(&house, &visitor, None)?;
            let may = visitor.caller.can(Deed::Coordinate, None);
            page(&visitor.reader, Nothing { chrome: visitor.chrome(Place::Outage), may, past })
        }
    }
}

/// `GET /outages/{id}`
pub(super) async fn past(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<OutageId>,
) -> Result<Response, Error> {
    let answer = house.app.outage(&visitor.caller, Some(id))?.ok_or(crate::service::Error::NotFound("outage"))?;
    show(&house, &visitor, &answer)
}

fn show(house: &House, visitor: &Visitor, answer: &OutageAnswer) -> Result<Response, Error> {
    let reader = &visitor.reader;
    let outage = &*answer.kept.thing;
    let today = answer.ahead.as_ref().map(|ahead| &*ahead.today);
    let first = today.and_then(|today| first(visitor, answer, today));
    let planned = answer.plan.left(answer.elapsed());
    let view = Page {
        chrome: visitor.chrome(Place::Outage),
        outage,
        day: day_of(outage.ended.unwrap_or(reader.now).duration_since(outage.since)),
        now: shown::moment(reader, &answer.until),
        supplies: supplies(reader, &answer.picture).1,
        clock: clock(answer),
        ration: ration(reader, outage, outage.ended.unwrap_or(reader.now)),
        steps: outage.rations.iter().map(|step| (step.since, rung_words(reader, &step.ration))).collect(),
        first,
        ahead: as_litres(answer.course.at_end()) - as_litres(planned),
        ends_on: today
            .and_then(|today| today.pooled.days)
            .filter(|lasts| as_days(*lasts) < 730.0)
            .map(|lasts| shown::part_of_day(reader, &answer.until.after(lasts))),
        chart: chart::drawn(reader, answer),
        rows: chart::table(answer),
        used: used::used(visitor, answer),
        given: given(reader, answer),
        next: today.map_or_else(Vec::new, |today| next::next(visitor, today)),
        inlets: inlets(visitor, answer),
        unread: unread(visitor, answer),
        carries: carried(visitor, answer),
        door: today.map_or_else(Door::default, |today| Door::of(visitor, &answer.picture, today)),
        may: visitor.caller.can(Deed::Coordinate, None),
        past: past_ones(house, visitor, Some(outage.id))?,
        today,
        answer,
    };
    page(reader, view)
}

fn first(visitor: &Visitor, answer: &OutageAnswer, today: &Today) -> Option<First> {
    let reader = &visitor.reader;
    let fall = today.as_placed.ration.first()?;
    let site = today.sites.get(fall.place)?;
    let sees = visitor.caller.can(Deed::SeeSite, Some(site.site.site.id));
    let named = if sees {
        shown::words(reader, "<b>{site}, {people}</b>")
            .with("site", site.site.site.name.as_str())
            .with("people", shown::people(reader, site.standing.demand.people))
    } else {
        shown::words(reader, "At another's site")
    };
    let why = outlook::why_it_ends(reader, &site.site, &site.standing, today.now);
    Some(First {
        at: fall.at,
        words: shown::words(reader, "{where}: {why}").with("where", named).with("why", why),
        when: (fall.at > Time::default()).then(|| shown::part_of_day(reader, &today.now.after(fall.at))),
        day: answer.elapsed() + fall.at,
    })
}

/// Whole hours and minutes.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, far below 2^53 seconds")]
pub fn clock(answer: &OutageAnswer) -> Clock {
    let seconds = (as_days(answer.elapsed()) * 86_400.0).max(0.0).round() as u64;
    Clock { hours: seconds / 3600, minutes: seconds % 3600 / 60, seconds }
}

pub fn ration(reader: &Reader, outage: &Outage, at: Timestamp) -> Phrase {
    rung_words(reader, outage.ration(at).unwrap_or(crate::picture::today::BASIC))
}

/// "Basic, 15 L a person a day".
pub fn rung_words(reader: &Reader, key: &str) -> Phrase {
    let rung = crate::picture::today::rung(key);
    shown::words(reader, "<b>{name}, {litres}</b> a person a day")
        .with("name", shown::words(reader, rung.name()))
        .with("litres", shown::litres(reader, rung.uses().total()))
}

/// Today is the civil day of the neighbourhood.
fn given(reader: &Reader, answer: &OutageAnswer) -> Given {
    let whole = answer.course.all();
    let midnight = reader.zone.to_timestamp(reader.today().at(0, 0, 0, 0)).map_or(answer.since(), moment);
    let from = midnight.max(answer.since());
    let mut today = (0.0, 0.0);
    for site in answer.picture.sites() {
        for entry in site.ledger.history.iter().rev() {
            let at = moment(entry.at);
            if at < from {
                break;
            }
            if let crate::model::entry::Act::GivenOut(given) = &entry.act
                && at <= answer.until
            {
                today.0 += given.litres();
                today.1 += given.people.unwrap_or(0.0);
            }
        }
    }
    let each = |day: &Day| (day.people > 0.0).then(|| day.given_out / day.people);
    Given { today: today.0, people: today.1, whole: whole.given_out, people_in_all: whole.people, each: each(&whole) }
}

pub fn inlets(visitor: &Visitor, answer: &OutageAnswer) -> Inlets {
    let mut inlets = Inlets { shut: 0, all: 0, open: Vec::new() };
    for site in answer.picture.sites() {
        let stores = site.vessels_at(answer.until).next().is_some();
        if !stores || !visitor.caller.can(Deed::SeeSite, Some(site.site.id)) {
            continue;
        }
        inlets.all += 1;
        if site.ledger.state.inlet.is_some_and(|(state, _)| state == InletState::Shut) {
            inlets.shut += 1;
        } else {
            inlets.open.push((site.site.id, site.site.name.to_string()));
        }
    }
    inlets
}

/// Vessels that nobody has read since it began.
fn unread(visitor: &Visitor, answer: &OutageAnswer) -> usize {
    let mine = answer.picture.sites().iter().filter(|site| visitor.caller.can(Deed::SeeSite, Some(site.site.id)));
    mine.flat_map(|site| site.vessels_at(answer.until))
        .filter(|vessel| vessel.state().last_reading.is_none_or(|(at, _)| at < answer.since()))
        .count()
}

fn past_ones(house: &House, visitor: &Visitor, but: Option<OutageId>) -> Result<Vec<Past>, Error> {
    let all: Vec<Kept<Outage>> = house.app.outages(&visitor.caller)?;
    let over = all.into_iter().filter(|kept| Some(kept.thing.id) != but);
    Ok(over
        .filter_map(|kept| {
            let ended = kept.thing.ended?;
            Some(Past {
                id: kept.thing.id,
                drill: kept.thing.is_drill(),
                since: kept.thing.since,
                lasted: moment(ended).since(moment(kept.thing.since)),
                ran_out: kept.thing.ran_out.clone(),
            })
        })
        .collect())
}

impl Page<'_> {
    /// A row's amounts with the day of each.
    fn cells(&self, row: &used::Row) -> Vec<(f64, keepwell_engine::moment::Moment)> {
        row.days.iter().copied().zip(self.used.columns.iter().map(|(from, _)| *from)).collect()
    }

    fn behind(&self) -> f64 {
        -self.ahead
    }

    fn first_inlet(&self) -> Option<&(SiteId, String)> {
        self.inlets.open.first()
    }

    fn pooled(&self) -> Option<(Time, Volume)> {
        self.today.and_then(|today| Some((today.pooled.days?, today.pooled.in_reach)))
    }
}
