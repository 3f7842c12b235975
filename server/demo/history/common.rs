//! School, clinic, flats, allotments and cistern.

use super::every;
use super::note;
use super::say;
use super::serviced;
use super::tested;
use super::turned_over;
use super::wrong;
use crate::demo::DAYS;
use crate::demo::book::Book;
use crate::demo::diary::Diary;
use crate::demo::places::CARRIER;
use crate::demo::tank::Deed;
use crate::demo::tank::Tank;
use crate::model::entry::Act;
use crate::model::entry::dose::Dose;
use crate::model::entry::fill::Measured;
use crate::model::entry::reading::Method;
use crate::model::entry::test::Coliform;
use crate::model::entry::test::Test;
use crate::model::entry::wrong::Trouble;
use crate::service::Error;

const SCHOOL: &str = "Reach Primary";
const CLINIC: &str = "Weir Lane Clinic";
const FLATS: &str = "Birch Court";
const PLOTS: &str = "Orchard Plots";
const CISTERN: &str = "Mill Lane cistern";
/// The school's tanks were last dipped so many days ago.
const NOT_DIPPED: i64 = 41;

pub fn tell(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    school(diary, book)?;
    clinic(diary, book)?;
    flats(diary, book)?;
    plots(diary, book)?;
    cistern(diary, book)?;
    around(diary, book)
}

fn school(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let mut lying = vec![((DAYS - 4, 10), "Tom", Deed::Top), ((50, 11), "Tom", Deed::To(7_720.0))];
    lying.extend(every(DAYS - 9, NOT_DIPPED, 7, 16, "Tom", &Deed::Read(Method::SightGlass)));
    lying.extend(every(380, 60, 28, 12, "Tom", &Deed::Use(140.0, Measured::Meter)));
    lying.extend(turned_over(&[245, 88], "Tom", &Deed::Out));
    lying
        .extend([(378, 0.7), (244, 0.8), (160, 0.4), (86, 0.6)].map(|(ago, free)| say((ago, 17), "Tom", tested(free))));
    Tank::new(book.vessel(SCHOOL, "Lying tank")?)?.live(diary, lying)?;

    let dose = Dose {
        amount_l: Some(0.25),
        strength: Some(0.06),
        percent_of: None,
        shock: false,
        note: Some("Fresh bottle.".to_owned()),
    };
    let mut yard = vec![
        ((DAYS - 4, 14), "Tom", Deed::Top),
        say((301, 9), "Tom", Act::Dose(dose)),
        say((301, 11), "Tom", tested(1.6)),
        ((60, 11), "Tom", Deed::To(5_892.0)),
    ];
    yard.extend(every(DAYS - 9, NOT_DIPPED, 7, 17, "Tom", &Deed::FromRim));
    yard.extend(turned_over(&[240, 95], "Tom", &Deed::Out));
    yard.extend([(239, 0.8), (94, 0.7), (52, 0.5)].map(|(ago, free)| say((ago, 18), "Tom", tested(free))));
    Tank::new(book.vessel(SCHOOL, "Yard tank")?)?.live(diary, yard)?;

    for (lot, first, turns) in [("Green lids", DAYS - 5, [216, 34]), ("White lids", DAYS - 6, [260, 92])] {
        let mut cans = vec![((first, 15), "Tom", Deed::Top)];
        cans.extend(turned_over(&turns, "Tom", &Deed::Pour));
        cans.extend(every(370, 20, 56, 16, "Tom", &Deed::Read(Method::Counted)));
        Tank::new(book.vessel(SCHOOL, "Cans")?)?.lot(lot, 12.0).live(diary, cans)?;
    }
    Ok(())
}

fn clinic(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let clear = Test {
        free_mg_l: Some(0.6),
        total_mg_l: Some(0.7),
        turbidity_ntu: Some(0.4),
        ph: Some(7.4),
        temperature_c: Some(13.0),
        coliform: Some(Coliform::NotFound),
        lot: None,
        note: Some("Sample to the county's bench.".to_owned()),
    };
    let mut loft = vec![
        ((DAYS - 2, 9), "Amara", Deed::Top),
        ((DAYS - 2, 10), "Amara", Deed::Meter),
        say((200, 17), "Amara", Act::Test(clear.clone())),
        say((30, 17), "Amara", Act::Test(Test { free_mg_l: Some(0.5), ..clear })),
    ];
    loft.extend(every(DAYS - 9, 3, 7, 8, "Amara", &Deed::Read(Method::Dipstick)));
    for ago in super::days(DAYS - 12, 9, 14) {
        // The week's floors are washed from it; its meter is read in the evening.
        loft.push(((ago, 16), "Amara", Deed::Unseen(45.0)));
        loft.push(((ago, 18), "Amara", Deed::Meter));
    }
    // The mains were off: a carrier came.
    loft.push(((142, 13), "Amara", Deed::TopFrom(book.source(CARRIER)?)));
    loft.extend(every(380, 44, 28, 19, "Amara", &Deed::Top));
    for ago in [300, 205, 110, 32] {
        loft.push(((ago, 9), "Amara", Deed::Out));
        loft.push(((ago, 13), "Amara", Deed::Top));
        loft.push(((ago, 14), "Amara", Deed::Meter));
    }
    Tank::new(book.vessel(CLINIC, "Loft tank")?)?.live(diary, loft)?;

    for (lot, when) in [("Top shelf", (395, 300)), ("Lower shelf", (340, 160))] {
        let mut bottles = vec![((when.0, 11), "Amara", Deed::Top)];
        bottles.extend(turned_over(&[when.1], "Amara", &Deed::Out));
        bottles.extend(every(330, 11, 28, 9, "Amara", &Deed::Read(Method::Counted)));
        Tank::new(book.vessel(CLINIC, "Bottles")?)?.lot(lot, 24.0).keeping(540).live(diary, bottles)?;
    }
    Ok(())
}

