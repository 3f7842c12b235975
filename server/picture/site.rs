//! What is believed of a site beside its water: fuel, generators, what is wrong there.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;
use keepwell_engine::moment::Moment;

use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::fuel::FuelMove;
use crate::model::entry::fuel::Move;
use crate::model::entry::inlet::InletState;
use crate::model::entry::inspection::Looked;
use crate::model::entry::wrong::Trouble;
use crate::model::id::EntryId;
use crate::model::id::FuelStoreId;
use crate::model::id::GeneratorId;
use crate::model::id::StageId;
use crate::model::power::FuelStore;
use crate::picture::cluster::moment;
use crate::picture::history::History;
use crate::picture::history::Put;

/// Fuel in one store.
#[derive(Clone, Debug, PartialEq)]
pub struct FuelState {
    pub litres: f64,
    /// the day the oldest of it was bought, where anyone knows
    pub bought: Option<Date>,
    pub stabilised: bool,
    /// when somebody last measured, filled or used it
    pub told: Moment,
    /// more was taken out than was believed to be there
    pub overdrawn: Option<EntryId>,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub struct SiteState {
    pub fuel: BTreeMap<FuelStoreId, FuelState>,
    pub last_run: BTreeMap<GeneratorId, (Moment, f64)>,
    pub troubles: BTreeMap<Trouble, (Moment, EntryId)>,
    /// when each was last looked at, and whether it was in order
    pub looked: BTreeMap<Looked, (Moment, bool)>,
    /// the inlet from the mains, and since when; none if nobody ever said
    pub inlet: Option<(InletState, Moment)>,
    /// when the medium or the lamp of a stage was last renewed
    pub renewed: BTreeMap<StageId, Moment>,
    /// litres handed out, ever
    pub given_out: f64,
}

/// The site's own entries and what they come to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SiteLedger {
    pub history: History,
    pub state: SiteState,
}

impl SiteLedger {
    #[must_use]
    pub fn of(stores: &[Arc<FuelStore>], history: History) -> Self {
        let mut state = SiteState::default();
        for store in stores {
            state.fuel.insert(
                store.id,
                FuelState {
                    litres: store.amount_l,
                    bought: store.bought,
                    stabilised: store.stabilised,
                    told: moment(store.since),
                    overdrawn: None,
                },
            );
        }
        for entry in history.iter() {
            state.apply(entry);
        }
        Self { history, state }
    }

    pub fn add(&mut self, entry: &Arc<Entry>, stores: &[Arc<FuelStore>]) {
        match self.history.insert(Arc::clone(entry)) {
            Put::AtEnd => self.state.apply(entry),
            Put::Amid => *self = Self::of(stores, core::mem::take(&mut self.history)),
            Put::Already => {}
        }
    }

    pub fn remove(&mut self, entry: &Entry, stores: &[Arc<FuelStore>]) {
        if self.history.remove(entry) {
            *self = Self::of(stores, core::mem::take(&mut self.history));
        }
    }
}

/// Whether an entry is the site's own business and not only a vessel's.
#[must_use]
pub fn concerns_site(entry: &Entry) -> bool {
    match &entry.act {
        Act::Fuel(_) | Act::GeneratorRun(_) | Act::Inspection(_) | Act::Inlet(_) | Act::GivenOut(_) => true,
        Act::Wrong(_) => entry.vessel.is_none(),
        Act::Service(service) => service.stage.is_some(),
        _ => false,
    }
}

impl SiteState {
    fn apply(&mut self, entry: &Entry) {
        let at = moment(entry.at);
        match &entry.act {
            Act::Fuel(fuel) => self.fuel(at, entry.id, fuel),
            Act::GeneratorRun(run) => {
                self.last_run.insert(run.generator, (at, run.hours));
                if let (Some(store), Some(litres)) = (run.store, run.fuel_l) {
                    self.burnt(at, entry.id, store, litres);
                }
            }
            Act::Inspection(inspection) => {
                self.looked.insert(inspection.looked_at(), (at, inspection.in_order));
            }
            Act::Inlet(inlet) => self.inlet = Some((inlet.state, at)),
            Act::Service(service) => {
                if let Some(stage) = service.stage {
                    self.renewed.insert(stage, at);
                }
            }
            Act::GivenOut(given) => self.given_out += given.litres(),
            Act::Wrong(wrong) if entry.vessel.is_none() => {
                if wrong.over {
                    self.troubles.remove(&wrong.what);
                } else {
                    self.troubles.entry(wrong.what).or_insert((at, entry.id));
                }
            }
            _ => {}
        }
    }

    fn fuel(&mut self, at: Moment, id: EntryId, fuel: &FuelMove) {
        let Some(state) = self.fuel.get_mut(&fuel.store) else { return };
        match fuel.way {
            Move::In => {
                // The oldest of what is mixed gives the date; unknown age stays unknown.
                let was_empty = state.litres <= 0.0;
                state.bought = match (was_empty, state.bought, fuel.bought) {
                    (true, _, bought) => bought,
                    (false, Some(old), Some(new)) => Some(old.min(new)),
                    (false, old, _) => old,
                };
                let stabilised = fuel.stabilised.unwrap_or(false);
                state.stabilised = if was_empty { stabilised } else { state.stabilised && stabilised };
                state.litres += fuel.litres;
                state.told = at;
            }
            Move::Out => self.burnt(at, id, fuel.store, fuel.litres),
            Move::Measured => {
                state.litres = fuel.litres;
                state.overdrawn = None;
                state.told = at;
                state.bought = fuel.bought.or(state.bought);
                state.stabilised = fuel.stabilised.unwrap_or(state.stabilised);
            }
        }
    }

    fn burnt(&mut self, at: Moment, id: EntryId, store: FuelStoreId, litres: f64) {
        if let Some(state) = self.fuel.get_mut(&store) {
            if litres > state.litres {
                state.overdrawn = Some(id);
            }
            state.litres = (state.litres - litres).max(0.0);
            state.told = at;
        }
    }
}
