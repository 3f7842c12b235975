//! The kinds of error there are: each with its status, its heading, and the page that explains it to whoever meets it in
//! the API (`/problems/...`). The only place that picks a status.

use axum::http::StatusCode;

/// One kind. What is said here holds for all errors of the kind; what happened this time, the error itself says.
#[derive(Debug)]
pub struct Kind {
    /// its name in the address of its page, which never changes
    pub name: &'static str,
    pub status: StatusCode,
    /// the heading; English, and a key for translation
    pub title: &'static str,
    /// what it means; English, as a key
    pub means: &'static str,
    /// what to do about it; English, as a key
    pub todo: &'static str,
}

const fn kind(
    name: &'static str,
    status: StatusCode,
    title: &'static str,
    means: &'static str,
    todo: &'static str,
) -> Kind {
    Kind { name, status, title, means, todo }
}

pub static UNREADABLE: Kind = kind(
    "unreadable",
    StatusCode::BAD_REQUEST,
    "Could not be read",
    "What was sent is not what it says it is: JSON that stops half way, a member that stands in an object twice, a \
     broken escape in a form or an address.",
    "Send it again as it was meant. The detail names the place where reading stopped.",
);
pub static CURSOR: Kind = kind(
    "cursor",
    StatusCode::BAD_REQUEST,
    "Not a place in this list",
    "A cursor says where the next page of a list begins. This one was not made here, or was made for another list or \
     another question.",
    "Take the address of the next page as it was answered, unchanged, or begin again without a cursor.",
);
pub static SIGN_IN: Kind = kind(
    "sign-in",
    StatusCode::UNAUTHORIZED,
    "Sign in first",
    "The request did not say who sends it.",
    "Send a token in the header Authorization, after the word Bearer. The coordinator makes tokens on the page Tokens.",
);
pub static TOKEN: Kind = kind(
    "token",
    StatusCode::UNAUTHORIZED,
    "Not a token that is good here",
    "The token was never made here, was revoked, or belongs to an account that has ended. Nothing that came with it was \
     stored.",
    "Ask the coordinator for a new token. What was acknowledged before stays stored.",
);
pub static FORBIDDEN: Kind = kind(
    "forbidden",
    StatusCode::FORBIDDEN,
    "Not allowed",
    "What was asked for is there, but not for this account or token.",
    "Ask somebody who may: the detail says who that is.",
);
pub static CROSS_SITE: Kind = kind(
    "cross-site",
    StatusCode::FORBIDDEN,
    "Not sent from here",
    "A browser sent a change that did not come from one of our own pages.",
    "Open the page here and repeat it. A program sends a token and no cookie.",
);
pub static NOT_FOUND: Kind = kind(
    "not-found",
    StatusCode::NOT_FOUND,
    "Not found",
    "Nothing stands at this address, or nothing that this account or token may know of: another's site answers as if it \
     were not there.",
    "Look at the list that it should be in.",
);
pub static METHOD: Kind = kind(
    "method",
    StatusCode::METHOD_NOT_ALLOWED,
    "Not done this way",
    "Something stands at this address, but it takes other methods.",
    "Use one of the methods in the header Allow.",
);
pub static NOT_ACCEPTABLE: Kind = kind(
    "not-acceptable",
    StatusCode::NOT_ACCEPTABLE,
    "Not in a form that was asked for",
    "The header Accept asks for something else than the answers here are made of.",
    "Accept application/json, or send no such header.",
);
pub static ID_USED: Kind = kind(
    "id-used",
    StatusCode::CONFLICT,
    "There already, and different",
    "Something of this id is there already, with other content. The same thing sent again is answered as the first time; \
     this is not the same.",
    "Make a new id for a new thing. To correct an entry, void it and log another.",
);
pub static STALE: Kind = kind(
    "stale",
    StatusCode::PRECONDITION_FAILED,
    "Changed in the meantime",
    "The change began from a state that is no longer the newest: somebody else changed the thing since it was read.",
    "Read it again, make the change anew, and send it with the new entity tag in If-Match.",
);
pub static TOO_LARGE: Kind = kind(
    "too-large",
    StatusCode::PAYLOAD_TOO_LARGE,
    "Too large",
    "More bytes were sent than this address takes. Nothing was stored.",
    "Send less at once; entries can be sent in several batches.",
);
pub static BATCH: Kind = kind(
    "batch",
    StatusCode::PAYLOAD_TOO_LARGE,
    "Too many entries at once",
    "A batch holds 1,000 entries at most. Nothing of this one was stored.",
    "Split it. An entry that is sent twice is stored once, so nothing is lost by sending some again.",
);
pub static MEDIA: Kind = kind(
    "media",
    StatusCode::UNSUPPORTED_MEDIA_TYPE,
    "Not in a form we read",
    "The header Content-Type names a form that this address does not take.",
    "Send what the detail names, and say so in Content-Type.",
);
pub static BAD_HOST: Kind = kind(
    "host",
    StatusCode::MISDIRECTED_REQUEST,
    "Not our name",
    "The request was sent to a name that this server does not answer to.",
    "Use this machine's address, or start the server with --name and that name.",
);
pub static INVALID: Kind = kind(
    "invalid",
    StatusCode::UNPROCESSABLE_ENTITY,
    "Something needs correcting",
    "What was sent could be read, but does not hold: a figure out of its range, a number given as text, a member that is \
     missing or unknown, or a thing that cannot be.",
    "The list errors names each place, as a JSON pointer into the body or as a parameter of the address, with the value \
     and what is allowed.",
);
pub static REVISION: Kind = kind(
    "revision",
    StatusCode::PRECONDITION_REQUIRED,
    "Say what the change began from",
    "A change of the set-up names the state that it began from, so that two people who change one thing do not undo each \
     other unseen.",
    "Read the thing, and send its entity tag with the change in the header If-Match.",
);
pub static TOO_MANY: Kind = kind(
    "too-many",
    StatusCode::TOO_MANY_REQUESTS,
    "Too many tries",
    "More requests came from this address, account or token than are answered in a minute, or a password was wrong too \
     often.",
    "Wait as many seconds as the header Retry-After says. Many entries go in one batch.",
);
pub static UNAVAILABLE: Kind = kind(
    "unavailable",
    StatusCode::SERVICE_UNAVAILABLE,
    "Not just now",
    "The server is busy or stopping.",
    "Send it again in a moment; an entry that is sent twice is stored once.",
);
pub static TIMED_OUT: Kind = kind(
    "timed-out",
    StatusCode::SERVICE_UNAVAILABLE,
    "This took too long",
    "The answer was not ready in time.",
    "Send it again in a moment; an entry that is sent twice is stored once.",
);
pub static FULL: Kind = kind(
    "full",
    StatusCode::INSUFFICIENT_STORAGE,
    "The disk is full",
    "Nothing more can be stored. What is there can still be read, and nothing that was acknowledged is lost.",
    "Make room on the server's disk, then send it again.",
);
pub static INTERNAL: Kind = kind(
    "internal",
    StatusCode::INTERNAL_SERVER_ERROR,
    "Something broke",
    "This is our fault. Nothing was stored by half.",
    "What happened stands in the server's log, under the number in the header X-Request-Id.",
);

/// All of them, in the order of their status.
pub static KINDS: [&Kind; 22] = [
    &UNREADABLE,
    &CURSOR,
    &SIGN_IN,
    &TOKEN,
    &FORBIDDEN,
    &CROSS_SITE,
    &NOT_FOUND,
    &METHOD,
    &NOT_ACCEPTABLE,
    &ID_USED,
    &STALE,
    &TOO_LARGE,
    &BATCH,
    &MEDIA,
    &BAD_HOST,
    &INVALID,
    &REVISION,
    &TOO_MANY,
    &UNAVAILABLE,
    &TIMED_OUT,
    &FULL,
    &INTERNAL,
];
