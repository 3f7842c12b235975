//! A vessel as the engine sees it: its shape, fittings, capacities and heels, worked out once from the set-up.

use std::sync::Arc;

use keepwell_engine::grade;
use keepwell_engine::quantity::Area;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Volume;
use keepwell_engine::quantity::days;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::mg_per_litre;
use keepwell_engine::vessel::Capacity;
use keepwell_engine::vessel::DrawPoint;
use keepwell_engine::vessel::Fittings;
use keepwell_engine::vessel::Kind;
use keepwell_engine::vessel::Shape;
use keepwell_engine::vessel::ShapeError;
use keepwell_engine::vessel::Way;
use keepwell_engine::vessel::capacity;
use keepwell_engine::vessel::heel_by;

use crate::model::vessel::DrawWay;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::Vessel;

/// What the engine is asked about a vessel with.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    pub shape: Shape,
    pub fittings: Fittings,
    pub capacity: Capacity,
    /// what lies below each way of drawing; none where the vessel cannot be drawn that way
    pub pump: Option<Volume>,
    pub gravity: Option<Volume>,
    pub dip: Option<Volume>,
    pub policy: grade::Policy,
    pub body: grade::Body,
}

/// Why a vessel's figures do not make a vessel.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BodyError {
    #[error(transparent)]
    Shape(#[from] ShapeError),
    #[error(transparent)]
    Policy(#[from] grade::Refused),
}

impl Body {
    /// # Errors
    /// The dimension, height or interval that does not hold. Service checks this before a vessel is kept, so that a
    /// kept vessel always has a body.
    pub fn of(vessel: &Vessel) -> Result<Arc<Self>, BodyError> {
        let kind = kind(vessel.shape);
        let shape = Shape::from_dimensions(kind, |key| vessel.dimensions.get(key).copied(), &vessel.strapping)?;
        let draws =
            vessel.draws.iter().map(|draw| DrawPoint { way: way(draw.way), height: metres(draw.height_m) }).collect();
        let fittings = Fittings { full: vessel.full_m.map(metres), draws };
        fittings.check(&shape)?;
        let policy = grade::Policy::new(
            days(vessel.policy.interval_days),
            days(vessel.policy.redose_days),
            vessel.policy.floor_mg_l.map(mg_per_litre),
        )?;
        let body = grade::Body { food_grade: vessel.food_grade, closed: vessel.closed, opaque: vessel.opaque };
        Ok(Arc::new(Self {
            capacity: capacity(&shape, &fittings)?,
            pump: heel_by(&shape, &fittings, Way::Pump)?,
            gravity: heel_by(&shape, &fittings, Way::Gravity)?,
            dip: heel_by(&shape, &fittings, Way::Dip)?,
            shape,
            fittings,
            policy,
            body,
        }))
    }

    /// The lowest of the heels; none if nothing can be drawn.
    #[must_use]
    pub fn lowest_heel(&self) -> Option<Volume> {
        [self.pump, self.gravity, self.dip]
            .into_iter()
            .flatten()
            .reduce(|low, heel| if heel < low { heel } else { low })
    }

    /// The depth of so much water; none for what has no depth.
    #[must_use]
    pub fn depth_of(&self, volume: Volume) -> Option<Length> {
        self.shape.height()?;
        self.shape.depth_of(volume.min(self.shape.brim()).max(Volume::default())).ok()
    }

    /// The water's surface when so much is in it; none for what has no depth.
    #[must_use]
    pub fn surface_of(&self, volume: Volume) -> Option<Area> {
        self.shape.surface_at(self.depth_of(volume)?).ok()
    }
}

/// The engine's kind of that shape. Both lists go by the same keys.
#[must_use]
pub fn kind(shape: ShapeKind) -> Kind {
    match shape {
        ShapeKind::UprightCylinder => Kind::Upright,
        ShapeKind::UprightCone => Kind::UprightCone,
        ShapeKind::UprightDished => Kind::UprightDished,
        ShapeKind::UprightElliptical => Kind::UprightElliptical,
        ShapeKind::UprightRound => Kind::UprightRound,
        ShapeKind::HorizontalCylinder => Kind::Lying,
        ShapeKind::HorizontalCone => Kind::LyingCone,
        ShapeKind::HorizontalDished => Kind::LyingDished,
        ShapeKind::HorizontalElliptical => Kind::LyingElliptical,
        ShapeKind::HorizontalRound => Kind::LyingRound,
        ShapeKind::Box => Kind::Box,
        ShapeKind::RoundedBox => Kind::Rounded,
        ShapeKind::Sphere => Kind::Sphere,
        ShapeKind::Set => Kind::Set,
        ShapeKind::HeaterTank => Kind::Heater,
        ShapeKind::Table => Kind::Table,
    }
}

fn way(way: DrawWay) -> Way {
    match way {
        DrawWay::Pump => Way::Pump,
        DrawWay::Gravity => Way::Gravity,
        DrawWay::Dip => Way::Dip,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::choice::Choice;

    #[test]
    fn house_and_engine_go_by_the_same_keys() {
        for row in ShapeKind::LIST {
            assert_eq!(kind(row.0).key(), row.1);
        }
        for row in DrawWay::LIST {
            assert_eq!(way(row.0).key(), row.1);
        }
    }
}
