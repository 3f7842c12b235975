//! What is kept, all of it, with the first step where something is missing.

use askama::Template;
use axum::response::Response;
use keepwell_engine::demand::Ladder;
use uuid::Uuid;

use crate::model::carry::Carry;
use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::source::Source;
use crate::service::Caller;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::chrome::Chrome;
use crate::web::chrome::Place;
use crate::web::chrome::page;
use crate::web::error::Error;
use crate::web::extract::Pairs;
use crate::web::filters;
use crate::web::pages::set_up::changes::Recorded;
use crate::web::pages::set_up::changes::told;
use crate::web::pages::set_up::form::name_of;
use crate::web::pages::set_up::neighbourhood::rung_words;
use crate::web::pages::set_up::noun::Noun;
use crate::web::reader::Reader;
use crate::web::visitor::Visitor;

/// Sites on one page.
const PAGE: usize = 100;
/// Changes of the record that are asked for.
const RECORD: i64 = 50;
/// Those of them that are shown at once.
const SHOWN: usize = 12;

#[derive(Template)]
#[template(path = "set_up/overview.html")]
struct Overview {
    chrome: Chrome,
    coordinates: bool,
    kept: Option<String>,
    settings: Option<Settings>,
    supplies: Vec<Supply>,
    carries: Vec<CarryLine>,
    sites: Vec<SiteLine>,
    /// numbers of further pages of sites, where there are several
    pages: Vec<usize>,
    page: usize,
    record: Vec<Recorded>,
    /// the rest of those that were asked for, folded away
    older: Vec<Recorded>,
}

struct Settings {
    zone: String,
    units: &'static str,
    ration: String,
    target_days: f64,
}

struct Supply {
    name: String,
    kind: &'static str,
    href: String,
}

struct CarryLine {
    name: String,
    from: String,
    to: String,
    litres_a_day: f64,
    in_use: bool,
    href: String,
}

struct SiteLine {
    name: String,
    kind: &'static str,
    heads: u32,
    vessels: usize,
    in_use: bool,
    href: String,
}

pub(super) async fn show(house: &House, visitor: &Visitor, asked: &Pairs) -> Result<Response, Error> {
    let caller = &visitor.caller;
    caller.may(Deed::SeeTotals, None)?;
    let picture = house.app.picture();
    let set_up = &picture.set_up;
    let coordinates = caller.can(Deed::Coordinate, None);
    let mut record = Vec::new();
    if coordinates {
        record = told(&house.app.changes(caller, None, None, RECORD).await?, set_up, &visitor.reader);
    }
    let older = record.split_off(record.len().min(SHOWN));
    let mut sites = site_lines(set_up, caller, visitor.reader.now);
    let count = sites.len().div_ceil(PAGE).max(1);
    let number = asked.get("page").and_then(|page| page.parse::<usize>().ok()).unwrap_or(1).clamp(1, count);
    let sites = sites.drain(..).skip((number - 1) * PAGE).take(PAGE).collect();
    let kept = asked.get("kept").and_then(|id| Uuid::try_parse(id).ok());
    let kept = kept.and_then(|id| Noun::ALL.into_iter().find_map(|noun| noun.find(set_up, id)));
    page(
        &visitor.reader,
        Overview {
            chrome: visitor.chrome(Place::SetUp),
            coordinates,
            kept: kept.map(|(thing, _)| name_of(&thing)),
            settings: settings(set_up, &visitor.reader),
            supplies: supplies(set_up),
            carries: carries(set_up, visitor.reader.now),
            sites,
            pages: if count > 1 { (1..=count).collect() } else { Vec::new() },
            page: number,
            record,
            older,
        },
    )
}

fn settings(set_up: &SetUp, reader: &Reader) -> Option<Settings> {
    let kept = &set_up.neighbourhood.as_ref()?.thing;
    let rung = Ladder::default().rung(&kept.ration).map(|rung| rung_words(rung, reader));
    Some(Settings {
        zone: kept.zone.clone(),
        units: kept.units.label(),
        ration: rung.unwrap_or_else(|| kept.ration.clone()),
        target_days: kept.target_days,
    })
}

fn supplies(set_up: &SetUp) -> Vec<Supply> {
    let supply = |kept: &Kept<Source>| Supply {
        name: kept.thing.name.to_string(),
        kind: kept.thing.kind.label(),
        href: format!("/set-up/sources/{}", kept.thing.id),
    };
    let mut list: Vec<Supply> = set_up.sources.values().map(supply).collect();
    list.sort_by(|a, b| a.name.cmp(&b.name));
    list
}

fn carries(set_up: &SetUp, now: jiff::Timestamp) -> Vec<CarryLine> {
    let name = |site| set_up.sites.get(&site).map(|kept| kept.thing.name.to_string()).unwrap_or_default();
    let carry = |kept: &Kept<Carry>| CarryLine {
        name: kept.thing.name.to_string(),
        from: name(kept.thing.from),
        to: name(kept.thing.to),
        litres_a_day: kept.thing.litres_a_day,
        in_use: kept.thing.ended.is_none_or(|ended| ended > now),
        href: format!("/set-up/carries/{}", kept.thing.id),
    };
    let mut list: Vec<CarryLine> = set_up.carries.values().map(carry).collect();
    list.sort_by(|a, b| (!a.in_use, &a.from, &a.to, &a.name).cmp(&(!b.in_use, &b.from, &b.to, &b.name)));
    list
}

fn site_lines(set_up: &SetUp, caller: &Caller, now: jiff::Timestamp) -> Vec<SiteLine> {
    let mut vessels = std::collections::BTreeMap::<SiteId, usize>::new();
    for kept in set_up.vessels.values().filter(|kept| kept.thing.ended.is_none_or(|ended| ended > now)) {
        *vessels.entry(kept.thing.site).or_default() += 1;
    }
    let mine = set_up.sites.values().filter(|kept| caller.can(Deed::ChangeSite, Some(kept.thing.id)));
    let mut lines: Vec<SiteLine> = mine
        .map(|kept| SiteLine {
            name: kept.thing.name.to_string(),
            kind: kept.thing.kind.label(),
            heads: kept.thing.heads(),
            vessels: vessels.get(&kept.thing.id).copied().unwrap_or_default(),
            in_use: kept.thing.ended.is_none_or(|ended| ended > now),
            href: format!("/set-up/sites/{}", kept.thing.id),
        })
        .collect();
    lines.sort_by(|a, b| (!a.in_use, &a.name).cmp(&(!b.in_use, &b.name)));
    lines
}
