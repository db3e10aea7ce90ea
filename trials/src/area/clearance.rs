//! Many questions about one outline: inside by a margin?

use super::Outline;

/// Squares laid over the box round the green, along each axis.
const SQUARES: usize = 128;

/// An outline prepared for many points and one margin.
///
/// Edges are sorted into level bands, so that a question looks at few of them; squares of ground
/// that lie wholly within or wholly without the margin are marked beforehand and answer at once.
#[derive(Debug, Clone)]
pub struct Clearance {
    edges: Vec<[[f64; 2]; 2]>,
    bands: Vec<Vec<usize>>,
    low: [f64; 2],
    high: [f64; 2],
    margin_m: f64,
    squares: Vec<Option<bool>>,
}

impl Clearance {
    /// Prepares the ground, holes included, for a margin of at least 0 metres.
    #[must_use]
    pub fn new(outline: &Outline, margin_m: f64) -> Self {
        let ground = &outline.ground;
        let edges: Vec<[[f64; 2]; 2]> = std::iter::once(ground.exterior())
            .chain(ground.interiors())
            .flat_map(geo::LineString::lines)
            .map(|l| [[l.start.x, l.start.y], [l.end.x, l.end.y]])
            .collect();
        let (low, high) = outline.bounds();
        let mut index = Self {
            bands: vec![Vec::new(); edges.len().clamp(1, 512)],
            edges,
            low,
            high,
            margin_m,
            squares: Vec::new(),
        };
        for (i, edge) in index.edges.iter().enumerate() {
            let (first, last) = index.span(edge[0][1].min(edge[1][1]), edge[0][1].max(edge[1][1]));
            for band in &mut index.bands[first..=last] {
                band.push(i);
            }
        }
        index.squares = (0..SQUARES * SQUARES).map(|i| index.square(i)).collect();
        index
    }

    /// Whether a point lies on the green and at least the margin from its edge and every hole.
    #[must_use]
    pub fn inside(&self, x_m: f64, y_m: f64) -> bool {
        let p = [x_m, y_m];
        if (0..2).any(|axis| p[axis] < self.low[axis] || p[axis] > self.high[axis]) {
            return false;
        }
        let at = [0, 1].map(|axis| {
            let share = (p[axis] - self.low[axis]) / (self.high[axis] - self.low[axis]);
            whole(share * SQUARES as f64).min(SQUARES - 1)
        });
        self.squares[at[1] * SQUARES + at[0]].unwrap_or_else(|| {
            self.within(p) && self.nearest_squared(p, self.margin_m) >= self.margin_m.powi(2)
        })
    }

    /// What is certain of a whole square of ground, from its middle and its half diagonal.
    fn square(&self, i: usize) -> Option<bool> {
        let side = [0, 1].map(|axis| (self.high[axis] - self.low[axis]) / SQUARES as f64);
        let at = [i % SQUARES, i / SQUARES];
        let middle = [0, 1].map(|axis| (at[axis] as f64 + 0.5).mul_add(side[axis], self.low[axis]));
        let half = side[0].hypot(side[1]) / 2.0;
        let reach = self.margin_m + half;
        let nearest = self.nearest_squared(middle, reach).sqrt();
        if self.within(middle) {
            if nearest > reach {
                return Some(true);
            }
            // Every point of the square is nearer than the margin to the same edge.
            (nearest + half < self.margin_m).then_some(false)
        } else {
            (nearest > half).then_some(false)
        }
    }

    /// Whether a point lies on the green, by the edges west of it.
    fn within(&self, [x, y]: [f64; 2]) -> bool {
        let (own, _) = self.span(y, y);
        let crossed = self.bands[own].iter().filter(|&&i| {
            let [[ax, ay], [bx, by]] = self.edges[i];
            (ay <= y) != (by <= y) && ((y - ay) / (by - ay)).mul_add(bx - ax, ax) < x
        });
        crossed.count() % 2 == 1
    }

    /// Squared distance to the nearest edge that comes within `reach` of the point's height; infinite
    /// when none does.
    fn nearest_squared(&self, [x, y]: [f64; 2], reach: f64) -> f64 {
        let (first, last) = self.span(y - reach, y + reach);
        self.bands[first..=last]
            .iter()
            .flatten()
            .filter(|&&i| {
                let [a, b] = self.edges[i];
                a[0].min(b[0]) <= x + reach && a[0].max(b[0]) >= x - reach
            })
            .map(|&i| distance_squared(self.edges[i], [x, y]))
            .fold(f64::INFINITY, f64::min)
    }

    /// Bands touched between two heights; heights beyond the ground count as its nearest band.
    fn span(&self, bottom: f64, top: f64) -> (usize, usize) {
        let band = |y: f64| {
            let share = (y - self.low[1]) / (self.high[1] - self.low[1]) * self.bands.len() as f64;
            whole(share.max(0.0)).min(self.bands.len() - 1)
        };
        (band(bottom), band(top))
    }
}

/// A float of at least 0 as a whole number.
fn whole(value: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "positive by the caller; the cast drops the fraction and saturates"
    )]
    let whole = value as usize;
    whole
}

/// Squared distance from a point to an edge.
fn distance_squared([a, b]: [[f64; 2]; 2], p: [f64; 2]) -> f64 {
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
