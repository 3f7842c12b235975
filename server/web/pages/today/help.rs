//! What would help most, what one loss would cost, and what would hurt less then, in words.

use keepwell_engine::power::FuelKind;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use serde::Deserialize;

use crate::model::id::SiteId;
use crate::model::works::StageKind;
use crate::picture::Picture;
use crate::picture::losses::Loss;
use crate::picture::losses::Lost;
use crate::picture::moves::HOSE;
use crate::picture::moves::NextMove;
use crate::picture::moves::What;
use crate::picture::today::SiteToday;
use crate::picture::today::Today;
use crate::service::reckon::SiteAnswer;
use crate::web::House;
use crate::web::error::Error;
use crate::web::pages::today::named;
use crate::web::pages::today::sees;
use crate::web::pages::today::whole;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::visitor::Visitor;
use crate::web::words::Phrase;

/// Moves on the page.
const MOVES: usize = 5;
/// Of one site.
const OF_A_SITE: usize = 2;
/// Steps on the page that would hurt less after a loss.
const GUARDS: usize = 3;
/// Beyond so many sites a loss takes too long to be reckoned for every page: the API answers it when it is asked.
const LOSSES_UP_TO: usize = 1000;

/// The order of the moves: what an hour of work buys, or what money does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum By {
    #[default]
    Work,
    Money,
}

/// One move.
pub struct Line {
    /// days more at its site
    pub gain: Time,
    pub deed: Phrase,
    /// for whom, to which day, the work, and what it does for everyone
    pub words: String,
}

/// One loss.
pub struct LossLine {
    pub what: Phrase,
    /// the first person goes without then; none: nobody, as far as is looked
    pub at: Option<Time>,
    pub words: String,
}

/// # Errors
/// A figure that the engine does not take.
pub fn moves(
    house: &House,
    visitor: &Visitor,
    (picture, today): (&Picture, &Today),
    by: By,
) -> Result<Vec<Line>, Error> {
    let all = house.app.next_moves(&visitor.caller, picture, today)?;
    let mut all: Vec<&NextMove> = all.iter().collect();
    if by == By::Money {
        all.sort_by(|a, b| b.for_money().total_cmp(&a.for_money()));
    }
    let mut lines: Vec<(SiteId, Line)> = Vec::new();
    for one in all {
        let Some(site) = today.site(one.site).filter(|site| sees(visitor, site)) else { continue };
        let of_site = lines.iter().filter(|line| line.0 == one.site).count();
        if lines.len() < MOVES && of_site < OF_A_SITE {
            lines.push((one.site, line(visitor, picture, today, (site, one), of_site > 0)));
        }
    }
    Ok(lines.into_iter().map(|line| line.1).collect())
}

/// What would help most at one site.
///
/// # Errors
/// A figure that the engine does not take.
pub fn of_site(house: &House, visitor: &Visitor, answer: &SiteAnswer) -> Result<Vec<Line>, Error> {
    let all = house.app.next_moves(&visitor.caller, &answer.picture, &answer.today)?;
    let id = answer.site.site.id;
    let Some(site) = answer.today.site(id) else { return Ok(Vec::new()) };
    let mine = all.iter().filter(|one| one.site == id).take(MOVES);
    Ok(mine.map(|one| line(visitor, &answer.picture, &answer.today, (site, one), false)).collect())
}

/// What would hurt less after a loss, anywhere or at one site.
///
/// # Errors
/// A figure that the engine does not take.
pub fn guards(
    house: &House,
    visitor: &Visitor,
    (picture, today): (&Picture, &Today),
    of: Option<SiteId>,
) -> Result<Vec<Line>, Error> {
    let all = house.app.guards(&visitor.caller, picture, today)?;
    let mine = all.iter().filter(|guard| of.is_none_or(|of| of == guard.step.site));
    let lines = mine.filter_map(|guard| {
        let site = today.site(guard.step.site).filter(|site| sees(visitor, site))?;
        let mut line = line(visitor, picture, today, (site, &guard.step), false);
        let after = match guard.after {
            Lost::Earthquake { .. } => "After an earthquake:",
            _ => "If one of them leaks:",
        };
        line.words = format!("{} {}", visitor.reader.word(after), line.words);
        Some(line)
    });
    Ok(lines.take(GUARDS).collect())
}

