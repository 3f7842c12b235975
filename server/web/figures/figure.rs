//! What can be shown as a figure: a bare number, or a quantity in the unit it is kept in.

use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Mass;
use keepwell_engine::quantity::MassConcentration;
use keepwell_engine::quantity::Power;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::VolumeRate;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::as_hours;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_litres_per_day;
use keepwell_engine::quantity::as_litres_per_hour;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::as_mg_per_litre;
use keepwell_engine::quantity::as_watts;

/// What a filter may be given for a quantity: a number in its metric unit, or the engine's own type.
pub trait Figure<Quantity> {
    /// the value in the metric unit
    fn value(&self) -> f64;
}

impl<Q> Figure<Q> for f64 {
    fn value(&self) -> f64 {
        *self
    }
}

impl<Q, T: Figure<Q> + ?Sized> Figure<Q> for &T {
    fn value(&self) -> f64 {
        (**self).value()
    }
}

impl Figure<Volume> for Volume {
    fn value(&self) -> f64 {
        as_litres(*self)
    }
}

impl Figure<Length> for Length {
    fn value(&self) -> f64 {
        as_metres(*self)
    }
}

impl Figure<Time> for Time {
    fn value(&self) -> f64 {
        as_days(*self)
    }
}

impl Figure<MassConcentration> for MassConcentration {
    fn value(&self) -> f64 {
        as_mg_per_litre(*self)
    }
}

impl Figure<Power> for Power {
    fn value(&self) -> f64 {
        as_watts(*self)
    }
}

impl Figure<Mass> for Mass {
    fn value(&self) -> f64 {
        self.value
    }
}

/// A time to be told in hours.
pub struct Hours;
/// A rate to be told by the day.
pub struct ADay;
/// A rate to be told by the hour.
pub struct AnHour;
/// A rate to be told by the minute.
pub struct AMinute;

impl Figure<Hours> for Time {
    fn value(&self) -> f64 {
        as_hours(*self)
    }
}

impl Figure<ADay> for VolumeRate {
    fn value(&self) -> f64 {
        as_litres_per_day(*self)
    }
}

impl Figure<AnHour> for VolumeRate {
    fn value(&self) -> f64 {
        as_litres_per_hour(*self)
    }
}

impl Figure<AMinute> for VolumeRate {
    fn value(&self) -> f64 {
        as_litres_per_hour(*self) / 60.0
    }
}

/// A bare number: people, containers, a factor.
pub struct Bare;

impl Figure<Bare> for u32 {
    fn value(&self) -> f64 {
        f64::from(*self)
    }
}

#[expect(clippy::cast_precision_loss, reason = "exact to nine thousand million million")]
impl Figure<Bare> for u64 {
    fn value(&self) -> f64 {
        *self as f64
    }
}

#[expect(clippy::cast_precision_loss, reason = "exact to nine thousand million million")]
impl Figure<Bare> for i64 {
    fn value(&self) -> f64 {
        *self as f64
    }
}

#[expect(clippy::cast_precision_loss, reason = "exact to nine thousand million million")]
impl Figure<Bare> for usize {
    fn value(&self) -> f64 {
        *self as f64
    }
}
