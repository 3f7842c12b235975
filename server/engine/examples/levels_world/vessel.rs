//! The vessels of the invented world, and what truly is in them.

use keepwell_engine::level::explain::Member;
use keepwell_engine::level::explain::Tank;
use keepwell_engine::level::explain::TankError;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::millimetres;

use crate::chance::Chance;

/// An upright, and perhaps a partner that shares its surface.
#[derive(Clone, Copy, Debug)]
pub struct Vessel {
    pub litres_per_mm: f64,
    pub depth: f64,
    /// litres a millimetre, depth and floor of the partner
    pub partner: Option<(f64, f64, f64)>,
    pub capacity_sd: f64,
    /// what it truly holds more than stated, as a part
    pub more: f64,
}

impl Vessel {
    pub fn any(chance: &mut Chance) -> Self {
        let (litres_per_mm, depth) =
            chance.one_of(&[(0.2552, 860.0), (0.95, 1100.0), (1.131, 1700.0), (2.545, 2000.0)]);
        let mut vessel = Self { litres_per_mm, depth, partner: None, capacity_sd: 0.0, more: 0.0 };
        if chance.happens(0.2) {
            (vessel.litres_per_mm, vessel.depth) = (1.131, 1700.0);
            vessel.partner = Some((1.131, 1700.0, chance.one_of(&[0.0, 100.0])));
        }
        if chance.happens(1.0 / 3.0) {
            vessel.capacity_sd = 0.01;
            vessel.more = 0.01 * chance.normal();
        }
        vessel
    }

    pub fn height_of_brim(&self) -> f64 {
        self.partner.map_or(self.depth, |(_, depth, floor)| self.depth.min(floor + depth))
    }

    /// True litres under a surface.
    pub fn holds(&self, height: f64) -> f64 {
        let partner = self.partner.map_or(0.0, |(by, _, floor)| by * (height - floor).max(0.0));
        (self.litres_per_mm * height + partner) * (1.0 + self.more)
    }

    pub fn brim(&self) -> f64 {
        self.holds(self.height_of_brim())
    }

    /// Where the surface of so many true litres stands.
    pub fn surface(&self, litres: f64) -> f64 {
        let stated = litres / (1.0 + self.more);
        match self.partner {
            Some((by, _, floor)) if stated > self.litres_per_mm * floor => {
                floor + (stated - self.litres_per_mm * floor) / (self.litres_per_mm + by)
            }
            _ => stated / self.litres_per_mm,
        }
    }

    /// Litres a millimetre where the surface stands.
    pub fn slope(&self, height: f64) -> f64 {
        self.litres_per_mm + self.partner.map_or(0.0, |(by, _, floor)| if height > floor { by } else { 0.0 })
    }

    /// As the estimator is told of it.
    pub fn told(&self) -> Result<Tank, TankError> {
        let upright = |by: f64, depth: f64, floor: f64| {
            Member::upright(millimetres(floor), millimetres(depth), litres(by * depth))
        };
        let mut members = vec![upright(self.litres_per_mm, self.depth, 0.0)];
        members.extend(self.partner.map(|(by, depth, floor)| upright(by, depth, floor)));
        Tank::new(&members, self.capacity_sd)
    }
}
