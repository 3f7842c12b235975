//! What arrives at a site's tap, and what its train of treatment still does.

use keepwell_engine::hydraulics::HydraulicsError;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_litres_per_minute;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::as_watts;
use keepwell_engine::quantity::litres;

use crate::model::choice::Choice;
use crate::model::works::StageKind;
use crate::picture::standing::Standing;
use crate::picture::works::Found;
use crate::picture::works::Known;
use crate::picture::works::PumpNow;
use crate::picture::works::StageNow;
use crate::picture::works::TrainNow;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::words::Phrase;

/// Less than this over cut-out is little: 35 to 70 kPa is advised (common practice, no source).
const MARGIN_KPA: f64 = 35.0;
/// So much more suction head than the pump requires is usual: 0.6 to 1.0 m (common practice, no source).
const SUCTION_M: f64 = 0.6;

/// One figure of a panel.
pub struct Line {
    pub what: Phrase,
    /// empty where there is none
    pub figure: String,
    pub notes: Vec<Phrase>,
    /// what to keep in mind about it
    pub mind: Vec<Phrase>,
}

/// The pump's panel.
pub struct Tap {
    pub name: String,
    pub lines: Vec<Line>,
    /// what has to be set up first
    pub wants: Vec<Phrase>,
    /// why nothing can be reckoned of what is set up
    pub refused: Option<Phrase>,
    pub pump: String,
    pub works: bool,
}

/// The train's panel.
pub struct Train {
    pub lines: Vec<Line>,
    pub faults: Vec<Phrase>,
    /// what it all comes to
    pub comes_to: Phrase,
    pub light: bool,
}

impl Line {
    fn new(what: Phrase, figure: String) -> Self {
        Self { what, figure, notes: Vec::new(), mind: Vec::new() }
    }

    fn note(mut self, note: Phrase) -> Self {
        self.notes.push(note);
        self
    }

    fn mind_if(mut self, mind: bool, words: Phrase) -> Self {
        if mind {
            self.mind.push(words);
        }
        self
    }
}

impl Tap {
    #[must_use]
    pub fn of(reader: &Reader, standing: &Standing) -> Option<Self> {
        let pump = standing.pump.as_ref()?;
        let say = |key: &str| shown::words(reader, key);
        let metres = |value: f64| shown::figure(reader, value, Unit::Metre);
        let wants = match &pump.found {
            Found::Wants(wants) => wants.iter().map(|wanted| say(wanted)).collect(),
            Found::NoVessel => vec![say("a vessel that is drawn by pump, its level read")],
            Found::Known(_) | Found::Refused(_) => Vec::new(),
        };
        let refused = match &pump.found {
            Found::Refused(HydraulicsError::OutOfReach { shut_off, needed }) => Some(
                say("It makes {made} at most; {needed} are needed before anything flows.")
                    .with("made", metres(*shut_off))
                    .with("needed", metres(*needed)),
            ),
            Found::Refused(why) => Some(say("It cannot be reckoned: {why}.").with("why", why.to_string())),
            _ => None,
        };
        Some(Self {
            name: pump.pump.name.to_string(),
            lines: pump.known().map_or_else(Vec::new, |known| lines(reader, pump, known, standing.train.as_ref())),
            wants,
            refused,
            pump: pump.pump.id.to_string(),
            works: pump.known().is_some(),
        })
    }
}

