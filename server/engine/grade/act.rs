//! What is told about a vessel: how it is built, what its keeper decided, and what happened to it.

use super::Cause;
use super::passed;
use crate::moment::Moment;
use crate::quantity::FREE_CHLORINE;
use crate::quantity::MassConcentration;
use crate::quantity::Measure;
use crate::quantity::OutOfRange;
use crate::quantity::RESIDUAL_FLOOR;
use crate::quantity::TOTAL_CHLORINE;
use crate::quantity::Time;
use crate::quantity::as_days;
use crate::quantity::as_mg_per_litre;
use crate::quantity::days;
use crate::quantity::mg_per_litre;

/// What of the vessel itself matters to the water in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Body {
    /// made for food and never used for anything else
    pub food_grade: bool,
    /// with a lid, its vents screened
    pub closed: bool,
    /// opaque, or kept in the dark
    pub opaque: bool,
}

/// What the keeper decided about a vessel: how long its water keeps, how long a test vouches for it, and whether a
/// residual is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Policy {
    interval: Time,
    redose: Time,
    floor: Option<MassConcentration>,
}

impl Policy {
    /// *Arguments* - `interval`: from a fill to its due date, above 0 (six months: CDC 2017, FEMA); `redose`: how
    /// long a good residual vouches, above 0 (90 days: common practice, no source); `floor`: the residual below
    /// which the water is no longer counted as drinking water, 0 to 4 mg/L (0.2 mg/L at the point of use: WHO;
    /// none: stored water commonly loses its chlorine and the policy accepts that).
    ///
    /// # Errors
    /// [`Refused::NotAboveZero`] and [`Refused::Range`] name the figure.
    ///
    /// ```
    /// use keepwell_engine::grade::Policy;
    /// use keepwell_engine::quantity::{days, mg_per_litre};
    /// assert!(Policy::new(days(180.0), days(90.0), Some(mg_per_litre(0.2))).is_ok());
    /// let error = Policy::new(days(0.0), days(90.0), None).unwrap_err();
    /// assert_eq!(error.to_string(), "the days between two fills are 0; they must be more than 0");
    /// ```
    pub fn new(interval: Time, redose: Time, floor: Option<MassConcentration>) -> Result<Self, Refused> {
        above_zero("the days between two fills", interval)?;
        above_zero("the days for which a test vouches", redose)?;
        within(&RESIDUAL_FLOOR, floor)?;
        Ok(Self { interval, redose, floor })
    }

    /// From a fill to its due date.
    #[must_use]
    pub const fn interval(&self) -> Time {
        self.interval
    }

    /// How long a good residual vouches for water past its date.
    #[must_use]
    pub const fn redose(&self) -> Time {
        self.redose
    }

    /// The residual that the policy asks for.
    #[must_use]
    pub const fn floor(&self) -> Option<MassConcentration> {
        self.floor
    }
}

/// Which supply: a neighbourhood has several, and a notice is in force on one of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Line(pub u32);

/// Where the water of a fill came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SourceKind {
    /// a public supply; the only one that notices speak of
    Mains,
    /// bought, or brought by a licensed carrier, as drinking water
    Bought {
        /// the day printed on it, where it is still sealed as bought
        printed: Option<Moment>,
    },
    /// rain, river, an untested well, a carrier that no one knows
    Doubtful,
    /// chemical doubt, a pool, a non-potable line
    Chemical,
}

/// What an authority warns of. Each kind is lifted by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum NoticeKind {
    /// germs are feared
    Boil,
    /// chemicals or toxins are feared
    DoNotDrink,
    /// even touching it may harm
    DoNotUse,
}

impl NoticeKind {
    /// Every kind, the mildest first.
    pub const ALL: [Self; 3] = [Self::Boil, Self::DoNotDrink, Self::DoNotUse];

    /// What mains water that came in under it is marked with.
    #[must_use]
    pub const fn cause(self) -> Cause {
        match self {
            Self::Boil => Cause::Boil,
            Self::DoNotDrink => Cause::DoNotDrink,
            Self::DoNotUse => Cause::DoNotUse,
        }
    }
}

/// What a supply is disinfected with, as far as it decides which reading is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Disinfectant {
    /// free chlorine: its water is judged by free chlorine
    Free,
    /// chloramine: its water is judged by total chlorine
    Chloramine,
}

