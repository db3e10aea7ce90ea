//! Every number that somebody may hand to the tool: what it means, within which limits it lies, and why.
//!
//! One table for each door: [`request`] for what commands are asked, [`protocol`] for `trial.toml`, [`season`] for a season file, [`outline`] for the
//! green, [`tables`] for files of rows. Refusals are made from a line of it, and so is the page of all
//! ranges ([`page`]); a number that is not here has no business at a door.

pub mod night;
pub mod outline;
pub mod page;
pub mod protocol;
pub mod request;
pub mod season;
pub mod tables;

use crate::Error;

/// What one number may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The command, section of `trial.toml` or file that holds it.
    pub home: &'static str,
    /// Its name there: field, key or column; in prose where it has none.
    pub name: &'static str,
    /// What it is.
    pub meaning: &'static str,
    /// Unit; nothing where things are counted or shared.
    pub unit: &'static str,
    /// Where the numbers begin that it may be.
    pub least: Limit,
    /// Where they end.
    pub most: Limit,
    /// A number that does.
    pub example: f64,
    /// Why it is not less or more, as a clause.
    pub reason: &'static str,
}

/// An end of a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// The number itself may be taken.
    Itself(f64),
    /// Only numbers beyond it.
    Beyond(f64),
    /// There is none, and a number without end may be taken.
    Endless,
}

use Limit::{Beyond, Endless, Itself};

/// A table of ranges, a line a number: its name here, then home, name, meaning, unit, limits, an example, the reason.
macro_rules! ranges {
    ($($(#[$note:meta])* $constant:ident: $home:literal $name:literal, $meaning:literal, $unit:literal, $least:expr, $most:expr,
        $example:literal, $reason:literal;)*) => {
        $(
            #[doc = $meaning]
            $(#[$note])*
            pub const $constant: $crate::ranges::Range = $crate::ranges::Range {
                home: $home,
                name: $name,
                meaning: $meaning,
                unit: $unit,
                least: $least,
                most: $most,
                example: $example,
                reason: $reason,
            };
        )*

        /// The whole table.
        pub const RANGES: &[$crate::ranges::Range] = &[$($constant,)*];
    };
}
use ranges;

impl Range {
    /// Whether a value lies in the range.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        let above = match self.least {
            Itself(x) => value >= x,
            Beyond(x) => value > x,
            Endless => true,
        };
        let below = match self.most {
            Itself(x) => value <= x,
            Beyond(x) => value < x,
            Endless => true,
        };
        !value.is_nan() && above && below
    }

    /// Whether a whole number lies in the range.
    #[must_use]
    pub fn holds_whole(&self, value: u64) -> bool {
        self.holds(value as f64)
    }

    /// Where the range ends, as a number; without end where it has none.
    #[must_use]
    pub const fn end(&self) -> f64 {
        match self.most {
            Itself(x) | Beyond(x) => x,
            Endless => f64::INFINITY,
        }
    }

    /// Where it begins, as a number.
    #[must_use]
    pub const fn start(&self) -> f64 {
        match self.least {
            Itself(x) | Beyond(x) => x,
            Endless => f64::NEG_INFINITY,
        }
    }

    /// The same range under another name of its home.
    #[must_use]
    pub const fn named(self, name: &'static str) -> Self {
        Self { name, ..self }
    }

    /// The range in words: `above 0 and below 1`, `from 1 to 1 000`.
    #[must_use]
    pub fn words(&self) -> String {
        let unit = |text: String| format!("{text} {}", self.unit).trim_end().to_owned();
        match (self.least, self.most) {
            (Itself(least), Itself(most)) => {
                unit(format!("from {} to {}", shown(least), shown(most)))
            }
            (least, most) => {
                let least = match least {
                    Itself(x) => Some(format!("at least {}", shown(x))),
                    Beyond(x) => Some(format!("above {}", shown(x))),
                    Endless => None,
                };
                let most = match most {
                    Itself(x) => Some(format!("at most {}", shown(x))),
                    Beyond(x) => Some(format!("below {}", shown(x))),
                    Endless => None,
                };
                let ends: Vec<String> = least.into_iter().chain(most).collect();
                unit(ends.join(" and "))
            }
        }
    }

    /// What is wrong with a value outside the range, as it was written.
    #[must_use]
    pub fn fault(&self, written: &str) -> String {
        format!("{written} is not {}: {}", self.words(), self.reason)
    }

    /// What to give instead.
    #[must_use]
    pub fn cure(&self) -> String {
        let unit = match self.unit {
            "" => String::new(),
            unit => format!(" ({unit})"),
        };
        format!("Give {}{unit}, such as {}.", self.meaning, self.example)
    }

    /// The refusal of a value outside the range at a place, which `found` describes.
    pub(crate) fn refuse(&self, place: impl Into<String>, found: &str, cure: &str) -> Error {
        let limits = match (self.least, self.most) {
            // What is measured or counted is never below nothing.
            (Itself(0.0), Itself(most)) => format!("at most {} {}", shown(most), self.unit),
            _ => self.words(),
        };
        let what = format!(
            "{found}, but {} is {}: {}",
            self.name,
            limits.trim_end(),
            self.reason
        );
        Error::new(place, what, cure)
    }

    /// The refusal of a field of a request outside the range.
    fn in_field(&self, value: f64) -> Option<Error> {
        (!self.holds(value))
            .then(|| Error::in_field(self.name, self.fault(&shown(value)), self.cure()))
    }
}

/// Refuses numbers of a request outside their ranges, all of them at once; those that are not given pass.
///
/// # Errors
/// One for each such number, with its field.
pub fn within_limits(given: &[(Range, Option<f64>)]) -> Result<(), Vec<Error>> {
    let given = given.iter().filter_map(|(n, value)| Some((n, (*value)?)));
    let faults: Vec<Error> = given
        .filter_map(|(range, value)| range.in_field(value))
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// A number as it was meant, in powers of ten where figures would run across the page.
pub(crate) fn shown(value: f64) -> String {
    let size = value.abs();
    if size == 0.0 || (1e-6..1e9).contains(&size) || !value.is_finite() {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Refusals are sentences, and a range holds its example and neither what is no number nor what has no end.
    #[test]
    fn every_range_has_ends_an_example_and_a_reason() {
        for range in page::DOORS.iter().flat_map(|door| door.ranges) {
            assert!(range.start() < range.end(), "{range:?}");
            assert!(range.holds(range.example), "{range:?}");
            assert!(!range.holds(f64::NAN), "{range:?}");
            assert!(!range.holds(f64::NEG_INFINITY), "{range:?}");
            assert!(
                range.most == Endless || !range.holds(f64::INFINITY),
                "{range:?}"
            );
            let reason = range.reason;
            assert!(!reason.is_empty() && !reason.ends_with('.'), "{range:?}");
            assert!(range.fault("1").contains(reason), "{range:?}");
        }
        assert_eq!(request::JUDGE_ALPHA.words(), "from 0.000001 to 0.5");
        assert_eq!(request::GRID_SPACING.words(), "from 0.1 to 1000 m");
        assert_eq!(shown(1e308), "1e308");
        assert_eq!(shown(-12.5), "-12.5");
    }
}
