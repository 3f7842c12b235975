//! What may have happened, as tiles: the eight most usual large, the rest below.

use crate::model::choice::Choice;
use crate::model::entry::Kind;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::pages::log::subject::Subject;
use crate::web::pages::log::subject::Thing;

/// One tile.
pub(super) struct Tile {
    pub href: String,
    pub label: Message,
    pub hint: Message,
}

/// The question over a kind's form, and its tile's words.
pub(super) struct Words {
    pub label: &'static str,
    pub hint: &'static str,
    pub question: &'static str,
}

const fn words(label: &'static str, hint: &'static str, question: &'static str) -> Words {
    Words { label, hint, question }
}

pub(super) const fn of(kind: Kind) -> Words {
    match kind {
        Kind::Reading => words("Read the level", "dip, tube, by eye", "What did you read?"),
        Kind::Fill => words("Filled it", "from any supply", "How much went in?"),
        Kind::Draw => words("Drew some", "used or given out", "How much came out?"),
        Kind::Transfer => words("Moved some", "to another vessel", "Into which, and how much?"),
        Kind::Discard => words("Poured away", "not used", "How far down?"),
        Kind::Test => words("Tested it", "chlorine, other", "What did the test show?"),
        Kind::Dose => words("Dosed it", "disinfectant in", "What went in?"),
        Kind::Wrong => words("Found a fault", "leak, lid, valve; or put one right", "What is wrong?"),
        Kind::GivenOut => words("Gave it out", "a tally: people, litres each", "How much was given out?"),
        Kind::Disinfection => words("Disinfected it", "the vessel, by a full method", "How was it disinfected?"),
        Kind::Coupling => words("Opened or shut a bank", "its joining valves", "How do the valves stand now?"),
        Kind::Service => words("Worked on it", "pump, filter, valve", "What was done?"),
        Kind::Inspection => words("Looked it over", "lid, screens, stand", "How was it?"),
        Kind::Inlet => {
            words("Shut or opened the inlet", "from the mains to the store", "How does the inlet stand now?")
        }
        Kind::Fuel => words("Fuel", "in, out or measured", "What was done with the fuel?"),
        Kind::GeneratorRun => words("The generator ran", "hours, load, fuel", "How long did it run?"),
        Kind::Mains => words("How it runs", "running, low or off", "How does it run now?"),
        Kind::Notice => words("A notice", "boil, do not drink, do not use", "Which notice is in force?"),
        Kind::Lifted => words("A notice lifted", "by the authority", "Which notice was lifted?"),
        Kind::Note => words("A note", "for the record", "What is worth keeping?"),
        Kind::Void => words("Void", "", "What was wrong with it?"),
    }
}

/// The tiles of a subject: the large ones, then the rest.
pub(super) fn tiles(subject: &Subject) -> (Vec<Tile>, Vec<Tile>) {
    let tile = |kind: Kind| Tile {
        href: format!("{}/{}", subject.href(), kind.key()),
        label: Message::new(of(kind).label),
        hint: hint(subject, kind),
    };
    let all = |kinds: &[Kind]| kinds.iter().map(|kind| tile(*kind)).collect::<Vec<_>>();
    match &subject.thing {
        Thing::Vessel(site, vessel) => {
            let large = [
                Kind::Reading,
                Kind::Fill,
                Kind::Draw,
                Kind::Transfer,
                Kind::Discard,
                Kind::Test,
                Kind::Dose,
                Kind::Wrong,
            ];
            let mut rest = all(&[Kind::GivenOut, Kind::Inspection, Kind::Disinfection, Kind::Service, Kind::Note]);
            if vessel.vessel.bank.is_some() {
                let coupling = of(Kind::Coupling);
                rest.push(Tile {
                    href: format!("/log/sites/{}/{}", site.site.id, Kind::Coupling.key()),
                    label: Message::new(coupling.label),
                    hint: Message::new(coupling.hint),
                });
            }
            (all(&large), rest)
        }
        Thing::Site(site) => {
            let mut large = vec![Kind::GivenOut, Kind::Wrong, Kind::Inspection, Kind::Service, Kind::Inlet];
            if !site.fuel_stores.is_empty() {
                large.push(Kind::Fuel);
            }
            if !site.generators.is_empty() {
                large.push(Kind::GeneratorRun);
            }
            let banks = subject.picture.set_up.banks.values();
            if banks.into_iter().any(|kept| kept.thing.site == site.site.id) {
                large.push(Kind::Coupling);
            }
            large.push(Kind::Note);
            (all(&large), Vec::new())
        }
        Thing::Supply(_) => (all(&[Kind::Mains, Kind::Notice, Kind::Lifted]), Vec::new()),
    }
}

fn hint(subject: &Subject, kind: Kind) -> Message {
    if kind == Kind::Reading && subject.is_set() {
        return Message::new("count the full ones");
    }
    let usual = subject.as_vessel().and_then(|vessel| vessel.vessel.source);
    if kind == Kind::Fill
        && let Some(source) = usual.and_then(|id| subject.picture.set_up.sources.get(&id))
    {
        return Message::new("from {source}").with("source", Arg::text(source.thing.name.as_str()));
    }
    Message::new(of(kind).hint)
}
