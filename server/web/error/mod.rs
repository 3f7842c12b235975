//! What can go wrong, as a visitor meets it. An error travels inside the response that it became, and `dress`, which
//! knows who asked, turns it into a page or into problem details (RFC 9457).

mod dress;
pub mod kind;

use std::fmt;
use std::sync::Arc;

use axum::http::HeaderValue;
use axum::http::StatusCode;
use axum::http::header;
use axum::response::IntoResponse;
use axum::response::Response;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service;
use crate::web::error::kind::Kind;

pub(super) use dress::dress;
pub(super) use dress::told;

/// Messages are for the visitor, in plain words, without innards.
#[derive(Debug)]
pub enum Error {
    /// What was looked for is not there.
    NotFound(Message),
    /// There is something here, but not for this method.
    MethodNotAllowed,
    /// Why not.
    Forbidden(Message),
    /// A change that did not come from our own pages.
    CrossSite,
    /// Sign in, then on to this address (path and question).
    SignInNeeded { next: String },
    /// A token that is not good, or no longer.
    BadToken,
    /// Not to be understood at all: a broken escape, a missing part.
    Unreadable(Message),
    /// Understood, but wrong.
    Invalid(Vec<Fault>),
    /// More than this many bytes.
    TooLarge { limit_bytes: usize },
    /// What is taken instead.
    UnsupportedMedia { wanted: &'static str },
    /// The API answers JSON alone.
    NotAcceptable,
    /// A cursor that does not belong to the list that was asked for.
    ForeignCursor,
    /// More entries in one batch than we take.
    LongBatch { given: usize, most: usize },
    /// A change without the revision that it began from.
    RevisionNeeded,
    /// The name that was asked for, as it was given.
    BadHost(String),
    /// The same id with other content, or a thing that is there already.
    Conflict(Message),
    /// The thing has changed since the form was drawn: what changed.
    Stale(Message),
    /// Try again in so many seconds.
    TooMany { seconds: u32 },
    /// The server is busy or stopping: why.
    Unavailable(Message),
    /// It took longer than we allow.
    TimedOut,
    /// The disk is full.
    Full,
    /// Our fault. The cause goes to the log, and nowhere else.
    Internal(Box<dyn std::error::Error + Send + Sync>),
}

/// One thing wrong with what was sent.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The form field, the JSON pointer, or `?` and the parameter of the address, where there is one.
    pub field: Option<String>,
    /// Names the field, the value and what is allowed.
    pub detail: Message,
}

impl Error {
    /// One fault of one field.
    pub fn invalid(field: impl Into<String>, detail: Message) -> Self {
        Self::Invalid(vec![Fault { field: Some(field.into()), detail }])
    }

    pub fn internal(cause: impl Into<Box<dyn std::error::Error + Send + Sync>>) -> Self {
        Self::Internal(cause.into())
    }

    /// Nothing stands at this address.
    #[must_use]
    pub fn no_page(path: &str) -> Self {
        Self::NotFound(Message::new("There is no page at {address}.").with("address", Arg::text(path)))
    }

