//! Fuel: what kind, how much of it is of use, and how old it may be.

use crate::moment::Moment;
use crate::quantity::Energy;
use crate::quantity::FUEL;
use crate::quantity::Mass;
use crate::quantity::OutOfRange;
use crate::quantity::Time;
use crate::quantity::Unit;
use crate::quantity::Volume;
use crate::quantity::as_days;
use crate::quantity::as_litres;
use crate::quantity::days;
use crate::quantity::litres;
use crate::working::Figure;
use crate::working::Working;

use uom::si::energy::btu_it;
use uom::si::mass::kilogram;
use uom::si::mass::pound;
use uom::si::volume::gallon;

/// What a generator burns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FuelKind {
    /// gasoline
    Petrol,
    /// diesel
    Diesel,
    /// propane in cylinders or a tank, counted in litres of liquid
    Propane,
    /// natural gas from the main: nothing is in store, and it lasts while the main does
    MainsGas,
}

/// How long a fuel keeps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShelfLife {
    /// good until then
    pub good: Time,
    /// not to be relied on after; in between it is ageing
    pub end: Time,
}

impl FuelKind {
    /// Every kind, in the order a form offers them.
    pub const ALL: [Self; 4] = [Self::Petrol, Self::Diesel, Self::Propane, Self::MainsGas];

    /// The word in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Petrol => "petrol",
            Self::Diesel => "diesel",
            Self::Propane => "propane",
            Self::MainsGas => "mains_gas",
        }
    }

    /// The kind with this key.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.key() == key)
    }

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Petrol => "petrol",
            Self::Diesel => "diesel",
            Self::Propane => "propane",
            Self::MainsGas => "gas from the main",
        }
    }

    /// Whether it is kept here at all.
    #[must_use]
    pub const fn stored(self) -> bool {
        !matches!(self, Self::MainsGas)
    }

    /// The mass of so many litres of liquid; of gas from the main there is none.
    ///
    /// Petrol 0.745 kg/L, diesel 0.832 kg/L (from memory: 0.72 to 0.775, 0.82 to 0.845); propane 4.24 lb a US gallon,
    /// 0.508 kg/L (makers' standby manuals).
    #[must_use]
    pub fn mass_of(self, volume: Volume) -> Option<Mass> {
        let (each, of) = match self {
            Self::Petrol => (Mass::new::<kilogram>(0.745), litres(1.0)),
            Self::Diesel => (Mass::new::<kilogram>(0.832), litres(1.0)),
            Self::Propane => (Mass::new::<pound>(4.24), Volume::new::<gallon>(1.0)),
            Self::MainsGas => return None,
        };
        Some(volume * (each / of))
    }

    /// The energy of so many litres of liquid, lower heating value; of gas from the main there is none in store.
    ///
    /// Petrol 116,090, diesel 128,488, propane 84,250 Btu a US gallon: US DOE AFDC, Properties of Fuels. Never a
    /// measure of running time: that is the burn line's ([`crate::power::Generator`]).
    #[must_use]
    pub fn energy_of(self, volume: Volume) -> Option<Energy> {
        let btu = match self {
            Self::Petrol => 116_090.0,
            Self::Diesel => 128_488.0,
            Self::Propane => 84_250.0,
            Self::MainsGas => return None,
        };
        Some(Energy::new::<btu_it>(btu) * (volume / Volume::new::<gallon>(1.0)).value)
    }

    /// How long it keeps in store; what does not age has none.
    ///
    /// Petrol 3 to 6 months, stabilised about 12 (claims to 24 are not counted); diesel 6 to 12 months, stabilised or
    /// not, as no figure for it was found. Guidance pages agree; there is no standard. A month counts as 365/12 days.
    #[must_use]
    pub fn shelf_life(self, stabilised: bool) -> Option<ShelfLife> {
        let (good, end) = match (self, stabilised) {
            (Self::Petrol, false) => (3.0, 6.0),
            (Self::Petrol, true) => (12.0, 12.0),
            (Self::Diesel, _) => (6.0, 12.0),
            (Self::Propane | Self::MainsGas, _) => return None,
        };
        Some(ShelfLife { good: months(good), end: months(end) })
    }
}

fn months(months: f64) -> Time {
    days(months * 365.0 / 12.0)
}

/// Litres of liquid propane from its weight, the empty cylinder taken off: m ÷ (4.24 lb a US gallon).
///
/// - **Arguments** `mass`: 0 to what fills 1,000,000 L.
/// - **Reference** 4.24 lb a US gallon: makers' standby manuals.
///
/// # Errors
/// [`OutOfRange`] when that is not between 0 and 1,000,000 L.
///
/// A "20 lb" cylinder is 4.7 US gallons:
/// ```
/// use keepwell_engine::power::propane_from_mass;
/// use keepwell_engine::quantity::{Mass, as_litres};
/// use uom::si::mass::pound;
/// let litres = as_litres(propane_from_mass(Mass::new::<pound>(20.0))?);
/// assert!((litres - 4.7 * 3.785).abs() < 0.1);
/// # Ok::<(), keepwell_engine::quantity::OutOfRange>(())
/// ```
pub fn propane_from_mass(mass: Mass) -> Result<Volume, OutOfRange> {
    let volume = mass / (Mass::new::<pound>(4.24) / Volume::new::<gallon>(1.0));
    FUEL.check(as_litres(volume)).map(litres)
}

