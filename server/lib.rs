//! The house: from an entry beside a tank to the neighbourhood's days of water on hand.
//!
//! An entry comes in through `web`, is parsed there and authorised in `service`, is written to the ledger by `store`,
//! and is folded into the `picture` by the engine (a crate of its own: arithmetic, no clock, no files). Pages read the
//! picture and ask the engine; they never read the ledger to compute.
//!
//! # The rooms
//!
//! | room | holds |
//! |---|---|
//! | [`model`] | the nouns and their ids, with checked constructors; the kinds of entry |
//! | [`store`] | all SQL: open, migrate, the writing lock, a file per noun |
//! | `picture` | what we believe, folded from set-up and ledger; one immutable value, swapped whole |
//! | `service` | one function per question or act: authorise, load, call the engine, save |
//! | [`jobs`] | what happens by the clock: the daily status |
//! | [`web`] | pages, forms, files, errors; the only room that knows HTTP |
//! | [`secret`] | passwords and tokens: made, hashed, compared |
//! | [`clock`] | what time it is; a test or the demonstration may move it |
//! | [`config`] | flags and environment, read once |
//! | [`app`] | wires the rooms together, starts and stops |
//!
//! # Who may import whom
//!
//! Anything not listed is forbidden; `tests/house/map.rs` reads the sources and holds us to it.
//!
//! | room | may use | must never see |
//! |---|---|---|
//! | engine | its own crates | tokio, sqlx, axum, serde, jiff, clock, files, environment |
//! | model | engine | sqlx, axum, reqwest |
//! | picture | model, engine | store, web, outside, clock |
//! | findings | picture, model, engine | store, web, outside, clock |
//! | store | model, engine quantities | picture, service, web, outside |
//! | outside | model | store, web |
//! | secret | - | everything |
//! | service | store, picture, outside, findings, model, engine, clock, config, secret | web, axum types, status codes |
//! | jobs | service, model | web, store, outside (go through service) |
//! | web | service, picture, findings, model, engine (types, to display) | store, sqlx, outside |
//! | demo | service, model, engine, clock, secret | web, store |
//! | app, main | everything, to wire it together | - (no logic lives here) |

pub mod app;
pub mod clock;
pub mod config;
pub mod demo;
pub mod findings;
pub mod jobs;
pub mod model;
pub mod picture;
pub mod secret;
pub mod service;
pub mod store;
pub mod web;
