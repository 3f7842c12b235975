//! Everything kept about the neighbourhood, as one value, and the one way to change it.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::Timestamp;
use serde::Serialize;
use serde::de::Error as _;
use serde_json::Value;
use uuid::Uuid;

use crate::model::battery::Battery;
use crate::model::carry::Carry;
use crate::model::id::BankId;
use crate::model::id::BatteryId;
use crate::model::id::CarryId;
use crate::model::id::FuelStoreId;
use crate::model::id::GeneratorId;
use crate::model::id::LoadId;
use crate::model::id::OutageId;
use crate::model::id::PersonId;
use crate::model::id::PumpId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::StageId;
use crate::model::id::TokenId;
use crate::model::id::VesselId;
use crate::model::name::Name;
use crate::model::neighbourhood::Neighbourhood;
use crate::model::outage::Outage;
use crate::model::person::Person;
use crate::model::power::FuelStore;
use crate::model::power::Generator;
use crate::model::power::Load;
use crate::model::site::People;
use crate::model::site::Site;
use crate::model::source::Source;
use crate::model::token::Token;
use crate::model::vessel::Bank;
use crate::model::vessel::Vessel;
use crate::model::works::Pump;
use crate::model::works::Stage;

/// A thing with the revision it stands at. A change names the revision it began from, so that two people changing
/// the same thing do not undo each other unseen.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept<T> {
    pub thing: Arc<T>,
    pub revision: i64,
}

/// One thing of the set-up, of whatever noun.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Thing {
    Neighbourhood(Neighbourhood),
    Source(Source),
    Site(Site),
    Bank(Bank),
    Vessel(Vessel),
    Generator(Generator),
    FuelStore(FuelStore),
    Load(Load),
    Battery(Battery),
    Carry(Carry),
    Stage(Stage),
    Pump(Pump),
    Person(Person),
    Outage(Outage),
    Token(Token),
}

