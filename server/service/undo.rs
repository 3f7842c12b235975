//! Undoing a change of the set-up, through the same door as any change: the undo is a change, checked as a whole and put
//! on record. What was changed later stays, and where it stands in the way the undo is refused in words.

use std::sync::PoisonError;

use serde_json::Map;
use serde_json::Value;
use uuid::Uuid;

use crate::model::entry::Entry;
use crate::model::entry::fields::Problem;
use crate::model::entry::fields::What;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::service::set_up::Change;
use crate::service::set_up::check;
use crate::service::set_up::may_change;

/// What undoing a change comes to.
#[derive(Clone, Debug, PartialEq)]
pub enum Undo {
    /// the thing as it would be, and the revision it stands at now; none for one that was taken away
    Keep(Thing, Option<i64>),
    /// what was added is taken away again, from that revision
    Remove(Thing, i64),
}

impl Undo {
    /// The revision that the undo begins from: 0 for a thing that is not there.
    #[must_use]
    pub fn began_from(&self) -> i64 {
        match self {
            Self::Keep(_, revision) => revision.unwrap_or_default(),
            Self::Remove(_, revision) => *revision,
        }
    }
}

impl App {
    /// What undoing that change would come to now.
    ///
    /// # Errors
    /// What stands in the way, in words.
    pub fn undoing(&self, change: &Change) -> Result<Undo, Vec<Problem>> {
        let picture = self.picture();
        let undo = undoing(&picture.set_up, change).map_err(|message| vec![Problem::new("", message)])?;
        let problems = match &undo {
            Undo::Keep(thing, _) => check(&picture.set_up, thing),
            Undo::Remove(thing, _) => self.named_by(&picture.set_up, thing),
        };
        if problems.is_empty() { Ok(undo) } else { Err(problems) }
    }

    /// Undoes a change; the number of the change that does so. `began_from` is the state that the caller looked at.
    ///
    /// # Errors
    /// What stands in the way; not the caller's to change; changed by another meanwhile.
    pub async fn undo(&self, caller: &Caller, seq: i64, began_from: i64) -> Result<i64, Error> {
        let change = self.change(caller, seq).await?;
        let undo = self.undoing(&change).map_err(Error::Invalid)?;
        if undo.began_from() != began_from {
            return Err(Error::Stale);
        }
        match undo {
            Undo::Keep(thing, revision) => self.keep(caller, thing, revision).await,
            Undo::Remove(thing, revision) => {
                may_change(caller, &thing)?;
                if matches!(thing, Thing::Site(_)) {
                    caller.may(Deed::Coordinate, None)?;
                }
                Ok(self.store.remove(caller.id(), self.clock.now(), thing, revision).await?)
            }
        }
    }

    /// What names a thing, and so keeps it from being taken away.
    fn named_by(&self, set_up: &SetUp, thing: &Thing) -> Vec<Problem> {
        let id = thing.id();
        let text = id.to_string();
        let names_it = |other: &Thing| serde_json::to_string(other).is_ok_and(|json| json.contains(&text));
        let mut problems: Vec<Problem> = set_up
            .things()
            .filter(|(other, _)| other.id() != id && names_it(other))
            .take(MOST)
            .map(|(other, _)| {
                let words = Message::new("“{other}” belongs to it or names it. Take that away first.");
                Problem::new("", words.with("other", Arg::text(other.name().map_or("", Name::as_str))))
            })
            .collect();
        let fold = self.fold.lock().unwrap_or_else(PoisonError::into_inner);
        let entries = fold.entries().filter(|entry| names(entry, id)).count();
        if entries > 0 {
            let entries = Arg::Counted { count: entries as u64, one: "{n} entry", other: "{n} entries" };
            let words = "The ledger speaks of it: {entries}. What happened there stays; take it out of use instead.";
            problems.push(Problem::new("", Message::new(words).with("entries", entries)));
        }
        problems
    }
}

/// Things that are named as standing in the way; one is enough to refuse.
const MOST: usize = 5;

/// Whether an entry is of, at, by or about the thing of that id.
fn names(entry: &Entry, id: Uuid) -> bool {
    let of =
        [entry.site.map(|site| site.uuid()), entry.vessel.map(|vessel| vessel.uuid()), entry.by.map(|by| by.uuid())];
    if of.contains(&Some(id)) {
        return true;
    }
    let mut references = entry.act.kind().fields().iter().filter(|field| matches!(field.what, What::Ref(_))).peekable();
    if references.peek().is_none() {
        return false;
    }
    let Ok(fields) = entry.act.to_json() else { return false };
    let text = id.to_string();
    references.any(|field| fields.get(field.key).and_then(Value::as_str) == Some(&text))
}

/// From the record and what stands now. Field by field: what was changed again since stands in the way, what else was
/// changed since stays.
fn undoing(set_up: &SetUp, change: &Change) -> Result<Undo, Message> {
    let read = |json: &Option<String>| {
        let thing = json.as_deref().map(|json| Thing::recorded(&change.noun, json)).transpose();
        thing.map_err(|_| Message::new("An older version wrote this change, and it can no longer be read whole."))
    };
    let (before, after) = (read(&change.before)?, read(&change.after)?);
    let standing = before.as_ref().or(after.as_ref()).and_then(|thing| set_up.find(thing));
    match (before, after, standing) {
        (_, Some(Thing::Neighbourhood(_)), _) if change.before.is_none() => {
            Err(Message::new("The neighbourhood itself stays: without it nothing here has a place."))
        }
        (None, Some(Thing::Token(_)), _) => Err(Message::new("Revoke the token instead: then it is good no more.")),
        (None, Some(_), Some((thing, revision))) if revision == change.seq => Ok(Undo::Remove(thing, revision)),
        (None, Some(_), Some(_)) => {
            Err(Message::new("It was changed after it was added. Undo the later changes first."))
        }
        (Some(before), None, None) => Ok(Undo::Keep(before, None)),
        (Some(_), None, Some(_)) => Err(Message::new("It is there again already.")),
        (_, Some(_), None) => Err(Message::new("It was taken away since. Undo that first.")),
        (Some(before), Some(after), Some((thing, revision))) => {
            let merged = put_back(&fields(&before)?, &fields(&after)?, fields(&thing)?)?;
            let merged = Thing::read(&change.noun, Value::Object(merged)).map_err(unreadable)?;
            if merged == thing {
                return Err(Message::new("It stands as it was before this change already."));
            }
            Ok(Undo::Keep(merged, Some(revision)))
        }
        (None, None, _) => Err(Message::new("This change says nothing that could be undone.")),
    }
}

fn put_back(
    before: &Map<String, Value>,
    after: &Map<String, Value>,
    mut now: Map<String, Value>,
) -> Result<Map<String, Value>, Message> {
    let changed = before.iter().filter(|(key, value)| after.get(*key) != Some(value));
    for (key, value) in changed {
        if now.get(key) == Some(value) {
            continue;
        }
        if now.get(key) != after.get(key) {
            return Err(Message::new("What it changed was changed again later. Undo the later change first."));
        }
        now.insert(key.clone(), value.clone());
    }
    Ok(now)
}

fn fields(thing: &Thing) -> Result<Map<String, Value>, Message> {
    match serde_json::to_value(thing) {
        Ok(Value::Object(fields)) => Ok(fields),
        Ok(_) => Ok(Map::new()),
        Err(error) => Err(unreadable(error)),
    }
}

fn unreadable(error: impl core::fmt::Display) -> Message {
    Message::new("It cannot be read: {why}").with("why", Arg::text(error.to_string()))
}
