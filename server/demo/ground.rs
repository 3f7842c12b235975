//! The set-up in the making: ids in their order, and what most things have in common.

use std::collections::BTreeMap;

use jiff::SignedDuration;
use jiff::Timestamp;
use jiff::civil::Date;
use rand::RngExt;
use rand_pcg::Pcg64Mcg;
use uuid::Builder;
use uuid::Uuid;

use crate::demo::DAYS;
use crate::demo::odd;
use crate::model::id::BankId;
use crate::model::id::Id;
use crate::model::id::SiteId;
use crate::model::id::SourceId;
use crate::model::name::Name;
use crate::model::person::Person;
use crate::model::person::Role;
use crate::model::power::Fuel;
use crate::model::power::FuelStore;
use crate::model::power::Generator;
use crate::model::power::Load;
use crate::model::setup::Thing;
use crate::model::site::Category;
use crate::model::site::People;
use crate::model::site::Site;
use crate::model::site::SiteKind;
use crate::model::source::Disinfectant;
use crate::model::source::Source;
use crate::model::source::SourceKind;
use crate::model::vessel::Bank;
use crate::model::vessel::Draw;
use crate::model::vessel::DrawWay;
use crate::model::vessel::Material;
use crate::model::vessel::Policy;
use crate::model::vessel::ShapeKind;
use crate::model::vessel::StandsOn;
use crate::model::vessel::Vessel;
use crate::service::Error;

/// A shape with its measures.
#[derive(Clone, Copy, Debug)]
pub enum Form {
    /// diameter, height
    Upright(f64, f64),
    /// diameter, length
    Lying(f64, f64),
    /// length, width, height
    Box(f64, f64, f64),
    /// how many, litres each
    Set(f64, f64),
    /// litres
    Heater(f64),
    /// depth and litres
    Table(&'static [(f64, f64)]),
}

/// What is kept so far.
#[derive(Debug)]
pub struct Ground {
    /// everything is in place since
    since: Timestamp,
    today: Date,
    rng: Pcg64Mcg,
    things: Vec<Thing>,
}

/// A UUIDv7 of that time, its random bits out of the generator.
pub fn uuid(at: Timestamp, rng: &mut Pcg64Mcg) -> Uuid {
    let millis = u64::try_from(at.as_millisecond()).unwrap_or_default();
    Builder::from_unix_timestamp_millis(millis, &rng.random::<[u8; 10]>()).into_uuid()
}

pub fn name(text: &str) -> Result<Name, Error> {
    Name::new(text).map_err(|message| Error::invalid("name", message))
}

impl Ground {
    pub fn new(now: Timestamp, rng: Pcg64Mcg) -> Self {
        let since = now - SignedDuration::from_hours(24 * (DAYS + 30));
        Self { since, today: jiff::tz::TimeZone::UTC.to_datetime(now).date(), rng, things: Vec::new() }
    }

    pub fn into_things(self) -> (Vec<Thing>, Pcg64Mcg) {
        (self.things, self.rng)
    }

    pub fn id<T>(&mut self) -> Id<T> {
        Id::from_uuid(uuid(self.since, &mut self.rng))
    }

    pub fn keep(&mut self, thing: Thing) {
        self.things.push(thing);
    }

    /// The civil day so many days ago.
    pub fn day(&self, ago: i64) -> Result<Date, Error> {
        self.today.checked_sub(SignedDuration::from_hours(24 * ago)).map_err(odd)
    }

    pub fn source(
        &mut self,
        text: &str,
        kind: SourceKind,
        disinfectant: Disinfectant,
        notes: &str,
    ) -> Result<SourceId, Error> {
        let id = self.id();
        self.keep(Thing::Source(Source { id, name: name(text)?, kind, disinfectant, notes: notes.to_owned() }));
        Ok(id)
    }

    /// A site; `with` fills in what is its own.
    pub fn site(
        &mut self,
        kind: SiteKind,
        text: &str,
        people: &[(Category, u32)],
        with: impl FnOnce(&mut Site),
    ) -> Result<SiteId, Error> {
        let id = self.id();
        let mut site = Site {
            id,
            name: name(text)?,
            kind,
            people: people.iter().map(|&(category, count)| People { category, count }).collect(),
            cannot_collect: 0,
            animals: Vec::new(),
            sources: Vec::new(),
            address: String::new(),
            latitude: None,
            longitude: None,
            elevation_m: None,
            access: String::new(),
            contact: String::new(),
            phone: String::new(),
            notes: String::new(),
            pump_hours_a_day: Site::TAP_ON_DEMAND_HOURS,
            keep_l: 0.0,
            handed_out_loss: 0.0,
            ended: None,
        };
        with(&mut site);
        self.keep(Thing::Site(site));
        Ok(id)
    }

