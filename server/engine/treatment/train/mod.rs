//! A train of stages: whether their order makes sense, how much may flow, what they last for and draw.

mod stage;

pub use stage::Fault;
pub use stage::Stage;
pub use stage::StageKind;

use crate::quantity::POWER;
use crate::quantity::Power;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_watts;
use crate::quantity::litres;
use crate::quantity::watts;
use crate::treatment::Caution;
use crate::treatment::Germ;
use crate::treatment::TreatmentError;
use crate::treatment::UvClass;
use crate::treatment::measures::FLOW;
use crate::treatment::measures::MONTHS;
use crate::working::Figure;
use crate::working::Working;

/// A train, source first.
#[derive(Clone, Debug, PartialEq)]
pub struct Train {
    stages: Vec<Stage>,
}

/// What a train does at a flow.
#[derive(Clone, Debug, PartialEq)]
pub struct Passed {
    /// what is not in order, in the order of the stages
    pub faults: Vec<Fault>,
    /// the most that may flow; nothing where no stage says
    pub most_flow: Option<VolumeRate>,
    /// litres that can be treated before something is spent; nothing: without end
    pub litres_left: Option<Volume>,
    /// months before something must be renewed
    pub months_left: Option<f64>,
    /// what it draws while water passes
    pub draws: Power,
    /// what may hurt someone
    pub cautions: Vec<Caution>,
    /// how it was reckoned
    pub working: Working,
}

impl Train {
    /// A train of these stages, source first.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] names a figure of a stage that is not allowed.
    pub fn new(stages: Vec<Stage>) -> Result<Self, TreatmentError> {
        for stage in &stages {
            if let Some(flow) = stage.most_flow {
                FLOW.check(as_litres_per_minute(flow))?;
            }
            if let Some(left) = stage.left {
                VOLUME.check(as_litres(left))?;
            }
            if let Some(months) = stage.months_left {
                MONTHS.check(months)?;
            }
            POWER.check(as_watts(stage.draws))?;
        }
        Ok(Self { stages })
    }

    /// The stages, source first.
    #[must_use]
    pub fn stages(&self) -> &[Stage] {
        &self.stages
    }

    /// What it does at a flow, with power or without.
    ///
    /// - **Rule** order: screen, sediment (cyst filter), carbon, ultraviolet light, chlorine, boiling; flow at most the
    ///   least of the stages'; litres and months the least that is left; power the sum. Without power a lamp treats
    ///   nothing and must not let water pass.
    /// - **Reference** order: common practice, no source; lamp classes: NSF/ANSI 55.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a flow that is none.
    ///
    /// ```
    /// use keepwell_engine::quantity::{litres, litres_per_minute, watts};
    /// use keepwell_engine::treatment::*;
    /// let stage = |kind| Stage { kind, most_flow: None, left: None, months_left: None, draws: watts(0.0) };
    /// let wrong = Train::new(vec![stage(StageKind::Chlorine), stage(StageKind::Carbon)])?;
    /// let passed = wrong.at(litres_per_minute(5.0), true)?;
    /// assert!(passed.faults.contains(&Fault::ChlorineBeforeCarbon { carbon: 1 }));
    /// # Ok::<(), TreatmentError>(())
    /// ```
    pub fn at(&self, flow: VolumeRate, powered: bool) -> Result<Passed, TreatmentError> {
        let flow = FLOW.check(as_litres_per_minute(flow))?;
        let mut faults = Vec::new();
        if self.stages.is_empty() {
            faults.push(Fault::Empty);
        }
        for (at, stage) in self.stages.iter().enumerate() {
            self.order(at, stage, &mut faults);
            if stage.most_flow.is_some_and(|most| flow > as_litres_per_minute(most) * (1.0 + 1e-9)) {
                faults.push(Fault::TooFast { stage: at });
            }
            let no_litres = stage.left.is_some_and(|left| as_litres(left) <= 0.0);
            if no_litres || stage.months_left.is_some_and(|months| months <= 0.0) {
                faults.push(Fault::Spent { stage: at });
            }
            if stage.kind.needs_power() && !powered {
                faults.push(Fault::NoPower { stage: at });
            }
            if matches!(stage.kind, StageKind::Uv(UvClass::B | UvClass::Untested)) {
                faults.push(Fault::NoClaim { lamp: at });
            }
        }
        let lamp = self.stages.iter().rposition(|stage| matches!(stage.kind, StageKind::Uv(_)));
        if lamp.is_some_and(|lamp| !self.stages[lamp..].iter().any(|stage| stage.kind == StageKind::Chlorine)) {
            faults.push(Fault::NoResidual);
        }
        let most_flow = least(self.stages.iter().filter_map(|stage| stage.most_flow));
        let litres_left = least(self.stages.iter().filter_map(|stage| stage.left));
        let months_left = least(self.stages.iter().filter_map(|stage| stage.months_left));
        let draws = self.stages.iter().fold(watts(0.0), |sum, stage| sum + stage.draws);
        let figures = [
            ("the most that may flow", most_flow.map(as_litres_per_minute), Unit::LitrePerMinute),
            ("litres before something is spent", litres_left.map(as_litres), Unit::Litre),
            ("months before something must be renewed", months_left, Unit::Count),
            ("draws while water passes", Some(as_watts(draws)), Unit::Watt),
        ];
        let mut working = Working::new("what a train of stages does", "the least of the stages; power their sum")
            .input("flow", "Q", Figure::exact(flow, Unit::LitrePerMinute), "asked")
            .source("order of stages: common practice, no source; lamp classes: NSF/ANSI 55");
        for (words, value, unit) in figures {
            if let Some(value) = value {
                working = working.step(words, "", Figure::exact(value, unit));
            }
        }
        for fault in &faults {
            working = working.without(fault.words());
        }
        Ok(Passed { faults, most_flow, litres_left, months_left, draws, cautions: self.cautions(), working })
    }