/// What water takes along when it is poured into another vessel: see [`super::Water::contents`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contents {
    /// what stands on it
    pub causes: Vec<Cause>,
    /// how old it counts as
    pub filled: Moment,
    /// where boiling or a printed date gave it a day of its own: that day, which pouring does not put off
    pub keeps_until: Option<Moment>,
    /// whether any of it is chloraminated
    pub chloramine: bool,
}

/// One entry, as far as it matters to quality.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// water put in
    Fill {
        /// where from
        source: SourceKind,
        /// which supply, where it is the mains
        line: Line,
        /// it came to a rolling boil first; filtering or chlorinating it first earns nothing
        boiled: bool,
    },
    /// water poured over from another vessel
    TransferIn(Contents),
    /// the mains run through the vessel from now on
    FlowOn {
        /// which supply
        line: Line,
        /// volume over daily throughput
        age: Time,
    },
    /// they no longer do
    FlowOff,
    /// water taken out by its outlet
    Draw {
        /// until nothing more came; the heel is still there
        to_outlet: bool,
    },
    /// emptied, heel and all
    Drain,
    /// disinfectant added
    Dose {
        /// more than is fit to drink
        shock: bool,
    },
    /// a published method in full; a shock dose alone is not
    Disinfect,
    /// a sample read or sent away
    Test {
        /// free chlorine
        free: Option<MassConcentration>,
        /// total chlorine
        total: Option<MassConcentration>,
        /// whether coliforms were found
        coliform: Option<bool>,
    },
    /// a notice in force on a supply, from the day that the authority names
    Notice {
        /// which supply
        line: Line,
        /// what is feared
        kind: NoticeKind,
    },
    /// the notice of that kind lifted
    Lifted {
        /// which supply
        line: Line,
        /// which notice
        kind: NoticeKind,
    },
    /// the lid or a screen left or found so; opening it to dip, test or fill is no entry
    Lid {
        /// open or unscreened; otherwise closed
        open: bool,
    },
    /// flood water reached it
    Flooded,
    /// fuel, solvent or another chemical got into it
    FuelContact,
    /// what a supply is disinfected with from now on
    Mains {
        /// which supply
        line: Line,
        /// with what
        disinfectant: Disinfectant,
    },
}

impl Act {
    /// The supply that the act is about, where it is about a supply alone and not about the vessel.
    pub(super) const fn supply(&self) -> Option<Line> {
        match *self {
            Self::Notice { line, .. } | Self::Lifted { line, .. } | Self::Mains { line, .. } => Some(line),
            _ => None,
        }
    }

    pub(super) fn check(&self, at: Moment) -> Result<(), Refused> {
        match self {
            Self::Test { free, total, .. } => {
                within(&FREE_CHLORINE, *free)?;
                within(&TOTAL_CHLORINE, *total)
            }
            Self::FlowOn { age, .. } => above_zero("the days that the water stays in the vessel", *age),
            Self::TransferIn(contents) if passed(contents.filled, at) => {
                Err(Refused::FilledLater { filled: contents.filled, at })
            }
            _ => Ok(()),
        }
    }
}

/// Why an act or a policy is not taken. The state is as it was.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum Refused {
    /// acts come in the order in which they happened
    #[error("it happened before the entry that stands before it")]
    OutOfOrder {
        /// when it happened
        at: Moment,
        /// when the last one did
        last: Moment,
    },
    /// a reading that no water gives, or a floor outside what may be asked
    #[error(transparent)]
    Range(#[from] OutOfRange),
    /// a length of time that must be more than nothing
    #[error("{what} are {days}; they must be more than 0")]
    NotAboveZero {
        /// which
        what: &'static str,
        /// what was given
        days: f64,
    },
    /// water cannot have been stored after it was poured over
    #[error("the water poured over was filled after that; it must have been filled before")]
    FilledLater {
        /// when it is said to have been filled
        filled: Moment,
        /// when it was poured over
        at: Moment,
    },
}

fn above_zero(what: &'static str, time: Time) -> Result<(), Refused> {
    if time > days(0.0) { Ok(()) } else { Err(Refused::NotAboveZero { what, days: as_days(time) }) }
}

/// Compared as quantities: the way to kg/m³ and back may add a last digit to the limit itself.
fn within(measure: &Measure, value: Option<MassConcentration>) -> Result<(), Refused> {
    match value {
        Some(value) if !(mg_per_litre(measure.min)..=mg_per_litre(measure.max)).contains(&value) => {
            Err(OutOfRange { measure: *measure, value: as_mg_per_litre(value) }.into())
        }
        _ => Ok(()),
    }
}
