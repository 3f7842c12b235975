//! What an earthquake does to a standing vessel: the force on it, whether it slides or tips, what a strap must hold.

use super::error::StructureError;
use super::measures::AMPLIFICATION;
use super::measures::FORCE;
use super::measures::FRICTION;
use super::measures::HALF_BASE;
use super::measures::HEIGHT_FACTOR;
use super::measures::HOLD;
use super::measures::IMPORTANCE;
use super::measures::RESPONSE;
use super::measures::SDS;
use super::measures::STOREY;
use super::measures::UP;
use super::measures::WEIGHT;
use crate::quantity::Force;
use crate::quantity::Length;
use crate::quantity::Unit;
use crate::quantity::as_kilonewtons;
use crate::quantity::as_metres;
use crate::quantity::kilonewtons;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// How hard the ground shakes and how much depends on the vessel: SDS in g (0 to 10), Ip (0.1 to 3).
///
/// Ip is 1.5 for what is needed after an earthquake (ASCE 7, 13.1.3, from memory).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// design spectral acceleration at short periods, g
    pub sds: f64,
    /// importance factor of the vessel
    pub importance: f64,
}

impl Site {
    fn checked(self) -> Result<Self, StructureError> {
        Ok(Self { sds: SDS.check(self.sds)?, importance: IMPORTANCE.check(self.importance)? })
    }

    /// The least and the most the force may be, both editions: 0.3 and 1.6 SDS Ip Wp.
    fn bounds(self, weight: f64) -> (f64, f64) {
        (0.3 * self.sds * self.importance * weight, 1.6 * self.sds * self.importance * weight)
    }

    fn force(self, what: &'static str, formula: &'static str, weight: f64, bare: f64) -> (f64, Working) {
        let (least, most) = self.bounds(weight);
        let force = bare.min(most).max(least);
        let working = Working::new(what, formula)
            .input("weight of the full vessel", "Wp", Figure::exact(weight, Unit::Kilonewton), "set-up")
            .input("short-period acceleration", "SDS", Figure::exact(self.sds, Unit::Count), "map of the place")
            .input("importance factor", "Ip", Figure::exact(self.importance, Unit::Count), "set-up")
            .step("by the formula", formula, Figure::exact(bare, Unit::Kilonewton))
            .step("no less than", "0.3 · SDS · Ip · Wp", Figure::exact(least, Unit::Kilonewton))
            .step("no more than", "1.6 · SDS · Ip · Wp", Figure::exact(most, Unit::Kilonewton))
            .step("force", "Fp", Figure::exact(force, Unit::Kilonewton))
            .without("Large tanks on the ground are not components: chapter 15 of the standard treats them");
        (force, working)
    }
}

/// The seismic force by ASCE/SEI 7-16, section 13.3: Fp = 0.4 ap SDS Wp (1 + 2 z/h)/(Rp/Ip), 0.3 to 1.6 SDS Ip Wp.
///
/// | | |
/// |---|---|
/// | ap, Rp | of the component; tanks and water heaters 1.0 and 2.5 (table 13.6-1, from memory) |
/// | z/h | height of the floor in the building: below 0 counts as 0, above 1 as 1 |
/// | Wp | 0 to 10⁷ kN |
/// | source | ASCE/SEI 7-16, equations 13.3-1 to 13.3-3, as a paper of 2019 quotes them |
///
/// ```
/// use keepwell_engine::quantity::{as_kilonewtons, kilonewtons};
/// use keepwell_engine::structure::{Force7_16, Site};
/// // ENG-125: a published calculation has 85 lb for 250 lb, SDS 0.85, ap = Rp = Ip = 1, z = 0.
/// let factors = Force7_16 { amplification: 1.0, response: 1.0, storey: 0.0 };
/// let force = factors.force(kilonewtons(1.112055), Site { sds: 0.85, importance: 1.0 })?.value;
/// assert!((as_kilonewtons(force) - 0.378098837).abs() < 0.002 * 0.378);
/// # Ok::<(), keepwell_engine::structure::StructureError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Force7_16 {
    /// ap
    pub amplification: f64,
    /// Rp
    pub response: f64,
    /// z/h
    pub storey: f64,
}

