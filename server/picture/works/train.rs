//! A train of treatment at a moment: what each stage still does, and whether what passes it counts.

use std::collections::BTreeSet;
use std::sync::Arc;

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::hours;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_minute;
use keepwell_engine::quantity::watts;
use keepwell_engine::treatment;
use keepwell_engine::treatment::Germ;
use keepwell_engine::treatment::Lamp;
use keepwell_engine::treatment::Passed;
use keepwell_engine::treatment::Train;
use keepwell_engine::treatment::TreatmentError;
use keepwell_engine::working::Reckoned;

use crate::model::id::StageId;
use crate::model::works::Stage;
use crate::model::works::StageKind;
use crate::model::works::UvClass;
use crate::picture::SitePicture;
use crate::picture::cluster::day_moment;
use crate::picture::cluster::moment;

/// Days in a month, on average over the calendar's 400 years.
const MONTH_DAYS: f64 = 365.2425 / 12.0;
/// A lamp is changed after so many hours where its maker's figure is not known: common practice, no source.
const LAMP_LIFE_HOURS: f64 = 9_000.0;

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
    left_since(stage, site.ledger.state.renewed.get(&stage.id).copied(), now)
}

/// The same, with the medium or the lamp last renewed at that moment.
fn left_since(stage: &Arc<Stage>, renewed: Option<Moment>, now: Moment) -> StageNow {
    let fitted = stage.fitted.map(day_moment);
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
/// Those stages that are supposed to be renewed are so now.
///
/// # Errors
/// A figure of the set-up that the engine does not take; it names it.
pub fn train(
    site: &SitePicture,
    need: Volume,
    flow: Option<VolumeRate>,
    anew: &BTreeSet<StageId>,
    now: Moment,
) -> Result<Option<TrainNow>, TreatmentError> {
    let is_left = |stage: &Arc<Stage>| {
        if anew.contains(&stage.id) { left_since(stage, Some(now), now) } else { left(site, stage, now) }
    };
    let mut stages: Vec<StageNow> = in_use(site, now).map(is_left).collect();
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
    let lets_pass = train.lets_pass(at, true)?;
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
