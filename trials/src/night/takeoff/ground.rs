//! The ground that sheet must lie on: what is to be covered, and the margin round it.

use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{
    AffineOps, AffineTransform, BoundingRect, Buffer, ConvexHull, Coord, LineString, MultiPolygon,
    Polygon, Simplify,
};

/// Whether sheet may lie over holes, such as bunkers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Holes {
    /// A hole stays bare where it leaves a lane free for [`LEAST_GAP_M`](super::LEAST_GAP_M) or more. A strip lies over
    /// the rest of it.
    #[default]
    Bare,
    /// They are covered like the ground round them.
    Covered,
}

/// Angle of the chords that stand for the rounded corners of the margin, radians. A turn of just less than two of them is
/// drawn as one chord, so at corners the margin is short by 1 - cos(0.03), a half of a thousandth, at most.
const CHORD: f64 = 0.03;

/// Corners beyond which directions are compared on a thinned edge; the direction chosen is laid on all corners.
const MANY_CORNERS: usize = 400;

/// How far a corner may lie from the line through its neighbours to be left out of the comparison, metres: a tenth of
/// the step to which lengths are cut.
const THINNED_M: f64 = 0.01;

/// The ground with its margin, about an origin of its own: map grids would leave too few digits for millimetres.
#[derive(Debug, Clone)]
pub(super) struct Ground {
    rings: Vec<Vec<[f64; 2]>>,
    thinned: Option<Vec<Vec<[f64; 2]>>>,
    pub(super) origin: [f64; 2],
}

impl Ground {
    /// The ground widened by `edge_m`; nothing where it has no corners.
    pub(super) fn new(ground: &Polygon<f64>, edge_m: f64, holes: Holes) -> Option<Self> {
        let low = ground.bounding_rect()?.min();
        let (edge, inner) = ground
            .affine_transform(&AffineTransform::translate(-low.x, -low.y))
            .into_inner();
        // Buffering an empty ring panics in geo 0.33, so empty rings are dropped.
        let inner = match holes {
            Holes::Bare => inner.into_iter().filter(|h| h.0.len() > 3).collect(),
            Holes::Covered => Vec::new(),
        };
        let wide = widened(Polygon::new(edge, inner), edge_m);
        let corners: usize = lines(&wide).map(|ring| ring.0.len()).sum();
        let thinned = (corners > MANY_CORNERS).then(|| rings(&wide.simplify(THINNED_M)));
        Some(Self {
            rings: rings(&wide),
            thinned,
            origin: [low.x, low.y],
        })
    }

    /// Rings of the ground turned so that lanes along `angle_deg` lie level: along, across.
    pub(super) fn turned(&self, angle_deg: f64) -> Vec<Vec<[f64; 2]>> {
        turned(&self.rings, angle_deg)
    }

    /// The same, near enough to compare directions by.
    pub(super) fn nearly(&self, angle_deg: f64) -> Vec<Vec<[f64; 2]>> {
        turned(self.thinned.as_ref().unwrap_or(&self.rings), angle_deg)
    }

    /// Edges of the convex hull as steps east and north.
    pub(super) fn hull(&self) -> Vec<[f64; 2]> {
        let rings = self.thinned.as_ref().unwrap_or(&self.rings);
        let corners = rings.iter().flatten().map(|c| Coord { x: c[0], y: c[1] });
        let hull = LineString::new(corners.collect()).convex_hull();
        hull.exterior().lines().map(|l| [l.dx(), l.dy()]).collect()
    }
}

/// A polygon widened all round, its corners rounded by chords.
fn widened(ground: Polygon<f64>, edge_m: f64) -> MultiPolygon<f64> {
    if edge_m == 0.0 {
        return MultiPolygon::new(vec![ground]);
    }
    let style = BufferStyle::new(edge_m).line_join(LineJoin::Round(CHORD));
    ground.buffer_with_style(style)
}

fn lines(ground: &MultiPolygon<f64>) -> impl Iterator<Item = &LineString<f64>> {
    ground
        .iter()
        .flat_map(|p| std::iter::once(p.exterior()).chain(p.interiors()))
}

fn rings(ground: &MultiPolygon<f64>) -> Vec<Vec<[f64; 2]>> {
    lines(ground)
        .map(|ring| ring.coords().map(|c| [c.x, c.y]).collect())
        .collect()
}

fn turned(rings: &[Vec<[f64; 2]>], angle_deg: f64) -> Vec<Vec<[f64; 2]>> {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    let turn = |c: &[f64; 2]| {
        [
            c[0].mul_add(cos, c[1] * sin),
            c[1].mul_add(cos, -c[0] * sin),
        ]
    };
    rings
        .iter()
        .map(|ring| ring.iter().map(turn).collect())
        .collect()
}
