//! The units a heading or a cell may name, and how to come from them to the unit a figure is kept in.

use keepwell_engine::quantity::Unit;

use crate::model::neighbourhood::Units;

/// A unit as people write it.
#[derive(Debug)]
pub struct Written {
    /// how we write it
    pub sign: &'static str,
    /// how else it may be written, in small letters
    also: &'static [&'static str],
    /// what a figure becomes
    pub unit: Unit,
    /// the figure in that unit
    pub kept: fn(f64) -> f64,
}

// Divided and not multiplied by a hundredth: 120 cm are the same number as 1.2 m, to the last bit.
const WRITTEN: &[Written] = &[
    Written { sign: "m", also: &["metre", "metres", "meter", "meters"], unit: Unit::Metre, kept: |m| m },
    Written {
        sign: "cm",
        also: &["centimetre", "centimetres", "centimeter", "centimeters"],
        unit: Unit::Metre,
        kept: |cm| cm / 100.0,
    },
    Written {
        sign: "mm",
        also: &["millimetre", "millimetres", "millimeter", "millimeters"],
        unit: Unit::Metre,
        kept: |mm| mm / 1000.0,
    },
    Written { sign: "ft", also: &["foot", "feet", "'", "′"], unit: Unit::Metre, kept: |ft| Unit::Metre.from_us(ft) },
    Written {
        sign: "in",
        also: &["inch", "inches", "\"", "″"],
        unit: Unit::Metre,
        kept: |inches| Unit::Metre.from_us(inches / 12.0),
    },
    Written { sign: "L", also: &["l", "litre", "litres", "liter", "liters"], unit: Unit::Litre, kept: |l| l },
    Written {
        sign: "m³",
        also: &["m3", "cubic metre", "cubic metres", "cubic meter", "cubic meters"],
        unit: Unit::Litre,
        kept: |cubic| cubic * 1000.0,
    },
    Written {
        sign: "gal",
        also: &["gallon", "gallons", "us gal", "us gallon", "us gallons"],
        unit: Unit::Litre,
        kept: |gal| Unit::Litre.from_us(gal),
    },
    Written { sign: "kg", also: &["kilogram", "kilograms"], unit: Unit::Kilogram, kept: |kg| kg },
    Written {
        sign: "lb",
        also: &["lbs", "pound", "pounds"],
        unit: Unit::Kilogram,
        kept: |lb| Unit::Kilogram.from_us(lb),
    },
    Written { sign: "%", also: &["per cent", "percent"], unit: Unit::Fraction, kept: |percent| percent / 100.0 },
    Written { sign: "days", also: &["d", "day"], unit: Unit::Day, kept: |days| days },
    Written { sign: "°", also: &["deg", "degrees"], unit: Unit::Count, kept: |degrees| degrees },
];

/// The unit written here, if it is one of those that figures of `unit` (or by weight, where they may be) come in.
pub fn find(text: &str, unit: Unit, weighed: bool) -> Option<&'static Written> {
    let text = text.trim().to_lowercase();
    of(unit, weighed).find(|written| written.sign.to_lowercase() == text || written.also.contains(&text.as_str()))
}

/// The signs of the units that may stand there, for saying so.
pub fn signs(unit: Unit, weighed: bool) -> String {
    of(unit, weighed).map(|written| written.sign).collect::<Vec<_>>().join(", ")
}

fn of(unit: Unit, weighed: bool) -> impl Iterator<Item = &'static Written> {
    WRITTEN.iter().filter(move |written| written.unit == unit || (weighed && written.unit == Unit::Kilogram))
}

/// A figure whose unit is not named, by the system it is said to be in.
pub fn by_system(figure: f64, unit: Unit, units: Units) -> f64 {
    match units {
        Units::Metric => figure,
        Units::Us => unit.from_us(figure),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn kept(figure: f64, sign: &str, unit: Unit, expected: f64) {
        let written = find(sign, unit, true).unwrap_or_else(|| panic!("{sign}"));
        let kept = (written.kept)(figure);
        // uom's gallon is rounded to seven figures.
        assert!((kept - expected).abs() < 1e-7 * expected, "{figure} {sign}: {kept}");
    }

    #[test]
    fn units_convert_by_their_definitions() {
        // International yard and pound, 1959: 1 ft = 0.3048 m, 1 lb = 0.45359237 kg. US gallon = 231 in³.
        kept(4.0, "ft", Unit::Metre, 1.2192);
        kept(48.0, "inches", Unit::Metre, 1.2192);
        kept(120.0, "cm", Unit::Metre, 1.2);
        kept(1200.0, "MM", Unit::Metre, 1.2);
        kept(1.0, "gal", Unit::Litre, 3.785_411_784);
        kept(1.5, "m3", Unit::Litre, 1500.0);
        kept(20.0, "lb", Unit::Litre, 9.071_847_4);
        kept(35.0, "%", Unit::Fraction, 0.35);
    }

    #[test]
    fn a_unit_of_another_quantity_is_not_found() {
        assert!(find("gal", Unit::Metre, false).is_none());
        assert!(find("kg", Unit::Litre, false).is_none());
        assert!(find("furlong", Unit::Metre, false).is_none());
        assert_eq!(signs(Unit::Litre, true), "L, m³, gal, kg, lb");
    }
}
