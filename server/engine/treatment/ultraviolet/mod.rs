//! Ultraviolet light: dose, lamp, and credit by table.

mod water;

pub use water::Clearness;
pub use water::water_factor;

use crate::quantity::RadiantExposure;
use crate::quantity::TURBIDITY;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VolumeRate;
use crate::quantity::as_hours;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_metres;
use crate::quantity::as_mj_per_cm2;
use crate::quantity::mj_per_cm2;
use crate::treatment::Germ;
use crate::treatment::TreatmentError;
use crate::treatment::measures::FLOW;
use crate::treatment::measures::LAMP;
use crate::treatment::measures::UV_DOSE;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

const SAME: f64 = 1e-9;
const SOURCE: &str = "40 CFR 141.720(d)(1); US EPA UV Disinfection Guidance Manual (2006) Table 1.4";

/// Powers of ten of the columns.
const LOGS: [f64; 8] = [0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0];
/// Doses for them, mJ/cm². Giardia 2-log and virus 1.5-log from memory of the rule; they lie between their neighbours.
const CRYPTOSPORIDIUM: [f64; 8] = [1.6, 2.5, 3.9, 5.8, 8.5, 12.0, 15.0, 22.0];
const GIARDIA: [f64; 8] = [1.5, 2.1, 3.0, 5.2, 7.7, 11.0, 15.0, 22.0];
const VIRUS: [f64; 8] = [39.0, 58.0, 79.0, 100.0, 121.0, 143.0, 163.0, 186.0];

const fn doses(germ: Germ) -> &'static [f64; 8] {
    match germ {
        Germ::Cryptosporidium => &CRYPTOSPORIDIUM,
        Germ::Giardia => &GIARDIA,
        Germ::Virus => &VIRUS,
    }
}

/// The validated dose that a credit asks for.
///
/// - **Arguments** `log` one of the table's columns, 0.5 to 4 by halves.
/// - **Reference** 40 CFR 141.720(d)(1); US EPA UV Disinfection Guidance Manual (2006) Table 1.4.
///
/// # Errors
/// [`TreatmentError::NoColumn`] for any other.
///
/// ```
/// use keepwell_engine::quantity::as_mj_per_cm2;
/// use keepwell_engine::treatment::{Germ, uv_dose_for};
/// assert!((as_mj_per_cm2(uv_dose_for(Germ::Cryptosporidium, 3.0)?.value) - 12.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn uv_dose_for(germ: Germ, log: f64) -> Result<Reckoned<RadiantExposure>, TreatmentError> {
    let column = LOGS.iter().position(|column| (column - log).abs() < SAME);
    let columns = "0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4";
    let column = column.ok_or(TreatmentError::NoColumn { log, columns })?;
    let dose = doses(germ)[column];
    Ok(Working::new("validated dose of ultraviolet light that a credit asks for", "the table's column")
        .input("credit", "log", Figure::exact(LOGS[column], Unit::Log10), "asked")
        .step("dose", "", Figure::exact(dose, Unit::MillijoulePerSquareCentimetre))
        .source(SOURCE)
        .gives(mj_per_cm2(dose)))
}

/// The credit of a validated dose: the largest column that it meets; below the first, none.
///
/// - **Arguments** `dose` 0 to 100,000 mJ/cm², of a tested unit: its reduction-equivalent dose over its validation factor.
/// - **Reference** 40 CFR 141.720(d)(1); US EPA UV Disinfection Guidance Manual (2006) Table 1.4.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] for a dose that is none.
///
/// ```
/// use keepwell_engine::quantity::mj_per_cm2;
/// use keepwell_engine::treatment::{Germ, uv_credit};
/// assert!((uv_credit(Germ::Virus, mj_per_cm2(40.0))?.value - 0.5).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn uv_credit(germ: Germ, dose: RadiantExposure) -> Result<Reckoned<f64>, TreatmentError> {
    let dose = UV_DOSE.check(as_mj_per_cm2(dose))?;
    let met = doses(germ).partition_point(|asked| *asked <= dose + SAME);
    let credit = met.checked_sub(1).map_or(0.0, |column| LOGS[column]);
    Ok(Working::new("credit of ultraviolet light", "the largest column whose dose is met")
        .input("validated dose", "", Figure::exact(dose, Unit::MillijoulePerSquareCentimetre), "class or test")
        .step("credit", "log", Figure::exact(credit, Unit::Log10))
        .without("whether the unit runs as it was tested: power, flow, lamp, sleeve, sensor, clear water")
        .source(SOURCE)
        .gives(credit))
}

