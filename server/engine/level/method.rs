//! How a level was seen, and the error each way has.

use crate::quantity::Area;
use crate::quantity::OutOfRange;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::litres;
use crate::quantity::millimetres;

/// A drum judged by eye is right to an eighth of the brim either way, evenly spread: 1/8 ÷ √3.
const EYE: f64 = 0.125 / 1.732_050_807_568_877_2;
/// A displacement meter at normal flow reads 98.5 to 101.5 %, evenly spread: 0.015 ÷ √3.
const METER: f64 = 0.015 / 1.732_050_807_568_877_2;

/// How litres were measured.
///
/// Standard deviations are those of common practice for each way unless a source is named at [`Method::source`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Method {
    /// a stick or tape, from the floor up or from the rim down
    Dipstick,
    /// a sight tube or a scale moulded into the wall
    SightGlass,
    /// by eye, to the nearest quarter
    Eye,
    /// a counter in the pipe: the error is of what ran through it
    Meter,
    /// by the bucket: the error is of what was carried
    Bucket,
    /// a hydrostatic sensor vented to the air
    Sensor,
    /// a hydrostatic sensor that feels the weather
    UnventedSensor,
    /// an ultrasonic sensor that knows the air's temperature
    Ultrasonic,
    /// on a scale, the empty container taken off
    Weighed,
    /// full containers counted
    Counted,
    /// guessed: the error is of the amount
    Guess,
}

impl Method {
    /// Every way, in the order a form offers them.
    pub const ALL: [Self; 11] = [
        Self::Dipstick,
        Self::SightGlass,
        Self::Eye,
        Self::Meter,
        Self::Bucket,
        Self::Sensor,
        Self::UnventedSensor,
        Self::Ultrasonic,
        Self::Weighed,
        Self::Counted,
        Self::Guess,
    ];

    /// The word in the ledger, in files and in addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Dipstick => "dipstick",
            Self::SightGlass => "sight_glass",
            Self::Eye => "eye",
            Self::Meter => "meter",
            Self::Bucket => "bucket",
            Self::Sensor => "sensor",
            Self::UnventedSensor => "unvented_sensor",
            Self::Ultrasonic => "ultrasonic",
            Self::Weighed => "weighed",
            Self::Counted => "counted",
            Self::Guess => "guess",
        }
    }

    /// The way with this [`Method::key`].
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|method| method.key() == key)
    }

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Dipstick => "dipstick",
            Self::SightGlass => "sight glass",
            Self::Eye => "by eye",
            Self::Meter => "meter",
            Self::Bucket => "by the bucket",
            Self::Sensor => "sensor",
            Self::UnventedSensor => "unvented sensor",
            Self::Ultrasonic => "ultrasonic sensor",
            Self::Weighed => "weighed",
            Self::Counted => "counted",
            Self::Guess => "guessed",
        }
    }

    /// Where the standard deviation comes from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::Dipstick => "4 mm (3 to 5 mm in still water): common practice, no source",
            Self::SightGlass => "5 mm and 1 % of the volume: common practice, no source",
            Self::Eye => "an eighth of the brim either way, ÷ √3 (JCGM 100:2008): common practice, no source",
            Self::Meter => "98.5 to 101.5 %, NAVFAC MO-221 section 5, ÷ √3 (JCGM 100:2008)",
            Self::Bucket => "2 % of the amount: common practice, no source",
            Self::Guess => "20 % of the amount: common practice, no source",
            Self::Sensor => "0.25 % of a 5 m span, ÷ √3 (JCGM 100:2008): common practice, no source",
            Self::UnventedSensor => "100 mm, a change of weather of 1 kPa: reckoned from 9.789 Pa a mm",
            Self::Ultrasonic => "10 mm with the air's temperature made good: common practice, no source",
            Self::Weighed | Self::Counted => "1 % of the volume: common practice, no source",
        }
    }

    /// The part of the error that is of the amount.
    #[must_use]
    pub const fn part(self) -> f64 {
        self.errors().1
    }

    /// The part of the error that is of the depth, in millimetres, and the part that is of the amount.
    const fn errors(self) -> (f64, f64) {
        match self {
            Self::Dipstick => (4.0, 0.0),
            Self::SightGlass => (5.0, 0.01),
            Self::Eye => (0.0, 0.0),
            Self::Meter => (0.0, METER),
            Self::Bucket => (0.0, 0.02),
            Self::Guess => (0.0, 0.2),
            Self::Sensor => (7.0, 0.0),
            Self::UnventedSensor => (100.0, 0.0),
            Self::Ultrasonic => (10.0, 0.0),
            Self::Weighed | Self::Counted => (0.0, 0.01),
        }
    }
}

