//! Depths and litres as paper has them: the small unit of a dipstick, and what one of it holds.

use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::metres;

use crate::model::choice::Choice;
use crate::model::entry::Act;
use crate::model::entry::reading::From;
use crate::model::vessel::DrawWay;
use crate::picture::VesselPicture;
use crate::web::pages::vessels;
use crate::web::reader::Reader;
use crate::web::reader::Units;

/// Flat to a millionth part is the same all the way up.
const SAME: f64 = 1e-6;

/// The unit in which a dipstick is read.
pub struct Small {
    pub sign: &'static str,
    pub metres: f64,
}

pub const CENTIMETRE: Small = Small { sign: "cm", metres: 0.01 };
pub const INCH: Small = Small { sign: "in", metres: 0.025_4 };

pub const fn small(units: Units) -> Small {
    match units {
        Units::Metric => CENTIMETRE,
        Units::Us => INCH,
    }
}

/// What one centimetre or inch of depth holds.
pub struct Each {
    pub litres: f64,
    /// it is the same all the way up; where not, it is told of half way
    pub everywhere: bool,
}

/// None for what has no depth to read.
pub fn each(vessel: &VesselPicture, small: &Small) -> Option<Each> {
    let shape = &vessel.body.shape;
    let rim = as_metres(shape.height()?);
    let held = |at: f64| shape.volume_at(metres(at.clamp(0.0, rim))).map(as_litres).ok();
    let around = |part: f64| {
        let from = (rim - small.metres).max(0.0) * part;
        Some(held(from + small.metres)? - held(from)?)
    };
    let middle = around(0.5)?;
    let all = [0.0, 0.2, 0.35, 0.65, 0.8, 1.0].map(around);
    let like = |one: &Option<f64>| one.is_some_and(|one| (one - middle).abs() <= SAME * middle.abs());
    Some(Each { litres: middle, everywhere: all.iter().all(like) })
}

/// "25.4 L": a tenth, which a rounded figure would lose.
pub fn tenths(reader: &Reader, litres: f64) -> String {
    let value = if reader.units == Units::Us { Unit::Litre.to_us(litres) } else { litres };
    format!("{}\u{a0}{}", reader.number(value, 1, 1), reader.sign(Unit::Litre))
}

/// "196 cm".
pub fn depth(reader: &Reader, at_m: f64) -> String {
    let small = small(reader.units);
    format!("{}\u{a0}{}", reader.number(at_m / small.metres, 0, 1), small.sign)
}

/// The depth at which it is full; none for what has no depth.
pub fn full_m(vessel: &VesselPicture) -> Option<f64> {
    vessel.body.depth_of(vessel.body.capacity.full).map(as_metres)
}

/// The way out that counts, by the word beside it, and how high it is over the floor.
pub fn outlet(vessel: &VesselPicture) -> Option<(&'static str, f64)> {
    let (way, height) = vessels::outlet(vessel).filter(|(_, height)| *height > 0.0)?;
    let word = match way {
        DrawWay::Pump => "suction",
        DrawWay::Gravity => "tap",
        DrawWay::Dip => "by hand",
    };
    Some((word, height))
}

/// What can be drawn of it when it is full.
pub fn usable(vessel: &VesselPicture) -> Volume {
    (vessel.body.capacity.full - vessels::heel(vessel)).max(Volume::default())
}

/// How it is measured: as it was the last time that anyone read a depth; up from the floor if nobody has.
pub fn measured(vessel: &VesselPicture) -> &'static str {
    let id = vessel.vessel.id;
    let last = vessel.cluster().history().iter().rev().find_map(|entry| match &entry.act {
        Act::Reading(reading) if entry.vessel == Some(id) && reading.depth_m.is_some() => reading.from,
        _ => None,
    });
    last.unwrap_or(From::Floor).label()
}
