//! Lines of the ledger.

use std::sync::Arc;

use jiff::SignedDuration;
use jiff::Timestamp;
use serde_json::Value;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::entry::About;
use crate::model::entry::Act;
use crate::model::entry::Entry;
use crate::model::entry::Kind;
use crate::model::entry::fields::Noun;
use crate::model::entry::fields::Values;
use crate::model::entry::fields::What;
use crate::model::id::EntryId;
use crate::model::id::Id;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::import::Fault;
use crate::service::import::File;
use crate::service::import::Outcome;
use crate::service::records::NAME;
use crate::service::records::OF_ENTRY;
use crate::service::records::SHEETS;
use crate::service::records::cells;
use crate::service::records::entry_fields;
use crate::service::records::read::Draft;
use crate::service::records::read::Read;
use crate::service::records::read::Row;
use crate::service::records::read::keep;
use crate::service::records::read::nothing;

/// Another's clock may be fast by so much.
const AHEAD: SignedDuration = SignedDuration::from_mins(10);

impl Draft {
    pub(super) fn ledger(&mut self, file: &File<'_>, there: &impl Fn(EntryId) -> Option<Arc<Entry>>, now: Timestamp) {
        let own = entry_fields().into_iter().map(|field| field.key.to_owned());
        let known: Vec<String> = OF_ENTRY.iter().map(|heading| (*heading).to_owned()).chain(own).collect();
        self.rows(file, &known, |draft, row| match draft.entry(&row, now) {
            Ok(entry) => draft.take(&row, entry, there),
            Err(faults) => draft.faults.extend(faults),
        });
    }

    /// Takes an entry that holds, unless it is there already.
    fn take(&mut self, row: &Row<'_>, entry: Entry, there: &impl Fn(EntryId) -> Option<Arc<Entry>>) {
        let count = &mut self.counts.records[SHEETS.len()];
        let Ok(hash) = entry.hash() else {
            return self
                .faults
                .push(row.fault(OF_ENTRY[0], Message::new("It cannot be kept: its fields are no JSON.")));
        };
        let before =
            self.brought.get(&entry.id).copied().or_else(|| there(entry.id).and_then(|entry| entry.hash().ok()));
        match before {
            Some(before) if before == hash => count.count(Outcome::Skipped),
            Some(_) => {
                let message =
                    Message::new("An entry of this id is there already, with other content. Entries never change.");
                self.faults.push(row.fault(OF_ENTRY[0], message));
            }
            None => {
                count.count(Outcome::Added);
                self.brought.insert(entry.id, hash);
                self.entries.push(Read { entry, file: row.file.to_owned(), line: row.line });
            }
        }
    }

