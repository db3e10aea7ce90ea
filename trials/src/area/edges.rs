//! The edges of rings in an index: which lie near a place, and which surround it.

use geo::algorithm::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Line, LineString, Polygon};
use rstar::{AABB, PointDistance, RTree, RTreeObject};

/// An edge of a ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Edge {
    pub(super) from: [f64; 2],
    pub(super) to: [f64; 2],
    /// Place in its ring: from corner `at` to the next.
    pub(super) at: usize,
}

/// Edges by place.
#[derive(Debug, Clone)]
pub(super) struct Edges {
    tree: RTree<Edge>,
}

impl RTreeObject for Edge {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.from, self.to)
    }
}

impl PointDistance for Edge {
    fn distance_2(&self, p: &[f64; 2]) -> f64 {
        let (a, b) = (self.from, self.to);
        let (ux, uy) = (b[0] - a[0], b[1] - a[1]);
        let (vx, vy) = (p[0] - a[0], p[1] - a[1]);
        let length = ux.mul_add(ux, uy * uy);
        let share = if length > 0.0 {
            (ux.mul_add(vx, uy * vy) / length).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let (dx, dy) = (share.mul_add(-ux, vx), share.mul_add(-uy, vy));
        dx.mul_add(dx, dy * dy)
    }
}

impl Edge {
    pub(super) fn length(&self) -> f64 {
        (self.to[0] - self.from[0]).hypot(self.to[1] - self.from[1])
    }

    pub(super) fn line(&self) -> Line<f64> {
        let end = |[x, y]: [f64; 2]| Coord { x, y };
        Line::new(end(self.from), end(self.to))
    }
}

/// The edges of a closed ring of corners.
pub(super) fn around(corners: &[[f64; 2]]) -> impl Iterator<Item = Edge> {
    (0..corners.len()).map(|at| Edge {
        from: corners[at],
        to: corners[(at + 1) % corners.len()],
        at,
    })
}

impl Edges {
    /// The edges of a ring of corners.
    pub(super) fn of_ring(corners: &[[f64; 2]]) -> Self {
        Self {
            tree: RTree::bulk_load(around(corners).collect()),
        }
    }

    /// The edges of a polygon, holes included.
    pub(super) fn of_ground(ground: &Polygon<f64>) -> Self {
        let rings = std::iter::once(ground.exterior()).chain(ground.interiors());
        let edges = rings
            .flat_map(LineString::lines)
            .enumerate()
            .map(|(at, l)| Edge {
                from: [l.start.x, l.start.y],
                to: [l.end.x, l.end.y],
                at,
            });
        Self {
            tree: RTree::bulk_load(edges.collect()),
        }
    }

    pub(super) fn number(&self) -> usize {
        self.tree.size()
    }

    pub(super) fn all(&self) -> impl Iterator<Item = &Edge> {
        self.tree.iter()
    }

    /// Edges whose box meets the box of `edge`.
    pub(super) fn beside(&self, edge: &Edge) -> impl Iterator<Item = &Edge> {
        self.tree.locate_in_envelope_intersecting(&edge.envelope())
    }

    /// Whether a point lies inside, by the edges west of it. A point on an edge may lie either way.
    pub(super) fn surround(&self, [x, y]: [f64; 2]) -> bool {
        let west = self.tree.root().envelope().lower()[0].min(x);
        let ray = AABB::from_corners([west, y], [x, y]);
        let crossed = self
            .tree
            .locate_in_envelope_intersecting(&ray)
            .filter(|edge| {
                let ([ax, ay], [bx, by]) = (edge.from, edge.to);
                (ay <= y) != (by <= y) && ((y - ay) / (by - ay)).mul_add(bx - ax, ax) < x
            });
        crossed.count() % 2 == 1
    }

    /// Squared distance from a point to the nearest edge.
    pub(super) fn nearest_squared(&self, p: [f64; 2]) -> f64 {
        let nearest = self.tree.nearest_neighbor(&p);
        nearest.map_or(f64::INFINITY, |edge| edge.distance_2(&p))
    }
}

/// How two edges meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Meeting {
    /// They cross inside both.
    Cross([f64; 2]),
    /// An end of one lies on the other.
    Touch([f64; 2]),
    /// They share a stretch.
    Overlie([f64; 2]),
}

/// How two edges meet, if they do, by geo's robust predicates.
pub(super) fn meeting(a: &Edge, b: &Edge) -> Option<Meeting> {
    Some(match line_intersection(a.line(), b.line())? {
        LineIntersection::SinglePoint {
            intersection: p,
            is_proper,
        } if is_proper => Meeting::Cross([p.x, p.y]),
        LineIntersection::SinglePoint {
            intersection: p, ..
        } => Meeting::Touch([p.x, p.y]),
        LineIntersection::Collinear { intersection: l } if l.start == l.end => {
            Meeting::Touch([l.start.x, l.start.y])
        }
        LineIntersection::Collinear { intersection: l } => Meeting::Overlie([l.start.x, l.start.y]),
    })
}
