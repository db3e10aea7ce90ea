//! Rings of corners as read, and slips in them that are put right.

use geo::{Coord, LineString, Polygon};
use halfgreen_analysis::results::Caution;

use crate::Error;
use crate::table::{Cell, RawTable};
use crate::text::names::{NAME, fault};

/// What a ring of corners stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// The edge of the green.
    Edge,
    /// Ground no plot may touch, with its name.
    Hole(String),
    /// Like ground, with its name.
    Zone(String),
}

/// A ring of corners as read, each with its place in the file.
#[derive(Debug, Clone)]
pub struct Ring {
    /// What it stands for.
    pub part: Part,
    /// Corners in order, metres.
    pub corners: Vec<[f64; 2]>,
    /// Place of each corner, `file:line:column` or a vertex number.
    pub places: Vec<String>,
}

impl Part {
    /// Reads the `part` cell of a table.
    pub(super) fn read(table: &RawTable, cell: &Cell) -> Result<Self, Error> {
        if let Some((what, cure)) = fault(&cell.text, NAME) {
            return Err(Error::new(table.place(cell), what, cure));
        }
        let text = cell.text.to_lowercase();
        let (word, name) = text.split_once(' ').unwrap_or((text.as_str(), ""));
        match (word, name.trim()) {
            ("" | "edge", _) => Ok(Self::Edge),
            ("hole", name) => Ok(Self::Hole(name.to_owned())),
            ("zone", name) if !name.is_empty() => Ok(Self::Zone(name.to_owned())),
            _ => Err(Error::new(
                table.place(cell),
                format!("`{text}` is no part of a green"),
                "Write `edge`, `hole NAME` or `zone NAME`.",
            )),
        }
    }

    pub(super) fn name(&self) -> String {
        match self {
            Self::Edge => "the edge".to_owned(),
            Self::Hole(name) => format!("the hole {name}").trim_end().to_owned(),
            Self::Zone(name) => format!("the zone {name}"),
        }
    }
}

impl Ring {
    /// An empty ring.
    #[must_use]
    pub fn new(part: Part) -> Self {
        Self {
            part,
            corners: Vec::new(),
            places: Vec::new(),
        }
    }

    /// Adds a corner with its place.
    pub fn push(&mut self, corner: [f64; 2], place: String) {
        self.corners.push(corner);
        self.places.push(place);
    }

    pub(super) fn polygon(&self) -> Polygon<f64> {
        Polygon::new(self.line(), Vec::new())
    }

    pub(super) fn line(&self) -> LineString<f64> {
        self.corners.iter().map(|&[x, y]| Coord { x, y }).collect()
    }

    /// Puts harmless slips right and says so.
    pub(super) fn repair(&mut self, repairs: &mut Vec<Caution>) {
        let name = self.part.name();
        if self.corners.len() > 1 && self.corners.first() == self.corners.last() {
            self.corners.pop();
            self.places.pop();
            repairs.push(Caution::new(
                "closing-corner-dropped",
                format!("The last corner of {name} repeats the first; the ring closes by itself, so it was dropped."),
            ));
        }
        let before = self.corners.len();
        let fresh: Vec<bool> = (0..before)
            .map(|i| i == 0 || self.corners[i] != self.corners[i - 1])
            .collect();
        keep(&mut self.corners, &fresh);
        keep(&mut self.places, &fresh);
        let dropped = before - self.corners.len();
        if dropped > 0 {
            repairs.push(Caution::new(
                "repeated-corner-dropped",
                format!("{dropped} corner(s) of {name} repeat the one before and were dropped."),
            ));
        }
        if twice_area(&self.corners) < 0.0 {
            self.corners.reverse();
            self.places.reverse();
            if self.part == Part::Edge {
                repairs.push(Caution::new(
                    "clockwise-turned",
                    "The edge runs clockwise; it was turned anticlockwise. Nothing else changes.",
                ));
            }
        }
    }
}

/// Keeps the items marked.
fn keep<T>(items: &mut Vec<T>, marked: &[bool]) {
    let mut marks = marked.iter();
    items.retain(|_| marks.next().is_some_and(|&kept| kept));
}

/// Twice the signed area, by the shoelace formula about the first corner; anticlockwise is positive.
pub(super) fn twice_area(corners: &[[f64; 2]]) -> f64 {
    let Some(&[ox, oy]) = corners.first() else {
        return 0.0;
    };
    corners
        .windows(2)
        .map(|w| (w[0][0] - ox) * (w[1][1] - oy) - (w[1][0] - ox) * (w[0][1] - oy))
        .sum()
}
