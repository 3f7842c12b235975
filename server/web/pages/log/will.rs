//! What an entry will do, or did: litres, grade, date, and what it says that we did not expect.

use std::sync::Arc;

use keepwell_engine::grade::Act as Quality;
use keepwell_engine::grade::Cause;
use keepwell_engine::grade::Grade;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::litres;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::mains::Supply;
use crate::model::entry::notice::NoticeKind;
use crate::model::entry::transfer::Transfer;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::VesselPicture;
use crate::picture::cluster::moment;
use crate::web::pages::vessels;

/// Before and after those entries, in sentences.
pub(crate) fn change(
    before: &VesselPicture,
    after: &VesselPicture,
    entries: &[Arc<Entry>],
    now: Moment,
) -> Vec<Message> {
    let mut said = vec![level(before, after, now)];
    let (was, is) = (before.parts(now), after.parts(now));
    let causes = |parts: &[crate::picture::PartNow]| {
        let mut causes: Vec<Cause> = parts.iter().flat_map(|part| part.graded.causes.clone()).collect();
        causes.sort_unstable();
        causes.dedup();
        causes
    };
    said.push(grade(vessels::worst(&was), vessels::worst(&is), &causes(&was), &causes(&is)));
    let due = |parts: &[crate::picture::PartNow]| parts.iter().filter_map(|part| part.graded.due).min();
    said.extend(date(due(&was), due(&is), entries));
    if after.state().doses_untested > 1 && entries.iter().any(|entry| matches!(entry.act, Act::Dose(_))) {
        said.push(Message::new("The dose before it was never tested. Test 30 minutes after this one."));
    }
    said
}

fn figure(volume: Volume) -> Arg {
    Arg::Figure(as_litres(volume), Unit::Litre)
}

fn level(before: &VesselPicture, after: &VesselPicture, now: Moment) -> Message {
    let (was, is) = (before.estimate(now).volume, after.estimate(now).volume);
    match (before.is_known(), after.is_known()) {
        (_, false) => Message::new("How much is in it stays unknown until somebody reads it."),
        (false, true) => Message::new("It will be believed to hold {is}.").with("is", figure(is)),
        (true, true) if (as_litres(was) - as_litres(is)).abs() < 0.5 => {
            Message::new("It stays at {is}.").with("is", figure(is))
        }
        (true, true) => Message::new("{was} becomes {is}.").with("was", figure(was)).with("is", figure(is)),
    }
}

fn grade(was: Option<Grade>, is: Option<Grade>, causes_before: &[Cause], causes: &[Cause]) -> Message {
    let name = |grade: Grade| Arg::Word(grade.name());
    let new: Vec<Message> =
        causes.iter().filter(|cause| !causes_before.contains(cause)).map(|cause| Message::new(cause.name())).collect();
    match (was, is) {
        (_, None) => Message::new("Nothing is left to be counted."),
        (Some(was), Some(is)) if was == is && new.is_empty() => Message::new("Stays {grade}.").with("grade", name(is)),
        (Some(was), Some(is)) if was == is => Message::new("Stays {grade}; new is: {causes}.")
            .with("grade", name(is))
            .with("causes", super::super::entries::joined(new).into()),
        (_, Some(is)) if new.is_empty() => Message::new("Becomes {grade}.").with("grade", name(is)),
        (_, Some(is)) => Message::new("Becomes {grade}: {causes}.")
            .with("grade", name(is))
            .with("causes", super::super::entries::joined(new).into()),
    }
}

fn date(was: Option<Moment>, is: Option<Moment>, entries: &[Arc<Entry>]) -> Option<Message> {
    let filled = entries.iter().any(|entry| matches!(entry.act, Act::Fill(_)));
    Some(match (was, is) {
        (Some(was), Some(is)) if was == is && filled => {
            Message::new("The rotation date stays {date}: it was not drawn to the outlet first.")
                .with("date", Arg::Day(is))
        }
        (Some(was), Some(is)) if was == is => {
            Message::new("The rotation date stays {date}.").with("date", Arg::Day(is))
        }
        (Some(_), Some(is)) => Message::new("The rotation date becomes {date}.").with("date", Arg::Day(is)),
        (None, Some(is)) => Message::new("The rotation date is {date}.").with("date", Arg::Day(is)),
        (Some(_), None) => Message::new("It has no rotation date until it is filled."),
        (None, None) => return None,
    })
}

