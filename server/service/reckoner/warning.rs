//! What can hurt someone, beside the figure that leads them to it: short, in the trade's words, and deferring to whoever
//! is licensed. English keys.

use keepwell_engine::treatment::Caution;

/// One caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Warning {
    /// what stands out
    pub word: &'static str,
    /// one to three sentences
    pub words: &'static str,
}

impl Warning {
    pub const BACKFLOW: Self = Self {
        word: "Keep it apart from the mains.",
        words: "Stored water is joined to a building's pipes by a licensed plumber, through an air gap, a spool that is taken out, or an approved backflow preventer. The local code stands over this figure.",
    };
    pub const TANK: Self =
        Self { word: "Never enter a tank.", words: "Measure, dip and clean it from outside, with the vent open." };
    pub const STRUCTURE: Self = Self {
        word: "A screening, no more.",
        words: "Whether a floor bears it and how a vessel is anchored is for a structural engineer to say, and the local code stands over this figure.",
    };
    pub const EXHAUST: Self = Self {
        word: "Exhaust kills.",
        words: "Outdoors only, 6 m (20 ft) or more from openings, exhaust pointing away, with a CO alarm inside. A transfer switch fitted by a licensed electrician, never a plug into a socket.",
    };
    pub const FUEL: Self = Self {
        word: "Fuel burns.",
        words: "How much may be kept, and where, is for the fire code to say. Never near a flame, a heater or an engine that runs.",
    };
    pub const WIRING: Self = Self {
        word: "Wiring.",
        words: "Batteries, panels and inverters are joined to a building by a licensed electrician. A battery that is shorted burns.",
    };
    pub const LIFTING: Self = Self {
        word: "Mind your back.",
        words: "Two people, a trolley or smaller containers. A full vehicle stops and turns badly: tie the load down, and keep to what its plate allows.",
    };
    pub const LITRES: Self = Self {
        word: "Caution.",
        words: "This counts litres. It does not say the water is fit for anyone in particular: infants, dialysis and the ill follow medical advice, and a notice from the authority stands over it.",
    };
    pub const BLEACH: Self = Self {
        word: "Bleach.",
        words: "Keep it cool, dark, upright and from children; never beside acid, ammonia or another cleaner.",
    };
    pub const NOTICE: Self = Self {
        word: "The authority's word stands.",
        words: "Under a boil notice, boil. Under a do-not-drink or a do-not-use notice nothing done here makes water drinkable.",
    };
}

impl From<Caution> for Warning {
    fn from(caution: Caution) -> Self {
        Self { word: "Caution.", words: caution.words() }
    }
}
