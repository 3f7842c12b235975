//! What each kind of entry does to what is believed.

use std::collections::BTreeSet;

use keepwell_engine::grade::Act as Quality;
use keepwell_engine::level::Fit;
use keepwell_engine::level::Level;
use keepwell_engine::level::Method;
use keepwell_engine::level::TOP_SLACK_MM;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::OutOfRange;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::mg_per_litre;
use keepwell_engine::quantity::millimetres;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::discard::HowFar;
use crate::model::entry::fill::Fill;
use crate::model::entry::fill::Measured;
use crate::model::entry::test::Coliform;
use crate::model::entry::transfer::Transfer;
use crate::model::entry::wrong::Trouble;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::picture::cluster::Member;
use crate::picture::cluster::day_moment;
use crate::picture::cluster::graded_source;
use crate::picture::cluster::moment;
use crate::picture::cluster::state::Misfit;
use crate::picture::cluster::state::State;
use crate::picture::cluster::state::beginnings;
use crate::picture::cluster::state::quality;
use crate::picture::cluster::state::usual_fill;
use crate::picture::source::Sources;

/// What an entry is folded into.
pub(super) struct Fold<'a> {
    pub(super) state: &'a mut State,
    pub(super) members: &'a [Member],
    pub(super) sources: &'a Sources,
    pub(super) supplies: &'a BTreeSet<SourceId>,
    pub(super) entry: &'a Entry,
    pub(super) at: Moment,
}

impl State {
    /// Folds one entry in. Nothing is refused here: what cannot be is refused before it is stored.
    pub(super) fn apply(
        &mut self,
        members: &[Member],
        sources: &Sources,
        supplies: &BTreeSet<SourceId>,
        entry: &Entry,
    ) {
        let at = moment(entry.at);
        self.take_for_granted(members, sources, supplies, at);
        self.hear(sources, supplies, at);
        for (vessel, _) in beginnings(entry) {
            if let Some(slot) = members.iter().position(|member| member.vessel.id == vessel) {
                self.vessels[slot].begun = true;
            }
        }
        Fold { state: self, members, sources, supplies, entry, at }.entry();
    }
}

