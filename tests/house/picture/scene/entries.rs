//! Entries of every kind, made from a handful of bytes.

use super::BANKS;
use super::SOURCES;
use super::STORES;
use super::id;
use super::start;
use jiff::SignedDuration;
use keepwell::model::choice::Choice;
use keepwell::model::entry::Act;
use keepwell::model::entry::Entry;
use keepwell::model::entry::coupling;
use keepwell::model::entry::discard;
use keepwell::model::entry::disinfection;
use keepwell::model::entry::dose;
use keepwell::model::entry::draw;
use keepwell::model::entry::fill;
use keepwell::model::entry::fuel;
use keepwell::model::entry::generator_run;
use keepwell::model::entry::given_out;
use keepwell::model::entry::inlet;
use keepwell::model::entry::inspection;
use keepwell::model::entry::mains;
use keepwell::model::entry::note;
use keepwell::model::entry::notice;
use keepwell::model::entry::reading;
use keepwell::model::entry::service;
use keepwell::model::entry::test;
use keepwell::model::entry::transfer;
use keepwell::model::entry::void;
use keepwell::model::entry::wrong;
use keepwell::model::id::BankId;
use keepwell::model::id::EntryId;
use keepwell::model::id::SourceId;
use keepwell::model::setup::SetUp;
use keepwell::model::source::Disinfectant;
use keepwell::model::vessel::ShapeKind;
use keepwell::model::vessel::Vessel;
use proptest::prelude::*;

/// What an entry is made of: the kind, two things it may be about, when, an amount, and a byte for the rest.
pub type Raw = (u8, u8, u8, u8, f64, u8);

pub fn raw() -> impl Strategy<Value = Raw> {
    // Few times, so that entries coincide; amounts a little over what a vessel holds, too.
    (any::<u8>(), any::<u8>(), any::<u8>(), 0..60_u8, 0.0..1.2_f64, any::<u8>())
}

/// What is drawn from: water moves oftener than a generator runs.
const KINDS: [&str; 35] = [
    "reading",
    "reading",
    "reading",
    "reading",
    "fill",
    "fill",
    "fill",
    "draw",
    "draw",
    "transfer",
    "transfer",
    "transfer",
    "discard",
    "discard",
    "given_out",
    "dose",
    "disinfection",
    "test",
    "test",
    "coupling",
    "coupling",
    "service",
    "inspection",
    "inlet",
    "fuel",
    "fuel",
    "generator_run",
    "mains",
    "notice",
    "notice",
    "lifted",
    "wrong",
    "note",
    "void",
    "void",
];

pub fn entry(set_up: &SetUp, n: usize, raw: &Raw) -> Entry {
    let (_, a, b, when, part, rest) = *raw;
    let vessels: Vec<&Vessel> = set_up.vessels.values().map(|kept| &*kept.thing).collect();
    let own = vessels[usize::from(a) % vessels.len()];
    let other = vessels[usize::from(b) % vessels.len()];
    let act = act(own, other, n, raw);
    let at = start() + SignedDuration::from_hours(12 * i64::from(when));
    let (site, vessel) = match &act {
        Act::Mains(_) | Act::Notice(_) | Act::Lifted(_) => (None, None),
        Act::Coupling(_) => (Some(id(usize::from(b) % BANKS)), None),
        Act::Fuel(_) => (Some(id(usize::from(b) % STORES)), None),
        Act::GeneratorRun(_) | Act::Inlet(_) => (Some(id(0)), None),
        Act::Service(_) | Act::Inspection(_) | Act::Wrong(_) | Act::Note(_) | Act::GivenOut(_)
            if rest.is_multiple_of(2) =>
        {
            (Some(own.site), None)
        }
        _ => (Some(own.site), Some(own.id)),
    };
    let at = if part > 1.1 { at + SignedDuration::from_mins(1) } else { at };
    Entry { id: id(n), site, vessel, at, arrived: at, by: None, act }
}

fn act(own: &Vessel, other: &Vessel, n: usize, raw: &Raw) -> Act {
    let (kind, _, b, _, part, rest) = *raw;
    let lot = || (!rest.is_multiple_of(3)).then(|| format!("lot {}", rest % 2));
    let litres = part * 400.0;
    let source: SourceId = id(usize::from(b) % SOURCES);
    let measured = [None, Some(fill::Measured::Meter), Some(fill::Measured::Guess)][usize::from(b % 3)];
    match KINDS[usize::from(kind) % KINDS.len()] {
        "reading" => Act::Reading(reading(own, part, rest, lot())),
        "fill" => Act::Fill(fill::Fill {
            litres: (rest % 4 > 1).then_some(litres),
            to_top: rest.is_multiple_of(4),
            measured,
            source,
            boiled: rest > 230,
            printed: (rest % 16 == 1).then(|| "2026-06-01".parse().unwrap()),
            lot: lot(),
            note: None,
        }),
        "draw" => Act::Draw(draw::Draw {
            litres: (rest % 4 > 1).then_some(litres),
            to_outlet: rest.is_multiple_of(4),
            measured,
            lot: lot(),
            note: None,
        }),
        // Into itself is refused before it is stored.
        "transfer" if own.id != other.id => {
            Act::Transfer(transfer::Transfer { to: other.id, litres, measured, note: None })
        }
        "discard" => {
            let how_far = discard::HowFar::LIST[usize::from(rest) % 3].0;
            let litres = (how_far == discard::HowFar::Some).then_some(litres);
            Act::Discard(discard::Discard { how_far, litres, lot: lot(), note: None })
        }
        "given_out" => Act::GivenOut(given_out::GivenOut {
            people: Some(f64::from(rest)),
            litres_each: Some(10.0 * part),
            meter_start_l: None,
            meter_end_l: None,
            note: None,
        }),
        "dose" => Act::Dose(dose::Dose {
            amount_l: Some(0.01),
            strength: Some(0.06),
            percent_of: None,
            shock: rest > 200,
            note: None,
        }),
        "disinfection" => Act::Disinfection(disinfection::Disinfection { note: None }),
        "test" => Act::Test(test::Test {
            free_mg_l: (rest % 4 > 0).then_some(part),
            total_mg_l: (rest.is_multiple_of(4)).then_some(2.0 * part),
            turbidity_ntu: None,
            ph: None,
            temperature_c: None,
            coliform: [None, Some(test::Coliform::Found), Some(test::Coliform::NotFound)][usize::from(b % 3)],
            lot: lot(),
            note: None,
        }),
        _ => other_act(n, raw),
    }
}

