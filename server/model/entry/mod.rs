//! The ledger's entries: what happened, when, where, who says so. Never changed; a wrong one is voided by another.
//!
//! One file per kind: its struct, its `FIELDS` (what forms, files, JSON and lists are made from) and its own check.

pub mod coupling;
pub mod discard;
pub mod disinfection;
pub mod dose;
pub mod draw;
pub mod fields;
pub mod fill;
pub mod fuel;
pub mod generator_run;
pub mod given_out;
pub mod inlet;
pub mod inspection;
mod kind;
pub mod mains;
pub mod note;
pub mod notice;
pub mod reading;
pub mod service;
pub mod test;
pub mod transfer;
pub mod void;
pub mod wrong;

use jiff::Timestamp;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use sha2::Digest;
use sha2::Sha256;

use crate::model::choice::Choice;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::Values;
use crate::model::id::EntryId;
use crate::model::id::PersonId;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::id::VesselId;
use crate::model::message::Arg;
use crate::model::message::Message;

pub use kind::About;
pub use kind::Kind;

/// What happened: the kind with its own fields.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    Reading(reading::Reading),
    Fill(fill::Fill),
    Draw(draw::Draw),
    Transfer(transfer::Transfer),
    Discard(discard::Discard),
    GivenOut(given_out::GivenOut),
    Dose(dose::Dose),
    Disinfection(disinfection::Disinfection),
    Test(test::Test),
    Coupling(coupling::Coupling),
    Service(service::Service),
    Inspection(inspection::Inspection),
    Inlet(inlet::Inlet),
    Fuel(fuel::FuelMove),
    GeneratorRun(generator_run::GeneratorRun),
    Mains(mains::Mains),
    Notice(notice::Notice),
    Lifted(notice::Notice),
    Wrong(wrong::Wrong),
    Note(note::Note),
    Void(void::Void),
}

impl Act {
    #[must_use]
    pub const fn kind(&self) -> Kind {
        match self {
            Self::Reading(_) => Kind::Reading,
            Self::Fill(_) => Kind::Fill,
            Self::Draw(_) => Kind::Draw,
            Self::Transfer(_) => Kind::Transfer,
            Self::Discard(_) => Kind::Discard,
            Self::GivenOut(_) => Kind::GivenOut,
            Self::Dose(_) => Kind::Dose,
            Self::Disinfection(_) => Kind::Disinfection,
            Self::Test(_) => Kind::Test,
            Self::Coupling(_) => Kind::Coupling,
            Self::Service(_) => Kind::Service,
            Self::Inspection(_) => Kind::Inspection,
            Self::Inlet(_) => Kind::Inlet,
            Self::Fuel(_) => Kind::Fuel,
            Self::GeneratorRun(_) => Kind::GeneratorRun,
            Self::Mains(_) => Kind::Mains,
            Self::Notice(_) => Kind::Notice,
            Self::Lifted(_) => Kind::Lifted,
            Self::Wrong(_) => Kind::Wrong,
            Self::Note(_) => Kind::Note,
            Self::Void(_) => Kind::Void,
        }
    }

    /// From what came in, checked against the kind's description and by the kind itself.
    ///
    /// # Errors
    /// Every field that does not hold.
    pub fn parse(kind: Kind, values: Values) -> Result<Self, Vec<Problem>> {
        fields::check(kind.fields(), &values)?;
        let values: Values = values.into_iter().filter(|(_, value)| !value.is_null()).collect();
        let act = Self::read(kind, Value::Object(values)).map_err(|error| vec![unreadable(&error)])?;
        act.check().map_err(|problem| vec![problem])?;
        Ok(act)
    }

    /// From the ledger, where it was checked before it was stored.
    ///
    /// # Errors
    /// The JSON is not of that kind.
    pub fn stored(kind: Kind, json: &str) -> Result<Self, serde_json::Error> {
        match kind {
            Kind::Reading => serde_json::from_str(json).map(Self::Reading),
            Kind::Fill => serde_json::from_str(json).map(Self::Fill),
            Kind::Draw => serde_json::from_str(json).map(Self::Draw),
            Kind::Transfer => serde_json::from_str(json).map(Self::Transfer),
            Kind::Discard => serde_json::from_str(json).map(Self::Discard),
            Kind::GivenOut => serde_json::from_str(json).map(Self::GivenOut),
            Kind::Dose => serde_json::from_str(json).map(Self::Dose),
            Kind::Disinfection => serde_json::from_str(json).map(Self::Disinfection),
            Kind::Test => serde_json::from_str(json).map(Self::Test),
            Kind::Coupling => serde_json::from_str(json).map(Self::Coupling),
            Kind::Service => serde_json::from_str(json).map(Self::Service),
            Kind::Inspection => serde_json::from_str(json).map(Self::Inspection),
            Kind::Inlet => serde_json::from_str(json).map(Self::Inlet),
            Kind::Fuel => serde_json::from_str(json).map(Self::Fuel),
            Kind::GeneratorRun => serde_json::from_str(json).map(Self::GeneratorRun),
            Kind::Mains => serde_json::from_str(json).map(Self::Mains),
            Kind::Notice => serde_json::from_str(json).map(Self::Notice),
            Kind::Lifted => serde_json::from_str(json).map(Self::Lifted),
            Kind::Wrong => serde_json::from_str(json).map(Self::Wrong),
            Kind::Note => serde_json::from_str(json).map(Self::Note),
            Kind::Void => serde_json::from_str(json).map(Self::Void),
        }
    }