impl Fold<'_> {
    fn entry(&mut self) {
        if let Act::Coupling(coupling) = &self.entry.act {
            return self.coupling(coupling.bank, coupling.state);
        }
        let Some(slot) = self.entry.vessel.and_then(|vessel| self.slot(vessel)) else { return };
        self.state.vessels[slot].last_entry = Some(self.at);
        match &self.entry.act {
            Act::Reading(reading) => self.reading(slot, reading),
            Act::Fill(fill) => self.fill(slot, fill),
            Act::Draw(draw) => {
                if draw.to_outlet {
                    self.draw_to_outlet(slot);
                } else {
                    let (amount, sd) = amount(draw.litres, draw.measured);
                    self.out(slot, amount, sd);
                    self.quality(slot, &Quality::Draw { to_outlet: false });
                }
            }
            Act::Transfer(transfer) => self.transfer(slot, transfer),
            Act::Discard(discard) => match discard.how_far {
                HowFar::Drained => self.drain(slot),
                HowFar::ToOutlet => self.draw_to_outlet(slot),
                HowFar::Some => {
                    let (amount, sd) = amount(discard.litres, None);
                    self.out(slot, amount, sd);
                    self.quality(slot, &Quality::Draw { to_outlet: false });
                }
            },
            Act::GivenOut(given) => {
                let given_out = litres(given.litres());
                self.out(slot, Some(given_out), given_out * Method::Bucket.part());
                self.quality(slot, &Quality::Draw { to_outlet: false });
            }
            Act::Dose(dose) => {
                self.state.vessels[slot].doses_untested += 1;
                self.quality(slot, &Quality::Dose { shock: dose.shock });
            }
            Act::Disinfection(_) => self.quality(slot, &Quality::Disinfect),
            Act::Test(test) => {
                self.state.vessels[slot].doses_untested = 0;
                self.state.vessels[slot].last_test = Some(self.at);
                self.quality(
                    slot,
                    &Quality::Test {
                        free: test.free_mg_l.map(mg_per_litre),
                        total: test.total_mg_l.map(mg_per_litre),
                        coliform: test.coliform.map(|coliform| coliform == Coliform::Found),
                    },
                );
            }
            Act::Wrong(wrong) => self.wrong(slot, wrong.what, wrong.over),
            Act::Service(_)
            | Act::Inspection(_)
            | Act::Inlet(_)
            | Act::Fuel(_)
            | Act::GeneratorRun(_)
            | Act::Mains(_)
            | Act::Notice(_)
            | Act::Lifted(_)
            | Act::Coupling(_)
            | Act::Note(_)
            | Act::Void(_) => {}
        }
    }

    fn slot(&self, vessel: VesselId) -> Option<usize> {
        self.members.iter().position(|member| member.vessel.id == vessel)
    }

    fn wrong(&mut self, slot: usize, what: Trouble, over: bool) {
        let troubles = &mut self.state.vessels[slot].troubles;
        if over {
            troubles.remove(&what);
        } else {
            troubles.entry(what).or_insert((self.at, self.entry.id));
        }
        match what {
            Trouble::Lid => self.quality(slot, &Quality::Lid { open: !over }),
            Trouble::Flooded if !over => self.quality(slot, &Quality::Flooded),
            Trouble::FuelContact if !over => self.quality(slot, &Quality::FuelContact),
            _ => {}
        }
    }

    /// To the lot that the entry names, or all of the vessel's parts; and to every vessel open to it.
    pub(super) fn quality(&mut self, slot: usize, act: &Quality) {
        let slots = match self.state.joint_of(slot) {
            Some(joint) => self.state.joints[joint].slots.clone(),
            None => vec![slot],
        };
        let lot = self.lot(slot);
        for slot in slots {
            for part in &mut self.state.vessels[slot].parts {
                if lot.is_none_or(|lot| part.lot == lot) {
                    quality(&mut part.water, self.at, act);
                }
            }
        }
    }

    /// The level that an entry about this vessel moves: the open bank's, or the part's.
    pub(super) fn level<T>(
        &mut self,
        slot: usize,
        part: usize,
        then: impl FnOnce(&mut Level) -> Result<T, OutOfRange>,
    ) -> Option<T> {
        let joint = self.state.joint_of(slot).and_then(|joint| self.state.joints[joint].level.as_mut());
        let level = match joint {
            Some(level) => level,
            None => &mut self.state.vessels[slot].parts.get_mut(part)?.level,
        };
        match then(level) {
            Ok(done) => Some(done),
            Err(error) => {
                tracing::warn!(entry = %self.entry.id, "an entry does not count towards a level: {error}");
                None
            }
        }
    }

    pub(super) fn fitted(&mut self, slot: usize, fit: Option<Fit>) {
        match fit {
            Some(Fit::DoesNotFit { expected }) => {
                self.state.vessels[slot].misfit =
                    Some(Misfit { entry: self.entry.id, at: self.at, expected, why: None });
            }
            Some(Fit::Fits) | None => {}
        }
    }

    fn fill(&mut self, slot: usize, fill: &Fill) {
        let part = self.part(slot);
        let at = self.at;
        self.begin_set_empty(slot, part);
        let others = self.in_other_parts(slot, part);
        let fit = if fill.to_top && others.volume > Volume::default() {
            // The lot takes up what the others leave of the set.
            self.level(slot, part, |level| {
                let room = (level.full() - others.volume - level.at(at).volume).max(Volume::default());
                level.fill(at, Some(room), others.sd)
            })
        } else if fill.to_top {
            let slack = self.top_slack(slot);
            self.level(slot, part, |level| level.fill_to_top(at, slack))
        } else {
            let (amount, sd) = amount(fill.litres, fill.measured);
            self.level(slot, part, |level| level.fill(at, amount, sd))
        };
        self.fitted(slot, fit);
        self.make_room(slot, part);
        let source = self.sources.all.get(&fill.source);
        let printed = fill.printed.map(day_moment);
        let (kind, line) = source
            .map_or((keepwell_engine::grade::SourceKind::Doubtful, keepwell_engine::grade::Line(u32::MAX)), |source| {
                (graded_source(source.source.kind, printed), source.line)
            });
        let act = Quality::Fill { source: kind, line, boiled: fill.boiled };
        match self.state.joint_of(slot) {
            Some(_) => self.quality(slot, &act),
            None => {
                if let Some(part) = self.state.vessels[slot].parts.get_mut(part) {
                    quality(&mut part.water, at, &act);
                }
            }
        }
    }

    /// Litres in the last centimetre under the full mark, where "to the top" may have stopped.
    fn top_slack(&self, slot: usize) -> Volume {
        let slots = match self.state.joint_of(slot) {
            Some(joint) => self.state.joints[joint].slots.clone(),
            None => vec![slot],
        };
        slots.into_iter().fold(Volume::default(), |sum, slot| {
            let body = &self.members[slot].body;
            sum + body
                .surface_of(body.capacity.full)
                .map_or_else(Volume::default, |surface| surface * millimetres(TOP_SLACK_MM))
        })
    }

    fn draw_to_outlet(&mut self, slot: usize) {
        let at = self.at;
        let slots = match self.state.joint_of(slot) {
            Some(joint) => self.state.joints[joint].slots.clone(),
            None => vec![slot],
        };
        let heel = slots
            .iter()
            .fold(Volume::default(), |sum, slot| sum + self.members[*slot].body.lowest_heel().unwrap_or_default());
        let part = self.part(slot);
        let fit = self.level(slot, part, |level| level.draw_to(at, heel));
        self.fitted(slot, fit);
        self.quality(slot, &Quality::Draw { to_outlet: true });
    }

    fn drain(&mut self, slot: usize) {
        let at = self.at;
        let lot = self.lot(slot).map(ToOwned::to_owned);
        if self.state.joint_of(slot).is_some() {
            self.level(slot, 0, |level| Ok(level.empty(at)));
        } else {
            for part in &mut self.state.vessels[slot].parts {
                if lot.as_ref().is_none_or(|lot| part.lot == *lot) {
                    part.level.empty(at);
                }
            }
        }
        self.quality(slot, &Quality::Drain);
        // A lot that is gone is told no more.
        let vessel = &mut self.state.vessels[slot];
        if vessel.parts.len() > 1 {
            let kept = vessel.parts.iter().position(|part| lot.as_ref() != Some(&part.lot)).unwrap_or(0);
            if lot.is_some() {
                vessel.parts.retain(|part| lot.as_ref() != Some(&part.lot));
            } else {
                vessel.parts.swap(0, kept);
                vessel.parts.truncate(1);
            }
        }
    }

    fn transfer(&mut self, slot: usize, transfer: &Transfer) {
        let (amount, sd) = amount(Some(transfer.litres), transfer.measured);
        let given = self.state.vessels[slot].parts.first().and_then(|part| part.water.contents(self.at));
        self.out(slot, amount, sd);
        self.quality(slot, &Quality::Draw { to_outlet: false });
        let Some(to) = self.slot(transfer.to) else { return };
        self.state.vessels[to].last_entry = Some(self.at);
        let at = self.at;
        self.begin_set_empty(to, 0);
        let fit = self.level(to, 0, |level| level.fill(at, amount, sd));
        self.fitted(to, fit);
        self.make_room(to, 0);
        let act = match given {
            Some(contents) => Quality::TransferIn(contents),
            // Water out of a vessel that is empty by its entries: nobody knows what it was.
            None => usual_fill(&self.members[slot], self.sources),
        };
        self.quality(to, &act);
    }
}

/// The key of a set's litres each, among its dimensions.
pub(super) const EACH: &str = "litres_each";

fn amount(given: Option<f64>, measured: Option<Measured>) -> (Option<Volume>, Volume) {
    let volume = given.map(litres);
    (volume, volume.unwrap_or_default() * by(measured).part())
}

/// How an amount was measured, as the engine knows it.
pub(super) fn by(measured: Option<Measured>) -> Method {
    match measured.unwrap_or_default() {
        Measured::Meter => Method::Meter,
        Measured::Bucket => Method::Bucket,
        Measured::Guess => Method::Guess,
    }
}
