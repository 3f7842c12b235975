//! The pressure tank: what it gives between the switch's two pressures, and how often the pump starts.

use super::error::HydraulicsError;
use super::measures::ATMOSPHERE;
use super::measures::DEMAND;
use super::measures::DRAWDOWN;
use super::measures::DRAWDOWN_PART;
use super::measures::GAUGE;
use super::measures::RATED_FLOW;
use super::measures::RUN_TIME;
use super::measures::TANK;
use crate::quantity::Pressure;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_kilopascals;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_seconds;
use crate::quantity::litres;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// A pressure switch, the precharge behind its tank's bladder, and the air round both. Pressures are over the air's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Switch {
    precharge: f64,
    cut_in: f64,
    cut_out: f64,
    atmosphere: f64,
}

impl Switch {
    /// Precharge (set with the tank empty), cut-in and cut-out, 0 to 10,000 kPa over the air's 10 to 200 kPa.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range, or a cut-out not above the cut-in.
    pub fn new(
        precharge: Pressure,
        cut_in: Pressure,
        cut_out: Pressure,
        atmosphere: Pressure,
    ) -> Result<Self, HydraulicsError> {
        let precharge = GAUGE.check(as_kilopascals(precharge))?;
        let cut_in = GAUGE.check(as_kilopascals(cut_in))?;
        let cut_out = GAUGE.check(as_kilopascals(cut_out))?;
        let atmosphere = ATMOSPHERE.check(as_kilopascals(atmosphere))?;
        if cut_out <= cut_in {
            return Err(HydraulicsError::CutOut { cut_out, cut_in });
        }
        Ok(Self { precharge, cut_in, cut_out, atmosphere })
    }

    /// Whether the water stops before the pump starts: the precharge is above the cut-in.
    #[must_use]
    pub fn interrupts(&self) -> bool {
        self.precharge > self.cut_in
    }

    fn part(&self) -> f64 {
        let absolute = |gauge: f64| gauge + self.atmosphere;
        let (empty, full) = (absolute(self.precharge), absolute(self.cut_out));
        let low = absolute(self.cut_in.max(self.precharge));
        (empty / low - empty / full).max(0.0)
    }

    fn working(&self, what: &'static str) -> Working {
        Working::new(what, "P0/P1 − P0/P2, absolute pressures")
            .input("precharge", "P0", Figure::exact(self.precharge, Unit::Kilopascal), "set-up")
            .input("cut-in", "P1", Figure::exact(self.cut_in, Unit::Kilopascal), "set-up")
            .input("cut-out", "P2", Figure::exact(self.cut_out, Unit::Kilopascal), "set-up")
            .input("pressure of the air", "pa", Figure::exact(self.atmosphere, Unit::Kilopascal), "set-up")
            .step(
                "part of the tank between the two pressures",
                "(P0 + pa)/(P1 + pa) − (P0 + pa)/(P2 + pa), P1 at least P0, not below 0",
                Figure::exact(self.part(), Unit::Fraction),
            )
            .beyond(
                self.interrupts(),
                "The precharge is above the cut-in: the water stops before the pump starts again",
            )
            .source("Boyle 1662; The Driller / National Driller, R. Pelikan, 2006, for the precharge")
    }

    /// The part of a tank's volume that comes out between cut-out and cut-in: P0/P1 − P0/P2, absolute.
    ///
    /// A precharge above the cut-in takes the cut-in's place (the water stops before the pump starts; marked); one above
    /// the cut-out leaves 0.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Switch;
    /// use keepwell_engine::quantity::kilopascals;
    /// // ENG-094: 0.295304543 at 30/50 psi with 28 psi precharge.
    /// let pressures = [193.053, 206.843, 344.738, 101.325].map(kilopascals);
    /// let switch = Switch::new(pressures[0], pressures[1], pressures[2], pressures[3])?;
    /// assert!((switch.drawdown_factor().value - 0.295304543).abs() < 1e-8);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    #[must_use]
    pub fn drawdown_factor(&self) -> Reckoned<f64> {
        self.working("Drawdown factor").gives(self.part())
    }

