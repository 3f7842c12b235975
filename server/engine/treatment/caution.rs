//! What can hurt someone, beside the figure that leads them to it. English keys; the trade's own words.

/// A caution that travels with a result, to be shown beside it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Caution {
    /// chlorine and what it must never meet
    NeverMix,
    /// fumes, eyes, skin, children
    Ventilate,
    /// dry hypochlorite burns what it touches
    DryOxidiser,
    /// strong water is not for drinking, and where it must not go
    StrongWater,
    /// no one goes into a tank
    NeverEnter,
    /// what chlorine does not do
    NotChemicals,
    /// Cryptosporidium
    NotCryptosporidium,
    /// carbon, softener and membranes take harm
    Bypass,
    /// infants, dialysis, the sick
    AskFirst,
    /// scalds and carbon monoxide
    Boiling,
    /// no residual, no power no dose
    LightLeavesNothing,
    /// the household chart is stronger than the yearly limit at first
    ChartIsStrong,
}

impl Caution {
    /// What stands beside every dose of liquid bleach.
    pub const LIQUID: &'static [Self] =
        &[Self::NeverMix, Self::Ventilate, Self::NotChemicals, Self::NotCryptosporidium, Self::AskFirst];
    /// What stands beside every dose of dry hypochlorite.
    pub const DRY: &'static [Self] = &[
        Self::NeverMix,
        Self::Ventilate,
        Self::DryOxidiser,
        Self::NotChemicals,
        Self::NotCryptosporidium,
        Self::AskFirst,
    ];
    /// What stands beside a shock dose, with what stands beside its product.
    pub const SHOCK: &'static [Self] =
        &[Self::NeverMix, Self::Ventilate, Self::StrongWater, Self::NeverEnter, Self::Bypass, Self::DryOxidiser];

    /// In words (English key).
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::NeverMix => {
                "Never mix with acid, ammonia or another cleaner: poison gas. Nothing else in the measure or the bucket."
            }
            Self::Ventilate => "Open the windows. Cover eyes and skin. Keep it from children.",
            Self::DryOxidiser => {
                "Dry hypochlorite sets fire to fuel, oil and rags: keep it dry and apart, never with another pool product. Add it to water, never water to it."
            }
            Self::StrongWater => {
                "Not for drinking at this strength. Empty it, but never into a stream, a pond or a septic tank; flush, refill, test, and have a sample without coliforms before use."
            }
            Self::NeverEnter => "Never enter a tank.",
            Self::NotChemicals => {
                "Takes out no fuel, solvent, metal, salt, nitrate or toxin. Under a do-not-drink notice it makes nothing drinkable."
            }
            Self::NotCryptosporidium => {
                "Does not stop Cryptosporidium: boil first where germs are the fear, bleach only if you cannot boil."
            }
            Self::Bypass => "Shut off carbon, softener and membranes before the strong water reaches them.",
            Self::AskFirst => {
                "For infants, pregnancy, dialysis or weak immunity ask a doctor or the health authority first."
            }
            Self::Boiling => {
                "Cool it covered: boiled water scalds. No charcoal or camp stove indoors: carbon monoxide kills."
            }
            Self::LightLeavesNothing => {
                "Leaves nothing in the water, and without power treats nothing: shut it off then."
            }
            Self::ChartIsStrong => {
                "About 5.6 to 8.7 mg/L at the moment of dosing: stir, wait 30 minutes, test; above 4.0 mg/L let it stand."
            }
        }
    }

    /// Where it comes from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::NeverMix | Self::Ventilate | Self::DryOxidiser => {
                "product labels; New South Wales and Tasmanian health departments"
            }
            Self::StrongWater | Self::NeverEnter => "CDC, Emergency Disinfection of Cisterns; AWWA C652",
            Self::NotChemicals => "US EPA, emergency disinfection of drinking water",
            Self::NotCryptosporidium => "Shields et al. 2008, J Water Health 6:513; US EPA P100SP1S",
            Self::Bypass | Self::AskFirst | Self::Boiling => "extension and health authority guidance",
            Self::LightLeavesNothing => "NSF/ANSI 55; by nature",
            Self::ChartIsStrong => "Lantagne et al. 2014, Environ. Sci. Technol.; 40 CFR 141.65",
        }
    }
}
