//! A train of treatment that does not do what it seems to: its stages in a wrong order, a lamp behind no filter or
//! without a class, more flow than a stage may pass. Raised while it stands so, cleared when it is put right.

use keepwell_engine::treatment::Fault;

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    let Some(train) = scene.standing.and_then(|standing| standing.train.as_ref()) else { return };
    for fault in &train.passed.faults {
        let (at, todo) = match *fault {
            Fault::OutOfOrder { late, .. } => {
                (late, "Put it in its place: screen, sediment, carbon, ultraviolet light, chlorine, boiling.")
            }
            Fault::ChlorineBeforeCarbon { carbon } => (carbon, "Add the chlorine after the carbon."),
            Fault::UnfilteredLight { lamp } => (lamp, "Fit a sediment filter of 5 µm before it. Until then boil."),
            Fault::NoClaim { lamp } => (lamp, "Fit a unit tested as Class A, or boil what has to be treated."),
            Fault::TooFast { stage } => {
                (stage, "Hold the flow back to what it may pass. Until then it treats nothing.")
            }
            // Found by other rules, or to be read beside the train.
            Fault::Spent { .. } | Fault::NoPower { .. } | Fault::Empty | Fault::NoResidual => continue,
        };
        let Some(stage) = train.stages.get(at) else { continue };
        let what = Message::new("{stage}: {why}")
            .with("stage", Arg::text(stage.stage.name.as_str()))
            .with("why", Arg::Word(fault.words()));
        found.push(scene.finding("train", Weight::Mind, what, Message::new(todo)));
    }
}