fn line(
    visitor: &Visitor,
    picture: &Picture,
    today: &Today,
    (site, one): (&SiteToday, &NextMove),
    again: bool,
) -> Line {
    let reader = &visitor.reader;
    let deed = deed(visitor, picture, today, (site, one), again);
    let mut words = vec![reached(reader, one), work(reader, site, one)];
    words.extend(costs(reader, one));
    words.extend(one.first.and_then(|first| everyone(reader, today, first)));
    let words: Vec<String> = words.into_iter().map(|phrase| phrase.to_string()).collect();
    Line { gain: one.gain, deed, words: words.join(" ") }
}

fn deed(
    visitor: &Visitor,
    picture: &Picture,
    today: &Today,
    (site, one): (&SiteToday, &NextMove),
    again: bool,
) -> Phrase {
    let reader = &visitor.reader;
    let name = site.site.site.name.as_str();
    let vessel =
        |id| site.site.vessels.iter().find(|vessel| vessel.vessel.id == id).map(|found| found.vessel.name.as_str());
    let litres = |litres: f64| shown::figure(reader, litres, Unit::Litre);
    let deed = match one.what {
        What::Plan { hours, now } => shown::words(reader, "Run the generator at {site} {hours} a day, not {now}")
            .with("hours", shown::figure(reader, hours, Unit::Hour))
            .with("now", shown::figure(reader, now, Unit::Hour)),
        What::Fuel { kind, litres: more } => {
            let words = if again { "Or bring {site} {litres} of {fuel}" } else { "Bring {site} {litres} of {fuel}" };
            shown::words(reader, words).with("litres", litres(more)).with("fuel", shown::words(reader, kind.name()))
        }
        What::Restore { vessel: id, litres: restored } => {
            shown::words(reader, "Dose and test {vessel} at {site}, {litres}")
                .with("vessel", vessel(id).unwrap_or_default())
                .with("litres", litres(restored))
        }
        What::Fill { vessel: id, litres: room, .. } => {
            shown::words(reader, "Fill {vessel} at {site}, room for {litres}")
                .with("vessel", vessel(id).unwrap_or_default())
                .with("litres", litres(room))
        }
        What::Cans { count, litres: more } => shown::words(reader, "Keep {cans} more at {site}, {litres}")
            .with("cans", reader.plural("{n} can", "{n} cans", u64::from(count)))
            .with("litres", litres(more)),
        What::Carry { from, litres: sent, .. } => {
            let from = today.site(from).map(|from| named_plainly(visitor, from).to_string()).unwrap_or_default();
            shown::words(reader, "Carry {litres} from {from} to {site}").with("litres", litres(sent)).with("from", from)
        }
        What::Renew { stage } => {
            let stage = site.site.stages.iter().find(|there| there.id == stage).map(|there| there.name.as_str());
            shown::words(reader, "Renew {stage} at {site}, with a spare at hand")
                .with("stage", stage.unwrap_or_default())
        }
        What::Anchor { vessel: id } => {
            shown::words(reader, "Anchor {vessel} at {site}").with("vessel", vessel(id).unwrap_or_default())
        }
        What::Uncouple { bank } => {
            let bank = picture.set_up.banks.get(&bank).map(|kept| kept.thing.name.as_str());
            shown::words(reader, "Shut the vessels of {bank} off from each other at {site}")
                .with("bank", bank.unwrap_or_default())
        }
    };
    deed.with("site", name)
}

/// "58 people, to day 7.2."
fn reached(reader: &Reader, one: &NextMove) -> Phrase {
    let words = match (one.lasts, one.what.is_a_chance()) {
        (Some(_), false) => "{people}, to day {day}.",
        (Some(_), true) => "{people}, to day {day}, if the test is good; it may not be.",
        (None, false) => "{people}, for 2 years and more.",
        (None, true) => "{people}, for 2 years and more, if the test is good; it may not be.",
    };
    let day = one.lasts.map(|at| shown::day_number(reader, at)).unwrap_or_default();
    shown::words(reader, words).with("people", shown::people(reader, whole(one.people))).with("day", day)
}

