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
    /// There is none.
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

const fn share(
    command: &'static str,
    field: &'static str,
    meaning: &'static str,
    example: f64,
) -> Number {
    Number {
        command,
        field,
        meaning,
        from: Limit::Beyond(0.0),
        to: Limit::Beyond(1.0),
        example,
    }
}

const fn above_zero(
    command: &'static str,
    field: &'static str,
    meaning: &'static str,
    example: f64,
) -> Number {
    Number {
        command,
        field,
        meaning,
        from: Limit::Beyond(0.0),
        to: Limit::None,
        example,
    }
}

/// Mean of `stopline` that is surely fine.
pub const STOPLINE_LOWER: Number = above_zero(
    "stopline",
    "lower",
    "the mean per core that is surely fine",
    1.0,
);

/// Mean of `stopline` that surely asks for action.
pub const STOPLINE_UPPER: Number = above_zero(
    "stopline",
    "upper",
    "the mean per core that surely asks for action",
    3.0,
);

/// Chance of acting on a green at the lower mean.
pub const STOPLINE_ALPHA: Number = share(
    "stopline",
    "alpha",
    "the chance of acting at the lower mean",
    0.1,
);

/// Chance of not acting on a green at the upper mean.
pub const STOPLINE_BETA: Number = share(
    "stopline",
    "beta",
    "the chance of not acting at the upper mean",
    0.1,
);

/// Standard error over the mean at which Green's plan stops.
pub const STOPLINE_PRECISION: Number = above_zero(
    "stopline",
    "precision",
    "the standard error over the mean",
    0.25,
);

/// Cores at most.
pub const STOPLINE_CORES: Number = Number {
    command: "stopline",
    field: "cores",
    meaning: "the number of cores at most",
    from: Limit::Itself(1.0),
    to: Limit::Itself(1000.0),
    example: 40.0,
};

/// Number of points of `grid`.
pub const GRID_POINTS: Number = Number {
    command: "grid",
    field: "points",
    meaning: "the number of points",
    from: Limit::Itself(1.0),
    to: Limit::Itself(100_000.0),
    example: 40.0,
};

/// Distance between points, metres.
pub const GRID_SPACING: Number = above_zero(
    "grid",
    "spacing",
    "the distance between points, metres",
    3.0,
);

/// Standard error over the mean that the survey must reach.
pub const GRID_PRECISION: Number = above_zero(
    "grid",
    "precision",
    "the standard error over the mean",
    0.25,
);

/// Confidence of the interval whose half-width is the precision.
pub const GRID_CONFIDENCE: Number =
    share("grid", "confidence", "the confidence of the interval", 0.95);

/// Mean count of a core that is expected.
pub const GRID_MEAN: Number = above_zero("grid", "mean", "the mean count of a core", 2.0);

/// Area of a core, square metres.
pub const GRID_CORE_AREA: Number = above_zero(
    "grid",
    "core_area",
    "the area of a core, square metres",
    0.0079,
);

/// Distance kept from the edge, metres.
pub const GRID_MARGIN: Number = Number {
    command: "grid",
    field: "margin",
    meaning: "the distance kept from the edge, metres",
    from: Limit::Itself(0.0),
    to: Limit::None,
    example: 1.0,
};

/// Arrangements that `hotspots` draws for each test.
pub const HOTSPOTS_PERMUTATIONS: Number = Number {
    command: "hotspots",
    field: "permutations",
    meaning: "the number of arrangements drawn",
    from: Limit::Itself(0.0),
    to: Limit::Itself(1_000_000.0),
    example: 999.0,
};

/// Width of a roll of sheet, metres.
pub const HOTSPOTS_ROLL_WIDTH: Number =
    above_zero("hotspots", "roll_width", "the width of a roll, metres", 2.0);

/// Length at which strips are cut, metres.
pub const HOTSPOTS_STRIP_LENGTH: Number = above_zero(
    "hotspots",
    "strip_length",
    "the length of a strip, metres",
    10.0,
);

/// Overlap of neighbouring strips, metres.
pub const HOTSPOTS_LAP: Number = Number {
    command: "hotspots",
    field: "lap",
    meaning: "the overlap of neighbouring strips, metres",
    from: Limit::Itself(0.0),
    to: Limit::None,
    example: 0.2,
};

/// Sheet there is, square metres.
pub const HOTSPOTS_SHEET: Number = above_zero(
    "hotspots",
    "sheet",
    "the sheet there is, square metres",
    100.0,
);

/// All of them.
pub const NUMBERS: &[Number] = &[
    JUDGE_ALPHA,
    GRID_POINTS,
    GRID_SPACING,
    GRID_PRECISION,
    GRID_CONFIDENCE,
    GRID_MEAN,
    GRID_CORE_AREA,
    GRID_MARGIN,
    HOTSPOTS_PERMUTATIONS,
    HOTSPOTS_ROLL_WIDTH,
    HOTSPOTS_STRIP_LENGTH,
    HOTSPOTS_LAP,
    HOTSPOTS_SHEET,
    STOPLINE_LOWER,
    STOPLINE_UPPER,
    STOPLINE_ALPHA,
    STOPLINE_BETA,
    STOPLINE_PRECISION,
    STOPLINE_CORES,
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
            Limit::Itself(x) => Some(format!("at most {x}")),
            Limit::Beyond(x) => Some(format!("below {x}")),
            Limit::None => None,
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
            Limit::None => true,
        };
        let below = match self.to {
            Limit::Itself(x) => value <= x,
            Limit::Beyond(x) => value < x,
            Limit::None => true,
        };
        value.is_finite() && above && below
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