fn flats(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let mut tank = vec![
        ((DAYS - 3, 10), "Jonah", Deed::Top),
        say((190, 7), "Jonah", wrong(Trouble::Pump, false, "Hums and does not start.")),
        say((188, 18), "Jonah", wrong(Trouble::Pump, true, "New capacitor.")),
        ((26, 10), "Jonah", Deed::Top),
    ];
    tank.extend(every(DAYS - 8, 5, 7, 19, "Jonah", &Deed::Read(Method::Sensor)));
    tank.extend(every(370, 30, 28, 11, "Jonah", &Deed::Use(85.0, Measured::Meter)));
    tank.extend(turned_over(&[250, 101], "Jonah", &Deed::Out));
    tank.extend(
        [(370, 0.5), (249, 0.7), (100, 0.6), (24, 0.3)].map(|(ago, free)| say((ago, 20), "Jonah", tested(free))),
    );
    Tank::new(book.vessel(FLATS, "Basement tank")?)?.live(diary, tank)
}

fn plots(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let mut gate = vec![
        ((DAYS - 5, 10), "Jonah", Deed::Top),
        say((330, 9), "Jonah", wrong(Trouble::Lid, false, "Cover off in the wind.")),
        say((330, 14), "Jonah", wrong(Trouble::Lid, true, "Tied down.")),
    ];
    gate.extend(every(DAYS - 8, 4, 7, 17, "Jonah", &Deed::Read(Method::Dipstick)));
    gate.extend(every(320, 90, 14, 16, "Jonah", &Deed::Use(24.0, Measured::Bucket)));
    gate.extend(turned_over(&[242, 84], "Jonah", &Deed::Drain));
    Tank::new(book.vessel(PLOTS, "Tote by the gate")?)?.live(diary, gate)?;

    // Whoever is at the plots fills a can at it, and nobody writes that down.
    let mut shed = vec![((DAYS - 5, 14), "Jonah", Deed::Top)];
    shed.extend((1..DAYS - 5).map(|ago| ((ago, 12), "Jonah", Deed::Unseen(cans_on_a_day(ago)))));
    shed.extend(every(DAYS - 8, 4, 7, 17, "Jonah", &Deed::Read(Method::SightGlass)));
    shed.extend(every(DAYS - 30, 27, 28, 12, "Jonah", &Deed::Top));
    shed.extend(turned_over(&[230, 110], "Jonah", &Deed::Pour));
    Tank::new(book.vessel(PLOTS, "Tote by the shed")?)?.live(diary, shed)?;

    let mut butt = vec![((DAYS - 5, 16), "Jonah", Deed::Top)];
    butt.extend(turned_over(&[251, 102], "Jonah", &Deed::Drain));
    butt.extend(every(DAYS - 8, 4, 14, 18, "Jonah", &Deed::Read(Method::Eye)));
    butt.extend(every(DAYS - 20, 34, 21, 9, "Jonah", &Deed::Use(70.0, Measured::Guess)));
    butt.extend(every(DAYS - 30, 24, 21, 10, "Jonah", &Deed::Top));
    Tank::new(book.vessel(PLOTS, "Rain butt")?)?.live(diary, butt)
}

/// Litres drawn at the plots on a day: 12 as a mean, from a can to three.
fn cans_on_a_day(ago: i64) -> f64 {
    match ago % 5 {
        0 => 6.0,
        1 => 15.0,
        2 => 9.0,
        3 => 18.0,
        _ => 12.0,
    }
}

fn cistern(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let mut events = vec![
        ((DAYS - 10, 10), "Maren", Deed::Top),
        ((212, 10), "Maren", Deed::Use(2_300.0, Measured::Guess)),
        ((205, 10), "Maren", Deed::Top),
        say((204, 10), "Maren", note("The brigade drew for an exercise; filled again from the brook.")),
    ];
    events.extend(every(DAYS - 12, 13, 14, 14, "Maren", &Deed::FromRim));
    Tank::new(book.vessel(CISTERN, "Cistern")?)?.live(diary, events)
}

fn around(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    let told = [
        ((262, 9), SCHOOL, "Tom", note("Cans moved off the boiler room floor.")),
        ((152, 10), FLATS, "Jonah", serviced("Booster pump: filter and pressure switch")),
        ((133, 14), CLINIC, "Amara", wrong(Trouble::Smell, false, "Earthy at the sluice tap.")),
        ((131, 14), CLINIC, "Amara", wrong(Trouble::Smell, true, "Flushed ten minutes; gone.")),
        ((75, 11), CLINIC, "Amara", serviced("Loft tank: vent screen renewed")),
        ((66, 9), PLOTS, "Jonah", note("The petrol is from two summers back. To be taken to the tip.")),
    ];
    for (when, site, who, act) in told {
        let at = diary.time(when)?;
        diary.log(who, at, Some(book.site(site)?), None, act)?;
    }
    Ok(())
}