impl Force7_16 {
    /// The force on a vessel of this weight.
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    pub fn force(&self, weight: Force, site: Site) -> Result<Reckoned<Force>, StructureError> {
        let weight = WEIGHT.check(as_kilonewtons(weight))?;
        let site = site.checked()?;
        let amplification = AMPLIFICATION.check(self.amplification)?;
        let response = RESPONSE.check(self.response)?;
        let storey = STOREY.check(self.storey)?.clamp(0.0, 1.0);
        let bare = 0.4 * amplification * site.sds * weight * (1.0 + 2.0 * storey) / (response / site.importance);
        let formula = "0.4 · ap · SDS · Wp · (1 + 2 · z/h)/(Rp/Ip)";
        let (force, working) = site.force("Earthquake force, ASCE/SEI 7-16", formula, weight, bare);
        Ok(working
            .input("amplification", "ap", Figure::exact(amplification, Unit::Count), "table 13.6-1")
            .input("response factor", "Rp", Figure::exact(response, Unit::Count), "table 13.6-1")
            .input("height in the building", "z/h", Figure::exact(storey, Unit::Count), "set-up")
            .source("ASCE/SEI 7-16, equations 13.3-1 to 13.3-3")
            .gives(kilonewtons(force)))
    }
}

/// The seismic force by ASCE/SEI 7-22, section 13.3: Fp = 0.4 SDS Ip Wp (Hf/Rμ)(CAR/Rpo), 0.3 to 1.6 SDS Ip Wp.
///
/// | | |
/// |---|---|
/// | Hf, Rμ | both 1 at or below the ground; [`height_factor`] above it |
/// | CAR, Rpo | of the component |
/// | source | ASCE/SEI 7-22, equations 13.3-1 to 13.3-3 (form from memory) |
///
/// ```
/// use keepwell_engine::quantity::{as_kilonewtons, kilonewtons};
/// use keepwell_engine::structure::{Force7_22, Site};
/// // ENG-128: 5.832 kN.
/// let factors = Force7_22 { height: 1.0, ductility: 1.0, resonance: 1.0, strength: 1.5 };
/// let force = factors.force(kilonewtons(10.8), Site { sds: 1.2, importance: 1.5 })?.value;
/// assert!((as_kilonewtons(force) - 5.832).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::structure::StructureError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Force7_22 {
    /// Hf
    pub height: f64,
    /// Rμ
    pub ductility: f64,
    /// CAR
    pub resonance: f64,
    /// Rpo
    pub strength: f64,
}

impl Force7_22 {
    /// The force on a vessel of this weight.
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    pub fn force(&self, weight: Force, site: Site) -> Result<Reckoned<Force>, StructureError> {
        let weight = WEIGHT.check(as_kilonewtons(weight))?;
        let site = site.checked()?;
        let height = HEIGHT_FACTOR.check(self.height)?;
        let ductility = RESPONSE.check(self.ductility)?;
        let resonance = AMPLIFICATION.check(self.resonance)?;
        let strength = RESPONSE.check(self.strength)?;
        let bare = 0.4 * site.sds * site.importance * weight * (height / ductility) * (resonance / strength);
        let formula = "0.4 · SDS · Ip · Wp · (Hf/Rμ) · (CAR/Rpo)";
        let (force, working) = site.force("Earthquake force, ASCE/SEI 7-22", formula, weight, bare);
        Ok(working
            .input("height factor", "Hf", Figure::exact(height, Unit::Count), "given")
            .input("ductility of the building", "Rμ", Figure::exact(ductility, Unit::Count), "given")
            .input("resonance", "CAR", Figure::exact(resonance, Unit::Count), "given")
            .input("strength factor", "Rpo", Figure::exact(strength, Unit::Count), "given")
            .source("ASCE/SEI 7-22, equations 13.3-1 to 13.3-3 (form from memory)")
            .gives(kilonewtons(force)))
    }
}