impl Thing {
    /// Its noun, as the record of changes names it.
    #[must_use]
    pub const fn noun(&self) -> &'static str {
        match self {
            Self::Neighbourhood(_) => "neighbourhood",
            Self::Source(_) => "source",
            Self::Site(_) => "site",
            Self::Bank(_) => "bank",
            Self::Vessel(_) => "vessel",
            Self::Generator(_) => "generator",
            Self::FuelStore(_) => "fuel_store",
            Self::Load(_) => "load",
            Self::Battery(_) => "battery",
            Self::Carry(_) => "carry",
            Self::Stage(_) => "stage",
            Self::Pump(_) => "pump",
            Self::Person(_) => "person",
            Self::Outage(_) => "outage",
            Self::Token(_) => "token",
        }
    }

    /// A thing as the record of changes has it.
    ///
    /// # Errors
    /// There is no such noun, or the JSON is not of it: another version wrote it.
    pub fn recorded(noun: &str, json: &str) -> Result<Self, serde_json::Error> {
        Self::read(noun, serde_json::from_str(json)?)
    }

    /// A thing of that noun from its fields.
    ///
    /// # Errors
    /// There is no such noun, or the fields are not its own.
    pub fn read(noun: &str, fields: Value) -> Result<Self, serde_json::Error> {
        match noun {
            "neighbourhood" => serde_json::from_value(fields).map(Self::Neighbourhood),
            "source" => serde_json::from_value(fields).map(Self::Source),
            "site" => serde_json::from_value(fields).map(Self::Site),
            "bank" => serde_json::from_value(fields).map(Self::Bank),
            "vessel" => serde_json::from_value(fields).map(Self::Vessel),
            "generator" => serde_json::from_value(fields).map(Self::Generator),
            "fuel_store" => serde_json::from_value(fields).map(Self::FuelStore),
            "load" => serde_json::from_value(fields).map(Self::Load),
            "battery" => serde_json::from_value(fields).map(Self::Battery),
            "carry" => serde_json::from_value(fields).map(Self::Carry),
            "stage" => serde_json::from_value(fields).map(Self::Stage),
            "pump" => serde_json::from_value(fields).map(Self::Pump),
            "person" => serde_json::from_value(fields).map(Self::Person),
            "outage" => serde_json::from_value(fields).map(Self::Outage),
            "token" => serde_json::from_value(fields).map(Self::Token),
            _ => Err(serde_json::Error::custom("there is no such noun")),
        }
    }

    /// Its id; the neighbourhood, of which there is one, has the nil id.
    #[must_use]
    pub const fn id(&self) -> Uuid {
        match self {
            Self::Neighbourhood(_) => Uuid::nil(),
            Self::Source(thing) => thing.id.uuid(),
            Self::Site(thing) => thing.id.uuid(),
            Self::Bank(thing) => thing.id.uuid(),
            Self::Vessel(thing) => thing.id.uuid(),
            Self::Generator(thing) => thing.id.uuid(),
            Self::FuelStore(thing) => thing.id.uuid(),
            Self::Load(thing) => thing.id.uuid(),
            Self::Battery(thing) => thing.id.uuid(),
            Self::Carry(thing) => thing.id.uuid(),
            Self::Stage(thing) => thing.id.uuid(),
            Self::Pump(thing) => thing.id.uuid(),
            Self::Person(thing) => thing.id.uuid(),
            Self::Outage(thing) => thing.id.uuid(),
            Self::Token(thing) => thing.id.uuid(),
        }
    }

    /// What it is called; an outage has no name.
    #[must_use]
    pub const fn name(&self) -> Option<&Name> {
        Some(match self {
            Self::Neighbourhood(thing) => &thing.name,
            Self::Source(thing) => &thing.name,
            Self::Site(thing) => &thing.name,
            Self::Bank(thing) => &thing.name,
            Self::Vessel(thing) => &thing.name,
            Self::Generator(thing) => &thing.name,
            Self::FuelStore(thing) => &thing.name,
            Self::Load(thing) => &thing.name,
            Self::Battery(thing) => &thing.name,
            Self::Carry(thing) => &thing.name,
            Self::Stage(thing) => &thing.name,
            Self::Pump(thing) => &thing.name,
            Self::Person(thing) => &thing.name,
            Self::Token(thing) => &thing.name,
            Self::Outage(_) => return None,
        })
    }
}

/// The set-up as it stands. It counts as it stands now: mending a wrong dimension mends past figures.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SetUp {
    pub neighbourhood: Option<Kept<Neighbourhood>>,
    pub sources: BTreeMap<SourceId, Kept<Source>>,
    pub sites: BTreeMap<SiteId, Kept<Site>>,
    pub banks: BTreeMap<BankId, Kept<Bank>>,
    pub vessels: BTreeMap<VesselId, Kept<Vessel>>,
    pub generators: BTreeMap<GeneratorId, Kept<Generator>>,
    pub fuel_stores: BTreeMap<FuelStoreId, Kept<FuelStore>>,
    pub loads: BTreeMap<LoadId, Kept<Load>>,
    pub batteries: BTreeMap<BatteryId, Kept<Battery>>,
    pub carries: BTreeMap<CarryId, Kept<Carry>>,
    pub stages: BTreeMap<StageId, Kept<Stage>>,
    pub pumps: BTreeMap<PumpId, Kept<Pump>>,
    pub people: BTreeMap<PersonId, Kept<Person>>,
    pub outages: BTreeMap<OutageId, Kept<Outage>>,
    pub tokens: BTreeMap<TokenId, Kept<Token>>,
    /// who was counted at each site from when on, in order of time: what was used then was used by them
    pub counted: BTreeMap<SiteId, Vec<Counted>>,
}

/// The people of a site from a moment on, by the record of changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Counted {
    pub since: Timestamp,
    pub people: Vec<People>,
}

impl SetUp {
    /// The outage that is on, real or a drill; there is one at most.
    #[must_use]
    pub fn outage(&self) -> Option<&Kept<Outage>> {
        self.outages.values().find(|kept| kept.thing.ended.is_none())
    }

