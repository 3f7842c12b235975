//! A measured thing as typed: a number with its unit, or in the reader's unit where none is written.

use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::web::input::number::Marks;
use crate::web::input::number::Trouble;
use crate::web::input::number::clipped;
use crate::web::input::number::is_space;
use crate::web::input::number::plain;
use crate::web::input::number::shifted;
use crate::web::reader::Reader;
use crate::web::reader::Units;

/// How a typed unit becomes the one a figure is kept in.
#[derive(Clone, Copy, Debug, PartialEq)]
enum How {
    /// times a power of ten
    Tens(i32),
    /// the customary unit, so many of which make one of [`Unit::to_us`]'s: 12 inches a foot
    UsOver(f64),
    /// divided by so many: 60 minutes an hour
    Over(f64),
}

/// The units a figure may be typed in, by the unit it is kept in; written small. A plural s is understood.
#[rustfmt::skip]
const fn typed_units(unit: Unit) -> &'static [(&'static str, How)] {
    use How::{Over, Tens, UsOver};
    match unit {
        Unit::Litre => &[
            ("l", Tens(0)), ("litre", Tens(0)), ("liter", Tens(0)), ("ml", Tens(-3)), ("cl", Tens(-2)), ("dl", Tens(-1)),
            ("millilitre", Tens(-3)), ("milliliter", Tens(-3)), ("m³", Tens(3)), ("cubic metre", Tens(3)),
            ("cubic meter", Tens(3)), ("gal", UsOver(1.0)), ("us gal", UsOver(1.0)), ("gallon", UsOver(1.0)),
            ("us gallon", UsOver(1.0)), ("qt", UsOver(4.0)), ("quart", UsOver(4.0)), ("pt", UsOver(8.0)),
            ("pint", UsOver(8.0)), ("fl oz", UsOver(128.0)),
        ],
        Unit::Metre => &[
            ("m", Tens(0)), ("metre", Tens(0)), ("meter", Tens(0)), ("cm", Tens(-2)), ("centimetre", Tens(-2)),
            ("centimeter", Tens(-2)), ("mm", Tens(-3)), ("millimetre", Tens(-3)), ("millimeter", Tens(-3)),
            ("ft", UsOver(1.0)), ("foot", UsOver(1.0)), ("feet", UsOver(1.0)), ("'", UsOver(1.0)),
            ("in", UsOver(12.0)), ("inch", UsOver(12.0)), ("inche", UsOver(12.0)), ("\"", UsOver(12.0)),
        ],
        Unit::Millimetre => &[
            ("mm", Tens(0)), ("millimetre", Tens(0)), ("millimeter", Tens(0)), ("cm", Tens(1)), ("centimetre", Tens(1)),
            ("centimeter", Tens(1)), ("m", Tens(3)), ("metre", Tens(3)), ("meter", Tens(3)), ("in", UsOver(1.0)),
            ("inch", UsOver(1.0)), ("inche", UsOver(1.0)), ("\"", UsOver(1.0)),
        ],
        Unit::MilligramPerLitre => &[("mg/l", Tens(0)), ("ppm", Tens(0))],
        Unit::Celsius => &[
            ("°c", Tens(0)), ("c", Tens(0)), ("celsiu", Tens(0)), ("°f", UsOver(1.0)), ("f", UsOver(1.0)),
            ("fahrenheit", UsOver(1.0)),
        ],
        Unit::Kilopascal => &[
            ("kpa", Tens(0)), ("bar", Tens(2)), ("mbar", Tens(-1)), ("psi", UsOver(1.0)),
        ],
        Unit::Watt => &[("w", Tens(0)), ("watt", Tens(0)), ("kw", Tens(3)), ("kilowatt", Tens(3))],
        Unit::WattHour => &[("wh", Tens(0)), ("kwh", Tens(3))],
        Unit::Kilogram => &[
            ("kg", Tens(0)), ("kilo", Tens(0)), ("kilogram", Tens(0)), ("g", Tens(-3)), ("gram", Tens(-3)),
            ("lb", UsOver(1.0)), ("pound", UsOver(1.0)), ("oz", UsOver(16.0)), ("ounce", UsOver(16.0)),
        ],
        Unit::Hour => &[
            ("h", Tens(0)), ("hr", Tens(0)), ("hour", Tens(0)), ("min", Over(60.0)), ("minute", Over(60.0)),
        ],
        Unit::Day => &[("d", Tens(0)), ("day", Tens(0)), ("week", Over(1.0 / 7.0)), ("h", Over(24.0)), ("hour", Over(24.0))],
        Unit::LitrePerHour => &[
            ("l/h", Tens(0)), ("l an hour", Tens(0)), ("l per hour", Tens(0)), ("l", Tens(0)), ("litre", Tens(0)),
            ("gal/h", UsOver(1.0)), ("gal an hour", UsOver(1.0)), ("gal per hour", UsOver(1.0)), ("gph", UsOver(1.0)),
            ("us gal an hour", UsOver(1.0)), ("gal", UsOver(1.0)), ("us gal", UsOver(1.0)), ("gallon", UsOver(1.0)),
        ],
        Unit::LitrePerDay => &[
            ("l/d", Tens(0)), ("l/day", Tens(0)), ("l a day", Tens(0)), ("l per day", Tens(0)), ("l", Tens(0)),
            ("litre", Tens(0)), ("gal/d", UsOver(1.0)), ("gal/day", UsOver(1.0)), ("gal a day", UsOver(1.0)),
            ("gal per day", UsOver(1.0)), ("us gal a day", UsOver(1.0)), ("gal", UsOver(1.0)), ("us gal", UsOver(1.0)),
            ("gallon", UsOver(1.0)),
        ],
        Unit::LitrePerMinute => &[
            ("l/min", Tens(0)), ("l a minute", Tens(0)), ("l per minute", Tens(0)), ("l", Tens(0)), ("litre", Tens(0)),
            ("gal/min", UsOver(1.0)), ("gal a minute", UsOver(1.0)), ("gal per minute", UsOver(1.0)),
            ("gpm", UsOver(1.0)), ("us gal a minute", UsOver(1.0)), ("gal", UsOver(1.0)), ("us gal", UsOver(1.0)),
            ("gallon", UsOver(1.0)),
        ],
        Unit::Ntu => &[("ntu", Tens(0))],
        Unit::SquareMetre => &[("m²", Tens(0)), ("m2", Tens(0)), ("ft²", UsOver(1.0)), ("ft2", UsOver(1.0))],
        Unit::MetrePerSecond => &[("m/s", Tens(0)), ("ft/s", UsOver(1.0))],
        Unit::KilogramPerCubicMetre => &[("kg/m³", Tens(0)), ("lb/ft³", UsOver(1.0))],
        Unit::MillipascalSecond => &[("mpa·s", Tens(0))],
        Unit::Second => &[("s", Tens(0)), ("second", Tens(0)), ("min", Over(1.0 / 60.0)), ("minute", Over(1.0 / 60.0))],
        Unit::PerHour => &[("/h", Tens(0)), ("an hour", Tens(0)), ("per hour", Tens(0))],
        Unit::Kilonewton => &[("kn", Tens(0)), ("n", Tens(-3)), ("lbf", UsOver(1.0))],
        Unit::Degree => &[("°", Tens(0)), ("deg", Tens(0)), ("degree", Tens(0))],
        Unit::Ampere => &[("a", Tens(0)), ("amp", Tens(0)), ("ampere", Tens(0))],
        Unit::KilowattHourPerCubicMetre => &[("kwh/m³", Tens(0))],
        Unit::Millilitre => &[
            ("ml", Tens(0)), ("millilitre", Tens(0)), ("milliliter", Tens(0)), ("l", Tens(3)), ("litre", Tens(3)),
        ],
        Unit::Gram => &[("g", Tens(0)), ("gram", Tens(0)), ("kg", Tens(3))],
        Unit::GramPerLitre => &[("g/l", Tens(0)), ("mg/l", Tens(-3))],
        Unit::MilligramMinutePerLitre => &[("mg·min/l", Tens(0)), ("mg.min/l", Tens(0))],
        Unit::MillijoulePerSquareCentimetre => &[("mj/cm²", Tens(0)), ("mj/cm2", Tens(0))],
        Unit::Minute => &[("min", Tens(0)), ("minute", Tens(0)), ("h", Over(1.0 / 60.0)), ("hour", Over(1.0 / 60.0))],
        Unit::PerDay => &[("/d", Tens(0)), ("a day", Tens(0)), ("per day", Tens(0))],
        Unit::Log10 => &[("log", Tens(0))],
        Unit::Ph => &[("ph", Tens(0))],
        Unit::Fraction => &[("%", Tens(-2)), ("percent", Tens(-2)), ("per cent", Tens(-2))],
        Unit::Count => &[],
    }
}

