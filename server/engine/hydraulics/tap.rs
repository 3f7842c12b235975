//! From the tank through the pump to the tap: what arrives, and what it takes.

use super::error::HydraulicsError;
use super::filter::Filter;
use super::measures::CLOGGED;
use super::measures::EFFICIENCY;
use super::measures::FLOW_COEFFICIENT;
use super::measures::GRAVITY;
use super::measures::HEAD;
use super::measures::LIFT;
use super::measures::LOSS_FACTOR;
use super::pipe::Pipe;
use super::pressure_tank::Switch;
use super::pump::PumpCurve;
use super::suction::Suction;
use super::water::Water;
use crate::quantity::Length;
use crate::quantity::Power;
use crate::quantity::Pressure;
use crate::quantity::Unit;
use crate::quantity::Velocity;
use crate::quantity::VolumeRate;
use crate::quantity::as_kilopascals;
use crate::quantity::as_metres;
use crate::quantity::kilopascals;
use crate::quantity::litres_per_minute;
use crate::quantity::metres;
use crate::quantity::metres_per_second;
use crate::quantity::us_gallon;
use crate::quantity::watts;
use crate::working::Figure;
use crate::working::Working;

use uom::si::pressure::kilopascal;
use uom::si::pressure::psi;

/// A pipe with the loss factors of what is fitted to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// the pipe
    pub pipe: Pipe,
    /// ΣK
    pub fittings: f64,
}

/// All between a tank and an open tap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supply {
    /// the pump
    pub pump: PumpCurve,
    /// tank to pump
    pub suction: Run,
    /// pump to tap
    pub delivery: Run,
    /// a filter, and the part of it that is clogged
    pub filter: Option<(Filter, f64)>,
    /// the tap, by its flow coefficient Cv
    pub tap: f64,
    /// the tap over the pump
    pub lift: Length,
    /// the water drawn, as a pipe feels it
    pub water: Water,
    /// the air over the tank
    pub air: Suction,
    /// wire to water
    pub efficiency: f64,
}

/// What arrives at the tap at one level of the tank.
#[derive(Clone, Debug, PartialEq)]
pub struct AtTheTap {
    /// the flow
    pub flow: VolumeRate,
    /// the pressure before the tap while it runs
    pub pressure: Pressure,
    /// the pump's head
    pub head: Length,
    /// the speed in the delivery pipe
    pub velocity: Velocity,
    /// the suction head available at the pump
    pub npsh: Length,
    /// the electricity it takes
    pub power: Power,
    /// kWh for 1000 L
    pub energy: f64,
    /// what is behind it
    pub working: Working,
}

impl Supply {
    /// What arrives with the water standing `level` over the pump (below it where negative).
    ///
    /// | | |
    /// |---|---|
    /// | duty | pump(Q) = lift − level + suction line + delivery line + filter + tap |
    /// | tap | Δp = (Q/Cv)², which is also the pressure before it |
    /// | NPSHA | (pa − pv)/(ρ g) + level − suction line |
    /// | source | Bernoulli; Darcy and Weisbach; Colebrook 1939 |
    ///
    /// # Errors
    /// [`HydraulicsError`] where the pump does not reach, or for a figure out of range.
    pub fn at_the_tap(&self, level: Length) -> Result<AtTheTap, HydraulicsError> {
        let level_m = LIFT.check(as_metres(level))?;
        let lift = LIFT.check(as_metres(self.lift))?;
        let tap = FLOW_COEFFICIENT.check(self.tap)?;
        let efficiency = EFFICIENCY.check(self.efficiency)?;
        for run in [self.suction, self.delivery] {
            LOSS_FACTOR.check(run.fittings)?;
        }
        if let Some((_, clogged)) = self.filter {
            CLOGGED.check(clogged)?;
        }
        let weight = self.water.density * GRAVITY / 1000.0;
        let line = |run: &Run, flow: f64| run.pipe.loss(flow / 60_000.0, run.fittings, &self.water);
        let gallon = us_gallon().value * 1000.0;
        let psi_kpa = Pressure::new::<psi>(1.0).get::<kilopascal>();
        let at_tap = |flow: f64| (flow / gallon / tap).powi(2) * psi_kpa;
        let filter = |flow: f64| self.filter.map_or(0.0, |(filter, clogged)| filter.bare(flow, clogged));
        let needed = |flow: f64| {
            lift - level_m
                + line(&self.suction, flow)
                + line(&self.delivery, flow)
                + (filter(flow) + at_tap(flow)) / weight
        };
        let flow = self.pump.meets(needed)?;
        let head = self.pump.bare(flow);
        let suction = line(&self.suction, flow);
        let npsh = self.air.npsh(metres(level_m), metres(HEAD.check(suction)?))?.value;
        // kN/m³ times L/s times m is W
        let power = weight * flow / 60.0 * head / efficiency;
        let energy = weight * head / (3600.0 * efficiency);
        let working = Working::new("At the tap", "pump(Q) = lift − level + lines + filter + tap")
            .input("water over the pump", "level", Figure::exact(level_m, Unit::Metre), "now")
            .input("tap over the pump", "lift", Figure::exact(lift, Unit::Metre), "set-up")
            .input("flow coefficient of the tap", "Cv", Figure::exact(tap, Unit::Count), "set-up")
            .input("wire-to-water efficiency", "η", Figure::exact(efficiency, Unit::Fraction), "set-up")
            .step("flow", "where pump and system meet", Figure::exact(flow, Unit::LitrePerMinute))
            .step("head of the pump", "H(Q)", Figure::exact(head, Unit::Metre))
            .step("lost in the suction line", "(f · L/D + ΣK) · v²/(2g)", Figure::exact(suction, Unit::Metre))
            .step(
                "lost in the delivery line",
                "(f · L/D + ΣK) · v²/(2g)",
                Figure::exact(line(&self.delivery, flow), Unit::Metre),
            )
            .step("lost in the filter", "Δp₀ · (Q/(Q₀ · (1 − c)))ⁿ", Figure::exact(filter(flow), Unit::Kilopascal))
            .step("pressure before the tap", "(Q/Cv)²", Figure::exact(at_tap(flow), Unit::Kilopascal))
            .step(
                "suction head available",
                "(pa − pv)/(ρ · g) + level − h",
                Figure::exact(as_metres(npsh), Unit::Metre),
            )
            .step("electricity", "ρ · g · Q · H/η", Figure::exact(power, Unit::Watt))
            .step("electricity for 1000 L", "ρ · g · H/η", Figure::exact(energy, Unit::KilowattHourPerCubicMetre))
            .source("Bernoulli; Darcy and Weisbach; Colebrook 1939");
        Ok(AtTheTap {
            flow: litres_per_minute(flow),
            pressure: kilopascals(at_tap(flow)),
            head: metres(head),
            velocity: metres_per_second(self.delivery.pipe.speed(flow / 60_000.0)),
            npsh,
            power: watts(power),
            energy,
            working,
        })
    }

