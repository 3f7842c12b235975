//! Logging, voiding, and looking back. The ledger records what happened and does not argue: only the impossible is
//! refused. What the changing picture says never refuses an entry.

use std::sync::Arc;
use std::sync::PoisonError;

use jiff::Timestamp;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;

use crate::model::entry::About;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::out_of_range;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::Vessel;
use crate::picture::Picture;
use crate::picture::VesselPicture;
use crate::picture::body::Body;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;

pub use crate::store::Stored;

/// An entry may lie so far ahead of our clock: another's may be fast.
const AHEAD: jiff::SignedDuration = jiff::SignedDuration::from_mins(10);

/// What is to be logged, as it came in.
#[derive(Clone, Debug)]
pub struct New {
    /// made by whoever logs it, so that a repeat is known as one
    pub id: EntryId,
    pub site: Option<SiteId>,
    pub vessel: Option<VesselId>,
    pub at: Timestamp,
    pub act: Act,
}

/// What was logged in the past: by whom, and when it reached us.
#[derive(Clone, Debug)]
pub struct Past {
    pub caller: Caller,
    pub arrived: Timestamp,
    pub new: New,
}

/// An entry in a list, with whatever declared it void.
#[derive(Clone, Debug)]
pub struct Listed {
    pub entry: Arc<Entry>,
    pub voided: Option<Arc<Entry>>,
}

impl App {
    /// Puts an entry in the ledger. Answers once it is on the disk and in the picture; the same entry sent again is
    /// answered the same and stored once.
    ///
    /// # Errors
    /// The impossible, field by field; another's site; an id used before with other content; a full disk.
    pub async fn log(&self, caller: &Caller, new: New) -> Result<(Arc<Entry>, Stored), Error> {
        let picture = self.picture();
        let entry = self.check(caller, &picture, new)?;
        let stored = self.store.append(Arc::clone(&entry)).await?;
        Ok((entry, stored))
    }

    /// Several entries, all or none.
    ///
    /// # Errors
    /// As [`App::log`], for the first that does not hold.
    pub async fn log_all(&self, caller: &Caller, new: Vec<New>) -> Result<Vec<Stored>, Error> {
        let picture = self.picture();
        let mut entries = Vec::with_capacity(new.len());
        for new in new {
            entries.push(self.check(caller, &picture, new)?);
        }
        Ok(self.store.append_all(entries).await?)
    }

    /// Several entries of the past, all or none, each by its own caller and with the time it reached us: for a history
    /// that is written at once. None can have arrived later than now.
    ///
    /// # Errors
    /// As [`App::log`], for the first that does not hold.
    pub async fn log_past(&self, past: Vec<Past>) -> Result<Vec<Stored>, Error> {
        let picture = self.picture();
        let now = self.clock.now();
        let mut entries = Vec::with_capacity(past.len());
        for Past { caller, arrived, new } in past {
            entries.push(self.check_at(&caller, &picture, new, arrived.min(now))?);
        }
        Ok(self.store.append_all(entries).await?)
    }

    /// Whether an entry could be logged, without logging it; the entry as it would be.
    ///
    /// # Errors
    /// As [`App::log`].
    pub fn check(&self, caller: &Caller, picture: &Picture, new: New) -> Result<Arc<Entry>, Error> {
        self.check_at(caller, picture, new, self.clock.now())
    }

    fn check_at(
        &self,
        caller: &Caller,
        picture: &Picture,
        mut new: New,
        arrived: Timestamp,
    ) -> Result<Arc<Entry>, Error> {
        if let Act::Void(void) = &new.act {
            let fold = self.fold.lock().unwrap_or_else(PoisonError::into_inner);
            let target = fold.entry(void.entry).ok_or(Error::NotFound("entry"))?;
            (new.site, new.vessel) = (target.site, target.vessel);
        }
        if let Some(vessel) = new.vessel {
            let site = picture.set_up.vessels.get(&vessel).ok_or(Error::NotFound("vessel"))?.thing.site;
            if new.site.is_some_and(|named| named != site) {
                return Err(Error::NotFound("vessel"));
            }
            new.site = Some(site);
        }
        if new.site.is_some_and(|site| !picture.set_up.sites.contains_key(&site)) {
            return Err(Error::NotFound("site"));
        }
        let about = new.act.kind().about();
        let supply = new.act.source().is_some() || (about == About::Entry && new.site.is_none());
        caller.may(if supply { Deed::LogSupply } else { Deed::Log }, new.site)?;
        if about == About::Vessel && new.vessel.is_none() {
            return Err(Error::invalid("vessel", Message::new("Say which vessel.")));
        }
        if about == About::Site && new.site.is_none() {
            return Err(Error::invalid("site", Message::new("Say which site.")));
        }
        // As the ledger keeps it, so that the order of entries is the same when they are read back.
        new.at = Timestamp::from_microsecond(new.at.as_microsecond()).unwrap_or(new.at);
        let mut problems = Vec::new();
        if new.at.duration_since(arrived) > AHEAD {
            problems.push(Problem::new(
                "at",
                Message::new("The time lies ahead of the clock here. At most 10 minutes ahead is allowed."),
            ));
        }
        if let Some((_, vessel)) = new.vessel.and_then(|vessel| picture.vessel(vessel)) {
            possible(picture, &vessel.vessel, &vessel.body, &new, &mut problems);
        }
        references(caller, picture, &new, &mut problems);
        if !problems.is_empty() {
            return Err(Error::Invalid(problems));
        }
        let by = caller.id();
        Ok(Arc::new(Entry { id: new.id, site: new.site, vessel: new.vessel, at: new.at, arrived, by, act: new.act }))
    }

