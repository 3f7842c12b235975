//! Figures as a person reads them: in the reader's units, rounded to what can be used, the unit beside the number.
//!
//! How finely: litres under ten to a tenth, others whole; lengths to the millimetre, or the eighth of an inch that a
//! tape shows; days to a tenth. Whoever needs every digit uses [`Reader::exact`].

mod figure;

use core::fmt;

pub use figure::ADay;
pub use figure::AMinute;
pub use figure::AnHour;
pub use figure::Bare;
pub use figure::Figure;
pub use figure::Hours;
use keepwell_engine::quantity::Unit;

use crate::web::reader::Reader;
use crate::web::reader::Units;
use crate::web::words::Fill;
use crate::web::words::Phrase;

/// What stands between a number and a sign, so that no line ends between them.
const NO_BREAK: char = '\u{a0}';
/// Longer than this, days are no longer told apart.
const MANY_DAYS: f64 = 730.0;

/// A figure ready to be read: the number and its unit, for a page may set the unit smaller.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shown {
    /// the number, rounded and grouped
    pub number: String,
    /// the unit's sign or word; empty where the number is bare
    pub unit: &'static str,
}

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.number)?;
        if self.unit.is_empty() {
            return Ok(());
        }
        // A sign (L, mg/L, °C) belongs to its number; a word (days) may begin the next line.
        let is_word = self.unit.chars().take_while(|c| c.is_lowercase()).count() > 3;
        write!(f, "{}{}", if is_word { ' ' } else { NO_BREAK }, self.unit.replacen(' ', "\u{a0}", 1))
    }
}

impl Fill for Shown {
    fn phrase(&self) -> Phrase {
        Phrase::verbatim(self.to_string())
    }
}

/// A value that is no figure: an error of ours, never shown as if it were one.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{value} is not a figure that can be shown ({unit:?})")]
pub struct NotAFigure {
    value: f64,
    unit: Unit,
}

impl Reader {
    /// The figure, given in its metric unit, as this reader reads it.
    ///
    /// # Errors
    /// NaN, and infinity (or nearly so) in anything but days.
    pub fn figure(&self, value: f64, unit: Unit) -> Result<Shown, NotAFigure> {
        if unit == Unit::Day && value > MANY_DAYS {
            let number = self.language.catalogue().phrase("over {n}").with("n", "2").to_string();
            return Ok(Shown { number, unit: self.word("years") });
        }
        if !is_figure(value) {
            return Err(NotAFigure { value, unit });
        }
        let us = self.units == Units::Us;
        let value = if us { unit.to_us(value) } else { value };
        let (number, unit) = match unit {
            Unit::Litre => (self.usable(value), self.sign(unit)),
            Unit::Metre if us => return Ok(self.feet_and_inches(value)),
            Unit::Metre if value.abs() < 10.0 => (self.number(value, 2, 3), self.sign(unit)),
            Unit::Metre if value.abs() < 100.0 => (self.number(value, 1, 2), self.sign(unit)),
            Unit::Metre => (self.number(value, 0, 0), self.sign(unit)),
            Unit::Millimetre => (self.small(value, if us { 3 } else { 1 }), self.sign(unit)),
            Unit::MilligramPerLitre | Unit::Ph => (self.number(value, 0, 2), self.sign(unit)),
            Unit::Celsius if us => (self.number(value, 0, 0), self.sign(unit)),
            Unit::Kilopascal if !us => (self.number(value, 0, 0), self.sign(unit)),
            Unit::Celsius | Unit::Kilopascal | Unit::Ntu => (self.number(value, 0, 1), self.sign(unit)),
            Unit::Watt if value.abs() >= 999.5 => (self.fine(value / 1000.0), "kW"),
            Unit::WattHour if value.abs() >= 999.5 => (self.fine(value / 1000.0), "kWh"),
            Unit::Watt | Unit::WattHour => (self.usable(value), self.sign(unit)),
            Unit::Kilogram | Unit::LitrePerHour | Unit::LitrePerDay | Unit::LitrePerMinute => {
                (self.fine(value), self.sign(unit))
            }
            Unit::SquareMetre | Unit::MetrePerSecond | Unit::Kilonewton | Unit::KilowattHourPerCubicMetre => {
                (self.small(value, 2), self.sign(unit))
            }
            Unit::MillipascalSecond | Unit::PerDay => (self.small(value, 3), self.sign(unit)),
            Unit::Millilitre | Unit::Gram | Unit::GramPerLitre => (self.fine(value), self.sign(unit)),
            Unit::MilligramMinutePerLitre | Unit::MillijoulePerSquareCentimetre | Unit::Minute | Unit::Log10 => {
                (self.number(value, 0, 1), self.sign(unit))
            }
            Unit::KilogramPerCubicMetre | Unit::Second | Unit::PerHour | Unit::Degree | Unit::Ampere => {
                (self.number(value, 0, 1), self.sign(unit))
            }
            Unit::Hour => self.one_or_many(self.usable(value), unit),
            Unit::Day => (self.number(value, 1, 1), self.word("days")),
            Unit::Fraction => (self.usable(value * 100.0), "%"),
            Unit::Count if value.fract() == 0.0 || value.abs() >= 1000.0 => (self.number(value, 0, 0), ""),
            Unit::Count => (self.small(value, 2), self.sign(unit)),
        };
        Ok(Shown { number, unit })
    }

