//! Something wrong that was reported and not yet put right.
//! Raised by the report, cleared by the entry that it is put right.

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::choice::Choice;
use crate::model::entry::wrong::Trouble;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for (trouble, (since, _)) in &scene.site.ledger.state.troubles {
        let what = Message::new("{Trouble} was reported").with("trouble", Arg::Word(trouble.label()));
        found.push(Finding { since: Some(*since), ..scene.finding("trouble", weight(*trouble), what, todo(*trouble)) });
    }
    for vessel in scene.site.vessels_at(scene.now) {
        for (trouble, (since, _)) in &vessel.state().troubles {
            let what = Message::new("{vessel}: {trouble}")
                .with("vessel", Arg::text(vessel.vessel.name.as_str()))
                .with("trouble", Arg::Word(trouble.label()));
            let finding = scene.of_vessel("trouble", vessel, weight(*trouble), what, todo(*trouble));
            found.push(Finding { since: Some(*since), ..finding });
        }
    }
}

const fn weight(trouble: Trouble) -> Weight {
    match trouble {
        Trouble::Leak | Trouble::Flooded | Trouble::FuelContact | Trouble::Lid => Weight::DoNow,
        Trouble::Smell | Trouble::Valve | Trouble::Pump | Trouble::Other => Weight::Mind,
    }
}

const fn todo(trouble: Trouble) -> Message {
    Message::new(match trouble {
        Trouble::Leak => "Find it, shut what feeds it, and look at the floor under it.",
        Trouble::Flooded => "Do not use it. Empty, clean, disinfect, refill, and have a sample tested.",
        Trouble::FuelContact => "Do not use it. Mark it and call the authority.",
        Trouble::Lid => "Look for what fell in. Empty it, heel and all; close it; refill it.",
        Trouble::Smell => "Do not drink it until you know why.",
        Trouble::Valve | Trouble::Pump | Trouble::Other => "Have it put right, then log that it is.",
    })
}
