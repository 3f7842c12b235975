//! The friction factor: Colebrook solved to the last digit, and its explicit rivals.

use super::error::HydraulicsError;
use super::measures::RELATIVE_ROUGHNESS;
use super::measures::REYNOLDS;
use crate::quantity::Unit;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// From here up the flow is no longer surely laminar: 64/Re ends and Colebrook begins.
pub const LAMINAR_ENDS: f64 = 2_300.0;
/// From here up it is surely turbulent.
pub const TURBULENT_BEGINS: f64 = 4_000.0;

/// How water moves in a pipe.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// not at all
    Still,
    /// in layers: Re below 2,300
    Laminar,
    /// between the two, 2,300 to 4,000: no formula holds, and Colebrook's is shown, marked
    Critical,
    /// whirling: Re 4,000 and more
    Turbulent,
}

impl Regime {
    /// The regime of a Reynolds number.
    #[must_use]
    pub fn of(reynolds: f64) -> Self {
        match reynolds {
            still if still <= 0.0 => Self::Still,
            laminar if laminar < LAMINAR_ENDS => Self::Laminar,
            critical if critical < TURBULENT_BEGINS => Self::Critical,
            _ => Self::Turbulent,
        }
    }

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Still => "still",
            Self::Laminar => "laminar",
            Self::Critical => "between laminar and turbulent",
            Self::Turbulent => "turbulent",
        }
    }
}

pub(super) const CRITICAL_WORDS: &str = "The flow is between laminar and turbulent, where no formula holds";

/// Darcy's factor by the regime: 64/Re below 2,300, Colebrook from there up, 0 where the water is still.
pub(super) fn factor(reynolds: f64, relative: f64) -> f64 {
    match Regime::of(reynolds) {
        Regime::Still => 0.0,
        // Below that the loss is nothing, and the factor would be no number.
        Regime::Laminar => 64.0 / reynolds.max(1e-100),
        Regime::Critical | Regime::Turbulent => colebrook_bare(reynolds, relative),
    }
}

/// Newton on x = 1/√f, whose function is convex and nearly straight: three or four steps to the last digit.
fn colebrook_bare(reynolds: f64, relative: f64) -> f64 {
    let (rough, smooth) = (relative / 3.7, 2.51 / reynolds);
    let mut x = -1.8 * (rough.powf(1.11) + 6.9 / reynolds).log10();
    for _ in 0..12 {
        let inside = rough + smooth * x;
        let off = x + 2.0 * inside.log10();
        let step = off / (1.0 + 2.0 / core::f64::consts::LN_10 * smooth / inside);
        x -= step;
        if step.abs() <= x.abs() * f64::EPSILON {
            break;
        }
    }
    1.0 / (x * x)
}

/// Darcy's friction factor in laminar flow: f = 64/Re.
///
/// | | |
/// |---|---|
/// | Re | above 0, below 2,300 |
/// | source | Hagen 1839, Poiseuille 1840 |
///
/// # Errors
/// [`HydraulicsError::Regime`] outside that.
///
/// ```
/// use keepwell_engine::hydraulics::friction_laminar;
/// // ENG-053: 0.0426666667 at Re 1,500, closed form.
/// assert!((friction_laminar(1500.0)?.value - 0.0426666667).abs() < 1e-10);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn friction_laminar(reynolds: f64) -> Result<Reckoned<f64>, HydraulicsError> {
    let what = "laminar flow";
    if !(reynolds > 0.0 && reynolds < LAMINAR_ENDS) {
        return Err(HydraulicsError::Regime { what, reynolds, min: 0.0, max: LAMINAR_ENDS });
    }
    // So slow that the factor is no number any more.
    let factor = 64.0 / REYNOLDS.check(reynolds.max(f64::MIN_POSITIVE * 64.0))?;
    Ok(Working::new("Friction factor, laminar", "f = 64/Re")
        .input("Reynolds number", "Re", Figure::exact(reynolds, Unit::Count), "given")
        .step("friction factor", "64/Re", Figure::exact(factor, Unit::Count))
        .source("Hagen 1839, Poiseuille 1840")
        .gives(factor))
}

/// Darcy's friction factor in turbulent flow: 1/√f = −2 log₁₀(ε/(3.7 D) + 2.51/(Re √f)), solved to the last digit.
///
/// | | |
/// |---|---|
/// | Re | 2,300 to 10⁹; below 4,000 marked, as no formula holds there |
/// | ε/D | relative roughness, 0 to 0.05 |
/// | error | of the measurements behind it, 5 to 10 % |
/// | source | Colebrook 1939, after Colebrook and White 1937 |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::friction_colebrook;
/// // ENG-050: fluids 1.3.1's documentation has 0.018513866 for Re 10⁵ and ε/D 10⁻⁴.
/// assert!((friction_colebrook(1e5, 1e-4)?.value - 0.018513866).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn friction_colebrook(reynolds: f64, relative: f64) -> Result<Reckoned<f64>, HydraulicsError> {
    let (reynolds, relative) = turbulent("Colebrook's formula", reynolds, relative)?;
    let factor = colebrook_bare(reynolds, relative);
    Ok(friction_working("Friction factor", "1/√f = −2 · log₁₀(ε/(3.7 · D) + 2.51/(Re · √f))", reynolds, relative)
        .step("friction factor", "solved by Newton's method to the last digit", Figure::exact(factor, Unit::Count))
        .beyond(reynolds < TURBULENT_BEGINS, CRITICAL_WORDS)
        .source("Colebrook 1939")
        .gives(factor))
}