    /// The figure with every digit that matters: what was typed, or a limit.
    ///
    /// # Errors
    /// NaN and infinity.
    pub fn exact(&self, value: f64, unit: Unit) -> Result<Shown, NotAFigure> {
        if !is_figure(value) {
            return Err(NotAFigure { value, unit });
        }
        let number = match (self.units, unit) {
            (Units::Metric, Unit::Fraction) | (Units::Us, _) => {
                let shown = if unit == Unit::Fraction { value * 100.0 } else { unit.to_us(value) };
                self.number(shown, 0, 4)
            }
            (Units::Metric, _) => self.grouped(&value.to_string()),
        };
        let (number, unit) = self.one_or_many(number, unit);
        Ok(Shown { number, unit })
    }

    /// A depth in the small unit of a dipstick: centimetres, or inches.
    ///
    /// # Errors
    /// NaN and infinity.
    pub fn depth(&self, metres: f64) -> Result<Shown, NotAFigure> {
        if !is_figure(metres) {
            return Err(NotAFigure { value: metres, unit: Unit::Metre });
        }
        Ok(match self.units {
            Units::Metric => Shown { number: self.number(metres * 100.0, 0, 1), unit: "cm" },
            Units::Us => {
                let (sign, feet, eighths) = tape(Unit::Metre.to_us(metres));
                Shown { number: format!("{sign}{}", self.eighths(feet * 96 + eighths)), unit: "in" }
            }
        })
    }

