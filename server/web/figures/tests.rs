//! Conversion factors are those of NIST SP 811 (2008), appendix B.8: US gallon 3.785411784 L, foot 0.3048 m (exact),
//! pound 0.45359237 kg (exact), psi 6.894757 kPa. How finely each is shown is our own rule.

use super::*;
use crate::web::reader::tests::reader;

fn shown(value: f64, unit: Unit) -> [String; 2] {
    Units::ALL.map(|units| reader(units).figure(value, unit).unwrap().to_string().replace(NO_BREAK, " "))
}

#[test]
fn every_unit_is_shown_to_either_reader() {
    for (value, unit, metric, us) in [
        (4687.0, Unit::Litre, "4,687 L", "1,238 US gal"),
        (3.785_411_784, Unit::Litre, "3.8 L", "1 US gal"),
        (9.96, Unit::Litre, "10 L", "2.6 US gal"),
        (0.0, Unit::Litre, "0 L", "0 US gal"),
        (-1914.0, Unit::Litre, "−1,914 L", "−506 US gal"),
        (1.1176, Unit::Metre, "1.118 m", "3 ft 8 in"),
        (1.8, Unit::Metre, "1.80 m", "5 ft 10 7/8 in"),
        (0.6096, Unit::Metre, "0.61 m", "2 ft"),
        (0.0127, Unit::Metre, "0.013 m", "1/2 in"),
        (-0.3048, Unit::Metre, "−0.305 m", "−1 ft"),
        (304.8, Unit::Metre, "305 m", "1,000 ft"),
        (0.6, Unit::MilligramPerLitre, "0.6 mg/L", "0.6 mg/L"),
        (20.0, Unit::Celsius, "20 °C", "68 °F"),
        (103.421_355, Unit::Kilopascal, "103 kPa", "15 psi"),
        (430.0, Unit::Watt, "430 W", "430 W"),
        (2500.0, Unit::Watt, "2.5 kW", "2.5 kW"),
        (380.0, Unit::WattHour, "380 Wh", "380 Wh"),
        (17.7, Unit::Kilogram, "17.7 kg", "39 lb"),
        (12.7, Unit::LitrePerDay, "12.7 L a day", "3.4 US gal a day"),
        (24.0, Unit::LitrePerMinute, "24 L a minute", "6.3 US gal a minute"),
        (0.57, Unit::LitrePerHour, "0.57 L an hour", "0.15 US gal an hour"),
        (31.0, Unit::Hour, "31 hours", "31 hours"),
        (8.258, Unit::Day, "8.3 days", "8.3 days"),
        (8.0, Unit::Day, "8.0 days", "8.0 days"),
        (731.0, Unit::Day, "over 2 years", "over 2 years"),
        (f64::INFINITY, Unit::Day, "over 2 years", "over 2 years"),
        (0.6, Unit::Fraction, "60 %", "60 %"),
        (1_234_567.0, Unit::Count, "1,234,567", "1,234,567"),
    ] {
        assert_eq!(shown(value, unit), [metric, us], "{value} {unit:?}");
    }
}

#[test]
fn a_dip_is_shown_as_the_stick_is_marked() {
    let dip = |units, metres| reader(units).depth(metres).unwrap().to_string().replace(NO_BREAK, " ");
    assert_eq!(dip(Units::Metric, 1.118), "111.8 cm");
    assert_eq!(dip(Units::Us, 1.1176), "44 in");
    assert_eq!(dip(Units::Us, 1.120_775), "44 1/8 in");
}

#[test]
fn halves_go_up_and_nothing_is_minus_nought() {
    let reader = reader(Units::Metric);
    for (value, most, text) in
        [(12.5, 0, "13"), (2.5, 0, "3"), (0.25, 1, "0.3"), (-0.01, 1, "0"), (-0.0, 0, "0"), (999.96, 1, "1,000")]
    {
        assert_eq!(reader.number(value, 0, most), text);
    }
    assert_eq!(reader.number(5.0, 2, 3), "5.00");
}

#[test]
fn no_number_is_ever_shown_as_nan() {
    let reader = reader(Units::Us);
    for value in [f64::NAN, f64::NEG_INFINITY] {
        assert!(reader.figure(value, Unit::Litre).is_err());
        assert!(reader.figure(value, Unit::Day).is_err());
        assert!(reader.exact(value, Unit::Litre).is_err());
        assert!(reader.depth(value).is_err());
    }
    for value in [1e300, -1e300, f64::MIN_POSITIVE] {
        for unit in [Unit::Metre, Unit::Fraction, Unit::Litre, Unit::Kilopascal] {
            let Shown { number, .. } = reader.figure(value, unit).unwrap();
            assert!(!number.contains("inf") && !number.contains("NaN"), "{number}");
        }
    }
    assert!(reader.figure(f64::MAX, Unit::Metre).is_err());
}
