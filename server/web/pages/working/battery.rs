//! What a site's battery gives, what is asked of it and how long it lasts.

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_watt_hours;

use crate::model::message::Message;
use crate::picture::today::SiteToday;
use crate::service::reckon::SiteAnswer;
use crate::service::reckoner::Warning;
use crate::web::error::Error;
use crate::web::pages::working::Page;
use crate::web::pages::working::Panel;
use crate::web::pages::working::blank;
use crate::web::shown;
use crate::web::visitor::Visitor;

pub(super) fn of_battery(visitor: &Visitor, answer: &SiteAnswer, site: &SiteToday) -> Result<Page, Error> {
    let (reader, today) = (&visitor.reader, &*answer.today);
    let now =
        site.standing.battery.as_ref().ok_or_else(|| Error::NotFound(Message::new("No battery is set up here.")))?;
    let figure = reader.figure(as_watt_hours(now.bank.now), Unit::WattHour).map_err(Error::internal)?;
    let sun = now.sun.as_ref();
    let workings = [Some(&now.gives.working), now.pump.as_ref().map(|pump| &pump.working)];
    let workings = workings.into_iter().flatten();
    let workings = workings.chain(sun.and_then(|sun| sun.by_latitude.as_ref()).map(|hours| &hours.working));
    let workings = workings.chain(sun.map(|sun| &sun.a_day.working));
    let mut panels: Vec<Panel> = workings.map(|working| Panel::of_works(reader, working)).collect();
    let days = now.days().map_err(Error::internal)?;
    panels.push(Panel::of_works(reader, &days.working(&now.bank)));
    Ok(Page {
        title: shown::words(reader, "What the battery gives"),
        figure: figure.number,
        unit: figure.unit.to_owned(),
        words: vec![
            shown::words(
                reader,
                "The part of the battery that may be used, less what the inverter keeps. Asked of it is what the pump takes to \
                 bring up a day's need, the other loads for their hours, and the inverter itself.",
            ),
            shown::words(
                reader,
                "The days of water count on it before any fuel: the sun first, then what is in it; what the sun falls short of \
                 then, the generator runs, for that part of the day. A run plan counts on no more than the sun puts back in a \
                 day: filling it from a generator takes fuel, and is not reckoned.",
            ),
        ],
        panels,
        warning: Some(Warning::WIRING),
        ..blank(visitor, reader, today)
    })
}
