//! How a vessel stands: what its floor feels, whether an earthquake moves it, whether its water spills. Screening only,
//! from what the set-up says of it; a figure over its limit means "ask a structural engineer".

use keepwell_engine::quantity::Area;
use keepwell_engine::quantity::Force;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::as_litres;
use keepwell_engine::quantity::as_metres;
use keepwell_engine::quantity::kilograms;
use keepwell_engine::quantity::kilonewtons;
use keepwell_engine::quantity::metres;
use keepwell_engine::quantity::seconds;
use keepwell_engine::quantity::square_metres;
use keepwell_engine::structure::Allowance;
use keepwell_engine::structure::Basin;
use keepwell_engine::structure::FloorLoad;
use keepwell_engine::structure::Force7_16;
use keepwell_engine::structure::Site;
use keepwell_engine::structure::Spectrum;
use keepwell_engine::structure::Standing;
use keepwell_engine::structure::StructureError;
use keepwell_engine::structure::floor_load;
use keepwell_engine::working::Reckoned;

use crate::model::neighbourhood::Neighbourhood;
use crate::model::vessel::Material;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::StandsOn;
use crate::picture::VesselPicture;

/// The edition whose force is reckoned.
pub const EDITION: &str = "ASCE/SEI 7-16";
/// A litre of water weighs a kilogram, within 0.3 %.
const KILOGRAM_A_LITRE: f64 = 1.0;
/// Standard gravity, m/s²: exact, CGPM 1901.
const GRAVITY: f64 = 9.806_65;
/// Where long periods begin, for ordinary risk (ASCE 7, from memory).
const LONG_PERIOD_S: f64 = 4.0;
/// What is needed after an earthquake is held for more (ASCE 7, 13.1.3, from memory).
const HELD_IMPORTANCE: f64 = 1.5;

/// What a vessel touches the floor with.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Foot {
    area: Area,
    /// in the direction in which the water swings furthest
    across: Length,
    /// half of the narrower way
    half: Length,
    round: bool,
}

/// How a vessel stands, full to the brim.
#[derive(Clone, Debug, PartialEq)]
pub struct Stands {
    pub floor: FloorLoad,
    /// what is usually allowed on what it stands on; none where that is not said
    pub allowance: Option<Allowance>,
    pub quake: Option<Quake>,
    /// how high the wave stands, and how much room is above the full mark
    pub wave: Option<(Reckoned<Length>, Length)>,
    pub anchored: bool,
}

/// What an earthquake does to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Quake {
    /// sideways; where it is anchored, what its straps and anchors have to hold
    pub force: Reckoned<Force>,
    /// of what is not anchored: over 1 it slides, over 1 it tips
    pub loose: Option<(Reckoned<f64>, Reckoned<f64>)>,
}

impl Stands {
    /// Whether its floor bears more than is usually allowed there.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.allowance.is_some_and(|allowance| self.floor.over.contains(&allowance))
    }
}

impl Quake {
    #[must_use]
    pub fn moves(&self) -> bool {
        self.loose.as_ref().is_some_and(|(sliding, tipping)| sliding.value > 1.0 || tipping.value > 1.0)
    }
}

