//! What the level tells beside the litres: use a day, a leak, and readings that do not fit.

use keepwell_engine::level::BAND;
use keepwell_engine::level::explain::Rate;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres_per_day;

use crate::model::entry::Entry;
use crate::model::id::EntryId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::reckon::VesselAnswer;
use crate::web::pages::entries::deed;

pub(super) struct Told {
    pub usage: Option<Message>,
    pub leak: Option<Message>,
    /// readings that do not fit, the newest first
    pub aside: Vec<(EntryId, Message)>,
}

impl Told {
    pub(super) fn of(answer: &VesselAnswer) -> Self {
        let vessel = &answer.vessel;
        let usage = vessel.explained().and_then(|explained| explained.usage(answer.now));
        let leak = vessel.leak().map(|leak| {
            rated("falling {rate} since {date}, give or take {error}: a leak?", &leak.rate)
                .with("date", Arg::Day(leak.since))
        });
        let mut misfits = vessel.misfits();
        misfits.reverse();
        let aside = misfits.into_iter().filter_map(|misfit| {
            let entry = entry(answer, misfit.entry)?;
            let said = Message::new("{When}, {deed}: does not fit. {Why}.")
                .with("when", Arg::Moment(misfit.at))
                .with("deed", deed(entry, &answer.picture).into())
                .with("why", Arg::Word(misfit.why.map_or("was a fill or a draw missed?", |why| why.name())));
            Some((misfit.entry, said))
        });
        Self {
            usage: usage.map(|usage| rated("About {rate} is used, give or take {error}.", &usage)),
            leak,
            aside: aside.collect(),
        }
    }
}

/// A rate and half of its 8-in-10 band.
fn rated(key: &'static str, rate: &Rate) -> Message {
    Message::new(key)
        .with("rate", Arg::Figure(as_litres_per_day(rate.mean), Unit::LitrePerDay))
        .with("error", Arg::Figure(BAND * as_litres_per_day(rate.sd), Unit::Litre))
}

fn entry(answer: &VesselAnswer, id: EntryId) -> Option<&Entry> {
    answer.vessel.cluster().history().iter().rev().find(|entry| entry.id == id).map(|entry| &**entry)
}
