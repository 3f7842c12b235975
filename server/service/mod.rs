//! One function per question or act: authorise, load, ask the engine, save. Pages, files and (later) the API all come
//! through here, so that what is allowed is decided in one place ([`authorise`]) and done in one way.

pub mod authorise;
pub mod backup;
mod battery;
pub mod carries;
pub mod each;
pub mod entries;
pub mod import;
pub mod limits;
pub mod measures;
pub mod outages;
pub mod reckon;
pub mod reckoner;
pub mod records;
pub mod set_up;
mod settings;
pub mod sign_in;
pub mod status_file;
pub mod take_in;
pub mod tokens;
pub mod undo;
pub mod upkeep;
pub mod verify;
mod works;

use std::collections::HashMap;
use std::num::NonZeroU32;
use std::path::Path;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use arc_swap::ArcSwap;
use keepwell_engine::moment::Moment;

use crate::clock::Clock;
use crate::model::entry::fields::Problem;
use crate::model::id::TokenId;
use crate::model::message::Message;
use crate::picture::Picture;
use crate::picture::fold::Fold;
use crate::secret;
use crate::store;
use crate::store::Committed;
use crate::store::Store;

pub use authorise::Caller;

/// Why something was not done.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// There is no such thing, or none that the caller may know of.
    #[error("there is no {0} of that address")]
    NotFound(&'static str),
    #[error("sign in first")]
    SignInNeeded,
    /// Known, but not the caller's to do.
    #[error("that is for {0}")]
    Forbidden(&'static str),
    /// What came in does not hold: each field with why.
    #[error("{} fields do not hold", .0.len())]
    Invalid(Vec<Problem>),
    /// It was changed since the caller looked.
    #[error("it was changed meanwhile")]
    Stale,
    /// The id was used before, with other content.
    #[error("that id was used before, with other content")]
    IdTaken,
    /// Too many tries; so many seconds to wait.
    #[error("too many tries; wait {0} seconds")]
    TooMany(u32),
    #[error("the disk is full: nothing new can be kept, reading goes on")]
    Full,
    #[error("busy; try again")]
    Busy,
    #[error(transparent)]
    Internal(anyhow::Error),
}

impl Error {
    /// One field that does not hold.
    #[must_use]
    pub fn invalid(field: &'static str, message: Message) -> Self {
        Self::Invalid(vec![Problem::new(field, message)])
    }
}

impl From<store::Error> for Error {
    fn from(error: store::Error) -> Self {
        match error {
            store::Error::IdTaken => Self::IdTaken,
            store::Error::Stale => Self::Stale,
            store::Error::Full => Self::Full,
            store::Error::Closing => Self::Busy,
            store::Error::Named => {
                Self::invalid("", Message::new("Something else names it, so it cannot be taken away."))
            }
            error => Self::Internal(error.into()),
        }
    }
}

impl From<secret::Error> for Error {
    fn from(error: secret::Error) -> Self {
        match error {
            secret::Error::Busy => Self::Busy,
            error => Self::Internal(error.into()),
        }
    }
}

/// Why the house cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    #[error(transparent)]
    Store(#[from] store::Error),
    #[error(transparent)]
    Secret(#[from] secret::Error),
}

/// Everything the house can do. Cheap to clone; its fields are this room's alone.
#[derive(Clone)]
pub struct App {
    store: Store,
    fold: Arc<Mutex<Fold>>,
    picture: Arc<ArcSwap<Picture>>,
    clock: Clock,
    one_time: Arc<Mutex<Vec<sign_in::OneTime>>>,
    tries: Arc<Mutex<sign_in::Tries>>,
    /// which token a hash is of, for those that came in since the start
    tokens: Arc<Mutex<HashMap<[u8; 32], TokenId>>>,
    /// the hash of a password that nobody has, so that an unknown name takes as long as a wrong password
    nobody: Arc<str>,
    reckoned: Arc<reckon::Kept>,
    limits: Arc<limits::Limits>,
    outage_told: Arc<outages::Told>,
    status_kept: Arc<Mutex<Option<status_file::StatusKept>>>,
}

impl core::fmt::Debug for App {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str("App")
    }
}

impl App {
    /// Opens the data folder and builds the picture from it.
    ///
    /// # Errors
    /// A file that is not ours, is newer than we are, or cannot be read.
    pub async fn open(folder: &Path, clock: Clock) -> Result<Self, OpenError> {
        let nobody = secret::hash_password(secret::new_token()?).await?.into();
        let store = Store::open(folder).await?;
        let mut opened = None;
        store
            .listen(|everything| {
                let fold = Fold::of(everything.set_up, everything.entries, everything.entry_seq, everything.change_seq);
                let picture = Arc::new(ArcSwap::new(Arc::clone(fold.picture())));
                let fold = Arc::new(Mutex::new(fold));
                opened = Some((Arc::clone(&fold), Arc::clone(&picture)));
                move |committed: Committed<'_>| {
                    let mut fold = fold.lock().unwrap_or_else(PoisonError::into_inner);
                    picture.store(match committed {
                        Committed::Entries(entries, seq) => fold.add(entries, seq),
                        Committed::SetUp(things, seq, at) => fold.change(things, seq, at),
                        Committed::Removed(thing, seq) => fold.remove(thing, seq),
                    });
                }
            })
            .await?;
        let (fold, picture) = opened.ok_or(store::Error::Closing)?;
        Ok(Self {
            store,
            fold,
            picture,
            clock,
            one_time: Arc::default(),
            tries: Arc::default(),
            tokens: Arc::default(),
            nobody,
            reckoned: Arc::default(),
            limits: Arc::default(),
            outage_told: Arc::default(),
            status_kept: Arc::default(),
        })
    }

    /// The same, refusing whoever comes more often than so many times a minute.
    #[must_use]
    pub fn limited_to(self, a_minute: Option<NonZeroU32>) -> Self {
        Self { limits: Arc::new(limits::Limits::new(a_minute)), ..self }
    }

    /// What we believe now. Hold it for as long as one answer takes.
    #[must_use]
    pub fn picture(&self) -> Arc<Picture> {
        self.picture.load_full()
    }

    /// Reckons beside all else what pages will ask of every vessel first. Returns at once; whoever asks before it is done
    /// reckons what they need themselves.
    ///
    /// # Errors
    /// No thread to be had.
    pub fn look_ahead(&self) -> std::io::Result<()> {
        let picture = self.picture();
        std::thread::Builder::new().name("look-ahead".to_owned()).spawn(move || picture.look_ahead()).map(drop)
    }

    /// Now, as questions are asked: rounded up to the whole minute.
    #[must_use]
    pub fn now(&self) -> Moment {
        Moment::from_micros(self.clock.minute().as_microsecond())
    }

    /// The zone that this machine is set to: the one to propose to a new neighbourhood.
    #[must_use]
    pub fn zone_here(&self) -> String {
        self.clock.zone().unwrap_or_else(|| "UTC".to_owned())
    }

    /// This very moment, for what is logged as happening now.
    #[must_use]
    pub fn instant(&self) -> jiff::Timestamp {
        self.clock.now()
    }

    /// Whether nothing new can be kept for want of room on the disk.
    pub async fn is_full(&self) -> bool {
        self.store.is_full().await
    }

    /// Whether a neighbourhood has been set up here.
    #[must_use]
    pub fn is_set_up(&self) -> bool {
        self.picture.load().set_up.neighbourhood.is_some()
    }

    /// Writes what is under way and lets go of the file.
    pub async fn close(&self) {
        self.store.close().await;
    }
}

#[cfg(test)]
impl App {
    /// For tests of what stands round it: its folder is gone as soon as it is open.
    pub(crate) async fn that_keeps_nothing() -> Self {
        let folder = crate::config::throw_away_folder();
        std::fs::create_dir_all(&folder).unwrap();
        let app = Self::open(&folder, Clock::system()).await.unwrap();
        std::fs::remove_dir_all(&folder).unwrap();
        app
    }
}