/// Hf of ASCE/SEI 7-22: 1 at or below the ground; above it 1 + a₁ z/h + a₂ (z/h)¹⁰, a₁ = 1/Ta ≤ 2.5,
/// a₂ = 1 − (0.4/Ta)² ≥ 0; 1 + 2.5 z/h where the building's period Ta is not known. From memory.
///
/// # Errors
/// [`StructureError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::structure::height_factor;
/// // By hand, roof of a building of unknown period: 1 + 2.5 = 3.5; of 0.5 s: 1 + 2 + 0.36 = 3.36.
/// assert!((height_factor(1.0, None)? - 3.5).abs() < 1e-12);
/// assert!((height_factor(1.0, Some(0.5))? - 3.36).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::structure::StructureError>(())
/// ```
pub fn height_factor(storey: f64, period_s: Option<f64>) -> Result<f64, StructureError> {
    let storey = STOREY.check(storey)?.clamp(0.0, 1.0);
    let Some(period) = period_s else { return Ok(1.0 + 2.5 * storey) };
    let period = super::measures::PERIOD.check(period)?;
    let (first, tenth) = ((1.0 / period).min(2.5), (1.0 - (0.4 / period).powi(2)).max(0.0));
    Ok(1.0 + first * storey + tenth * storey.powi(10))
}

/// A vessel that stands by its own weight while the ground shakes.
///
/// For an item that is not held, take the force without the reduction for a held one: 0.4 SDS Wp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    force: f64,
    weight: f64,
    sds: f64,
}

impl Standing {
    /// From the sideways force and the weight (0 to 10⁷ kN, the weight above 0) and SDS (0 to 4.5 g, where nothing of the
    /// weight is left).
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    pub fn new(force: Force, weight: Force, sds: f64) -> Result<Self, StructureError> {
        let force = FORCE.check(as_kilonewtons(force))?;
        let weight = super::measures::HELD_DOWN.check(as_kilonewtons(weight))?;
        let sds = SDS.check(sds)?;
        if 0.9 - 0.2 * sds <= 1e-9 {
            return Err(StructureError::Weightless { sds });
        }
        Ok(Self { force, weight, sds })
    }

    /// The weight that is left when the ground also drops: (0.9 − 0.2 SDS) Wp, load combination 0.9 D − Ev + Eh of ASCE 7
    /// (from memory).
    fn left(&self) -> f64 {
        (0.9 - 0.2 * self.sds) * self.weight
    }

    fn working(&self, what: &'static str, formula: &'static str) -> Working {
        Working::new(what, formula)
            .input("sideways force", "Fp", Figure::exact(self.force, Unit::Kilonewton), "given")
            .input("weight of the full vessel", "Wp", Figure::exact(self.weight, Unit::Kilonewton), "set-up")
            .input("short-period acceleration", "SDS", Figure::exact(self.sds, Unit::Count), "map of the place")
            .step("weight left", "(0.9 − 0.2 · SDS) · Wp", Figure::exact(self.left(), Unit::Kilonewton))
            .without("Pipes that hold it, and a floor that is not level: ask a structural engineer")
            .source("ASCE 7, load combination 0.9 D − Ev + Eh (from memory)")
    }

