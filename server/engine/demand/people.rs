//! Who draws: categories of people, and how much a visit takes.

use crate::quantity::Volume;
use crate::quantity::litres;

/// What somebody who draws at a site is to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Category {
    /// lives here
    Adult,
    /// lives here, under 18
    Child,
    /// lives here, under 1; formula is made up with this water
    Infant,
    /// lives here, with child or nursing
    Nursing,
    /// lives here, sick, on dialysis or with weak immunity
    Unwell,
    /// a patient who stays, for each bed in use
    Bed,
    /// comes for the day: a patient to be seen, a pupil. Counted as a person at home, not here
    DayVisitor,
    /// lives near, has no store, draws here
    Catchment,
}

impl Category {
    /// Every category, in the order a form asks.
    pub const ALL: [Self; 8] = [
        Self::Adult,
        Self::Child,
        Self::Infant,
        Self::Nursing,
        Self::Unwell,
        Self::Bed,
        Self::DayVisitor,
        Self::Catchment,
    ];

    /// The word in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Adult => "adult",
            Self::Child => "child",
            Self::Infant => "infant",
            Self::Nursing => "nursing",
            Self::Unwell => "unwell",
            Self::Bed => "bed",
            Self::DayVisitor => "day_visitor",
            Self::Catchment => "catchment",
        }
    }

    /// The category with this key.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|category| category.key() == key)
    }

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Adult => "adults",
            Self::Child => "children",
            Self::Infant => "infants",
            Self::Nursing => "expecting or nursing",
            Self::Unwell => "unwell",
            Self::Bed => "beds in use",
            Self::DayVisitor => "day visitors",
            Self::Catchment => "people near by with no store",
        }
    }

    /// One of them, in words.
    #[must_use]
    pub const fn one(self) -> &'static str {
        match self {
            Self::Adult => "adult",
            Self::Child => "child",
            Self::Infant => "infant",
            Self::Nursing | Self::Unwell => self.name(),
            Self::Bed => "bed in use",
            Self::DayVisitor => "day visitor",
            Self::Catchment => "person near by with no store",
        }
    }

    /// Whether they draw at the ration in force.
    #[must_use]
    pub const fn rationed(self) -> bool {
        !matches!(self, Self::Bed | Self::DayVisitor)
    }

    /// Whether they are counted as people here: everyone but day visitors, who are counted at home.
    #[must_use]
    pub const fn counted(self) -> bool {
        !matches!(self, Self::DayVisitor)
    }

    /// Whether a site that has them goes first when water is shared: infants, nursing mothers, the sick, patients.
    #[must_use]
    pub const fn priority(self) -> bool {
        matches!(self, Self::Infant | Self::Nursing | Self::Unwell | Self::Bed)
    }
}

/// What day visitors come for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Visit {
    /// to be seen at a clinic: 5 L each; the more careful of the three
    #[default]
    Outpatient,
    /// to school, for drinking and washing hands: 3 L each
    Pupil,
    /// to a place of rest for the day: 3 L each
    Daytime,
}

impl Visit {
    /// Every kind, in the order a form offers them.
    pub const ALL: [Self; 3] = [Self::Outpatient, Self::Pupil, Self::Daytime];

    /// The word in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Outpatient => "outpatient",
            Self::Pupil => "pupil",
            Self::Daytime => "daytime",
        }
    }

    /// The kind with this key.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|visit| visit.key() == key)
    }

    /// Litres for one visit. Sphere Handbook 2018, WASH Appendix 3 (from memory).
    #[must_use]
    pub fn each(self) -> Volume {
        litres(match self {
            Self::Outpatient => 5.0,
            Self::Pupil | Self::Daytime => 3.0,
        })
    }
}
