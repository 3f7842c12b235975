//! The stages of a train, and what can be amiss with them.

use crate::quantity::Power;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::treatment::UvClass;

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
    pub(super) const fn place(self) -> u8 {
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

    pub(super) const fn needs_power(self) -> bool {
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
    /// The stage that counts for nothing because of it, if one does.
    #[must_use]
    pub const fn disables(self) -> Option<usize> {
        match self {
            Self::TooFast { stage } | Self::Spent { stage } | Self::NoPower { stage } => Some(stage),
            Self::UnfilteredLight { lamp } | Self::NoClaim { lamp } => Some(lamp),
            Self::Empty | Self::OutOfOrder { .. } | Self::ChlorineBeforeCarbon { .. } | Self::NoResidual => None,
        }
    }

    /// The stage that it is about, if it is about one: of two that stand the wrong way round, the later.
    #[must_use]
    pub const fn stage(self) -> Option<usize> {
        match self {
            Self::OutOfOrder { late, .. } => Some(late),
            Self::ChlorineBeforeCarbon { carbon } => Some(carbon),
            _ => self.disables(),
        }
    }

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
