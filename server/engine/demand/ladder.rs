//! The ladder of rations: litres a person a day, from the least to the most.

use std::sync::LazyLock;

use crate::quantity::OutOfRange;
use crate::quantity::RATION;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::litres;

/// What water is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Use {
    /// drinking
    Drink,
    /// cooking, and washing what is eaten from
    Cook,
    /// washing people, clothes and floors
    Wash,
    /// flushing toilets
    Flush,
}

impl Use {
    /// Every use, the last to be cut first.
    pub const ALL: [Self; 4] = [Self::Drink, Self::Cook, Self::Wash, Self::Flush];

    /// The word in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Drink => "drink",
            Self::Cook => "cook",
            Self::Wash => "wash",
            Self::Flush => "flush",
        }
    }

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Drink => "drinking",
            Self::Cook => "cooking",
            Self::Wash => "washing",
            Self::Flush => "flushing",
        }
    }

    /// Whether it needs `drink` water, or `treat` water that is treated here. Flushing alone does not: it takes
    /// anything but `hold`, so `utility` is the lowest grade it allows.
    #[must_use]
    pub const fn needs_drink_grade(self) -> bool {
        !matches!(self, Self::Flush)
    }
}

/// Litres by use: of one person for one day, unless it says otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Uses {
    /// for drinking
    pub drink: Volume,
    /// for cooking
    pub cook: Volume,
    /// for washing
    pub wash: Volume,
    /// for flushing
    pub flush: Volume,
}

impl Uses {
    /// From litres for drinking, cooking, washing and flushing.
    #[must_use]
    pub fn litres(drink: f64, cook: f64, wash: f64, flush: f64) -> Self {
        Self { drink: litres(drink), cook: litres(cook), wash: litres(wash), flush: litres(flush) }
    }

    /// What goes to one use.
    #[must_use]
    pub const fn of(&self, what: Use) -> Volume {
        match what {
            Use::Drink => self.drink,
            Use::Cook => self.cook,
            Use::Wash => self.wash,
            Use::Flush => self.flush,
        }
    }

    /// What needs drink-grade water: drinking, cooking, washing.
    #[must_use]
    pub fn drink_grade(&self) -> Volume {
        self.drink + self.cook + self.wash
    }

    /// All four uses.
    #[must_use]
    pub fn total(&self) -> Volume {
        self.drink_grade() + self.flush
    }

    /// The same uses, each `factor` times.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            drink: self.drink * factor,
            cook: self.cook * factor,
            wash: self.wash * factor,
            flush: self.flush * factor,
        }
    }

    /// What is left of a ration when at most `cap` a person a day can be carried: flushing is cut first, then washing,
    /// then cooking. Drinking is never cut, not even by a cap below it.
    ///
    /// - **Arguments** `cap`: litres a person a day; [`HAND_CAP`] unless someone set another.
    /// - **Reference** the cap: Sphere Handbook 2018, water supply standard 2.1 (15 L, of carried water); the order of
    ///   cutting: common practice, no source.
    ///
    /// Ample, 50 L by pipe, carried: no flushing, and of 26 L for washing the 6 L that the cap leaves.
    /// ```
    /// use keepwell_engine::demand::{HAND_CAP, Uses};
    /// use keepwell_engine::quantity::litres;
    /// let ample = Uses::litres(3.0, 6.0, 26.0, 15.0);
    /// assert_eq!(ample.carried(litres(HAND_CAP)), Uses::litres(3.0, 6.0, 6.0, 0.0));
    /// ```
    #[must_use]
    pub fn carried(&self, cap: Volume) -> Self {
        let none = Volume::default();
        let mut room = cap - self.drink;
        let mut taken = |wanted: Volume| {
            let taken = wanted.min(room).max(none);
            room -= taken;
            taken
        };
        Self { drink: self.drink, cook: taken(self.cook), wash: taken(self.wash), flush: taken(self.flush) }
    }

    /// Drinking alone.
    #[must_use]
    pub fn drinking(&self) -> Self {
        Self { drink: self.drink, ..Self::default() }
    }
}

/// Service by hand gives at most this many litres a person a day unless set otherwise. Sphere Handbook 2018, water
/// supply standard 2.1: the indicator of 15 L is of carried water.
pub const HAND_CAP: f64 = 15.0;

/// No rung gives less to drink: Sphere Handbook 2018, water supply standard 2.1, survival 2.5 to 3 L, upper end.
pub const LEAST_DRINK: f64 = 3.0;

/// One ration on the ladder.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    key: String,
    name: String,
    uses: Uses,
    source: String,
}

/// Why a rung cannot stand.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LadderError {
    /// a use is out of range
    #[error("{use_of_it}: {error}")]
    OutOfRange {
        /// which use
        use_of_it: &'static str,
        /// what is wrong with it
        error: OutOfRange,
    },
    /// less to drink than one needs
    #[error("drinking is {litres} L a person a day; allowed is {LEAST_DRINK} L or more: nobody is told to drink less")]
    TooLittleToDrink {
        /// what was given
        litres: f64,
    },
    /// a rung without a name or key
    #[error("a rung needs a name and a key")]
    Unnamed,
    /// the key is taken
    #[error("there is a rung \"{key}\" already")]
    Twice {
        /// the key
        key: String,
    },
}

