//! The vessel as a level is told of it: one, or several that share a surface.

use super::odds;
use crate::numeric::NumericError;
use crate::numeric::Rising;
use crate::quantity::Length;
use crate::quantity::OutOfRange;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_millimetres;

/// More than this an owner is not unsure of a vessel's capacity, one standard deviation as a part of it.
const MOST_CAPACITY_SD: f64 = 0.3;
/// Less than this, in litres or in millimetres, is no vessel.
const LEAST: f64 = 1e-3;

/// Why a vessel cannot be reckoned with.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TankError {
    /// no member, or none that stands on the ground the others are measured from
    #[error("the first vessel's floor is at {0} mm; it must be at 0")]
    NoGround(f64),
    /// a floor or a depth that is no length
    #[error("vessel {member}: {value} mm is not a height from 0 to 100000 mm")]
    Height {
        /// counted from 0
        member: usize,
        /// what was given
        value: f64,
    },
    /// depth and litres do not rise together from nothing
    #[error("vessel {member}: depth and litres must rise together from 0: {why}")]
    Table {
        /// counted from 0
        member: usize,
        /// what is wrong
        why: NumericError,
    },
    /// more or less than a vessel holds
    #[error(transparent)]
    Volume(#[from] OutOfRange),
    /// a doubt that is none, or too much
    #[error("the capacity's standard deviation is {0} of it; allowed is 0 to {MOST_CAPACITY_SD}")]
    Capacity(f64),
}

/// One vessel of those that share a surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// its floor over the first one's
    pub floor: Length,
    /// depth over its own floor and litres, rising from (0, 0) to its rim
    pub table: Vec<(Length, Volume)>,
}

impl Member {
    /// A vessel whose walls stand upright.
    #[must_use]
    pub fn upright(floor: Length, depth: Length, brim: Volume) -> Self {
        Self { floor, table: vec![(depth * 0.0, brim * 0.0), (depth, brim)] }
    }
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Stick {
    floor: f64,
    depth: f64,
}

/// What the estimator knows of a vessel, or of a bank whose members share one surface: litres at every height.
#[derive(Clone, Debug, PartialEq)]
pub struct Tank {
    sticks: Vec<Stick>,
    line: Rising,
    height: f64,
    brim: f64,
    /// where "filled to the top" stops
    full: f64,
    capacity_sd: f64,
}

impl Tank {
    /// Vessels that share a surface, the first one's floor being the height 0; and how unsure their stated capacity is,
    /// one standard deviation as a part of it (0: measured).
    ///
    /// # Errors
    /// [`TankError`] names the member and what is wrong with it.
    ///
    /// ```
    /// use keepwell_engine::level::explain::{Member, Tank};
    /// use keepwell_engine::quantity::{as_litres, litres, millimetres};
    /// // Two uprights of 1 L a millimetre and 1700 mm, the second 100 mm higher: full to the lower rim,
    /// // 1700 + 1600 L, by hand.
    /// let upright = |floor| Member::upright(millimetres(floor), millimetres(1700.0), litres(1700.0));
    /// let bank = Tank::new(&[upright(0.0), upright(100.0)], 0.0)?;
    /// assert!((as_litres(bank.brim()) - 3300.0).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::level::explain::TankError>(())
    /// ```
    pub fn new(members: &[Member], capacity_sd: f64) -> Result<Self, TankError> {
        if !(0.0..=MOST_CAPACITY_SD).contains(&capacity_sd) {
            return Err(TankError::Capacity(capacity_sd));
        }
        let ground = members.first().map_or(f64::NAN, |member| as_millimetres(member.floor));
        if ground.abs() > 0.0 || ground.is_nan() {
            return Err(TankError::NoGround(ground));
        }
        let (mut sticks, mut lines) = (Vec::new(), Vec::new());
        for (member, given) in members.iter().enumerate() {
            let points: Vec<(f64, f64)> =
                given.table.iter().map(|&(depth, volume)| (as_millimetres(depth), as_litres(volume))).collect();
            let line = Rising::new(points).map_err(|why| TankError::Table { member, why })?;
            let (floor, depth) = (as_millimetres(given.floor), line.points()[line.points().len() - 1].0);
            let zero = line.points()[0];
            if zero.0.abs() > 0.0 || zero.1.abs() > 0.0 {
                return Err(TankError::Table { member, why: NumericError::NotRising(0) });
            }
            for value in [floor, depth] {
                if !(0.0..=1e5).contains(&value) {
                    return Err(TankError::Height { member, value });
                }
            }
            sticks.push(Stick { floor, depth });
            lines.push(line);
        }
        let height = sticks.iter().map(|stick| stick.floor + stick.depth).fold(f64::INFINITY, f64::min);
        if height < LEAST {
            return Err(TankError::Height { member: 0, value: height });
        }
        let line = joint(&sticks, &lines, height).map_err(|why| TankError::Table { member: 0, why })?;
        let brim = VOLUME.check(line.points()[line.points().len() - 1].1)?;
        if brim < LEAST {
            return Err(TankError::Volume(OutOfRange { measure: VOLUME, value: brim }));
        }
        Ok(Self { sticks, line, height, brim, full: brim, capacity_sd })
    }

