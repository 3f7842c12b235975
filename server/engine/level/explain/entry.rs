//! What is told of a vessel, in the order in which it happened.

use super::super::method::Method;
use super::tank::Tank;
use crate::moment::Moment;
use crate::quantity::Length;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_millimetres;

/// Which end of the stick a depth was read from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// up from the floor
    Floor,
    /// down from the rim
    Rim,
}

/// Whether water leaves a vessel daily without an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Habit {
    /// nothing leaves without an entry, but for what is forgotten, and leaks
    Standing,
    /// water is drawn daily; what is logged comes on top
    InUse,
}

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    /// a stick or tape in one of the vessels that share the surface
    Dip {
        /// which of them, counted from 0
        member: usize,
        /// as read
        depth: Length,
        /// from where
        from: End,
    },
    /// a sensor over the first vessel's floor
    Sensor(Length),
    /// a sight glass or a moulded scale
    Sight(Volume),
    /// by eye, as a part of the brim
    Eye(f64),
    /// the total of a counter at the outlet, which logged draws and leaks pass by
    Counter(Volume),
    /// water in
    In {
        /// how much
        volume: Volume,
        /// measured how
        by: Method,
    },
    /// filled to the top
    Top,
    /// brought to where it surely stands then: emptied, or drawn down to an outlet
    To {
        /// what is left
        volume: Volume,
        /// one standard deviation of it
        sd: Volume,
    },
    /// water out
    Out {
        /// how much
        volume: Volume,
        /// measured how
        by: Method,
    },
    /// water out, nobody knows how much
    OutUnknown,
}

/// One entry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entry {
    /// breaks ties of the moment, and names the entry
    pub id: u64,
    /// when it happened
    pub at: Moment,
    /// what happened
    pub what: What,
}

/// Why an entry cannot be taken in. What it says is never a reason.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum EntryError {
    /// two entries with one id
    #[error("two entries have the id {0}")]
    Twice(u64),
    /// a number that is none, or below 0
    #[error("entry {id}: {name} is {value}; allowed is a number, 0 or more")]
    NotAnAmount {
        /// whose
        id: u64,
        /// of what
        name: &'static str,
        /// what was given
        value: f64,
    },
    /// deeper than the vessel
    #[error("entry {id}: depth is {value} mm; allowed is 0 to {most} mm, the vessel's")]
    TooDeep {
        /// whose
        id: u64,
        /// what was given
        value: f64,
        /// the vessel's
        most: f64,
    },
    /// a vessel that the surface is not shared with
    #[error("entry {id}: there is no vessel {member} (counted from 0)")]
    NoMember {
        /// whose
        id: u64,
        /// which
        member: usize,
    },
}

impl Entry {
    /// Whether it makes sense for this vessel at all.
    pub(super) fn check(&self, tank: &Tank) -> Result<(), EntryError> {
        let id = self.id;
        let amount = |name: &'static str, value: f64| {
            if value.is_finite() && value >= 0.0 { Ok(()) } else { Err(EntryError::NotAnAmount { id, name, value }) }
        };
        let within = |value: f64, most: f64| {
            amount("depth", value)?;
            // a hair is rounding on the way from metres
            if value <= most * (1.0 + 1e-9) { Ok(()) } else { Err(EntryError::TooDeep { id, value, most }) }
        };
        match self.what {
            What::Dip { member, depth, .. } => {
                let (_, most) = tank.stick(member).ok_or(EntryError::NoMember { id, member })?;
                within(as_millimetres(depth), most)
            }
            What::Sensor(depth) => within(as_millimetres(depth), tank.stick(0).map_or(0.0, |(_, most)| most)),
            What::Sight(volume) | What::In { volume, .. } | What::Out { volume, .. } => {
                amount("litres", as_litres(volume))
            }
            What::To { volume, sd } => {
                amount("litres", as_litres(volume))?;
                amount("standard deviation", as_litres(sd))
            }
            What::Counter(total) => amount("total", as_litres(total)),
            What::Eye(part) => amount("part", part),
            What::Top | What::OutUnknown => Ok(()),
        }
    }
}
