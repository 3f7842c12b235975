//! The kinds of vessel there are, each with its sheet.

use super::cuboid;
use super::form::Dimension;
use super::form::Sheet;
use super::heater;
use super::lying;
use super::rounded;
use super::set;
use super::sphere;
use super::table;
use super::upright;

/// The kinds of vessel there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// a cylinder standing on its flat bottom
    Upright,
    /// a standing cylinder whose bottom is a cone
    UprightCone,
    /// a standing cylinder on a dished (torispherical) bottom
    UprightDished,
    /// a standing cylinder on half an ellipsoid
    UprightElliptical,
    /// a standing cylinder on half a sphere
    UprightRound,
    /// a cylinder lying on its side, with flat ends
    Lying,
    /// a lying cylinder whose ends are cones
    LyingCone,
    /// a lying cylinder with dished (torispherical) ends
    LyingDished,
    /// a lying cylinder whose ends are half ellipsoids
    LyingElliptical,
    /// a lying cylinder whose ends are half spheres
    LyingRound,
    /// a box with upright walls
    Box,
    /// a box with rounded edges
    Rounded,
    /// a sphere
    Sphere,
    /// a number of identical containers
    Set,
    /// a water heater's tank, drained at its cock
    Heater,
    /// whatever its owner measured: depths and litres
    Table,
}

impl Kind {
    /// All kinds, in the order they are offered.
    pub const ALL: [Self; 16] = [
        Self::Upright,
        Self::Lying,
        Self::Box,
        Self::Rounded,
        Self::UprightCone,
        Self::UprightDished,
        Self::UprightElliptical,
        Self::UprightRound,
        Self::LyingDished,
        Self::LyingElliptical,
        Self::LyingRound,
        Self::LyingCone,
        Self::Sphere,
        Self::Set,
        Self::Heater,
        Self::Table,
    ];

    /// The name it is stored under.
    #[must_use]
    pub fn key(self) -> &'static str {
        self.sheet().key
    }

    /// What a person calls it.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.sheet().name
    }

    /// What has to be measured to know it; a [`Kind::Table`] has rows instead.
    #[must_use]
    pub fn dimensions(self) -> &'static [Dimension] {
        self.sheet().dimensions
    }

    /// The kind stored under this name.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.key() == key)
    }

    pub(super) const fn sheet(self) -> &'static Sheet {
        match self {
            Self::Upright => &upright::FLAT,
            Self::UprightCone => &upright::CONE,
            Self::UprightDished => &upright::DISHED,
            Self::UprightElliptical => &upright::ELLIPTICAL,
            Self::UprightRound => &upright::ROUND,
            Self::Lying => &lying::FLAT,
            Self::LyingCone => &lying::CONE,
            Self::LyingDished => &lying::DISHED,
            Self::LyingElliptical => &lying::ELLIPTICAL,
            Self::LyingRound => &lying::ROUND,
            Self::Box => &cuboid::SHEET,
            Self::Rounded => &rounded::SHEET,
            Self::Sphere => &sphere::SHEET,
            Self::Set => &set::SHEET,
            Self::Heater => &heater::SHEET,
            Self::Table => &table::SHEET,
        }
    }
}
