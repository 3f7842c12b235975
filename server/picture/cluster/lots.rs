//! A set told apart by lots: which containers an entry is about, and that all of them together are the set.

use keepwell_engine::level::Estimate;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Volume;

use crate::model::vessel::ShapeKind;
use crate::picture::cluster::apply::Fold;
use crate::picture::cluster::state::Part;
use crate::picture::cluster::state::banded;
use crate::picture::cluster::state::quality;
use crate::picture::cluster::state::said;

impl<'a> Fold<'a> {
    /// The lot that the entry names. Only a set is told apart by lots.
    pub(super) fn lot(&self, slot: usize) -> Option<&'a str> {
        let is_set = self.members[slot].vessel.shape == ShapeKind::Set;
        self.entry.act.lot().filter(|_| is_set)
    }

    /// The part that an entry is about: the lot it names, made if it is new; else the first.
    pub(super) fn part(&mut self, slot: usize) -> usize {
        let Some(lot) = self.lot(slot) else { return 0 };
        let parts = &mut self.state.vessels[slot].parts;
        if let Some(there) = parts.iter().position(|part| part.lot == lot) {
            return there;
        }
        // The nameless part of a set that is told apart by lots gives way to the first of them, as long as nobody said
        // how much is in it.
        let nameless = parts.iter().position(|part| part.lot.is_empty() && !part.level.is_known());
        if let Some(nameless) = nameless {
            lot.clone_into(&mut parts[nameless].lot);
            return nameless;
        }
        if let Some(mut part) = Part::first(&self.members[slot], lot) {
            part.level.empty(self.at);
            for (when, act) in said(self.sources, self.supplies, None, self.at) {
                quality(&mut part.water, when, &act);
            }
            parts.push(part);
        }
        self.state.vessels[slot].parts.len() - 1
    }

    /// Containers that nothing was said of were empty before they are filled.
    pub(super) fn begin_set_empty(&mut self, slot: usize, part: usize) {
        let is_set = self.members[slot].vessel.shape == ShapeKind::Set;
        if let Some(part) = self.state.vessels[slot].parts.get_mut(part)
            && is_set
            && !part.level.is_known()
        {
            part.level.empty(self.at);
        }
    }

    /// Out of the lot that is named; else out of the oldest first.
    pub(super) fn out(&mut self, slot: usize, amount: Option<Volume>, sd: Volume) {
        let at = self.at;
        let lot = self.lot(slot);
        if lot.is_some() || self.state.vessels[slot].parts.len() == 1 || amount.is_none() {
            let part = self.part(slot);
            let fit = self.level(slot, part, |level| level.draw(at, amount, sd));
            return self.fitted(slot, fit);
        }
        let mut left = amount.unwrap_or_default();
        let lots = self.oldest_first(slot);
        let last = lots.len() - 1;
        for (place, index) in lots.into_iter().enumerate() {
            let there = self.state.vessels[slot].parts[index].level.at(at).volume;
            let share = if place == last { left } else { left.min(there) };
            left -= share;
            if share > Volume::default() {
                let fit = self.level(slot, index, |level| level.draw(at, Some(share), sd));
                self.fitted(slot, fit);
            }
        }
    }

    /// A total of a set in lots: the oldest are used first, so the newest are full.
    pub(super) fn counted_oldest_first(&mut self, slot: usize, total: Volume, sd: Volume) {
        let at = self.at;
        let mut lots: Vec<(Option<Moment>, usize, Volume)> = Vec::new();
        for (index, part) in self.state.vessels[slot].parts.iter().enumerate() {
            lots.push((part.water.at(at).clock, index, part.level.at(at).volume));
        }
        lots.sort_by_key(|lot| core::cmp::Reverse(lot.0));
        let mut left = total;
        let newest = lots.first().map_or(0, |lot| lot.1);
        let oldest = lots.len().saturating_sub(1);
        for (place, (_, index, believed)) in lots.into_iter().enumerate() {
            let share = if place == oldest { left } else { left.min(believed) };
            left -= share;
            let fit = self.level(slot, index, |level| level.read(at, share, sd));
            self.fitted(slot, fit);
        }
        self.make_room(slot, newest);
    }

    /// The parts of a vessel by the age of their water, those of unknown age last.
    fn oldest_first(&self, slot: usize) -> Vec<usize> {
        let parts = self.state.vessels[slot].parts.iter().enumerate();
        let mut lots: Vec<(Option<Moment>, usize)> =
            parts.map(|(index, part)| (part.water.at(self.at).clock, index)).collect();
        lots.sort_by_key(|lot| (lot.0.is_none(), lot.0));
        lots.into_iter().map(|lot| lot.1).collect()
    }

    /// What is believed to be in the vessel's other parts together.
    pub(super) fn in_other_parts(&self, slot: usize, part: usize) -> Estimate {
        let brim = self.members[slot].body.capacity.brim;
        let parts = self.state.vessels[slot].parts.iter().enumerate().filter(|(index, _)| *index != part);
        let (volume, variance) = parts
            .map(|(_, part)| part.level.at(self.at))
            .fold((Volume::default(), 0.0), |(volume, variance), there| {
                (volume + there.volume, variance + there.sd.value * there.sd.value)
            });
        banded(volume, Volume { value: variance.sqrt(), ..Volume::default() }, brim)
    }

    /// Where one lot leaves too little room for what the others were believed to hold, these were used without a word:
    /// the oldest first.
    pub(super) fn make_room(&mut self, slot: usize, part: usize) {
        let at = self.at;
        let Some(own) = self.state.vessels[slot].parts.get(part).map(|part| part.level.at(at).volume) else { return };
        let brim = self.members[slot].body.capacity.brim;
        let mut over = own + self.in_other_parts(slot, part).volume - brim;
        for index in self.oldest_first(slot) {
            if index == part || over <= Volume::default() {
                continue;
            }
            let there = self.state.vessels[slot].parts[index].level.at(at).volume;
            let gone = over.min(there);
            over -= gone;
            let room = there - gone;
            self.level(slot, index, |level| {
                if level.is_known() {
                    level.draw(at, Some(gone), Volume::default())
                } else {
                    // Anything from nothing to what room is left, evenly.
                    level.read(at, room / 2.0, room / f64::sqrt(12.0))
                }
            });
        }
    }
}
