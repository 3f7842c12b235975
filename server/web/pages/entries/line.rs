//! An entry in one plain line: "East read at 1.118 m, 2,845 L, dipstick or tape".

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::metres;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::coupling::Coupled;
use crate::model::entry::discard::HowFar;
use crate::model::entry::dose::Dose;
use crate::model::entry::fill::Fill;
use crate::model::entry::fuel::Move;
use crate::model::entry::given_out::GivenOut;
use crate::model::entry::inlet::InletState;
use crate::model::entry::inspection::Looked;
use crate::model::entry::reading::From;
use crate::model::entry::reading::Reading;
use crate::model::entry::test::Coliform;
use crate::model::entry::test::Test;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::VesselPicture;

/// What happened and to which vessel, for lists that hold several.
pub(crate) fn line(entry: &Entry, picture: &Picture) -> Message {
    let vessel = entry.vessel.and_then(|id| picture.set_up.vessels.get(&id));
    match vessel {
        Some(vessel) => Message::new("{vessel} {deed}")
            .with("vessel", Arg::text(vessel.thing.name.as_str()))
            .with("deed", deed(entry, picture).into()),
        None => Message::new("{Deed}").with("deed", deed(entry, picture).into()),
    }
}

/// What happened, where the page says to what.
pub(crate) fn deed(entry: &Entry, picture: &Picture) -> Message {
    let vessel = entry.vessel.and_then(|id| picture.vessel(id)).map(|found| found.1);
    let mut parts = parts(entry, picture, vessel);
    if let Some(lot) = entry.act.lot() {
        parts.push(Message::new("lot {lot}").with("lot", Arg::text(lot)));
    }
    joined(parts)
}

/// Several as one, with commas.
pub(crate) fn joined(parts: Vec<Message>) -> Message {
    let together = |first: Message, next: Message| {
        Message::new("{first}, {next}").with("first", first.into()).with("next", next.into())
    };
    parts.into_iter().reduce(together).unwrap_or(Message::new(""))
}

