//! Disinfecting a tank by the published methods.

use super::Caution;
use super::Product;
use super::TreatmentError;
use super::liquid_for;
use super::measures::CHLORINE;
use super::measures::GALLONS;
use super::solid_for;
use crate::quantity::DIMENSION;
use crate::quantity::Length;
use crate::quantity::Mass;
use crate::quantity::MassConcentration;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::VOLUME;
use crate::quantity::Volume;
use crate::quantity::as_grams;
use crate::quantity::as_hours;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::as_mg_per_litre;
use crate::quantity::as_millilitres;
use crate::quantity::hours;
use crate::quantity::mg_per_litre;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// A published way of disinfecting a tank after it was emptied and washed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ShockMethod {
    /// fill with 10 mg/L left at the end, chlorine fed evenly: 6 hours
    FillFedEvenly,
    /// fill with 10 mg/L left at the end, hypochlorite mixed in by filling: 24 hours
    FillMixedIn,
    /// wet every surface with 200 mg/L: 30 minutes
    Coat,
    /// 50 mg/L in the bottom for 6 hours, then fill and keep 2 mg/L for 24 hours
    BottomThenFill,
    /// fill with 80 g of granules in 1,000 L: 24 hours
    Granules,
    /// fill with double that: 8 hours
    GranulesDouble,
    /// scrub with a cup of bleach in 10 US gallons, from outside
    Scrub,
}

impl ShockMethod {
    /// Every method, in the order a form offers them.
    pub const ALL: [Self; 7] = [
        Self::FillMixedIn,
        Self::FillFedEvenly,
        Self::Coat,
        Self::BottomThenFill,
        Self::Granules,
        Self::GranulesDouble,
        Self::Scrub,
    ];

    /// In words (English key).
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::FillFedEvenly => "fill at 10 mg/L, fed evenly",
            Self::FillMixedIn => "fill at 10 mg/L, mixed in by filling",
            Self::Coat => "wet every surface with 200 mg/L",
            Self::BottomThenFill => "50 mg/L in the bottom, then fill",
            Self::Granules => "fill with 80 g of granules in 1,000 L",
            Self::GranulesDouble => "fill with 160 g of granules in 1,000 L",
            Self::Scrub => "scrub with a strong solution",
        }
    }

    /// Chlorine of the solution, mg/L. Of the fills by AWWA's first method it is what must be left at the end: the
    /// water's demand comes on top.
    #[must_use]
    pub fn strength(self) -> MassConcentration {
        mg_per_litre(match self {
            Self::FillFedEvenly | Self::FillMixedIn => 10.0,
            Self::Coat => 200.0,
            Self::BottomThenFill => 50.0,
            // 80 g at 65 % available chlorine in 1,000 L
            Self::Granules => 52.0,
            Self::GranulesDouble => 104.0,
            // 1 US cup of 5.25 % in 10 US gallons
            Self::Scrub => 330.0,
        })
    }

    /// What follows the hold: the tank is filled up and keeps at least so much chlorine for so long.
    #[must_use]
    pub fn then_full(self) -> Option<(MassConcentration, Time)> {
        matches!(self, Self::BottomThenFill).then(|| (mg_per_litre(2.0), hours(24.0)))
    }

    /// How long it stays.
    #[must_use]
    pub fn hold(self) -> Time {
        hours(match self {
            Self::FillFedEvenly | Self::BottomThenFill => 6.0,
            Self::FillMixedIn | Self::Granules => 24.0,
            Self::Coat | Self::Scrub => 0.5,
            Self::GranulesDouble => 8.0,
        })
    }

    /// Where it is published.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::FillFedEvenly | Self::FillMixedIn => {
                "AWWA C652-11 section 4.3, method 1; hours: Oregon Health Authority citing C652"
            }
            Self::Coat => {
                "AWWA C652-11 section 4.3, method 2; 30 minutes from memory (Oregon asks 3 hours; longer is welcome)"
            }
            Self::BottomThenFill => "AWWA C652-11 section 4.3, method 3; 6 hours: Oregon Health Authority",
            Self::Granules | Self::GranulesDouble => "WHO technical note 3, cleaning tanks and tankers (from memory)",
            Self::Scrub => {
                "CDC, Emergency Disinfection of Cisterns; 30 minutes as for coating: common practice, no source"
            }
        }
    }

    const fn fills(self) -> bool {
        matches!(self, Self::FillFedEvenly | Self::FillMixedIn | Self::Granules | Self::GranulesDouble)
    }
}

