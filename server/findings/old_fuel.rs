//! Fuel past its shelf life, of unknown age, or more than a store can hold. Raised past the end of its life
//! (`FuelState`), cleared when it is used and replaced.

use keepwell_engine::power::FuelState;
use keepwell_engine::quantity::Unit;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::cluster::day_moment;
use crate::picture::cluster::moment;
use crate::picture::power::in_store;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for store in scene.site.fuel_stores.iter().filter(|store| store.ended.is_none_or(|end| moment(end) > scene.now)) {
        let Some(state) = scene.site.ledger.state.fuel.get(&store.id).filter(|state| state.litres > 0.0) else {
            continue;
        };
        let (name, fuel) = (Arg::text(store.name.as_str()), Arg::Word(store.fuel.label()));
        let engine = match in_store(store, state) {
            Ok(engine) => engine,
            Err(error) => {
                let what =
                    Message::new("{store}: all that was logged comes to {litres}; no store holds more than {most}")
                        .with("store", name)
                        .with("litres", Arg::Figure(state.litres, Unit::Litre))
                        .with("most", Arg::Figure(error.measure.max, Unit::Litre));
                let todo = Message::new("Void what is wrong. None of it is counted until then.");
                found.push(scene.finding("old_fuel", Weight::Mind, what, todo));
                continue;
            }
        };
        let bought = state.bought.map(day_moment);
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
