//! What an import makes of whole files. Values come from the files themselves, from definitions of units, and from
//! arithmetic by hand, which stands beside them.

mod faults;
mod files;
mod kept;
mod readers;
mod whole;

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::neighbourhood::Units;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::model::site::Site;
use crate::model::vessel::Vessel;
use crate::service::import::Existing;
use crate::service::import::Fault;
use crate::service::import::File;
use crate::service::import::Plan;
use crate::service::import::read;
use crate::service::set_up;

/// What is kept, and what imports make of it.
#[derive(Default)]
struct House {
    set_up: SetUp,
    existing: Existing,
    units: Units,
}

fn now() -> Timestamp {
    "2026-03-10T12:00:00Z".parse().unwrap()
}

impl House {
    fn read(&self, files: &[(&str, &[u8])]) -> Result<Plan, Vec<Fault>> {
        let files: Vec<File<'_>> = files.iter().map(|(name, bytes)| File { name, bytes }).collect();
        let zone = TimeZone::get("Europe/Dublin").unwrap();
        read(&self.set_up, &self.existing, &files, self.units, now(), None, &zone)
    }

    /// The files as text, each called by its place.
    fn texts(&self, texts: &[&str]) -> Result<Plan, Vec<Fault>> {
        let names: Vec<String> = (1..=texts.len()).map(|at| format!("{at}.csv")).collect();
        let files: Vec<(&str, &[u8])> =
            names.iter().zip(texts).map(|(name, text)| (name.as_str(), text.as_bytes())).collect();
        self.read(&files)
    }

    #[track_caller]
    fn plan(&self, texts: &[&str]) -> Plan {
        self.texts(texts).unwrap_or_else(|faults| panic!("{faults:#?}"))
    }

    #[track_caller]
    fn faults(&self, texts: &[&str]) -> Vec<Fault> {
        self.texts(texts).map(|plan| panic!("it was taken: {plan:#?}")).unwrap_or_else(|faults| faults)
    }

    /// Keeps what a plan says, as the service does.
    fn apply(&mut self, plan: &Plan) {
        for (thing, began_from) in &plan.things {
            let kept = self.set_up.find(thing).map(|kept| kept.1);
            assert_eq!(kept, *began_from, "{thing:?}");
            assert_eq!(set_up::check(&self.set_up, thing), [], "{thing:?}");
            self.set_up.put(thing.clone(), began_from.map_or(1, |revision| revision + 1));
        }
        self.existing.entries.extend(plan.entries.iter().map(|entry| entry.hash().unwrap()));
    }
}

fn sites(plan: &Plan) -> BTreeMap<String, Site> {
    let found = plan.things.iter().filter_map(|(thing, _)| match thing {
        Thing::Site(site) => Some((site.name.to_string(), site.clone())),
        _ => None,
    });
    found.collect()
}

fn vessels(plan: &Plan) -> BTreeMap<String, Vessel> {
    let found = plan.things.iter().filter_map(|(thing, _)| match thing {
        Thing::Vessel(vessel) => Some((vessel.name.to_string(), vessel.clone())),
        _ => None,
    });
    found.collect()
}

/// A message with its places filled, roughly.
fn said(fault: &Fault) -> String {
    said_of(&fault.message)
}

fn said_of(message: &Message) -> String {
    message.args.iter().fold(message.key.to_owned(), |said, (name, arg)| {
        let arg = match arg {
            Arg::Word(word) => (*word).to_owned(),
            Arg::Text(text) => text.clone(),
            Arg::Figure(figure, unit) | Arg::Exact(figure, unit) => format!("{figure} {}", unit.sign()),
            Arg::Count(count) => count.to_string(),
            Arg::Message(message) => said_of(message),
            other => format!("{other:?}"),
        };
        let capital = name[..1].to_uppercase() + &name[1..];
        said.replace(&format!("{{{name}}}"), &arg).replace(&format!("{{{capital}}}"), &arg)
    })
}

const SITES: &str = "name,kind\nParish hall,hall\n";
const TANK: &str = "site,name,shape,diameter (m),height (m),gravity outlet (m),food grade,closed,opaque,in place since\n\
    Parish hall,East tank,upright cylinder,1.20,1.70,0.10,yes,yes,yes,2026-01-01\n";
const CANS: &str = "site,name,shape,count,litres each,food grade,closed,opaque\n\
    Parish hall,Cans,set,24,20,yes,yes,no\n";
