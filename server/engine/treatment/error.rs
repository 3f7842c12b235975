//! Why a reckoning of treatment is refused.

use super::Germ;
use super::Unfit;
use crate::quantity::OutOfRange;

/// What is wrong with a question about treatment. Each names the field, the value and what is allowed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TreatmentError {
    /// a figure out of its range
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// a figure that must be above 0
    #[error("{name} is 0; allowed is above 0")]
    Zero {
        /// what is 0
        name: &'static str,
    },
    /// a product that has no place in drinking water
    #[error("{0}")]
    Unfit(Unfit),
    /// more than an ordinary dose
    #[error(
        "the dose is {mg_l} mg/L; allowed is at most {most} mg/L, or more as a shock dose after which the water is on hold"
    )]
    ShockOnly {
        /// the dose
        mg_l: f64,
        /// the most that is ordinary
        most: f64,
    },
    /// chlorine cannot do it alone
    #[error("turbidity is {ntu} NTU; allowed is at most {most} NTU for this: let it settle and filter it first")]
    TooCloudy {
        /// measured
        ntu: f64,
        /// the most
        most: f64,
    },
    /// total chlorine, or a supply with chloramine
    #[error("the chlorine is chloramine or total chlorine; allowed is a measured free chlorine")]
    NotFree,
    /// nothing measured
    #[error("no free chlorine was measured; allowed is a reading above 0 mg/L")]
    NoReading,
    /// no published value
    #[error("pH is {ph}; allowed is at most {most} for {germ}, as no value is published above it")]
    PhAboveTable {
        /// measured
        ph: f64,
        /// the last column
        most: f64,
        /// whose table
        germ: Germ,
    },
    /// the table has no such column
    #[error("log is {log}; allowed is one of the table's columns: {columns}")]
    NoColumn {
        /// asked for
        log: f64,
        /// what there is
        columns: &'static str,
    },
    /// the germ has a table that asks for more than CT
    #[error("{germ} has a table; it is asked with temperature, pH and free chlorine")]
    HasTable {
        /// whose table
        germ: Germ,
    },
    /// the household chart has no column for this strength
    #[error(
        "the label says {percent} %; allowed is 5 to 9 % for the household chart: reckon the dose from the strength"
    )]
    NotOnChart {
        /// on the label
        percent: f64,
    },
    /// no rate in them
    #[error("the readings do not fall with time; allowed are two or more that do (was it dosed or topped up between?)")]
    NotFalling,
    /// too few
    #[error("{given} readings are given; allowed are two or more at different times")]
    TooFewReadings {
        /// how many
        given: usize,
    },
    /// not what the table is for
    #[error(
        "after contact with fuel or chemicals only emptying and refilling is allowed, and the authority is asked first"
    )]
    AfterFuel,
}
