//! A vessel drawn as itself: its cross-section in true proportion, water to the waterline, and the furniture that shows
//! what it is (a roof and hatch, cradles, a pallet, stacked cans).

mod body;
mod containers;
mod label;
mod large;
mod shape;
mod small;

pub use label::Depth;
pub use label::Depths;
pub use label::label;
pub use large::Before;
pub use large::Mark;
pub use large::Rule;
pub use large::Words;
pub use large::large;
pub use small::Fit;
pub use small::Standing;
pub use small::alone;
pub use small::row;
pub use small::small;

/// What the water is counted as; the sheet gives each its fill.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grade {
    /// drinking water: the plain fill
    Drink,
    /// treat first: dotted
    Treat,
    /// washing only: lined
    Utility,
    /// for nothing: crossed
    Hold,
}

impl Grade {
    /// Every grade, in the order of a key.
    pub const ALL: [Self; 4] = [Self::Drink, Self::Treat, Self::Utility, Self::Hold];

    pub(super) const fn class(self) -> &'static str {
        match self {
            Self::Drink => "water",
            Self::Treat => "p-treat",
            Self::Utility => "p-util",
            Self::Hold => "p-hold",
        }
    }
}

/// What stands round the outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// a standing tank: a shallow roof and its hatch
    Upright,
    /// a lying cylinder on its cradles
    Lying,
    /// a box with a lid
    Box,
    /// a caged tote on its pallet
    Tote,
    /// a heater's tank in its jacket
    Heater,
    /// the outline alone
    Plain,
}

/// Where the water stands, metres above the vessel's own floor, and the band it lies in 8 times in 10.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Water {
    /// the waterline
    pub level_m: f64,
    /// the lower end of the band
    pub low_m: f64,
    /// the upper end of the band
    pub high_m: f64,
}

/// One vessel with a level.
#[derive(Clone, Debug, PartialEq)]
pub struct Tank {
    /// what it looks like
    pub form: Form,
    /// the section as points in metres, across and up from the floor; closed by itself
    pub outline: Vec<(f64, f64)>,
    /// the level called full
    pub full_m: f64,
    /// what lies below the lowest outlet in use
    pub heel_m: f64,
    /// none: nobody has read it yet
    pub water: Option<Water>,
    /// what its water is counted as
    pub grade: Grade,
}

/// Containers of a set that share a date and a source.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lot {
    /// full ones
    pub full: u32,
    /// begun ones, drawn half full
    pub part: u32,
    /// empty ones
    pub empty: u32,
    /// what the water in them is counted as
    pub grade: Grade,
}

/// A set of identical containers, counted and stacked.
#[derive(Clone, Debug, PartialEq)]
pub struct Set {
    /// one container, across
    pub width_m: f64,
    /// one container, with its neck
    pub height_m: f64,
    /// by date and source
    pub lots: Vec<Lot>,
}

/// What is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// a vessel with a level
    Tank(Tank),
    /// a set of containers
    Set(Set),
}

/// A vessel as a drawing needs it.
#[derive(Clone, Debug, PartialEq)]
pub struct Vessel {
    /// what a reader who does not see it is told: "East, 2,845 L, drinking water"
    pub title: String,
    /// its body
    pub body: Body,
}

#[cfg(test)]
mod tests;