/// What it takes, with the caution that belongs to it.
fn work(reader: &Reader, site: &SiteToday, one: &NextMove) -> Phrase {
    match one.what {
        What::Plan { hours, .. } => {
            let words = if site.standing.power.as_ref().is_some_and(|power| power.pump_reckoned) {
                "No labour; the taps run {hours} a day."
            } else {
                "No labour; the taps run {hours} a day. See that the pump brings up a day’s water in that time."
            };
            shown::words(reader, words).with("hours", shown::figure(reader, hours, Unit::Hour))
        }
        What::Fuel { kind: FuelKind::Propane, .. } => {
            shown::words(reader, "One trip, half an hour. Outdoors, upright, under the local fire code.")
        }
        What::Fuel { .. } => shown::words(reader, "One trip, half an hour. Stored under the local fire code."),
        What::Restore { .. } => {
            shown::words(reader, "About an hour: dose, stir, wait 30 minutes, test. Never with acid or ammonia.")
        }
        What::Fill { takes, .. } => shown::words(reader, "While the mains run: {time} by hose at {flow}, vent open.")
            .with("time", shown::figure(reader, as_days(takes) * 24.0, Unit::Hour))
            .with("flow", shown::figure(reader, HOSE, Unit::LitrePerMinute)),
        What::Carry { trips, .. } => shown::words(reader, "{trips}, agreed; the days with the carries count it.")
            .with("trips", reader.plural("{n} trip", "{n} trips", whole(trips))),
        What::Renew { stage } => {
            let mut stages = site.site.stages.iter();
            let words = if stages.any(|there| there.id == stage && there.kind == StageKind::Ultraviolet) {
                "Half an hour. Unplug the lamp first: its light harms eyes and skin. A mercury lamp is hazardous waste."
            } else {
                "Half an hour: wash hands, sanitise the housing, then flush it as its maker says."
            };
            shown::words(reader, words)
        }
        What::Anchor { .. } => shown::words(
            reader,
            "About two hours: straps and anchors into wall or floor. What holds is a structural engineer’s to say.",
        ),
        What::Uncouple { .. } => shown::words(
            reader,
            "Minutes: shut the valves between them and log it. Each is then read and drawn by itself.",
        ),
        What::Cans { .. } => shown::words(reader, "A full can weighs 21 kg (46 lb): two people, or a trolley."),
    }
}

/// What it costs, where that is something.
fn costs(reader: &Reader, one: &NextMove) -> Option<Phrase> {
    let cost = one.cost.filter(|cost| *cost > 0.0)?;
    let number = |value| shown::figure(reader, value, Unit::Count);
    let each = as_litres(one.litres) / cost;
    let words = if each < 0.1 { "It costs {cost}." } else { "It costs {cost}: {litres} for each 1." };
    let each = shown::figure(reader, each, Unit::Litre);
    Some(shown::words(reader, words).with("cost", number(cost)).with("litres", each))
}

/// What it does for the first of all to go without.
fn everyone(reader: &Reader, today: &Today, (before, after): (Time, Option<Time>)) -> Option<Phrase> {
    let carried = today.with_carries.is_some();
    let Some(after) = after else {
        let words = if carried {
            "With the carries nobody goes without within 2 years."
        } else {
            "Then nobody goes without within 2 years."
        };
        return Some(shown::words(reader, words));
    };
    // a twentieth of a day does not show
    if as_days(after) - as_days(before) < 0.05 {
        return None;
    }
    let words = if carried { "Everyone, with carries: day {day}." } else { "Everyone: day {day}." };
    Some(shown::words(reader, words).with("day", shown::day_number(reader, after)))
}

