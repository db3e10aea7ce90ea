//! The table of numbers that a request may hold: what each means and within which limits it lies.

use crate::Error;

/// A number of a request. A page can make its box, the docs their table, and an error its sentence from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// Command whose request holds it.
    pub command: &'static str,
    /// Its name there.
    pub field: &'static str,
    /// What it is, with its unit.
    pub meaning: &'static str,
    /// Where the numbers begin that it may be.
    pub from: Limit,
    /// Where they end.
    pub to: Limit,
    /// A number that does.
    pub example: f64,
}

/// An end of a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit {
    /// The number itself may be taken.
    Itself(f64),
    /// Only numbers beyond it.
    Beyond(f64),
    /// There is none, but a number must have an end.
    Open,
    /// There is none, and a number without end may be taken.
    Endless,
}

use Limit::{Beyond, Endless, Itself, Open};

/// A line a number: its name, the command, the field, where the range begins and ends, an example, the meaning.
macro_rules! numbers {
    ($($name:ident: $command:literal $field:literal, $from:expr, $to:expr, $example:literal, $meaning:literal;)*) => {
        $(
            #[doc = $meaning]
            pub const $name: Number = Number {
                command: $command,
                field: $field,
                meaning: $meaning,
                from: $from,
                to: $to,
                example: $example,
            };
        )*

        /// All of them.
        pub const NUMBERS: &[Number] = &[$($name,)*];
    };
}

numbers! {
    GRID_POINTS: "grid" "points", Itself(1.0), Itself(100_000.0), 40.0, "the number of points";
    GRID_SPACING: "grid" "spacing", Beyond(0.0), Open, 3.0, "the distance between points, metres";
    GRID_PRECISION: "grid" "precision", Beyond(0.0), Open, 0.25, "the standard error over the mean";
    GRID_CONFIDENCE: "grid" "confidence", Beyond(0.0), Beyond(1.0), 0.95, "the confidence of the interval";
    GRID_MEAN: "grid" "mean", Beyond(0.0), Open, 2.0, "the mean count of a core, or of a square metre";
    GRID_CORE_AREA: "grid" "core_area", Beyond(0.0), Open, 0.0079, "the area of a core, square metres";
    GRID_MARGIN: "grid" "margin", Itself(0.0), Open, 1.0, "the distance kept from the edge, metres";
    // Below 100 besides for a count that is to fall.
    JUDGE_WORTHWHILE: "judge" "worthwhile", Beyond(0.0), Open, 50.0,
        "the smallest change that would matter, in per cent of a count or in the unit of the reading";
    JUDGE_ALPHA: "judge" "alpha", Beyond(0.0), Beyond(1.0), 0.05, "the accepted chance of a false claim";
    // Below 100 besides where more is better.
    JUDGE_MARGIN: "judge" "margin", Beyond(0.0), Open, 20.0,
        "how much worse than the reference would still do, in per cent";
    HOTSPOTS_PERMUTATIONS: "hotspots" "permutations", Itself(0.0), Itself(1_000_000.0), 999.0,
        "the number of arrangements drawn";
    HOTSPOTS_ROLL_WIDTH: "hotspots" "roll_width", Beyond(0.0), Open, 2.0, "the width of a roll, metres";
    HOTSPOTS_STRIP_LENGTH: "hotspots" "strip_length", Beyond(0.0), Open, 10.0, "the length of a strip, metres";
    HOTSPOTS_LAP: "hotspots" "lap", Itself(0.0), Open, 0.2, "the overlap of neighbouring strips, metres";
    HOTSPOTS_SHEET: "hotspots" "sheet", Beyond(0.0), Open, 100.0, "the sheet there is, square metres";
    // At 0 the plan itself says why no trial would do, and what would.
    NEXT_K: "next" "k", Itself(0.0), Endless, 0.8, "the clumping k of counts per core";
    NEXT_K_PLOT: "next" "k_plot", Itself(0.0), Endless, 5.0, "the clumping k of whole plots";
    NEXT_MEAN: "next" "mean", Itself(0.0), Open, 3.0, "the mean count of a core in untreated ground";
    NEXT_BLOCK_SD: "next" "block_sd", Itself(0.0), Open, 0.4, "the standard deviation of the log mean between blocks";
    STOPLINE_LOWER: "stopline" "lower", Beyond(0.0), Open, 1.0, "the mean that is surely fine";
    STOPLINE_UPPER: "stopline" "upper", Beyond(0.0), Open, 3.0, "the mean that surely asks for action";
    STOPLINE_CORE_AREA: "stopline" "core_area", Beyond(0.0), Open, 0.0092, "the area of a core, square metres";
    STOPLINE_ALPHA: "stopline" "alpha", Beyond(0.0), Beyond(1.0), 0.1, "the chance of acting at the lower mean";
    STOPLINE_BETA: "stopline" "beta", Beyond(0.0), Beyond(1.0), 0.1, "the chance of not acting at the upper mean";
    STOPLINE_PRECISION: "stopline" "precision", Beyond(0.0), Open, 0.25, "the standard error over the mean";
    STOPLINE_CORES: "stopline" "cores", Itself(1.0), Itself(1000.0), 40.0, "the number of cores at most";
}

impl Number {
    /// The range in words: `above 0 and below 1`.
    #[must_use]
    pub fn range(&self) -> String {
        let from = match self.from {
            Itself(x) => Some(format!("at least {x}")),
            Beyond(x) => Some(format!("above {x}")),
            Open | Endless => None,
        };
        let to = match self.to {
            Itself(x) => Some(format!("at most {x}")),
            Beyond(x) => Some(format!("below {x}")),
            Open | Endless => None,
        };
        let ends: Vec<String> = from.into_iter().chain(to).collect();
        if ends.is_empty() {
            "a number".to_owned()
        } else {
            ends.join(" and ")
        }
    }

    /// Whether a number lies within the limits.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        let above = match self.from {
            Itself(x) => value >= x,
            Beyond(x) => value > x,
            Open => value > f64::NEG_INFINITY,
            Endless => true,
        };
        let below = match self.to {
            Itself(x) => value <= x,
            Beyond(x) => value < x,
            Open => value < f64::INFINITY,
            Endless => true,
        };
        !value.is_nan() && above && below
    }

    /// The complaint about a number outside the limits.
    fn fault(&self, value: f64) -> Option<Error> {
        (!self.holds(value)).then(|| {
            Error::in_field(
                self.field,
                format!("{value} is not {}", self.range()),
                format!("Give {}, such as {}.", self.meaning, self.example),
            )
        })
    }
}

/// Refuses numbers outside their limits, all of them at once; those that are not given pass.
///
/// # Errors
/// One for each such number, with its field.
pub fn within_limits(given: &[(Number, Option<f64>)]) -> Result<(), Vec<Error>> {
    let given = given.iter().filter_map(|(n, value)| Some((n, (*value)?)));
    let faults: Vec<Error> = given.filter_map(|(n, value)| n.fault(value)).collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_example_lies_within_its_limits_and_an_end_that_is_none_is_no_number() {
        for number in NUMBERS {
            assert!(number.holds(number.example), "{number:?}");
            assert!(!number.holds(f64::NAN), "{number:?}");
            assert_eq!(
                number.holds(f64::INFINITY),
                number.to == Endless,
                "{number:?}"
            );
        }
        assert_eq!(JUDGE_ALPHA.range(), "above 0 and below 1");
        assert_eq!(STOPLINE_CORES.range(), "at least 1 and at most 1000");
    }
}
