//! The carries: what is brought from where to where, how long for, and why no more; each trip logged with one tap.

use askama::Template;
use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::IntoResponse;
use axum::response::Redirect;
use axum::response::Response;
use keepwell_engine::demand::Ladder;
use keepwell_engine::neighbourhood::share::Stop;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_day;
use keepwell_engine::quantity::days;
use serde::Deserialize;

use crate::model::choice::Choice;
use crate::model::id::CarryId;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::shared::Move;
use crate::picture::shared::WithCarries;
use crate::picture::today::Today;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::FormData;
use crate::web::extract::Path;
use crate::web::extract::Query;
use crate::web::filters;
use crate::web::fresh::Fresh;
use crate::web::pages::door::Door;
use crate::web::pages::log::log_once;
use crate::web::pages::ration;
use crate::web::pages::today::ration_words;
use crate::web::pages::today::sees;
use crate::web::reader::Reader;
use crate::web::routes::Routes;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

pub(super) fn routes() -> Routes {
    Routes::new().get("/carries", show).post("/carries/{carry}", log)
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Asked {
    ration: Option<String>,
}

#[derive(Template)]
#[template(path = "carries/page.html")]
struct Page {
    chrome: Chrome,
    asked: Phrase,
    now: String,
    /// none: nothing is agreed
    carried: Option<Volume>,
    trips: f64,
    lines: Vec<Line>,
    slow: Vec<Phrase>,
    /// a giver that runs out before it would have
    sooner: Option<Phrase>,
    sites: Vec<Lasting>,
    door: Door,
    may_set_up: bool,
    question: String,
}

/// One carry.
struct Line {
    id: CarryId,
    name: String,
    from: String,
    to: String,
    means: &'static str,
    daily: f64,
    sent: Volume,
    trips: f64,
    trip: f64,
    until: Time,
    /// why it moves no more; English, as a key
    why: &'static str,
    /// the id of the entry that a tap logs
    entry: Option<EntryId>,
}

/// How long a site lasts without and with.
struct Lasting {
    id: Option<SiteId>,
    name: String,
    alone: Option<Time>,
    with: Option<Time>,
    longer: bool,
}

async fn show(
    State(house): State<House>,
    visitor: Visitor,
    uri: Uri,
    headers: HeaderMap,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    let ration = ration::asked(asked.ration.as_deref())?;
    visitor.caller.may(Deed::SeeTotals, None)?;
    let fresh = Fresh::of(&house, &visitor, &uri)?;
    if let Some(held) = fresh.held(&house, &headers) {
        return Ok(held);
    }
    let (picture, today) = house.app.today(&visitor.caller, ration)?;
    let reader = &visitor.reader;
    let with = today.with_carries.as_ref();
    let view = Page {
        chrome: visitor.chrome(Place::Today),
        asked: ration_words(reader, &today),
        now: shown::moment(reader, &today.now),
        carried: with.map(WithCarries::carried),
        trips: with.map_or(0.0, WithCarries::trips),
        lines: with
            .map_or_else(Vec::new, |with| with.moves.iter().map(|step| line(&visitor, &picture, step)).collect()),
        slow: with.map_or_else(Vec::new, |with| slow(&visitor, &today, with)),
        sooner: with.and_then(|with| sooner(&visitor, &today, with)),
        sites: with.map_or_else(Vec::new, |with| lasting(&visitor, &today, with)),
        door: Door::of(&visitor, &picture, &today),
        may_set_up: visitor.caller.can(Deed::Coordinate, None),
        question: ration::question(ration),
    };
    Ok(fresh.dress(page(reader, view)?))
}

fn name(visitor: &Visitor, picture: &Picture, site: SiteId) -> String {
    let seen = visitor.caller.can(Deed::SeeSite, Some(site));
    let kept = picture.set_up.sites.get(&site).filter(|_| seen);
    kept.map_or_else(|| visitor.reader.word("another site").to_owned(), |kept| kept.thing.name.to_string())
}

fn line(visitor: &Visitor, picture: &Picture, step: &Move) -> Line {
    let carry = &step.carry;
    let may_log = visitor.caller.can(Deed::Log, Some(carry.from));
    Line {
        id: carry.id,
        name: carry.name.to_string(),
        from: name(visitor, picture, carry.from),
        to: name(visitor, picture, carry.to),
        means: carry.means.label(),
        daily: as_litres_per_day(step.daily),
        sent: step.sent,
        trips: step.trips,
        trip: carry.litres_a_trip,
        until: step.until,
        why: why(step.stop),
        entry: may_log.then(EntryId::fresh),
    }
}

/// Why a carry moves no more.
const fn why(stop: Stop) -> &'static str {
    match stop {
        Stop::NoNeed => "nobody draws where it goes",
        Stop::TooSlow => "all that is agreed for it cannot keep up, and there is no store to fall back on: see below",
        Stop::DailyLimit => "it moves all that is agreed, every day",
        Stop::NothingToGive => "the giver has nothing beyond what it keeps back",
        Stop::KeepsTheRest => "the giver is down to what it keeps back",
        Stop::TargetReached => "the receiver has the days that come first, and others have not",
        Stop::OthersFirst => "the giver, or another it gives to, comes first",
        Stop::WouldShorten => "more would leave the giver with fewer days than the receiver",
        Stop::NotNeeded => "the receiver has its days by other carries, with less to carry",
    }
}

