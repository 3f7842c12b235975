//! What happened in four hundred days, place by place, and on the supplies.

mod care;
mod common;
mod hall;
mod homes;
mod power;

use crate::demo::DAYS;
use crate::demo::book::Book;
use crate::demo::diary::Diary;
use crate::demo::diary::When;
use crate::demo::places::MAINS;
use crate::demo::tank::Deed;
use crate::demo::tank::Event;
use crate::model::entry::Act;
use crate::model::entry::inspection::Inspection;
use crate::model::entry::mains::Mains;
use crate::model::entry::mains::Supply;
use crate::model::entry::note::Note;
use crate::model::entry::notice::Notice;
use crate::model::entry::notice::NoticeKind;
use crate::model::entry::service::Service;
use crate::model::entry::test::Test;
use crate::model::entry::wrong::Trouble;
use crate::model::entry::wrong::Wrong;
use crate::model::id::StageId;
use crate::service::Error;

/// Writes it all down.
pub fn tell(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    supplies(diary, book)?;
    hall::tell(diary, book)?;
    common::tell(diary, book)?;
    homes::tell(diary, book)?;
    power::tell(diary, book)?;
    rounds(diary, book)?;
    care::tell(diary, book)
}

/// A boil notice long ago, and a burst main since.
fn supplies(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let source = book.source(MAINS)?;
    let notice = |note: &str| Notice {
        source,
        kind: NoticeKind::Boil,
        by: "the water authority".to_owned(),
        note: Some(note.to_owned()),
    };
    let mains =
        |state, note: &str| Act::Mains(Mains { source, state, disinfectant: None, note: Some(note.to_owned()) });
    let told = [
        ((312, 17), Act::Notice(notice("Pumping station flooded."))),
        ((306, 11), Act::Lifted(notice("Two clear samples."))),
        ((142, 6), mains(Supply::Low, "Dribbling since five.")),
        ((142, 9), mains(Supply::Off, "Burst in Mill Road.")),
        ((141, 15), mains(Supply::On, "Cloudy for an hour, then clear.")),
    ];
    for (when, act) in told {
        let at = diary.time(when)?;
        diary.log("Maren", at, None, None, act)?;
    }
    Ok(())
}

/// A look round each place: common places every four weeks, households every twelve.
fn rounds(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    for (number, (name, site)) in (0_i64..).zip(book.sites()) {
        let (who, step) = match name {
            "Alder Reach Hall" => ("Ruth", 28),
            "Reach Primary" => ("Tom", 28),
            "Weir Lane Clinic" => ("Amara", 28),
            "Birch Court" | "Orchard Plots" => ("Jonah", 28),
            "Mill Lane cistern" => ("Maren", 28),
            _ => ("Maren", 84),
        };
        let last = 3 + number % 14;
        for ago in days(DAYS - 8, last, step) {
            let at = diary.time((ago, 15))?;
            let rusted = name == "Mill Lane cistern" && ago == last;
            let note = rusted.then(|| "The screen of the vent has rusted through: a fist fits.".to_owned());
            diary.log(who, at, Some(site), None, Act::Inspection(Inspection { of: None, in_order: !rusted, note }))?;
        }
    }
    Ok(())
}

/// Days ago, from the first to the last, the last one met exactly.
fn days(first: i64, last: i64, step: usize) -> Vec<i64> {
    let mut days: Vec<i64> = (last..=first).step_by(step).collect();
    days.reverse();
    days
}

/// The same deed again and again.
fn every(first: i64, last: i64, step: usize, hour: i8, who: &'static str, deed: &Deed) -> Vec<Event> {
    days(first, last, step).into_iter().map(|ago| ((ago, hour), who, deed.clone())).collect()
}

/// Drawn down or poured away on these days, and filled again within hours.
fn turned_over(days_ago: &[i64], who: &'static str, out: &Deed) -> Vec<Event> {
    let turn = |ago: &i64| [((*ago, 9), who, out.clone()), ((*ago, 13), who, Deed::Top)];
    days_ago.iter().flat_map(turn).collect()
}

fn say(when: When, who: &'static str, act: Act) -> Event {
    (when, who, Deed::Say(act))
}

/// Free chlorine, and what else was measured with it.
fn tested(free: f64) -> Act {
    Act::Test(Test { free_mg_l: Some(free), ..Test::default() })
}

fn wrong(what: Trouble, over: bool, note: &str) -> Act {
    Act::Wrong(Wrong { what, over, note: Some(note.to_owned()) })
}

fn serviced(what: &str) -> Act {
    Act::Service(Service { what: what.to_owned(), stage: None, note: None })
}

/// The medium or the lamp of a stage changed.
fn renewed(what: &str, stage: StageId) -> Act {
    Act::Service(Service { what: what.to_owned(), stage: Some(stage), note: None })
}

fn note(text: &str) -> Act {
    Act::Note(Note { text: text.to_owned() })
}