    pub fn bank(&mut self, site: SiteId, text: &str, coupled_at_first: bool) -> Result<BankId, Error> {
        let id = self.id();
        self.keep(Thing::Bank(Bank { id, site, name: name(text)?, coupled_at_first }));
        Ok(id)
    }

    /// A vessel: closed, opaque, of food-grade polyethylene, on a slab, unless `with` says otherwise.
    pub fn vessel(
        &mut self,
        site: SiteId,
        text: &str,
        form: Form,
        source: SourceId,
        with: impl FnOnce(&mut Vessel),
    ) -> Result<(), Error> {
        let (shape, figures) = match form {
            Form::Upright(diameter, height) => {
                (ShapeKind::UprightCylinder, vec![("diameter_m", diameter), ("height_m", height)])
            }
            Form::Lying(diameter, length) => {
                (ShapeKind::HorizontalCylinder, vec![("diameter_m", diameter), ("length_m", length)])
            }
            Form::Box(length, width, height) => {
                (ShapeKind::Box, vec![("length_m", length), ("width_m", width), ("height_m", height)])
            }
            Form::Set(count, each) => (ShapeKind::Set, vec![("count", count), ("litres_each", each)]),
            Form::Heater(litres) => (ShapeKind::HeaterTank, vec![("litres", litres)]),
            Form::Table(_) => (ShapeKind::Table, Vec::new()),
        };
        let strapping = if let Form::Table(rows) = form { rows.to_vec() } else { Vec::new() };
        let mut vessel = Vessel {
            id: self.id(),
            site,
            name: name(text)?,
            shape,
            dimensions: figures.into_iter().map(|(key, value)| (key.to_owned(), value)).collect::<BTreeMap<_, _>>(),
            strapping,
            full_m: None,
            draws: Vec::new(),
            material: Material::Polyethylene,
            food_grade: true,
            closed: true,
            opaque: true,
            stands_on: StandsOn::Slab,
            anchored: false,
            empty_kg: None,
            floor_m: 0.0,
            bank: None,
            source: Some(source),
            policy: Policy::default(),
            outage_only: false,
            daily_use: false,
            may_freeze: false,
            since: self.since,
            ended: None,
            notes: String::new(),
        };
        with(&mut vessel);
        self.keep(Thing::Vessel(vessel));
        Ok(())
    }

    pub fn generator(&mut self, generator: impl FnOnce(Id<crate::model::id::of::Generator>) -> Generator) {
        let id = self.id();
        self.keep(Thing::Generator(generator(id)));
    }

    /// A fuel store; bought so many days ago.
    pub fn fuel(
        &mut self,
        site: SiteId,
        text: &str,
        fuel: Fuel,
        (capacity, amount): (f64, f64),
        bought: Option<i64>,
        stabilised: bool,
    ) -> Result<(), Error> {
        let id = self.id();
        let bought = bought.map(|ago| self.day(ago)).transpose()?;
        let since = self.since;
        self.keep(Thing::FuelStore(FuelStore {
            id,
            site,
            name: name(text)?,
            fuel,
            capacity_l: Some(capacity),
            amount_l: amount,
            bought,
            stabilised,
            since,
            ended: None,
        }));
        Ok(())
    }

    /// A load of so many watts, and at its start, so many hours a day.
    pub fn load(&mut self, site: SiteId, text: &str, watts: (f64, f64), hours: f64, pump: bool) -> Result<(), Error> {
        let id = self.id();
        self.keep(Thing::Load(Load {
            id,
            site,
            name: name(text)?,
            running_w: watts.0,
            surge_w: Some(watts.1),
            hours_a_day: hours,
            pump,
            ended: None,
        }));
        Ok(())
    }

    pub fn person(&mut self, text: &str, role: Role, sites: &[SiteId]) -> Result<(), Error> {
        let id = self.id();
        self.keep(Thing::Person(Person { id, name: name(text)?, role, sites: sites.to_vec(), ended: None }));
        Ok(())
    }
}

/// A tap's, a pump's and a hand's height over the floor.
pub fn draws(heights: &[(DrawWay, f64)]) -> Vec<Draw> {
    heights.iter().map(|&(way, height_m)| Draw { way, height_m }).collect()
}