/// The units to suggest when another was typed.
const fn suggested(unit: Unit) -> &'static str {
    match unit {
        Unit::Litre => "L, mL, m³, US gal or qt",
        Unit::Metre => "m, cm, mm, ft or in",
        Unit::Millimetre => "mm, cm, m or in",
        Unit::MilligramPerLitre => "mg/L or ppm",
        Unit::Celsius => "°C or °F",
        Unit::Kilopascal => "kPa, bar or psi",
        Unit::Watt => "W or kW",
        Unit::WattHour => "Wh or kWh",
        Unit::Kilogram => "kg, g, lb or oz",
        Unit::Hour => "hours or minutes",
        Unit::Day => "days, weeks or hours",
        Unit::LitrePerHour => "L/h or gal/h",
        Unit::LitrePerDay => "L/day or gal/day",
        Unit::LitrePerMinute => "L/min or gal/min",
        Unit::Ntu => "NTU",
        Unit::SquareMetre => "m² or ft²",
        Unit::MetrePerSecond => "m/s or ft/s",
        Unit::KilogramPerCubicMetre => "kg/m³ or lb/ft³",
        Unit::MillipascalSecond => "mPa·s",
        Unit::Second => "seconds or minutes",
        Unit::PerHour => "times an hour",
        Unit::Kilonewton => "kN, N or lbf",
        Unit::Degree => "degrees",
        Unit::Ampere => "A",
        Unit::KilowattHourPerCubicMetre => "kWh/m³",
        Unit::Millilitre => "mL or L",
        Unit::Gram => "g or kg",
        Unit::GramPerLitre => "g/L or mg/L",
        Unit::MilligramMinutePerLitre => "mg·min/L",
        Unit::MillijoulePerSquareCentimetre => "mJ/cm²",
        Unit::Minute => "minutes or hours",
        Unit::PerDay => "a part a day",
        Unit::Log10 => "powers of ten",
        Unit::Fraction => "% or as a fraction such as 3/4",
        Unit::Ph | Unit::Count => "a bare number",
    }
}

