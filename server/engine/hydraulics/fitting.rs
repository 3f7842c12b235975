//! Pipes as sold and what is put into them: bores, roughness, loss factors, valves, filters.

use super::error::HydraulicsError;
use super::measures::FLOW_COEFFICIENT;
use super::measures::LOSS_FACTOR;
use super::pipe::checked;
use crate::quantity::Length;
use crate::quantity::Pressure;
use crate::quantity::Unit;
use crate::quantity::VolumeRate;
use crate::quantity::as_kilopascals;
use crate::quantity::as_litres_per_minute;
use crate::quantity::millimetres;
use crate::quantity::us_gallon;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

use uom::si::length::inch;
use uom::si::pressure::psi;

/// What a pipe is, which decides its bore and its wall. Schedule 40 plastic has two bores in the books: the average
/// one of the pipe itself, and that of the thinnest wall allowed. They differ by 4 to 12 % in head lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PipeKind {
    /// PVC, schedule 40, the average bore (ASTM D1785, as a pipe vendor tabulates it)
    PlasticAverage,
    /// PVC, schedule 40, outside diameter less twice the least wall (ASTM D1785, as a handbook tabulates it)
    PlasticThinnest,
    /// copper, type L (ASTM B88, as two data sheets tabulate it)
    CopperL,
}

/// The nominal size of a pipe, in inches.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PipeSize {
    /// 1/2 in
    Half,
    /// 3/4 in
    ThreeQuarters,
    /// 1 in
    One,
    /// 1 1/4 in
    OneAndQuarter,
    /// 1 1/2 in
    OneAndHalf,
    /// 2 in
    Two,
}

impl PipeSize {
    /// All, from the smallest.
    pub const ALL: [Self; 6] =
        [Self::Half, Self::ThreeQuarters, Self::One, Self::OneAndQuarter, Self::OneAndHalf, Self::Two];

    /// As it is sold.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Half => "1/2 in",
            Self::ThreeQuarters => "3/4 in",
            Self::One => "1 in",
            Self::OneAndQuarter => "1 1/4 in",
            Self::OneAndHalf => "1 1/2 in",
            Self::Two => "2 in",
        }
    }

    const fn place(self) -> usize {
        match self {
            Self::Half => 0,
            Self::ThreeQuarters => 1,
            Self::One => 2,
            Self::OneAndQuarter => 3,
            Self::OneAndHalf => 4,
            Self::Two => 5,
        }
    }

    /// The friction factor of fully turbulent flow in it: Crane TP-410, appendix A, page A-26, as reproduced.
    #[must_use]
    pub const fn turbulent_factor(self) -> f64 {
        [0.027, 0.025, 0.023, 0.022, 0.021, 0.019][self.place()]
    }
}

impl PipeKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::PlasticAverage, Self::PlasticThinnest, Self::CopperL];

    /// In words, so that the two bores of schedule 40 are told apart.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::PlasticAverage => "PVC schedule 40, average bore",
            Self::PlasticThinnest => "PVC schedule 40, bore at the least wall",
            Self::CopperL => "copper type L",
        }
    }

    /// Its bore.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::{PipeKind, PipeSize};
    /// use keepwell_engine::quantity::as_millimetres;
    /// // ASTM D1785 as tabulated: 1 in is 26.24 mm by the average bore, 26.64 mm by the least wall.
    /// assert!((as_millimetres(PipeKind::PlasticAverage.bore(PipeSize::One)) - 26.24).abs() < 0.005);
    /// assert!((as_millimetres(PipeKind::PlasticThinnest.bore(PipeSize::One)) - 26.64).abs() < 0.005);
    /// ```
    #[must_use]
    pub fn bore(self, size: PipeSize) -> Length {
        let inches = match self {
            Self::PlasticAverage => [0.608, 0.810, 1.033, 1.364, 1.592, 2.049],
            Self::PlasticThinnest => [0.622, 0.824, 1.049, 1.380, 1.610, 2.067],
            Self::CopperL => [0.545, 0.785, 1.025, 1.265, 1.505, 1.985],
        };
        Length::new::<inch>(inches[size.place()])
    }

    /// The height of its wall's bumps when new: drawn tube, 0.0015 mm (Moody 1944, as an engineering page has it).
    #[must_use]
    pub fn roughness(self) -> Length {
        Wall::Drawn.roughness()
    }

    /// Hazen and Williams' C: plastic 150, copper 135 (130 to 140).
    #[must_use]
    pub const fn smoothness(self) -> f64 {
        match self {
            Self::PlasticAverage | Self::PlasticThinnest => 150.0,
            Self::CopperL => 135.0,
        }
    }
}

/// A wall by its roughness alone, where the bore is measured: an engineering data page, after Moody 1944 (from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wall {
    /// plastic, copper, hose: 0.0015 mm
    Drawn,
    /// commercial steel: 0.045 mm
    Steel,
    /// galvanised steel: 0.15 mm
    Galvanised,
}

impl Wall {
    /// The height of its bumps.
    #[must_use]
    pub fn roughness(self) -> Length {
        millimetres(match self {
            Self::Drawn => 0.0015,
            Self::Steel => 0.045,
            Self::Galvanised => 0.15,
        })
    }
}