    /// The unit's sign as this reader sees it, beside a field or at the head of a column.
    #[must_use]
    pub fn sign(&self, unit: Unit) -> &'static str {
        match (unit, self.units) {
            (Unit::Litre, Units::Us) => "US\u{a0}gal",
            (Unit::Metre, Units::Us) => "ft",
            (Unit::Millimetre, Units::Us) => "in",
            (Unit::Celsius, Units::Us) => "°F",
            (Unit::Kilopascal, Units::Us) => "psi",
            (Unit::Kilogram, Units::Us) => "lb",
            (Unit::LitrePerHour, Units::Metric) => self.word("L an hour"),
            (Unit::LitrePerHour, Units::Us) => self.word("US gal an hour"),
            (Unit::LitrePerDay, Units::Metric) => self.word("L a day"),
            (Unit::LitrePerDay, Units::Us) => self.word("US gal a day"),
            (Unit::LitrePerMinute, Units::Metric) => self.word("L a minute"),
            (Unit::LitrePerMinute, Units::Us) => self.word("US gal a minute"),
            (Unit::SquareMetre, Units::Us) => "ft²",
            (Unit::MetrePerSecond, Units::Us) => "ft/s",
            (Unit::KilogramPerCubicMetre, Units::Us) => "lb/ft³",
            (Unit::Kilonewton, Units::Us) => "lbf",
            (Unit::PerHour, _) => self.word("an hour"),
            (Unit::PerDay, _) => self.word("a day"),
            (Unit::Minute, _) => self.word("minutes"),
            (Unit::Hour, _) => self.word("hours"),
            (Unit::Day, _) => self.word("days"),
            (Unit::Fraction, _) => "%",
            _ => unit.sign(),
        }
    }

    /// A figure with its unit in words, one of which is not said as many.
    fn one_or_many(&self, number: String, unit: Unit) -> (String, &'static str) {
        let sign = match unit {
            Unit::Hour if number == "1" => self.word("hour"),
            Unit::Day if number == "1" => self.word("day"),
            unit => self.sign(unit),
        };
        (number, sign)
    }

    /// A whole number, with the thousands apart.
    pub(crate) fn whole(&self, count: u64) -> String {
        self.grouped(&count.to_string())
    }

    /// Under ten to a tenth, otherwise whole.
    fn usable(&self, value: f64) -> String {
        self.number(value, 0, if value.abs() < 9.95 { 1 } else { 0 })
    }

    /// Under one to a hundredth, under a hundred to a tenth, otherwise whole.
    fn fine(&self, value: f64) -> String {
        let most = match value.abs() {
            size if size < 0.995 => 2,
            size if size < 99.95 => 1,
            _ => 0,
        };
        self.number(value, 0, most)
    }

    /// So many decimals, and under one what it takes for three digits that count: a friction factor of 0.0217.
    fn small(&self, value: f64, decimals: usize) -> String {
        const FINEST: usize = 9;
        let mut most = decimals;
        let mut size = value.abs() * 10_f64.powi(i32::try_from(decimals).unwrap_or(0));
        while (f64::MIN_POSITIVE..99.5).contains(&size) && value.abs() < 0.995 && most < FINEST {
            size *= 10.0;
            most += 1;
        }
        self.number(value, 0, most)
    }

    /// A number with at least and at most so many decimals, in the marks of the reader's language.
    #[must_use]
    pub fn number(&self, value: f64, least: usize, most: usize) -> String {
        // Halves go up, as people round; formatting alone would send them to the even digit.
        let scale = 10_f64.powi(i32::try_from(most).unwrap_or(0));
        let rounded = (value * scale).round() / scale;
        let text = format!("{:.most$}", if rounded.is_finite() { rounded } else { value });
        let Some((whole, decimals)) = text.split_once('.') else { return self.grouped(&text) };
        let kept = decimals.trim_end_matches('0').len().max(least);
        if kept == 0 { self.grouped(whole) } else { self.grouped(&format!("{whole}.{}", &decimals[..kept])) }
    }

    /// Plain digits, with a point, in the marks of the reader's language.
    fn grouped(&self, plain: &str) -> String {
        let negative = plain.starts_with('-') && plain.contains(|digit| ('1'..='9').contains(&digit));
        let (whole, decimals) = plain
            .trim_start_matches('-')
            .split_once('.')
            .map_or((plain.trim_start_matches('-'), None), |(whole, decimals)| (whole, Some(decimals)));
        let mut shown = String::from(if negative { "−" } else { "" });
        for (at, digit) in whole.chars().enumerate() {
            if at > 0 && (whole.len() - at).is_multiple_of(3) {
                shown.push(self.language.thousands_mark());
            }
            shown.push(digit);
        }
        if let Some(decimals) = decimals {
            shown.push(self.language.decimal_mark());
            shown.push_str(decimals);
        }
        shown
    }

    /// Feet and inches to the eighth, as a tape shows them; from a hundred feet, whole feet.
    fn feet_and_inches(&self, feet: f64) -> Shown {
        if feet.abs() >= 100.0 {
            return Shown { number: self.number(feet, 0, 0), unit: "ft" };
        }
        let (sign, whole, eighths) = tape(feet);
        match (whole, eighths) {
            (0, _) => Shown { number: format!("{sign}{}", self.eighths(eighths)), unit: "in" },
            (_, 0) => Shown { number: format!("{sign}{whole}"), unit: "ft" },
            _ => {
                let number = format!("{sign}{whole}{NO_BREAK}ft{NO_BREAK}{}", self.eighths(eighths));
                Shown { number, unit: "in" }
            }
        }
    }

    /// Eighths of an inch as a whole and a fraction in lowest terms.
    fn eighths(&self, eighths: u32) -> String {
        let whole = self.number(f64::from(eighths / 8), 0, 0);
        let fraction = match eighths % 8 {
            0 => return whole,
            2 => "1/4",
            4 => "1/2",
            6 => "3/4",
            1 => "1/8",
            3 => "3/8",
            5 => "5/8",
            _ => "7/8",
        };
        if eighths < 8 { fraction.to_owned() } else { format!("{whole}{NO_BREAK}{fraction}") }
    }
}

/// Finite, and so far from the end of all numbers that no conversion leads there.
fn is_figure(value: f64) -> bool {
    value.abs() <= 1e300
}

/// Sign, whole feet and eighths of an inch beyond them.
fn tape(feet: f64) -> (&'static str, u32, u32) {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative; saturates when absurd")]
    let eighths = (feet.abs() * 96.0).round() as u32;
    (if feet < 0.0 && eighths > 0 { "−" } else { "" }, eighths / 96, eighths % 96)
}

#[cfg(test)]
mod tests;