/// What a unit was tested as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum UvClass {
    /// NSF/ANSI 55 Class A: 40 mJ/cm² at the alarm point
    A,
    /// NSF/ANSI 55 Class B: 16 mJ/cm², for water that is already drinking water
    B,
    /// not tested
    Untested,
}

impl UvClass {
    /// The dose that the class was tested for; nothing where there is no class.
    #[must_use]
    pub fn dose(self) -> Option<RadiantExposure> {
        match self {
            Self::A => Some(mj_per_cm2(40.0)),
            Self::B => Some(mj_per_cm2(16.0)),
            Self::Untested => None,
        }
    }

    /// Credit of the class alone: A counts as 40 mJ/cm²; B, and any unit without a class, has none, whatever it claims.
    ///
    /// - **Reference** NSF/ANSI 55; the table: 40 CFR 141.720(d)(1).
    ///
    /// # Errors
    /// Never for the classes there are.
    pub fn credit(self, germ: Germ) -> Result<Reckoned<f64>, TreatmentError> {
        match self {
            Self::A => uv_credit(germ, mj_per_cm2(40.0)),
            Self::B | Self::Untested => Ok(Working::new("credit of ultraviolet light", "none without a Class A test")
                .step("credit", "log", Figure::exact(0.0, Unit::Log10))
                .without("what the unit claims: Class B is for water that is already drinking water")
                .source("NSF/ANSI 55")
                .gives(0.0)),
        }
    }
}

/// A lamp is changed after so many hours: vendor guidance; common practice, no source.
const LAMP_LIFE: f64 = 9_000.0;
/// What a lamp gives, of new, after this many hours: US Unified Facilities Guide Specification, 65 % after 8,750 h.
const WORN_HOURS: f64 = 8_750.0;
const WORN_PART: f64 = 0.65;

/// A lamp with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lamp {
    /// dose at the rated flow with a new lamp, as the maker states it
    pub rated_dose: RadiantExposure,
    /// the flow that is for
    pub rated_flow: VolumeRate,
    /// hours it has burnt
    pub burnt: Time,
    /// whether it has power
    pub powered: bool,
    /// whether the sleeve is clean and in date
    pub sleeve_in_date: bool,
    /// whether its sensor gives the alarm
    pub alarm: bool,
}