/// The worst of each kind of loss.
///
/// # Errors
/// A figure that the engine does not take.
pub fn losses(house: &House, visitor: &Visitor, picture: &Picture, today: &Today) -> Result<Vec<LossLine>, Error> {
    if today.sites.len() > LOSSES_UP_TO {
        return Ok(Vec::new());
    }
    let all = house.app.losses(&visitor.caller, picture, today)?;
    let mut kinds = Vec::new();
    let mut lines = Vec::new();
    for loss in all.iter() {
        let kind = core::mem::discriminant(&loss.what);
        if !kinds.contains(&kind)
            && let Some(line) = loss_line(visitor, picture, today, loss)
        {
            kinds.push(kind);
            lines.push(line);
        }
    }
    Ok(lines)
}

fn loss_line(visitor: &Visitor, picture: &Picture, today: &Today, loss: &Loss) -> Option<LossLine> {
    let reader = &visitor.reader;
    let (what, how) = lost(visitor, picture, today, loss.what)?;
    let mut words: Vec<String> = how.map(|how| reader.word(how).to_owned()).into_iter().collect();
    if loss.litres > keepwell_engine::quantity::litres(0.5) {
        words
            .push(shown::words(reader, "{litres} lost").with("litres", shown::litres(reader, loss.litres)).to_string());
    }
    if loss.people > 0.0 {
        let sooner = shown::words(reader, "{people} without sooner");
        words.push(sooner.with("people", shown::people(reader, whole(loss.people))).to_string());
    }
    if let Some((site, at)) = loss.first {
        let place = today.site(site).map(|site| named_plainly(visitor, site));
        let said = shown::words(reader, "{where} first, day {day}");
        words.extend(
            place.map(|place| said.with("where", place).with("day", shown::day_number(reader, at)).to_string()),
        );
    }
    Some(LossLine { what, at: loss.at(), words: words.join("; ") })
}

/// What is lost, by name, and how it is.
fn lost(visitor: &Visitor, picture: &Picture, today: &Today, what: Lost) -> Option<(Phrase, Option<&'static str>)> {
    let reader = &visitor.reader;
    let at = |key, id: SiteId| {
        let site = today.site(id).filter(|site| sees(visitor, site))?;
        Some(shown::words(reader, key).with("site", site.site.site.name.as_str()))
    };
    let vessels = |key, site: SiteId, vessel, count: usize| {
        let there = today.site(site)?.site.vessels.iter().find(|there| there.vessel.id == vessel)?;
        let more = "{vessel} and {n} more open to it";
        let named =
            if count > 1 { reader.plural(more, more, count as u64 - 1) } else { shown::words(reader, "{vessel}") };
        Some(at(key, site)?.with("vessel", named.with("vessel", there.vessel.name.as_str())))
    };
    Some(match what {
        Lost::Vessel { site, vessel, vessels: count } => (vessels("{vessel}, at {site}", site, vessel, count)?, None),
        Lost::Fouled { site, vessel, vessels: count } => {
            (vessels("Something gets into {vessel}, at {site}", site, vessel, count)?, Some("washing water at best"))
        }
        Lost::Store { site } => (at("All that {site} stores", site)?, None),
        Lost::Generator { site } => (at("The generator at {site}", site)?, None),
        Lost::Pump { site } => (at("The pump at {site}", site)?, Some("gravity and hand are left")),
        Lost::Earthquake { vessels } => {
            let (one, many) = ("{n} vessel, unanchored or coupled", "{n} vessels, unanchored or coupled");
            let vessels = reader.plural(one, many, vessels as u64);
            (shown::words(reader, "An earthquake takes {vessels}").with("vessels", vessels), None)
        }
        Lost::Frost { vessels } => {
            let vessels = reader.plural("{n} vessel", "{n} vessels", vessels as u64);
            let what = shown::words(reader, "A hard frost takes {vessels}").with("vessels", vessels);
            (what, Some("nothing is drawn until it thaws"))
        }
        Lost::Spoilt { source } => {
            let name = picture.set_up.sources.get(&source)?.thing.name.as_str();
            let what = shown::words(reader, "{source} turns out to be spoilt").with("source", name);
            (what, Some("what was filled from it is on hold"))
        }
    })
}

fn named_plainly(visitor: &Visitor, site: &SiteToday) -> Phrase {
    if sees(visitor, site) {
        shown::words(&visitor.reader, "{site}").with("site", site.site.site.name.as_str())
    } else {
        named(visitor, site)
    }
}
