//! What a site's train of treatment and its pump do at a moment: reckoned from the set-up, the entries that renewed a
//! medium or a lamp, and the water that stands in the vessel the pump draws on.

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
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_kilopascals;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_minute;
use keepwell_engine::quantity::celsius;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::kilopascals;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_minute;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::watts;
use keepwell_engine::treatment;
use keepwell_engine::treatment::Germ;
use keepwell_engine::treatment::Lamp;
use keepwell_engine::treatment::Passed;
use keepwell_engine::treatment::Train;
use keepwell_engine::treatment::TreatmentError;
use keepwell_engine::working::Reckoned;

use crate::model::id::VesselId;
use crate::model::vessel::DrawWay;
use crate::model::works::PipeKind;
use crate::model::works::PipeSize;
use crate::model::works::Pump;
use crate::model::works::Stage;
use crate::model::works::StageKind;
use crate::model::works::UvClass;
use crate::picture::SitePicture;
use crate::picture::VesselPicture;
use crate::picture::cluster::day_moment;
use crate::picture::cluster::moment;

/// Days in a month, on average over the calendar's 400 years.
const MONTH_DAYS: f64 = 365.2425 / 12.0;
/// A lamp is changed after so many hours where its maker's figure is not known: common practice, no source.
const LAMP_LIFE_HOURS: f64 = 9_000.0;
/// Wire to water where the power that the pump takes is not known: small jet and booster sets 0.2 to 0.4 (common
/// practice, no source).
const EFFICIENCY: f64 = 0.3;
/// The exponent of a stage's pressure drop: between a medium's 1 and a housing's 2 (common practice, no source).
const DROP_EXPONENT: f64 = 1.5;
/// Water in store, for its viscosity and vapour pressure.
const WATER_C: f64 = 20.0;
/// The pressure at which makers give a tap's flow: 3 bar.
const TAP_KPA: f64 = 300.0;

/// A site's train as it stands.
#[derive(Clone, Debug)]
pub struct TrainNow {
    /// source first
    pub stages: Vec<StageNow>,
    /// what it does at the flow below, with power
    pub passed: Passed,
    /// the pump's, with one tap open; without a pump that is known, what the stages allow
    pub flow: VolumeRate,
    pub flow_known: bool,
    /// litres that can still be treated before something is spent; none: without end
    pub treatable: Option<Volume>,
    pub needs_power: bool,
    /// what no stage of it is a barrier to
    pub lets_pass: Vec<Germ>,
}

/// One stage as it stands.
#[derive(Clone, Debug)]
pub struct StageNow {
    pub stage: Arc<Stage>,
    /// when its medium or lamp was fitted or last renewed
    pub since: Option<Moment>,
    /// of its litres; where nobody said what has passed, this is at most
    pub litres_left: Option<Volume>,
    /// until its months or its lamp's hours are over; below nothing it is past them
    pub time_left: Option<Time>,
    /// litres that can be treated before either is over, at the site's need
    pub treats: Option<Volume>,
    /// powers of ten of each germ that a lamp is credited with as it runs now
    pub credit: Vec<(Germ, Reckoned<f64>)>,
}

impl TrainNow {
    /// Whether what passes it may count as drinking water: nothing of it is spent or too fast, and some stage is a
    /// barrier to each germ. Chlorine counts against viruses alone.
    #[must_use]
    pub fn counts(&self) -> bool {
        self.lets_pass.is_empty() && self.treatable.is_none_or(|left| left > Volume::default())
    }

    /// The stage that ends first.
    #[must_use]
    pub fn ends_first(&self) -> Option<&StageNow> {
        let limited = self.stages.iter().filter(|stage| stage.treats.is_some());
        limited.min_by(|one, other| {
            let litres = |stage: &StageNow| stage.treats.map_or(f64::INFINITY, as_litres);
            litres(one).total_cmp(&litres(other))
        })
    }
}

/// The kind as the engine knows it. A lamp without a class counts as not tested.
#[must_use]
pub fn kind(stage: &Stage) -> treatment::StageKind {
    match stage.kind {
        StageKind::Screen => treatment::StageKind::Screen,
        StageKind::Sediment => treatment::StageKind::Sediment,
        StageKind::CystFilter => treatment::StageKind::CystFilter,
        StageKind::Carbon => treatment::StageKind::Carbon,
        StageKind::Ultraviolet => treatment::StageKind::Uv(class(stage)),
        StageKind::Chlorine => treatment::StageKind::Chlorine,
        StageKind::Boil => treatment::StageKind::Boil,
    }
}

const fn class(stage: &Stage) -> treatment::UvClass {
    match stage.uv_class {
        Some(UvClass::A) => treatment::UvClass::A,
        Some(UvClass::B) => treatment::UvClass::B,
        Some(UvClass::Untested) | None => treatment::UvClass::Untested,
    }
}