fn lines(reader: &Reader, pump: &PumpNow, known: &Known, train: Option<&TrainNow>) -> Vec<Line> {
    let say = |key: &str| shown::words(reader, key);
    let figure = |value: f64, unit| shown::figure(reader, value, unit);
    let flow = as_litres_per_minute(known.tap.flow);
    let mut lines = vec![
        Line::new(say("flow, one tap open"), figure(flow, Unit::LitrePerMinute)).note(
            say("the water of {tank} stands {height} over the pump")
                .with("tank", known.vessel_name.as_str())
                .with("height", figure(as_metres(known.level), Unit::Metre)),
        ),
    ];
    if let Some(most) = train.and_then(|train| train.passed.most_flow) {
        let most = as_litres_per_minute(most);
        lines.push(
            Line::new(say("most that the treatment may pass"), figure(most, Unit::LitrePerMinute))
                .note(say("of the two, the least rules"))
                .mind_if(
                    flow > most,
                    say("More comes than it may pass: hold the flow back. Until then it treats nothing."),
                ),
        );
    }
    lines.push(Line::new(say("pressure at the tap"), figure(as_kilopascals(known.tap.pressure), Unit::Kilopascal)));
    let thousand = shown::litres(reader, litres(1000.0));
    let energy = Line::new(
        say("electricity for {litres}").with("litres", thousand),
        figure(known.tap.energy * 1000.0, Unit::WattHour),
    )
    .note(say("it takes {watts} while it runs").with("watts", figure(as_watts(known.tap.power), Unit::Watt)));
    let part = figure(known.efficiency, Unit::Fraction);
    lines.push(if known.efficiency_assumed {
        energy.note(say("{part} from wire to water is assumed: say what power it takes").with("part", part))
    } else {
        energy.note(say("{part} from wire to water").with("part", part))
    });
    lines.extend(switch(reader, known));
    lines.push(suction(reader, pump, known));
    lines
}

fn switch(reader: &Reader, known: &Known) -> Vec<Line> {
    let say = |key: &str| shown::words(reader, key);
    let mut lines = Vec::new();
    if let Some(margin) = &known.margin {
        let over = as_kilopascals(margin.value);
        lines.push(
            Line::new(say("over cut-out, taps shut"), shown::figure(reader, over, Unit::Kilopascal))
                .mind_if(over < 0.0, say("The switch never opens: the pump runs on against shut taps."))
                .mind_if(
                    (0.0..MARGIN_KPA).contains(&over),
                    say("Little: {advised} and more is advised.")
                        .with("advised", shown::figure(reader, MARGIN_KPA, Unit::Kilopascal)),
                ),
        );
    }
    if let Some(switch) = &known.switch {
        let starts = switch.starts.as_ref().map(|starts| shown::figure(reader, starts.value, Unit::Count));
        lines.push(
            Line::new(say("starts an hour, at most"), starts.unwrap_or_else(|| "–".to_owned()))
                .note(
                    say("its tank gives {litres} from one start to the next")
                        .with("litres", shown::litres(reader, switch.drawdown.value)),
                )
                .mind_if(
                    switch.interrupts,
                    say("The precharge is above the cut-in: the water stops before the pump starts."),
                ),
        );
    }
    lines
}

fn suction(reader: &Reader, pump: &PumpNow, known: &Known) -> Line {
    let say = |key: &str| shown::words(reader, key);
    let figure = |head: Length| shown::figure(reader, as_metres(head), Unit::Metre);
    let mut line = Line::new(say("suction head (NPSH)"), figure(known.tap.npsh));
    let steps = known.as_it_empties();
    let names = ["at its full mark {head}", "halfway down {head}", "at its outlet {head}"];
    for ((_, tap), name) in steps.iter().zip(names) {
        line = line.note(match tap {
            Some(tap) => say(name).with("head", figure(tap.npsh)),
            None => say(name).with("head", say("the pump does not reach")),
        });
    }
    let least = steps.iter().filter_map(|(_, tap)| tap.as_ref()).map(|tap| as_metres(tap.npsh)).reduce(f64::min);
    match (pump.pump.npsh_m, least) {
        (Some(required), Some(least)) => {
            line.note(say("it requires {head}").with("head", shown::figure(reader, required, Unit::Metre))).mind_if(
                least < required + SUCTION_M,
                say("Too little as the tank empties: it draws air, loses its prime and wears."),
            )
        }
        _ => line.note(say("what it requires is not set up")),
    }
}

impl Train {
    #[must_use]
    pub fn of(reader: &Reader, standing: &Standing, now: Moment) -> Option<Self> {
        let train = standing.train.as_ref()?;
        let faults = train.passed.faults.iter().map(|fault| shown::words(reader, fault.words())).collect();
        Some(Self {
            lines: train.stages.iter().map(|stage| stage_line(reader, stage, now)).collect(),
            faults,
            comes_to: comes_to(reader, standing, train),
            light: train.stages.iter().any(|stage| stage.stage.kind == StageKind::Ultraviolet),
        })
    }
}