    /// Notes who is counted at a site from that moment on.
    pub fn count(&mut self, site: SiteId, since: Timestamp, people: Vec<People>) {
        let counted = self.counted.entry(site).or_default();
        if counted.last().is_none_or(|last| last.people != people) {
            counted.push(Counted { since, people });
        }
    }

    /// What is kept of a change besides the thing as it is now.
    pub fn note(&mut self, thing: &Thing, at: Timestamp) {
        if let Thing::Site(site) = thing {
            self.count(site.id, at, site.people.clone());
        }
    }

    /// Puts a thing in its place, at that revision.
    pub fn put(&mut self, thing: Thing, revision: i64) {
        match thing {
            Thing::Neighbourhood(thing) => self.neighbourhood = Some(kept(thing, revision)),
            Thing::Source(thing) => drop(self.sources.insert(thing.id, kept(thing, revision))),
            Thing::Site(thing) => drop(self.sites.insert(thing.id, kept(thing, revision))),
            Thing::Bank(thing) => drop(self.banks.insert(thing.id, kept(thing, revision))),
            Thing::Vessel(thing) => drop(self.vessels.insert(thing.id, kept(thing, revision))),
            Thing::Generator(thing) => drop(self.generators.insert(thing.id, kept(thing, revision))),
            Thing::FuelStore(thing) => drop(self.fuel_stores.insert(thing.id, kept(thing, revision))),
            Thing::Load(thing) => drop(self.loads.insert(thing.id, kept(thing, revision))),
            Thing::Battery(thing) => drop(self.batteries.insert(thing.id, kept(thing, revision))),
            Thing::Carry(thing) => drop(self.carries.insert(thing.id, kept(thing, revision))),
            Thing::Stage(thing) => drop(self.stages.insert(thing.id, kept(thing, revision))),
            Thing::Pump(thing) => drop(self.pumps.insert(thing.id, kept(thing, revision))),
            Thing::Person(thing) => drop(self.people.insert(thing.id, kept(thing, revision))),
            Thing::Outage(thing) => drop(self.outages.insert(thing.id, kept(thing, revision))),
            Thing::Token(thing) => drop(self.tokens.insert(thing.id, kept(thing, revision))),
        }
    }

    /// Takes a thing out, as if it had never been there.
    pub fn remove(&mut self, thing: &Thing) {
        match thing {
            Thing::Neighbourhood(_) => self.neighbourhood = None,
            Thing::Source(thing) => drop(self.sources.remove(&thing.id)),
            Thing::Site(thing) => {
                self.sites.remove(&thing.id);
                self.counted.remove(&thing.id);
            }
            Thing::Bank(thing) => drop(self.banks.remove(&thing.id)),
            Thing::Vessel(thing) => drop(self.vessels.remove(&thing.id)),
            Thing::Generator(thing) => drop(self.generators.remove(&thing.id)),
            Thing::FuelStore(thing) => drop(self.fuel_stores.remove(&thing.id)),
            Thing::Load(thing) => drop(self.loads.remove(&thing.id)),
            Thing::Battery(thing) => drop(self.batteries.remove(&thing.id)),
            Thing::Carry(thing) => drop(self.carries.remove(&thing.id)),
            Thing::Stage(thing) => drop(self.stages.remove(&thing.id)),
            Thing::Pump(thing) => drop(self.pumps.remove(&thing.id)),
            Thing::Person(thing) => drop(self.people.remove(&thing.id)),
            Thing::Outage(thing) => drop(self.outages.remove(&thing.id)),
            Thing::Token(thing) => drop(self.tokens.remove(&thing.id)),
        }
    }

