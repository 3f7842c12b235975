//! Fuel past its shelf life, of unknown age, or overdrawn. Raised past the end of its life (`FuelState`), cleared when it
//! is used and replaced.

use keepwell_engine::power::FuelState;
use keepwell_engine::power::FuelStore;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::litres;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::cluster::moment;
use crate::picture::standing::fuel_kind;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for store in scene.site.fuel_stores.iter().filter(|store| store.ended.is_none_or(|end| moment(end) > scene.now)) {
        let Some(state) = scene.site.ledger.state.fuel.get(&store.id).filter(|state| state.litres > 0.0) else {
            continue;
        };
        let bought =
            state.bought.and_then(|day| jiff::tz::TimeZone::UTC.to_timestamp(day.at(0, 0, 0, 0)).ok()).map(moment);
        let kind = fuel_kind(store.fuel);
        let Ok(engine) = FuelStore::new(kind, litres(state.litres), Volume::default(), bought, state.stabilised) else {
            continue;
        };
        let (name, fuel) = (Arg::text(store.name.as_str()), Arg::Word(store.fuel.label()));
        let todo = Message::new("Use it up and buy fresh. It is not counted until then.");
        match (engine.state(scene.now), bought) {
            (FuelState::Past, Some(bought)) => {
                let what = Message::new("{store}: the {fuel} is past its life, bought {ago}")
                    .with("store", name)
                    .with("fuel", fuel)
                    .with("ago", Arg::Ago(bought));
                found.push(Finding { since: Some(bought), ..scene.finding("old_fuel", Weight::Mind, what, todo) });
            }
            (FuelState::Unknown, _) => {
                let what =
                    Message::new("{store}: nobody knows how old the {fuel} is").with("store", name).with("fuel", fuel);
                let todo = Message::new("Say when it was bought. It is not counted until then.");
                found.push(scene.finding("old_fuel", Weight::Mind, what, todo));
            }
            _ => {}
        }
    }
}
