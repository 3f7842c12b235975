//! Conversion factors are those of NIST SP 811 (2008), appendix B.8: US gallon 3.785411784 L, foot 0.3048 m (exact),
//! inch 0.0254 m (exact), pound 0.45359237 kg (exact), psi 6.894757 kPa; °F by 5/9 (°F − 32).

use keepwell_engine::quantity as q;
use keepwell_engine::quantity::Measure;
use keepwell_engine::quantity::Unit;
use proptest::prelude::*;

use super::*;
use crate::web::reader::Units;
use crate::web::reader::tests::reader;

const BORE: Measure = Measure { name: "bore", unit: Unit::Millimetre, min: 0.1, max: 10_000.0 };
const MASS: Measure = Measure { name: "weight", unit: Unit::Kilogram, min: 0.0, max: 1000.0 };

fn typed(text: &str, measure: &Measure, units: Units) -> f64 {
    parse_measure(text, measure, &reader(units)).unwrap_or_else(|error| panic!("{text}: {error:?}"))
}

fn refused(text: &str, measure: &Measure, units: Units) -> String {
    let reader = reader(units);
    let said = reader.say(&parse_measure(text, measure, &reader).unwrap_err()).to_string();
    said.replace('\u{a0}', " ")
}

fn close(value: f64, expected: f64) {
    assert!((value - expected).abs() <= 1e-6 * expected.abs(), "{value} is not {expected}");
}

#[test]
fn a_unit_that_is_written_wins() {
    for units in Units::ALL {
        for (text, measure, expected) in [
            ("3 ft 8 in", &q::DEPTH, 1.1176),
            ("3' 8\"", &q::DEPTH, 1.1176),
            ("3’8”", &q::DEPTH, 1.1176),
            ("3 ft 8", &q::DEPTH, 1.1176),
            ("3 feet, 8 inches", &q::DEPTH, 1.1176),
            ("44\"", &q::DEPTH, 1.1176),
            ("1 1/4 in", &BORE, 31.75),
            ("2.6 cm", &BORE, 26.0),
            ("44 in.", &q::DEPTH, 1.1176),
            ("44 1/8 in", &q::DEPTH, 1.120_775),
            ("3 ft 8 1/8 in", &q::DEPTH, 1.120_775),
            ("1/2 in", &q::DEPTH, 0.0127),
            ("-10 ft 6 in", &q::ELEVATION, -3.2004),
            ("250 gal", &q::VOLUME, 946.352_946),
            ("1 US gallon", &q::VOLUME, 3.785_411_784),
            ("4 quarts", &q::VOLUME, 3.785_411_784),
            ("1,234 gal", &q::VOLUME, 4_671.198_141_456),
            ("68 F", &q::WATER_TEMPERATURE, 20.0),
            ("68°F", &q::WATER_TEMPERATURE, 20.0),
            ("15 psi", &q::PRESSURE, 103.421_355),
            ("2 lb", &MASS, 0.907_184_74),
            ("2 lb 8 oz", &MASS, 1.133_980_925),
            ("90 min", &q::RUN_HOURS, 1.5),
            ("1 h 30 min", &q::RUN_HOURS, 1.5),
            ("26 weeks", &q::INTERVAL, 182.0),
            ("4 gal a day", &q::RATION, 15.141_647_136),
        ] {
            close(typed(text, measure, units), expected);
        }
    }
}

#[test]
fn a_metric_figure_is_kept_bit_for_bit() {
    for units in Units::ALL {
        for (text, measure, expected) in [
            ("1.118 m", &q::DEPTH, 1.118_f64),
            ("1.18m", &q::DEPTH, 1.18),
            ("111.8 cm", &q::DEPTH, 1.118),
            ("118 cm", &q::DEPTH, 1.18),
            ("1118mm", &q::DEPTH, 1.118),
            ("140 mL", &q::DOSE_VOLUME, 0.14),
            ("1.5 m3", &q::VOLUME, 1500.0),
            ("0.6 mg/L", &q::FREE_CHLORINE, 0.6),
            ("2.5 kW", &q::POWER, 2500.0),
            ("1.1 bar", &q::PRESSURE, 110.0),
            ("29 %", &q::PERCENT, 0.29),
            ("29", &q::PERCENT, 0.29),
            ("3/4", &q::FRACTION, 0.75),
            ("15 L/day", &q::RATION, 15.0),
            ("0.9 L an hour", &q::BURN, 0.9),
        ] {
            assert_eq!(typed(text, measure, units).to_bits(), expected.to_bits(), "{text}");
        }
    }
}

#[test]
fn a_bare_number_is_in_the_readers_unit() {
    assert_eq!(typed("250", &q::VOLUME, Units::Metric).to_bits(), 250_f64.to_bits());
    close(typed("250", &q::VOLUME, Units::Us), 946.352_946);
    close(typed("44.5", &q::DIMENSION, Units::Us), 13.5636);
    close(typed("68", &q::WATER_TEMPERATURE, Units::Us), 20.0);
    assert_eq!(typed("7.2", &q::PH, Units::Us).to_bits(), 7.2_f64.to_bits());
}