    /// Everything with its revision, each after what it may name.
    pub fn things(&self) -> impl Iterator<Item = (Thing, i64)> {
        fn of<T: Clone>(kept: &Kept<T>, thing: fn(T) -> Thing) -> (Thing, i64) {
            (thing(T::clone(&kept.thing)), kept.revision)
        }
        let own = self.neighbourhood.iter().map(|kept| of(kept, Thing::Neighbourhood));
        let own = own.chain(self.sources.values().map(|kept| of(kept, Thing::Source)));
        let sites = self.sites.values().map(|kept| of(kept, Thing::Site));
        let water = self.banks.values().map(|kept| of(kept, Thing::Bank));
        let water = water.chain(self.vessels.values().map(|kept| of(kept, Thing::Vessel)));
        let power = self.generators.values().map(|kept| of(kept, Thing::Generator));
        let power = power.chain(self.fuel_stores.values().map(|kept| of(kept, Thing::FuelStore)));
        let power = power.chain(self.loads.values().map(|kept| of(kept, Thing::Load)));
        let power = power.chain(self.batteries.values().map(|kept| of(kept, Thing::Battery)));
        let carries = self.carries.values().map(|kept| of(kept, Thing::Carry));
        let works = self.stages.values().map(|kept| of(kept, Thing::Stage));
        let works = works.chain(self.pumps.values().map(|kept| of(kept, Thing::Pump)));
        let people = self.people.values().map(|kept| of(kept, Thing::Person));
        let outages = self.outages.values().map(|kept| of(kept, Thing::Outage));
        let tokens = self.tokens.values().map(|kept| of(kept, Thing::Token));
        own.chain(sites)
            .chain(water)
            .chain(power)
            .chain(works)
            .chain(carries)
            .chain(people)
            .chain(outages)
            .chain(tokens)
    }

    /// The thing of that noun and id as it stands, with its revision.
    #[must_use]
    pub fn find(&self, thing: &Thing) -> Option<(Thing, i64)> {
        match thing {
            Thing::Neighbourhood(_) => {
                self.neighbourhood.as_ref().map(|k| (Thing::Neighbourhood((*k.thing).clone()), k.revision))
            }
            Thing::Source(new) => self.sources.get(&new.id).map(|k| (Thing::Source((*k.thing).clone()), k.revision)),
            Thing::Site(new) => self.sites.get(&new.id).map(|k| (Thing::Site((*k.thing).clone()), k.revision)),
            Thing::Bank(new) => self.banks.get(&new.id).map(|k| (Thing::Bank((*k.thing).clone()), k.revision)),
            Thing::Vessel(new) => self.vessels.get(&new.id).map(|k| (Thing::Vessel((*k.thing).clone()), k.revision)),
            Thing::Generator(new) => {
                self.generators.get(&new.id).map(|k| (Thing::Generator((*k.thing).clone()), k.revision))
            }
            Thing::FuelStore(new) => {
                self.fuel_stores.get(&new.id).map(|k| (Thing::FuelStore((*k.thing).clone()), k.revision))
            }
            Thing::Load(new) => self.loads.get(&new.id).map(|k| (Thing::Load((*k.thing).clone()), k.revision)),
            Thing::Battery(new) => {
                self.batteries.get(&new.id).map(|k| (Thing::Battery((*k.thing).clone()), k.revision))
            }
            Thing::Carry(new) => self.carries.get(&new.id).map(|k| (Thing::Carry((*k.thing).clone()), k.revision)),
            Thing::Stage(new) => self.stages.get(&new.id).map(|k| (Thing::Stage((*k.thing).clone()), k.revision)),
            Thing::Pump(new) => self.pumps.get(&new.id).map(|k| (Thing::Pump((*k.thing).clone()), k.revision)),
            Thing::Person(new) => self.people.get(&new.id).map(|k| (Thing::Person((*k.thing).clone()), k.revision)),
            Thing::Outage(new) => self.outages.get(&new.id).map(|k| (Thing::Outage((*k.thing).clone()), k.revision)),
            Thing::Token(new) => self.tokens.get(&new.id).map(|k| (Thing::Token((*k.thing).clone()), k.revision)),
        }
    }
}

fn kept<T>(thing: T, revision: i64) -> Kept<T> {
    Kept { thing: Arc::new(thing), revision }
}
