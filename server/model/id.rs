//! One id type per noun, so that a vessel's id is never taken for a site's.

use core::fmt;
use core::marker::PhantomData;
use core::str::FromStr;

use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// What an id is of.
pub mod of {
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Site {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Vessel {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Bank {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Source {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Generator {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum FuelStore {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Load {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Battery {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Carry {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Stage {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Pump {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Person {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Entry {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Outage {}
    #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
    pub enum Token {}
}

/// A UUIDv7 that names one thing of a kind. Sorts by the time it was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Id<T>(Uuid, PhantomData<T>);

impl<T> Id<T> {
    /// A new one, of now.
    #[must_use]
    pub fn fresh() -> Self {
        Self(Uuid::now_v7(), PhantomData)
    }

    #[must_use]
    pub const fn from_uuid(uuid: Uuid) -> Self {
        Self(uuid, PhantomData)
    }

    #[must_use]
    pub const fn uuid(&self) -> Uuid {
        self.0
    }
}

impl<T> fmt::Display for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl<T> FromStr for Id<T> {
    type Err = uuid::Error;

    fn from_str(text: &str) -> Result<Self, uuid::Error> {
        Uuid::try_parse(text).map(Self::from_uuid)
    }
}

pub type SiteId = Id<of::Site>;
pub type VesselId = Id<of::Vessel>;
pub type BankId = Id<of::Bank>;
pub type SourceId = Id<of::Source>;
pub type GeneratorId = Id<of::Generator>;
pub type FuelStoreId = Id<of::FuelStore>;
pub type LoadId = Id<of::Load>;
pub type BatteryId = Id<of::Battery>;
pub type CarryId = Id<of::Carry>;
pub type StageId = Id<of::Stage>;
pub type PumpId = Id<of::Pump>;
pub type PersonId = Id<of::Person>;
pub type EntryId = Id<of::Entry>;
pub type OutageId = Id<of::Outage>;
pub type TokenId = Id<of::Token>;
