//! The time of day, asked only here.

use std::time::SystemTime;

use jiff::Timestamp;

/// Now, as ISO 8601 to the second, in universal time.
pub(super) fn now() -> String {
    instant().strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
}

/// A seed nobody chose: the microseconds of the clock, below 2^53 so that every program can hold it.
pub(super) fn fresh_seed() -> u64 {
    let microseconds = u64::try_from(instant().as_microsecond()).unwrap_or(0);
    microseconds % (1 << 53)
}

/// The clock's instant; the last one there is where it has run past the calendar.
fn instant() -> Timestamp {
    #[expect(
        clippy::disallowed_methods,
        reason = "this is the one place that asks the time"
    )]
    Timestamp::try_from(SystemTime::now()).unwrap_or(Timestamp::MAX)
}
