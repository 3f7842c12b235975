//! The form of a bank: vessels joined by a manifold.

use crate::model::id::BankId;
use crate::model::setup::Thing;
use crate::model::vessel::Bank;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::Bank(bank), _)) => Some(bank),
        _ => None,
    };
    asking.group("", "The bank");
    asking.words("Vessels joined by a manifold and drawn on together. Which ones, each vessel's own form says.");
    let name = asking.name(ask("name", "Name"), old.map(|old| &old.name));
    let open = ask("coupled_at_first", "Its valves stood open when it was set up")
        .hint("Open, they share one level. Opening and shutting them later is logged as an entry.");
    let coupled_at_first = asking.check(open, old.is_none_or(|old| old.coupled_at_first));
    asking.group("", "When the ground shakes");
    asking.caution(
        "Rigid pipes break.",
        "In an earthquake, joined vessels are lost together. Flexible joints, and valves shut while nobody draws, keep \
         the others full.",
    );
    Some(Answer::of(Thing::Bank(Bank {
        id: BankId::from_uuid(task.id),
        site: task.site?,
        name: name?,
        coupled_at_first,
    })))
}