impl Lamp {
    /// The dose at a flow: rated dose · rated flow/flow · lamp · water; lamp straight down to 65 % at 8,750 h, water
    /// WF(now)/WF(rated) where its clearness is known. Without power none.
    ///
    /// - **Arguments** flows 0.0001 to 1,000,000 L/min; hours 0 to 1,000,000.
    /// - **Range** an estimate, and earns no credit by itself: credit is for a validated dose ([`UvClass::credit`]), with
    ///   power, at or under the rated flow, lamp and sleeve in date, the sensor above its alarm and clear water. Above
    ///   the rated flow and past 9,000 h marked; past 8,750 h the line goes on down to nothing.
    /// - **Reference** dose ∝ 1/flow: common practice, no source; lamp: US Unified Facilities Guide Specification; water:
    ///   [`water_factor`], by which the mean light and so the dose falls; a straight path, no reflection.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] names what is not allowed.
    ///
    /// ```
    /// use keepwell_engine::quantity::*;
    /// use keepwell_engine::treatment::Lamp;
    /// let lamp = Lamp { rated_dose: mj_per_cm2(40.0), rated_flow: litres_per_minute(30.0), burnt: hours(8750.0), powered: true,
    ///     sleeve_in_date: true, alarm: false };
    /// // half the flow, twice the dose, at 65 % of new
    /// assert!((as_mj_per_cm2(lamp.dose_at(litres_per_minute(15.0), None)?.value) - 52.0).abs() < 1e-9);
    /// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
    /// ```
    pub fn dose_at(
        &self,
        flow: VolumeRate,
        water: Option<Clearness>,
    ) -> Result<Reckoned<RadiantExposure>, TreatmentError> {
        let rated = UV_DOSE.check(as_mj_per_cm2(self.rated_dose))?;
        let rated_flow = FLOW.check(as_litres_per_minute(self.rated_flow))?;
        let flow = FLOW.check(as_litres_per_minute(flow))?;
        let burnt = LAMP.check(as_hours(self.burnt))?;
        let lamp = (1.0 - (1.0 - WORN_PART) * burnt / WORN_HOURS).max(0.0);
        let part = water.map_or(Ok(1.0), Clearness::part)?;
        let dose = if self.powered { rated * (rated_flow / flow) * lamp * part } else { 0.0 };
        let mut working = Working::new("dose of ultraviolet light", "dose = rated · Q_rated/Q · lamp · water")
            .input("rated dose", "rated", Figure::exact(rated, Unit::MillijoulePerSquareCentimetre), "maker")
            .input("rated flow", "Q_rated", Figure::exact(rated_flow, Unit::LitrePerMinute), "maker")
            .input("flow", "Q", Figure::exact(flow, Unit::LitrePerMinute), "asked")
            .input("lamp hours", "", Figure::exact(burnt, Unit::Hour), "entries")
            .step("lamp, of new", "1 − 0.35·h/8,750", Figure::exact(lamp, Unit::Fraction))
            .step("water, of the maker's", "WF(now)/WF(rated)", Figure::exact(part, Unit::Fraction))
            .step("dose", "", Figure::exact(dose, Unit::MillijoulePerSquareCentimetre))
            .beyond(flow > rated_flow + SAME, "over the rated flow: no credit")
            .beyond(burnt > LAMP_LIFE, "the lamp is past its life: no credit")
            .beyond(self.alarm, "the sensor gives the alarm: the dose is less than it was tested for")
            .beyond(!self.sleeve_in_date, "the sleeve is not clean or in date: less light gets through")
            .without("an estimate earns no credit: that takes a validated unit")
            .source("dose ∝ 1/flow; lamp life 9,000 h: common practice, no source")
            .source("65 % after 8,750 h: US Unified Facilities Guide Specification")
            .source(SOURCE);
        working = match water {
            None => working.without("water darker than the maker's test water"),
            Some(water) => working
                .input("passes 1 cm, per cent", "UVT", Figure::exact(water.now, Unit::Count), "test")
                .input(
                    "passes 1 cm of the test water, per cent",
                    "UVT",
                    Figure::exact(water.rated, Unit::Count),
                    "maker",
                )
                .input("path", "L", Figure::exact(as_metres(water.path), Unit::Metre), "maker")
                .source("water: mean of the Beer–Lambert law; Bolton and Linden 2003 (from memory)"),
        };
        if !self.powered {
            working = working.without("without power nothing is treated: shut it off");
        }
        Ok(working.gives(mj_per_cm2(dose)))
    }

