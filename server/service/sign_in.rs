//! Signing in and out, and the links that are good once: the one that sets a neighbourhood up, and the
//! demonstration's.

use core::net::IpAddr;
use std::collections::HashMap;
use std::sync::Arc;
use std::sync::PoisonError;

use jiff::SignedDuration;
use jiff::Timestamp;

use crate::model::id::PersonId;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::name::Name;
use crate::model::neighbourhood::Neighbourhood;
use crate::model::person::Person;
use crate::model::person::Role;
use crate::model::setup::Thing;
use crate::model::source::Source;
use crate::secret;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::OpenError;
use crate::service::authorise::Deed;
use crate::store;

/// A session not used for so long has ended.
const IDLE: SignedDuration = SignedDuration::from_hours(12);
/// A session made so long ago has ended, used or not.
const LONGEST: SignedDuration = SignedDuration::from_hours(30 * 24);
/// How often a session's last use is noted at most.
const NOTE_EVERY: SignedDuration = SignedDuration::from_mins(5);
/// Failures for one name before its next try has to wait, and what they are counted over.
const FAILURES: u32 = 5;
const COUNTED_OVER: SignedDuration = SignedDuration::from_mins(15);
/// The same for one address on the network.
const FAILURES_BY_ADDRESS: u32 = 30;
/// How the key of a name's tries begins.
const BY_NAME: &str = "name:";
/// Addresses remembered at most, from which a name was signed in with.
const KNOWN: usize = 1000;

/// What a link that is good once is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// setting the neighbourhood up
    SetUp,
    /// signing this person in
    SignIn(PersonId),
}

/// The hash of a link's token and what it is for.
#[derive(Clone, Copy, Debug)]
pub(super) struct OneTime {
    digest: [u8; 32],
    purpose: Purpose,
}

/// Failed tries, by name and by address.
///
/// Whoever guesses at a name slows down everybody who is not known to use it, and nobody else: the machine itself and any
/// address that the name was signed in from have a count of their own. So a coordinator is never locked out by a stranger.
#[derive(Debug, Default)]
pub(super) struct Tries {
    failed: HashMap<String, (u32, Timestamp)>,
    /// name and address, the newest last
    known: Vec<(String, String)>,
}

/// What the first coordinator gives to set a neighbourhood up.
#[derive(Clone, Debug)]
pub struct Founding {
    pub neighbourhood: Neighbourhood,
    pub coordinator: Name,
    pub password: String,
    /// the supplies there are at first: its mains
    pub sources: Vec<Source>,
}

impl App {
    /// A new link token that is good once, until the server stops.
    ///
    /// # Errors
    /// No randomness to be had.
    pub fn one_time(&self, purpose: Purpose) -> Result<String, Error> {
        let token = secret::new_token()?;
        let digest = secret::digest(&token);
        self.one_time.lock().unwrap_or_else(PoisonError::into_inner).push(OneTime { digest, purpose });
        Ok(token)
    }

    /// A new link that signs someone in once, from the coordinator; an earlier one of theirs is good no more.
    ///
    /// # Errors
    /// Not the caller's to give; no such account; no randomness to be had.
    pub fn invite(&self, caller: &Caller, person: PersonId) -> Result<String, Error> {
        caller.may(Deed::Coordinate, None)?;
        let picture = self.picture();
        if picture.set_up.people.get(&person).is_none_or(|kept| kept.thing.ended.is_some()) {
            return Err(Error::NotFound("account"));
        }
        let mut links = self.one_time.lock().unwrap_or_else(PoisonError::into_inner);
        links.retain(|link| link.purpose != Purpose::SignIn(person));
        drop(links);
        self.one_time(Purpose::SignIn(person))
    }

    /// What that token is good for, without using it up.
    #[must_use]
    pub fn purpose(&self, token: &str) -> Option<Purpose> {
        let digest = secret::digest(token);
        let links = self.one_time.lock().unwrap_or_else(PoisonError::into_inner);
        links.iter().find(|link| link.digest == digest).map(|link| link.purpose)
    }

    /// Whether it was this call that used the token up, of several at once.
    fn use_up(&self, token: &str) -> bool {
        let digest = secret::digest(token);
        let mut links = self.one_time.lock().unwrap_or_else(PoisonError::into_inner);
        let before = links.len();
        links.retain(|link| link.digest != digest);
        links.len() < before
    }

    /// Sets the neighbourhood up with its first coordinator, and signs them in.
    ///
    /// # Errors
    /// The link is not good (any more); the password is too weak; a field does not hold.
    pub async fn found(&self, token: &str, founding: Founding) -> Result<String, Error> {
        if self.purpose(token) != Some(Purpose::SetUp) || self.is_set_up() {
            return Err(Error::NotFound("link"));
        }
        let hash = hashed(founding.password).await?;
        let person = Person {
            id: PersonId::fresh(),
            name: founding.coordinator,
            role: Role::Coordinator,
            sites: Vec::new(),
            ended: None,
        };
        let id = person.id;
        let mut things = vec![(Thing::Neighbourhood(founding.neighbourhood), None), (Thing::Person(person), None)];
        things.extend(founding.sources.into_iter().map(|source| (Thing::Source(source), None)));
        self.keep_all(&Caller::House, things).await?;
        self.store.set_password(id, &hash).await?;
        self.use_up(token);
        self.start_session(id).await
    }