#[expect(clippy::too_many_lines, reason = "one arm a kind: the compiler asks for a new one")]
fn parts(entry: &Entry, picture: &Picture, vessel: Option<&VesselPicture>) -> Vec<Message> {
    let name = |name: Option<&str>| name.map_or(Arg::Word("something that is gone"), Arg::text);
    let set_up = &picture.set_up;
    match &entry.act {
        Act::Reading(act) => reading(act, vessel),
        Act::Fill(act) => fill(act, name(set_up.sources.get(&act.source).map(|kept| kept.thing.name.as_str()))),
        Act::Draw(act) => match act.litres {
            _ if act.to_outlet => vec![Message::new("drawn down to the outlet")],
            Some(litres) => vec![Message::new("drawn"), volume(litres)],
            None => vec![Message::new("drawn"), Message::new("amount not known")],
        },
        Act::Transfer(act) => {
            let to = set_up.vessels.get(&act.to).map(|kept| kept.thing.name.as_str());
            let words = Message::new("gave {litres} to {to}");
            vec![words.with("litres", Arg::Figure(act.litres, Unit::Litre)).with("to", name(to))]
        }
        Act::Discard(act) => match (act.how_far, act.litres) {
            (HowFar::Drained, _) => vec![Message::new("poured away, the heel too")],
            (HowFar::ToOutlet, _) => vec![Message::new("poured away down to the outlet")],
            (HowFar::Some, Some(litres)) => vec![Message::new("poured away"), volume(litres)],
            (HowFar::Some, None) => vec![Message::new("poured away"), Message::new("amount not known")],
        },
        Act::GivenOut(act) => given_out(act),
        Act::Dose(act) => dose(act),
        Act::Disinfection(_) => vec![Message::new("disinfected")],
        Act::Test(act) => test(act),
        Act::Coupling(act) => {
            let bank = name(set_up.banks.get(&act.bank).map(|kept| kept.thing.name.as_str()));
            vec![match act.state {
                Coupled::Coupled => Message::new("{bank}: vessels opened to each other").with("bank", bank),
                Coupled::Separate => Message::new("{bank}: vessels shut off from each other").with("bank", bank),
            }]
        }
        Act::Service(act) => {
            let mut parts = vec![Message::new("serviced: {what}").with("what", Arg::text(&act.what))];
            if let Some(stage) = act.stage {
                let stage = name(set_up.stages.get(&stage).map(|kept| kept.thing.name.as_str()));
                parts.push(Message::new("{stage} renewed").with("stage", stage));
            }
            parts
        }
        Act::Inspection(act) => vec![match (act.looked_at(), act.in_order) {
            (Looked::Round, true) => Message::new("looked over, all in order"),
            (Looked::Round, false) => Message::new("looked over, not all in order"),
            (Looked::Pump, true) => Message::new("pump run, in order"),
            (Looked::Pump, false) => Message::new("pump run, not in order"),
            (Looked::Couplings, true) => Message::new("couplings and valves looked at, in order"),
            (Looked::Couplings, false) => Message::new("couplings and valves looked at, not in order"),
        }],
        Act::Inlet(act) => vec![match act.state {
            InletState::Shut => Message::new("inlet shut and tagged"),
            InletState::Open => Message::new("inlet opened"),
        }],
        Act::Fuel(act) => {
            let store = name(set_up.fuel_stores.get(&act.store).map(|kept| kept.thing.name.as_str()));
            let words = match act.way {
                Move::In => Message::new("{store}: {litres} put in"),
                Move::Out => Message::new("{store}: {litres} taken out"),
                Move::Measured => Message::new("{store}: measured, {litres}"),
            };
            vec![words.with("store", store).with("litres", Arg::Figure(act.litres, Unit::Litre))]
        }
        Act::GeneratorRun(act) => {
            let generator = name(set_up.generators.get(&act.generator).map(|kept| kept.thing.name.as_str()));
            let mut parts = vec![
                Message::new("{generator} ran for {hours}")
                    .with("generator", generator)
                    .with("hours", Arg::Figure(act.hours, Unit::Hour)),
            ];
            if let Some(fuel) = act.fuel_l {
                parts.push(Message::new("took {litres} of fuel").with("litres", Arg::Figure(fuel, Unit::Litre)));
            }
            parts
        }
        Act::Mains(act) => {
            let source = name(set_up.sources.get(&act.source).map(|kept| kept.thing.name.as_str()));
            vec![
                Message::new("{source}: {state}")
                    .with("source", source)
                    .with("state", Message::new(act.state.label()).into()),
            ]
        }
        Act::Notice(act) | Act::Lifted(act) => {
            let source = name(set_up.sources.get(&act.source).map(|kept| kept.thing.name.as_str()));
            let words = match &entry.act {
                Act::Lifted(_) => Message::new("{source}: the notice “{kind}” lifted, by word of {by}"),
                _ => Message::new("{source}: notice “{kind}”, by word of {by}"),
            };
            vec![
                words
                    .with("source", source)
                    .with("kind", Message::new(act.kind.label()).into())
                    .with("by", Arg::text(&act.by)),
            ]
        }
        Act::Wrong(act) => {
            let words = if act.over { Message::new("put right: {what}") } else { Message::new("found wrong: {what}") };
            vec![words.with("what", Message::new(act.what.label()).into())]
        }
        Act::Note(act) => vec![Message::new("noted: {text}").with("text", Arg::text(&act.text))],
        Act::Void(act) => vec![Message::new("an entry voided: {reason}").with("reason", Arg::text(&act.reason))],
    }
}

fn volume(litres: f64) -> Message {
    Message::new("{litres}").with("litres", Arg::Figure(litres, Unit::Litre))
}

