//! Filters: what they cost when clean, and how clogged they are.

use super::error::HydraulicsError;
use super::measures::CLOGGED;
use super::measures::EXPONENT;
use super::measures::GAUGE;
use super::measures::RATED_FLOW;
use super::pipe::checked;
use crate::quantity::Pressure;
use crate::quantity::Unit;
use crate::quantity::VolumeRate;
use crate::quantity::as_kilopascals;
use crate::quantity::as_litres_per_minute;
use crate::quantity::kilopascals;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// A filter as its maker's curve has it.
///
/// | | |
/// |---|---|
/// | drop | Δp₀ (Q/Q₀)ⁿ when clean; Δp₀ (Q/(Q₀ (1 − c)))ⁿ when a part c of its way through is clogged |
/// | n | 0.5 to 2.5: near 1 for carbon and membranes, near 2 for housing and fittings; from two points of the curve |
/// | c | 0 to 0.99: what is left open takes all of the flow |
/// | source | power-law element; the clogged part is common practice, no source |
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Filter {
    drop: f64,
    flow: f64,
    exponent: f64,
}

impl Filter {
    /// From its clean drop (0 to 10,000 kPa) at a rated flow, and the exponent.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    pub fn new(drop: Pressure, rated: VolumeRate, exponent: f64) -> Result<Self, HydraulicsError> {
        Ok(Self {
            drop: GAUGE.check(as_kilopascals(drop))?,
            flow: RATED_FLOW.check(as_litres_per_minute(rated))?,
            exponent: EXPONENT.check(exponent)?,
        })
    }

    /// The exponent from two points of a maker's curve.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range, or two points that lead to an exponent out of range.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Filter;
    /// use keepwell_engine::quantity::{as_kilopascals, kilopascals, litres_per_minute};
    /// // By hand: four times the drop at twice the flow is n = 2; at 1.5 times the flow 22.5 kPa.
    /// let points = [(litres_per_minute(10.0), kilopascals(10.0)), (litres_per_minute(20.0), kilopascals(40.0))];
    /// let filter = Filter::from_points(points)?;
    /// assert!((as_kilopascals(filter.drop_at(litres_per_minute(15.0), 0.0)?.value) - 22.5).abs() < 1e-9);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn from_points(points: [(VolumeRate, Pressure); 2]) -> Result<Self, HydraulicsError> {
        let [(low, low_drop), (high, high_drop)] = points;
        let exponent = (as_kilopascals(high_drop) / as_kilopascals(low_drop)).ln()
            / (as_litres_per_minute(high) / as_litres_per_minute(low)).ln();
        Self::new(low_drop, low, EXPONENT.check(exponent)?)
    }

    /// kPa at L/min, the bare power law.
    pub(super) fn bare(&self, flow: f64, clogged: f64) -> f64 {
        self.drop * (flow / (self.flow * (1.0 - clogged))).powf(self.exponent)
    }

    /// What it costs at a flow, a part of it clogged.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Filter;
    /// use keepwell_engine::quantity::{as_kilopascals, kilopascals, litres_per_minute};
    /// // ENG-067: 20.6609082 kPa at 20 L/min, rated 35 kPa at 30 L/min, n 1.3.
    /// let filter = Filter::new(kilopascals(35.0), litres_per_minute(30.0), 1.3)?;
    /// assert!((as_kilopascals(filter.drop_at(litres_per_minute(20.0), 0.0)?.value) - 20.6609082).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn drop_at(&self, flow: VolumeRate, clogged: f64) -> Result<Reckoned<Pressure>, HydraulicsError> {
        let rate = checked(flow)? * 60_000.0;
        let clogged = CLOGGED.check(clogged)?;
        let drop = super::measures::ANY_DROP.check(self.bare(rate, clogged))?;
        Ok(Working::new("Pressure lost in a filter", "Δp = Δp₀ · (Q/(Q₀ · (1 − c)))ⁿ")
            .input("flow", "Q", Figure::exact(rate, Unit::LitrePerMinute), "given")
            .input("rated flow", "Q₀", Figure::exact(self.flow, Unit::LitrePerMinute), "maker's curve")
            .input("drop when clean", "Δp₀", Figure::exact(self.drop, Unit::Kilopascal), "maker's curve")
            .input("exponent", "n", Figure::exact(self.exponent, Unit::Count), "maker's curve")
            .input("clogged part", "c", Figure::exact(clogged, Unit::Fraction), "given")
            .step("pressure lost", "Δp₀ · (Q/(Q₀ · (1 − c)))ⁿ", Figure::exact(drop, Unit::Kilopascal))
            .source("Power-law element; the clogged part: common practice, no source")
            .gives(kilopascals(drop)))
    }

    /// How much of it is clogged, from a drop measured at a flow: c = 1 − (Δp clean/Δp)^(1/n).
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range, or a drop below that of a clean filter.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Filter;
    /// use keepwell_engine::quantity::{kilopascals, litres_per_minute};
    /// // By hand: with n = 2, four times the clean drop is half clogged.
    /// let filter = Filter::new(kilopascals(35.0), litres_per_minute(30.0), 2.0)?;
    /// assert!((filter.clogged(litres_per_minute(30.0), kilopascals(140.0))?.value - 0.5).abs() < 1e-12);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn clogged(&self, flow: VolumeRate, drop: Pressure) -> Result<Reckoned<f64>, HydraulicsError> {
        let rate = RATED_FLOW.check(as_litres_per_minute(flow))?;
        let drop = GAUGE.check(as_kilopascals(drop))?;
        let clean = self.bare(rate, 0.0);
        if drop < clean || drop <= 0.0 {
            return Err(HydraulicsError::CleanerThanClean { drop, clean });
        }
        let clogged = CLOGGED.check(1.0 - (clean / drop).powf(1.0 / self.exponent))?;
        Ok(Working::new("Part of a filter that is clogged", "c = 1 − (Δp clean/Δp)^(1/n)")
            .input("flow", "Q", Figure::exact(rate, Unit::LitrePerMinute), "measured")
            .input("drop", "Δp", Figure::exact(drop, Unit::Kilopascal), "measured")
            .step("drop when clean at that flow", "Δp₀ · (Q/Q₀)ⁿ", Figure::exact(clean, Unit::Kilopascal))
            .step("clogged part", "1 − (Δp clean/Δp)^(1/n)", Figure::exact(clogged, Unit::Fraction))
            .source("Common practice, no source")
            .gives(clogged))
    }
}