    /// Signs in by a link that is good once.
    ///
    /// # Errors
    /// The link is not good (any more).
    pub async fn sign_in_by_link(&self, token: &str) -> Result<String, Error> {
        let Some(Purpose::SignIn(person)) = self.purpose(token).filter(|_| self.use_up(token)) else {
            return Err(Error::NotFound("link"));
        };
        self.start_session(person).await
    }

    /// Signs in by name and password; the session's token. A wrong name takes as long as a wrong password.
    ///
    /// # Errors
    /// They do not match; too many tries.
    pub async fn sign_in(&self, name: &str, password: String, address: &str) -> Result<String, Error> {
        let matches = self.is_password(name.trim(), password, address).await?;
        let found = self.store.credentials(name.trim()).await?.filter(|_| matches);
        let Some(found) = found else {
            tracing::info!(name = name.escape_debug().to_string(), address, "a sign-in was refused");
            return Err(Error::invalid("password", Message::new("Name and password do not match.")));
        };
        tracing::info!(person = %found.person, address, "signed in");
        self.start_session(found.person).await
    }

    /// Whether that is the password of the account of that name. Tries are counted, by name and by address.
    async fn is_password(&self, name: &str, password: String, address: &str) -> Result<bool, Error> {
        let now = self.clock.now();
        let keys = {
            let tries = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
            let keys = [(tries.name_key(name, address), FAILURES), (format!("at:{address}"), FAILURES_BY_ADDRESS)];
            for (key, most) in &keys {
                tries.wait(key, *most, now)?;
            }
            keys
        };
        let hash = self.store.credentials(name).await?.and_then(|found| found.password);
        let known = hash.is_some();
        let matches =
            secret::verify_password(password, hash.unwrap_or_else(|| self.nobody.to_string())).await? && known;
        self.tried(keys.map(|(key, _)| key), matches, now);
        if matches {
            self.tries.lock().unwrap_or_else(PoisonError::into_inner).know(name, address);
        }
        Ok(matches)
    }

    /// Notes how a try ended.
    fn tried(&self, keys: [String; 2], well: bool, now: Timestamp) {
        let mut tries = self.tries.lock().unwrap_or_else(PoisonError::into_inner);
        for key in keys {
            if !well {
                tries.failed(key, now);
            } else if key.starts_with(BY_NAME) {
                // Those of the address stay: an account of one's own must not open the way to others.
                tries.failed.remove(&key);
            }
        }
    }

    async fn start_session(&self, person: PersonId) -> Result<String, Error> {
        let token = secret::new_token()?;
        let now = self.clock.now();
        let old = now.checked_sub(LONGEST).map_err(|error| Error::Internal(error.into()))?;
        self.store.add_session(&secret::digest(&token), person, now, old).await?;
        Ok(token)
    }

