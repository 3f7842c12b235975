//! What would help most, what one loss would cost, and what would hurt less then.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_litres;
use serde::Serialize;

use crate::model::id::BankId;
use crate::model::id::CarryId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::StageId;
use crate::model::id::VesselId;
use crate::picture::guards::Guard;
use crate::picture::losses::Loss;
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
        Member::maybe("vessel", "which is filled, restored or anchored", What::Id),
        Member::maybe("bank", "which is uncoupled", What::Id),
        Member::maybe("stage", "of treatment, which is renewed", What::Id),
        Member::maybe("carry", "which is taken", What::Id),
        Member::maybe("amount_l", "of water or fuel", What::Number),
        Member::maybe("pump_hours_a_day", "of a run plan", What::Number),
        Member::needed("may", "it depends on a test that may fail", What::Flag),
        Member::needed("gain_days", "at the ration in force, at that site", What::Number),
        Member::maybe("lasts_days", "then; null where it does not end within two years", What::Number),
        Member::needed("people", "it is for", What::Number),
        Member::needed("gain_l", "more before the target, less what a carry's giver loses by it", What::Number),
        Member::needed("work_hours", "", What::Number),
        Member::maybe("cost", "in the neighbourhood's money; null where nobody said what that costs", What::Number),
    ],
};

pub const GUARD: Object = Object {
    name: "Guard",
    about: "a step that would hurt less after a loss",
    members: &[
        Member::needed("after", "the loss", What::Choice(survived)),
        Member::needed("step", "what it buys then", What::Object(&NEXT_MOVE)),
    ],
};

pub const LOSS: Object = Object {
    name: "Loss",
    about: "what is left if one thing is lost",
    members: &[
        Member::needed("what", "", What::Choice(lost)),
        Member::maybe("site", "", What::Id),
        Member::maybe("vessel", "with what is open to it", What::Id),
        Member::maybe("source", "", What::Id),
        Member::maybe("vessels", "how many, where it takes several", What::Whole(&PEOPLE)),
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
        ("renew", "put a new cartridge or lamp into a stage of treatment"),
        ("anchor", "hold a vessel to the wall or the floor"),
        ("uncouple", "shut the vessels of a bank off from each other"),
    ]
}

/// What may be lost before a guard buys anything.
fn survived() -> Vec<(&'static str, &'static str)> {
    lost().into_iter().filter(|(key, _)| matches!(*key, "vessel" | "earthquake")).collect()
}

fn lost() -> Vec<(&'static str, &'static str)> {
    vec![
        ("vessel", "one vessel leaks, and what is open to it"),
        ("store", "all that a site stores"),
        ("generator", "a generator does not start: a battery, gravity and hand are left"),
        ("pump", "a pump does not run: gravity and hand are left"),
        ("earthquake", "what is not anchored, and what is rigidly joined"),
        ("frost", "what may freeze"),
        ("fouled", "something gets into a vessel and what is open to it: washing water at best"),
        ("spoilt", "what was filled from a supply is on hold"),
    ]
}

#[derive(Debug, Serialize)]
struct Moving {
    site: SiteId,
    what: &'static str,
    vessel: Option<VesselId>,
    bank: Option<BankId>,
    stage: Option<StageId>,
    carry: Option<CarryId>,
    amount_l: Option<f64>,
    pump_hours_a_day: Option<f64>,
    may: bool,
    gain_days: f64,
    lasts_days: Option<f64>,
    people: f64,
    gain_l: f64,
    work_hours: f64,
    cost: Option<f64>,
}

impl Moving {
    fn of(one: &NextMove) -> Self {
        let known = Self {
            site: one.site,
            what: "",
            vessel: None,
            bank: None,
            stage: None,
            carry: None,
            amount_l: None,
            pump_hours_a_day: None,
            may: one.what.is_a_chance(),
            gain_days: as_days(one.gain),
            lasts_days: one.lasts.map(as_days),
            people: one.people,
            gain_l: as_litres(one.litres),
            work_hours: as_hours(one.work),
            cost: one.cost,
        };
        match one.what {
            Done::Plan { hours, .. } => Self { what: "run_plan", pump_hours_a_day: Some(hours), ..known },
            Done::Fuel { litres, .. } => Self { what: "fuel", amount_l: Some(litres), ..known },
            Done::Restore { vessel, litres } => {
                Self { what: "restore", vessel: Some(vessel), amount_l: Some(litres), ..known }
            }
            Done::Fill { vessel, litres, .. } => {
                Self { what: "fill", vessel: Some(vessel), amount_l: Some(litres), ..known }
            }
            Done::Renew { stage } => Self { what: "renew", stage: Some(stage), ..known },
            Done::Cans { litres, .. } => Self { what: "cans", amount_l: Some(litres), ..known },
            Done::Carry { carry, litres, .. } => {
                Self { what: "carry", carry: Some(carry), amount_l: Some(litres), ..known }
            }
            Done::Anchor { vessel } => Self { what: "anchor", vessel: Some(vessel), ..known },
            Done::Uncouple { bank } => Self { what: "uncouple", bank: Some(bank), ..known },
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
struct Guarding {
    after: &'static str,
    step: Moving,
}

pub(super) async fn guards(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let (picture, today) = house.app.today(&client.caller, asked.ration.as_deref())?;
        let all = house.app.guards(&client.caller, &picture, &today)?;
        let mine = all.iter().filter(|one| client.caller.can(Deed::SeeSite, Some(one.step.site)));
        let line = |one: &Guard| Guarding { after: key(one.after), step: Moving::of(&one.step) };
        Ok(mine.map(line).collect::<Vec<_>>())
    })
}

const fn key(lost: Lost) -> &'static str {
    match lost {
        Lost::Vessel { .. } => "vessel",
        Lost::Store { .. } => "store",
        Lost::Generator { .. } => "generator",
        Lost::Pump { .. } => "pump",
        Lost::Earthquake { .. } => "earthquake",
        Lost::Frost { .. } => "frost",
        Lost::Fouled { .. } => "fouled",
        Lost::Spoilt { .. } => "spoilt",
    }
}

#[derive(Debug, Serialize)]
struct Losing {
    what: &'static str,
    site: Option<SiteId>,
    vessel: Option<VesselId>,
    source: Option<SourceId>,
    vessels: Option<usize>,
    lost_l: f64,
    people: f64,
    first_without_days: Option<f64>,
    with_carries_days: Option<f64>,
}

impl Losing {
    fn of(loss: &Loss) -> Self {
        let known = Self {
            what: key(loss.what),
            site: None,
            vessel: None,
            source: None,
            vessels: None,
            lost_l: as_litres(loss.litres),
            people: loss.people,
            first_without_days: loss.first.map(|first| as_days(first.1)),
            with_carries_days: loss.with_carries.flatten().map(as_days),
        };
        match loss.what {
            Lost::Vessel { site, vessel, vessels } | Lost::Fouled { site, vessel, vessels } => {
                Self { site: Some(site), vessel: Some(vessel), vessels: Some(vessels), ..known }
            }
            Lost::Store { site } | Lost::Generator { site } | Lost::Pump { site } => Self { site: Some(site), ..known },
            Lost::Earthquake { vessels } | Lost::Frost { vessels } => Self { vessels: Some(vessels), ..known },
            Lost::Spoilt { source } => Self { source: Some(source), ..known },
        }
    }
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
        let lines = all.iter().map(Losing::of);
        let mine = |loss: &Losing| loss.site.is_none_or(|site| client.caller.can(Deed::SeeSite, Some(site)));
        Ok(lines.filter(mine).collect::<Vec<_>>())
    })
}
