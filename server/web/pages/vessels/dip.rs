//! The dip table: what a depth means in litres, read up from the floor or down from the rim.

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Unit;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::metres;

use crate::picture::VesselPicture;
use crate::web::pages::vessels::drawn::outlet;
use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::shown;

/// About so many rows.
const ROWS: f64 = 12.0;
/// Rows nearer to a named one than this part of a step give way to it.
const NEAR: f64 = 0.35;

pub(super) struct Dip {
    /// what the depths are in
    pub unit: &'static str,
    /// "1 cm is 25.4 L", where that is the same all the way up
    pub each: Option<String>,
    pub rim: String,
    pub rows: Vec<DipRow>,
}

pub(super) struct DipRow {
    pub up: String,
    pub down: String,
    pub litres: f64,
    /// floor, outlet, now, full, rim; or empty
    pub name: &'static str,
    pub is_now: bool,
}

impl Dip {
    /// None for what has no depth to read.
    pub fn of(reader: &Reader, vessel: &VesselPicture, now: Moment) -> Option<Self> {
        let shape = &vessel.body.shape;
        let rim = as_metres(shape.height()?);
        let (unit, small_m) = match reader.units {
            Units::Metric => ("cm", 0.01),
            Units::Us => ("in", 0.0254),
        };
        let step = step(rim / small_m / ROWS) * small_m;
        let depth = |volume| vessel.body.depth_of(volume).map(as_metres);
        let mut named = vec![(0.0, "floor")];
        named.extend(outlet(vessel).filter(|(_, height)| *height > 0.0).map(|(_, height)| (height, "outlet")));
        let current = vessel.is_known().then(|| depth(vessel.estimate(now).volume)).flatten();
        named.extend(current.map(|depth| (depth, "now")));
        let full = depth(vessel.body.capacity.full).unwrap_or(rim);
        named.push((full, if full < rim - small_m / 2.0 { "full" } else { "full, the rim" }));
        if full < rim - small_m / 2.0 {
            named.push((rim, "rim"));
        }
        let mut depths = named.clone();
        let mut at = step;
        while at < rim {
            if named.iter().all(|(depth, _)| (depth - at).abs() > step * NEAR) {
                depths.push((at, ""));
            }
            at += step;
        }
        depths.sort_by(|a, b| a.0.total_cmp(&b.0));
        let told = |metres: f64| reader.number(metres / small_m, 0, 1);
        let rows = depths.into_iter().filter_map(|(depth, name)| {
            let held = shape.volume_at(metres(depth.min(rim))).ok()?;
            let (up, down) = (told(depth), told((rim - depth).max(0.0)));
            Some(DipRow { up, down, litres: as_litres(held), name, is_now: name == "now" })
        });
        let between = |from: f64| {
            let held = |at: f64| shape.volume_at(metres(at)).map(as_litres).ok();
            Some(held(from + small_m)? - held(from)?)
        };
        let each = between(0.0).zip(between(rim / 2.0)).filter(|(low, high)| (low - high).abs() < 1e-6 * low.abs());
        let each = each.map(|(litres, _)| {
            let litres = match reader.units {
                Units::Metric => litres,
                Units::Us => Unit::Litre.to_us(litres),
            };
            let litres = format!("{}\u{a0}{}", reader.number(litres, 1, 1), reader.sign(Unit::Litre));
            shown::words(reader, "1 {unit} is {litres}").with("unit", unit).with("litres", litres).to_string()
        });
        Some(Self { unit, each, rim: shown::figure(reader, rim, Unit::Metre), rows: rows.collect() })
    }
}

/// A round step: 1, 2, 5, 10, 20, 50 ...
fn step(about: f64) -> f64 {
    let rounds = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    rounds.into_iter().find(|round| *round >= about).unwrap_or(1_000.0)
}
