//! What is asked when an outage is begun, changed or ended.

use jiff::Timestamp;
use keepwell_engine::demand::Ladder;
use keepwell_engine::quantity::INTERVAL;

use crate::model::entry::Act;
use crate::model::entry::mains::Mains;
use crate::model::entry::mains::Supply;
use crate::model::id::EntryId;
use crate::model::id::OutageId;
use crate::model::id::SourceId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::outage::Outage;
use crate::model::outage::OutageKind;
use crate::model::outage::Step;
use crate::model::source::SourceKind;
use crate::picture::Picture;
use crate::picture::today::BASIC;
use crate::service::entries::New;
use crate::web::asking::Asking;
use crate::web::asking::ask;
use crate::web::form::Choice;
use crate::web::input::format_when;
use crate::web::input::parse_when;
use crate::web::pages::outage::one::rung_words;

/// As long as notes may be, in characters.
const WORDS: usize = 2000;

/// The outage as it would be, and what is logged with it.
pub(super) type Answer = Option<(Outage, Vec<New>)>;

pub(super) fn begin(asking: &mut Asking, picture: &Picture, id: OutageId, drill: bool, now: Timestamp) -> Answer {
    let settings = picture.set_up.neighbourhood.as_ref().map(|kept| &kept.thing);
    asking.group("", "What it is");
    let kind = asking.choice(ask("kind", "Kind"), Some(if drill { OutageKind::Drill } else { OutageKind::Real }));
    let since = ask("since", "Since").hint("When the mains stopped, such as 07:40 or yesterday 18:15.");
    let since = asking.when(since, Some(minute(now)));
    asking.group("", "What is agreed for it");
    asking.words("Nobody should drink less than they need, whatever the ration.");
    let usual = settings.map_or(BASIC, |settings| settings.ration.as_str()).to_owned();
    let ration = rations(asking, usual);
    let target = settings.map(|settings| settings.target_days);
    let target_days =
        ask("target_days", "Days the water is to last").hint("The plan that what is left is held against.");
    let target_days = asking.figure(target_days, &INTERVAL, target);
    let expected = expected(asking, None);
    asking.group("", "The supplies");
    asking.words("What is logged here reaches every site. A drill logs nothing.");
    let off = mains(asking, picture, "mains", "Off since then", Supply::Off);
    let notes = asking.lines(ask("notes", "Notes").optional(), WORDS, "");
    let (kind, since) = (kind?, since?);
    let outage = Outage {
        id,
        kind,
        since,
        ended: None,
        target_days: target_days?,
        rations: vec![Step { since, ration: ration? }],
        expected,
        ran_out: String::new(),
        notes,
    };
    let with = if outage.is_drill() { Vec::new() } else { said(&off, since, Supply::Off) };
    Some((outage, with))
}

pub(super) fn change(asking: &mut Asking, old: &Outage, now: Timestamp) -> Answer {
    asking.group("", "The ration");
    asking.words("Nobody should drink less than they need, whatever the ration.");
    let standing = old.ration(now).unwrap_or(BASIC).to_owned();
    let ration = rations(asking, standing.clone());
    let from = ask("from", "In force from").hint("If the ration changes. Leave it empty for now.").optional();
    let from = asking.when(from, None);
    asking.group("", "The plan");
    let target_days = asking.figure(ask("target_days", "Days the water is to last"), &INTERVAL, Some(old.target_days));
    let expected = expected(asking, old.expected);
    asking.group("", "To put right");
    let since = asking.when(ask("since", "Since"), Some(old.since));
    let kind = asking.choice(ask("kind", "Kind"), Some(old.kind));
    let notes = asking.lines(ask("notes", "Notes").optional(), WORDS, &old.notes);
    let (since, ration) = (since?, ration?);
    let mut rations = old.rations.clone();
    if let Some(first) = rations.first_mut() {
        first.since = since;
    }
    if ration != standing {
        rations.push(Step { since: from.unwrap_or(now), ration });
    }
    let outage = Outage { kind: kind?, since, target_days: target_days?, rations, expected, notes, ..old.clone() };
    Some((outage, Vec::new()))
}

