//! The neighbourhood's days with something supposed.

use axum::extract::State;
use axum::http::HeaderMap;
use axum::http::Uri;
use axum::response::Response;
use keepwell_engine::forecast::Outage;
use keepwell_engine::quantity::CHANCE;
use keepwell_engine::quantity::INTERVAL;
use keepwell_engine::quantity::OUTAGE_DAYS;
use keepwell_engine::quantity::PEOPLE;
use keepwell_engine::quantity::SUPPOSED_DAYS;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::quantity::days;
use serde::Deserialize;

use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::suppose::Delivery;
use crate::picture::suppose::Suppose;
use crate::picture::suppose::Then;
use crate::service;
use crate::service::authorise::Deed;
use crate::web::House;
use crate::web::api::answer;
use crate::web::api::client::Asked;
use crate::web::api::client::Client;
use crate::web::api::neighbourhood::rungs;
use crate::web::api::reckoned::RATION;
use crate::web::api::shape::Member;
use crate::web::api::shape::What;
use crate::web::api::today::answer_of;
use crate::web::error::Error;

const HEAT: Member =
    Member::maybe("heat_days", "days of heat from now; people then drink twice as much", What::Figure(&SUPPOSED_DAYS));
const TARGET: Member =
    Member::maybe("target_days", "days to last, instead of the neighbourhood's", What::Figure(&INTERVAL));
const GUESTS: Member = Member::maybe("guests", "people more, at that site", What::Whole(&PEOPLE));
const GUESTS_AT: Member = Member::maybe("guests_at", "where they draw; needed with guests", What::Id);
const LOST_SITE: Member = Member::maybe("lost_site", "a site that loses all it stores", What::Id);
const LOST_VESSEL: Member = Member::maybe("lost_vessel", "a vessel that leaks, with what is open to it", What::Id);
const UNPOWERED: Member = Member::maybe("unpowered", "a site whose generator does not start", What::Id);
const THEN_RATION: Member = Member::maybe("then_ration", "another ration from some day on", What::Choice(rungs));
const THEN_AFTER: Member =
    Member::maybe("then_after_days", "days from now; needed with then_ration", What::Figure(&SUPPOSED_DAYS));
const DELIVERY: Member = Member::maybe(
    "delivery_l",
    "drinking water promised to a site, into its largest vessel of it",
    What::Figure(&VOLUME),
);
const DELIVERY_DAY: Member =
    Member::maybe("delivery_day", "days from now; needed with delivery_l", What::Figure(&SUPPOSED_DAYS));
const DELIVERY_AT: Member = Member::maybe("delivery_at", "the site; needed with delivery_l", What::Id);
const PUMPLESS: Member = Member::maybe("pumpless", "a site whose pump does not run", What::Id);
const FOULED: Member = Member::maybe(
    "fouled",
    "a vessel that something gets into; with what is open to it, it is washing water at best",
    What::Id,
);
const FAILED: Member = Member::maybe(
    "failed",
    "a supply that gives nothing; every day is of stored water, so none changes, and nothing is filled from it",
    What::Id,
);
const SPOILT: Member = Member::maybe("spoilt", "a supply; what was filled from it is on hold", What::Id);
const FROST: Member = Member::maybe("frost", "nothing is drawn from what may freeze", What::Flag);
const UNTREATED: Member = Member::maybe("untreated", "nothing is treated", What::Flag);
const UNCARRIED: Member = Member::maybe("uncarried", "nothing is carried", What::Flag);

const DELIVERY_CHANCE: Member =
    Member::maybe("delivery_chance", "the chance that it comes, 0 to 1; 1 if left out", What::Figure(&CHANCE));
const HALF: Member = Member::maybe(
    "outage_half_days",
    "days within which half of such outages are over; needed with outage_most_days",
    What::Figure(&OUTAGE_DAYS),
);
const MOST: Member = Member::maybe(
    "outage_most_days",
    "days within which nine in ten are over; needed with outage_half_days, and no less",
    What::Figure(&OUTAGE_DAYS),
);

/// What may be supposed of the days.
pub const OF_DAYS: &[Member] = ALL.split_at(20).0;
/// What may be supposed of a forecast: the chances too.
pub const OF_A_FORECAST: &[Member] = &ALL;

const ALL: [Member; 23] = [
    RATION,
    HEAT,
    TARGET,
    THEN_RATION,
    THEN_AFTER,
    GUESTS,
    GUESTS_AT,
    LOST_SITE,
    LOST_VESSEL,
    UNPOWERED,
    PUMPLESS,
    DELIVERY,
    DELIVERY_DAY,
    DELIVERY_AT,
    FAILED,
    FOULED,
    SPOILT,
    FROST,
    UNTREATED,
    UNCARRIED,
    DELIVERY_CHANCE,
    HALF,
    MOST,
];

#[derive(Debug, Deserialize)]
pub struct Question {
    ration: Option<String>,
    heat_days: Option<f64>,
    target_days: Option<f64>,
    then_ration: Option<String>,
    then_after_days: Option<f64>,
    guests: Option<u32>,
    guests_at: Option<SiteId>,
    lost_site: Option<SiteId>,
    lost_vessel: Option<VesselId>,
    unpowered: Option<SiteId>,
    pumpless: Option<SiteId>,
    delivery_l: Option<f64>,
    delivery_day: Option<f64>,
    delivery_at: Option<SiteId>,
    failed: Option<SourceId>,
    fouled: Option<VesselId>,
    spoilt: Option<SourceId>,
    frost: Option<bool>,
    untreated: Option<bool>,
    uncarried: Option<bool>,
    delivery_chance: Option<f64>,
    outage_half_days: Option<f64>,
    outage_most_days: Option<f64>,
}