    /// The same with a full mark below the brim: there "filled to the top" stops, and there a fill is likely to have
    /// stopped that nobody logged.
    ///
    /// # Errors
    /// [`TankError::Volume`] for a mark at nothing, or over the brim.
    ///
    /// ```
    /// use keepwell_engine::level::explain::{Member, Tank};
    /// use keepwell_engine::quantity::{litres, millimetres};
    /// let drum = Tank::new(&[Member::upright(millimetres(0.0), millimetres(880.0), litres(220.0))], 0.0)?;
    /// assert!(drum.clone().filled_to(litres(200.0)).is_ok());
    /// assert!(drum.filled_to(litres(230.0)).is_err());
    /// # Ok::<(), keepwell_engine::level::explain::TankError>(())
    /// ```
    pub fn filled_to(self, full: Volume) -> Result<Self, TankError> {
        let full = as_litres(full);
        // one part in a million: the two come from different formulas of the same shape
        if !(LEAST..=self.brim * (1.0 + 1e-6)).contains(&full) {
            let mut measure = VOLUME;
            measure.name = "volume at the full mark";
            (measure.min, measure.max) = (LEAST, self.brim);
            return Err(TankError::Volume(OutOfRange { measure, value: full }));
        }
        Ok(Self { full: full.min(self.brim), ..self })
    }

    /// What it holds up to the lowest rim.
    #[must_use]
    pub fn brim(&self) -> Volume {
        crate::quantity::litres(self.brim)
    }

    pub(super) const fn brim_litres(&self) -> f64 {
        self.brim
    }

    pub(super) const fn full_litres(&self) -> f64 {
        self.full
    }

    pub(super) const fn brim_mm(&self) -> f64 {
        self.height
    }

    pub(super) const fn capacity_sd(&self) -> f64 {
        self.capacity_sd
    }

    /// Floor and inside depth of one member, in millimetres.
    pub(super) fn stick(&self, member: usize) -> Option<(f64, f64)> {
        self.sticks.get(member).map(|stick| (stick.floor, stick.depth))
    }

    /// Litres when the surface stands this high, mm; 0 below the floor, the brim above it.
    pub(super) fn litres_at(&self, height: f64) -> f64 {
        self.line.at(height.clamp(0.0, self.height)).map_or(self.brim, |read| read.value)
    }

    /// Litres a millimetre there.
    pub(super) fn slope_at(&self, height: f64) -> f64 {
        self.line.slope(height.clamp(0.0, self.height)).unwrap_or(self.brim / self.height)
    }

    /// Litres a millimetre where this many litres are.
    pub(super) fn slope_of(&self, litres: f64) -> f64 {
        self.slope_at(self.line.inverse(litres.clamp(0.0, self.brim)).unwrap_or(self.height))
    }

    /// Litres in the air under a surface "filled to the top": mean and one standard deviation.
    pub(super) fn slack(&self) -> (f64, f64) {
        let slope = if self.full < self.brim { self.slope_of(self.full) } else { self.slope_at(self.height) };
        let slack = (super::super::TOP_SLACK_MM * slope).min(self.full);
        (slack / 2.0, slack / super::super::SQRT_12)
    }

    /// A surface, mm, seen where a stick of `member` reads `depth` from the floor or from the rim.
    pub(super) fn height(&self, member: usize, depth: f64, from_rim: bool) -> f64 {
        self.stick(member).map_or(0.0, |(floor, inside)| floor + if from_rim { inside - depth } else { depth })
    }

    /// How far two dips of one stick can be apart at least to be told apart from its own error.
    pub(super) fn told_apart(one: f64, other: f64) -> bool {
        (one - other).abs() >= odds::LEAST_SLIP_MM
    }
}

/// Litres of all members against the height over the first one's floor.
fn joint(sticks: &[Stick], lines: &[Rising], height: f64) -> Result<Rising, NumericError> {
    let mut knots = vec![0.0, height];
    for (stick, line) in sticks.iter().zip(lines) {
        knots.extend(line.points().iter().map(|&(depth, _)| stick.floor + depth).filter(|&knot| knot < height));
    }
    knots.sort_by(f64::total_cmp);
    knots.dedup();
    let litres = |knot: f64| {
        let each = sticks.iter().zip(lines).map(|(stick, line)| {
            let depth = (knot - stick.floor).clamp(0.0, stick.depth);
            line.at(depth).map_or(0.0, |read| read.value)
        });
        each.sum::<f64>()
    };
    Rising::new(knots.into_iter().map(|knot| (knot, litres(knot))).collect())
}
