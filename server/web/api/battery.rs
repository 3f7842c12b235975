//! Batteries as they are kept, and what one gives now.

use std::collections::BTreeMap;

use keepwell_engine::hydraulics::measures::EFFICIENCY;
use keepwell_engine::power::PowerError;
use keepwell_engine::power::measures::PART;
use keepwell_engine::power::measures::STORED;
use keepwell_engine::power::measures::SUN;
use keepwell_engine::quantity::POWER;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_watt_hours;
use serde::Serialize;

use crate::model::battery::Battery;
use crate::model::id::BatteryId;
use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::id::of;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::picture::battery::BatteryNow;
use crate::service::authorise::Deed;
use crate::web::api::kept::Noun;
use crate::web::api::power::LINE;
use crate::web::api::power::Line;
use crate::web::api::shape::Member;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const BATTERY: Object = Object {
    name: "Battery",
    about: "a battery with its inverter and panels, joined to a building by a licensed electrician",
    members: &[
        Member::needed("site", "", What::Id),
        Member::needed("name", "", What::Name),
        Member::needed("capacity_wh", "as on its plate; more than 0", What::Figure(&STORED)),
        Member::needed("usable", "the part of it that may be used; more than 0", What::Figure(&PART)),
        Member::needed("inverter", "the part that reaches the socket", What::Figure(&EFFICIENCY)),
        Member::maybe("idle_w", "what the inverter takes only to be on", What::Figure(&POWER)),
        Member::maybe("charge", "how full it is; full where left out", What::Figure(&PART)),
        Member::maybe("panels_w", "as on their plates; more than 0", What::Figure(&POWER)),
        Member::maybe("sun_hours", "of full sun a day; by month and latitude where left out", What::Figure(&SUN)),
        Member::maybe("panel_loss", "lost from the panels; 0.14 where left out", What::Figure(&PART)),
        Member::maybe("ended", "no longer in use since", What::Moment),
    ],
};

impl Noun for Battery {
    type Of = of::Battery;
    type Line = Line<Id<of::Battery>>;
    const LIST: &'static str = "/api/v1/batteries";
    const ONE: &'static str = "/api/v1/batteries/{id}";
    const NAMES: (&'static str, &'static str) = ("Battery", "Batteries");
    const WORDS: (&'static str, &'static str) = ("battery", "batteries");
    const BODY: &'static Object = &BATTERY;
    const LINE: &'static Object = &LINE;
    const SEE: (Deed, Deed) = (Deed::SeeSite, Deed::SeeSite);

    fn all(set_up: &SetUp) -> &BTreeMap<Id<of::Battery>, Kept<Self>> {
        &set_up.batteries
    }

    fn line(kept: &Kept<Self>) -> Self::Line {
        let Self { id, site, name, ended, .. } = &*kept.thing;
        Line { id: *id, site: *site, name: name.clone(), ended: *ended, revision: kept.revision }
    }

    fn thing(self) -> Thing {
        Thing::Battery(self)
    }

    fn site(&self) -> Option<SiteId> {
        Some(self.site)
    }
}

pub const NOW: Object = Object {
    name: "BatteryNow",
    about: "what a battery gives, at the socket; the days of water count on it where there is a pump and somebody knows what it takes",
    members: &[
        Member::needed("battery", "", What::Id),
        Member::needed("full_wh", "from full", What::Number),
        Member::needed("now_wh", "as full as it was last said to be", What::Number),
        Member::maybe("pump_hours", "of the pump alone, its inverter on", What::Number),
        Member::maybe("pumped_l", "what the pump brings up in them", What::Number),
        Member::needed("asked_wh_per_day", "by pump, loads and inverter", What::Number),
        Member::maybe(
            "sun_wh_per_day",
            "in this month; null without panels, or where nobody knows the sun",
            What::Number,
        ),
        Member::needed("lasts_days", "whole days before it falls short", What::Number),
        Member::needed("falls_short", "within a year", What::Flag),
    ],
};

#[derive(Debug, Serialize)]
pub struct Now {
    battery: BatteryId,
    full_wh: f64,
    now_wh: f64,
    pump_hours: Option<f64>,
    pumped_l: Option<f64>,
    asked_wh_per_day: f64,
    sun_wh_per_day: Option<f64>,
    lasts_days: f64,
    falls_short: bool,
}

impl Now {
    pub fn of(now: &BatteryNow) -> Result<Self, PowerError> {
        let days = now.days()?;
        Ok(Self {
            battery: now.battery.id,
            full_wh: as_watt_hours(now.bank.full),
            now_wh: as_watt_hours(now.bank.now),
            pump_hours: now.pump.as_ref().map(|pump| as_hours(pump.hours)),
            pumped_l: now.pump.as_ref().and_then(|pump| pump.litres).map(as_litres),
            asked_wh_per_day: as_watt_hours(now.asked.total()),
            sun_wh_per_day: now.sun.as_ref().map(|sun| as_watt_hours(sun.a_day.value)),
            lasts_days: as_days(days.lasts()),
            falls_short: days.first_short.is_some(),
        })
    }
}
