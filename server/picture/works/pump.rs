//! A pump at a moment: what arrives at the tap, what it takes, and how its switch and suction do.

use std::sync::Arc;

use keepwell_engine::hydraulics::AtTheTap;
use keepwell_engine::hydraulics::Filter;
use keepwell_engine::hydraulics::Fitting;
use keepwell_engine::hydraulics::HydraulicsError;
use keepwell_engine::hydraulics::Pipe;
use keepwell_engine::hydraulics::PumpCurve;
use keepwell_engine::hydraulics::Run;
use keepwell_engine::hydraulics::Suction;
use keepwell_engine::hydraulics::Supply;
use keepwell_engine::hydraulics::Switch;
use keepwell_engine::hydraulics::atmospheric_pressure;
use keepwell_engine::hydraulics::most_pump_starts;
use keepwell_engine::hydraulics::shut_off_margin;
use keepwell_engine::hydraulics::valve_drop;
use keepwell_engine::hydraulics::water::Water;
use keepwell_engine::hydraulics::water::vapour_pressure;
use keepwell_engine::hydraulics::wire_to_water;
use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Pressure;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_minute;
use keepwell_engine::quantity::celsius;
use keepwell_engine::quantity::kilopascals;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_minute;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::watts;
use keepwell_engine::working::Reckoned;

use crate::model::id::VesselId;
use crate::model::vessel::DrawWay;
use crate::model::works::PipeKind;
use crate::model::works::PipeSize;
use crate::model::works::Pump;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::cluster::moment;
use crate::picture::works::in_use;

/// Wire to water where the power that the pump takes is not known: small jet and booster sets 0.2 to 0.4 (common
/// practice, no source).
const EFFICIENCY: f64 = 0.3;
/// The exponent of a stage's pressure drop: between a medium's 1 and a housing's 2 (common practice, no source).
const DROP_EXPONENT: f64 = 1.5;
/// Water in store, for its viscosity and vapour pressure.
const WATER_C: f64 = 20.0;
/// The pressure at which makers give a tap's flow: 3 bar.
const TAP_KPA: f64 = 300.0;

/// A site's pump as it stands.
#[derive(Clone, Debug)]
pub struct PumpNow {
    pub pump: Arc<Pump>,
    pub found: Found,
}

/// What could be reckoned of it.
#[derive(Clone, Debug)]
pub enum Found {
    /// these are not set up yet: English, as keys
    Wants(Vec<&'static str>),
    /// no vessel of known depth is drawn by pump
    NoVessel,
    /// it does not reach, or the figures contradict each other
    Refused(HydraulicsError),
    Known(Box<Known>),
}

/// What arrives at the tap.
#[derive(Clone, Debug)]
pub struct Known {
    /// the vessel it draws on: that with the lowest suction
    pub vessel: VesselId,
    pub vessel_name: String,
    /// the water over the pump now
    pub level: Length,
    pub tap: AtTheTap,
    /// wire to water; none was measured
    pub efficiency: f64,
    pub efficiency_assumed: bool,
    /// how much the pump makes over cut-out with the taps shut
    pub margin: Option<Reckoned<Pressure>>,
    pub switch: Option<SwitchNow>,
    supply: Supply,
    full: Length,
    empty: Length,
}

/// What the switch and its tank do.
#[derive(Clone, Debug)]
pub struct SwitchNow {
    /// the precharge is above the cut-in
    pub interrupts: bool,
    pub drawdown: Reckoned<Volume>,
    /// an hour, at the worst use; none where the pump does not reach cut-out
    pub starts: Option<Reckoned<f64>>,
}

impl PumpNow {
    #[must_use]
    pub const fn known(&self) -> Option<&Known> {
        match &self.found {
            Found::Known(known) => Some(known),
            _ => None,
        }
    }
}

impl Known {
    /// The same as the vessel empties: the water over the pump at the full mark, halfway, and at the suction, with what
    /// arrives then; none where the pump no longer reaches.
    #[must_use]
    pub fn as_it_empties(&self) -> Vec<(Length, Option<AtTheTap>)> {
        let step = |part: f64| {
            let level = self.full + (self.empty - self.full) * part;
            (level, self.supply.at_the_tap(level).ok())
        };
        [0.0, 0.5, 1.0].map(step).to_vec()
    }

