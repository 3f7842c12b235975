//! The form of a supply.

use crate::model::id::SourceId;
use crate::model::setup::Thing;
use crate::model::source::Source;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::pages::set_up::form::Answer;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::form::WORDS;

pub(super) fn questions(task: &Task, asking: &mut Asking) -> Option<Answer> {
    let old = match &task.standing {
        Some((Thing::Source(source), _)) => Some(source),
        _ => None,
    };
    asking.group("", "The supply");
    asking.words("A supply belongs to the neighbourhood: a notice on it is entered once and reaches every site.");
    let name = asking.name(ask("name", "Name").hint("Mains, Mill well, Roof of the hall."), old.map(|old| &old.name));
    let kind = ask("kind", "Kind of water").hint("It decides what a fill from it counts as.");
    let kind = asking.choice(kind, old.map(|old| old.kind));
    let disinfectant = ask("disinfectant", "Disinfectant in it")
        .hint("Water that comes with free chlorine keeps for longer. The supplier's yearly report says which it is.");
    let disinfectant = asking.choice(disinfectant, Some(old.map(|old| old.disinfectant).unwrap_or_default()));
    let notes = asking.lines(ask("notes", "Notes").optional(), WORDS, old.map_or("", |old| old.notes.as_str()));
    asking.group("", "Before it is joined to anything");
    asking.caution(
        "Stored water must never reach the public main.",
        "A shut valve is not enough. Joining a tank, a well or a pump to plumbing that the mains feed needs an approved \
         air gap or backflow preventer, fitted by a licensed plumber under the local code.",
    );
    Some(Answer::of(Thing::Source(Source {
        id: SourceId::from_uuid(task.id),
        name: name?,
        kind: kind?,
        disinfectant: disinfectant?,
        notes,
    })))
}
