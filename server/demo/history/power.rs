//! Generators run once a month, and the fuel they take.

use super::days;
use crate::demo::DAYS;
use crate::demo::book::Book;
use crate::demo::diary::Diary;
use crate::demo::diary::When;
use crate::model::entry::Act;
use crate::model::entry::fuel::FuelMove;
use crate::model::entry::fuel::Move;
use crate::model::entry::generator_run::GeneratorRun;
use crate::service::Error;

/// A monthly run: where, by whom, last so many days ago, under that load, and the fuel an hour at it.
struct Runs {
    site: &'static str,
    who: &'static str,
    last: i64,
    load_w: f64,
    litres_per_hour: f64,
}

const RUNS: &[Runs] = &[
    Runs { site: "Alder Reach Hall", who: "Ruth", last: 25, load_w: 1_000.0, litres_per_hour: 1.44 },
    Runs { site: "Birch Court", who: "Jonah", last: 18, load_w: 1_100.0, litres_per_hour: 0.60 },
    Runs { site: "Orchard Plots", who: "Jonah", last: 96, load_w: 350.0, litres_per_hour: 0.35 },
    Runs { site: "Ferry House", who: "Maren", last: 33, load_w: 400.0, litres_per_hour: 0.43 },
];

/// Fuel put in or measured: when, where, by whom, which way, litres, whether it was bought that day and stabilised.
type Moved = (When, &'static str, &'static str, Move, f64, Option<bool>);

const FUEL: &[Moved] = &[
    ((260, 12), "Alder Reach Hall", "Tom", Move::Out, 18.0, None),
    ((258, 12), "Alder Reach Hall", "Tom", Move::In, 18.4, Some(false)),
    ((120, 12), "Alder Reach Hall", "Tom", Move::Measured, 39.0, None),
    ((3, 11), "Alder Reach Hall", "Ruth", Move::Measured, 34.8, None),
    ((302, 12), "Birch Court", "Jonah", Move::Out, 20.0, None),
    ((301, 12), "Birch Court", "Jonah", Move::Measured, 0.0, None),
    ((301, 14), "Birch Court", "Jonah", Move::In, 24.0, Some(false)),
    ((112, 12), "Birch Court", "Jonah", Move::Measured, 0.0, None),
    ((112, 14), "Birch Court", "Jonah", Move::In, 22.0, Some(false)),
    ((6, 11), "Birch Court", "Jonah", Move::Measured, 21.2, None),
    ((150, 12), "Ferry House", "Maren", Move::Measured, 0.0, None),
    ((150, 14), "Ferry House", "Maren", Move::In, 10.0, Some(true)),
];

pub fn tell(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    for runs in RUNS {
        let site = Some(book.site(runs.site)?);
        for ago in days(DAYS - 15, runs.last, 30) {
            let at = diary.time((ago, 10))?;
            let minutes = (20.0 + diary.up_to(8.0)).round();
            let hours = (100.0 * minutes / 60.0).round() / 100.0;
            let run = GeneratorRun {
                generator: book.generator(runs.site)?.id,
                hours,
                load_w: Some(runs.load_w),
                fuel_l: Some((100.0 * hours * runs.litres_per_hour).round() / 100.0),
                store: Some(book.fuel(runs.site)?.id),
                note: None,
            };
            diary.log(runs.who, at, site, None, Act::GeneratorRun(run))?;
        }
    }
    for (when, site, who, way, litres, stabilised) in FUEL {
        let at = diary.time(*when)?;
        let bought = stabilised.map(|_| diary.day(when.0)).transpose()?;
        let store = book.fuel(site)?.id;
        let moved = FuelMove { store, way: *way, litres: *litres, bought, stabilised: *stabilised, note: None };
        diary.log(who, at, Some(book.site(site)?), None, Act::Fuel(moved))?;
    }
    Ok(())
}