/// A propane cylinder is never filled over this part of its water capacity: room for the liquid to swell. The usual
/// rule of the trade; the stop valve does it.
pub const CYLINDER_FILL: f64 = 0.8;

/// The most liquid propane a cylinder may hold: 80 % of the water it would hold.
///
/// # Errors
/// [`OutOfRange`] when the water capacity is not between 0 and 1,000,000 L.
pub fn cylinder_limit(water_capacity: Volume) -> Result<Volume, OutOfRange> {
    FUEL.check(as_litres(water_capacity)).map(|capacity| litres(CYLINDER_FILL * capacity))
}

/// How old fuel is against its shelf life.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FuelState {
    /// it does not age, or is well within its life
    Good,
    /// in the last part of its life: use it first
    Ageing,
    /// past its life: not to be relied on
    Past,
    /// it ages, and nobody knows since when
    Unknown,
}

/// One store of fuel: cans bought together, a tank, a cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuelStore {
    kind: FuelKind,
    amount: Volume,
    unusable: Volume,
    bought: Option<Moment>,
    stabilised: bool,
}

impl FuelStore {
    /// So much of a kind, with what of it cannot be drawn (below a tank's outlet; 0 for cans).
    ///
    /// # Errors
    /// [`OutOfRange`] when either is not between 0 and 1,000,000 L.
    pub fn new(
        kind: FuelKind,
        amount: Volume,
        unusable: Volume,
        bought: Option<Moment>,
        stabilised: bool,
    ) -> Result<Self, OutOfRange> {
        let amount = litres(FUEL.check(as_litres(amount))?);
        let unusable = litres(FUEL.check(as_litres(unusable))?);
        Ok(Self { kind, amount, unusable, bought, stabilised })
    }

    /// What it is.
    #[must_use]
    pub const fn kind(&self) -> FuelKind {
        self.kind
    }

    /// All of it.
    #[must_use]
    pub const fn amount(&self) -> Volume {
        self.amount
    }

    /// What of it can be burnt: the amount less what cannot be drawn, never below 0.
    #[must_use]
    pub fn usable(&self) -> Volume {
        (self.amount - self.unusable).max(Volume::default())
    }

    /// How old it is at `now`; nothing when nobody knows. Fuel bought later than `now` is new.
    #[must_use]
    pub fn age(&self, now: Moment) -> Option<Time> {
        self.bought.map(|bought| now.since(bought).max(Time::default()))
    }

    /// How it stands against its shelf life at `now`.
    #[must_use]
    pub fn state(&self, now: Moment) -> FuelState {
        match (self.kind.shelf_life(self.stabilised), self.age(now)) {
            (None, _) => FuelState::Good,
            (Some(_), None) => FuelState::Unknown,
            (Some(life), Some(age)) if age > life.end => FuelState::Past,
            (Some(life), Some(age)) if age > life.good => FuelState::Ageing,
            (Some(_), Some(_)) => FuelState::Good,
        }
    }

    /// What is behind its state at `now`.
    #[must_use]
    pub fn working(&self, now: Moment) -> Working {
        let mut working = Working::new("age of fuel against its shelf life", "age = now − bought").input(
            "usable fuel",
            "",
            Figure::exact(as_litres(self.usable()), Unit::Litre),
            "entries",
        );
        if let Some(age) = self.age(now) {
            working = working.step("age", "now − bought", Figure::exact(as_days(age), Unit::Day));
        }
        if let Some(life) = self.kind.shelf_life(self.stabilised) {
            working = working
                .input("good for", "", Figure::exact(as_days(life.good), Unit::Day), "usual for this fuel")
                .input(
                    "not to be relied on after",
                    "",
                    Figure::exact(as_days(life.end), Unit::Day),
                    "usual for this fuel",
                );
        }
        working.source("fuel storage guidance (secondary); no standard")
    }
}

/// Fuel of one kind in all, the old apart.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FuelOnHand {
    /// usable, and within its shelf life or without one
    pub good: Volume,
    /// usable, but past its shelf life or of unknown age
    pub old: Volume,
}

/// Adds up the usable fuel of one kind at `now`, the old apart.
#[must_use]
pub fn on_hand(kind: FuelKind, stores: &[FuelStore], now: Moment) -> FuelOnHand {
    let mut sum = FuelOnHand::default();
    for store in stores.iter().filter(|store| store.kind == kind) {
        match store.state(now) {
            FuelState::Good | FuelState::Ageing => sum.good += store.usable(),
            FuelState::Past | FuelState::Unknown => sum.old += store.usable(),
        }
    }
    sum
}
