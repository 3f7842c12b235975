//! How a vessel stands: what its floor feels, whether an earthquake moves it, whether its water spills. Screening only,
//! from what the set-up says of it; a figure over its limit means "ask a structural engineer". Where a figure has no meaning
//! for a shape, or wants what is not kept, it says so in words.

use keepwell_engine::quantity::Area;
use keepwell_engine::quantity::Force;
use keepwell_engine::quantity::Length;
use keepwell_engine::quantity::Unit;
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
use keepwell_engine::structure::Force7_22;
use keepwell_engine::structure::Site;
use keepwell_engine::structure::Spectrum;
use keepwell_engine::structure::Standing;
use keepwell_engine::structure::StructureError;
use keepwell_engine::structure::floor_load;
use keepwell_engine::structure::height_factor;
use keepwell_engine::working::Figure;
use keepwell_engine::working::Reckoned;

use crate::model::choice::Choice;
use crate::model::neighbourhood::Neighbourhood;
use crate::model::vessel::Material;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::StandsOn;
use crate::picture::VesselPicture;

/// A litre of water weighs a kilogram, within 0.3 %.
const KILOGRAM_A_LITRE: f64 = 1.0;
/// Standard gravity, m/s²: exact, CGPM 1901.
const GRAVITY: f64 = 9.806_65;
/// Where long periods begin, for ordinary risk (ASCE 7, from memory).
const LONG_PERIOD_S: f64 = 4.0;
/// What is needed after an earthquake is held for more (ASCE 7, 13.1.3, from memory).
const HELD_IMPORTANCE: f64 = 1.5;

/// Why there is no figure, English keys.
const LEGS: &str = "how far its legs stand apart is not kept";
const CRADLE: &str = "the width of its cradle is not kept, and without one it rolls";
const WALLS: &str = "the published wave is for a flat floor and upright walls";
const EACH: &str = "the size of one container is not kept";
const HEATER: &str = "the size of the heater is not kept";
const FULL: &str = "it is closed and always full";
const WIDTH: &str = "its width is not kept";

/// A figure, or why there is none (an English key).
pub type OrWhy<T> = Result<T, &'static str>;

/// The edition whose force is reckoned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Edition {
    #[default]
    Asce7_16,
    Asce7_22,
}

impl Choice for Edition {
    const LIST: &'static [(Self, &'static str, &'static str)] =
        &[(Self::Asce7_16, "7-16", "ASCE/SEI 7-16"), (Self::Asce7_22, "7-22", "ASCE/SEI 7-22")];
}

impl Edition {
    /// The sideways force. What is not held takes it without the reduction for a held one.
    fn force(self, weight: Force, site: Site, storey: f64, held: bool) -> Result<Reckoned<Force>, StructureError> {
        match self {
            Self::Asce7_16 => {
                let response = if held { 2.5 } else { 1.0 };
                Force7_16 { amplification: 1.0, response, storey }.force(weight, site)
            }
            Self::Asce7_22 => {
                let (height, strength) = (height_factor(storey, None)?, if held { 1.5 } else { 1.0 });
                let mut force = Force7_22 { height, ductility: 1.0, resonance: 1.0, strength }.force(weight, site)?;
                if storey > 0.0 {
                    force.working = force.working.without("what the building itself takes up: Rμ counted as 1");
                }
                Ok(force)
            }
        }
    }
}

/// What a shape says of where it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Base {
    area: OrWhy<Area>,
    /// it stands on legs, a cradle or a shelf within that area, and presses more on less
    within: bool,
    /// half of the narrower way
    half: OrWhy<Length>,
    /// in the direction in which the water swings furthest, and whether it is round
    basin: OrWhy<(Length, bool)>,
}

/// How a vessel stands, full to the brim.
#[derive(Clone, Debug, PartialEq)]
pub struct Stands {
    pub floor: OrWhy<FloorLoad>,
    /// it presses more than that on the less that it stands on
    pub at_least: bool,
    /// what is usually allowed on what it stands on; none where that is not said
    pub allowance: Option<Allowance>,
    pub quake: Option<Quake>,
    /// how high the wave stands, and how much room is above the full mark
    pub wave: Option<OrWhy<(Reckoned<Length>, Length)>>,
    pub anchored: bool,
    /// its own weight is known and counted
    pub weighed: bool,
}