impl Question {
    pub fn ration(&self) -> Option<&str> {
        self.ration.as_deref()
    }

    /// How long the mains are off, where both days are said.
    pub fn outage(&self) -> Result<Option<Outage>, Error> {
        let wanted =
            |field| Error::invalid(field, Message::new("Say within how many days half are over, and nine in ten."));
        match (self.outage_half_days, self.outage_most_days) {
            (Some(half), Some(most)) if most >= half => {
                Ok(Some(Outage { half_over: days(half), nine_in_ten_over: days(most) }))
            }
            (Some(_), Some(_)) => {
                let message = Message::new("Nine in ten are over no sooner than half are.");
                Err(Error::invalid("outage_most_days", message))
            }
            (Some(_), None) => Err(wanted("outage_most_days")),
            (None, Some(_)) => Err(wanted("outage_half_days")),
            (None, None) => Ok(None),
        }
    }
}

pub(super) async fn supposed(
    State(house): State<House>,
    client: Client,
    uri: Uri,
    headers: HeaderMap,
    Asked(asked): Asked<Question>,
) -> Result<Response, Error> {
    answer::fresh(&house, &client, &uri, &headers, || {
        let suppose = suppose(&client, &asked, house.app.picture().as_ref())?;
        let (picture, today) = house.app.supposing(&client.caller, asked.ration.as_deref(), suppose)?;
        answer_of(&client, &picture, &today)
    })
}

/// What is asked otherwise than it is.
pub fn suppose(client: &Client, asked: &Question, picture: &Picture) -> Result<Suppose, Error> {
    let there = |site: Option<SiteId>| -> Result<Option<SiteId>, Error> {
        let Some(site) = site else { return Ok(None) };
        client.caller.may(Deed::SeeSite, Some(site))?;
        picture.site(site).map(|_| Some(site)).ok_or_else(|| service::Error::NotFound("site").into())
    };
    let mut suppose = Suppose {
        heat_days: asked.heat_days.unwrap_or(0.0),
        target_days: asked.target_days,
        frost: asked.frost.unwrap_or(false),
        untreated: asked.untreated.unwrap_or(false),
        uncarried: asked.uncarried.unwrap_or(false),
        ..Suppose::default()
    };
    let supply = |source: Option<SourceId>| -> Result<Option<SourceId>, Error> {
        let Some(source) = source else { return Ok(None) };
        let known = picture.set_up.sources.contains_key(&source);
        known.then_some(Some(source)).ok_or_else(|| service::Error::NotFound("source").into())
    };
    suppose.failed.extend(supply(asked.failed)?);
    suppose.spoilt.extend(supply(asked.spoilt)?);
    if let Some(guests) = asked.guests.filter(|guests| *guests > 0) {
        let message = Message::new("Say where they would draw.");
        let at = there(asked.guests_at)?.ok_or_else(|| Error::invalid("guests_at", message))?;
        suppose = suppose.and_at(at, |own| own.guests = guests);
    }
    if let Some(ration) = asked.then_ration.clone() {
        let message = Message::new("Say after how many days.");
        let after = asked.then_after_days.ok_or_else(|| Error::invalid("then_after_days", message))?;
        suppose.then = Some(Then { ration, after });
    }
    let part = asked.delivery_chance.is_some() || asked.delivery_day.is_some() || asked.delivery_at.is_some();
    if part && asked.delivery_l.is_none() {
        return Err(Error::invalid("delivery_l", Message::new("Say how much is promised.")));
    }
    if let Some(litres) = asked.delivery_l.filter(|litres| *litres > 0.0) {
        let message = Message::new("Say where it would be brought.");
        let at = there(asked.delivery_at)?.ok_or_else(|| Error::invalid("delivery_at", message))?;
        let message = Message::new("Say in how many days.");
        let day = asked.delivery_day.ok_or_else(|| Error::invalid("delivery_day", message))?;
        let chance = asked.delivery_chance.unwrap_or(1.0);
        suppose = suppose.and_at(at, |own| own.delivery = Some(Delivery { litres, day, chance }));
    }
    if let Some(site) = there(asked.lost_site)? {
        suppose = suppose.and_at(site, |own| own.lost = true);
    }
    if let Some(site) = there(asked.unpowered)? {
        suppose = suppose.and_at(site, |own| own.unpowered = true);
    }
    if let Some(site) = there(asked.pumpless)? {
        suppose = suppose.and_at(site, |own| own.pumpless = true);
    }
    let together = |vessel: Option<VesselId>| -> Result<Vec<VesselId>, Error> {
        let Some(vessel) = vessel else { return Ok(Vec::new()) };
        let (site, vessel) = picture.vessel(vessel).ok_or(service::Error::NotFound("vessel"))?;
        there(Some(site.site.id))?;
        Ok(vessel.together())
    };
    Ok(suppose.and_lost(together(asked.lost_vessel)?).and_fouled(together(asked.fouled)?))
}
