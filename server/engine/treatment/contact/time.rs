//! How long the water is in contact, and in which form the chlorine is.

use crate::quantity::PH;
use crate::quantity::ThermodynamicTemperature;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::VolumeRate;
use crate::quantity::WATER_TEMPERATURE;
use crate::quantity::as_celsius;
use crate::quantity::as_litres;
use crate::quantity::as_litres_per_minute;
use crate::quantity::minutes;
use crate::treatment::TreatmentError;
use crate::treatment::measures::BAFFLING;
use crate::treatment::measures::FLOW;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// The time that all but the fastest tenth of the water stays in a tank: T₁₀ = V/Q · baffling factor.
///
/// - **Arguments** `volume` the least it held, 0 to 10,000,000 L; `flow` the peak hour's, 0.0001 to 1,000,000 L/min;
///   `baffling` 0 to 1: 0.1 for a house tank with one inlet and one outlet ([`Tank::baffling`]).
/// - **Reference** US EPA 815-R-20-003 (2020); Pennsylvania DEP baffling table.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// 5,000 US gal at 10 US gal/min, unbaffled: 50 minutes.
/// ```
/// use keepwell_engine::quantity::{as_minutes, litres, litres_per_minute};
/// let time = keepwell_engine::treatment::contact_time(litres(18_927.058_92), litres_per_minute(37.854_117_84), 0.1)?.value;
/// assert!((as_minutes(time) - 50.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn contact_time(volume: Volume, flow: VolumeRate, baffling: f64) -> Result<Reckoned<Time>, TreatmentError> {
    let volume = VOLUME.check(as_litres(volume))?;
    let flow = FLOW.check(as_litres_per_minute(flow))?;
    let baffling = BAFFLING.check(baffling)?;
    let turnover = volume / flow;
    Ok(Working::new("contact time in a flowing tank", "T₁₀ = V/Q · baffling factor")
        .input("least volume it held", "V", Figure::exact(volume, Unit::Litre), "entries")
        .input("flow in the peak hour", "Q", Figure::exact(flow, Unit::LitrePerMinute), "entries")
        .input("baffling factor", "BF", Figure::exact(baffling, Unit::Count), "set-up")
        .step("time for one volume", "V/Q", Figure::exact(turnover, Unit::Minute))
        .step("contact time", "T₁₀", Figure::exact(turnover * baffling, Unit::Minute))
        .source("40 CFR 141.534; US EPA 815-R-20-003 (2020)")
        .source("baffling factors: Pennsylvania DEP table, following US EPA")
        .gives(minutes(turnover * baffling)))
}

/// How water moves through a tank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Tank {
    /// one inlet and one outlet, as house tanks are
    Unbaffled,
    /// several inlets or outlets, no baffles
    Poor,
    /// baffled inlet or outlet, some inside
    Average,
    /// baffles throughout
    Superior,
    /// a long pipe
    PlugFlow,
}

impl Tank {
    /// Every kind, least first.
    pub const ALL: [Self; 5] = [Self::Unbaffled, Self::Poor, Self::Average, Self::Superior, Self::PlugFlow];

    /// The baffling factor. Pennsylvania DEP table, following US EPA.
    ///
    /// ```
    /// use keepwell_engine::treatment::Tank;
    /// assert!((Tank::Unbaffled.baffling() - 0.1).abs() < 1e-12);
    /// ```
    #[must_use]
    pub const fn baffling(self) -> f64 {
        match self {
            Self::Unbaffled => 0.1,
            Self::Poor => 0.3,
            Self::Average => 0.5,
            Self::Superior => 0.7,
            Self::PlugFlow => 1.0,
        }
    }
}

/// The part of free chlorine that is hypochlorous acid, the stronger form: 1/(1 + 10^(pH − pKa)),
/// pKa = 3000/T − 10.0686 + 0.0253·T, T in kelvin.
///
/// - **Reference** Morris 1966 (from memory).
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// ```
/// use keepwell_engine::quantity::celsius;
/// let part = keepwell_engine::treatment::hypochlorous_fraction(7.5, celsius(25.0))?.value;
/// assert!((part - 0.521).abs() < 0.01);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn hypochlorous_fraction(ph: f64, temperature: ThermodynamicTemperature) -> Result<Reckoned<f64>, TreatmentError> {
    let temperature = WATER_TEMPERATURE.check(as_celsius(temperature))?;
    let ph = PH.check(ph)?;
    let kelvin = temperature + 273.15;
    let pka = 3000.0 / kelvin - 10.0686 + 0.0253 * kelvin;
    let part = 1.0 / (1.0 + 10.0_f64.powf(ph - pka));
    Ok(Working::new(
        "free chlorine in its stronger form, HOCl",
        "1/(1 + 10^(pH − pKa)); pKa = 3000/T − 10.0686 + 0.0253·T",
    )
    .input("acidity", "pH", Figure::exact(ph, Unit::Ph), "test")
    .input("water temperature", "T", Figure::exact(temperature, Unit::Celsius), "test")
    .step("half of it at this pH", "pKa", Figure::exact(pka, Unit::Ph))
    .step("as HOCl", "", Figure::exact(part, Unit::Fraction))
    .beyond(!(0.0..=35.0).contains(&temperature), "outside 0 to 35 °C the formula was not measured (from memory)")
    .source("Morris 1966 (from memory)")
    .gives(part))
}
