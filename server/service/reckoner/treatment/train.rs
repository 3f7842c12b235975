//! A train of stages: whether their order makes sense, what may flow through it, and what it is a barrier to.

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::POWER;
use keepwell_engine::quantity::TURBIDITY;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::VOLUME;
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::treatment::Fault;
use keepwell_engine::treatment::Germ;
use keepwell_engine::treatment::Lamp;
use keepwell_engine::treatment::Passed;
use keepwell_engine::treatment::Stage;
use keepwell_engine::treatment::StageKind;
use keepwell_engine::treatment::Train;
use keepwell_engine::treatment::UvClass;
use keepwell_engine::treatment::measures;
use keepwell_engine::working::Working;

use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::reckoner::Answer;
use crate::service::reckoner::Calculation;
use crate::service::reckoner::Topic;
use crate::service::reckoner::Warning;
use crate::service::reckoner::calculation::Given;
use crate::service::reckoner::refused::Refused;

/// What stands at a place, if anything does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Stands(Option<StageKind>);

impl Choice for Stands {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self(None), "none", "nothing"),
        (Self(Some(StageKind::Screen)), "screen", StageKind::Screen.name()),
        (Self(Some(StageKind::Sediment)), "sediment", StageKind::Sediment.name()),
        (Self(Some(StageKind::CystFilter)), "cyst_filter", StageKind::CystFilter.name()),
        (Self(Some(StageKind::Carbon)), "carbon", StageKind::Carbon.name()),
        (Self(Some(StageKind::Uv(UvClass::A))), "uv_a", "ultraviolet lamp, NSF/ANSI 55 Class A"),
        (Self(Some(StageKind::Uv(UvClass::B))), "uv_b", "ultraviolet lamp, NSF/ANSI 55 Class B"),
        (Self(Some(StageKind::Uv(UvClass::Untested))), "uv_untested", "ultraviolet lamp, not tested"),
        (Self(Some(StageKind::Chlorine)), "chlorine", StageKind::Chlorine.name()),
        (Self(Some(StageKind::Boil)), "boil", StageKind::Boil.name()),
    ];
}

/// The questions about one place: a heading, then key and label of each.
struct Place {
    heading: &'static str,
    kind: (&'static str, &'static str),
    flow: (&'static str, &'static str),
    left: (&'static str, &'static str),
    months: (&'static str, &'static str),
    usual: Stands,
}

macro_rules! place {
    ($n:literal, $usual:expr) => {
        Place {
            heading: concat!("Stage ", $n),
            kind: (concat!("stage_", $n), concat!("Stage ", $n)),
            flow: (concat!("flow_", $n, "_l_min"), concat!("Stage ", $n, ": may pass")),
            left: (concat!("left_", $n, "_l"), concat!("Stage ", $n, ": may still treat")),
            months: (concat!("months_", $n), concat!("Stage ", $n, ": months left")),
            usual: Stands($usual),
        }
    };
}

/// As many stages as a train may have here, source first.
static PLACES: [Place; 6] = [
    place!(1, Some(StageKind::Sediment)),
    place!(2, Some(StageKind::Carbon)),
    place!(3, Some(StageKind::Uv(UvClass::A))),
    place!(4, Some(StageKind::Chlorine)),
    place!(5, None),
    place!(6, None),
];

pub(super) fn train() -> Calculation {
    let asked = Calculation::new(
        Topic::Disinfection,
        "treatment-train",
        "What a train of treatment does",
        "Up to six stages in their order: whether it makes sense, the most that may flow, what is left of them, and what they are a barrier to.",
        reckon,
    )
    .heading("The water")
    .figure("flow_l_min", "Flow", "With one tap open.", &measures::FLOW, 15.0)
    .maybe("turbidity_ntu", "Cloudiness", "Before the lamp. Empty: not measured.", &TURBIDITY)
    .beside()
    .heading("The lamp, where there is one")
    .figure("lamp_h", "Hours that the lamp has burnt", "", &measures::LAMP, 0.0)
    .figure("lamp_w", "Power of the lamp", "", &POWER, 40.0)
    .beside()
    .flag("no_power", "It has no power", "");
    PLACES.iter().fold(asked, |asked, place| {
        asked
            .heading(place.heading)
            .choice(place.kind.0, place.kind.1, "", place.usual)
            .maybe(place.flow.0, place.flow.1, "Empty: no limit.", &measures::FLOW)
            .maybe(place.left.0, place.left.1, "Empty: without end.", &VOLUME)
            .beside()
            .maybe(place.months.0, place.months.1, "Empty: without end.", &measures::MONTHS)
            .beside()
    })
}

