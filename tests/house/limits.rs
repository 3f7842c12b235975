//! Who comes too often waits, by the clock; and a coordinator gets in whoever guesses at their name meanwhile.

use std::num::NonZeroU32;

use jiff::SignedDuration;
use keepwell::app;
use keepwell::clock::Clock;
use keepwell::config::Serve;
use keepwell::model::person::Role;
use keepwell::service::Caller;
use keepwell::service::Error;

use crate::api::Machine;
use crate::harness::Folder;
use crate::harness::House;
use crate::harness::THEN;
use crate::harness::serve_in;
use crate::pages::scene;

async fn house(a_minute: u32) -> House {
    let folder = Folder::new();
    let clock = Clock::standing_at(THEN.parse().unwrap());
    let serve = Serve { a_minute: NonZeroU32::new(a_minute), ..serve_in(folder.path()) };
    let running = app::start(&serve, clock.clone()).await.unwrap();
    House { clock, running, folder }
}

#[tokio::test]
async fn an_address_that_storms_waits_as_long_as_it_is_told() {
    let house = house(30).await;
    let visitor = house.visitor();
    for _ in 0..30 {
        assert_eq!(visitor.get("/problems").await.status, 200);
    }
    let refused = visitor.get("/problems").await;
    assert_eq!((refused.status, refused.header("retry-after")), (429, "2"));
    assert!(refused.text.contains("Wait 2 seconds"), "{}", refused.text);
    assert_eq!(visitor.get("/healthz").await.status, 200, "the sign of life is not counted");
    house.clock.set(house.clock.now() + SignedDuration::from_secs(2));
    assert_eq!(visitor.get("/problems").await.status, 200);
    assert_eq!(visitor.get("/problems").await.status, 429);
    house.close().await;
}

#[tokio::test]
async fn a_token_that_storms_waits_and_is_told_so_as_a_problem() {
    let house = house(40).await;
    let ids = scene::reach(house.running.app()).await;
    let (busy, _) = Machine::with(&house, &ids, Role::Coordinator, &[]).await;
    // The address has asked once for the document.
    for _ in 0..39 {
        assert_eq!(busy.get("/api/v1/me").await.status, 200);
    }
    let refused = busy.get("/api/v1/me").await;
    assert_eq!((refused.status, refused.header("content-type")), (429, "application/problem+json"));
    assert!(!refused.header("retry-after").is_empty());
    house.clock.set(house.clock.now() + SignedDuration::from_secs(60));
    assert_eq!(busy.get("/api/v1/me").await.status, 200);
    house.close().await;
}

#[tokio::test]
async fn a_stranger_who_guesses_locks_out_strangers_and_no_coordinator() {
    let house = House::open().await;
    let app = house.running.app();
    let ids = scene::reach(app).await;
    app.set_password(&Caller::House, ids.maren, "nine wet boots".to_owned()).await.unwrap();
    let try_in = |password: &'static str, address: &'static str| app.sign_in("Maren", password.to_owned(), address);
    try_in("nine wet boots", "10.0.0.7").await.unwrap();
    for _ in 0..5 {
        assert!(matches!(try_in("guess", "10.0.0.66").await, Err(Error::Invalid(_))));
    }
    assert!(matches!(try_in("guess", "10.0.0.66").await, Err(Error::TooMany(_))));
    assert!(matches!(try_in("nine wet boots", "10.0.0.67").await, Err(Error::TooMany(_))), "nor from another address");
    // Where she has signed in before, and on the machine itself, she still does.
    try_in("nine wet boots", "10.0.0.7").await.unwrap();
    try_in("nine wet boots", "127.0.0.1").await.unwrap();
    // From a new address she waits a quarter of an hour at the longest.
    house.clock.set(house.clock.now() + SignedDuration::from_mins(15));
    try_in("nine wet boots", "10.0.0.68").await.unwrap();
    house.close().await;
}
