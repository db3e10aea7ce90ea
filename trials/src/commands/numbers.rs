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
    /// There is none; without end is no number all the same.
    None,
}

/// Accepted chance of a false claim of `judge`.
pub const JUDGE_ALPHA: Number = Number {
    command: "judge",
    field: "alpha",
    meaning: "the accepted chance of a false claim",
    from: Limit::Beyond(0.0),
    to: Limit::Beyond(1.0),
    example: 0.05,
};

/// Smallest change worth having of `judge`; of a count that falls it is below 100 besides.
pub const JUDGE_WORTHWHILE: Number = Number {
    command: "judge",
    field: "worthwhile",
    meaning: "the smallest change that would matter, in per cent of a count or in the unit of the reading",
    from: Limit::Beyond(0.0),
    to: Limit::None,
    example: 50.0,
};

/// How much worse than the reference would still do, of `judge`; below 100 besides where more is better.
pub const JUDGE_MARGIN: Number = Number {
    command: "judge",
    field: "margin",
    meaning: "how much worse than the reference would still do, in per cent",
    from: Limit::Beyond(0.0),
    to: Limit::None,
    example: 20.0,
};

/// Clumping of cores of `next`.
pub const NEXT_K: Number = Number {
    command: "next",
    field: "k",
    meaning: "the clumping k of counts per core",
    from: Limit::Itself(0.0),
    // Without end: no clumps at all.
    to: Limit::Itself(f64::INFINITY),
    example: 0.8,
};

/// Clumping of plots of `next`.
pub const NEXT_K_PLOT: Number = Number {
    command: "next",
    field: "k_plot",
    meaning: "the clumping k of whole plots",
    from: Limit::Itself(0.0),
    // Without end: no clumps at all.
    to: Limit::Itself(f64::INFINITY),
    example: 5.0,
};

/// Mean count of a core of `next`.
pub const NEXT_MEAN: Number = Number {
    command: "next",
    field: "mean",
    meaning: "the mean count of a core in untreated ground",
    from: Limit::Itself(0.0),
    to: Limit::None,
    example: 3.0,
};

/// Spread between blocks of `next`.
pub const NEXT_BLOCK_SD: Number = Number {
    command: "next",
    field: "block_sd",
    meaning: "the standard deviation of the log mean between blocks",
    from: Limit::Itself(0.0),
    to: Limit::None,
    example: 0.4,
};

/// All of them.
pub const NUMBERS: &[Number] = &[
    JUDGE_ALPHA,
    JUDGE_WORTHWHILE,
    JUDGE_MARGIN,
    NEXT_K,
    NEXT_K_PLOT,
    NEXT_MEAN,
    NEXT_BLOCK_SD,
];

impl Number {
    /// The range in words: `above 0 and below 1`.
    #[must_use]
    pub fn range(&self) -> String {
        let from = match self.from {
            Limit::Itself(x) => Some(format!("at least {x}")),
            Limit::Beyond(x) => Some(format!("above {x}")),
            Limit::None => None,
        };
        let to = match self.to {
            Limit::Itself(x) if x < f64::INFINITY => Some(format!("at most {x}")),
            Limit::Beyond(x) => Some(format!("below {x}")),
            Limit::Itself(_) | Limit::None => None,
        };
        let ends: Vec<String> = from.into_iter().chain(to).collect();
        if ends.is_empty() {
            "any number".to_owned()
        } else {
            ends.join(" and ")
        }
    }

    /// Whether a number lies within the limits.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        let above = match self.from {
            Limit::Itself(x) => value >= x,
            Limit::Beyond(x) => value > x,
            Limit::None => value > f64::NEG_INFINITY,
        };
        let below = match self.to {
            Limit::Itself(x) => value <= x,
            Limit::Beyond(x) => value < x,
            Limit::None => value < f64::INFINITY,
        };
        above && below
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