pub(super) fn end(asking: &mut Asking, picture: &Picture, old: &Outage, now: Timestamp) -> Answer {
    asking.group("", "The end");
    let ended = ask("ended", "Ended").hint("When the mains came back, or the drill was called off.");
    // After what was agreed last, which may be of this very minute.
    let last = old.rations.iter().map(|step| step.since).fold(old.since, Timestamp::max);
    let usual = Some(minute(now)).filter(|minute| *minute > last).unwrap_or(now);
    let ended = asking.when(ended, Some(usual));
    let ran_out = ask("ran_out", "What ran out first")
        .hint("And where: diesel at the flats on the second day. It is what the next plan is made from.")
        .optional();
    let ran_out = asking.text(ran_out, 200, &old.ran_out);
    let notes = asking.lines(ask("notes", "Notes").hint("What to do better.").optional(), WORDS, &old.notes);
    let on = if old.is_drill() {
        Vec::new()
    } else {
        asking.group("", "The supplies");
        asking.words("Running again is not cleared: a notice stays in force until the authority lifts it.");
        mains(asking, picture, "mains", "Running again since then", Supply::On)
    };
    let ended = ended?;
    let outage = Outage { ended: Some(ended), ran_out, notes, ..old.clone() };
    Some((outage, said(&on, ended, Supply::On)))
}

/// The whole minute that has begun: nobody writes down seconds.
fn minute(now: Timestamp) -> Timestamp {
    const MICROS: i64 = 60_000_000;
    Timestamp::from_microsecond(now.as_microsecond().div_euclid(MICROS) * MICROS).unwrap_or(now)
}

/// The rungs of the ladder, least first.
fn rations(asking: &mut Asking, standing: String) -> Option<String> {
    let ladder = Ladder::default();
    let list = ladder.rungs().iter().map(|rung| Choice {
        value: rung.key().to_owned(),
        label: rung_words(asking.reader, rung.key()).to_string(),
        hint: String::new(),
    });
    let list = list.collect();
    asking.pick(ask("ration", "Ration in force"), list, Some(standing))
}

/// A moment to come, as the supplier says.
fn expected(asking: &mut Asking, standing: Option<Timestamp>) -> Option<Timestamp> {
    let standing = standing.map(|at| format_when(at, asking.reader)).unwrap_or_default();
    let hint = "As the supplier says, such as 2026-03-10 18:00. Leave it empty if nobody knows.";
    let typed = asking.text(ask("expected", "Mains expected back").hint(hint).optional(), 60, &standing);
    if typed.trim().is_empty() {
        return None;
    }
    match parse_when(typed.trim(), asking.reader) {
        Ok(at) => Some(at),
        Err(detail) => {
            asking.fault_if_sent("expected", detail);
            None
        }
    }
}

/// The public mains that are not in that state yet.
fn mains(
    asking: &mut Asking,
    picture: &Picture,
    key: &'static str,
    label: &'static str,
    state: Supply,
) -> Vec<SourceId> {
    let others = picture.sources.all.values().filter(|source| {
        source.source.kind == SourceKind::Mains && source.supply.map(|(there, _)| there) != Some(state)
    });
    let list: Vec<Choice> = others
        .map(|source| Choice {
            value: source.source.id.to_string(),
            label: source.source.name.to_string(),
            hint: String::new(),
        })
        .collect();
    if list.is_empty() {
        return Vec::new();
    }
    let taken = list.iter().map(|choice| choice.value.clone()).collect();
    let taken = asking.several(ask(key, label).optional(), list, taken);
    taken.iter().filter_map(|id| id.parse().ok()).collect()
}

fn said(sources: &[SourceId], at: Timestamp, state: Supply) -> Vec<New> {
    let act = |source: &SourceId| Act::Mains(Mains { source: *source, state, disinfectant: None, note: None });
    sources.iter().map(|source| New { id: EntryId::fresh(), site: None, vessel: None, at, act: act(source) }).collect()
}

/// What a form that lost its number says.
pub(super) fn numberless() -> Message {
    Message::new("The form came without its number. Open the page again.")
}

/// Who wants to change what is over.
pub(super) fn over(at: keepwell_engine::moment::Moment) -> Message {
    Message::new("It is over since {when}. What was kept of it is changed no more.").with("when", Arg::Moment(at))
}
