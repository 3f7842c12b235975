//! What animals drink.

use crate::quantity::Volume;
use crate::quantity::litres;

/// The half of the year, as far as animals are concerned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Season {
    /// the cold half
    Winter,
    /// the warm half; the more careful of the two
    #[default]
    Summer,
}

/// A kind of animal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Animal {
    /// a horse
    Horse,
    /// a cow in milk
    Cow,
    /// a sheep or a goat
    Sheep,
    /// a dog or a cat
    DogOrCat,
    /// a hen, a duck
    Poultry,
    /// any other large or middling animal
    Large,
    /// any other small animal
    Small,
}

const CANADA: &str = "Agriculture and Agri-Food Canada, range livestock table";
const SPHERE: &str = "Sphere Handbook 2018, WASH Appendix 3 (from memory)";

impl Animal {
    /// Every kind, in the order a form offers them.
    pub const ALL: [Self; 7] =
        [Self::DogOrCat, Self::Poultry, Self::Sheep, Self::Horse, Self::Cow, Self::Small, Self::Large];

    /// The word in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Horse => "horse",
            Self::Cow => "cow",
            Self::Sheep => "sheep",
            Self::DogOrCat => "dog_or_cat",
            Self::Poultry => "poultry",
            Self::Large => "large_animal",
            Self::Small => "small_animal",
        }
    }

    /// The kind with this key.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|animal| animal.key() == key)
    }

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Horse => "horses",
            Self::Cow => "cows in milk",
            Self::Sheep => "sheep or goats",
            Self::DogOrCat => "dogs or cats",
            Self::Poultry => "hens or ducks",
            Self::Large => "other large animals",
            Self::Small => "other small animals",
        }
    }

    /// One of them, in words.
    #[must_use]
    pub const fn one(self) -> &'static str {
        match self {
            Self::Horse => "horse",
            Self::Cow => "cow in milk",
            Self::Sheep => "sheep or goat",
            Self::DogOrCat => "dog or cat",
            Self::Poultry => "hen or duck",
            Self::Large => "other large animal",
            Self::Small => "other small animal",
        }
    }

    /// Litres one of them needs a day, source at [`Animal::source`].
    ///
    /// ```
    /// use keepwell_engine::demand::{Animal, Season};
    /// use keepwell_engine::quantity::litres;
    /// assert_eq!(Animal::Horse.a_day(Season::Summer), litres(55.0));
    /// ```
    #[must_use]
    pub fn a_day(self, season: Season) -> Volume {
        let (winter, summer) = match self {
            Self::Horse => (36.0, 55.0),
            Self::Cow => (77.0, 95.0),
            Self::Sheep => (3.6, 14.0),
            Self::DogOrCat => (3.785_411_784, 3.785_411_784),
            Self::Poultry => (0.3, 0.5),
            Self::Large => (30.0, 30.0),
            Self::Small => (5.0, 5.0),
        };
        litres(match season {
            Season::Winter => winter,
            Season::Summer => summer,
        })
    }

    /// Where the figure comes from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::Horse | Self::Cow | Self::Sheep => CANADA,
            Self::DogOrCat => "CDC, Creating & Storing an Emergency Water Supply, 2017: 1 US gal a pet a day",
            Self::Large | Self::Small => SPHERE,
            Self::Poultry => "common practice, no source",
        }
    }
}