    /// Whether it slides: Fp/(μ (0.9 − 0.2 SDS) Wp), over 1 it does.
    ///
    /// Friction μ, 0.01 to 2: plastic on concrete 0.2 to 0.4, a steel pallet 0.3 to 0.5 (common practice, no source).
    ///
    /// # Errors
    /// [`StructureError`] for friction out of range.
    ///
    /// ```
    /// use keepwell_engine::quantity::kilonewtons;
    /// use keepwell_engine::structure::Standing;
    /// // ENG-129: 1.65343915.
    /// let tank = Standing::new(kilonewtons(5.0), kilonewtons(10.8), 1.0)?;
    /// assert!((tank.sliding(0.4)?.value - 1.65343915).abs() < 1e-7);
    /// # Ok::<(), keepwell_engine::structure::StructureError>(())
    /// ```
    pub fn sliding(&self, friction: f64) -> Result<Reckoned<f64>, StructureError> {
        let friction = FRICTION.check(friction)?;
        let ratio = self.force / (friction * self.left());
        Ok(self
            .working("Sliding: demand over what holds", "Fp/(μ · (0.9 − 0.2 · SDS) · Wp)")
            .input("friction", "μ", Figure::exact(friction, Unit::Count), "assumed")
            .step("over 1 it slides", "Fp/(μ · (0.9 − 0.2 · SDS) · Wp)", Figure::exact(ratio, Unit::Count))
            .gives(ratio))
    }

    /// Whether it tips: Fp h/((0.9 − 0.2 SDS) Wp b), over 1 it does; h its centre over the base, b half the base.
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::quantity::{kilonewtons, metres};
    /// use keepwell_engine::structure::Standing;
    /// // ENG-130: 0.793650794.
    /// let tank = Standing::new(kilonewtons(5.0), kilonewtons(10.8), 1.0)?;
    /// assert!((tank.tipping(metres(0.6), metres(0.5))?.value - 0.793650794).abs() < 1e-8);
    /// # Ok::<(), keepwell_engine::structure::StructureError>(())
    /// ```
    pub fn tipping(&self, centre: Length, half_base: Length) -> Result<Reckoned<f64>, StructureError> {
        let centre = UP.check(as_metres(centre))?;
        let half_base = HALF_BASE.check(as_metres(half_base))?;
        let ratio = self.force * centre / (self.left() * half_base);
        Ok(self
            .working("Tipping: demand over what holds", "Fp · h/((0.9 − 0.2 · SDS) · Wp · b)")
            .input("centre over the base", "h", Figure::exact(centre, Unit::Metre), "set-up")
            .input("half width of the base", "b", Figure::exact(half_base, Unit::Metre), "set-up")
            .step("over 1 it tips", "Fp · h/((0.9 − 0.2 · SDS) · Wp · b)", Figure::exact(ratio, Unit::Count))
            .gives(ratio))
    }

    /// What a strap must hold to keep it from tipping: (Fp h − (0.9 − 0.2 SDS) Wp b)/hs, not below 0.
    ///
    /// # Errors
    /// [`StructureError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::quantity::{as_kilonewtons, kilonewtons, metres};
    /// use keepwell_engine::structure::Standing;
    /// // ENG-131: 0.439353846 kN for a drum.
    /// let drum = Standing::new(kilonewtons(1.6), kilonewtons(2.14), 1.0)?;
    /// let strap = drum.strap(metres(0.45), metres(0.29), metres(0.65))?.value;
    /// assert!((as_kilonewtons(strap) - 0.439353846).abs() < 1e-8);
    /// # Ok::<(), keepwell_engine::structure::StructureError>(())
    /// ```
    pub fn strap(&self, centre: Length, half_base: Length, at: Length) -> Result<Reckoned<Force>, StructureError> {
        let centre = UP.check(as_metres(centre))?;
        let half_base = HALF_BASE.check(as_metres(half_base))?;
        let at = HOLD.check(as_metres(at))?;
        let force = ((self.force * centre - self.left() * half_base) / at).max(0.0);
        Ok(self
            .working("Force in a strap", "(Fp · h − (0.9 − 0.2 · SDS) · Wp · b)/hs, not below 0")
            .input("centre over the base", "h", Figure::exact(centre, Unit::Metre), "set-up")
            .input("half width of the base", "b", Figure::exact(half_base, Unit::Metre), "set-up")
            .input("strap over the base", "hs", Figure::exact(at, Unit::Metre), "set-up")
            .step("strap", "(Fp · h − (0.9 − 0.2 · SDS) · Wp · b)/hs", Figure::exact(force, Unit::Kilonewton))
            .source("Moment about the base's edge")
            .gives(kilonewtons(force)))
    }
}