    /// What kind of error it is, which decides its status and its heading.
    #[must_use]
    pub fn kind(&self) -> &'static Kind {
        match self {
            Self::NotFound(_) => &kind::NOT_FOUND,
            Self::MethodNotAllowed => &kind::METHOD,
            Self::Forbidden(_) => &kind::FORBIDDEN,
            Self::CrossSite => &kind::CROSS_SITE,
            Self::SignInNeeded { .. } => &kind::SIGN_IN,
            Self::BadToken => &kind::TOKEN,
            Self::Unreadable(_) => &kind::UNREADABLE,
            Self::Invalid(_) => &kind::INVALID,
            Self::TooLarge { .. } => &kind::TOO_LARGE,
            Self::UnsupportedMedia { .. } => &kind::MEDIA,
            Self::NotAcceptable => &kind::NOT_ACCEPTABLE,
            Self::ForeignCursor => &kind::CURSOR,
            Self::LongBatch { .. } => &kind::BATCH,
            Self::RevisionNeeded => &kind::REVISION,
            Self::BadHost(_) => &kind::BAD_HOST,
            Self::Conflict(_) => &kind::ID_USED,
            Self::Stale(_) => &kind::STALE,
            Self::TooMany { .. } => &kind::TOO_MANY,
            Self::Unavailable(_) => &kind::UNAVAILABLE,
            Self::TimedOut => &kind::TIMED_OUT,
            Self::Full => &kind::FULL,
            Self::Internal(_) => &kind::INTERNAL,
        }
    }

    #[must_use]
    pub fn status(&self) -> StatusCode {
        self.kind().status
    }

    /// The heading; English, and a key for translation.
    #[must_use]
    pub fn title(&self) -> &'static str {
        self.kind().title
    }

    /// One paragraph: what happened and what to do next.
    #[must_use]
    pub fn detail(&self) -> Message {
        match self {
            Self::NotFound(why)
            | Self::Forbidden(why)
            | Self::Unreadable(why)
            | Self::Conflict(why)
            | Self::Stale(why)
            | Self::Unavailable(why) => why.clone(),
            Self::MethodNotAllowed => Message::new(
                "There is something at this address, but it cannot be asked in this way. If you pressed a button, go \
                 back and open the page again.",
            ),
            Self::CrossSite => Message::new(
                "This change did not come from a page of ours, so nothing was changed. Open the page again from here \
                 and repeat it.",
            ),
            Self::SignInNeeded { .. } => Message::new("This is for people who have signed in."),
            Self::BadToken => {
                Message::new("The token is not good here, or no longer. Nothing that came with it was stored.")
            }
            Self::NotAcceptable => Message::new("The answers here are JSON (application/json)."),
            Self::ForeignCursor => Message::new(
                "The cursor in after was not made for this list and this question. Take the address of the next page \
                 as it was answered, or begin without a cursor.",
            ),
            Self::LongBatch { given, most } => {
                Message::new("{given} entries were sent; a batch holds {most} at most. Nothing was stored.")
                    .with("given", Arg::Count(*given as u64))
                    .with("most", Arg::Count(*most as u64))
            }
            Self::RevisionNeeded => Message::new(
                "Send the entity tag of what the change began from in the header If-Match, such as \"r7\".",
            ),
            Self::Invalid(_) => Message::new("Nothing was stored."),
            Self::TooLarge { limit_bytes } => {
                Message::new("At most {size} can be sent here. Nothing was stored.").with("size", size(*limit_bytes))
            }
            Self::UnsupportedMedia { wanted } => {
                Message::new("This address takes {wanted}. Nothing was stored.").with("wanted", Arg::Word(wanted))
            }
            Self::BadHost(name) if name.is_empty() => {
                Message::new("The request did not say which host it is for. Use this machine's address.")
            }
            Self::BadHost(name) => Message::new(
                "This server does not answer to the name {name}. Use this machine's address, or start the server with \
                 --name and that name.",
            )
            .with("name", Arg::text(name)),
            Self::TooMany { seconds } => {
                Message::new("Wait {seconds} seconds and try again.").with("seconds", Arg::Count((*seconds).into()))
            }
            Self::TimedOut => Message::new("The answer was not ready in time. Try again in a moment."),
            Self::Full => Message::new(
                "Nothing more can be stored until room is made on the disk. What is there can still be read.",
            ),
            Self::Internal(_) => Message::new(
                "This is our fault, not yours. What happened stands in the server's log. Nothing was stored by half.",
            ),
        }
    }

    #[must_use]
    pub fn faults(&self) -> &[Fault] {
        match self {
            Self::Invalid(faults) => faults,
            _ => &[],
        }
    }
}

/// For the log: what happened, without what anyone typed.
impl fmt::Display for Error {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::Internal(cause) = self else { return write!(out, "{}: {}", self.title(), self.detail().key) };
        write!(out, "{cause}")?;
        let mut under = cause.source();
        while let Some(cause) = under {
            write!(out, ": {cause}")?;
            under = cause.source();
        }
        Ok(())
    }
}

impl std::error::Error for Error {}

impl From<service::Error> for Error {
    fn from(error: service::Error) -> Self {
        match error {
            service::Error::NotFound(noun) => {
                Self::NotFound(Message::new("There is no {noun} of that address.").with("noun", Arg::Word(noun)))
            }
            service::Error::SignInNeeded => Self::SignInNeeded { next: String::new() },
            service::Error::Forbidden(whose) => {
                Self::Forbidden(Message::new("That is for {whose}.").with("whose", Arg::Word(whose)))
            }
            service::Error::Invalid(problems) => Self::Invalid(
                problems
                    .into_iter()
                    .map(|problem| Fault {
                        field: (!problem.field.is_empty()).then(|| problem.field.to_owned()),
                        detail: problem.message,
                    })
                    .collect(),
            ),
            service::Error::Stale => Self::Stale(Message::new(
                "Somebody changed it while you were at it. Look at it again, then make your change.",
            )),
            service::Error::IdTaken => {
                Self::Conflict(Message::new("This entry's number was used before, for something else."))
            }
            service::Error::TooMany(seconds) => Self::TooMany { seconds },
            service::Error::Full => Self::Full,
            service::Error::Busy => Self::Unavailable(Message::new("The server is busy. Try again in a moment.")),
            service::Error::Internal(cause) => Self::Internal(cause.into()),
        }
    }
}

impl From<askama::Error> for Error {
    fn from(cause: askama::Error) -> Self {
        Self::internal(cause)
    }
}

impl IntoResponse for Error {
    fn into_response(self) -> Response {
        let mut response = self.status().into_response();
        if let Self::TooMany { seconds } = self {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        } else if response.status() == StatusCode::SERVICE_UNAVAILABLE {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(5));
        }
        response.extensions_mut().insert(Arc::new(self));
        response
    }
}

/// "1 MB", "200 kB", "12 bytes", in binary thousands, as file managers show them.
fn size(bytes: usize) -> Arg {
    Arg::text(match bytes {
        0..1024 => format!("{bytes} bytes"),
        1024..1_048_576 => format!("{} kB", bytes / 1024),
        _ => format!("{} MB", bytes / 1_048_576),
    })
}
