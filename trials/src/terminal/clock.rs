//! The time of day, asked only here.

use jiff::Timestamp;

/// Now, as ISO 8601 to the second, in universal time.
pub(super) fn now() -> String {
    Timestamp::now().strftime("%Y-%m-%dT%H:%M:%SZ").to_string()
}

/// A seed nobody chose: the microseconds of the clock, below 2^53 so that every program can hold it.
pub(super) fn fresh_seed() -> u64 {
    let microseconds = u64::try_from(Timestamp::now().as_microsecond()).unwrap_or(0);
    microseconds % (1 << 53)
}