fn turbulent(what: &'static str, reynolds: f64, relative: f64) -> Result<(f64, f64), HydraulicsError> {
    if !(LAMINAR_ENDS..=REYNOLDS.max).contains(&reynolds) {
        return Err(HydraulicsError::Regime { what, reynolds, min: LAMINAR_ENDS, max: REYNOLDS.max });
    }
    Ok((reynolds, RELATIVE_ROUGHNESS.check(relative)?))
}

fn friction_working(what: &'static str, formula: &'static str, reynolds: f64, relative: f64) -> Working {
    Working::new(what, formula).input("Reynolds number", "Re", Figure::exact(reynolds, Unit::Count), "given").input(
        "relative roughness",
        "ε/D",
        Figure::exact(relative, Unit::Count),
        "given",
    )
}

/// An explicit formula for what Colebrook's gives only by search.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Explicit {
    /// Swamee and Jain 1976
    SwameeJain,
    /// Haaland 1983
    Haaland,
    /// Serghides 1984, his first
    Serghides,
}

impl Explicit {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::SwameeJain, Self::Haaland, Self::Serghides];

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::SwameeJain => "Swamee and Jain 1976",
            Self::Haaland => "Haaland 1983",
            Self::Serghides => "Serghides 1984",
        }
    }

    const fn formula(self) -> &'static str {
        match self {
            Self::SwameeJain => "f = 0.25/[log₁₀(ε/(3.7 · D) + 5.74/Re^0.9)]²",
            Self::Haaland => "1/√f = −1.8 · log₁₀[(ε/(3.7 · D))^1.11 + 6.9/Re]",
            Self::Serghides => "1/√f = A − (B − A)²/(C − 2B + A), each −2 · log₁₀ of the one before put into Colebrook",
        }
    }

    /// The least and the most Re, the least and the most ε/D for which its authors state it (from memory).
    #[must_use]
    pub const fn range(self) -> ((f64, f64), (f64, f64)) {
        match self {
            Self::SwameeJain => ((5e3, 1e8), (1e-6, 0.01)),
            Self::Haaland => ((4e3, 1e8), (1e-6, 0.05)),
            Self::Serghides => ((4e3, 1e8), (0.0, 0.05)),
        }
    }

    /// The most it differs from Colebrook within that range, as a part: compared on a grid in this crate's own tests.
    ///
    /// Swamee and Jain 3 % at the edges and 1 % in the middle, Haaland 2 % (from memory); Serghides a few parts in
    /// 100,000 (from memory).
    #[must_use]
    pub const fn error(self) -> f64 {
        match self {
            Self::SwameeJain => 0.03,
            Self::Haaland => 0.02,
            Self::Serghides => 5e-5,
        }
    }

    fn factor(self, reynolds: f64, relative: f64) -> f64 {
        let rough = relative / 3.7;
        match self {
            Self::SwameeJain => 0.25 / (rough + 5.74 / reynolds.powf(0.9)).log10().powi(2),
            Self::Haaland => (-1.8 * (rough.powf(1.11) + 6.9 / reynolds).log10()).powi(-2),
            Self::Serghides => {
                let next = |last: f64| -2.0 * (rough + 2.51 * last / reynolds).log10();
                let a = -2.0 * (rough + 12.0 / reynolds).log10();
                let b = next(a);
                let c = next(b);
                let bend = c - 2.0 * b + a;
                // Where the three agree to the last digit there is nothing left to mend.
                let x = if bend.abs() > f64::EPSILON { a - (b - a).powi(2) / bend } else { c };
                x.powi(-2)
            }
        }
    }
}

/// Darcy's friction factor by an explicit formula.
///
/// | | |
/// |---|---|
/// | Re | 2,300 to 10⁹; outside its authors' range ([`Explicit::range`]) marked |
/// | ε/D | 0 to 0.05; likewise |
/// | error | [`Explicit::error`] of Colebrook's factor |
/// | source | Swamee and Jain, J. Hydraul. Div. ASCE 102(5), 1976; Haaland, J. Fluids Eng. 105(1), 1983; Serghides, Chem. Eng. 91(5), 1984 |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::{Explicit, friction_explicit};
/// // ENG-054 and ENG-055: 0.022062019 and 0.0219333385 at Re 40,000 and ε/D 6e-5.
/// assert!((friction_explicit(Explicit::SwameeJain, 4e4, 6e-5)?.value - 0.022062019).abs() < 1e-9);
/// assert!((friction_explicit(Explicit::Haaland, 4e4, 6e-5)?.value - 0.0219333385).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn friction_explicit(by: Explicit, reynolds: f64, relative: f64) -> Result<Reckoned<f64>, HydraulicsError> {
    let (reynolds, relative) = turbulent(by.name(), reynolds, relative)?;
    let factor = by.factor(reynolds, relative);
    let (of_flow, of_wall) = by.range();
    let within = (of_flow.0..=of_flow.1).contains(&reynolds) && (of_wall.0..=of_wall.1).contains(&relative);
    Ok(friction_working("Friction factor", by.formula(), reynolds, relative)
        .step("friction factor", by.formula(), Figure::exact(factor, Unit::Count))
        .step("Colebrook's, for comparison", "solved", Figure::exact(colebrook_bare(reynolds, relative), Unit::Count))
        .beyond(!within, "Outside the range its authors state")
        .source(by.name())
        .gives(factor))
}