    /// Who a session's token belongs to; nobody if it has ended.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn caller(&self, token: Option<&str>) -> Result<Caller, Error> {
        let Some(token) = token else { return Ok(Caller::Nobody) };
        let digest = secret::digest(token);
        let Some(session) = self.store.session(&digest).await? else { return Ok(Caller::Nobody) };
        let now = self.clock.now();
        if now.duration_since(session.seen) > IDLE || now.duration_since(session.made) > LONGEST {
            unless_full(self.store.end_session(&digest).await)?;
            return Ok(Caller::Nobody);
        }
        let picture = self.picture();
        let Some(person) = picture.set_up.people.get(&session.person).filter(|kept| kept.thing.ended.is_none()) else {
            return Ok(Caller::Nobody);
        };
        if now.duration_since(session.seen) > NOTE_EVERY {
            unless_full(self.store.touch_session(&digest, now).await)?;
        }
        Ok(Caller::Person(Arc::clone(&person.thing)))
    }

    /// A coordinator to let in by a link, where no coordinator has a password: their accounts were brought here by files,
    /// which hold none.
    ///
    /// # Errors
    /// The file cannot be read.
    pub async fn without_password(&self) -> Result<Option<(PersonId, String)>, OpenError> {
        let picture = self.picture();
        let leads = |person: &&Arc<Person>| person.role == Role::Coordinator && person.ended.is_none();
        let mut first = None;
        for person in picture.set_up.people.values().map(|kept| &kept.thing).filter(leads) {
            let found = self.store.credentials(person.name.as_str()).await?;
            if found.is_some_and(|found| found.password.is_some()) {
                return Ok(None);
            }
            first = first.or_else(|| Some((person.id, person.name.to_string())));
        }
        Ok(first)
    }

    /// Ends a session.
    ///
    /// # Errors
    /// The file cannot be written.
    pub async fn sign_out(&self, token: &str) -> Result<(), Error> {
        Ok(self.store.end_session(&secret::digest(token)).await?)
    }

    /// Sets someone else's password, by the coordinator. Ends their sessions.
    ///
    /// # Errors
    /// Not the caller's to set; no such account; too weak.
    pub async fn set_password(&self, caller: &Caller, person: PersonId, password: String) -> Result<(), Error> {
        caller.may(Deed::Coordinate, None)?;
        if !self.picture().set_up.people.contains_key(&person) {
            return Err(Error::NotFound("account"));
        }
        let hash = hashed(password).await?;
        Ok(self.store.set_password(person, &hash).await?)
    }

    /// Whether the caller has a password yet: who came by a link has none.
    ///
    /// # Errors
    /// Nobody has signed in; the file cannot be read.
    pub async fn has_password(&self, caller: &Caller) -> Result<bool, Error> {
        let Caller::Person(person) = caller else { return Err(Error::SignInNeeded) };
        let found = self.store.credentials(person.name.as_str()).await?;
        Ok(found.is_some_and(|found| found.password.is_some()))
    }

    /// Sets the caller's own password, given the one they have now, if any. Ends their sessions and starts a new one,
    /// whose token it answers.
    ///
    /// # Errors
    /// Nobody has signed in; the present password is wrong (`current`), or was wrong too often; the new one is too weak.
    pub async fn change_password(
        &self,
        caller: &Caller,
        current: String,
        password: String,
        address: &str,
    ) -> Result<String, Error> {
        let Caller::Person(person) = caller else { return Err(Error::SignInNeeded) };
        acceptable(&password).map_err(|why| Error::invalid("password", why))?;
        if self.has_password(caller).await? && !self.is_password(person.name.as_str(), current, address).await? {
            return Err(Error::invalid("current", Message::new("That is not your password.")));
        }
        let hash = hashed(password).await?;
        self.store.set_password(person.id, &hash).await?;
        self.start_session(person.id).await
    }
}

/// Reading goes on while the disk is full: what a session notes in passing can wait.
fn unless_full(noted: Result<(), store::Error>) -> Result<(), Error> {
    match noted {
        Err(store::Error::Full) => Ok(()),
        other => Ok(other?),
    }
}

async fn hashed(password: String) -> Result<String, Error> {
    acceptable(&password).map_err(|why| Error::invalid("password", why))?;
    Ok(secret::hash_password(password).await?)
}

/// Whether a new password may be taken.
///
/// # Errors
/// Why not, in words.
pub fn acceptable(password: &str) -> Result<(), Message> {
    secret::acceptable(password).map_err(|weak| match weak {
        secret::Weak::TooShort => Message::new("A password has {n} characters or more.")
            .with("n", Arg::Count(secret::SHORTEST_CHARACTERS as u64)),
        secret::Weak::TooLong => Message::new("A password has {n} characters at most.")
            .with("n", Arg::Count(secret::LONGEST_CHARACTERS as u64)),
        secret::Weak::Common => Message::new("This is one of the passwords that are tried first; choose another."),
    })
}

impl Tries {
    /// What the tries at a name from an address are counted under.
    fn name_key(&self, name: &str, address: &str) -> String {
        let name = name.to_lowercase();
        let here = address.parse::<IpAddr>().is_ok_and(|ip| ip.is_loopback());
        if here || self.known.iter().any(|known| known.0 == name && known.1 == address) {
            format!("{BY_NAME}{name} from {address}")
        } else {
            format!("{BY_NAME}{name}")
        }
    }

    fn know(&mut self, name: &str, address: &str) {
        let known = (name.to_lowercase(), address.to_owned());
        self.known.retain(|there| *there != known);
        if self.known.len() >= KNOWN {
            self.known.remove(0);
        }
        self.known.push(known);
    }

    fn wait(&self, key: &str, most: u32, now: Timestamp) -> Result<(), Error> {
        let Some((failures, last)) = self.failed.get(key) else { return Ok(()) };
        let since = now.duration_since(*last);
        if *failures < most || since > COUNTED_OVER {
            return Ok(());
        }
        // Doubles with each failure past the limit; never longer than a quarter of an hour, so that nobody is locked out.
        let seconds = 5_i64.saturating_mul(1 << (failures - most).min(8)).min(COUNTED_OVER.as_secs());
        let left = seconds - since.as_secs();
        if left > 0 { Err(Error::TooMany(u32::try_from(left).unwrap_or(u32::MAX))) } else { Ok(()) }
    }

    fn failed(&mut self, key: String, now: Timestamp) {
        self.failed.retain(|_, (_, last)| now.duration_since(*last) <= COUNTED_OVER);
        let entry = self.failed.entry(key).or_insert((0, now));
        *entry = (entry.0.saturating_add(1), now);
    }
}
