//! A roll of sheet and how it is laid.

use serde::Serialize;

use crate::Error;

/// The share of a roll that its lap may take at most.
///
/// A tenth of the width covers ground of its own, else a green takes hundreds of strips.
const MOST_LAP: f64 = 0.9;

/// Sizes of a roll that can be laid. Made only by [`RollSize::new`].
#[expect(
    clippy::struct_field_names,
    reason = "every length says its unit, in JSON too"
)]
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RollSize {
    length_m: f64,
    width_m: f64,
    lap_m: f64,
    edge_m: f64,
}

impl RollSize {
    /// Sizes in metres: length and width of the roll, lap of neighbouring strips and of pieces end to end, sheet beyond
    /// the edge of the ground. `place` says in refusals where they stand.
    ///
    /// # Errors
    /// A length or width that is not above 0, a lap or margin below 0, a lap of more than nine tenths of the width or
    /// of the length.
    pub fn new(
        place: &str,
        [length_m, width_m]: [f64; 2],
        lap_m: f64,
        edge_m: f64,
    ) -> Result<Self, Error> {
        for (name, side) in [("length", length_m), ("width", width_m)] {
            if !(side.is_finite() && side > 0.0) {
                let what = format!("a roll cannot have a {name} of {side} m");
                let cure = format!("Give the {name} of the roll in metres.");
                return Err(Error::new(place, what, cure));
            }
            if lap_m > MOST_LAP * side {
                let what = format!(
                    "a lap of {lap_m} m is too much for a roll with a {name} of {side} m: a tenth of it at least must \
                     cover ground of its own"
                );
                let cure = "Give a smaller `lap_m`, such as 0.2, or correct the size of the roll.";
                return Err(Error::new(place, what, cure));
            }
        }
        for (name, value) in [("lap", lap_m), ("edge margin", edge_m)] {
            if !(value.is_finite() && value >= 0.0) {
                let what = format!("{value} m is no {name}");
                return Err(Error::new(place, what, "Give 0 m or more."));
            }
        }
        Ok(Self {
            length_m,
            width_m,
            lap_m,
            edge_m,
        })
    }

    /// Length of the roll, metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.length_m
    }

    /// Width of the roll, metres.
    #[must_use]
    pub fn width_m(&self) -> f64 {
        self.width_m
    }

    /// Least overlap of neighbours, side by side and end to end, metres.
    #[must_use]
    pub fn lap_m(&self) -> f64 {
        self.lap_m
    }

    /// Sheet beyond the edge of the ground, metres.
    #[must_use]
    pub fn edge_m(&self) -> f64 {
        self.edge_m
    }

    /// Sheet on the roll, square metres.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.length_m * self.width_m
    }

    /// From one lane to the next, metres.
    #[must_use]
    pub fn pitch_m(&self) -> f64 {
        self.width_m - self.lap_m
    }
}