    /// Hours a day that it runs to bring up so much.
    #[must_use]
    pub fn hours_for(&self, volume: Volume) -> Time {
        volume / self.tap.flow
    }
}

/// A site's pump, if one is set up and in use.
#[must_use]
pub fn pump(site: &SitePicture, now: Moment) -> Option<PumpNow> {
    let in_use = |pump: &&Arc<Pump>| pump.ended.is_none_or(|ended| moment(ended) > now);
    let pump = site.pumps.iter().find(in_use)?;
    let found = match figures(pump) {
        Err(wants) => Found::Wants(wants),
        Ok(figures) => match drawn_on(site, now) {
            None => Found::NoVessel,
            Some(vessel) => reckoned(site, pump, figures, vessel, now)
                .map_or_else(Found::Refused, |known| Found::Known(Box::new(known))),
        },
    };
    Some(PumpNow { pump: Arc::clone(pump), found })
}

/// Everything that the reckoning cannot do without.
struct Figures {
    height: f64,
    lift: f64,
    tap: f64,
    pipe: PipeKind,
    suction: (PipeSize, f64),
    delivery: (PipeSize, f64),
}

fn figures(pump: &Pump) -> Result<Figures, Vec<&'static str>> {
    let given = [
        (!pump.curve.is_empty(), "three points of its curve"),
        (pump.height_m.is_some(), "its height over the lowest floor"),
        (pump.lift_m.is_some(), "how high the highest tap is over it"),
        (pump.tap_l_per_min.is_some(), "what the tap gives at 300 kPa"),
        (pump.pipe.is_some(), "what its pipes are of"),
        (pump.suction_size.is_some() && pump.suction_run_m.is_some(), "the size and length of the pipe to it"),
        (pump.delivery_size.is_some() && pump.delivery_run_m.is_some(), "the size and length of the pipe from it"),
    ];
    let wants: Vec<&'static str> = given.into_iter().filter(|(given, _)| !given).map(|(_, wanted)| wanted).collect();
    let whole = || {
        Some(Figures {
            height: pump.height_m?,
            lift: pump.lift_m?,
            tap: pump.tap_l_per_min?,
            pipe: pump.pipe?,
            suction: (pump.suction_size?, pump.suction_run_m?),
            delivery: (pump.delivery_size?, pump.delivery_run_m?),
        })
    };
    whole().filter(|_| wants.is_empty()).ok_or(wants)
}

/// The vessel whose suction lies lowest: where the pump has the most to do.
fn drawn_on(site: &SitePicture, now: Moment) -> Option<(&VesselPicture, f64)> {
    let suction = |vessel: &VesselPicture| {
        let by_pump = vessel.vessel.draws.iter().find(|draw| draw.way == DrawWay::Pump)?;
        vessel.body.shape.height().map(|_| by_pump.height_m)
    };
    let of = site.vessels_at(now).filter(|vessel| vessel.is_known());
    of.filter_map(|vessel| Some((vessel, suction(vessel)?)))
        .min_by(|(one, low), (other, high)| (one.vessel.floor_m + low).total_cmp(&(other.vessel.floor_m + high)))
}

fn reckoned(
    site: &SitePicture,
    pump: &Pump,
    of: Figures,
    (vessel, suction): (&VesselPicture, f64),
    now: Moment,
) -> Result<Known, HydraulicsError> {
    let water = Water::at(celsius(WATER_C))?;
    let air = atmospheric_pressure(metres(site.site.elevation_m.unwrap_or(0.0)))?.value;
    let points: Vec<_> =
        pump.curve.iter().map(|point| (litres_per_minute(point.flow_l_per_min), metres(point.head_m))).collect();
    let tap_drop = as_kilopascals(valve_drop(litres_per_minute(of.tap), 1.0)?.value);
    let mut supply = Supply {
        pump: PumpCurve::new(&points)?,
        suction: run(of.pipe, of.suction, pump.suction_fittings, Fitting::SharpEntry)?,
        delivery: run(of.pipe, of.delivery, pump.delivery_fittings, Fitting::SwingCheck)?,
        filter: filter(site, now)?.map(|filter| (filter, 0.0)),
        // (Q/Cv)² is the drop: so much flow at 300 kPa makes this Cv
        tap: (tap_drop / TAP_KPA).sqrt(),
        lift: metres(of.lift),
        water,
        air: Suction::new(air, vapour_pressure(celsius(WATER_C))?.value, water.density())?,
        efficiency: 1.0,
    };
    let over = |depth: Length| metres(vessel.vessel.floor_m - of.height) + depth;
    let held = vessel.estimate(now).volume;
    let level = over(vessel.body.depth_of(held).unwrap_or_default());
    let bare = supply.at_the_tap(level)?;
    supply.efficiency = match pump.power_w {
        Some(power) => wire_to_water(bare.flow, bare.head, watts(power), water.density())?.value,
        None => EFFICIENCY,
    };
    let tap = supply.at_the_tap(level)?;
    let cut_out = pump.cut_out_kpa.map(kilopascals);
    let margin = cut_out.map(|cut_out| shut_off_margin(&supply.pump, level, cut_out, water.density())).transpose()?;
    let full = vessel.vessel.full_m.map(metres).or_else(|| vessel.body.shape.height()).unwrap_or_default();
    Ok(Known {
        vessel: vessel.vessel.id,
        vessel_name: vessel.vessel.name.to_string(),
        level,
        switch: switch(pump, &supply, level, air)?,
        tap,
        efficiency: supply.efficiency,
        efficiency_assumed: pump.power_w.is_none(),
        margin,
        supply,
        full: over(full),
        empty: over(metres(suction)),
    })
}