/// How a vessel stands; none where its shape does not say where it touches the floor.
///
/// # Errors
/// A figure that the engine does not take.
pub fn stands(vessel: &VesselPicture, neighbourhood: Option<&Neighbourhood>) -> Result<Option<Stands>, StructureError> {
    let Some(foot) = foot(vessel) else { return Ok(None) };
    let own = &vessel.vessel;
    let mass = as_litres(vessel.body.capacity.brim) * KILOGRAM_A_LITRE;
    let weight = kilonewtons(mass * GRAVITY / 1000.0);
    let sds = neighbourhood.and_then(|settings| settings.sds_g).filter(|sds| *sds > 0.0);
    let quake = match (sds, own.stands_on) {
        (None, _) | (_, StandsOn::Buried) => None,
        (Some(sds), on) => Some(quake(vessel, foot, weight, sds, if on == StandsOn::Roof { 1.0 } else { 0.0 })?),
    };
    let sd1 = neighbourhood.and_then(|settings| settings.sd1_g).filter(|sd1| *sd1 > 0.0);
    let wave = match (sds, sd1, vessel.body.shape.height()) {
        (Some(sds), Some(sd1), Some(rim)) => {
            let depth = own.full_m.map_or(rim, metres);
            let basin =
                if foot.round { Basin::round(foot.across, depth) } else { Basin::rectangular(foot.across, depth) }?;
            let spectrum = Spectrum { sds, sd1, long_period: seconds(LONG_PERIOD_S) };
            Some((basin.wave(&spectrum, 1.0)?, rim - depth))
        }
        _ => None,
    };
    let floor = floor_load(kilograms(mass), foot.area)?;
    Ok(Some(Stands { floor, allowance: allowance(own.stands_on), quake, wave, anchored: own.anchored }))
}

fn quake(vessel: &VesselPicture, foot: Foot, weight: Force, sds: f64, storey: f64) -> Result<Quake, StructureError> {
    if vessel.vessel.anchored {
        let factors = Force7_16 { amplification: 1.0, response: 2.5, storey };
        let force = factors.force(weight, Site { sds, importance: HELD_IMPORTANCE })?;
        return Ok(Quake { force, loose: None });
    }
    // What is not held takes the force without the reduction for a held one.
    let factors = Force7_16 { amplification: 1.0, response: 1.0, storey };
    let force = factors.force(weight, Site { sds, importance: 1.0 })?;
    let standing = Standing::new(force.value, weight, sds)?;
    let centre = vessel.body.shape.height().map_or(foot.half, |height| height / 2.0);
    let (sliding, tipping) =
        (standing.sliding(friction(vessel.vessel.material))?, standing.tipping(centre, foot.half)?);
    Ok(Quake { force, loose: Some((sliding, tipping)) })
}

/// The least of what is usual: plastic on concrete 0.2 to 0.4, a steel pallet 0.3 to 0.5 (common practice, no source).
const fn friction(material: Material) -> f64 {
    match material {
        Material::Polyethylene | Material::Fibreglass | Material::Other => 0.2,
        Material::Stainless | Material::Steel | Material::Concrete | Material::Glass => 0.3,
    }
}

/// The usual allowance on what it stands on. A stand has its own, and what is buried rests on firm ground.
const fn allowance(on: StandsOn) -> Option<Allowance> {
    match on {
        StandsOn::Ground | StandsOn::Buried => Some(Allowance::Ground),
        StandsOn::Slab => Some(Allowance::Slab),
        StandsOn::TimberFloor => Some(Allowance::Living),
        StandsOn::Roof => Some(Allowance::Sleeping),
        StandsOn::Stand => None,
    }
}

/// What stands flat on its own base; the others have legs, cradles or shelves of which nothing is kept.
fn foot(vessel: &VesselPicture) -> Option<Foot> {
    let of = |key: &str| vessel.vessel.dimensions.get(key).copied().filter(|value| *value > 0.0);
    match vessel.vessel.shape {
        ShapeKind::UprightCylinder => {
            let across = of("diameter_m")?;
            let area = square_metres(core::f64::consts::FRAC_PI_4 * across * across);
            Some(Foot { area, across: metres(across), half: metres(across / 2.0), round: true })
        }
        ShapeKind::Box | ShapeKind::RoundedBox => {
            let (length, width) = (of("length_m")?, of("width_m")?);
            let (across, half) = (metres(length.max(width)), metres(length.min(width) / 2.0));
            Some(Foot { area: square_metres(length * width), across, half, round: false })
        }
        _ => None,
    }
}

/// The wave against the room above the full mark: how much of it would spill over an open rim.
#[must_use]
pub fn spills(wave: Length, freeboard: Length) -> bool {
    as_metres(wave) > as_metres(freeboard)
}