fn other_act(n: usize, raw: &Raw) -> Act {
    let (kind, _, b, _, part, rest) = *raw;
    let source: SourceId = id(usize::from(b) % SOURCES);
    match KINDS[usize::from(kind) % KINDS.len()] {
        "coupling" => {
            let bank: BankId = id(usize::from(b) % BANKS);
            let state = coupling::Coupled::LIST[usize::from(rest) % 2].0;
            Act::Coupling(coupling::Coupling { bank, state, note: None })
        }
        "service" => {
            Act::Service(service::Service { what: "pump".to_owned(), stage: (rest < 128).then(|| id(0)), note: None })
        }
        "inspection" => Act::Inspection(inspection::Inspection {
            of: (rest > 60).then(|| inspection::Looked::LIST[usize::from(rest) % 3].0),
            in_order: rest > 128,
            note: None,
        }),
        "inlet" => Act::Inlet(inlet::Inlet { state: inlet::InletState::LIST[usize::from(rest) % 2].0, note: None }),
        "fuel" => Act::Fuel(fuel::FuelMove {
            store: id(usize::from(b) % STORES),
            way: fuel::Move::LIST[usize::from(rest) % 3].0,
            litres: 30.0 * part,
            bought: (rest.is_multiple_of(2)).then(|| "2026-01-05".parse().unwrap()),
            stabilised: [None, Some(true), Some(false)][usize::from(b % 3)],
            note: None,
        }),
        "generator_run" => Act::GeneratorRun(generator_run::GeneratorRun {
            generator: id::<keepwell::model::id::of::Generator>(0),
            hours: 2.0,
            load_w: None,
            fuel_l: Some(20.0 * part),
            store: Some(id::<keepwell::model::id::of::FuelStore>(0)),
            note: None,
        }),
        "mains" => Act::Mains(mains::Mains {
            source,
            state: mains::Supply::LIST[usize::from(rest) % 3].0,
            disinfectant: [None, Some(Disinfectant::Chloramine), Some(Disinfectant::FreeChlorine)]
                [usize::from(b / 4 % 3)],
            note: None,
        }),
        "notice" => Act::Notice(noticed(source, rest)),
        "lifted" => Act::Lifted(noticed(source, rest)),
        "wrong" => Act::Wrong(wrong::Wrong {
            what: wrong::Trouble::LIST[usize::from(rest) % wrong::Trouble::LIST.len()].0,
            over: b.is_multiple_of(2),
            note: None,
        }),
        "void" if n > 0 => {
            // An entry names what was there before it: there are no rings.
            let entry: EntryId = id(usize::from(b) % n);
            Act::Void(void::Void { entry, reason: "mistaken".to_owned() })
        }
        _ => Act::Note(note::Note { text: "seen".to_owned() }),
    }
}

fn reading(own: &Vessel, part: f64, rest: u8, lot: Option<String>) -> reading::Reading {
    let none = reading::Reading {
        method: reading::Method::LIST[usize::from(rest) % 5].0,
        depth_m: None,
        from: None,
        part: None,
        litres: None,
        meter_l: None,
        full: None,
        lot,
        note: None,
    };
    let from = (rest.is_multiple_of(2)).then_some(reading::From::Rim);
    match (own.shape, rest % 5) {
        (_, 0) => reading::Reading { part: Some(part.min(1.0)), ..none },
        (_, 1) => reading::Reading { litres: Some(part * 300.0), ..none },
        (_, 2) => reading::Reading { meter_l: Some(part * 5000.0), ..none },
        (ShapeKind::Set, _) => {
            reading::Reading { method: reading::Method::Counted, full: Some((part * 20.0).floor()), ..none }
        }
        _ => reading::Reading { depth_m: Some(part), from, ..none },
    }
}

fn noticed(source: SourceId, rest: u8) -> notice::Notice {
    let kind = notice::NoticeKind::LIST[usize::from(rest) % 3].0;
    notice::Notice { source, kind, by: "the county".to_owned(), note: None }
}
