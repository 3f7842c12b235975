//! What would help most, and what one loss would cost.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_litres;
use serde::Serialize;

use crate::model::id::BankId;
use crate::model::id::CarryId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::picture::losses::Ease;
use crate::picture::losses::Lost;
use crate::picture::moves::NextMove;
use crate::picture::moves::What as Done;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::api::ahead::Question;
use crate::web::api::answer;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;
use crate::web::error::Error;

pub const NEXT_MOVE: Object = Object {
    name: "NextMove",
    about: "something to do, tried alone",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("what", "", What::Choice(deeds)),
        Member::maybe("vessel", "which is filled or restored", What::Id),
        Member::maybe("carry", "which is taken", What::Id),
        Member::maybe("amount_l", "of water or fuel", What::Number),
        Member::maybe("pump_hours_a_day", "of a run plan", What::Number),
        Member::needed("may", "it depends on a test that may fail", What::Flag),
        Member::needed("gain_days", "at the ration in force, at that site", What::Number),
        Member::maybe("lasts_days", "then; null where it does not end within two years", What::Number),
        Member::needed("people", "it is for", What::Number),
        Member::needed("gain_l", "more that they get before the target", What::Number),
        Member::needed("work_hours", "", What::Number),
    ],
};

pub const LOSS: Object = Object {
    name: "Loss",
    about: "what is left if one thing is lost",
    members: &[
        Member::needed("what", "", What::Choice(lost)),
        Member::maybe("site", "", What::Id),
        Member::maybe("vessel", "", What::Id),
        Member::maybe("source", "", What::Id),
        Member::maybe("anchor", "a vessel; of an earthquake: what helps most, done beforehand", What::Id),
        Member::maybe("uncouple", "a bank; likewise", What::Id),
        Member::maybe("eased_days", "then the first goes without as late as this", What::Number),
        Member::needed("lost_l", "drinking water in reach", What::Number),
        Member::needed("people", "who go without sooner", What::Number),
        Member::maybe("first_without_days", "as placed; null where nobody goes without within two years", What::Number),
        Member::maybe("with_carries_days", "null where none are agreed, or nobody goes without", What::Number),
    ],
};

fn deeds() -> Vec<(&'static str, &'static str)> {
    vec![
        ("run_plan", "run the generator other hours"),
        ("fuel", "bring fuel"),
        ("restore", "dose, wait and test"),
        ("fill", "fill up while the mains run"),
        ("cans", "keep more cans"),
        ("carry", "take a carry that was agreed; the site is the receiver"),
    ]
}

fn lost() -> Vec<(&'static str, &'static str)> {
    vec![
        ("vessel", "one vessel"),
        ("store", "all that a site stores"),
        ("generator", "a generator does not start, or its pump fails"),
        ("earthquake", "what is not anchored, and what is rigidly joined"),
        ("frost", "what may freeze"),
        ("spoilt", "what was filled from a supply"),
    ]
}

#[derive(Debug, Serialize)]
struct Moving {
    site: SiteId,
    what: &'static str,
    vessel: Option<VesselId>,
    carry: Option<CarryId>,
    amount_l: Option<f64>,
    pump_hours_a_day: Option<f64>,
    may: bool,
    gain_days: f64,
    lasts_days: Option<f64>,
    people: f64,
    gain_l: f64,
    work_hours: f64,
}

impl Moving {
    fn of(one: &NextMove) -> Self {
        let (what, vessel, amount_l, pump_hours_a_day) = match one.what {
            Done::Plan { hours, .. } => ("run_plan", None, None, Some(hours)),
            Done::Fuel { litres, .. } => ("fuel", None, Some(litres), None),
            Done::Restore { vessel, litres } => ("restore", Some(vessel), Some(litres), None),
            Done::Fill { vessel, litres, .. } => ("fill", Some(vessel), Some(litres), None),
            Done::Cans { litres, .. } => ("cans", None, Some(litres), None),
            Done::Carry { litres, .. } => ("carry", None, Some(litres), None),
        };
        Self {
            site: one.site,
            what,
            vessel,
            carry: if let Done::Carry { carry, .. } = one.what { Some(carry) } else { None },
            amount_l,
            pump_hours_a_day,
            may: one.what.is_a_chance(),
            gain_days: as_days(one.gain),
            lasts_days: one.lasts.map(as_days),
            people: one.people,
            gain_l: as_litres(one.litres),
            work_hours: as_hours(one.work),
        }
    }
}

pub(super) async fn moves(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let (picture, today) = house.app.today(&client.caller, asked.ration.as_deref())?;
        let all = house.app.next_moves(&client.caller, &picture, &today)?;
        let mine = all.iter().filter(|one| client.caller.can(Deed::SeeSite, Some(one.site)));
        Ok(mine.map(Moving::of).collect::<Vec<_>>())
    })
}

#[derive(Debug, Serialize)]
struct Losing {
    what: &'static str,
    site: Option<SiteId>,
    vessel: Option<VesselId>,
    source: Option<SourceId>,
    anchor: Option<VesselId>,
    uncouple: Option<BankId>,
    eased_days: Option<f64>,
    lost_l: f64,
    people: f64,
    first_without_days: Option<f64>,
    with_carries_days: Option<f64>,
}

pub(super) async fn losses(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let (picture, today) = house.app.today(&client.caller, asked.ration.as_deref())?;
        let all = house.app.losses(&client.caller, &picture, &today)?;
        let lines = all.iter().map(|loss| {
            let (what, site, vessel) = match loss.what {
                Lost::Vessel { site, vessel } => ("vessel", Some(site), Some(vessel)),
                Lost::Store { site } => ("store", Some(site), None),
                Lost::Generator { site } => ("generator", Some(site), None),
                Lost::Earthquake { .. } => ("earthquake", None, None),
                Lost::Frost { .. } => ("frost", None, None),
                Lost::Spoilt { .. } => ("spoilt", None, None),
            };
            let source = if let Lost::Spoilt { source } = loss.what { Some(source) } else { None };
            let eased = if let Lost::Earthquake { eased, .. } = loss.what { eased } else { None };
            let eased = eased.filter(|eased| client.caller.can(Deed::SeeSite, Some(eased.site)));
            let (anchor, uncouple) = match eased.map(|eased| eased.what) {
                Some(Ease::Anchor(vessel)) => (Some(vessel), None),
                Some(Ease::Uncouple(bank)) => (None, Some(bank)),
                None => (None, None),
            };
            Losing {
                what,
                site,
                vessel,
                source,
                anchor,
                uncouple,
                eased_days: eased.and_then(|eased| eased.first).map(as_days),
                lost_l: as_litres(loss.litres),
                people: loss.people,
                first_without_days: loss.first.map(|first| as_days(first.1)),
                with_carries_days: loss.with_carries.flatten().map(as_days),
            }
        });
        let mine = |loss: &Losing| loss.site.is_none_or(|site| client.caller.can(Deed::SeeSite, Some(site)));
        Ok(lines.filter(mine).collect::<Vec<_>>())
    })
}