/// What an earthquake does to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Quake {
    /// sideways; where it is anchored, what its straps and anchors have to hold
    pub force: Reckoned<Force>,
    pub loose: Option<Loose>,
}

/// Of what is not anchored: over 1 it slides, over 1 it tips.
#[derive(Clone, Debug, PartialEq)]
pub struct Loose {
    pub sliding: Reckoned<f64>,
    pub tipping: OrWhy<Reckoned<f64>>,
}

impl Stands {
    /// Whether its floor bears more than is usually allowed there.
    #[must_use]
    pub fn is_over(&self) -> bool {
        let over = self.floor.as_ref().map_or(&[][..], |floor| &floor.over);
        self.allowance.is_some_and(|allowance| over.contains(&allowance))
    }

    /// What cannot be said of it, and why: the figure's name and the reason, English keys.
    #[must_use]
    pub fn unsaid(&self) -> Vec<(&'static str, &'static str)> {
        let tipping = self.quake.as_ref().and_then(|quake| quake.loose.as_ref()?.tipping.as_ref().err());
        let wave = self.wave.as_ref().and_then(|wave| wave.as_ref().err());
        [("load on its floor", self.floor.as_ref().err()), ("tipping", tipping), ("wave inside", wave)]
            .into_iter()
            .filter_map(|(what, why)| Some((what, *why?)))
            .collect()
    }
}

impl Quake {
    #[must_use]
    pub fn moves(&self) -> bool {
        self.loose.as_ref().is_some_and(|loose| {
            loose.sliding.value > 1.0 || loose.tipping.as_ref().is_ok_and(|tipping| tipping.value > 1.0)
        })
    }
}

/// How a vessel stands.
///
/// # Errors
/// A figure that the engine does not take.
pub fn stands(
    vessel: &VesselPicture,
    neighbourhood: Option<&Neighbourhood>,
    edition: Edition,
) -> Result<Stands, StructureError> {
    let base = base(vessel);
    let own = &vessel.vessel;
    let water = as_litres(vessel.body.capacity.brim) * KILOGRAM_A_LITRE;
    let mass = water + own.empty_kg.unwrap_or(0.0);
    let weight = kilonewtons(mass * GRAVITY / 1000.0);
    let sds = neighbourhood.and_then(|settings| settings.sds_g).filter(|sds| *sds > 0.0);
    let quake = match (sds, own.stands_on) {
        (None, _) | (_, StandsOn::Buried) => None,
        (Some(sds), on) => {
            let storey = if on == StandsOn::Roof { 1.0 } else { 0.0 };
            Some(quake(vessel, base.half, weight, (sds, storey), edition)?)
        }
    };
    let sd1 = neighbourhood.and_then(|settings| settings.sd1_g).filter(|sd1| *sd1 > 0.0);
    let wave = match sds.zip(sd1) {
        None => None,
        Some((sds, sd1)) => Some(match (base.basin, vessel.body.shape.height()) {
            (Ok((across, round)), Some(rim)) => {
                let depth = own.full_m.map_or(rim, metres);
                let basin = if round { Basin::round(across, depth) } else { Basin::rectangular(across, depth) }?;
                let spectrum = Spectrum { sds, sd1, long_period: seconds(LONG_PERIOD_S) };
                Ok((basin.wave(&spectrum, 1.0)?, rim - depth))
            }
            (basin, _) => Err(basin.err().unwrap_or(WIDTH)),
        }),
    };
    let floor = match base.area {
        Ok(area) => Ok(pressed(floor_load(kilograms(mass), area)?, own.empty_kg, base.within)),
        Err(why) => Err(why),
    };
    Ok(Stands {
        floor,
        at_least: base.within,
        allowance: allowance(own.stands_on),
        quake,
        wave,
        anchored: own.anchored,
        weighed: own.empty_kg.is_some(),
    })
}

