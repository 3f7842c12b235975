//! `GET /vessels/{id}`: what is in it, what that is counted as and why, how it came there, and how to read it.

use askama::Template;
use axum::extract::State;
use axum::response::Response;
use jiff::Timestamp;
use keepwell_engine::grade::Reason;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::vessel::usable;

use crate::findings;
use crate::findings::Scene;
use crate::model::choice::Choice;
use crate::model::id::EntryId;
use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::PartNow;
use crate::picture::VesselPicture;
use crate::picture::cluster::moment;
use crate::service::authorise::Deed;
use crate::service::entries::Listed;
use crate::service::reckon::VesselAnswer;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::draw::Drawing;
use crate::web::draw::vessel;
use crate::web::error::Error;
use crate::web::extract::Path;
use crate::web::filters;
use crate::web::pages::entries::deed;
use crate::web::pages::tasks::Task;
use crate::web::pages::tasks::tasks;
use crate::web::pages::vessels::dip::Dip;
use crate::web::pages::vessels::drawn::heel;
use crate::web::pages::vessels::drawn::outlet;
use crate::web::pages::vessels::drawn::rule;
use crate::web::pages::vessels::drawn::stands_at;
use crate::web::pages::vessels::drawn::whole;
use crate::web::pages::vessels::drawn::worst;
use crate::web::pages::vessels::level;
use crate::web::pages::vessels::level::Rows;
use crate::web::pages::vessels::residual::Residual;
use crate::web::pages::vessels::told::Told;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::grade::Why;
use crate::web::shown::grade::why;
use crate::web::visitor::Visitor;

/// As many entries as the page holds; the site has the rest.
const ENTRIES: i64 = 12;
/// How far back the level is drawn.
const BACK_DAYS: f64 = 60.0;

#[derive(Template)]
#[template(path = "vessels/page.html")]
struct Page {
    chrome: Chrome,
    id: VesselId,
    name: String,
    kind: &'static str,
    site: (String, String),
    bank: Option<Message>,
    state: Message,
    drawing: Drawing,
    held: Option<Held>,
    counted: &'static str,
    counted_for: Option<&'static str>,
    facts: Vec<Message>,
    /// by part: the lot's name (empty for one that is not told apart) and why it counts as it does
    reasons: Vec<(String, Vec<Why>)>,
    tasks: Vec<Task>,
    may_log: bool,
    may_change: bool,
    told: Told,
    level: Option<(Drawing, Rows)>,
    dates: Vec<Message>,
    residual: Residual,
    lots: Vec<Lot>,
    dip: Option<Dip>,
    entries: Vec<Line>,
}

