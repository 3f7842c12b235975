//! What time it is: the system's clock, or one that a test or the demonstration moves. Whole microseconds, as the
//! database keeps them, so that a time read back equals the time written.

use std::sync::Arc;
use std::sync::atomic::AtomicI64;
use std::sync::atomic::Ordering;

use jiff::Timestamp;
use jiff::tz::TimeZone;

const MINUTE: i64 = 60_000_000;

/// Cheap to clone; clones of a moved clock move together.
#[derive(Clone, Debug)]
pub struct Clock(Source);

#[derive(Clone, Debug)]
enum Source {
    System,
    /// Microseconds since 1970 UTC.
    Moved(Arc<AtomicI64>),
}

impl Clock {
    #[must_use]
    pub fn system() -> Self {
        Self(Source::System)
    }

    /// Stands at `at` until [`Clock::set`] moves it.
    #[must_use]
    pub fn standing_at(at: Timestamp) -> Self {
        Self(Source::Moved(Arc::new(AtomicI64::new(at.as_microsecond()))))
    }

    /// Moves the clock; the system's own cannot be moved, and says so with `false`.
    pub fn set(&self, to: Timestamp) -> bool {
        match &self.0 {
            Source::System => false,
            Source::Moved(at) => {
                at.store(to.as_microsecond(), Ordering::SeqCst);
                true
            }
        }
    }

    /// The zone that this machine's own clock is set to, where it has a name. A moved clock stands nowhere.
    #[must_use]
    pub fn zone(&self) -> Option<String> {
        match self.0 {
            Source::System => TimeZone::system().iana_name().map(str::to_owned),
            Source::Moved(_) => None,
        }
    }

    #[must_use]
    pub fn now(&self) -> Timestamp {
        timestamp(self.microseconds())
    }

    /// Now, rounded up to the whole minute: what was just logged lies in the past, and equal questions within a
    /// minute have equal answers.
    #[must_use]
    pub fn minute(&self) -> Timestamp {
        let now = self.microseconds();
        let past = now.rem_euclid(MINUTE);
        timestamp(if past == 0 { now } else { now - past + MINUTE })
    }

    fn microseconds(&self) -> i64 {
        match &self.0 {
            Source::System => Timestamp::now().as_microsecond(),
            Source::Moved(at) => at.load(Ordering::SeqCst),
        }
    }
}

/// Every microsecond count we hold came from a `Timestamp`; only the last minute of the year 9999 can round past its
/// end, and stays there.
fn timestamp(microseconds: i64) -> Timestamp {
    Timestamp::from_microsecond(microseconds).unwrap_or(Timestamp::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_minute_is_rounded_up_and_a_whole_one_stays() {
        let clock = Clock::standing_at("2026-03-14T09:30:00.000001Z".parse().unwrap());
        assert_eq!(clock.minute(), "2026-03-14T09:31:00Z".parse().unwrap());
        assert!(clock.set("2026-03-14T09:31:00Z".parse().unwrap()));
        assert_eq!(clock.minute(), "2026-03-14T09:31:00Z".parse().unwrap());
        assert!(clock.set("1969-12-31T23:59:30Z".parse().unwrap()));
        assert_eq!(clock.minute(), "1970-01-01T00:00:00Z".parse().unwrap());
    }

    #[test]
    fn time_is_kept_in_whole_microseconds() {
        let clock = Clock::standing_at("2026-03-14T09:30:00.123456789Z".parse().unwrap());
        assert_eq!(clock.now(), "2026-03-14T09:30:00.123456Z".parse().unwrap());
        assert_eq!(Clock::system().now().subsec_nanosecond() % 1000, 0);
    }

    #[test]
    fn the_systems_clock_cannot_be_moved() {
        assert!(!Clock::system().set(Timestamp::UNIX_EPOCH));
    }
}
