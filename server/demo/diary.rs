//! Entries as people made them: at their hour, by them, mostly logged within minutes and now and then days later.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::SignedDuration;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use crate::demo::book::Book;
use crate::demo::ground::uuid;
use crate::demo::odd;
use crate::model::entry::Act;
use crate::model::entry::void::Void;
use crate::model::id::EntryId;
use crate::model::id::SiteId;
use crate::model::id::VesselId;
use crate::service::Caller;
use crate::service::Error;
use crate::service::entries::New;
use crate::service::entries::Past;

/// So many entries are stored at a time.
const BATCH: usize = 1_000;
/// One reading in so many was on paper first.
const ON_PAPER: f64 = 0.03;

/// So many days ago, at about that hour.
pub type When = (i64, i8);

#[derive(Debug)]
pub struct Diary {
    now: Timestamp,
    today: Date,
    zone: TimeZone,
    rng: Pcg64Mcg,
    callers: BTreeMap<String, Caller>,
    past: Vec<Past>,
}

impl Diary {
    pub fn new(now: Timestamp, rng: Pcg64Mcg, book: &Book) -> Result<Self, Error> {
        let zone = TimeZone::get("Europe/London").map_err(odd)?;
        let caller = |person: &Arc<_>| Caller::Person(Arc::clone(person));
        let callers = book.people.iter().map(|person| (person.name.as_str().to_owned(), caller(person))).collect();
        Ok(Self { now, today: zone.to_datetime(now).date(), zone, rng, callers, past: Vec::new() })
    }

    /// The civil day so many days ago.
    pub fn day(&self, ago: i64) -> Result<Date, Error> {
        self.today.checked_sub(SignedDuration::from_hours(24 * ago)).map_err(odd)
    }

    /// A time within that hour; today's lie before now, whatever the hour is.
    pub fn time(&mut self, (ago, hour): When) -> Result<Timestamp, Error> {
        let minute = self.rng.random_range(0..55);
        let second = self.rng.random_range(0..60);
        let at = self.zone.to_timestamp(self.day(ago)?.at(hour, minute, second, 0)).map_err(odd)?;
        Ok(at.min(self.now - SignedDuration::from_mins(12)))
    }

    /// An error of so many standard deviations: three even ones added up, within 3 either way.
    pub fn error(&mut self) -> f64 {
        2.0 * (self.rng.random::<f64>() + self.rng.random::<f64>() + self.rng.random::<f64>() - 1.5)
    }

    /// Between 0 and that.
    pub fn up_to(&mut self, most: f64) -> f64 {
        self.rng.random::<f64>() * most
    }

    /// Puts down what somebody logged.
    pub fn log(
        &mut self,
        who: &str,
        at: Timestamp,
        site: Option<SiteId>,
        vessel: Option<VesselId>,
        act: Act,
    ) -> Result<EntryId, Error> {
        let late = match act {
            Act::Reading(_) | Act::Note(_) if self.rng.random_bool(ON_PAPER) => self.rng.random_range(20..140) * 60,
            _ => self.rng.random_range(1..6),
        };
        let arrived = (at + SignedDuration::from_mins(late)).min(self.now - SignedDuration::from_mins(2));
        let id = EntryId::from_uuid(uuid(arrived, &mut self.rng));
        let caller = self.callers.get(who).cloned().ok_or_else(|| odd(anyhow::anyhow!("nobody is called {who}")))?;
        self.past.push(Past { caller, arrived, new: New { id, site, vessel, at, act } });
        Ok(id)
    }

    /// Declares an entry void, some minutes after it was logged.
    pub fn void(&mut self, who: &str, at: Timestamp, entry: EntryId, reason: &str) -> Result<(), Error> {
        self.log(who, at, None, None, Act::Void(Void { entry, reason: reason.to_owned() })).map(|_| ())
    }

    /// What was logged, in the order it arrived. A void comes in a later batch than the entry it is about, which has to
    /// be stored to be declared void.
    pub fn into_batches(mut self) -> Vec<Vec<Past>> {
        self.past.sort_by_key(|past| (past.arrived, past.new.id));
        let mut batches: Vec<Vec<Past>> = vec![Vec::new()];
        for past in self.past {
            let starts_new = matches!(past.new.act, Act::Void(_));
            match batches.last_mut() {
                Some(batch) if batch.len() < BATCH && !starts_new => batch.push(past),
                _ => batches.push(vec![past]),
            }
        }
        batches
    }
}