/// Something in a line that costs head.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fitting {
    /// full-bore ball valve: 3 fT (from memory, Crane TP-410)
    BallValve,
    /// gate valve: 8 fT (Crane TP-410, page A-27, as reproduced)
    GateValve,
    /// swing check valve: 100 fT (as reproduced)
    SwingCheck,
    /// swing check valve, straight body: 50 fT (from memory)
    StraightCheck,
    /// screwed 90° elbow: 30 fT (from memory)
    Elbow90,
    /// 45° elbow: 16 fT (from memory)
    Elbow45,
    /// tee, straight through: 20 fT (from memory)
    TeeRun,
    /// tee, round the corner: 60 fT (from memory)
    TeeBranch,
    /// union or coupling: 0.06 (handbooks have 0.04 to 0.08, from memory)
    Union,
    /// sharp entry from a tank: 0.5 (from memory)
    SharpEntry,
    /// pipe standing into the tank: 0.78 (from memory)
    InwardEntry,
    /// rounded entry: 0.04 (from memory)
    RoundedEntry,
    /// into a tank or the open air: 1.0
    Exit,
}

impl Fitting {
    /// All of them.
    pub const ALL: [Self; 13] = [
        Self::BallValve,
        Self::GateValve,
        Self::SwingCheck,
        Self::StraightCheck,
        Self::Elbow90,
        Self::Elbow45,
        Self::TeeRun,
        Self::TeeBranch,
        Self::Union,
        Self::SharpEntry,
        Self::InwardEntry,
        Self::RoundedEntry,
        Self::Exit,
    ];

    /// Its loss factor in a pipe of this size.
    ///
    /// ```
    /// use keepwell_engine::hydraulics::{Fitting, PipeSize};
    /// // Crane TP-410: a screwed elbow is 30 fT, 0.69 in 1 in.
    /// assert!((Fitting::Elbow90.loss_factor(PipeSize::One) - 0.69).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn loss_factor(self, size: PipeSize) -> f64 {
        let of_factor = |multiple: f64| multiple * size.turbulent_factor();
        match self {
            Self::BallValve => of_factor(3.0),
            Self::GateValve => of_factor(8.0),
            Self::SwingCheck => of_factor(100.0),
            Self::StraightCheck => of_factor(50.0),
            Self::Elbow90 => of_factor(30.0),
            Self::Elbow45 => of_factor(16.0),
            Self::TeeRun => of_factor(20.0),
            Self::TeeBranch => of_factor(60.0),
            Self::Union => 0.06,
            Self::SharpEntry => 0.5,
            Self::InwardEntry => 0.78,
            Self::RoundedEntry => 0.04,
            Self::Exit => 1.0,
        }
    }
}

/// A loss factor from a multiple of the fully turbulent friction factor: K = n fT.
///
/// | | |
/// |---|---|
/// | n | 0 to 1,000,000 |
/// | fT | 0 to 1 |
/// | source | Crane TP-410, appendix A |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::loss_factor;
/// // ENG-064: 30 fT at 1 in, fT 0.023: 0.69.
/// assert!((loss_factor(30.0, 0.023)?.value - 0.69).abs() < 1e-12);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn loss_factor(multiple: f64, turbulent_factor: f64) -> Result<Reckoned<f64>, HydraulicsError> {
    let multiple = LOSS_FACTOR.check(multiple)?;
    let factor = super::measures::TURBULENT_FACTOR.check(turbulent_factor)?;
    let k = multiple * factor;
    Ok(Working::new("Loss factor of a fitting", "K = n · fT")
        .input("multiple", "n", Figure::exact(multiple, Unit::Count), "given")
        .input("fully turbulent friction factor", "fT", Figure::exact(factor, Unit::Count), "given")
        .step("loss factor", "n · fT", Figure::exact(k, Unit::Count))
        .source("Crane TP-410, appendix A")
        .gives(k))
}

/// What a valve costs by its flow coefficient: Δp = (Q/Cv)², psi and US gallons a minute, specific gravity 1.
///
/// | | |
/// |---|---|
/// | Q | 0 to 1,000,000 L/min |
/// | Cv | 0.001 to 100,000 |
/// | source | definition of Cv (ANSI/ISA-75.01) |
///
/// # Errors
/// [`HydraulicsError`] for a figure out of range.
///
/// ```
/// use keepwell_engine::hydraulics::valve_drop;
/// use keepwell_engine::quantity::{as_kilopascals, litres_per_minute};
/// // ENG-068: 5.3462617 kPa for 40 L/min through Cv 12, by definition.
/// assert!((as_kilopascals(valve_drop(litres_per_minute(40.0), 12.0)?.value) - 5.3462617).abs() < 1e-5);
/// # Ok::<(), keepwell_engine::hydraulics::HydraulicsError>(())
/// ```
pub fn valve_drop(flow: VolumeRate, coefficient: f64) -> Result<Reckoned<Pressure>, HydraulicsError> {
    let rate = checked(flow)?;
    let coefficient = FLOW_COEFFICIENT.check(coefficient)?;
    let drop = Pressure::new::<psi>((rate * 60.0 / us_gallon().value / coefficient).powi(2));
    Ok(Working::new("Pressure lost in a valve", "Δp = (Q/Cv)² psi, Q in US gallons a minute")
        .input("flow", "Q", Figure::exact(as_litres_per_minute(flow), Unit::LitrePerMinute), "given")
        .input("flow coefficient", "Cv", Figure::exact(coefficient, Unit::Count), "given")
        .step("pressure lost", "(Q/Cv)²", Figure::exact(as_kilopascals(drop), Unit::Kilopascal))
        .source("Definition of Cv: US gallons a minute at 1 psi, specific gravity 1")
        .gives(drop))
}