/// Litres of one stage and the time left of it at a moment.
#[must_use]
pub fn left(site: &SitePicture, stage: &Arc<Stage>, now: Moment) -> StageNow {
    let fitted = stage.fitted.map(day_moment);
    let renewed = site.ledger.state.renewed.get(&stage.id).copied();
    let is_renewed = renewed.is_some_and(|renewed| fitted.is_none_or(|fitted| renewed > fitted));
    let since = if is_renewed { renewed } else { fitted };
    let passed = if is_renewed { 0.0 } else { stage.passed_l.unwrap_or(0.0) };
    let used = since.map(|since| now.since(since).max(Time::default()));
    let months = stage.life_months.zip(used).map(|(months, used)| days(months * MONTH_DAYS) - used);
    let lamp = (stage.kind == StageKind::Ultraviolet)
        .then(|| {
            let burnt = burnt(stage, is_renewed, used)?;
            Some(hours(stage.lamp_life_hours.unwrap_or(LAMP_LIFE_HOURS)) - burnt)
        })
        .flatten();
    StageNow {
        stage: Arc::clone(stage),
        since,
        litres_left: stage.life_l.map(|life| litres((life - passed).max(0.0))),
        time_left: match (months, lamp) {
            (Some(months), Some(lamp)) => Some(if lamp < months { lamp } else { months }),
            (months, lamp) => months.or(lamp),
        },
        treats: None,
        credit: Vec::new(),
    }
}

/// Hours that a lamp has burnt: by its counter, or day and night since it was fitted.
fn burnt(stage: &Stage, is_renewed: bool, used: Option<Time>) -> Option<Time> {
    stage.lamp_hours.filter(|_| !is_renewed).map(hours).or(used)
}

/// The stages in use at a moment, source first.
pub fn in_use(site: &SitePicture, now: Moment) -> impl Iterator<Item = &Arc<Stage>> {
    site.stages.iter().filter(move |stage| stage.ended.is_none_or(|ended| moment(ended) > now))
}

/// A site's train, if any stage is set up. `need` is what the site needs a day: time that is left is as many litres.
///
/// # Errors
/// A figure of the set-up that the engine does not take; it names it.
pub fn train(
    site: &SitePicture,
    need: Volume,
    flow: Option<VolumeRate>,
    now: Moment,
) -> Result<Option<TrainNow>, TreatmentError> {
    let mut stages: Vec<StageNow> = in_use(site, now).map(|stage| left(site, stage, now)).collect();
    if stages.is_empty() {
        return Ok(None);
    }
    for stage in &mut stages {
        let by_time = stage.time_left.filter(|_| need > Volume::default()).map(|left| need * as_days(left).max(0.0));
        stage.treats = match (stage.litres_left, by_time) {
            (Some(litres), Some(by_time)) => Some(litres.min(by_time)),
            (litres, by_time) => litres.or(by_time),
        }
        // As many as any store holds are without end.
        .filter(|left| as_litres(*left) <= keepwell_engine::quantity::VOLUME.max);
    }
    let engine: Vec<treatment::Stage> = stages.iter().map(engine_stage).collect();
    let least = engine.iter().filter_map(|stage| stage.most_flow).reduce(|one, other| one.min(other));
    let at = flow.or(least).unwrap_or_else(|| litres_per_minute(1.0));
    let train = Train::new(engine)?;
    let passed = train.at(at, true)?;
    let treatable = train.treatable(at, true)?;
    let none = Some(Volume::default());
    let needs_power = treatable != none && train.treatable(at, false)? == none;
    let chlorine = stages.iter().any(|stage| stage.stage.kind == StageKind::Chlorine);
    let mut lets_pass = Vec::new();
    for germ in Germ::ALL {
        if !train.bars(germ, at, true)? && !(germ == Germ::Virus && chlorine) {
            lets_pass.push(germ);
        }
    }
    for stage in stages.iter_mut().filter(|stage| stage.stage.kind == StageKind::Ultraviolet) {
        stage.credit = credit(stage, at, now)?;
    }
    Ok(Some(TrainNow { stages, passed, flow: at, flow_known: flow.is_some(), treatable, needs_power, lets_pass }))
}

fn engine_stage(now: &StageNow) -> treatment::Stage {
    let stage = &now.stage;
    // Time that is over spends a stage, however little has passed.
    let over = now.time_left.is_some_and(|left| left <= Time::default());
    treatment::Stage {
        kind: kind(stage),
        most_flow: stage.most_flow_l_per_min.map(litres_per_minute),
        left: if over { Some(Volume::default()) } else { now.treats },
        months_left: None,
        draws: watts(stage.draws_w.unwrap_or(0.0)),
    }
}

fn credit(now: &StageNow, flow: VolumeRate, at: Moment) -> Result<Vec<(Germ, Reckoned<f64>)>, TreatmentError> {
    let class = class(&now.stage);
    let counter = now.stage.lamp_hours.map(hours);
    let used = now.since.map(|since| at.since(since).max(Time::default()));
    let lamp = Lamp {
        rated_dose: class.dose().unwrap_or_default(),
        rated_flow: now.stage.most_flow_l_per_min.map_or(flow, litres_per_minute),
        burnt: match (now.stage.fitted.map(day_moment), now.since) {
            (fitted, since) if fitted == since => counter.or(used),
            _ => used,
        }
        .unwrap_or_default(),
        powered: true,
        sleeve_in_date: now.time_left.is_none_or(|left| left > Time::default()),
        alarm: false,
    };
    Germ::ALL.into_iter().map(|germ| Ok((germ, lamp.credit_at(flow, class, germ, None)?))).collect()
}

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