    /// What could not have happened to a vessel that is yet to be kept.
    #[must_use]
    pub fn first_problems(&self, vessel: &Vessel, new: &New) -> Vec<Problem> {
        let mut problems = Vec::new();
        // A vessel whose measures do not hold is refused for those.
        if let Ok(body) = Body::of(vessel) {
            possible(&self.picture(), vessel, &body, new, &mut problems);
        }
        problems
    }

    /// What would be believed of a vessel if that entry were logged: the picture with it, not kept.
    ///
    /// # Errors
    /// As [`App::log`].
    pub fn preview(&self, caller: &Caller, new: New) -> Result<VesselPicture, Error> {
        let picture = self.picture();
        let entry = self.check(caller, &picture, new)?;
        let vessel = entry.vessel.and_then(|vessel| picture.vessel(vessel)).ok_or(Error::NotFound("vessel"))?.1;
        Ok(vessel.with(&entry, &picture.sources))
    }

    /// The newest entries of a site, or of one vessel, or of all that the caller may see: those that stand before the
    /// entry `before`, which ended the last page.
    ///
    /// # Errors
    /// Another's site.
    pub async fn entries(
        &self,
        caller: &Caller,
        site: Option<SiteId>,
        vessel: Option<VesselId>,
        before: Option<EntryId>,
        most: i64,
    ) -> Result<Vec<Listed>, Error> {
        match site {
            Some(site) => caller.may(Deed::SeeSite, Some(site))?,
            None => caller.may(Deed::Coordinate, None)?,
        }
        let found = self.store.entries_page(site, vessel, before, most).await?;
        let fold = self.fold.lock().unwrap_or_else(PoisonError::into_inner);
        Ok(found.into_iter().map(|entry| Listed { voided: fold.void_of(entry.id), entry }).collect())
    }

    /// One entry, with what declared it void.
    ///
    /// # Errors
    /// There is none, or it is at another's site.
    pub fn entry(&self, caller: &Caller, id: EntryId) -> Result<Listed, Error> {
        // Who has not come in learns nothing, not even that it is there.
        caller.may(Deed::SeeTotals, None)?;
        let fold = self.fold.lock().unwrap_or_else(PoisonError::into_inner);
        let entry = fold.entry(id).map(Arc::clone).ok_or(Error::NotFound("entry"))?;
        let deed = if entry.site.is_some() { Deed::SeeSite } else { Deed::SeeTotals };
        caller.may(deed, entry.site).map_err(|_| Error::NotFound("entry"))?;
        Ok(Listed { voided: fold.void_of(id), entry })
    }
}

/// What no vessel can: hold more than its brim, be deeper than its rim, be spoken of before it was there.
fn possible(picture: &Picture, vessel: &Vessel, body: &Body, new: &New, problems: &mut Vec<Problem>) {
    if new.at < vessel.since {
        problems.push(Problem::new(
            "at",
            Message::new("{vessel} is in place since {since}; nothing can have happened to it before.")
                .with("vessel", Arg::text(vessel.name.as_str()))
                .with("since", Arg::Moment(crate::picture::cluster::moment(vessel.since))),
        ));
    }
    if vessel.ended.is_some_and(|ended| new.at > ended) {
        problems.push(Problem::new("at", Message::new("It was no longer in use then.")));
    }
    if new.act.lot().is_some() && vessel.shape != ShapeKind::Set {
        problems.push(Problem::new("lot", Message::new("Only a set is told apart by lots.")));
    }
    let brim = as_litres(body.capacity.brim);
    let mut hold = |field: &'static str, litres: Option<f64>| {
        if let Some(litres) = litres
            && litres > brim * (1.0 + 1e-9)
        {
            problems.push(Problem::new(field, too_much(vessel.name.as_str(), litres, brim)));
        }
    };
    match &new.act {
        Act::Reading(reading) => {
            hold("litres", reading.litres);
            if let Some(full) = reading.full {
                let each = vessel.dimensions.get("litres_each").copied();
                match each {
                    Some(each) => hold("full", Some(full * each)),
                    None => problems.push(Problem::new("full", Message::new("Only a set has full containers."))),
                }
            }
            if let Some(depth) = reading.depth_m {
                depth_possible(vessel, body, depth, problems);
            }
        }
        Act::Fill(fill) => hold("litres", fill.litres),
        Act::Draw(draw) => hold("litres", draw.litres),
        Act::Discard(discard) => hold("litres", discard.litres),
        Act::Transfer(transfer) => {
            hold("litres", Some(transfer.litres));
            let into = picture.vessel(transfer.to);
            match into {
                Some(_) if Some(transfer.to) == new.vessel => {
                    problems
                        .push(Problem::new("to", Message::new("Water cannot be moved into the vessel it comes from.")));
                }
                Some((_, into)) => {
                    let brim = as_litres(into.body.capacity.brim);
                    if transfer.litres > brim * (1.0 + 1e-9) {
                        problems
                            .push(Problem::new("litres", too_much(into.vessel.name.as_str(), transfer.litres, brim)));
                    }
                }
                None => {}
            }
        }
        _ => {}
    }
}

