//! The answer: a grade, its causes, and the facts that a page gives as reasons.

use super::Cause;
use super::Grade;
use super::SourceKind;
use super::Step;
use crate::moment::Moment;
use crate::quantity::MassConcentration;
use crate::quantity::Time;

/// Where water came from, once it is in the vessel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Origin {
    /// a public supply
    Mains,
    /// bought, or brought as drinking water
    Bought,
    /// a doubtful source
    Doubtful,
    /// a source in chemical doubt
    Chemical,
    /// another vessel
    Vessel,
}

impl From<SourceKind> for Origin {
    fn from(source: SourceKind) -> Self {
        match source {
            SourceKind::Mains => Self::Mains,
            SourceKind::Bought { .. } => Self::Bought,
            SourceKind::Doubtful => Self::Doubtful,
            SourceKind::Chemical => Self::Chemical,
        }
    }
}

/// What a vessel's water is counted as at one moment, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Graded {
    /// the worst of the causes' grades, [`Grade::Drink`] without any; none when the vessel is empty
    pub grade: Option<Grade>,
    /// what stands, in the order of [`Cause::ALL`]; when empty, what a fill with good water now would leave standing
    pub causes: Vec<Cause>,
    /// how old the water counts as: the day of its last fresh fill, or of the oldest water that came to it since
    pub clock: Option<Moment>,
    /// when it is past its date
    pub due: Option<Moment>,
    /// the good residual that vouches for the water now: when it was measured
    pub vouched_by_test: Option<Moment>,
    /// the facts behind it, in the order in which a page tells them
    pub reasons: Vec<Reason>,
}

/// One fact behind a grade. Words are the page's business.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reason {
    /// the fresh fill that began this water
    Filled {
        /// where from
        from: Origin,
        /// when
        at: Moment,
        /// brought to a rolling boil first
        boiled: bool,
    },
    /// the last water that was added to it
    ToppedUp {
        /// where from
        from: Origin,
        /// when
        at: Moment,
        /// brought to a rolling boil first
        boiled: bool,
    },
    /// all of it is sealed as bought
    Sealed {
        /// the earliest day printed on it
        printed: Moment,
    },
    /// the mains run through the vessel
    RunsThrough {
        /// volume over daily throughput
        age: Time,
        /// since when nothing has disturbed the count of volumes
        since: Moment,
        /// whether five volumes have run since: the water counts as old as `age`
        renewed: bool,
    },
    /// the last test that counts, with its reading
    Tested {
        /// when
        at: Moment,
        /// what it read
        reading: MassConcentration,
        /// total chlorine, as some of the water is chloraminated; otherwise free
        total: bool,
    },
    /// why a cause of [`Graded::causes`] stands
    Stands {
        /// which
        cause: Cause,
        /// since when; none where the vessel itself is the cause
        since: Option<Moment>,
        /// how far its way out has been gone
        step: Step,
    },
}
