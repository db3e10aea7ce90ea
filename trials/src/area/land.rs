//! Two pieces of ground: apart, one in the other, the same, or sharing some.

use geo::{Area, BooleanOps, Polygon};

use super::edges::{Edges, Meeting, meeting};

/// Area below which ground is none, square metres: a square centimetre, far below what a tape can tell and
/// above the rounding of clipping on a green of 100 m.
pub(super) const SPECK_M2: f64 = 1e-4;
/// Crossings of two rings counted at most. Two rings that people drew cross a handful of times.
const MOST_CROSSINGS: usize = 1000;

/// Pairs of edges that may still be compared while an outline is checked, so that rings drawn as hatching over
/// each other are given up and not compared line by line.
#[derive(Debug)]
pub(super) struct Budget {
    pairs: usize,
}

impl Default for Budget {
    fn default() -> Self {
        Self { pairs: 20_000_000 }
    }
}

/// A piece of ground, ready to be compared with many.
#[derive(Debug)]
pub(super) struct Land {
    pub(super) polygon: Polygon<f64>,
    pub(super) area_m2: f64,
    edges: Edges,
}

/// How one piece of ground stands to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Relation {
    /// They share no ground, though they may touch.
    Apart,
    /// The first lies in the second.
    Within,
    /// The second lies in the first.
    Around,
    /// They are the same ground.
    Same,
    /// Each has ground of its own beside what they share, square metres.
    Share(f64),
    /// Their edges cross too often to tell.
    Tangled,
}

impl Land {
    pub(super) fn new(polygon: Polygon<f64>) -> Self {
        Self {
            area_m2: polygon.unsigned_area(),
            edges: Edges::of_ground(&polygon),
            polygon,
        }
    }

    fn first_corner(&self) -> [f64; 2] {
        let corner = self.polygon.exterior().coords().next();
        corner.map_or([f64::NAN; 2], |c| [c.x, c.y])
    }

    /// How this ground stands to another.
    pub(super) fn relation(&self, other: &Self, budget: &mut Budget) -> Relation {
        let (few, many) = if self.edges.number() < other.edges.number() {
            (self, other)
        } else {
            (other, self)
        };
        let (mut crossings, mut touch) = (0, false);
        for edge in few.edges.all() {
            for near in many.edges.beside(edge) {
                match meeting(edge, near) {
                    Some(Meeting::Cross(_)) => crossings += 1,
                    Some(_) => touch = true,
                    None => {}
                }
                budget.pairs = budget.pairs.saturating_sub(1);
            }
            if crossings > MOST_CROSSINGS || budget.pairs == 0 {
                return Relation::Tangled;
            }
        }
        if crossings > 0 || touch {
            return self.by_area(other);
        }
        if other.edges.surround(self.first_corner()) {
            Relation::Within
        } else if self.edges.surround(other.first_corner()) {
            Relation::Around
        } else {
            Relation::Apart
        }
    }

    /// The same where edges touch or cross.
    fn by_area(&self, other: &Self) -> Relation {
        let shared = self.polygon.intersection(&other.polygon).unsigned_area();
        let whole = |land: &Self| shared > land.area_m2 - SPECK_M2;
        match (whole(self), whole(other)) {
            _ if shared < SPECK_M2 => Relation::Apart,
            (true, true) => Relation::Same,
            (true, false) => Relation::Within,
            (false, true) => Relation::Around,
            (false, false) => Relation::Share(shared),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::Rect;

    fn court(west: f64, south: f64, east: f64, north: f64) -> Land {
        Land::new(Rect::new((west, south), (east, north)).to_polygon())
    }

    /// Courts of 10 m by 10 m and smaller, by hand.
    #[test]
    fn courts_stand_to_each_other_as_drawn() {
        let green = court(0.0, 0.0, 10.0, 10.0);
        let to_green = |land: &Land| land.relation(&green, &mut Budget::default());
        assert_eq!(to_green(&court(20.0, 0.0, 30.0, 10.0)), Relation::Apart);
        assert_eq!(to_green(&court(10.0, 0.0, 20.0, 10.0)), Relation::Apart);
        assert_eq!(to_green(&court(2.0, 2.0, 4.0, 4.0)), Relation::Within);
        assert_eq!(to_green(&court(0.0, 0.0, 5.0, 10.0)), Relation::Within);
        assert_eq!(to_green(&court(-1.0, -1.0, 11.0, 11.0)), Relation::Around);
        assert_eq!(to_green(&court(0.0, 0.0, 10.0, 10.0)), Relation::Same);
        let Relation::Share(shared) = to_green(&court(-5.0, 4.0, 15.0, 6.0)) else {
            panic!("a strip across shares ground");
        };
        assert!((shared - 20.0).abs() < 1e-6);
    }
}
