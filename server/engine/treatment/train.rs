//! A train of stages: whether their order makes sense, how much may flow, what they last for and draw.

use super::Caution;
use super::FLOW;
use super::Germ;
use super::MONTHS;
use super::TreatmentError;
use super::UvClass;
use crate::quantity::POWER;
use crate::quantity::Power;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_minute;
use crate::quantity::as_watts;
use crate::quantity::litres;
use crate::quantity::watts;

/// What a stage does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StageKind {
    /// a screen for leaves and sand
    Screen,
    /// a sediment filter
    Sediment,
    /// a cartridge tested for the removal of cysts, or 1 µm absolute
    CystFilter,
    /// activated carbon
    Carbon,
    /// ultraviolet light
    Uv(UvClass),
    /// free chlorine with contact in a tank
    Chlorine,
    /// boiling at use
    Boil,
}

impl StageKind {
    /// Its place from the source to the tap.
    const fn place(self) -> u8 {
        match self {
            Self::Screen => 0,
            Self::Sediment => 1,
            Self::CystFilter => 2,
            Self::Carbon => 3,
            Self::Uv(_) => 4,
            Self::Chlorine => 5,
            Self::Boil => 6,
        }
    }

    /// In words (English key).
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Screen => "screen",
            Self::Sediment => "sediment filter",
            Self::CystFilter => "cyst filter",
            Self::Carbon => "carbon filter",
            Self::Uv(_) => "ultraviolet lamp",
            Self::Chlorine => "chlorine",
            Self::Boil => "boiling",
        }
    }

    const fn needs_power(self) -> bool {
        matches!(self, Self::Uv(_))
    }
}

/// One stage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stage {
    /// what it does
    pub kind: StageKind,
    /// the most it may pass
    pub most_flow: Option<VolumeRate>,
    /// litres that are left before its medium is spent; none: without end
    pub left: Option<Volume>,
    /// months left before it must be renewed whatever passed
    pub months_left: Option<f64>,
    /// what it draws while water passes
    pub draws: Power,
}

/// What is not in order with a train. Positions count from 0, source first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// no stage at all
    Empty,
    /// it stands before one that belongs before it
    OutOfOrder {
        /// the one too early
        early: usize,
        /// the one too late
        late: usize,
    },
    /// chlorine is added before carbon, which takes it out: no residual is stored
    ChlorineBeforeCarbon {
        /// where the carbon is
        carbon: usize,
    },
    /// light behind no sediment filter: shadows
    UnfilteredLight {
        /// where the lamp is
        lamp: usize,
    },
    /// nothing after light leaves a residual for storing
    NoResidual,
    /// the flow is more than a stage may pass
    TooFast {
        /// which
        stage: usize,
    },
    /// its medium is spent, in litres or months: it counts for nothing
    Spent {
        /// which
        stage: usize,
    },
    /// it has no power: it treats nothing and must not let water pass
    NoPower {
        /// which
        stage: usize,
    },
    /// a Class B or untested lamp, counted as no barrier
    NoClaim {
        /// where the lamp is
        lamp: usize,
    },
}

impl Fault {
    /// Whether untreated water could reach the tap while it stands.
    #[must_use]
    pub const fn stops(self) -> bool {
        matches!(self, Self::Empty | Self::TooFast { .. } | Self::Spent { .. } | Self::NoPower { .. })
    }

    /// In words (English key).
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Empty => "there is no stage",
            Self::OutOfOrder { .. } => {
                "a stage stands before one that belongs before it: screen, sediment, carbon, ultraviolet light, chlorine, boiling"
            }
            Self::ChlorineBeforeCarbon { .. } => "carbon takes the chlorine out: none is left to store",
            Self::UnfilteredLight { .. } => {
                "light throws shadows in cloudy water: put a sediment filter of 5 µm before it"
            }
            Self::NoResidual => "light leaves nothing in the water: what is stored needs chlorine after it",
            Self::TooFast { .. } => "more flows than the stage may pass",
            Self::Spent { .. } => "the stage is past its litres or its months",
            Self::NoPower { .. } => "without power the lamp treats nothing: no water may pass",
            Self::NoClaim { .. } => "a lamp of Class B, or of no class, counts as no barrier",
        }
    }
}

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
        Ok(Passed {
            faults,
            most_flow: least(self.stages.iter().filter_map(|stage| stage.most_flow)),
            litres_left: least(self.stages.iter().filter_map(|stage| stage.left)),
            months_left: least(self.stages.iter().filter_map(|stage| stage.months_left)),
            draws: self.stages.iter().fold(watts(0.0), |sum, stage| sum + stage.draws),
            cautions: self.cautions(),
        })
    }

    /// Litres that can still be treated at a flow: none while a fault stops it, nothing where there is no end.
    ///
    /// # Errors
    /// [`TreatmentError::OutOfRange`] for a flow that is none.
    pub fn treatable(&self, flow: VolumeRate, powered: bool) -> Result<Option<Volume>, TreatmentError> {
        let passed = self.at(flow, powered)?;
        Ok(if passed.faults.iter().any(|fault| fault.stops()) { Some(litres(0.0)) } else { passed.litres_left })
    }

    /// The germs that a stage of it is a barrier to, while no fault stops it. Chlorine's is [`super::credit`]'s to say.
    #[must_use]
    pub fn bars(&self, germ: Germ) -> bool {
        self.stages.iter().any(|stage| match stage.kind {
            StageKind::Boil => true,
            StageKind::CystFilter => germ != Germ::Virus,
            StageKind::Uv(UvClass::A) => germ != Germ::Virus,
            _ => false,
        })
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
        let bars = |kind, germ| Train::new(vec![stage(kind)]).unwrap().bars(germ);
        assert!(Germ::ALL.into_iter().all(|germ| bars(StageKind::Boil, germ)));
        assert!(bars(UV, Germ::Cryptosporidium) && !bars(UV, Germ::Virus));
        assert!(bars(StageKind::CystFilter, Germ::Giardia) && !bars(StageKind::CystFilter, Germ::Virus));
        assert!(
            Germ::ALL
                .into_iter()
                .all(|germ| !bars(StageKind::Uv(UvClass::B), germ) && !bars(StageKind::Chlorine, germ))
        );
    }
}