/// A figure as typed, in the metric unit of its [`Measure`]: bit for bit what was typed, if in that unit.
///
/// Without a unit it is in the reader's; `118 cm`, `1.18m`, `3 ft 8 1/2 in`, `44"`, `250 gal`, `68 F`, `15 psi` and
/// `2 lb 3 oz` say theirs. A gallon is the US one. A part of the whole is typed in per cent, or as `3/4`.
///
/// # Errors
/// What is wrong with it, naming the field, what was typed and what is allowed.
pub fn parse_measure(text: &str, measure: &Measure, reader: &Reader) -> Result<f64, Message> {
    let field = || Arg::Word(measure.name);
    let value = read(text, measure.unit, reader.units).map_err(|problem| match problem {
        Problem::Number(trouble) => {
            Message::new("{Field}: {problem}").with("field", field()).with("problem", trouble.about(text).into())
        }
        Problem::Unit => Message::new("“{typed}” has a unit that does not fit. {Field} is given in {units}.")
            .with("typed", clipped(text))
            .with("field", field())
            .with("units", Arg::Word(suggested(measure.unit))),
    })?;
    if (measure.min..=measure.max).contains(&value) {
        return Ok(value);
    }
    Err(Message::new("{Field} is {value}; allowed is {min} to {max}.")
        .with("field", field())
        .with("value", Arg::Exact(value, measure.unit))
        .with("min", bound(measure.min, measure.unit, reader.units, f64::ceil))
        .with("max", bound(measure.max, measure.unit, reader.units, f64::floor)))
}

