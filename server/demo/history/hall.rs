//! Alder Reach Hall: West and East in good order but for East's leak, North past its date.

use jiff::SignedDuration;

use super::every;
use super::note;
use super::renewed;
use super::say;
use super::serviced;
use super::tested;
use super::turned_over;
use super::wrong;
use crate::demo::DAYS;
use crate::demo::book::Book;
use crate::demo::diary::Diary;
use crate::demo::tank::Deed;
use crate::demo::tank::Event;
use crate::demo::tank::Tank;
use crate::model::entry::Act;
use crate::model::entry::coupling::Coupled;
use crate::model::entry::coupling::Coupling;
use crate::model::entry::fill::Measured;
use crate::model::entry::given_out::GivenOut;
use crate::model::entry::reading::Method;
use crate::model::entry::reading::Reading;
use crate::model::entry::transfer::Transfer;
use crate::model::entry::wrong::Trouble;
use crate::service::Error;

const HALL: &str = "Alder Reach Hall";
/// East loses water since.
const LEAK_DAYS: i64 = 14;
const LEAK_LITRES_A_DAY: f64 = 12.7;
/// Handed out in the drill: people, litres each.
const DRILL: (f64, f64) = (64.0, 5.0);
const MOVED_TO_EAST: f64 = 400.0;

pub fn tell(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    west(diary, book)?;
    east(diary, book)?;
    north(diary, book)?;
    around(diary, book)?;
    mistyped(diary, book)
}

fn dips(first: i64, last: i64) -> Vec<Event> {
    every(first, last, 7, 18, "Ruth", &Deed::Read(Method::Dipstick))
}

fn tests(days: &[(i64, f64)]) -> Vec<Event> {
    days.iter().map(|(ago, free)| say((*ago, 17), "Ruth", tested(*free))).collect()
}

fn west(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let vessel = book.vessel(HALL, "West")?;
    let bank = book.bank(HALL)?;
    let couple = |state| Act::Coupling(Coupling { bank, state, note: None });
    let east = book.vessel(HALL, "East")?.id;
    let moved = Transfer { to: east, litres: MOVED_TO_EAST, measured: Some(Measured::Meter), note: None };
    let (people, each) = DRILL;
    let given = GivenOut {
        people: Some(people),
        litres_each: Some(each),
        meter_start_l: None,
        meter_end_l: None,
        note: Some("Drill. Forty minutes from the first can to the last.".to_owned()),
    };
    let mut events = vec![
        ((DAYS - 2, 10), "Ruth", Deed::Top),
        say((340, 10), "Ruth", couple(Coupled::Coupled)),
        say((338, 8), "Ruth", couple(Coupled::Separate)),
        ((170, 11), "Ruth", Deed::Unseen(people * each)),
        say((170, 12), "Ruth", Act::GivenOut(given)),
        ((151, 10), "Ruth", Deed::Unseen(MOVED_TO_EAST)),
        say((151, 11), "Ruth", Act::Transfer(moved)),
        ((20, 10), "Tom", Deed::To(4_687.0)),
    ];
    events.extend(dips(DAYS - 8, 2));
    events.extend(every(330, 72, 14, 11, "Ruth", &Deed::Use(36.0, Measured::Meter)));
    events.extend(turned_over(&[224, 60], "Ruth", &Deed::Out));
    events.extend(tests(&[(380, 0.8), (290, 0.4), (210, 0.7), (120, 0.4), (59, 0.8), (12, 0.6)]));
    Tank::new(vessel)?.live(diary, events)
}

fn east(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let since = diary.time((LEAK_DAYS, 8))?;
    let mut events = vec![
        ((DAYS - 2, 14), "Ruth", Deed::Top),
        ((155, 10), "Ruth", Deed::To(3_900.0)),
        ((151, 11), "Ruth", Deed::More(MOVED_TO_EAST)),
        ((18, 10), "Tom", Deed::Use(1_914.0, Measured::Meter)),
        ((18, 19), "Ruth", Deed::Read(Method::Dipstick)),
    ];
    events.extend(dips(DAYS - 8, 22));
    events.extend([16, 14, 12, 9, 7, 5, 2].map(|ago| ((ago, 18), "Ruth", Deed::Read(Method::Dipstick))));
    events.push(((0, 7), "Ruth", Deed::Read(Method::Dipstick)));
    events.extend(every(330, 160, 21, 11, "Ruth", &Deed::Use(52.0, Measured::Meter)));
    events.extend(turned_over(&[232, 45], "Ruth", &Deed::Out));
    events.extend(tests(&[(380, 0.7), (290, 0.4), (210, 0.6), (120, 0.3), (44, 0.8), (12, 0.5)]));
    Tank::new(book.vessel(HALL, "East")?)?.leaking(since, LEAK_LITRES_A_DAY).live(diary, events)
}

fn north(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let given = GivenOut {
        people: None,
        litres_each: None,
        meter_start_l: Some(18_240.0),
        meter_end_l: Some(18_402.0),
        note: Some("Drill, second tap.".to_owned()),
    };
    let mut events = vec![
        ((DAYS - 3, 10), "Ruth", Deed::Top),
        ((170, 11), "Ruth", Deed::Unseen(162.0)),
        say((170, 13), "Tom", Act::GivenOut(given)),
        ((64, 10), "Tom", Deed::To(4_211.0)),
    ];
    events.extend(dips(DAYS - 8, 2));
    events.extend(every(330, 215, 28, 11, "Ruth", &Deed::Use(60.0, Measured::Meter)));
    // Past its 180 days for 20 days now.
    events.extend(turned_over(&[365, 200], "Ruth", &Deed::Out));
    events.extend(tests(&[(364, 0.7), (290, 0.4), (199, 0.8), (119, 0.3)]));
    Tank::new(book.vessel(HALL, "North")?)?.live(diary, events)
}

/// What concerns the hall and no one tank.
fn around(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let site = Some(book.site(HALL)?);
    let told = [
        ((206, 14), "Tom", serviced("House pump: seal and strainer")),
        ((204, 9), "Ruth", note("Spare swing piece now hangs beside S1.")),
        ((180, 10), "Ruth", wrong(Trouble::Valve, false, "V4 is stiff; two hands.")),
        ((177, 16), "Tom", wrong(Trouble::Valve, true, "Gland eased and greased.")),
        ((170, 16), "Ruth", note("Drill: 64 came in forty minutes. A second table for the lids next time.")),
        ((92, 11), "Tom", renewed("Ultraviolet lamp changed, sleeve wiped", book.stage(HALL, "Lamp")?)),
        ((61, 12), "Tom", renewed("Sediment cartridge changed", book.stage(HALL, "Sediment cartridge")?)),
        ((3, 10), "Ruth", note("Walked the pipes: V1 open, all others shut.")),
    ];
    for (when, who, act) in told {
        let at = diary.time(when)?;
        diary.log(who, at, site, None, act)?;
    }
    Ok(())
}

/// A dip with two digits changed about, declared void and logged again.
fn mistyped(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let vessel = book.vessel(HALL, "North")?;
    let at = diary.time((37, 8))?;
    let slip = Reading { depth_m: Some(0.665), ..Reading::by(Method::Dipstick) };
    let entry = diary.log("Ruth", at, Some(vessel.site), Some(vessel.id), Act::Reading(slip))?;
    let found = at + SignedDuration::from_hours(26);
    diary.void("Ruth", found, entry, "Read 1.665 m, typed 0.665.")
}
