//! Pumps run, couplings looked at, inlets shut when the main burst.

use super::days;
use crate::demo::DAYS;
use crate::demo::book::Book;
use crate::demo::diary::Diary;
use crate::model::entry::Act;
use crate::model::entry::inlet::Inlet;
use crate::model::entry::inlet::InletState;
use crate::model::entry::inspection::Inspection;
use crate::model::entry::inspection::Looked;
use crate::service::Error;

/// What is looked at, where, by whom: last so many days ago, and every so many before.
const ROUNDS: &[(Looked, &str, &str, i64, usize)] = &[
    (Looked::Pump, "Alder Reach Hall", "Ruth", 11, 30),
    (Looked::Pump, "Birch Court", "Jonah", 18, 30),
    (Looked::Pump, "Orchard Plots", "Jonah", 47, 30),
    (Looked::Pump, "Ferry House", "Maren", 24, 30),
    (Looked::Couplings, "Alder Reach Hall", "Ruth", 214, 91),
    (Looked::Couplings, "Mill End", "Maren", 76, 91),
];

/// Who shut their inlet when the main burst, and who opened it the day after.
const SHUT: &[(&str, &str)] = &[("Alder Reach Hall", "Ruth"), ("Reach Primary", "Tom"), ("Weir Lane Clinic", "Amara")];

pub fn tell(diary: &mut Diary, book: &Book) -> Result<(), Error> {
    for (of, site, who, last, step) in ROUNDS {
        let site = Some(book.site(site)?);
        for ago in days(DAYS - 20, *last, *step) {
            let at = diary.time((ago, 11))?;
            let looked = Inspection { of: Some(*of), in_order: true, note: None };
            diary.log(who, at, site, None, Act::Inspection(looked))?;
        }
    }
    for (site, who) in SHUT {
        let site = Some(book.site(site)?);
        for (when, state) in [((142, 9), InletState::Shut), ((141, 16), InletState::Open)] {
            let at = diary.time(when)?;
            diary.log(who, at, site, None, Act::Inlet(Inlet { state, note: None }))?;
        }
    }
    Ok(())
}
