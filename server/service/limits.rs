//! How often one address, account or token may come. A bucket for each, which fills again by the clock: whoever comes
//! steadily is never refused, whoever storms waits. The clock is handed in, the memory is bounded.

use core::net::IpAddr;
use std::collections::HashMap;
use std::num::NonZeroU32;
use std::sync::Mutex;
use std::sync::PoisonError;

use jiff::Timestamp;

use crate::model::id::PersonId;
use crate::model::id::TokenId;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;

/// Buckets held at once. Full ones are forgotten first: they say nothing.
const MOST_BUCKETS: usize = 10_000;
const MINUTE_SECONDS: f64 = 60.0;

/// Whose requests are counted together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Key {
    Address(IpAddr),
    Person(PersonId),
    Token(TokenId),
}

/// What is left of a minute's worth, and when that was so.
#[derive(Clone, Copy, Debug)]
struct Bucket {
    left: f64,
    at: Timestamp,
}

/// All buckets. Each holds a minute's worth of requests.
#[derive(Debug, Default)]
pub(super) struct Limits {
    /// none: nobody is ever refused
    a_minute: Option<NonZeroU32>,
    buckets: Mutex<HashMap<Key, Bucket>>,
}

impl Limits {
    pub(super) fn new(a_minute: Option<NonZeroU32>) -> Self {
        Self { a_minute, buckets: Mutex::default() }
    }

    fn allow(&self, key: Key, now: Timestamp) -> Result<(), Error> {
        let Some(a_minute) = self.a_minute else { return Ok(()) };
        let whole = f64::from(a_minute.get());
        let mut buckets = self.buckets.lock().unwrap_or_else(PoisonError::into_inner);
        let filled = |bucket: &Bucket| {
            let seconds = now.duration_since(bucket.at).as_secs_f64().max(0.0);
            (bucket.left + seconds * whole / MINUTE_SECONDS).min(whole)
        };
        if !buckets.contains_key(&key) && buckets.len() >= MOST_BUCKETS {
            buckets.retain(|_, bucket| filled(bucket) < whole);
            if buckets.len() >= MOST_BUCKETS {
                // A storm from many addresses at once: the fullest half starts anew.
                let mut levels: Vec<f64> = buckets.values().map(filled).collect();
                let middle = levels.len() / 2;
                let (_, level, _) = levels.select_nth_unstable_by(middle, f64::total_cmp);
                let level = *level;
                buckets.retain(|_, bucket| filled(bucket) < level);
            }
        }
        let bucket = buckets.entry(key).or_insert(Bucket { left: whole, at: now });
        let left = filled(bucket);
        if left < 1.0 {
            // A hair of rounding is no second.
            let seconds = ((1.0 - left) * MINUTE_SECONDS / whole - 1e-6).ceil().max(1.0);
            return Err(Error::TooMany(format!("{seconds:.0}").parse().unwrap_or(1)));
        }
        *bucket = Bucket { left: left - 1.0, at: now };
        Ok(())
    }
}

impl App {
    /// Counts a request from an address.
    ///
    /// # Errors
    /// [`Error::TooMany`], with the seconds to wait.
    pub fn allow_address(&self, address: IpAddr) -> Result<(), Error> {
        self.limits.allow(Key::Address(household(address)), self.clock.now())
    }

    /// Counts a request of an account, or of the token that it came by.
    ///
    /// # Errors
    /// As [`App::allow_address`].
    pub fn allow_caller(&self, caller: &Caller, token: Option<TokenId>) -> Result<(), Error> {
        let key = match (token, caller.id()) {
            (Some(token), _) => Key::Token(token),
            (None, Some(person)) => Key::Person(person),
            (None, None) => return Ok(()),
        };
        self.limits.allow(key, self.clock.now())
    }
}

/// One host has 2^64 addresses of IPv6 to itself: those are counted together.
fn household(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(v6) => IpAddr::V6((v6.to_bits() >> 64 << 64).into()),
        v4 @ IpAddr::V4(_) => v4,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: i64) -> Timestamp {
        Timestamp::from_second(1_700_000_000 + seconds).unwrap()
    }

    fn v4(last: u32) -> Key {
        Key::Address(IpAddr::V4((0x0a00_0000 + last).into()))
    }

    #[test]
    fn a_minutes_worth_at_once_then_one_as_each_comes_back() {
        let limits = Limits::new(NonZeroU32::new(6));
        for _ in 0..6 {
            assert!(limits.allow(v4(1), at(0)).is_ok());
        }
        assert!(matches!(limits.allow(v4(1), at(0)), Err(Error::TooMany(10))));
        assert!(matches!(limits.allow(v4(1), at(7)), Err(Error::TooMany(3))));
        assert!(limits.allow(v4(2), at(7)).is_ok(), "another is not in the way");
        assert!(limits.allow(v4(1), at(10)).is_ok());
        assert!(limits.allow(v4(1), at(11)).is_err());
        for _ in 0..6 {
            assert!(limits.allow(v4(1), at(3600)).is_ok(), "full again, and no fuller");
        }
        assert!(limits.allow(v4(1), at(3600)).is_err());
        assert!(limits.allow(v4(1), at(0)).is_err(), "a clock that goes back gives nothing");
    }

    #[test]
    fn nobody_is_refused_where_there_is_no_limit() {
        let limits = Limits::new(None);
        assert!((0..10_000).all(|_| limits.allow(v4(1), at(0)).is_ok()));
    }

    #[test]
    fn memory_is_bounded_and_who_stormed_is_remembered() {
        let limits = Limits::new(NonZeroU32::new(2));
        for _ in 0..2 {
            limits.allow(v4(0), at(0)).unwrap();
        }
        for other in 1..30_000 {
            limits.allow(v4(other), at(0)).unwrap();
        }
        assert!(limits.buckets.lock().unwrap().len() <= MOST_BUCKETS);
        assert!(limits.allow(v4(0), at(0)).is_err());
    }

    #[test]
    fn a_host_is_one_however_many_addresses_of_ipv6_it_takes() {
        let of = |text: &str| household(text.parse().unwrap());
        assert_eq!(of("2001:db8:1:2::1"), of("2001:db8:1:2:ffff::9"));
        assert_ne!(of("2001:db8:1:2::1"), of("2001:db8:1:3::1"));
        assert_eq!(of("::ffff:10.0.0.1"), of("10.0.0.1"));
    }
}