/// Those that their carries cannot keep up, and the ration that they would hold.
fn slow(visitor: &Visitor, today: &Today, with: &WithCarries) -> Vec<Phrase> {
    let reader = &visitor.reader;
    let said = |(place, each): &(usize, Volume)| {
        let site = today.sites.get(*place).filter(|site| sees(visitor, site))?;
        let ladder = Ladder::default();
        // what holds a ration to the last digit holds it
        let holds = as_litres(*each) * (1.0 + 1e-9);
        let held = ladder.rungs().iter().rfind(|rung| as_litres(rung.uses().total()) <= holds);
        let words = match held {
            Some(_) => "{site}: {litres} a person a day, which holds {ration}, not {asked}.",
            None => "{site}: {litres} a person a day, less than anyone needs to drink.",
        };
        let words = shown::words(reader, words)
            .with("site", site.site.site.name.as_str())
            .with("litres", shown::litres(reader, *each))
            .with("asked", shown::words(reader, today.rung.name()));
        Some(match held {
            Some(rung) => words.with("ration", shown::words(reader, rung.name())),
            None => words,
        })
    };
    with.too_slow.iter().filter_map(said).collect()
}

/// What comes first can leave the first to go without worse off: whoever agrees to it should see it.
fn sooner(visitor: &Visitor, today: &Today, with: &WithCarries) -> Option<Phrase> {
    let (place, at) = with.first?;
    let alone = today.as_placed.ration.first()?.at;
    let site = today.sites.get(place).filter(|site| at < alone && sees(visitor, site))?;
    let words = "{site} gives to sites that come first, and goes without sooner than anybody would on their own. Let it keep more back.";
    Some(shown::words(&visitor.reader, words).with("site", site.site.site.name.as_str()))
}

fn lasting(visitor: &Visitor, today: &Today, with: &WithCarries) -> Vec<Lasting> {
    let reader: &Reader = &visitor.reader;
    let lasting = today.sites.iter().enumerate().filter(|(_, site)| site.standing.needs_water());
    let mut all: Vec<Lasting> = lasting
        .map(|(place, site)| {
            let seen = sees(visitor, site);
            let alone = site.standing.timeline.ration_ends();
            let with = with.shared.days.get(place).copied().flatten().filter(|at| *at < site.standing.run.horizon);
            let name = if seen { site.site.site.name.to_string() } else { reader.word("another site").to_owned() };
            // a twentieth of a day does not show
            let longer = alone.is_some_and(|alone| with.is_none_or(|with| with - alone > days(0.05)));
            Lasting { id: seen.then_some(site.site.site.id), name, alone, with, longer }
        })
        .collect();
    all.sort_by(|a, b| {
        let key = |site: &Lasting| site.with.map_or(f64::INFINITY, |at| at.value);
        key(a).total_cmp(&key(b)).then_with(|| a.name.cmp(&b.name))
    });
    all
}

async fn log(
    State(house): State<House>,
    visitor: Visitor,
    Path(carry): Path<CarryId>,
    sent: FormData,
) -> Result<Response, Error> {
    let entry: EntryId = sent
        .get("id")
        .and_then(|id| id.parse().ok())
        .ok_or_else(|| Error::Unreadable(Message::new("The form came without its number. Open the page again.")))?;
    let done = || Redirect::to(&format!("/log/done/{entry}")).into_response();
    // Sent twice: where the first went is where it is.
    if house.app.entry(&visitor.caller, entry).is_ok() {
        return Ok(done());
    }
    let new = house.app.trip(&visitor.caller, carry, entry)?;
    log_once(&house.app, &visitor.caller, vec![new], true).await?;
    Ok(done())
}