    /// Litres that can still be treated at a flow: none while a fault stops it, nothing where there is no end.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a flow that is none.
    pub fn treatable(&self, flow: VolumeRate, powered: bool) -> Result<Option<Volume>, TreatmentError> {
        let passed = self.at(flow, powered)?;
        Ok(if passed.faults.iter().any(|fault| fault.stops()) { Some(litres(0.0)) } else { passed.litres_left })
    }

    /// Whether a stage of it is a barrier to these germs at a flow, with power or without. A stage that is spent, passes
    /// too much, lacks power, or is a lamp without a class or behind no filter, is none. Chlorine's credit is
    /// [`crate::treatment::credit`]'s to say.
    ///
    /// - **Reference** boiling: US EPA, CDC; cyst filters: CDC; lamps: NSF/ANSI 55, and 40 CFR 141.720(d)(1), by which
    ///   40 mJ/cm² are no barrier to viruses.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a flow that is none.
    pub fn bars(&self, germ: Germ, flow: VolumeRate, powered: bool) -> Result<bool, TreatmentError> {
        let faults = self.at(flow, powered)?.faults;
        let works = |at: usize| !faults.iter().any(|fault| fault.disables() == Some(at));
        let bars = |kind: StageKind| match kind {
            StageKind::Boil => true,
            StageKind::CystFilter | StageKind::Uv(UvClass::A) => germ != Germ::Virus,
            _ => false,
        };
        Ok(self.stages.iter().enumerate().any(|(at, stage)| bars(stage.kind) && works(at)))
    }

    /// The germs that no stage of it is a barrier to ([`Train::bars`]); chlorine is taken to count against viruses alone.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a flow that is none.
    pub fn lets_pass(&self, flow: VolumeRate, powered: bool) -> Result<Vec<Germ>, TreatmentError> {
        let chlorine = self.stages.iter().any(|stage| stage.kind == StageKind::Chlorine);
        let mut passing = Vec::new();
        for germ in Germ::ALL {
            let by_chlorine = chlorine && germ == Germ::Virus;
            if !by_chlorine && !self.bars(germ, flow, powered)? {
                passing.push(germ);
            }
        }
        Ok(passing)
    }

    fn order(&self, at: usize, stage: &Stage, faults: &mut Vec<Fault>) {
        let before = &self.stages[..at];
        if stage.kind == StageKind::Carbon && before.iter().any(|stage| stage.kind == StageKind::Chlorine) {
            faults.push(Fault::ChlorineBeforeCarbon { carbon: at });
        } else if let Some(early) = before.iter().position(|other| other.kind.place() > stage.kind.place()) {
            faults.push(Fault::OutOfOrder { early, late: at });
        }
        let filtered = |stage: &Stage| matches!(stage.kind, StageKind::Sediment | StageKind::CystFilter);
        if matches!(stage.kind, StageKind::Uv(_)) && !before.iter().any(filtered) {
            faults.push(Fault::UnfilteredLight { lamp: at });
        }
    }

    fn cautions(&self) -> Vec<Caution> {
        let mut cautions = Vec::new();
        for stage in &self.stages {
            let of_stage: &[Caution] = match stage.kind {
                StageKind::Uv(_) => &[Caution::LightLeavesNothing],
                StageKind::Chlorine => Caution::LIQUID,
                StageKind::Boil => &[Caution::Boiling],
                _ => &[],
            };
            cautions
                .extend(of_stage.iter().filter(|caution| !cautions.contains(*caution)).copied().collect::<Vec<_>>());
        }
        cautions
    }
}

