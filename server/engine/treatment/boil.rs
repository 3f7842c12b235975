//! How long to boil.

use super::TreatmentError;
use crate::quantity::ELEVATION;
use crate::quantity::Length;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::as_metres;
use crate::quantity::minutes;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// Above this many metres water is boiled for 3 minutes: the lower of the printed heights.
const HIGH: f64 = 1000.0;

/// How long a rolling boil is kept, by height over the sea.
///
/// - **Rule** 1 minute; 3 minutes above 1,000 m, or where the height is not known. Local instructions that ask for
///   longer win.
/// - **Arguments** `altitude` -500 to 6,000 m.
/// - **Reference** US EPA, emergency disinfection leaflet (3 minutes above 5,000 ft, printed also as 1,000 m); CDC (above
///   6,500 ft). The more cautious of the two is taken.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] when the height is out of range or no number.
///
/// ```
/// use keepwell_engine::quantity::{as_minutes, metres};
/// use keepwell_engine::treatment::boil_time;
/// assert!((as_minutes(boil_time(Some(metres(0.0)))?.value) - 1.0).abs() < 1e-9);
/// assert!((as_minutes(boil_time(Some(metres(1676.4)))?.value) - 3.0).abs() < 1e-9); // 5,500 ft
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn boil_time(altitude: Option<Length>) -> Result<Reckoned<Time>, TreatmentError> {
    let height = altitude.map(|altitude| ELEVATION.check(as_metres(altitude))).transpose()?;
    let value = if height.is_none_or(|height| height > HIGH + 1e-9) { 3.0 } else { 1.0 };
    let mut working = Working::new("how long to keep a rolling boil", "1 min; 3 min above 1,000 m or height unknown");
    if let Some(height) = height {
        working = working.input("height over the sea", "z", Figure::exact(height, Unit::Metre), "set-up");
    }
    Ok(working
        .step("rolling boil", "", Figure::exact(value, Unit::Minute))
        .without("local instructions that ask for longer: they win")
        .source("US EPA, emergency disinfection of drinking water: 3 minutes above 5,000 ft, printed also as 1,000 m")
        .source("CDC: 1 minute; 3 minutes above 6,500 ft")
        .gives(minutes(value)))
}