impl Rung {
    /// Basic: 15 L a person a day, all of it drink-grade.
    ///
    /// Source: Sphere Handbook 2018, water supply standard 2.1, key indicator.
    /// ```
    /// use keepwell_engine::demand::Rung;
    /// use keepwell_engine::quantity::as_litres;
    /// assert!((as_litres(Rung::basic().uses().total()) - 15.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn basic() -> Self {
        Self {
            key: "basic".to_owned(),
            name: "Basic".to_owned(),
            uses: Uses::litres(3.0, 6.0, 6.0, 0.0),
            source: "Sphere Handbook 2018, water supply standard 2.1, key indicator".to_owned(),
        }
    }

    /// A ration of a neighbourhood's own. `source` says where its figures come from ("set here").
    ///
    /// # Errors
    /// [`LadderError`] when a use is out of range (0 to 2,000 L), drinking is under 3 L, or key or name is empty.
    pub fn new(key: &str, name: &str, uses: Uses, source: &str) -> Result<Self, LadderError> {
        for what in Use::ALL {
            RATION
                .check(as_litres(uses.of(what)))
                .map_err(|error| LadderError::OutOfRange { use_of_it: what.name(), error })?;
        }
        let drink = as_litres(uses.drink);
        // 3 L are not exactly 3 L in cubic metres
        if drink < LEAST_DRINK - 1e-9 {
            return Err(LadderError::TooLittleToDrink { litres: drink });
        }
        if key.trim().is_empty() || name.trim().is_empty() {
            return Err(LadderError::Unnamed);
        }
        Ok(Self { key: key.to_owned(), name: name.to_owned(), uses, source: source.to_owned() })
    }

    /// The word in files and addresses.
    #[must_use]
    pub fn key(&self) -> &str {
        &self.key
    }

    /// In words; of the published rungs an English key for translation.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Litres a person a day, by use.
    #[must_use]
    pub const fn uses(&self) -> Uses {
        self.uses
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(&self) -> &str {
        &self.source
    }
}

/// The rations to choose from, least first.
///
/// - **Default** six rungs: Drinking 3, Lean 7.5, Basic 15, Ample 50, House careful 80, House ordinary 310 litres a
///   person a day, each with its source at [`Rung::source`].
/// - **Reference** Sphere Handbook 2018, water supply standard 2.1; Hunter, MacDonald and Carter 2010; US EPA.
///
/// ```
/// use keepwell_engine::demand::Ladder;
/// use keepwell_engine::quantity::as_litres;
/// let ladder = Ladder::default();
/// let basic = ladder.rung("basic").ok_or("no Basic")?;
/// assert!((as_litres(basic.uses().total()) - 15.0).abs() < 1e-9);
/// # Ok::<(), &str>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder(Vec<Rung>);

impl Default for Ladder {
    fn default() -> Self {
        let rung = |key: &str, name: &str, (drink, cook, wash, flush), source: &str| Rung {
            key: key.to_owned(),
            name: name.to_owned(),
            uses: Uses::litres(drink, cook, wash, flush),
            source: source.to_owned(),
        };
        Self(vec![
            rung(
                "drinking",
                "Drinking",
                (3.0, 0.0, 0.0, 0.0),
                "Sphere Handbook 2018, water supply standard 2.1: survival 2.5 to 3 L, upper end",
            ),
            rung(
                "lean",
                "Lean",
                (3.0, 2.5, 2.0, 0.0),
                "total: Sphere Handbook 2018, lower basic need; Hunter et al. 2010. Split: common practice, no source",
            ),
            Rung::basic(),
            rung(
                "ample",
                "Ample",
                (3.0, 6.0, 26.0, 15.0),
                "total: Hunter et al. 2010, WHO intermediate access. Split: common practice, no source",
            ),
            rung(
                "house_careful",
                "House, careful",
                (3.0, 6.0, 41.0, 30.0),
                "common practice, no source (65 to 90 L in a plumbed house)",
            ),
            rung(
                "house_ordinary",
                "House, ordinary",
                (3.0, 10.0, 222.0, 75.0),
                "total: US EPA, about 82 US gal. Split: common practice, no source",
            ),
        ])
    }
}

impl Ladder {
    /// The default ladder, made once: its words stand as long as the program runs.
    #[must_use]
    pub fn usual() -> &'static Self {
        static USUAL: LazyLock<Ladder> = LazyLock::new(Ladder::default);
        &USUAL
    }

    /// The rungs, least first.
    #[must_use]
    pub fn rungs(&self) -> &[Rung] {
        &self.0
    }

    /// The rung with this key.
    #[must_use]
    pub fn rung(&self, key: &str) -> Option<&Rung> {
        self.0.iter().find(|rung| rung.key == key)
    }

    /// The ladder with one rung more, in its place by total.
    ///
    /// # Errors
    /// [`LadderError::Twice`] when its key is taken.
    pub fn with(mut self, rung: Rung) -> Result<Self, LadderError> {
        if self.rung(&rung.key).is_some() {
            return Err(LadderError::Twice { key: rung.key });
        }
        let place = self.0.partition_point(|other| other.uses.total() <= rung.uses.total());
        self.0.insert(place, rung);
        Ok(self)
    }
}