/// The litres, said.
struct Held {
    litres: f64,
    give_or_take: f64,
    above: Option<(f64, &'static str)>,
    room: f64,
}

/// One lot of a set.
struct Lot {
    name: String,
    litres: f64,
    counted: &'static str,
    filled: Option<Moment>,
    due: Option<Moment>,
}

/// One entry of the vessel.
struct Line {
    id: EntryId,
    at: Timestamp,
    deed: Message,
    by: Option<String>,
    /// why it was declared void
    void: Option<String>,
}

/// `GET /vessels/{id}`
pub(super) async fn show(
    State(house): State<House>,
    visitor: Visitor,
    Path(id): Path<VesselId>,
) -> Result<Response, Error> {
    let answer = house.app.vessel(&visitor.caller, id)?;
    let listed = house.app.entries(&visitor.caller, Some(answer.site.site.id), Some(id), None, ENTRIES).await?;
    let VesselAnswer { now, picture, site, vessel } = &answer;
    let (now, reader) = (*now, &visitor.reader);
    let parts = vessel.parts(now);
    let grade = worst(&parts);
    let site_answer = house.app.site(&visitor.caller, site.site.id, None)?;
    let standing = site_answer.standing.as_ref().map(|standing| &*standing.standing);
    let found: Vec<_> = findings::at(&Scene { picture, site, standing, now })
        .into_iter()
        .filter(|finding| finding.vessel == Some(id))
        .collect();
    let may_log = visitor.caller.can(Deed::Log, Some(site.site.id));
    let template = Page {
        chrome: visitor.chrome(Place::Sites),
        id,
        name: vessel.vessel.name.to_string(),
        kind: vessel.vessel.shape.label(),
        site: (format!("/sites/{}", site.site.id), site.site.name.to_string()),
        bank: bank(vessel, &answer),
        state: state(vessel, &answer),
        drawing: drawing(reader, vessel, now),
        held: vessel.is_known().then(|| held(vessel, now)),
        counted: grade.map_or("nothing: it is empty", |grade| grade.name()),
        counted_for: grade.map(keepwell_engine::grade::Grade::counted_for),
        facts: facts(vessel, &answer, &parts),
        reasons: reasons(reader, &parts),
        tasks: tasks(reader, picture, &found, false).open,
        may_log,
        may_change: visitor.caller.can(Deed::ChangeSite, Some(site.site.id)),
        told: Told::of(&answer),
        level: level::drawn(reader, &answer, now.after(days(-BACK_DAYS))),
        dates: dates(vessel, &parts, now),
        residual: Residual::of(reader, &answer),
        lots: lots(&parts),
        dip: Dip::of(reader, vessel, now),
        entries: listed.into_iter().map(|listed| entry_line(listed, &answer)).collect(),
    };
    page(reader, template)
}

fn held(vessel: &VesselPicture, now: Moment) -> Held {
    let estimate = vessel.estimate(now);
    let out = outlet(vessel).map(|(way, _)| {
        // By the engine's own rule where there is one way only; above the lowest tap or pump suction else.
        let above = match vessel.body.fittings.draws.len() {
            1 => usable(&vessel.body.shape, &vessel.body.fittings, estimate.volume).map(|(above, _)| above).ok(),
            _ => None,
        };
        let above = above.unwrap_or_else(|| (estimate.volume - heel(vessel)).max(Volume::default()));
        (as_litres(above), way.label())
    });
    Held {
        litres: as_litres(estimate.volume),
        give_or_take: as_litres(estimate.high - estimate.low) / 2.0,
        above: out,
        room: as_litres((vessel.body.capacity.full - estimate.volume).max(Volume::default())),
    }
}

fn state(vessel: &VesselPicture, answer: &VesselAnswer) -> Message {
    let Some((at, id)) = vessel.state().last_reading else {
        return Message::new("Nobody has read it yet.");
    };
    let history = vessel.cluster().history();
    let entry = history.iter().rev().find(|entry| entry.id == id);
    let by = entry.and_then(|entry| entry.by).and_then(|by| answer.picture.set_up.people.get(&by));
    let said = entry.map_or(Message::new("read"), |entry| deed(entry, &answer.picture));
    let words = if by.is_some() { "{When}, by {who}: {deed}." } else { "{When}: {deed}." };
    let message = Message::new(words).with("when", Arg::Moment(at)).with("deed", said.into());
    match by {
        Some(by) => message.with("who", Arg::text(by.thing.name.as_str())),
        None => message,
    }
}

fn bank(vessel: &VesselPicture, answer: &VesselAnswer) -> Option<Message> {
    let bank = answer.picture.set_up.banks.get(&vessel.vessel.bank?)?;
    let words = if vessel.is_coupled() {
        "one of {bank}, opened to the others: they share one level"
    } else {
        "one of {bank}, shut off from the others"
    };
    Some(Message::new(words).with("bank", Arg::text(bank.thing.name.as_str())))
}

fn drawing(reader: &Reader, vessel: &VesselPicture, now: Moment) -> Drawing {
    let estimate = vessel.estimate(now);
    let capacity = vessel.body.capacity;
    let word = |words: &'static str| reader.word(words).to_owned();
    let mark = |at_m: f64, words: &'static str| vessel::Mark { at_m, words: word(words) };
    let mut words = vessel::Words { unread: word("not read yet"), ..vessel::Words::default() };
    if vessel.body.shape.height().is_some() {
        words.marks.push(mark(stands_at(vessel, capacity.full), "full"));
        if let Some((_, height)) = outlet(vessel).filter(|(_, height)| *height > 0.0) {
            words.marks.push(mark(height, "outlet"));
        }
        let across = vessel.vessel.dimensions.get("diameter_m").or_else(|| vessel.vessel.dimensions.get("length_m"));
        if let Some(across) = across {
            let across = shown::figure(reader, *across, keepwell_engine::quantity::Unit::Metre);
            words.across = shown::words(reader, "{length} across").with("length", across).to_string();
        }
    }
    if vessel.is_known() {
        words.marks.push(mark(stands_at(vessel, estimate.volume), "now"));
        let room = (capacity.full - estimate.volume).max(Volume::default());
        words.room = shown::words(reader, "room for {litres}").with("litres", shown::litres(reader, room)).to_string();
        let above = (estimate.volume - heel(vessel)).max(Volume::default());
        let key = "{litres} above the outlet";
        words.held = shown::words(reader, key).with("litres", shown::litres(reader, above)).to_string();
    }
    let drawn = shown::vessel::drawn(reader, vessel, now);
    vessel::large(&drawn, &words, &rule(reader), &|value, decimals| reader.number(value, decimals, decimals))
}

/// What the vessel itself says for its water, and what is said of its supply.
fn facts(vessel: &VesselPicture, answer: &VesselAnswer, parts: &[PartNow]) -> Vec<Message> {
    let body = &vessel.vessel;
    let mut facts = vec![match (body.closed, body.opaque, body.food_grade) {
        (true, true, true) => Message::new("Closed, opaque or dark, food-grade."),
        (closed, opaque, food) => Message::new("{Closed}, {opaque}, {food}.")
            .with("closed", Arg::Word(if closed { "closed" } else { "cannot be closed" }))
            .with("opaque", Arg::Word(if opaque { "opaque or dark" } else { "light reaches the water" }))
            .with("food", Arg::Word(if food { "food-grade" } else { "not made for food" })),
    }];
    if vessel.state().fill_assumed.is_some() {
        facts.push(Message::new("No fill was ever logged: it is taken to have come from the usual supply."));
    }
    let source = body.source.or_else(|| answer.site.site.sources.first().copied());
    if let Some(source) = source.and_then(|source| answer.picture.sources.all.get(&source)) {
        let name = Arg::text(source.source.name.as_str());
        facts.push(match source.notices.first() {
            None => Message::new("No notice in force on {source}.").with("source", name),
            Some(notice) => Message::new(
                "In force on {source}: “{kind}”, since {when}, by word of {by}. It touches what is filled under it.",
            )
            .with("source", name)
            .with("kind", Message::new(notice.kind.label()).into())
            .with("when", Arg::Day(notice.since))
            .with("by", Arg::text(&notice.by)),
        });
    }
    if let Some(due) = parts.iter().filter_map(|part| part.graded.due).min().filter(|due| *due > answer.now) {
        facts.push(Message::new("Inside its rotation date, {date}.").with("date", Arg::Day(due)));
    }
    facts
}

fn reasons(reader: &Reader, parts: &[PartNow]) -> Vec<(String, Vec<Why>)> {
    let standing = |reason: &&Reason| matches!(reason, Reason::Stands { .. });
    parts
        .iter()
        .filter(|part| part.graded.grade.is_some() || !part.graded.causes.is_empty())
        .map(|part| {
            let (against, plain): (Vec<&Reason>, Vec<&Reason>) = part.graded.reasons.iter().partition(standing);
            let said = against.into_iter().chain(plain).map(|reason| why(reader, reason));
            (part.lot.clone(), said.collect())
        })
        .collect()
}

fn dates(vessel: &VesselPicture, parts: &[PartNow], now: Moment) -> Vec<Message> {
    let policy = &vessel.vessel.policy;
    let Some(due) = parts.iter().filter_map(|part| part.graded.due).min() else {
        return vec![Message::new("It has no date until it is filled.")];
    };
    let how = Message::new(policy.how.label());
    let mut said = vec![if due <= now {
        Message::new("Past its date since {date}: to be {how}.").with("date", Arg::Day(due)).with("how", how.into())
    } else {
        Message::new("Due by {date}: to be {how}.").with("date", Arg::Day(due)).with("how", how.into())
    }];
    said.push(Message::new("Every {days}, by its policy.").with(
        "days",
        Arg::Counted { count: whole(policy.interval_days.round()).into(), one: "{n} day", other: "{n} days" },
    ));
    if let Some(clock) = parts.iter().filter_map(|part| part.graded.clock).min() {
        said.push(Message::new("Its oldest water counts from {date}.").with("date", Arg::Day(clock)));
    }
    if let Some(tested) = parts.iter().filter_map(|part| part.graded.vouched_by_test).min() {
        let until = tested.after(days(policy.redose_days));
        said.push(
            Message::new("The residual of {date} vouches for it until {until}.")
                .with("date", Arg::Day(tested))
                .with("until", Arg::Day(until)),
        );
    }
    said
}

fn lots(parts: &[PartNow]) -> Vec<Lot> {
    if parts.iter().all(|part| part.lot.is_empty()) {
        return Vec::new();
    }
    parts
        .iter()
        .map(|part| Lot {
            name: part.lot.clone(),
            litres: as_litres(part.estimate.volume),
            counted: shown::grade::counted_as(part.graded.grade),
            filled: part.graded.clock,
            due: part.graded.due,
        })
        .collect()
}

fn entry_line(listed: Listed, answer: &VesselAnswer) -> Line {
    let entry = listed.entry;
    let by = entry.by.and_then(|by| answer.picture.set_up.people.get(&by));
    Line {
        id: entry.id,
        at: entry.at,
        deed: deed(&entry, &answer.picture),
        by: by.map(|kept| kept.thing.name.to_string()),
        void: listed.voided.map(|void| match &void.act {
            crate::model::entry::Act::Void(act) => act.reason.clone(),
            _ => String::new(),
        }),
    }
}

/// Days since a moment, for a drawing's axis.
pub(super) fn days_since(from: Moment, at: Moment) -> f64 {
    as_days(at.since(from))
}

/// Midnight is no matter here: the moment of an entry.
pub(super) fn at(entry: &crate::model::entry::Entry) -> Moment {
    moment(entry.at)
}
