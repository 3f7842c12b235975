//! The households: most dip once a fortnight, and the coordinator writes it down.

use super::every;
use super::say;
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
use crate::model::entry::disinfection::Disinfection;
use crate::model::entry::dose::Dose;
use crate::model::entry::fill::Measured;
use crate::model::entry::reading::Method;
use crate::model::entry::transfer::Transfer;
use crate::model::entry::wrong::Trouble;
use crate::service::Error;

const MAREN: &str = "Maren";
const MOVED_TO_DRUM: f64 = 110.0;

pub fn tell(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    few(diary, book)?;
    chimneys_and_ferry(diary, book)?;
    forge(diary, book)?;
    larkfield(diary, book)?;
    lock(diary, book)?;
    pear(diary, book)
}

/// Filled, dipped once a fortnight until so many days ago, and turned over on these days.
fn kept(who: &'static str, last: i64, turns: &[i64]) -> Vec<Event> {
    let mut events = vec![((DAYS - 6, 11), who, Deed::Top)];
    events.extend(every(DAYS - 10, last, 14, 18, who, &Deed::Read(Method::Dipstick)));
    events.extend(turned_over(turns, who, &Deed::Out));
    events
}

fn few(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    for (lot, turns) in [("By the door", [226, 58]), ("Under the stairs", [250, 96])] {
        let mut cans = vec![((DAYS - 7, 12), MAREN, Deed::Top)];
        cans.extend(turned_over(&turns, MAREN, &Deed::Pour));
        cans.extend(every(370, 12, 28, 17, MAREN, &Deed::Read(Method::Counted)));
        Tank::new(book.vessel("Weir Cottage", "Cans in the hall")?)?.lot(lot, 3.0).live(diary, cans)?;
    }

    let mut barrel = kept(MAREN, 8, &[229, 71]);
    barrel.push(say((262, 8), MAREN, wrong(Trouble::Leak, false, "Drip at the tap's washer.")));
    barrel.push(say((261, 17), MAREN, wrong(Trouble::Leak, true, "Washer changed.")));
    Tank::new(book.vessel("Stonecroft", "Blue barrel")?)?.live(diary, barrel)?;

    let mut pair = kept(MAREN, 10, &[238, 82]);
    pair.push(((40, 9), MAREN, Deed::To(160.0)));
    Tank::new(book.vessel("Mill End", "Left drum")?)?.alike(2.0).live(diary, pair)
}

fn chimneys_and_ferry(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let mut tank = kept("Ines", 6, &[248, 90]);
    tank.extend(every(360, 100, 20, 12, "Ines", &Deed::Use(15.0, Measured::Bucket)));
    tank.push(say((89, 19), "Ines", tested(0.6)));
    Tank::new(book.vessel("Two Chimneys", "Utility room tank")?)?.live(diary, tank)?;

    let heater =
        vec![((DAYS - 6, 12), "Ines", Deed::Top), ((118, 9), "Ines", Deed::Drain), ((118, 11), "Ines", Deed::Top)];
    Tank::new(book.vessel("Two Chimneys", "Water heater")?)?.live(diary, heater)?;

    let mut boat = kept(MAREN, 9, &[233, 77]);
    boat.extend(every(360, 90, 24, 12, MAREN, &Deed::Use(22.0, Measured::Bucket)));
    Tank::new(book.vessel("Ferry House", "Boathouse tank")?)?.live(diary, boat)
}

/// A tote in use, and a drum that was shock-dosed and waits for its test.
fn forge(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let drum = book.vessel("Old Forge", "Spare drum")?;
    let moved = Transfer { to: drum.id, litres: MOVED_TO_DRUM, measured: Some(Measured::Bucket), note: None };
    let mut tote = kept(MAREN, 7, &[256, 118]);
    tote.push(((100, 9), MAREN, Deed::Unseen(MOVED_TO_DRUM)));
    tote.push(say((100, 10), MAREN, Act::Transfer(moved)));
    tote.push(((55, 9), MAREN, Deed::To(728.0)));
    Tank::new(book.vessel("Old Forge", "Tote")?)?.live(diary, tote)?;

    let shock = Dose {
        amount_l: Some(0.18),
        strength: Some(0.06),
        percent_of: None,
        shock: true,
        note: Some("Slime on the wall. To stand a day, then drain.".to_owned()),
    };
    let mut events = kept(MAREN, 7, &[240, 74]);
    events.push(((104, 9), MAREN, Deed::To(50.0)));
    events.push(((100, 10), MAREN, Deed::More(MOVED_TO_DRUM)));
    events.push(say((3, 17), MAREN, Act::Dose(shock)));
    Tank::new(drum)?.live(diary, events)
}

/// Used, filled again, and nobody wrote the filling down.
fn larkfield(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let mut barn = kept(MAREN, 24, &[231, 66]);
    barn.extend(every(360, 80, 28, 12, MAREN, &Deed::Use(30.0, Measured::Bucket)));
    barn.push(((20, 9), MAREN, Deed::Use(480.0, Measured::Bucket)));
    barn.push(((15, 9), MAREN, Deed::Missed));
    barn.push(((6, 18), MAREN, Deed::Read(Method::Dipstick)));
    Tank::new(book.vessel("Larkfield", "Barn tank")?)?.live(diary, barn)
}

fn lock(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let cooler = kept(MAREN, 11, &[222, 64]);
    Tank::new(book.vessel("Lock House", "Milk cooler")?)?.live(diary, cooler)?;
    for (lot, first, turn) in [("Spring delivery", 390, 190), ("Autumn delivery", 310, 130)] {
        let mut bottles = vec![((first, 12), MAREN, Deed::Top)];
        bottles.extend(turned_over(&[turn], MAREN, &Deed::Out));
        bottles.extend(every(300, 19, 42, 17, MAREN, &Deed::Read(Method::Counted)));
        Tank::new(book.vessel("Lock House", "Bottles")?)?.lot(lot, 10.0).keeping(365).live(diary, bottles)?;
    }
    Ok(())
}

/// A tank disinfected in full long ago, and a butt whose lid stands open.
fn pear(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let method = "Scrubbed, 50 mg/L for a day, drained, rinsed twice.".to_owned();
    let mut cellar = kept(MAREN, 13, &[73]);
    cellar.push(((241, 9), MAREN, Deed::Drain));
    cellar.push(say((240, 10), MAREN, Act::Disinfection(Disinfection { note: Some(method) })));
    cellar.push(((239, 15), MAREN, Deed::Top));
    cellar.push(say((239, 18), MAREN, tested(0.7)));
    Tank::new(book.vessel("Pear Tree", "Cellar tank")?)?.live(diary, cellar)?;

    let mut butt = vec![((DAYS - 6, 13), MAREN, Deed::Top)];
    butt.extend(every(DAYS - 12, 9, 14, 17, MAREN, &Deed::Read(Method::Eye)));
    butt.extend(every(DAYS - 30, 40, 30, 9, MAREN, &Deed::Use(60.0, Measured::Guess)));
    butt.extend(every(DAYS - 40, 30, 30, 10, MAREN, &Deed::Top));
    butt.extend(turned_over(&[242, 94], MAREN, &Deed::Drain));
    butt.push(say((9, 18), MAREN, wrong(Trouble::Lid, false, "Lid gone since the storm; leaves in it.")));
    Tank::new(book.vessel("Pear Tree", "Rain butt")?)?.live(diary, butt)
}