    /// What a tank of this volume (0.01 to 1,000,000 L) gives between cut-out and cut-in.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a volume out of range.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Switch;
    /// use keepwell_engine::quantity::{as_litres, kilopascals, litres};
    /// // ENG-091: The Driller has 25.1 US gal for 85 US gal at 28/30/50 psi.
    /// let pressures = [193.0532, 206.8427, 344.7379, 101.3529].map(kilopascals);
    /// let switch = Switch::new(pressures[0], pressures[1], pressures[2], pressures[3])?;
    /// assert!((as_litres(switch.drawdown(litres(321.76))?.value) - 95.0138).abs() < 0.3);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn drawdown(&self, tank: Volume) -> Result<Reckoned<Volume>, HydraulicsError> {
        let tank = TANK.check(as_litres(tank))?;
        let given = tank * self.part();
        Ok(self
            .working("Water a pressure tank gives before the pump starts")
            .input("tank volume", "V", Figure::exact(tank, Unit::Litre), "set-up")
            .step("drawdown", "V · (P0/P1 − P0/P2)", Figure::exact(given, Unit::Litre))
            .gives(litres(given)))
    }

    /// What is left in a tank when the power fails at a pressure, down to the precharge: V (1 − P0/P), absolute.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::Switch;
    /// use keepwell_engine::quantity::{as_litres, kilopascals, litres};
    /// // The acceptance factor of ENG-096, 0.340052862, times 100 L at cut-out.
    /// let pressures = [193.053, 206.843, 344.738, 101.325].map(kilopascals);
    /// let switch = Switch::new(pressures[0], pressures[1], pressures[2], pressures[3])?;
    /// assert!((as_litres(switch.left_at(litres(100.0), kilopascals(344.738))?.value) - 34.0052862).abs() < 1e-5);
    /// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
    /// ```
    pub fn left_at(&self, tank: Volume, now: Pressure) -> Result<Reckoned<Volume>, HydraulicsError> {
        let tank = TANK.check(as_litres(tank))?;
        let now = GAUGE.check(as_kilopascals(now))?;
        let left = tank * (1.0 - (self.precharge + self.atmosphere) / (now + self.atmosphere)).max(0.0);
        Ok(self
            .working("Water left in a pressure tank without power")
            .input("tank volume", "V", Figure::exact(tank, Unit::Litre), "set-up")
            .input("pressure now", "P", Figure::exact(now, Unit::Kilopascal), "read")
            .step("left", "V · (1 − P0/P)", Figure::exact(left, Unit::Litre))
            .gives(litres(left)))
    }
}

/// All the water that can enter a tank over its precharge, as a part of its volume: 1 − P0/P2, absolute. Not the drawdown.
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::acceptance_factor;
/// use keepwell_engine::quantity::kilopascals;
/// // ENG-096: 0.340052862.
/// let part = acceptance_factor(kilopascals(193.053), kilopascals(344.738), kilopascals(101.325))?.value;
/// assert!((part - 0.340052862).abs() < 1e-8);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn acceptance_factor(
    precharge: Pressure,
    cut_out: Pressure,
    atmosphere: Pressure,
) -> Result<Reckoned<f64>, HydraulicsError> {
    let precharge = GAUGE.check(as_kilopascals(precharge))?;
    let cut_out = GAUGE.check(as_kilopascals(cut_out))?;
    let atmosphere = ATMOSPHERE.check(as_kilopascals(atmosphere))?;
    let part = (1.0 - (precharge + atmosphere) / (cut_out + atmosphere)).max(0.0);
    Ok(Working::new("Acceptance factor", "1 − P0/P2, absolute pressures, not below 0")
        .input("precharge", "P0", Figure::exact(precharge, Unit::Kilopascal), "given")
        .input("cut-out", "P2", Figure::exact(cut_out, Unit::Kilopascal), "given")
        .input("pressure of the air", "pa", Figure::exact(atmosphere, Unit::Kilopascal), "given")
        .step("acceptance", "1 − (P0 + pa)/(P2 + pa)", Figure::exact(part, Unit::Fraction))
        .source("Boyle 1662")
        .gives(part))
}

