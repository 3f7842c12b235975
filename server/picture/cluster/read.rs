//! What a reading does: litres with an error from whatever was seen, weighed against what was believed.

use keepwell_engine::level::Fit;
use keepwell_engine::level::Method as Seen;
use keepwell_engine::level::reading_sd;
use keepwell_engine::quantity::Area;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::metres;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::bank::volume_at_elevation;

use crate::model::entry::reading::From;
use crate::model::entry::reading::Method;
use crate::model::entry::reading::Reading;
use crate::picture::cluster::Member;
use crate::picture::cluster::apply::EACH;
use crate::picture::cluster::apply::Fold;
use crate::picture::cluster::state::usual_fill;

impl Fold<'_> {
    pub(super) fn reading(&mut self, slot: usize, reading: &Reading) {
        if let Some(count) = reading.meter_l {
            return self.meter(slot, count);
        }
        self.state.vessels[slot].last_reading = Some((self.at, self.entry.id));
        let Some((volume, sd)) = self.seen(slot, reading) else { return };
        if self.lot(slot).is_none() && self.state.vessels[slot].parts.len() > 1 {
            return self.counted_oldest_first(slot, volume, sd);
        }
        let part = self.part(slot);
        let at = self.at;
        let fit = self.level(slot, part, |level| level.read(at, volume, sd));
        if fit == Some(Fit::Fits) {
            self.state.vessels[slot].misfit = None;
        }
        self.fitted(slot, fit);
        self.make_room(slot, part);
        self.refilled_unseen(slot, part, volume);
    }

    /// Water where by all entries there is none: it was filled and nobody said from where. Taken to be the usual source.
    fn refilled_unseen(&mut self, slot: usize, part: usize, volume: Volume) {
        let empty = self.state.vessels[slot].parts.get(part).is_some_and(|part| part.water.is_empty());
        let heel = self.members[slot].body.lowest_heel().unwrap_or_default();
        if empty && volume > heel && volume > Volume::default() {
            let act = usual_fill(&self.members[slot], self.sources);
            self.state.vessels[slot].fill_assumed = Some(self.at);
            self.quality(slot, &act);
        }
    }

    /// What a reading says is in the vessel (or in the open bank), with its error.
    fn seen(&self, slot: usize, reading: &Reading) -> Option<(Volume, Volume)> {
        let body = &self.members[slot].body;
        let method = seen(reading.method);
        if reading.depth_m.is_some() {
            return self.seen_at(slot, depth_read(&self.members[slot], reading)?, method);
        }
        let volume = shown(&self.members[slot], reading)?;
        if self.state.joint_of(slot).is_some() {
            // What one vessel of an open bank holds tells the surface of all.
            return self.seen_at(slot, body.depth_of(volume)?, method);
        }
        let surface = body.surface_of(volume).unwrap_or_default();
        let sd = reading_sd(method, surface, volume, body.capacity.brim).ok()?;
        Some((volume, sd))
    }

    fn seen_at(&self, slot: usize, depth: Length, method: Seen) -> Option<(Volume, Volume)> {
        let member = &self.members[slot];
        let Some(joint) = self.state.joint_of(slot) else {
            let volume = member.body.shape.volume_at(depth).ok()?;
            let surface = member.body.shape.surface_at(depth).ok()?;
            let sd = reading_sd(method, surface, volume, member.body.capacity.brim).ok()?;
            return Some((volume, sd));
        };
        let elevation = metres(member.vessel.floor_m) + depth;
        let slots = &self.state.joints[joint].slots;
        let shapes: Vec<(&Shape, Length)> = slots
            .iter()
            .map(|slot| (&self.members[*slot].body.shape, metres(self.members[*slot].vessel.floor_m)))
            .collect();
        let volume = volume_at_elevation(&shapes, elevation).ok()?;
        let surfaces = slots.iter().filter_map(|slot| {
            let other = &self.members[*slot];
            let depth = elevation - metres(other.vessel.floor_m);
            let rim = other.body.shape.height()?;
            if depth <= Length::default() || depth > rim { None } else { other.body.shape.surface_at(depth).ok() }
        });
        let surface = surfaces.fold(Area::default(), |sum, surface| sum + surface);
        let brim = slots.iter().fold(Volume::default(), |sum, slot| sum + self.members[*slot].body.capacity.brim);
        Some((volume, reading_sd(method, surface, volume, brim).ok()?))
    }

    /// A counter at the outlet: what ran since its last reading has gone.
    fn meter(&mut self, slot: usize, count: f64) {
        let before = self.state.vessels[slot].meter.replace((self.at, count));
        if let Some((_, before)) = before
            && count >= before
        {
            let ran = litres(count - before);
            self.out(slot, Some(ran), ran * Seen::Meter.part());
        }
    }
}

/// What a reading shows of this vessel, by itself; nothing where it is no reading of a level.
pub(super) fn shown(member: &Member, reading: &Reading) -> Option<Volume> {
    let brim = member.body.capacity.brim;
    let volume = match (reading.depth_m, reading.part, reading.litres, reading.full) {
        (Some(_), ..) => member.body.shape.volume_at(depth_read(member, reading)?).ok()?,
        (_, Some(part), ..) => brim * part,
        (_, _, Some(volume), _) => litres(volume),
        (.., Some(full)) => litres(full * member.vessel.dimensions.get(EACH).copied().unwrap_or(0.0)),
        (None, None, None, None) => return None,
    };
    Some(volume.min(brim))
}

/// A depth that was read, up from the floor.
pub(super) fn depth_read(member: &Member, reading: &Reading) -> Option<Length> {
    let (rim, read) = (member.body.shape.height()?, metres(reading.depth_m?));
    let depth = match reading.from.unwrap_or_default() {
        From::Floor => read,
        From::Rim => rim - read,
    };
    Some(depth.max(Length::default()).min(rim))
}

fn seen(method: Method) -> Seen {
    match method {
        Method::Dipstick => Seen::Dipstick,
        Method::SightGlass => Seen::SightGlass,
        Method::Eye => Seen::Eye,
        Method::Meter => Seen::Meter,
        Method::Sensor => Seen::Sensor,
        Method::Counted => Seen::Counted,
    }
}
