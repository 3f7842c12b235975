//! What was set up, by the names people call it.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::demo::odd;
use crate::model::id::BankId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::StageId;
use crate::model::person::Person;
use crate::model::power::FuelStore;
use crate::model::power::Generator;
use crate::model::setup::Thing;
use crate::model::vessel::Vessel;
use crate::service::Error;

#[derive(Debug, Default)]
pub struct Book {
    pub people: Vec<Arc<Person>>,
    sources: BTreeMap<String, SourceId>,
    sites: BTreeMap<String, SiteId>,
    vessels: BTreeMap<(SiteId, String), Vessel>,
    banks: BTreeMap<SiteId, BankId>,
    generators: BTreeMap<SiteId, Generator>,
    fuel: BTreeMap<SiteId, FuelStore>,
    stages: BTreeMap<(SiteId, String), StageId>,
}

impl Book {
    pub fn of(things: &[Thing]) -> Self {
        let mut book = Self::default();
        for thing in things {
            match thing.clone() {
                Thing::Person(person) => book.people.push(Arc::new(person)),
                Thing::Source(source) => drop(book.sources.insert(source.name.into(), source.id)),
                Thing::Site(site) => drop(book.sites.insert(site.name.into(), site.id)),
                Thing::Vessel(vessel) => {
                    book.vessels.insert((vessel.site, vessel.name.as_str().to_owned()), vessel);
                }
                Thing::Bank(bank) => drop(book.banks.insert(bank.site, bank.id)),
                Thing::Generator(generator) => drop(book.generators.insert(generator.site, generator)),
                Thing::FuelStore(store) => drop(book.fuel.insert(store.site, store)),
                Thing::Stage(stage) => drop(book.stages.insert((stage.site, stage.name.into()), stage.id)),
                Thing::Neighbourhood(_)
                | Thing::Load(_)
                | Thing::Battery(_)
                | Thing::Carry(_)
                | Thing::Pump(_)
                | Thing::Token(_)
                | Thing::Outage(_) => {}
            }
        }
        book
    }

    pub fn site(&self, name: &str) -> Result<SiteId, Error> {
        self.sites.get(name).copied().ok_or_else(|| missing(name))
    }

    pub fn sites(&self) -> impl Iterator<Item = (&str, SiteId)> {
        self.sites.iter().map(|(name, id)| (name.as_str(), *id))
    }

    pub fn source(&self, name: &str) -> Result<SourceId, Error> {
        self.sources.get(name).copied().ok_or_else(|| missing(name))
    }

    pub fn vessel(&self, site: &str, name: &str) -> Result<&Vessel, Error> {
        self.vessels.get(&(self.site(site)?, name.to_owned())).ok_or_else(|| missing(name))
    }

    pub fn bank(&self, site: &str) -> Result<BankId, Error> {
        self.banks.get(&self.site(site)?).copied().ok_or_else(|| missing(site))
    }

    pub fn stage(&self, site: &str, name: &str) -> Result<StageId, Error> {
        self.stages.get(&(self.site(site)?, name.to_owned())).copied().ok_or_else(|| missing(name))
    }

    pub fn generator(&self, site: &str) -> Result<&Generator, Error> {
        self.generators.get(&self.site(site)?).ok_or_else(|| missing(site))
    }

    pub fn fuel(&self, site: &str) -> Result<&FuelStore, Error> {
        self.fuel.get(&self.site(site)?).ok_or_else(|| missing(site))
    }
}

fn missing(name: &str) -> Error {
    odd(anyhow::anyhow!("the demonstration tells of {name:?}, which it did not set up"))
}