fn comes_to(reader: &Reader, standing: &Standing, train: &TrainNow) -> Phrase {
    let say = |key: &str| shown::words(reader, key);
    if train.counts() {
        let stored = standing.water.treat;
        if stored < litres(1.0) {
            return say("What passes it is counted as drinking water. Nothing in store has to be treated first.");
        }
        let key = if train.needs_power {
            "What passes it is counted as drinking water, while it has power: {litres} of the {stored} to be treated first."
        } else {
            "What passes it is counted as drinking water: {litres} of the {stored} to be treated first."
        };
        return say(key)
            .with("litres", shown::litres(reader, standing.treatable()))
            .with("stored", shown::litres(reader, stored));
    }
    if train.treatable == Some(Volume::default()) {
        return say("As it stands it treats nothing, and what passes it counts for nothing.");
    }
    let germs: Vec<&str> = train.lets_pass.iter().map(|germ| reader.word(germ.name())).collect();
    say("What passes it is not counted as drinking water: no stage of it is a barrier to {germs}.")
        .with("germs", germs.join(", "))
}

fn stage_line(reader: &Reader, now: &StageNow, at: Moment) -> Line {
    let say = |key: &str| shown::words(reader, key);
    let stage = &now.stage;
    let days = |left: Time| reader.plural("{n} day", "{n} days", whole_days(left)).to_string();
    let over = now.time_left.is_some_and(|left| left <= Time::default());
    let spent = now.litres_left.is_some_and(|left| left <= Volume::default());
    let figure = match (now.litres_left, now.time_left) {
        _ if over || spent => reader.word("spent").to_owned(),
        (Some(left), _) => shown::litres(reader, left),
        (None, Some(left)) => days(left),
        (None, None) => reader.word("no limit").to_owned(),
    };
    let what = say("{name}, {kind}").with("name", stage.name.as_str()).with("kind", say(stage.kind.label()));
    let mut line = Line::new(what, figure);
    if let (Some(life), Some(_)) = (stage.life_l, now.litres_left) {
        let key = if stage.passed_l.is_none() { "of {litres}, if nothing has passed yet" } else { "of {litres}" };
        line = line.note(say(key).with("litres", shown::litres(reader, litres(life))));
    }
    if let Some(left) = now.time_left.filter(|_| !over) {
        line = line.note(
            say("good until {day}, for {days}")
                .with("day", shown::date(reader, &at.after(left)))
                .with("days", days(left)),
        );
    }
    if let Some(since) = now.since {
        line = line.note(say("fitted {day}").with("day", shown::date(reader, &since)));
    }
    line = line.note(credited(reader, now));
    line.mind_if(over || spent, say("Past its life: it counts for nothing until it is renewed."))
}

/// The days that are left whole.
fn whole_days(left: Time) -> u64 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at least 0, and some years at most")]
    let days = as_days(left).clamp(0.0, 1e6) as u64;
    days
}

/// What a stage is credited with.
fn credited(reader: &Reader, now: &StageNow) -> Phrase {
    let say = |key: &str| shown::words(reader, key);
    match now.stage.kind {
        StageKind::Screen => say("keeps leaves and sand out; no barrier to germs"),
        StageKind::Sediment => say("clears the water for what follows; no barrier to germs"),
        StageKind::Carbon => say("takes taste and chlorine; no barrier to germs"),
        StageKind::CystFilter => say("a barrier to Giardia and Cryptosporidium, not to viruses"),
        StageKind::Chlorine => {
            say("counts against viruses alone; by how much, a measured residual and its contact say")
        }
        StageKind::Boil => say("a barrier to all three: a rolling boil of one minute"),
        StageKind::Ultraviolet if now.credit.iter().all(|(_, log)| log.value <= 0.0) => {
            say("credited with nothing as it stands")
        }
        StageKind::Ultraviolet => {
            let credit = now.credit.iter().map(|(germ, log)| {
                format!("{} {}", reader.word(germ.name()), shown::figure(reader, log.value, Unit::Log10))
            });
            say("credited, in powers of ten, with {credit}, in clear water")
                .with("credit", credit.collect::<Vec<_>>().join(", "))
        }
    }
}