/// What the estimate cannot explain. It is stored as it was seen: the estimate was wrong, not whoever logs it.
pub(crate) fn surprise(after: &VesselPicture, entries: &[Arc<Entry>]) -> Option<Message> {
    let misfit = after.misfit()?;
    let entry = entries.iter().find(|entry| entry.id == misfit.entry)?;
    let expected = figure(misfit.expected.volume);
    Some(
        match &entry.act {
            Act::Draw(_) | Act::Transfer(_) | Act::GivenOut(_) | Act::Discard(_) => {
                Message::new("More than we believed was in it ({expected}): the level was wrong, not you.")
            }
            Act::Fill(_) => Message::new(
                "More than we believed there was room for ({expected} in it): the level was wrong, not you.",
            ),
            _ => Message::new("We believed {expected}. What you read counts; if you doubt it, read once more."),
        }
        .with("expected", expected),
    )
}

/// What a vessel that takes in water from another will hold and be counted as: mixed water counts as the worst of what
/// is mixed.
pub(super) fn mixing(picture: &Picture, from: &VesselPicture, act: &Transfer, at: Moment, now: Moment) -> Vec<Message> {
    let Some((_, to)) = picture.vessel(act.to) else { return Vec::new() };
    let mut said = Vec::new();
    if to.is_known() {
        let was = to.estimate(now).volume;
        let is = (was + litres(act.litres)).min(to.body.capacity.brim);
        said.push(
            Message::new("{to}: {was} becomes {is}.")
                .with("to", Arg::text(to.vessel.name.as_str()))
                .with("was", figure(was))
                .with("is", figure(is)),
        );
        if as_litres(was) + act.litres > as_litres(to.body.capacity.brim) {
            said.push(Message::new(
                "That is more than we believed there was room for in it: it runs over, or the level was wrong.",
            ));
        }
    }
    let given = from.state().parts.first().and_then(|part| part.water.contents(at));
    let mixed = given.zip(to.state().parts.first()).and_then(|(contents, part)| {
        let was = part.water.at(now);
        let is = part.water.preview(at.max(now), &Quality::TransferIn(contents)).ok()?;
        Some((was, is))
    });
    if let Some((was, is)) = mixed {
        let name = Message::new("{to}").with("to", Arg::text(to.vessel.name.as_str()));
        let words = grade(was.grade, is.grade, &was.causes, &is.causes);
        said.push(Message::new("{to}: {words}").with("to", name.into()).with("words", words.into()));
        said.push(Message::new("Mixed water counts as the worst of what is mixed."));
    }
    said
}

/// What an entry about a supply means for what is stored.
pub(super) fn supply(act: &Act) -> Vec<Message> {
    let words: &[&'static str] = match act {
        Act::Mains(mains) => match mains.state {
            Supply::On => &["It can be filled from. What the stores hold stays as it is."],
            Supply::Low => &["Fill what needs filling first while it lasts."],
            Supply::Off => &[
                "Nothing can be filled from it. Shut the inlets, so that nothing drains back, and keep them shut until the authority clears it.",
            ],
        },
        Act::Notice(notice) => match notice.kind {
            NoticeKind::Boil => &[
                "What is filled from it from now on counts as water to be treated. What was filled before stays as it is.",
                "When the notice is lifted, what came in under it must still be emptied out and filled again.",
            ],
            NoticeKind::DoNotDrink => &[
                "What is filled from it from now on counts as utility water: boiling does not help. What was filled before stays as it is.",
                "When the notice is lifted, what came in under it must still be emptied out and filled again.",
            ],
            NoticeKind::DoNotUse => &[
                "What is filled from it from now on counts for nothing. What was filled before stays as it is.",
                "When the notice is lifted, what came in under it must still be emptied out, disinfected and filled again.",
            ],
        },
        Act::Lifted(_) => &[
            "Fills from now on count as before the notice. What came in under it stays as it is until it is emptied out and filled again.",
        ],
        _ => &[],
    };
    let mut said: Vec<Message> = words.iter().map(|words| Message::new(words)).collect();
    if let Act::Notice(notice) | Act::Lifted(notice) = act {
        said.push(
            Message::new(
                "Only the authority puts up the notice “{kind}” and takes it down: its word stands over ours.",
            )
            .with("kind", Message::new(notice.kind.label()).into()),
        );
    }
    said
}

/// The moment at which a preview is looked at: now, or when the entry happens if that is a little ahead.
pub(super) fn looked_at(now: Moment, entries: &[Arc<Entry>]) -> Moment {
    entries.iter().map(|entry| moment(entry.at)).fold(now, Moment::max)
}
