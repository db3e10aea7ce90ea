//! A checked outline in local metres, and what can be measured on it.

use geo::algorithm::buffer::BufferStyle;
use geo::{Area, Buffer, Contains, Distance, Euclidean, Length, MultiPolygon, Point, Polygon};

use super::clearance::width;
use super::projection::LocalFrame;
use crate::Error;
use halfgreen_analysis::results::Caution;

/// A green: its edge, the holes in it, and the zones marked on it. Made only by [`super::checked`].
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Edge (anticlockwise) and holes (clockwise), metres.
    pub ground: Polygon<f64>,
    /// The holes as they were drawn, with their names; [`ground`](Self::ground) has what is left of the green.
    pub holes: Vec<Hole>,
    /// Named pieces of like ground (wet, dry, shade); they may reach beyond the edge.
    pub zones: Vec<Zone>,
    /// Where the metres came from, when the outline was given in longitude and latitude.
    pub frame: Option<LocalFrame>,
    /// Harmless slips that were put right, and simplifications made.
    pub repairs: Vec<Caution>,
}

/// Ground that no plot may touch, as it was drawn: it may reach beyond the edge or into another.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Name, such as `bunker`; empty where it has none.
    pub name: String,
    /// Its edge.
    pub ground: Polygon<f64>,
}

/// A named piece of ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// Name, such as `wet`.
    pub name: String,
    /// Its edge.
    pub ground: Polygon<f64>,
    /// Places in [`Outline::zones`] of earlier zones that claim some of its ground, and have it.
    pub before: Vec<usize>,
}

impl Outline {
    /// Area inside the edge less the holes, square metres.
    #[must_use]
    pub fn area_m2(&self) -> f64 {
        self.ground.unsigned_area()
    }

    /// Length of the outer edge, metres; holes are not counted.
    #[must_use]
    pub fn perimeter_m(&self) -> f64 {
        Euclidean.length(self.ground.exterior())
    }

    /// Least and greatest corner of the box round the edge: `([west, south], [east, north])`.
    #[must_use]
    pub fn bounds(&self) -> ([f64; 2], [f64; 2]) {
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        for c in self.ground.exterior().coords() {
            low = [low[0].min(c.x), low[1].min(c.y)];
            high = [high[0].max(c.x), high[1].max(c.y)];
        }
        (low, high)
    }

    /// Whether a point lies on the green: inside the edge and in no hole.
    #[must_use]
    pub fn contains(&self, x_m: f64, y_m: f64) -> bool {
        self.ground.contains(&Point::new(x_m, y_m))
    }

    /// Distance from a point to the nearest edge or hole, metres.
    #[must_use]
    pub fn distance_to_edge_m(&self, x_m: f64, y_m: f64) -> f64 {
        let point = Point::new(x_m, y_m);
        std::iter::once(self.ground.exterior())
            .chain(self.ground.interiors())
            .map(|ring| Euclidean.distance(&point, ring))
            .fold(f64::INFINITY, f64::min)
    }

    /// Name of the first zone that holds a point.
    #[must_use]
    pub fn zone_of(&self, x_m: f64, y_m: f64) -> Option<&str> {
        let point = Point::new(x_m, y_m);
        self.zones
            .iter()
            .find(|zone| zone.ground.contains(&point))
            .map(|zone| zone.name.as_str())
    }

    /// The green drawn in by `margin_m` from its edge and from every hole; several pieces where a
    /// neck is narrower than twice the margin. Corners of holes are rounded by chords that stay
    /// within a thousandth of the margin.
    ///
    /// # Errors
    /// A negative margin, or one that leaves nothing.
    pub fn inset(&self, margin_m: f64) -> Result<MultiPolygon<f64>, Error> {
        width(margin_m)?;
        if margin_m == 0.0 {
            return Ok(MultiPolygon::new(vec![self.ground.clone()]));
        }
        // Buffering an empty ring panics in geo 0.33, so empty rings are dropped first.
        let (edge, holes) = self.ground.clone().into_inner();
        let holes = holes.into_iter().filter(|h| h.0.len() > 3).collect();
        let style = BufferStyle::new(-margin_m);
        let left = Polygon::new(edge, holes).buffer_with_style(style);
        if left.unsigned_area() <= 0.0 {
            return Err(Error::new(
                "margin",
                format!("a margin of {margin_m} m leaves nothing of this green"),
                "Choose a narrower margin.",
            ));
        }
        Ok(left)
    }
}
