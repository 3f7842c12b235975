//! The ledger's entries, as the estimator is told them.

use core::cmp::Ordering;
use std::collections::HashMap;

use keepwell_engine::level::Estimate;
use keepwell_engine::level::HEEL_ERROR;
use keepwell_engine::level::Method as By;
use keepwell_engine::level::explain;
use keepwell_engine::level::explain::End;
use keepwell_engine::level::explain::Explanations;
use keepwell_engine::level::explain::Habit;
use keepwell_engine::level::explain::Tank;
use keepwell_engine::level::explain::What;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::bank::volume_at_elevation;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::discard::HowFar;
use crate::model::entry::fill::Fill;
use crate::model::entry::reading::From;
use crate::model::entry::reading::Method;
use crate::model::entry::reading::Reading;
use crate::model::id::EntryId;
use crate::model::id::VesselId;
use crate::picture::cluster::Member;
use crate::picture::cluster::apply::by;
use crate::picture::cluster::explain::Doubted;
use crate::picture::cluster::explain::Explained;
use crate::picture::cluster::explain::habit;
use crate::picture::cluster::moment;
use crate::picture::cluster::read::depth_read;
use crate::picture::cluster::read::shown;

/// Of a sensor that reads more often, one reading in so long counts, and the last: its lasting error does not average
/// out, and a leak is looked for no more often.
const SENSOR_HOURS: f64 = 6.0;
/// Straight pieces that stand for walls which are not.
const PIECES: u32 = 96;
/// Litres that are none, as a part of the brim.
const HAIR: f64 = 1e-9;

/// The estimator of one vessel, or of vessels that share a surface, and what it was told.
#[derive(Clone, Debug)]
pub(super) struct Teller<'a> {
    members: &'a [Member],
    /// the lowest floor first
    slots: Vec<usize>,
    habit: Habit,
    all: Explanations,
    /// what the estimator knows by its place here
    told: Vec<(EntryId, Moment)>,
    /// when levels were read
    read: Vec<Moment>,
    counters: HashMap<VesselId, f64>,
    sensed: Option<Moment>,
    last: Option<(EntryId, Estimate)>,
}

impl<'a> Teller<'a> {
    /// Nothing told yet; nothing for vessels of which the estimator cannot tell.
    pub(super) fn of(members: &'a [Member], mut slots: Vec<usize>) -> Option<Self> {
        let habit = habit(slots.iter().map(|slot| &members[*slot]))?;
        let floor = |slot: usize| metres(members[slot].vessel.floor_m);
        slots.sort_by(|a, b| floor(*a).partial_cmp(&floor(*b)).unwrap_or(Ordering::Equal));
        let ground = floor(*slots.first()?);
        let each: Option<Vec<explain::Member>> =
            slots.iter().map(|slot| walls(&members[*slot].body.shape, floor(*slot) - ground)).collect();
        // The dimensions count as they stand in the set-up: no doubt of the capacity.
        let tank = Tank::new(&each?, 0.0).ok()?;
        let full: Volume = slots.iter().map(|slot| members[*slot].body.capacity.full).sum();
        let brim = tank.brim();
        let tank = tank.filled_to(full.min(brim)).ok()?;
        Some(Self {
            // Use is anew every day: from midnight by the engine's count, which knows no zone.
            all: Explanations::new(tank, habit, Moment::from_micros(0)),
            members,
            slots,
            habit,
            told: Vec::new(),
            read: Vec::new(),
            counters: HashMap::new(),
            sensed: None,
            last: None,
        })
    }

    /// What is believed now, once there is something to weigh a reading against.
    pub(super) fn explained(&self) -> Option<Explained> {
        if self.read.len() < 2 {
            return None;
        }
        let outlook = self.all.outlook();
        let doubted = |misfit: &explain::Misfit| {
            let (entry, at) = *self.told.get(usize::try_from(misfit.id).ok()?)?;
            Some(Doubted { entry, at, why: Some(misfit.why) })
        };
        let misfits = outlook.misfits().iter().filter_map(doubted).collect();
        let seen = |leak: &&explain::Leak| self.read.iter().filter(|read| **read > leak.since).count() >= 2;
        let leak = outlook.leak().filter(seen).copied();
        Some(Explained { outlook, slots: self.slots.clone(), misfits, last: self.last, leak })
    }

    /// Takes in what happened next. `last`: nothing comes after it.
    pub(super) fn tell(&mut self, entry: &Entry, last: bool) {
        let at = moment(entry.at);
        let Some(what) = self.what(entry, at, last) else { return };
        let is_reading = matches!(what, What::Dip { .. } | What::Sensor(_) | What::Sight(_) | What::Eye(_));
        let expected = is_reading.then(|| self.all.at(at).level);
        if let Err(error) = self.all.tell(&explain::Entry { id: self.told.len() as u64, at, what }) {
            tracing::warn!(entry = %entry.id, "an entry is not told to the estimator of a level: {error}");
            return;
        }
        self.told.push((entry.id, at));
        if let Some(expected) = expected {
            self.read.push(at);
            self.last = Some((entry.id, expected));
        }
    }
}