fn too_much(vessel: &str, litres: f64, brim: f64) -> Message {
    let words = if litres / 10.0 <= brim {
        "{vessel} can hold {brim} at most. You gave {litres}: one nought too many?"
    } else {
        "{vessel} can hold {brim} at most. You gave {litres}."
    };
    Message::new(words)
        .with("vessel", Arg::text(vessel))
        .with("brim", Arg::Figure(brim, Unit::Litre))
        .with("litres", Arg::Exact(litres, Unit::Litre))
}

fn depth_possible(vessel: &Vessel, body: &Body, depth: f64, problems: &mut Vec<Problem>) {
    match body.shape.height() {
        None => problems
            .push(Problem::new("depth_m", Message::new("It has no depth to read: give litres or full containers."))),
        Some(rim) if depth > as_metres(rim) + 1e-9 => problems.push(Problem::new(
            "depth_m",
            Message::new("{vessel} is {rim} deep at most. You gave {depth}.")
                .with("vessel", Arg::text(vessel.name.as_str()))
                .with("rim", Arg::Exact(as_metres(rim), Unit::Metre))
                .with("depth", Arg::Exact(depth, Unit::Metre)),
        )),
        Some(_) => {}
    }
}

/// What an entry names must be there, and be the site's own.
fn references(caller: &Caller, picture: &Picture, new: &New, problems: &mut Vec<Problem>) {
    let set_up = &picture.set_up;
    let missing = || Message::new("It names nothing that is kept here.");
    match &new.act {
        Act::Fill(fill) if !set_up.sources.contains_key(&fill.source) => {
            problems.push(Problem::new("source", missing()))
        }
        Act::Mains(mains) if !set_up.sources.contains_key(&mains.source) => {
            problems.push(Problem::new("source", missing()));
        }
        Act::Notice(notice) | Act::Lifted(notice) if !set_up.sources.contains_key(&notice.source) => {
            problems.push(Problem::new("source", missing()));
        }
        Act::Transfer(transfer) => {
            let into = set_up.vessels.get(&transfer.to).map(|kept| kept.thing.site);
            if into.is_none_or(|site| !caller.can(Deed::Log, Some(site))) {
                problems.push(Problem::new("to", missing()));
            }
        }
        Act::Coupling(coupling)
            if set_up.banks.get(&coupling.bank).is_none_or(|kept| Some(kept.thing.site) != new.site) =>
        {
            problems.push(Problem::new("bank", missing()));
        }
        Act::Fuel(fuel) => fuel_possible(picture, new, fuel, problems),
        Act::GeneratorRun(run) => {
            if set_up.generators.get(&run.generator).is_none_or(|kept| Some(kept.thing.site) != new.site) {
                problems.push(Problem::new("generator", missing()));
            }
            let other = |store| set_up.fuel_stores.get(&store).is_none_or(|kept| Some(kept.thing.site) != new.site);
            if run.store.is_some_and(other) {
                problems.push(Problem::new("store", missing()));
            }
        }
        Act::Service(service) => {
            let other = |stage| set_up.stages.get(&stage).is_none_or(|kept| Some(kept.thing.site) != new.site);
            if service.stage.is_some_and(other) {
                problems.push(Problem::new("stage", missing()));
            }
        }
        _ => {}
    }
}

fn fuel_possible(
    picture: &Picture,
    new: &New,
    fuel: &crate::model::entry::fuel::FuelMove,
    problems: &mut Vec<Problem>,
) {
    let Some(store) = picture.set_up.fuel_stores.get(&fuel.store).filter(|kept| Some(kept.thing.site) == new.site)
    else {
        return problems.push(Problem::new("store", Message::new("It names nothing that is kept here.")));
    };
    if let Err(error) = keepwell_engine::quantity::FUEL.check(fuel.litres) {
        problems.push(Problem::new("litres", out_of_range("amount", &error)));
    }
    if let Some(capacity) = store.thing.capacity_l
        && fuel.litres > capacity
    {
        problems.push(Problem::new("litres", too_much(store.thing.name.as_str(), fuel.litres, capacity)));
    }
}