    /// Credit of a unit of this class at a flow: that of the class while everything is as it was tested, otherwise none.
    ///
    /// - **Rule** power; flow at most the rated one; lamp (9,000 h) and sleeve in date; no alarm of the sensor; at most
    ///   1 NTU. Cloudiness that nobody measured is marked.
    /// - **Arguments** `turbidity` in NTU, or nothing where none was measured.
    /// - **Reference** [`UvClass::credit`]; lamp life and 1 NTU: common practice, no source.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] names what is not allowed.
    pub fn credit_at(
        &self,
        flow: VolumeRate,
        class: UvClass,
        germ: Germ,
        turbidity: Option<f64>,
    ) -> Result<Reckoned<f64>, TreatmentError> {
        let flow = FLOW.check(as_litres_per_minute(flow))?;
        let rated = FLOW.check(as_litres_per_minute(self.rated_flow))?;
        let burnt = LAMP.check(as_hours(self.burnt))?;
        let ntu = turbidity.map(|ntu| TURBIDITY.check(ntu)).transpose()?;
        let of_class = class.credit(germ)?;
        let mut credit = of_class.value;
        let mut working = of_class
            .working
            .input("flow", "Q", Figure::exact(flow, Unit::LitrePerMinute), "asked")
            .input("rated flow", "Q_rated", Figure::exact(rated, Unit::LitrePerMinute), "maker")
            .input("lamp hours", "", Figure::exact(burnt, Unit::Hour), "entries")
            .beyond(ntu.is_none(), "cloudiness: not measured; light throws shadows in cloudy water")
            .source("lamp life 9,000 h; under 1 NTU: common practice, no source");
        for (amiss, why) in [
            (!self.powered, "no credit: without power nothing is treated"),
            (flow > rated + SAME, "no credit: more flows than the unit is rated for"),
            (burnt > LAMP_LIFE, "no credit: the lamp is past its life"),
            (!self.sleeve_in_date, "no credit: the sleeve is not clean or in date"),
            (self.alarm, "no credit: the sensor gives the alarm"),
            (ntu.is_some_and(|ntu| ntu > 1.0), "no credit: over 1 NTU"),
        ] {
            if amiss {
                credit = 0.0;
                working = working.without(why);
            }
        }
        Ok(working.step("credit as it runs now", "log", Figure::exact(credit, Unit::Log10)).gives(credit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::hours;
    use crate::quantity::litres_per_minute;
    use crate::quantity::metres;
    use crate::working::Trust;

    #[test]
    fn a_dose_just_met_earns_its_column_and_a_hair_less_the_one_before() {
        for germ in Germ::ALL {
            let mut before = 0.0;
            for log in LOGS {
                let dose = as_mj_per_cm2(uv_dose_for(germ, log).unwrap().value);
                assert!((uv_credit(germ, mj_per_cm2(dose)).unwrap().value - log).abs() < 1e-12);
                assert!((uv_credit(germ, mj_per_cm2(dose - 0.01)).unwrap().value - before).abs() < 1e-12);
                before = log;
            }
        }
    }

    #[test]
    fn class_b_power_flow_and_age_earn_nothing() {
        // NSF/ANSI 55: no pathogen claim for Class B, though 16 mJ/cm² would read as 3.5 in the table
        let of = |class: UvClass, germ| class.credit(germ).unwrap().value;
        assert!(of(UvClass::B, Germ::Giardia).abs() < 1e-12);
        assert!((of(UvClass::A, Germ::Giardia) - 4.0).abs() < 1e-12);
        assert!((of(UvClass::A, Germ::Virus) - 0.5).abs() < 1e-12);
        let lamp = Lamp {
            rated_dose: mj_per_cm2(40.0),
            rated_flow: litres_per_minute(30.0),
            burnt: hours(100.0),
            powered: true,
            sleeve_in_date: true,
            alarm: false,
        };
        let at = |lamp: Lamp, flow: f64, ntu: f64| {
            lamp.credit_at(litres_per_minute(flow), UvClass::A, Germ::Giardia, Some(ntu)).unwrap().value
        };
        assert!((at(lamp, 30.0, 0.5) - 4.0).abs() < 1e-12);
        for none in [
            at(lamp, 30.1, 0.5),
            at(lamp, 10.0, 1.1),
            at(Lamp { powered: false, ..lamp }, 10.0, 0.5),
            at(Lamp { burnt: hours(9001.0), ..lamp }, 10.0, 0.5),
            at(Lamp { sleeve_in_date: false, ..lamp }, 10.0, 0.5),
            at(Lamp { alarm: true, ..lamp }, 10.0, 0.5),
        ] {
            assert!(none.abs() < 1e-12);
        }
        let unmeasured = lamp.credit_at(litres_per_minute(10.0), UvClass::A, Germ::Giardia, None).unwrap();
        assert_eq!(unmeasured.trust(), Trust::Extrapolated);
        let dark = Lamp { powered: false, ..lamp }.dose_at(litres_per_minute(10.0), None).unwrap().value;
        assert!(as_mj_per_cm2(dark).abs() < 1e-12);
    }

    #[test]
    fn darker_water_gets_less_of_the_dose() {
        // By hand, 5 cm: WF(95 %) = (1 − 0.95⁵)/(5 · ln(1/0.95)) = 0.226219/0.256466 = 0.882061 (the published row has
        // 0.882); WF(75 %) = (1 − 0.75⁵)/(5 · ln(1/0.75)) = 0.762695/1.438410 = 0.530235. 40 · 0.530235/0.882061 = 24.0453.
        let lamp = Lamp {
            rated_dose: mj_per_cm2(40.0),
            rated_flow: litres_per_minute(30.0),
            burnt: hours(0.0),
            powered: true,
            sleeve_in_date: true,
            alarm: false,
        };
        let dose = |now, rated| {
            let water = Clearness { now, rated, path: metres(0.05) };
            as_mj_per_cm2(lamp.dose_at(litres_per_minute(30.0), Some(water)).unwrap().value)
        };
        assert!((dose(75.0, 95.0) - 24.0453).abs() < 1e-3, "{}", dose(75.0, 95.0));
        assert!((dose(95.0, 95.0) - 40.0).abs() < 1e-9);
        assert!(dose(99.0, 95.0) > 40.0);
        let none = Clearness { now: 0.0, rated: 95.0, path: metres(0.05) };
        assert!(lamp.dose_at(litres_per_minute(30.0), Some(none)).is_err());
    }

    #[test]
    fn clear_water_takes_no_light() {
        assert!((water_factor(100.0, metres(0.05)).unwrap().value - 1.0).abs() < 1e-12);
        assert!(water_factor(0.0, metres(0.05)).is_err());
    }
}
