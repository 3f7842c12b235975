//! A vessel of the picture, drawn and said: the title of its drawing is what a reader who does not see it is told.

use keepwell_engine::moment::Moment;

use crate::picture::VesselPicture;
use crate::web::draw::vessel::Vessel;
use crate::web::pages::vessels;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::shown::grade::counted_as;

/// The vessel with what is in it now.
#[must_use]
pub fn drawn(reader: &Reader, vessel: &VesselPicture, now: Moment) -> Vessel {
    let name = vessel.vessel.name.as_str();
    let title = if vessel.is_known() {
        shown::words(reader, "{name}, {litres}, {grade}")
            .with("name", name)
            .with("litres", shown::litres(reader, vessel.estimate(now).volume))
            .with("grade", shown::words(reader, counted_as(vessels::worst(&vessel.parts(now)))))
    } else {
        shown::words(reader, "{name}, not read yet").with("name", name)
    };
    vessels::drawn(vessel, now, title.to_string())
}