/// The load, its working saying what it is of.
fn pressed(mut floor: FloorLoad, empty_kg: Option<f64>, within: bool) -> FloorLoad {
    floor.working = match empty_kg {
        Some(empty) => {
            floor.working.input("of it the empty vessel", "", Figure::exact(empty, Unit::Kilogram), "set-up")
        }
        None => floor.working.without("the empty vessel: its weight is not set up"),
    };
    if within {
        floor.working = floor
            .working
            .without("legs, cradle or saddles: it is spread over all that lies under it, and on those it presses more");
    }
    floor
}

fn quake(
    vessel: &VesselPicture,
    half: OrWhy<Length>,
    weight: Force,
    (sds, storey): (f64, f64),
    edition: Edition,
) -> Result<Quake, StructureError> {
    if vessel.vessel.anchored {
        let site = Site { sds, importance: HELD_IMPORTANCE };
        return Ok(Quake { force: edition.force(weight, site, storey, true)?, loose: None });
    }
    let force = edition.force(weight, Site { sds, importance: 1.0 }, storey, false)?;
    let standing = Standing::new(force.value, weight, sds)?;
    let sliding = standing.sliding(friction(vessel.vessel.material))?;
    let tipping = match half {
        Ok(half) => {
            let centre = vessel.body.shape.height().map_or(half, |height| height / 2.0);
            Ok(standing.tipping(centre, half)?)
        }
        Err(why) => Err(why),
    };
    Ok(Quake { force, loose: Some(Loose { sliding, tipping }) })
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

/// What the shape says of where it stands, inside measures taken for outside ones.
fn base(vessel: &VesselPicture) -> Base {
    let of = |key: &str| vessel.vessel.dimensions.get(key).copied().filter(|value| *value > 0.0).ok_or(WIDTH);
    let round = |across: f64| square_metres(core::f64::consts::FRAC_PI_4 * across * across);
    match vessel.vessel.shape {
        ShapeKind::UprightCylinder => {
            let across = of("diameter_m");
            Base {
                area: across.map(round),
                within: false,
                half: across.map(|across| metres(across / 2.0)),
                basin: across.map(|across| (metres(across), true)),
            }
        }
        ShapeKind::Box | ShapeKind::RoundedBox => {
            let sides = of("length_m").and_then(|length| Ok((length, of("width_m")?)));
            Base {
                area: sides.map(|(length, width)| square_metres(length * width)),
                within: false,
                half: sides.map(|(length, width)| metres(length.min(width) / 2.0)),
                basin: sides.map(|(length, width)| (metres(length.max(width)), false)),
            }
        }
        ShapeKind::UprightCone
        | ShapeKind::UprightDished
        | ShapeKind::UprightElliptical
        | ShapeKind::UprightRound
        | ShapeKind::Sphere => {
            Base { area: of("diameter_m").map(round), within: true, half: Err(LEGS), basin: Err(WALLS) }
        }
        ShapeKind::HorizontalCylinder
        | ShapeKind::HorizontalCone
        | ShapeKind::HorizontalDished
        | ShapeKind::HorizontalElliptical
        | ShapeKind::HorizontalRound => {
            let long = of("length_m").or_else(|_| of("shell_length_m"));
            let area = long.and_then(|long| Ok(square_metres(long * of("diameter_m")?)));
            Base { area, within: true, half: Err(CRADLE), basin: Err(WALLS) }
        }
        ShapeKind::Set => Base { area: Err(EACH), within: false, half: Err(EACH), basin: Err(EACH) },
        ShapeKind::HeaterTank => Base { area: Err(HEATER), within: false, half: Err(HEATER), basin: Err(FULL) },
        // As if its walls were upright: all that it holds over its height.
        ShapeKind::Table => {
            let height = vessel.body.shape.height().map(as_metres).filter(|height| *height > 0.0).ok_or(WIDTH);
            let area = height.map(|height| square_metres(as_litres(vessel.body.shape.brim()) / 1000.0 / height));
            Base { area, within: true, half: Err(WIDTH), basin: Err(WIDTH) }
        }
    }
}

/// The wave against the room above the full mark: how much of it would spill over an open rim.
#[must_use]
pub fn spills(wave: Length, freeboard: Length) -> bool {
    as_metres(wave) > as_metres(freeboard)
}
