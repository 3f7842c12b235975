//! What is known of a new vessel from the first: when it was last filled fresh, and what is in it now. Each becomes an
//! entry like any other.

use jiff::Timestamp;
use keepwell_engine::quantity::DEPTH;
use keepwell_engine::quantity::FRACTION;

use crate::model::entry::Act;
use crate::model::entry::fill::Fill;
use crate::model::entry::reading::Method;
use crate::model::entry::reading::Reading;
use crate::model::id::EntryId;
use crate::model::id::SourceId;
use crate::model::message::Message;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::Vessel;
use crate::picture::body::kind;
use crate::service::entries::New;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::First;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::form::choices;
use crate::web::pages::set_up::vessel::is_deep;

#[derive(Default)]
pub(super) struct Given {
    fill: Option<(EntryId, Timestamp, SourceId, bool)>,
    level: Option<(EntryId, Level)>,
}

enum Level {
    Depth(f64),
    Part(f64),
}

pub(super) fn questions(task: &Task, asking: &mut Asking, shape: ShapeKind) -> Given {
    asking.group("", "What is in it now");
    asking.words(
        "Each answer is logged as an entry. Leave it empty if you do not know; until somebody reads it, its water does \
         not count.",
    );
    let fill_id = asking.hidden("fill_id", EntryId::fresh().to_string()).parse();
    let level_id = asking.hidden("level_id", EntryId::fresh().to_string()).parse();
    let filled =
        ask("filled", "Last emptied and filled fresh").hint("Such as “4 March 2026” or “today 07:40”.").quiet();
    let filled = asking.when(filled, None);
    let mut source = None;
    let supplies = choices(task.set_up().sources.values().map(|kept| (kept.thing.id.to_string(), &kept.thing.name)));
    if !supplies.is_empty() {
        source = asking.beside().pick(ask("filled_from", "from").quiet(), supplies, None);
    }
    let to_top = asking.check(ask("filled_to_top", "It was filled to the top then"), false);
    if filled.is_some() && source.is_none() {
        asking.fault_if_blank(
            "filled_from",
            Message::new("Say what it was filled from: what it counts as depends on it."),
        );
    }
    if filled.is_none() && (source.is_some() || to_top) {
        asking.fault_if_blank("filled", Message::new("Say when it was filled."));
    }
    let level = if is_deep(kind(shape)) {
        let depth = ask("depth_now", "Depth now, by dipstick or tape").hint("From its lowest inside point up.").quiet();
        asking.figure(depth, &DEPTH, None).map(Level::Depth)
    } else {
        let part = ask("part_now", "How full it is now").hint("Such as 20/24 of the containers, 3/4, or 75 %.").quiet();
        asking.figure(part, &FRACTION, None).map(Level::Part)
    };
    let source = source.and_then(|id| id.parse().ok());
    Given {
        fill: match (fill_id, filled, source) {
            (Ok(id), Some(at), Some(source)) => Some((id, at, source, to_top)),
            _ => None,
        },
        level: level.zip(level_id.ok()).map(|(level, id)| (id, level)),
    }
}

impl Given {
    /// The first that is known to have happened to the vessel.
    pub(super) fn earliest(&self, now: Timestamp) -> Timestamp {
        self.fill.as_ref().map_or(now, |fill| fill.1.min(now))
    }

    pub(super) fn entries(self, vessel: &Vessel, now: Timestamp) -> Vec<First> {
        let new = |id, at, act| New { id, site: Some(vessel.site), vessel: Some(vessel.id), at, act };
        let fill = self.fill.map(|(id, at, source, to_top)| First {
            new: new(id, at, Act::Fill(filled_from(source, to_top))),
            field: |field| if field == "source" { "filled_from" } else { "filled" },
        });
        let level = self.level.map(|(id, level)| First {
            new: new(id, now, Act::Reading(reading(&level))),
            field: match level {
                Level::Depth(_) => |_| "depth_now",
                Level::Part(_) => |_| "part_now",
            },
        });
        fill.into_iter().chain(level).collect()
    }
}

const fn filled_from(source: SourceId, to_top: bool) -> Fill {
    Fill { litres: None, to_top, measured: None, source, boiled: false, printed: None, lot: None, note: None }
}

fn reading(level: &Level) -> Reading {
    let (method, depth_m, part) = match level {
        Level::Depth(depth) => (Method::Dipstick, Some(*depth), None),
        Level::Part(part) => (Method::Counted, None, Some(*part)),
    };
    Reading { method, depth_m, from: None, part, litres: None, meter_l: None, full: None, lot: None, note: None }
}