/// How to disinfect a tank: how much of what, how long, and what must stand beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct ShockPlan {
    /// water to be made strong
    pub solution: Volume,
    /// chlorine added to it
    pub strength: MassConcentration,
    /// of a liquid product
    pub liquid: Option<Volume>,
    /// of a solid product
    pub solid: Option<Mass>,
    /// how long it stays
    pub hold: Time,
    /// what must be left when it is over, where the method asks for it
    pub left_at_end: Option<MassConcentration>,
    /// the full tank then keeps at least so much for so long, where the method has a second step
    pub then_full: Option<(MassConcentration, Time)>,
    /// what may hurt someone
    pub cautions: Vec<Caution>,
    /// what to do then (English keys)
    pub then: &'static [&'static str],
    /// how it was reckoned
    pub working: Working,
}

impl ShockPlan {
    /// The plan for a tank.
    ///
    /// - **Formula** strength + demand in the whole tank, or in the `part` of it that is made strong; product by
    ///   [`liquid_for`] or [`solid_for`].
    /// - **Arguments** `tank` what it holds, to 10,000,000 L; `part` litres of solution where the method does not fill
    ///   (for a coat or a scrub as much as wets all surfaces; for the bottom, as AWWA's 5 % where not given); `demand` what
    ///   the water eats, 0 to 1,000 mg/L; `after_fuel` whether fuel or chemicals got in.
    /// - **Reference** [`ShockMethod::source`].
    ///
    /// # Errors
    /// [`TreatmentError`]: a refused product, fuel, or a figure out of range.
    pub fn of(
        method: ShockMethod,
        tank: Volume,
        part: Option<Volume>,
        demand: MassConcentration,
        product: Product,
        after_fuel: bool,
    ) -> Result<Self, TreatmentError> {
        if after_fuel {
            return Err(TreatmentError::AfterFuel);
        }
        let product = product.check()?;
        VOLUME.check(as_litres(tank))?;
        let demand = CHLORINE.check(as_mg_per_litre(demand))?;
        let solution = if method.fills() { tank } else { part.unwrap_or(tank * BOTTOM_PART) };
        let strength = mg_per_litre(CHLORINE.check(as_mg_per_litre(method.strength()) + demand)?);
        let mut working = Working::new(
            "product for disinfecting a tank",
            "product = solution × (strength + demand) ÷ available chlorine",
        )
        .input("water made strong", "solution", Figure::exact(as_litres(solution), Unit::Litre), "set-up")
        .input(
            "the method's strength",
            "strength",
            Figure::exact(as_mg_per_litre(method.strength()), Unit::MilligramPerLitre),
            "method",
        )
        .input("what the water eats", "demand", Figure::exact(demand, Unit::MilligramPerLitre), "measured or assumed")
        .step("how long it stays", "", Figure::exact(as_hours(method.hold()), Unit::Hour))
        .beyond(
            part.is_none() && !method.fills(),
            "how much solution: not given, a twentieth of the tank was taken (from memory of AWWA's third method)",
        )
        .source(method.source());
        let (liquid, solid) = match product {
            Product::Liquid(stock) => (Some(liquid_for(solution, strength, stock)?.value), None),
            Product::Solid(available) => (None, Some(solid_for(solution, strength, available)?.value)),
            Product::Refused(unfit) => return Err(TreatmentError::Unfit(unfit)),
        };
        if let Some(volume) = liquid {
            working = working.step("product", "V", Figure::exact(as_millilitres(volume), Unit::Millilitre));
        }
        if let Some(mass) = solid {
            working = working.step("product", "m", Figure::exact(as_grams(mass), Unit::Gram));
        }
        let dry = matches!(product, Product::Solid(_));
        let cautions = Caution::SHOCK.iter().copied().filter(|caution| dry || *caution != Caution::DryOxidiser);
        Ok(Self {
            solution,
            strength,
            liquid,
            solid,
            hold: method.hold(),
            left_at_end: match method {
                ShockMethod::FillFedEvenly | ShockMethod::FillMixedIn => Some(mg_per_litre(10.0)),
                _ => None,
            },
            then_full: method.then_full(),
            cautions: cautions.collect(),
            then: THEN,
            working,
        })
    }
}

/// The part of a tank that AWWA's third method makes strong, where it is not given: about 5 % (from memory).
const BOTTOM_PART: f64 = 0.05;