#[test]
fn what_is_refused_is_said_with_field_value_and_limits() {
    assert_eq!(refused("45", &q::DEPTH, Units::Metric), "Depth is 45 m; allowed is 0 m to 30 m.");
    // 30 m ÷ 0.3048 = 98.42519… ft, named as what is still allowed; 45 m are 147.6378 ft.
    assert_eq!(refused("45 m", &q::DEPTH, Units::Us), "Depth is 147.6378 ft; allowed is 0 ft to 98.4251 ft.");
    assert!(parse_measure("98.4251", &q::DEPTH, &reader(Units::Us)).is_ok());
    assert_eq!(
        refused("-1", &q::FREE_CHLORINE, Units::Metric),
        "Free chlorine is −1 mg/L; allowed is 0 mg/L to 1,000 mg/L."
    );
    assert_eq!(refused("15", &q::PH, Units::Metric), "pH is 15; allowed is 0 to 14.");
    assert_eq!(
        refused("3 gal", &q::DEPTH, Units::Metric),
        "“3 gal” has a unit that does not fit. Depth is given in m, cm, mm, ft or in."
    );
    assert_eq!(
        refused("a lot", &q::VOLUME, Units::Metric),
        "Volume: “a lot” is not a number. Write it like 1234.5 or 1,234.5."
    );
    assert_eq!(refused("  ", &q::VOLUME, Units::Metric), "Volume: Write a number, such as 12.5.");
}

#[test]
fn what_has_no_single_meaning_is_refused() {
    for (text, measure) in [
        ("3 in 8 ft", &q::DEPTH),
        ("3 ft 12 in", &q::DEPTH),
        ("3.5 ft 8 in", &q::DEPTH),
        ("3 ft -8 in", &q::DEPTH),
        ("3 ft 8 in 2", &q::DEPTH),
        ("1 m 18 cm", &q::DEPTH),
        ("1/0 in", &q::DEPTH),
        ("3/", &q::DEPTH),
        ("/4", &q::DEPTH),
        ("1/2/3", &q::DEPTH),
        ("cm", &q::DEPTH),
        ("5 ML", &q::VOLUME),
        ("5 people", &q::VOLUME),
        ("NaN", &q::VOLUME),
        ("inf L", &q::VOLUME),
        ("1e3 L", &q::VOLUME),
        ("12 L", &q::PEOPLE),
    ] {
        assert!(parse_measure(text, measure, &reader(Units::Metric)).is_err(), "{text}");
    }
}

#[test]
fn a_form_shows_what_was_typed() {
    for (value, unit, units, shown) in [
        (1.118, Unit::Metre, Units::Metric, "1.118"),
        (typed("250 gal", &q::VOLUME, Units::Us), Unit::Litre, Units::Us, "250"),
        (typed("3 ft 8 in", &q::DEPTH, Units::Us), Unit::Metre, Units::Metric, "1.1176"),
        (typed("68 F", &q::WATER_TEMPERATURE, Units::Us), Unit::Celsius, Units::Us, "68"),
        (0.29, Unit::Fraction, Units::Us, "29"),
        (0.005, Unit::Fraction, Units::Metric, "0.5"),
        (1.0, Unit::Fraction, Units::Metric, "100"),
        (0.0, Unit::Fraction, Units::Metric, "0"),
        (7.2, Unit::Ph, Units::Us, "7.2"),
        (f64::NAN, Unit::Litre, Units::Us, ""),
    ] {
        assert_eq!(format_measure(value, unit, &reader(units)), shown);
    }
}

const EVERY: [Unit; 36] = [
    Unit::Litre,
    Unit::Metre,
    Unit::Millimetre,
    Unit::MilligramPerLitre,
    Unit::Celsius,
    Unit::Kilopascal,
    Unit::Watt,
    Unit::WattHour,
    Unit::Kilogram,
    Unit::Hour,
    Unit::Day,
    Unit::LitrePerHour,
    Unit::LitrePerDay,
    Unit::LitrePerMinute,
    Unit::Ntu,
    Unit::Ph,
    Unit::SquareMetre,
    Unit::MetrePerSecond,
    Unit::KilogramPerCubicMetre,
    Unit::MillipascalSecond,
    Unit::Second,
    Unit::PerHour,
    Unit::Kilonewton,
    Unit::Degree,
    Unit::Ampere,
    Unit::KilowattHourPerCubicMetre,
    Unit::Millilitre,
    Unit::Gram,
    Unit::GramPerLitre,
    Unit::MilligramMinutePerLitre,
    Unit::MillijoulePerSquareCentimetre,
    Unit::Minute,
    Unit::PerDay,
    Unit::Log10,
    Unit::Fraction,
    Unit::Count,
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_text_panics(text in "\\PC{0,40}", near in "[-+0-9., /'\"ftincmLgal°F%]{0,20}") {
        for unit in EVERY {
            let measure = Measure { name: "thing", unit, min: -1e12, max: 1e12 };
            for units in Units::ALL {
                for text in [&text, &near] {
                    match parse_measure(text, &measure, &reader(units)) {
                        Ok(value) => prop_assert!(value.is_finite()),
                        Err(message) => {
                            let open = reader(units).say(&message).places().count();
                            prop_assert_eq!(open, 0);
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn what_a_form_shows_comes_back_bit_for_bit(value in -1e7..1e7_f64, thousandths in -10_000_000_i32..10_000_000) {
        for value in [value, f64::from(thousandths) / 1000.0] {
            for unit in EVERY {
                let measure = Measure { name: "thing", unit, min: -1e12, max: 1e12 };
                for units in Units::ALL {
                    let shown = format_measure(value, unit, &reader(units));
                    let back = parse_measure(&shown, &measure, &reader(units));
                    prop_assert_eq!(back.as_ref().map(|back| back.to_bits()), Ok((value + 0.0).to_bits()), "{} {:?}", shown, unit);
                }
            }
        }
    }
}