fn reading(act: &Reading, vessel: Option<&VesselPicture>) -> Vec<Message> {
    let method = Message::new(act.method.label());
    let mut parts = Vec::new();
    if let Some(depth) = act.depth_m {
        let (words, from_floor) = match act.from.unwrap_or_default() {
            From::Floor => (Message::new("read at {depth}"), Some(metres(depth))),
            From::Rim => (
                Message::new("read {depth} down from the rim"),
                vessel.and_then(|vessel| vessel.body.shape.height()).map(|rim| rim - metres(depth)),
            ),
        };
        parts.push(words.with("depth", Arg::Figure(depth, Unit::Metre)));
        let held = vessel.zip(from_floor).and_then(|(vessel, depth)| {
            let depth = depth.max(metres(0.0));
            vessel.body.shape.volume_at(depth).ok()
        });
        parts.extend(held.map(|held| volume(as_litres(held))));
    } else if let Some(part) = act.part {
        parts.push(Message::new("read at {part} of full").with("part", Arg::Figure(part, Unit::Fraction)));
        let brim = vessel.map(|vessel| as_litres(vessel.body.capacity.brim));
        parts.extend(brim.map(|brim| volume(brim * part)));
    } else if let Some(litres) = act.litres {
        parts.push(Message::new("read at {litres}").with("litres", Arg::Figure(litres, Unit::Litre)));
    } else if let Some(count) = act.meter_l {
        return vec![Message::new("meter read at {count}").with("count", Arg::Exact(count, Unit::Litre))];
    } else if let Some(full) = act.full {
        parts.push(Message::new("counted, {full} full").with("full", Arg::Figure(full, Unit::Count)));
        let each = vessel.and_then(|vessel| vessel.vessel.dimensions.get("litres_each").copied());
        parts.extend(each.map(|each| volume(each * full)));
        return parts;
    }
    parts.push(method);
    parts
}

fn fill(act: &Fill, source: Arg) -> Vec<Message> {
    let mut parts = vec![match act.litres {
        _ if act.to_top => Message::new("filled to the top from {source}").with("source", source),
        Some(litres) => Message::new("filled with {litres} from {source}")
            .with("litres", Arg::Figure(litres, Unit::Litre))
            .with("source", source),
        None => Message::new("filled from {source}, amount not known").with("source", source),
    }];
    if act.boiled {
        parts.push(Message::new("boiled first"));
    }
    if let Some(printed) = act.printed {
        parts.push(Message::new("printed {date}").with("date", Arg::Date(printed)));
    }
    parts
}

fn given_out(act: &GivenOut) -> Vec<Message> {
    let mut parts = vec![Message::new("given out"), volume(act.litres())];
    if let Some(people) = act.people {
        parts.push(Message::new("to {people} people").with("people", Arg::Figure(people, Unit::Count)));
    }
    parts
}

fn dose(act: &Dose) -> Vec<Message> {
    let mut parts = vec![if act.shock { Message::new("dosed for shock") } else { Message::new("dosed") }];
    parts.extend(act.amount_l.map(volume));
    if let Some(strength) = act.strength {
        let strength = Arg::Figure(strength, Unit::Fraction);
        parts.push(match act.percent_of {
            Some(of) => Message::new("of {strength} {what}")
                .with("strength", strength)
                .with("what", Message::new(of.label()).into()),
            None => Message::new("of {strength}").with("strength", strength),
        });
    }
    parts
}

fn test(act: &Test) -> Vec<Message> {
    let figures = [
        ("free chlorine {figure}", act.free_mg_l, Unit::MilligramPerLitre),
        ("total chlorine {figure}", act.total_mg_l, Unit::MilligramPerLitre),
        ("turbidity {figure}", act.turbidity_ntu, Unit::Ntu),
        ("pH {figure}", act.ph, Unit::Ph),
        ("water at {figure}", act.temperature_c, Unit::Celsius),
    ];
    let given = figures.into_iter().filter_map(|(words, value, unit)| Some((words, value?, unit)));
    let mut parts = vec![Message::new("tested")];
    parts.extend(given.map(|(words, value, unit)| Message::new(words).with("figure", Arg::Figure(value, unit))));
    parts.extend(act.coliform.map(|coliform| match coliform {
        Coliform::Found => Message::new("coliforms found"),
        Coliform::NotFound => Message::new("no coliforms found"),
    }));
    parts
}