    fn read(kind: Kind, value: Value) -> Result<Self, serde_json::Error> {
        fn of<T: DeserializeOwned>(value: Value) -> Result<T, serde_json::Error> {
            serde_json::from_value(value)
        }
        match kind {
            Kind::Reading => of(value).map(Self::Reading),
            Kind::Fill => of(value).map(Self::Fill),
            Kind::Draw => of(value).map(Self::Draw),
            Kind::Transfer => of(value).map(Self::Transfer),
            Kind::Discard => of(value).map(Self::Discard),
            Kind::GivenOut => of(value).map(Self::GivenOut),
            Kind::Dose => of(value).map(Self::Dose),
            Kind::Disinfection => of(value).map(Self::Disinfection),
            Kind::Test => of(value).map(Self::Test),
            Kind::Coupling => of(value).map(Self::Coupling),
            Kind::Service => of(value).map(Self::Service),
            Kind::Inspection => of(value).map(Self::Inspection),
            Kind::Inlet => of(value).map(Self::Inlet),
            Kind::Fuel => of(value).map(Self::Fuel),
            Kind::GeneratorRun => of(value).map(Self::GeneratorRun),
            Kind::Mains => of(value).map(Self::Mains),
            Kind::Notice => of(value).map(Self::Notice),
            Kind::Lifted => of(value).map(Self::Lifted),
            Kind::Wrong => of(value).map(Self::Wrong),
            Kind::Note => of(value).map(Self::Note),
            Kind::Void => of(value).map(Self::Void),
        }
    }

    /// The fields as JSON, as they are kept.
    ///
    /// # Errors
    /// Never for an act that was parsed: its figures are finite.
    pub fn to_json(&self) -> Result<Value, serde_json::Error> {
        match self {
            Self::Reading(act) => serde_json::to_value(act),
            Self::Fill(act) => serde_json::to_value(act),
            Self::Draw(act) => serde_json::to_value(act),
            Self::Transfer(act) => serde_json::to_value(act),
            Self::Discard(act) => serde_json::to_value(act),
            Self::GivenOut(act) => serde_json::to_value(act),
            Self::Dose(act) => serde_json::to_value(act),
            Self::Disinfection(act) => serde_json::to_value(act),
            Self::Test(act) => serde_json::to_value(act),
            Self::Coupling(act) => serde_json::to_value(act),
            Self::Service(act) => serde_json::to_value(act),
            Self::Inspection(act) => serde_json::to_value(act),
            Self::Inlet(act) => serde_json::to_value(act),
            Self::Fuel(act) => serde_json::to_value(act),
            Self::GeneratorRun(act) => serde_json::to_value(act),
            Self::Mains(act) => serde_json::to_value(act),
            Self::Notice(act) => serde_json::to_value(act),
            Self::Lifted(act) => serde_json::to_value(act),
            Self::Wrong(act) => serde_json::to_value(act),
            Self::Note(act) => serde_json::to_value(act),
            Self::Void(act) => serde_json::to_value(act),
        }
    }

    fn check(&self) -> Result<(), Problem> {
        match self {
            Self::Reading(act) => act.check(),
            Self::Fill(act) => act.check(),
            Self::Draw(act) => act.check(),
            Self::Discard(act) => act.check(),
            Self::GivenOut(act) => act.check(),
            Self::Test(act) => act.check(),
            Self::Void(act) => act.check(),
            Self::Transfer(_)
            | Self::Dose(_)
            | Self::Disinfection(_)
            | Self::Coupling(_)
            | Self::Service(_)
            | Self::Inspection(_)
            | Self::Inlet(_)
            | Self::Fuel(_)
            | Self::GeneratorRun(_)
            | Self::Mains(_)
            | Self::Notice(_)
            | Self::Lifted(_)
            | Self::Wrong(_)
            | Self::Note(_) => Ok(()),
        }
    }

    /// The lot of a set it is about, where it names one.
    #[must_use]
    pub fn lot(&self) -> Option<&str> {
        match self {
            Self::Reading(act) => act.lot.as_deref(),
            Self::Fill(act) => act.lot.as_deref(),
            Self::Draw(act) => act.lot.as_deref(),
            Self::Discard(act) => act.lot.as_deref(),
            Self::Test(act) => act.lot.as_deref(),
            _ => None,
        }
    }

    /// The supply it is about, where it is about one.
    #[must_use]
    pub const fn source(&self) -> Option<SourceId> {
        match self {
            Self::Mains(act) => Some(act.source),
            Self::Notice(act) | Self::Lifted(act) => Some(act.source),
            _ => None,
        }
    }
}

fn unreadable(error: &serde_json::Error) -> Problem {
    Problem::new("", Message::new("The entry cannot be read: {error}").with("error", Arg::text(error.to_string())))
}

/// An entry as it is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    pub id: EntryId,
    /// none for what is about a supply alone
    pub site: Option<SiteId>,
    pub vessel: Option<VesselId>,
    /// when it happened
    pub at: Timestamp,
    /// when it reached us
    pub arrived: Timestamp,
    /// who says so; none for what was imported from the command line
    pub by: Option<PersonId>,
    pub act: Act,
}

impl Entry {
    /// SHA-256 of what was sent: the kind, site, vessel, time and fields, not who or when it arrived. The same id with
    /// the same hash is the same entry sent again.
    ///
    /// # Errors
    /// As [`Act::to_json`].
    pub fn hash(&self) -> Result<[u8; 32], serde_json::Error> {
        #[derive(Serialize)]
        struct Sent<'a> {
            kind: &'a str,
            site: Option<SiteId>,
            vessel: Option<VesselId>,
            at: i64,
            fields: Value,
        }
        let sent = Sent {
            kind: self.act.kind().key(),
            site: self.site,
            vessel: self.vessel,
            at: self.at.as_microsecond(),
            fields: self.act.to_json()?,
        };
        Ok(Sha256::digest(serde_json::to_vec(&sent)?).into())
    }
}
