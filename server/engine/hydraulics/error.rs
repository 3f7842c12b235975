//! What can be wrong with a question about pipes, pumps and tanks.

use crate::numeric::NumericError;
use crate::quantity::OutOfRange;
use crate::vessel::ShapeError;

/// Why a question about pipes, pumps or tanks is refused. Each names the field, the value and what is allowed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum HydraulicsError {
    /// a figure out of its range
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// a vessel that cannot be, or a depth that is not in it
    #[error(transparent)]
    Shape(#[from] ShapeError),
    /// the numeric search gave no answer
    #[error("no answer found: {0}")]
    Numeric(#[from] NumericError),
    /// not liquid at this temperature and pressure
    #[error("pressure is {pressure} kPa; allowed is above {boils} kPa, under which water of {temperature} °C boils")]
    Boils {
        /// kPa
        pressure: f64,
        /// kPa
        boils: f64,
        /// °C
        temperature: f64,
    },
    /// a wall rougher than the pipe friction of any formula
    #[error("roughness is {roughness} mm; allowed is 0 to {most} mm in a bore of {bore} mm (a twentieth of it)")]
    TooRough {
        /// mm
        roughness: f64,
        /// mm
        most: f64,
        /// mm
        bore: f64,
    },
    /// a correlation for another regime of flow
    #[error("Reynolds number is {reynolds}; allowed is {min} to {max} for {what}")]
    Regime {
        /// which formula
        what: &'static str,
        /// what was given
        reynolds: f64,
        /// the least
        min: f64,
        /// the most
        max: f64,
    },
    /// fewer than three points
    #[error("the pump curve has {given} points; allowed is three or more, at different flows")]
    TooFewPoints {
        /// how many
        given: usize,
    },
    /// two points at one flow
    #[error("the pump curve has two points at {flow} L/min; allowed is one for each flow")]
    SameFlow {
        /// L/min
        flow: f64,
    },
    /// a head that rises with the flow
    #[error(
        "the pump curve rises: {head} m at {flow} L/min is more than at a lower flow; allowed is a head that falls"
    )]
    Rises {
        /// L/min
        flow: f64,
        /// m
        head: f64,
    },
    /// further along its curve than the pump gives any head
    #[error("flow is {flow} L/min; the pump curve has come down to no head before that")]
    BeyondCurve {
        /// L/min
        flow: f64,
    },
    /// the pump cannot lift that high
    #[error("the pump makes {shut_off} m at no flow; it does not reach the {needed} m that are needed")]
    OutOfReach {
        /// m
        shut_off: f64,
        /// m
        needed: f64,
    },
    /// the curves do not cross where the pump's falls
    #[error("pump and system do not meet where the pump curve falls: give points at higher flows")]
    NoDuty,
    /// cut-out not above cut-in
    #[error("cut-out is {cut_out} kPa; allowed is above the cut-in of {cut_in} kPa")]
    CutOut {
        /// kPa
        cut_out: f64,
        /// kPa
        cut_in: f64,
    },
    /// more out than in
    #[error("{electrical} W in would give {hydraulic} W of lifted water; allowed is no more out than in")]
    MoreOutThanIn {
        /// W
        electrical: f64,
        /// W
        hydraulic: f64,
    },
    /// a level that would have to rise to drain
    #[error("the end is {end} m and the start {start} m; allowed is an end at or below the start")]
    NotFalling {
        /// m
        start: f64,
        /// m
        end: f64,
    },
    /// lower than the outlet
    #[error("the end is {end} m; allowed is at or above the outlet at {outlet} m")]
    BelowOutlet {
        /// m
        end: f64,
        /// m
        outlet: f64,
    },
    /// a filter that loses less pressure than a clean one
    #[error("the filter's drop is {drop} kPa; allowed is at or above the {clean} kPa of a clean one at that flow")]
    CleanerThanClean {
        /// kPa
        drop: f64,
        /// kPa
        clean: f64,
    },
}