impl Teller<'_> {
    /// What an entry says of the level.
    fn what(&mut self, entry: &Entry, at: Moment, last: bool) -> Option<What> {
        let own = entry.vessel.and_then(|vessel| self.member(vessel));
        match (&entry.act, own) {
            (Act::Reading(reading), Some(member)) => match reading.meter_l {
                Some(count) => self.counter(member, count),
                None => self.reading(member, reading, at, last),
            },
            (Act::Fill(fill), Some(_)) => Some(self.fill(fill, at)),
            (Act::Draw(draw), Some(_)) if draw.to_outlet => Some(self.to_outlet()),
            (Act::Draw(draw), Some(_)) => Some(out(draw.litres, by(draw.measured))),
            (Act::Discard(discard), Some(_)) => Some(match discard.how_far {
                HowFar::Drained => What::To { volume: litres(0.0), sd: litres(0.0) },
                HowFar::ToOutlet => self.to_outlet(),
                HowFar::Some => out(discard.litres, by(None)),
            }),
            (Act::GivenOut(given), Some(_)) => Some(out(Some(given.litres()), By::Bucket)),
            (Act::Transfer(transfer), own) => {
                let (volume, by) = (litres(transfer.litres), by(transfer.measured));
                match (own, self.member(transfer.to)) {
                    (Some(_), None) => Some(What::Out { volume, by }),
                    (None, Some(_)) => Some(What::In { volume, by }),
                    // from one to the other of an open bank, nothing moves
                    (Some(_), Some(_)) | (None, None) => None,
                }
            }
            _ => None,
        }
    }

    /// Its place among those that share the surface.
    fn member(&self, vessel: VesselId) -> Option<usize> {
        self.slots.iter().position(|slot| self.members[*slot].vessel.id == vessel)
    }

    /// A counter tells use; of vessels that stand, or share their surface with others, what ran out.
    fn counter(&mut self, member: usize, count: f64) -> Option<What> {
        if self.habit == Habit::InUse && self.slots.len() == 1 {
            return Some(What::Counter(litres(count)));
        }
        let vessel = self.members[*self.slots.get(member)?].vessel.id;
        let before = self.counters.insert(vessel, count)?;
        (count >= before).then(|| What::Out { volume: litres(count - before), by: By::Meter })
    }

    fn fill(&self, fill: &Fill, at: Moment) -> What {
        match (fill.to_top, fill.litres) {
            (true, _) => What::Top,
            (false, Some(volume)) => What::In { volume: litres(volume), by: by(fill.measured) },
            // Anywhere from here to full, as the simple level has it.
            (false, None) => {
                let there = self.all.at(at).level;
                let full: Volume = self.slots.iter().map(|slot| self.members[*slot].body.capacity.full).sum();
                let room = (full - there.volume).max(Volume::default());
                let spread = (room * room / 12.0 + there.sd * there.sd / 3.0).sqrt();
                What::To { volume: there.volume + room / 2.0, sd: there.sd.max(spread) }
            }
        }
    }

    fn to_outlet(&self) -> What {
        let heels = self.slots.iter().map(|slot| self.members[*slot].body.lowest_heel().unwrap_or_default());
        let heel: Volume = heels.sum();
        What::To { volume: heel, sd: heel * HEEL_ERROR }
    }

    fn reading(&mut self, member: usize, reading: &Reading, at: Moment, last: bool) -> Option<What> {
        let slot = *self.slots.get(member)?;
        let body = &self.members[slot].body;
        let rim = body.shape.height()?;
        let depth = match reading.depth_m {
            Some(_) => depth_read(&self.members[slot], reading)?,
            None => body.depth_of(shown(&self.members[slot], reading)?)?,
        };
        let elevation = depth + metres(self.members[slot].vessel.floor_m);
        match reading.method {
            Method::Dipstick => {
                // As it was read: from the other end it would be another slip.
                let down = reading.depth_m.is_some() && reading.from == Some(From::Rim);
                let (depth, from) = if down { (rim - depth, End::Rim) } else { (depth, End::Floor) };
                Some(What::Dip { member, depth, from })
            }
            Method::Sensor => {
                let early = self.sensed.is_some_and(|sensed| at.since(sensed) < hours(SENSOR_HOURS));
                if early && !last {
                    return None;
                }
                self.sensed = Some(at);
                let ground = &self.members[*self.slots.first()?];
                let over = elevation - metres(ground.vessel.floor_m);
                Some(What::Sensor(over.min(ground.body.shape.height()?)))
            }
            Method::Eye => Some(What::Eye((self.held(elevation)? / self.brim()).value)),
            Method::SightGlass | Method::Meter | Method::Counted => Some(What::Sight(self.held(elevation)?)),
        }
    }

    /// Litres in all of them when the surface stands there.
    fn held(&self, elevation: Length) -> Option<Volume> {
        let shapes: Vec<(&Shape, Length)> = self
            .slots
            .iter()
            .map(|slot| (&self.members[*slot].body.shape, metres(self.members[*slot].vessel.floor_m)))
            .collect();
        volume_at_elevation(&shapes, elevation).ok()
    }

    fn brim(&self) -> Volume {
        self.slots.iter().map(|slot| self.members[*slot].body.capacity.brim).sum()
    }
}

fn out(volume: Option<f64>, by: By) -> What {
    volume.map_or(What::OutUnknown, |volume| What::Out { volume: litres(volume), by })
}

/// A vessel as the estimator knows it: two points where its walls stand upright, many straight pieces where not.
fn walls(shape: &Shape, floor: Length) -> Option<explain::Member> {
    let (rim, brim) = (shape.height()?, shape.brim());
    let at = |part: f64| shape.volume_at(rim * part).ok();
    let upright =
        [0.25, 0.5, 0.75].into_iter().all(|part| at(part).is_some_and(|held| (held - brim * part).abs() < brim * HAIR));
    if upright {
        return Some(explain::Member::upright(floor, rim, brim));
    }
    let point = |piece: u32| {
        let part = f64::from(piece) / f64::from(PIECES);
        Some((rim * part, if piece == 0 { Volume::default() } else { at(part)? }))
    };
    Some(explain::Member { floor, table: (0..=PIECES).map(point).collect::<Option<_>>()? })
}