fn least<T: PartialOrd>(all: impl Iterator<Item = T>) -> Option<T> {
    all.fold(None, |least, each| match least {
        Some(least) if least <= each => Some(least),
        _ => Some(each),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::litres_per_minute;

    fn stage(kind: StageKind) -> Stage {
        Stage { kind, most_flow: None, left: None, months_left: None, draws: watts(0.0) }
    }

    fn faults(kinds: &[StageKind], powered: bool) -> Vec<Fault> {
        let train = Train::new(kinds.iter().copied().map(stage).collect()).unwrap();
        train.at(litres_per_minute(10.0), powered).unwrap().faults
    }

    const UV: StageKind = StageKind::Uv(UvClass::A);

    #[test]
    fn the_usual_train_is_in_order() {
        use StageKind::*;
        assert_eq!(faults(&[Screen, Sediment, Carbon, UV, Chlorine, Boil], true), []);
    }

    #[test]
    fn each_fault_is_named() {
        use StageKind::*;
        assert_eq!(faults(&[], true), [Fault::Empty]);
        assert_eq!(faults(&[Carbon, Sediment], true), [Fault::OutOfOrder { early: 0, late: 1 }]);
        assert_eq!(faults(&[Chlorine, Carbon], true), [Fault::ChlorineBeforeCarbon { carbon: 1 }]);
        assert_eq!(faults(&[Carbon, UV, Chlorine], true), [Fault::UnfilteredLight { lamp: 1 }]);
        assert_eq!(faults(&[Sediment, UV], true), [Fault::NoResidual]);
        assert_eq!(faults(&[Sediment, UV, Chlorine], false), [Fault::NoPower { stage: 1 }]);
        assert_eq!(faults(&[Sediment, Uv(UvClass::B), Chlorine], true), [Fault::NoClaim { lamp: 1 }]);
        let about: Vec<_> = faults(&[Carbon, Sediment, UV], false).into_iter().map(Fault::stage).collect();
        assert_eq!(about, [Some(1), Some(2), None], "the sediment filter, the lamp, and nothing that stores");
    }

    #[test]
    fn the_weakest_stage_sets_the_limits() {
        let slow =
            Stage { most_flow: Some(litres_per_minute(8.0)), left: Some(litres(4000.0)), ..stage(StageKind::Sediment) };
        let carbon = Stage { left: Some(litres(900.0)), months_left: Some(2.0), ..stage(StageKind::Carbon) };
        let lamp = Stage { draws: watts(40.0), most_flow: Some(litres_per_minute(30.0)), ..stage(UV) };
        let train = Train::new(vec![slow, carbon, lamp, stage(StageKind::Chlorine)]).unwrap();
        let passed = train.at(litres_per_minute(10.0), true).unwrap();
        assert_eq!(passed.faults, [Fault::TooFast { stage: 0 }]);
        assert!(passed.most_flow.is_some_and(|flow| (as_litres_per_minute(flow) - 8.0).abs() < 1e-9));
        assert_eq!((passed.litres_left, passed.months_left), (Some(litres(900.0)), Some(2.0)));
        assert!((as_watts(passed.draws) - 40.0).abs() < 1e-12);
        assert_eq!(train.treatable(litres_per_minute(10.0), true).unwrap(), Some(litres(0.0)));
        assert_eq!(train.treatable(litres_per_minute(5.0), true).unwrap(), Some(litres(900.0)));
        assert_eq!(train.treatable(litres_per_minute(5.0), false).unwrap(), Some(litres(0.0)));
        let spent = Train::new(vec![Stage { months_left: Some(0.0), ..stage(StageKind::Carbon) }]).unwrap();
        assert_eq!(spent.at(litres_per_minute(1.0), true).unwrap().faults, [Fault::Spent { stage: 0 }]);
    }

    #[test]
    fn what_bars_what() {
        let flow = litres_per_minute(10.0);
        let bars = |kinds: &[StageKind], germ, powered| {
            let train = Train::new(kinds.iter().copied().map(stage).collect()).unwrap();
            train.bars(germ, flow, powered).unwrap()
        };
        let lamp = [StageKind::Sediment, UV];
        assert!(Germ::ALL.into_iter().all(|germ| bars(&[StageKind::Boil], germ, false)));
        assert!(bars(&lamp, Germ::Cryptosporidium, true) && !bars(&lamp, Germ::Virus, true));
        assert!(bars(&[StageKind::CystFilter], Germ::Giardia, false));
        assert!(!bars(&[StageKind::CystFilter], Germ::Virus, false));
        for germ in Germ::ALL {
            assert!(!bars(&[StageKind::Sediment, StageKind::Uv(UvClass::B)], germ, true));
            assert!(!bars(&[StageKind::Chlorine], germ, true));
            // without power, or behind no filter, a lamp is no barrier
            assert!(!bars(&lamp, germ, false) && !bars(&[UV], germ, true));
        }
        let passing = |kinds: &[StageKind]| {
            Train::new(kinds.iter().copied().map(stage).collect()).unwrap().lets_pass(flow, true).unwrap()
        };
        assert_eq!(passing(&lamp), [Germ::Virus]);
        assert_eq!(passing(&[StageKind::Sediment, UV, StageKind::Chlorine]), []);
        assert_eq!(passing(&[StageKind::Chlorine]), [Germ::Giardia, Germ::Cryptosporidium]);
        let spent = Stage { left: Some(litres(0.0)), ..stage(StageKind::CystFilter) };
        assert!(!Train::new(vec![spent]).unwrap().bars(Germ::Giardia, flow, true).unwrap());
    }
}