    /// The flow into a pressure tank at a pressure of its switch: pump = lift − level + lines + filter + p/(ρ g).
    ///
    /// # Errors
    /// [`HydraulicsError`] where the pump does not reach that pressure, or for a figure out of range.
    pub fn into_tank(&self, level: Length, at: Pressure) -> Result<VolumeRate, HydraulicsError> {
        let level_m = LIFT.check(as_metres(level))?;
        let lift = LIFT.check(as_metres(self.lift))?;
        let pressure = super::measures::GAUGE.check(as_kilopascals(at))?;
        let weight = self.water.density * GRAVITY / 1000.0;
        let line = |run: &Run, flow: f64| run.pipe.loss(flow / 60_000.0, run.fittings, &self.water);
        let filter =
            |flow: f64| self.filter.map_or(0.0, |(filter, clogged)| filter.bare(flow, clogged.clamp(0.0, 0.99)));
        let flow = self.pump.meets(|flow| {
            lift - level_m + line(&self.suction, flow) + line(&self.delivery, flow) + (filter(flow) + pressure) / weight
        })?;
        Ok(litres_per_minute(flow))
    }

    /// The suction head available as the tank empties, from its highest level to its lowest, in so many steps.
    ///
    /// # Errors
    /// The first level at which the pump does not reach, or a figure out of range.
    pub fn as_it_empties(
        &self,
        from: Length,
        to: Length,
        steps: u32,
    ) -> Result<Vec<(Length, AtTheTap)>, HydraulicsError> {
        let steps = steps.clamp(1, 1000);
        (0..=steps)
            .map(|step| {
                let level = from + (to - from) * (f64::from(step) / f64::from(steps));
                Ok((level, self.at_the_tap(level)?))
            })
            .collect()
    }

    /// Whether the switch opens at all at this level: what is made with the taps shut, less the cut-out.
    ///
    /// # Errors
    /// [`HydraulicsError`] for a figure out of range.
    pub fn margin(&self, level: Length, cut_out: Pressure) -> Result<Pressure, HydraulicsError> {
        Ok(super::pump::shut_off_margin(&self.pump, level, cut_out, self.water.density())?.value)
    }

    /// How long the pump runs on after the last tap closes, from the pressure it was shut at to cut-out: the water still
    /// to be pressed into the tank over the mean of the flows at both.
    ///
    /// # Errors
    /// [`HydraulicsError`] where the pump does not reach cut-out, or for a figure out of range.
    pub fn runs_on(
        &self,
        level: Length,
        switch: &Switch,
        tank: crate::quantity::Volume,
        (from, to): (Pressure, Pressure),
    ) -> Result<crate::quantity::Time, HydraulicsError> {
        let room = switch.left_at(tank, to)?.value - switch.left_at(tank, from)?.value;
        let flow = (self.into_tank(level, from)? + self.into_tank(level, to)?) / 2.0;
        Ok(room.max(crate::quantity::Volume::default()) / flow)
    }
}