/// One standard deviation of litres measured by `method`.
///
/// - **Formula** sd = √((A·σ_h)² + (p·V)²); by eye it is a part of the brim, whatever the depth.
/// - **Arguments** `surface` A: the free water surface at that depth, 0 or more (of a coupled bank, of all of it;
///   without meaning for a meter, a bucket, a scale or a count: pass 0). `volume` V: litres read, or that ran through
///   the meter, 0 to 10,000,000 L. `brim`: what the vessel holds. σ_h and p: [`Method::source`].
/// - **Range** the depth error is taken as small beside the depth over which A changes. It says nothing of a bottom
///   that is not flat, nor of a capacity that is not as stated; and it is the error of one look: looking twice by eye
///   does not average it out.
/// - **Reference** JCGM 100:2008 (GUM), 4.3.7 (limits to a standard deviation) and 5.1.2 (in quadrature).
///
/// # Errors
/// [`OutOfRange`] when a volume is not a number or out of range, or the surface is not a number or is negative.
///
/// A tank 95 in across (4.573 m²) dipped with 4 mm; with 5 mm it is the 22.9 L of the usual worked figure:
/// ```
/// use keepwell_engine::level::{Method, reading_sd};
/// use keepwell_engine::quantity::{as_litres, litres, metres};
/// let surface = metres(4.573) * metres(1.0);
/// let sd = reading_sd(Method::Dipstick, surface, litres(4573.0), litres(8000.0))?;
/// assert!((as_litres(sd) - 22.9 * 4.0 / 5.0).abs() < 0.05);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn reading_sd(method: Method, surface: Area, volume: Volume, brim: Volume) -> Result<Volume, OutOfRange> {
    let read = VOLUME.check(as_litres(volume))?;
    let brim = VOLUME.check(as_litres(brim))?;
    let (depth_mm, part) = method.errors();
    if method == Method::Eye {
        return Ok(litres(EYE * brim));
    }
    let of_depth = if depth_mm > 0.0 { VOLUME.check(as_litres(surface * millimetres(depth_mm)))? } else { 0.0 };
    Ok(litres(of_depth.hypot(part * read)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::metres;

    fn sd(method: Method, surface_m2: f64, volume_l: f64, brim_l: f64) -> f64 {
        as_litres(reading_sd(method, metres(surface_m2) * metres(1.0), litres(volume_l), litres(brim_l)).unwrap())
    }

    #[track_caller]
    fn near(got: f64, expected: f64, tolerance: f64) {
        assert!((got - expected).abs() <= tolerance, "{got} is not {expected} within {tolerance}");
    }

    #[test]
    fn each_method_has_the_error_of_its_published_limits() {
        // By hand from the limits named at Method::source: a surface of 1 m² makes 1 mm one litre.
        near(sd(Method::Dipstick, 1.0, 500.0, 1000.0), 4.0, 1e-9);
        near(sd(Method::SightGlass, 1.0, 500.0, 1000.0), 50.0_f64.sqrt(), 1e-9); // √(5² + 5²)
        near(sd(Method::Eye, 1.0, 500.0, 1000.0), 72.17, 0.005); // 125/√3
        near(sd(Method::Meter, 1.0, 1000.0, 5000.0), 8.660_254, 1e-6); // a 15 L limit, JCGM 100: 0.015/√3
        near(sd(Method::Bucket, 1.0, 60.0, 1000.0), 1.2, 1e-9);
        near(sd(Method::Sensor, 1.0, 500.0, 1000.0), 7.0, 1e-9);
    }

    #[test]
    fn a_key_names_one_method() {
        for method in Method::ALL {
            assert_eq!(Method::from_key(method.key()), Some(method));
        }
        assert_eq!(Method::from_key("oracle"), None);
    }

    #[test]
    fn what_is_not_a_measurement_is_refused() {
        let surface = metres(1.0) * metres(1.0);
        for bad in [f64::NAN, -1.0, f64::INFINITY, 1e300] {
            assert!(reading_sd(Method::Dipstick, surface, litres(bad), litres(10.0)).is_err());
            assert!(reading_sd(Method::Dipstick, metres(bad) * metres(1.0), litres(1.0), litres(10.0)).is_err());
            assert!(reading_sd(Method::Eye, surface, litres(1.0), litres(bad)).is_err());
        }
    }
}
