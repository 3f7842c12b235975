//! The nouns that the set-up has forms for: their addresses, their words, and how one is found.

use jiff::Timestamp;
use uuid::Uuid;

use crate::model::id::Id;
use crate::model::setup::Kept;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Noun {
    Neighbourhood,
    Source,
    Site,
    Bank,
    Vessel,
    Generator,
    FuelStore,
    Load,
    Battery,
    Carry,
    Stage,
    Pump,
}

impl Noun {
    pub(super) const ALL: [Self; 12] = [
        Self::Neighbourhood,
        Self::Source,
        Self::Site,
        Self::Bank,
        Self::Vessel,
        Self::Generator,
        Self::FuelStore,
        Self::Load,
        Self::Battery,
        Self::Carry,
        Self::Stage,
        Self::Pump,
    ];

    /// The noun of an address.
    pub(super) fn of_path(path: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|noun| noun.path() == path && *noun != Self::Neighbourhood)
    }

    pub(super) const fn path(self) -> &'static str {
        match self {
            Self::Neighbourhood => "neighbourhood",
            Self::Source => "sources",
            Self::Site => "sites",
            Self::Bank => "banks",
            Self::Vessel => "vessels",
            Self::Generator => "generators",
            Self::FuelStore => "fuel-stores",
            Self::Load => "loads",
            Self::Battery => "batteries",
            Self::Carry => "carries",
            Self::Stage => "stages",
            Self::Pump => "pumps",
        }
    }

    /// English, as a key.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Neighbourhood => "neighbourhood",
            Self::Source => "supply",
            Self::Site => "site",
            Self::Bank => "bank",
            Self::Vessel => "vessel",
            Self::Generator => "generator",
            Self::FuelStore => "fuel store",
            Self::Load => "load",
            Self::Battery => "battery",
            Self::Carry => "carry",
            Self::Stage => "stage of treatment",
            Self::Pump => "pump",
        }
    }

    /// The heading of an empty form; English, as a key.
    pub(super) const fn new_one(self) -> &'static str {
        match self {
            Self::Neighbourhood => "The neighbourhood",
            Self::Source => "A new supply",
            Self::Site => "A new site",
            Self::Bank => "A new bank",
            Self::Vessel => "A new vessel",
            Self::Generator => "A new generator",
            Self::FuelStore => "A new fuel store",
            Self::Load => "A new load",
            Self::Battery => "A new battery",
            Self::Carry => "A new carry",
            Self::Stage => "A new stage of treatment",
            Self::Pump => "A new pump",
        }
    }

    /// Whether it belongs to a site, and is added there.
    pub(super) const fn is_of_a_site(self) -> bool {
        matches!(
            self,
            Self::Bank
                | Self::Vessel
                | Self::Generator
                | Self::FuelStore
                | Self::Load
                | Self::Battery
                | Self::Stage
                | Self::Pump
        )
    }

    /// Whether it can be out of use.
    pub(super) const fn can_end(self) -> bool {
        !matches!(self, Self::Neighbourhood | Self::Source | Self::Bank)
    }

    pub(super) fn find(self, set_up: &SetUp, id: Uuid) -> Option<(Thing, i64)> {
        fn with<T: Clone>(kept: Option<&Kept<T>>, thing: fn(T) -> Thing) -> Option<(Thing, i64)> {
            kept.map(|kept| (thing(T::clone(&kept.thing)), kept.revision))
        }
        match self {
            Self::Neighbourhood => with(set_up.neighbourhood.as_ref().filter(|_| id.is_nil()), Thing::Neighbourhood),
            Self::Source => with(set_up.sources.get(&Id::from_uuid(id)), Thing::Source),
            Self::Site => with(set_up.sites.get(&Id::from_uuid(id)), Thing::Site),
            Self::Bank => with(set_up.banks.get(&Id::from_uuid(id)), Thing::Bank),
            Self::Vessel => with(set_up.vessels.get(&Id::from_uuid(id)), Thing::Vessel),
            Self::Generator => with(set_up.generators.get(&Id::from_uuid(id)), Thing::Generator),
            Self::FuelStore => with(set_up.fuel_stores.get(&Id::from_uuid(id)), Thing::FuelStore),
            Self::Load => with(set_up.loads.get(&Id::from_uuid(id)), Thing::Load),
            Self::Battery => with(set_up.batteries.get(&Id::from_uuid(id)), Thing::Battery),
            Self::Carry => with(set_up.carries.get(&Id::from_uuid(id)), Thing::Carry),
            Self::Stage => with(set_up.stages.get(&Id::from_uuid(id)), Thing::Stage),
            Self::Pump => with(set_up.pumps.get(&Id::from_uuid(id)), Thing::Pump),
        }
    }

    /// No longer in use since.
    pub(super) const fn ended(thing: &Thing) -> Option<Timestamp> {
        match thing {
            Thing::Site(thing) => thing.ended,
            Thing::Vessel(thing) => thing.ended,
            Thing::Generator(thing) => thing.ended,
            Thing::FuelStore(thing) => thing.ended,
            Thing::Load(thing) => thing.ended,
            Thing::Battery(thing) => thing.ended,
            Thing::Carry(thing) => thing.ended,
            Thing::Stage(thing) => thing.ended,
            Thing::Pump(thing) => thing.ended,
            Thing::Person(thing) => thing.ended,
            Thing::Token(thing) => thing.ended,
            Thing::Outage(thing) => thing.ended,
            Thing::Neighbourhood(_) | Thing::Source(_) | Thing::Bank(_) => None,
        }
    }

    /// The same thing, out of use since, or in use again.
    pub(super) fn end(mut thing: Thing, since: Option<Timestamp>) -> Thing {
        match &mut thing {
            Thing::Site(thing) => thing.ended = since,
            Thing::Vessel(thing) => thing.ended = since,
            Thing::Generator(thing) => thing.ended = since,
            Thing::FuelStore(thing) => thing.ended = since,
            Thing::Load(thing) => thing.ended = since,
            Thing::Battery(thing) => thing.ended = since,
            Thing::Carry(thing) => thing.ended = since,
            Thing::Stage(thing) => thing.ended = since,
            Thing::Pump(thing) => thing.ended = since,
            Thing::Person(_)
            | Thing::Token(_)
            | Thing::Outage(_)
            | Thing::Neighbourhood(_)
            | Thing::Source(_)
            | Thing::Bank(_) => {}
        }
        thing
    }
}