const THEN: &[&str] = &[
    "Keep it for the time named, outlets shut, lid on.",
    "Empty all of it, not into a stream, a pond or a septic tank.",
    "Flush pipes and taps, refill from a good source.",
    "Test free chlorine after 30 minutes: 4.0 mg/L or less.",
    "Have a sample tested for coliforms before anyone drinks.",
];

/// What a box-shaped cistern holds in US gallons, by the leaflet's rule: length × width × depth in feet × gallons to the
/// cubic foot.
///
/// - **Arguments** lengths 0.01 to 100 m; `gallons_a_cubic_foot` 7.5 in the leaflet; truly 7.4805.
/// - **Reference** CDC, Emergency Disinfection of Cisterns.
///
/// # Errors
/// [`TreatmentError::OutOfRange`] names what is not allowed.
///
/// ```
/// use keepwell_engine::quantity::{Unit, metres};
/// let feet = |value| metres(Unit::Metre.from_us(value));
/// let gallons = keepwell_engine::treatment::box_us_gallons(feet(6.0), feet(4.0), feet(5.0), 7.5)?.value;
/// assert!((gallons - 900.0).abs() < 1e-9);
/// # Ok::<(), keepwell_engine::treatment::TreatmentError>(())
/// ```
pub fn box_us_gallons(
    length: Length,
    width: Length,
    depth: Length,
    gallons_a_cubic_foot: f64,
) -> Result<Reckoned<f64>, TreatmentError> {
    let gallons = GALLONS.check(gallons_a_cubic_foot)?;
    let mut working = Working::new(
        "what a box-shaped cistern holds, US gallons",
        "length × width × depth in feet × gallons",
    )
    .input("US gallons to the cubic foot", "", Figure::exact(gallons, Unit::Count), "leaflet");
    let mut feet = 1.0;
    for (name, side) in [("length", length), ("width", width), ("depth", depth)] {
        let side = DIMENSION.check(as_metres(side))?;
        feet *= Unit::Metre.to_us(side);
        working = working.input(name, "", Figure::exact(side, Unit::Metre), "set-up");
    }
    Ok(working
        .step("cubic feet", "length × width × depth", Figure::exact(feet, Unit::Count))
        .step("US gallons", "", Figure::exact(feet * gallons, Unit::Count))
        .source("CDC, Emergency Disinfection of Cisterns")
        .gives(feet * gallons))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::grams_per_litre;
    use crate::quantity::litres;

    #[test]
    fn granules_come_back_as_printed() {
        // WHO technical note 3: 80 g in 1,000 L; the strength is that of granules of 65 %
        let plan =
            ShockPlan::of(ShockMethod::Granules, litres(1000.0), None, mg_per_litre(0.0), Product::Solid(0.65), false);
        assert!((as_grams(plan.unwrap().solid.unwrap()) - 80.0).abs() < 1e-9);
    }

    #[test]
    fn the_scrub_is_a_cup_in_ten_gallons() {
        // CDC: 1 US cup (236.588 mL) of 5.25 % bleach in 10 US gallons; percent × 10 is g/L within 5 %
        let plan = ShockPlan::of(
            ShockMethod::Scrub,
            litres(2000.0),
            Some(litres(37.854)),
            mg_per_litre(0.0),
            Product::Liquid(grams_per_litre(52.5)),
            false,
        );
        let cup = as_millilitres(plan.unwrap().liquid.unwrap());
        assert!((cup / 236.588 - 1.0).abs() < 0.05, "{cup}");
    }

    #[test]
    fn after_fuel_there_is_no_plan() {
        for method in ShockMethod::ALL {
            let plan = ShockPlan::of(method, litres(100.0), None, mg_per_litre(0.0), Product::Solid(0.65), true);
            assert_eq!(plan, Err(TreatmentError::AfterFuel));
            let plan =
                ShockPlan::of(method, litres(100.0), None, mg_per_litre(0.0), Product::Solid(0.65), false).unwrap();
            assert!(plan.cautions.contains(&Caution::StrongWater) && plan.cautions.contains(&Caution::NeverMix));
            // AWWA C652-11 section 4.3, method 3: then fill, 2 mg/L for 24 hours; the others have no second step
            let second = plan.then_full.map(|(free, time)| (as_mg_per_litre(free).round(), as_hours(time).round()));
            assert_eq!(second, (method == ShockMethod::BottomThenFill).then_some((2.0, 24.0)));
        }
    }
}