/// A limit as the reader is told it: rounded inwards, so that what is named is itself allowed.
fn bound(value: f64, unit: Unit, units: Units, inwards: fn(f64) -> f64) -> Arg {
    match units {
        Units::Metric => Arg::Exact(value, unit),
        Units::Us => Arg::Exact(unit.from_us(inwards(unit.to_us(value) * 1e4) / 1e4), unit),
    }
}

enum Problem {
    Number(Trouble),
    Unit,
}

impl From<Trouble> for Problem {
    fn from(trouble: Trouble) -> Self {
        Self::Number(trouble)
    }
}

fn read(text: &str, unit: Unit, units: Units) -> Result<f64, Problem> {
    let parts = split(text);
    let value = match parts.as_slice() {
        [] => return Err(Trouble::Empty.into()),
        [(number, _), ..] if number.is_empty() => return Err(Trouble::NotANumber.into()),
        [(number, word)] if word.is_empty() => {
            let is_ratio = unit == Unit::Fraction && number.contains('/');
            number_in(number, if is_ratio { How::Tens(0) } else { usual(unit, units) }, unit)?
        }
        [(number, word)] => number_in(number, how(word, unit).ok_or(Problem::Unit)?, unit)?,
        [(large, word), (small, under)] => compound([large, word], [small, under], unit)?,
        _ => return Err(Trouble::NotANumber.into()),
    };
    if value.is_finite() { Ok(value + 0.0) } else { Err(Trouble::NotANumber.into()) }
}

/// `3 ft 8 in`, `2 lb 3 oz`, `1 h 30 min`; inches may go without saying.
fn compound(large: [&str; 2], small: [&str; 2], unit: Unit) -> Result<f64, Problem> {
    let whole = how(large[1], unit).ok_or(Problem::Unit)?;
    let part = match (unit, how(small[1], unit)) {
        (Unit::Metre, None) if small[1].is_empty() => How::UsOver(12.0),
        (_, Some(part)) => part,
        (_, None) => return Err(Problem::Unit),
    };
    let (most, kept): (f64, fn(Unit, f64) -> f64) = match (unit, whole, part) {
        (Unit::Metre, How::UsOver(1.0), How::UsOver(12.0)) => (12.0, Unit::from_us),
        (Unit::Kilogram, How::UsOver(1.0), How::UsOver(16.0)) => (16.0, Unit::from_us),
        (Unit::Hour, How::Tens(0), How::Over(60.0)) => (60.0, |_, hours| hours),
        _ => return Err(Problem::Unit),
    };
    let (whole, part) = (Number::read(large[0])?.value()?, Number::read(small[0])?.value()?);
    if !(0.0..most).contains(&part) || whole.fract() != 0.0 {
        return Err(Trouble::NotANumber.into());
    }
    let below = large[0].trim_start().starts_with(['-', '−']);
    Ok(kept(unit, if below { whole - part / most } else { whole + part / most }))
}

/// What a bare number is in.
const fn usual(unit: Unit, units: Units) -> How {
    match (unit, units) {
        (Unit::Fraction, _) => How::Tens(-2),
        (_, Units::Metric) => How::Tens(0),
        (_, Units::Us) => How::UsOver(1.0),
    }
}

fn how(word: &str, unit: Unit) -> Option<How> {
    // Small and large m differ: millilitre and megalitre.
    if ["ML", "MW", "MWh", "Mg/L"].contains(&word) {
        return None;
    }
    let small = word.to_lowercase();
    let find = |word: &str| typed_units(unit).iter().find(|(typed, _)| *typed == word).map(|(_, how)| *how);
    find(&small).or_else(|| find(small.strip_suffix('s')?))
}

fn number_in(number: &str, how: How, unit: Unit) -> Result<f64, Problem> {
    let number = Number::read(number)?;
    Ok(match (how, &number) {
        (How::Tens(power), Number::Plain(digits)) => shifted(digits, power)?,
        (How::Tens(power), Number::Mixed(value)) => value * 10_f64.powi(power),
        (How::UsOver(parts), _) => unit.from_us(number.value()? / parts),
        (How::Over(parts), _) => number.value()? / parts,
    })
}