    fn entry(&self, row: &Row<'_>, now: Timestamp) -> Result<Entry, Vec<Fault>> {
        let [id, kind, at, arrived, by, _, site, _, vessel, _] = OF_ENTRY;
        let mut faults = Vec::new();
        let text = |heading: &str| row.cell(heading).unwrap_or_default();
        let the_id = keep(&mut faults, row, id, cells::uuid(text(id)));
        let the_kind = keep(&mut faults, row, kind, Kind::from_key(text(kind)).ok_or_else(|| no_kind(text(kind))));
        let the_at = keep(&mut faults, row, at, cells::moment(text(at)));
        let the_arrived = keep(&mut faults, row, arrived, cells::moment(text(arrived)));
        let set_up = &self.set_up;
        let named = |faults: &mut Vec<Fault>, heading, is_kept: &dyn Fn(Uuid) -> bool| -> Option<Uuid> {
            let text = Some(text(heading)).filter(|text| !text.is_empty())?;
            let found = cells::uuid(text).and_then(|id| if is_kept(id) { Ok(id) } else { Err(nothing()) });
            keep(faults, row, heading, found)
        };
        let person = named(&mut faults, by, &|id| set_up.people.contains_key(&Id::from_uuid(id)));
        let the_site = named(&mut faults, site, &|id| set_up.sites.contains_key(&Id::from_uuid(id)));
        let the_vessel = named(&mut faults, vessel, &|id| set_up.vessels.contains_key(&Id::from_uuid(id)));
        let mut values = Values::new();
        for field in the_kind.map(Kind::fields).unwrap_or_default() {
            match cells::read_field(field, text(field.key)) {
                Ok(Some(value)) if matches!(field.what, What::Ref(noun) if !self.is_there(noun, &value)) => {
                    faults.push(row.fault(field.key, nothing()));
                }
                Ok(Some(value)) => drop(values.insert(field.key.to_owned(), value)),
                Ok(None) => {}
                Err(message) => faults.push(row.fault(field.key, message)),
            }
        }
        // What belongs to another kind would be lost.
        if let Some(the_kind) = the_kind {
            let foreign = |heading: &&str| {
                let own = the_kind.fields().iter().any(|field| field.key == *heading);
                !own && !OF_ENTRY.contains(heading) && !heading.ends_with(NAME) && !text(heading).is_empty()
            };
            for heading in row.headings.iter().filter(foreign) {
                let message = Message::new("An entry of the kind {kind} has no such field. Empty this cell.");
                faults.push(row.fault(heading, message.with("kind", Arg::Word(the_kind.label()))));
            }
            match the_kind.about() {
                About::Vessel if the_vessel.is_none() && text(vessel).is_empty() => {
                    faults.push(row.fault(vessel, Message::new("Say which vessel.")));
                }
                About::Site if the_site.is_none() && text(site).is_empty() => {
                    faults.push(row.fault(site, Message::new("Say which site.")));
                }
                _ => {}
            }
        }
        let (Some(the_id), Some(the_kind), Some(the_at), Some(the_arrived), true) =
            (the_id, the_kind, the_at, the_arrived, faults.is_empty())
        else {
            return Err(faults);
        };
        if the_at.duration_since(the_arrived) > AHEAD {
            faults.push(row.fault(at, Message::new("It happened after it arrived.")));
        }
        if the_arrived.duration_since(now) > AHEAD {
            faults.push(row.fault(arrived, Message::new("The time lies ahead of the clock here.")));
        }
        match Act::parse(the_kind, values) {
            Ok(act) if faults.is_empty() => Ok(Entry {
                id: Id::from_uuid(the_id),
                site: the_site.map(Id::from_uuid),
                vessel: the_vessel.map(Id::from_uuid),
                at: the_at,
                arrived: the_arrived,
                by: person.map(Id::from_uuid),
                act,
            }),
            Ok(_) => Err(faults),
            Err(problems) => {
                faults.extend(problems.into_iter().map(|problem| row.fault(problem.field, problem.message)));
                Err(faults)
            }
        }
    }

    /// Whether what a field names is kept; what a void is of is looked at when all is read.
    fn is_there(&self, noun: Noun, value: &Value) -> bool {
        let Some(id) = value.as_str().and_then(|id| Uuid::try_parse(id).ok()) else { return false };
        let set_up = &self.set_up;
        match noun {
            Noun::Vessel => set_up.vessels.contains_key(&Id::from_uuid(id)),
            Noun::Bank => set_up.banks.contains_key(&Id::from_uuid(id)),
            Noun::Source => set_up.sources.contains_key(&Id::from_uuid(id)),
            Noun::Generator => set_up.generators.contains_key(&Id::from_uuid(id)),
            Noun::FuelStore => set_up.fuel_stores.contains_key(&Id::from_uuid(id)),
            Noun::Stage => set_up.stages.contains_key(&Id::from_uuid(id)),
            Noun::Entry => true,
        }
    }

    /// What is declared void has to be in the ledger, or to come with it.
    pub(super) fn voids(&mut self, there: &impl Fn(EntryId) -> Option<Arc<Entry>>) {
        for read in &self.entries {
            if let Act::Void(void) = &read.entry.act
                && !self.brought.contains_key(&void.entry)
                && there(void.entry).is_none()
            {
                self.faults.push(Fault {
                    file: read.file.clone(),
                    line: read.line,
                    column: "entry".to_owned(),
                    value: void.entry.to_string(),
                    message: nothing(),
                });
            }
        }
    }
}

fn no_kind(text: &str) -> Message {
    let known = Kind::LIST.iter().map(|row| row.1).collect::<Vec<_>>().join(", ");
    Message::new("{value} is no kind of entry. Known are: {known}.")
        .with("value", Arg::text(text))
        .with("known", Arg::text(known))
}
