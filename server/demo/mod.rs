//! Alder Reach, the invented demonstration neighbourhood: its set-up, and four hundred days of history that end just
//! before now, written through the same service calls as any entry. Equal seeds at equal times give equal histories;
//! only the passwords are new each time.

mod book;
mod carries;
mod diary;
mod ground;
mod history;
mod households;
mod places;
mod tank;
mod works;

use std::sync::Arc;

use jiff::SignedDuration;
use jiff::Timestamp;
use rand_pcg::Pcg64Mcg;

use crate::demo::book::Book;
use crate::demo::diary::Diary;
use crate::demo::ground::Ground;
use crate::model::choice::Choice;
use crate::model::id::PersonId;
use crate::model::person::Person;
use crate::secret;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;

/// The same history every time.
const SEED: u128 = 0x0a1d_e44e_ac40;
/// How far back it goes.
const DAYS: i64 = 400;
/// Characters of a token that make a password of the demonstration: 48 bits.
const PASSWORD: usize = 12;

/// A sign-in of the demonstration. The first is the coordinator's.
#[derive(Clone, Debug)]
pub struct Login {
    pub person: PersonId,
    pub name: String,
    pub password: String,
    pub role: &'static str,
}

/// Writes the neighbourhood and its history, ending now.
///
/// # Errors
/// As the service calls it is written with.
pub async fn write(app: &App) -> Result<Vec<Login>, Error> {
    let now = Timestamp::from_microsecond(app.now().micros()).map_err(odd)?;
    let mut ground = Ground::new(now, Pcg64Mcg::new(SEED));
    places::stand(&mut ground)?;
    let (mut things, rng) = ground.into_things();
    let since = now - SignedDuration::from_hours(24 * (DAYS + 30));
    let works = works::stand(&Book::of(&things), now, since)?;
    things.extend(works);
    app.keep_all(&Caller::House, things.iter().cloned().map(|thing| (thing, None)).collect()).await?;

    let book = Book::of(&things);
    let carries = carries::agree(&book, now)?;
    app.keep_all(&Caller::House, carries.into_iter().map(|thing| (thing, None)).collect()).await?;
    let mut diary = Diary::new(now, rng, &book)?;
    history::tell(&mut diary, &book)?;
    for batch in diary.into_batches() {
        app.log_past(batch).await?;
    }
    logins(app, &book.people).await
}

/// What this room asks of others and cannot fail unless the room itself is wrong.
fn odd(error: impl Into<anyhow::Error>) -> Error {
    Error::Internal(error.into())
}

async fn logins(app: &App, people: &[Arc<Person>]) -> Result<Vec<Login>, Error> {
    let mut logins = Vec::with_capacity(people.len());
    for person in people {
        let password: String = secret::new_token()?.chars().take(PASSWORD).collect();
        app.set_password(&Caller::House, person.id, password.clone()).await?;
        logins.push(Login {
            person: person.id,
            name: person.name.as_str().to_owned(),
            password,
            role: person.role.label(),
        });
    }
    Ok(logins)
}