/// How often the pump starts: 60/(Vd/Qd + Vd/(Qp − Qd)) an hour; 0 where nothing is drawn, or the pump never catches up.
///
/// | | |
/// |---|---|
/// | Vd | drawdown, 0.001 to 1,000,000 L |
/// | Qp | the pump's flow, 0.001 to 1,000,000 L/min |
/// | Qd | what is drawn, 0 to 1,000,000 L/min |
/// | limits | submersible motors to 0.75 hp 300 a day, 1 to 5.5 hp single-phase 100 (Franklin Electric AIM manual, table 3); a limit a day hides bursts |
/// | source | time to draw down and time to make up |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::pump_starts;
/// use keepwell_engine::quantity::{litres, litres_per_minute};
/// // ENG-097: a cycling note has 230 a day for 10 gpm, 10 US gal and 8 gpm.
/// let starts = pump_starts(litres(37.8541), litres_per_minute(37.8541), litres_per_minute(30.2833))?.value;
/// assert!((starts * 24.0 - 230.0).abs() < 0.5);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn pump_starts(drawdown: Volume, pump: VolumeRate, demand: VolumeRate) -> Result<Reckoned<f64>, HydraulicsError> {
    let (drawdown, pump) = pump_and_tank(drawdown, pump)?;
    let demand = DEMAND.check(as_litres_per_minute(demand))?;
    let starts =
        if demand <= 0.0 || demand >= pump { 0.0 } else { 60.0 / (drawdown / demand + drawdown / (pump - demand)) };
    Ok(starts_working("Starts of the pump", "60/(Vd/Qd + Vd/(Qp − Qd))", drawdown, pump)
        .input("drawn", "Qd", Figure::exact(demand, Unit::LitrePerMinute), "given")
        .step("starts an hour", "60/(Vd/Qd + Vd/(Qp − Qd))", Figure::exact(starts, Unit::PerHour))
        .gives(starts))
}

/// The most starts any use can cause, which is at half the pump's flow: 60 Qp/(4 Vd) an hour.
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::most_pump_starts;
/// use keepwell_engine::quantity::{litres, litres_per_minute};
/// // ENG-099: 27.2727273 an hour.
/// assert!((most_pump_starts(litres(22.0), litres_per_minute(40.0))?.value - 27.2727273).abs() < 1e-6);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn most_pump_starts(drawdown: Volume, pump: VolumeRate) -> Result<Reckoned<f64>, HydraulicsError> {
    let (drawdown, pump) = pump_and_tank(drawdown, pump)?;
    let starts = 60.0 * pump / (4.0 * drawdown);
    Ok(starts_working("Most starts of the pump, at half its flow", "60 · Qp/(4 · Vd)", drawdown, pump)
        .step("starts an hour", "60 · Qp/(4 · Vd)", Figure::exact(starts, Unit::PerHour))
        .gives(starts))
}

fn pump_and_tank(drawdown: Volume, pump: VolumeRate) -> Result<(f64, f64), HydraulicsError> {
    Ok((DRAWDOWN.check(as_litres(drawdown))?, RATED_FLOW.check(as_litres_per_minute(pump))?))
}

fn starts_working(what: &'static str, formula: &'static str, drawdown: f64, pump: f64) -> Working {
    Working::new(what, formula)
        .input("drawdown", "Vd", Figure::exact(drawdown, Unit::Litre), "given")
        .input("the pump's flow", "Qp", Figure::exact(pump, Unit::LitrePerMinute), "given")
        .source("Time to draw down and time to make up")
}

/// The pressure tank a pump needs to run so long at a time: V = Qp t/(drawdown factor).
///
/// | | |
/// |---|---|
/// | t | 0 to 1,000,000 s; makers ask for a minute, two from 2 hp (CentriPro motor manual) |
/// | factor | 10⁻⁶ to 1: [`Switch::drawdown_factor`] |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::tank_for_run_time;
/// use keepwell_engine::quantity::{as_litres, litres_per_minute, seconds};
/// // ENG-100: 135.59322 L for 40 L/min, a minute and 0.295.
/// let tank = tank_for_run_time(litres_per_minute(40.0), seconds(60.0), 0.295)?.value;
/// assert!((as_litres(tank) - 135.59322).abs() < 1e-4);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn tank_for_run_time(pump: VolumeRate, run: Time, factor: f64) -> Result<Reckoned<Volume>, HydraulicsError> {
    let pump = RATED_FLOW.check(as_litres_per_minute(pump))?;
    let run = RUN_TIME.check(as_seconds(run))?;
    let factor = DRAWDOWN_PART.check(factor)?;
    let tank = pump * run / 60.0 / factor;
    Ok(Working::new("Pressure tank for a run of the pump", "V = Qp · t/(drawdown factor)")
        .input("the pump's flow", "Qp", Figure::exact(pump, Unit::LitrePerMinute), "given")
        .input("run", "t", Figure::exact(run, Unit::Second), "given")
        .input("drawdown factor", "", Figure::exact(factor, Unit::Fraction), "given")
        .step("tank volume", "Qp · t/(drawdown factor)", Figure::exact(tank, Unit::Litre))
        .source("Definition of the drawdown factor")
        .gives(litres(tank)))
}