/// A pipe with its fittings, each counted as an elbow, and what every such pipe has beside.
fn run(
    kind: PipeKind,
    (size, length): (PipeSize, f64),
    fittings: Option<u32>,
    always: Fitting,
) -> Result<Run, HydraulicsError> {
    use keepwell_engine::hydraulics;
    let kind = match kind {
        PipeKind::Plastic => hydraulics::PipeKind::PlasticAverage,
        PipeKind::Copper => hydraulics::PipeKind::CopperL,
    };
    let size = match size {
        PipeSize::Half => hydraulics::PipeSize::Half,
        PipeSize::ThreeQuarters => hydraulics::PipeSize::ThreeQuarters,
        PipeSize::One => hydraulics::PipeSize::One,
        PipeSize::OneAndQuarter => hydraulics::PipeSize::OneAndQuarter,
        PipeSize::OneAndHalf => hydraulics::PipeSize::OneAndHalf,
        PipeSize::Two => hydraulics::PipeSize::Two,
    };
    let elbows = f64::from(fittings.unwrap_or(0)) * Fitting::Elbow90.loss_factor(size);
    let pipe = Pipe::new(kind.bore(size), metres(length), kind.roughness())?;
    Ok(Run { pipe, fittings: elbows + always.loss_factor(size) })
}

/// What the stages lose together, clean: one filter by the flow of the first, as they all go by one power of the flow.
fn filter(site: &SitePicture, now: Moment) -> Result<Option<Filter>, HydraulicsError> {
    let drops: Vec<(f64, f64)> =
        in_use(site, now).filter_map(|stage| stage.most_flow_l_per_min.zip(stage.drop_kpa)).collect();
    let Some((rated, _)) = drops.first().copied() else { return Ok(None) };
    let drop: f64 = drops.iter().map(|(flow, drop)| drop * (rated / flow).powf(DROP_EXPONENT)).sum();
    Filter::new(kilopascals(drop), litres_per_minute(rated), DROP_EXPONENT).map(Some)
}

fn switch(pump: &Pump, supply: &Supply, level: Length, air: Pressure) -> Result<Option<SwitchNow>, HydraulicsError> {
    let (Some(cut_in), Some(cut_out), Some(precharge), Some(tank)) =
        (pump.cut_in_kpa, pump.cut_out_kpa, pump.precharge_kpa, pump.tank_l)
    else {
        return Ok(None);
    };
    let (cut_in, cut_out) = (kilopascals(cut_in), kilopascals(cut_out));
    let switch = Switch::new(kilopascals(precharge), cut_in, cut_out, air)?;
    let drawdown = switch.drawdown(litres(tank))?;
    let into = |at: Pressure| supply.into_tank(level, at).ok();
    let starts = match (into(cut_in), into(cut_out)) {
        (Some(low), Some(high)) if as_litres(drawdown.value) > 0.001 => {
            let mean = litres_per_minute(f64::midpoint(as_litres_per_minute(low), as_litres_per_minute(high)));
            Some(most_pump_starts(drawdown.value, mean)?)
        }
        _ => None,
    };
    Ok(Some(SwitchNow { interrupts: switch.interrupts(), drawdown, starts }))
}