fn reckon(given: &Given) -> Result<Answer, Refused> {
    let (mut places, mut stages) = (Vec::new(), Vec::new());
    for (place, number) in PLACES.iter().zip(1_u64..) {
        let Stands(Some(kind)) = given.choice(place.kind.0)? else { continue };
        let is_lamp = matches!(kind, StageKind::Uv(_));
        places.push(number);
        stages.push(Stage {
            kind,
            most_flow: given.maybe(place.flow.0).map(q::litres_per_minute),
            left: given.maybe(place.left.0).map(q::litres),
            months_left: given.maybe(place.months.0),
            draws: q::watts(if is_lamp { given.figure("lamp_w")? } else { 0.0 }),
        });
    }
    let flow = q::litres_per_minute(given.figure("flow_l_min")?);
    let powered = !given.flag("no_power");
    let train = Train::new(stages)?;
    let passed = train.at(flow, powered)?;
    let treatable = train.treatable(flow, powered)?.map(q::as_litres);
    let lamp = credited(given, &train, &passed, flow)?;
    let log = |germ| lamp.as_ref().and_then(|of| of.iter().find(|(other, _, _)| *other == germ)).map(|of| of.1);
    let mut answer = Answer::new()
        .maybe(
            "most_l_min",
            "the most that may flow",
            passed.most_flow.map(q::as_litres_per_minute),
            Unit::LitrePerMinute,
        )
        .maybe("treatable_l", "can be treated before something is spent", treatable, Unit::Litre)
        .maybe("months_left", "months before something must be renewed", passed.months_left, Unit::Count)
        .figure("draws_w", "drawn while water passes", q::as_watts(passed.draws), Unit::Watt)
        .maybe(
            "cryptosporidium_log",
            "powers of ten of Cryptosporidium, the lamp's credit",
            log(Germ::Cryptosporidium),
            Unit::Log10,
        )
        .maybe("giardia_log", "powers of ten of Giardia, the lamp's credit", log(Germ::Giardia), Unit::Log10)
        .maybe("virus_log", "powers of ten of viruses, the lamp's credit", log(Germ::Virus), Unit::Log10);
    for fault in &passed.faults {
        answer = answer.say(faulty(*fault, &train, &places));
    }
    answer = comes_to(answer, &train, &train.lets_pass(flow, powered)?, treatable);
    for caution in &passed.cautions {
        answer = answer.warn((*caution).into());
    }
    answer = answer.warn(Warning::NOTICE).working(passed.working);
    Ok(lamp.into_iter().flatten().take(1).fold(answer, |answer, (_, _, working)| answer.working(working)))
}

/// By germ, powers of ten and how they were reckoned; Cryptosporidium first.
type Credits = Vec<(Germ, f64, Working)>;

/// The credit of the lamp that does most, germ by germ; none in a train without a lamp. Lamps one after the other are not
/// added up.
fn credited(given: &Given, train: &Train, passed: &Passed, flow: VolumeRate) -> Result<Option<Credits>, Refused> {
    let mut best: Option<Credits> = None;
    for (at, stage) in train.stages().iter().enumerate() {
        let StageKind::Uv(class) = stage.kind else { continue };
        let lamp = Lamp {
            rated_dose: class.dose().unwrap_or_default(),
            rated_flow: stage.most_flow.unwrap_or(flow),
            burnt: q::hours(given.figure("lamp_h")?),
            powered: !given.flag("no_power"),
            sleeve_in_date: stage.months_left.is_none_or(|months| months > 0.0),
            alarm: false,
        };
        let amiss = passed.faults.iter().find(|fault| fault.disables() == Some(at));
        let mut found = Vec::new();
        for germ in [Germ::Cryptosporidium, Germ::Giardia, Germ::Virus] {
            let credit = lamp.credit_at(flow, class, germ, given.maybe("turbidity_ntu"))?;
            found.push(match amiss {
                Some(fault) => (germ, 0.0, credit.working.without(fault.words())),
                None => (germ, credit.value, credit.working),
            });
        }
        let first = |of: &Credits| of.first().map_or(0.0, |(_, log, _)| *log);
        if best.as_ref().is_none_or(|best| first(&found) > first(best)) {
            best = Some(found);
        }
    }
    Ok(best)
}

/// What is amiss, and with which of the stages as they were given.
fn faulty(fault: Fault, train: &Train, places: &[u64]) -> Message {
    let of = fault.stage().and_then(|at| Some((*places.get(at)?, train.stages().get(at)?.kind)));
    match of {
        Some((number, kind)) => Message::new("Stage {n}, {kind}: {why}.")
            .with("n", Arg::Count(number))
            .with("kind", Arg::Word(kind.name()))
            .with("why", Arg::Word(fault.words())),
        None => Message::new("{Why}.").with("why", Arg::Word(fault.words())),
    }
}

/// What it all comes to.
fn comes_to(mut answer: Answer, train: &Train, passing: &[Germ], treatable: Option<f64>) -> Answer {
    let has = |kind| train.stages().iter().any(|stage| stage.kind == kind);
    if treatable.is_some_and(|left| left <= 0.0) {
        return answer.say(Message::new("As it stands it treats nothing, and what passes it counts for nothing."));
    }
    for germ in Germ::ALL {
        let words = if passing.contains(&germ) {
            "No stage of it is a barrier to {germ}."
        } else {
            "It is a barrier to {germ}."
        };
        let by_chlorine = germ == Germ::Virus && has(StageKind::Chlorine);
        if !by_chlorine {
            answer = answer.say(Message::new(words).with("germ", Arg::Word(germ.name())));
        }
    }
    answer
        .say_if(
            has(StageKind::Chlorine),
            "Chlorine counts against viruses alone; by how much, a measured residual and its contact say.",
        )
        .say_if(treatable.is_none(), "No stage of it sets an end to the litres.")
}