/// Digits, or a whole and a fraction as a tape is read: `8 1/2`.
enum Number {
    Plain(String),
    Mixed(f64),
}

impl Number {
    fn read(text: &str) -> Result<Self, Trouble> {
        let Some((before, under)) = text.split_once('/') else { return Ok(Self::Plain(plain(text, Marks::English)?)) };
        let before = before.trim();
        let (whole, over) = before.rsplit_once(is_space).unwrap_or(("0", before));
        let small = |text: &str| text.trim().parse::<u16>().map(f64::from).map_err(|_| Trouble::NotANumber);
        let (over, under) = (small(over)?, small(under)?);
        if under < 1.0 || whole.starts_with(['-', '−']) {
            return Err(Trouble::NotANumber);
        }
        Ok(Self::Mixed(shifted(&plain(whole, Marks::English)?, 0)? + over / under))
    }

    fn value(&self) -> Result<f64, Trouble> {
        match self {
            Self::Plain(digits) => shifted(digits, 0),
            Self::Mixed(value) => Ok(*value),
        }
    }
}

/// The text as numbers, each with the unit that follows it.
fn split(text: &str) -> Vec<(String, String)> {
    let text = text.trim().replace("m3", "m³").replace(['′', '’', '‘'], "'").replace(['″', '”', '“'], "\"");
    let mut parts: Vec<(String, String)> = Vec::new();
    for c in text.chars() {
        match parts.last_mut() {
            Some((number, word)) if word.is_empty() && (in_number(c) || is_space(c)) => number.push(c),
            Some((_, word)) if !c.is_ascii_digit() => word.push(if is_space(c) { ' ' } else { c }),
            _ if in_number(c) => parts.push((c.to_string(), String::new())),
            _ => parts.push((String::new(), c.to_string())),
        }
    }
    for (_, word) in &mut parts {
        *word = word.trim_matches([' ', '.', ',']).to_owned();
    }
    parts
}

fn in_number(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '−' | '/')
}

/// A stored figure as a form shows it for mending: sent back unchanged, it is the same figure bit for bit.
///
/// In US units that is the shortest number that leads back; the few metric figures that no number of gallons or feet
/// leads back to are shown in their metric unit with its sign. What is no figure leaves the field empty.
#[must_use]
pub fn format_measure(value: f64, unit: Unit, reader: &Reader) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let metric = if unit == Unit::Fraction { tens(value, 2) } else { value.to_string() };
    let leads_back =
        |text: &str| read(text, unit, reader.units).is_ok_and(|back| back.to_bits() == (value + 0.0).to_bits());
    if leads_back(&metric) {
        return metric;
    }
    let us = unit.to_us(value);
    let rounded = (0..=17).map(|decimals| format!("{us:.decimals$}"));
    let beside = [us, us.next_up(), us.next_down()].map(|us| us.to_string());
    let found = rounded.chain(beside).find(|text| leads_back(text));
    found.unwrap_or_else(|| format!("{metric} {}", unit.sign()))
}

/// The shortest digits of a number with the point moved to the right.
fn tens(value: f64, power: i32) -> String {
    let text = format!("{value:e}");
    let Some((digits, exponent)) = text.split_once('e') else { return text };
    let (sign, digits) = digits.strip_prefix('-').map_or(("", digits), |digits| ("-", digits));
    let (Ok(exponent), digits) = (exponent.parse::<i32>(), digits.replace('.', "")) else { return text };
    if digits == "0" {
        return digits;
    }
    let point = 1 + exponent + power;
    let Ok(whole) = usize::try_from(point) else {
        return format!("{sign}0.{}{digits}", "0".repeat(point.unsigned_abs() as usize));
    };
    match digits.len() {
        length if length <= whole => format!("{sign}{digits}{}", "0".repeat(whole - length)),
        _ if whole == 0 => format!("{sign}0.{digits}"),
        _ => format!("{sign}{}.{}", &digits[..whole], &digits[whole..]),
    }
}
