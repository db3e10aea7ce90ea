//! Every number that a file of an outline may hold, and why it may not be less or more.
//!
//! Refusals are made from [`Range::refuse`], and [`RANGES`] is the whole table.

use crate::Error;
use crate::table::{Cell, RawTable};

/// What one number may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The number, as people call it.
    pub name: &'static str,
    /// Least value taken.
    pub least: f64,
    /// Greatest value taken.
    pub most: f64,
    /// Unit; nothing where things are counted.
    pub unit: &'static str,
    /// Why no sound file holds less or more, as a clause.
    pub reason: &'static str,
}

/// East or north of the origin. Map grids that write the zone before the easting reach some 60 million metres.
pub const COORDINATE: Range = Range {
    name: "a coordinate",
    least: -1e8,
    most: 1e8,
    unit: "m",
    reason: "no map grid goes further",
};
/// Longitude; some software counts eastwards right round.
pub const LONGITUDE: Range = Range {
    name: "a longitude",
    least: -360.0,
    most: 360.0,
    unit: "degrees",
    reason: "the earth is round",
};
/// Latitude. No source for where turf ends; the plane is tested up to this latitude.
pub const LATITUDE: Range = Range {
    name: "a latitude",
    least: -80.0,
    most: 80.0,
    unit: "degrees",
    reason: "no green lies nearer to a pole",
};
/// Along the string or off it, and so within [`WIDTH`].
pub const TAPE: Range = Range {
    name: "a distance by tape",
    least: -1000.0,
    most: 1000.0,
    unit: "m",
    reason: "no green is wider",
};
/// Radius of a round hole or zone.
pub const RADIUS: Range = Range {
    name: "a radius",
    least: 0.01,
    most: 500.0,
    unit: "m",
    reason: "a sprinkler's head is wider and no green reaches further",
};
/// Box round a ring, either way. The largest greens are some 60 m across; a kilometre allows a whole
/// fairway and still catches degrees, feet and mixed map zones.
pub const WIDTH: Range = Range {
    name: "the width of the ground",
    least: 0.0,
    most: 1000.0,
    unit: "m",
    reason: "beyond that it is wider than any green",
};
/// Length of a ring.
pub const EDGE: Range = Range {
    name: "the length of an edge",
    least: 0.0,
    most: 10_000.0,
    unit: "m",
    reason: "it is two and a half times round the widest ground: the corners do not follow one another",
};
/// Ground inside the edge.
pub const AREA: Range = Range {
    name: "the area of a green",
    least: 0.01,
    most: 1e6,
    unit: "m2",
    reason: "one core takes as much",
};
/// Share of its box that a green fills; searches for plots and sample points go over the whole box.
pub const SHARE: Range = Range {
    name: "the share of its box that a green fills",
    least: 1.0,
    most: 100.0,
    unit: "%",
    reason: "ground as thin as that is a line",
};
/// Corners of all rings together, and points of a walk.
pub const CORNERS: Range = Range {
    name: "the number of corners",
    least: 3.0,
    most: 250_000.0,
    unit: "",
    reason: "a walk at one point a second takes three days to write more",
};
/// Holes of a green.
pub const HOLES: Range = Range {
    name: "the number of holes",
    least: 0.0,
    most: 50.0,
    unit: "",
    reason: "with a cup and every sprinkler head a green has a few dozen",
};
/// Zones of a green.
pub const ZONES: Range = Range {
    name: "the number of zones",
    least: 0.0,
    most: 20.0,
    unit: "",
    reason: "a zone takes a block or more, and trials have fewer blocks",
};
/// Text of the file.
pub const TEXT: Range = Range {
    name: "the size of an outline's file",
    least: 0.0,
    most: 64.0,
    unit: "MB",
    reason: "the most corners with all that a recorder writes beside them take less",
};
/// Headings of a table of corners.
pub const COLUMNS: Range = Range {
    name: "the number of columns of an outline",
    least: 2.0,
    most: 30.0,
    unit: "",
    reason: "an outline has four, and a spreadsheet adds a few of its own",
};
/// How far the end of a walk may lie from its start. Nineteen of twenty positions of a phone are within 10 m
/// (quoted in Al-Azizi and Shafri 2017, *Int. J. Navigation and Observation*, 6750346).
pub const GAP: Range = Range {
    name: "the gap between a walk's start and its end",
    least: 0.0,
    most: 10.0,
    unit: "m",
    reason: "a phone errs by no more than 10 m nineteen times in twenty",
};

/// The whole table.
pub const RANGES: [Range; 15] = [
    COORDINATE, LONGITUDE, LATITUDE, TAPE, RADIUS, WIDTH, EDGE, AREA, SHARE, CORNERS, HOLES, ZONES,
    TEXT, COLUMNS, GAP,
];

impl Range {
    /// Whether a value lies in the range.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        (self.least..=self.most).contains(&value)
    }

    /// The number in a cell of a table.
    pub(super) fn number_in(&self, table: &RawTable, cell: &Cell) -> Result<f64, Error> {
        let value = table.number_in(cell)?;
        if self.holds(value) {
            return Ok(value);
        }
        let found = format!("this is {} {}", shown(value), self.unit);
        Err(self.refuse(table.place(cell), &found, "Correct the number."))
    }

    /// The refusal of a value outside the range, which `found` describes.
    pub(super) fn refuse(&self, place: impl Into<String>, found: &str, cure: &str) -> Error {
        let from = if self.least == 0.0 {
            "at most".to_owned()
        } else {
            format!("{} to", self.least)
        };
        let limits = format!("{from} {} {}", self.most, self.unit);
        let what = format!(
            "{found}, but {} is {}: {}",
            self.name,
            limits.trim_end(),
            self.reason
        );
        Error::new(place, what, cure)
    }
}

/// A number as it was meant, in powers of ten where figures would run across the page.
pub(super) fn shown(value: f64) -> String {
    if value.abs() < 1e9 {
        value.to_string()
    } else {
        format!("{value:.1e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Refusals are sentences, and every range has two ends and a reason.
    #[test]
    fn every_range_has_ends_and_a_reason() {
        for range in RANGES {
            assert!(
                range.least < range.most && !range.reason.ends_with('.'),
                "{range:?}"
            );
            assert!(range.holds(range.least) && range.holds(range.most));
            assert!(!range.holds(range.most * 1.01) && !range.holds(f64::NAN));
            let refused = range
                .refuse("here", "this is too much", "Take less.")
                .to_string();
            assert!(
                refused.contains(range.reason) && refused.contains(range.unit),
                "{refused}"
            );
        }
        assert_eq!(shown(1e308), "1.0e308");
        assert_eq!(shown(-12.5), "-12.5");
    }
}
