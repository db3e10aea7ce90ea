//! How much of a window is still covered when a copy of it is shifted.

use super::window::{Window, cross, from};
use crate::spatial::Place;

/// A window as triangles that share one corner, each counted with a sign.
#[derive(Debug)]
pub(super) struct Fan(Vec<(f64, [Place; 3])>);

impl Fan {
    pub(super) fn new(window: &Window) -> Self {
        let corner = window.corner();
        let triangle = |&(a, b): &(Place, Place)| {
            let twice = cross(from(corner, a), from(corner, b));
            match twice.total_cmp(&0.0) {
                std::cmp::Ordering::Greater => Some((1.0, [corner, a, b])),
                std::cmp::Ordering::Less => Some((-1.0, [corner, b, a])),
                std::cmp::Ordering::Equal => None,
            }
        };
        Self(window.sides.iter().filter_map(triangle).collect())
    }

    /// Area that window and shifted window share: over all pairs of triangles, with both signs.
    pub(super) fn shared(&self, shift: Place) -> f64 {
        let mut sum = 0.0;
        for (sign, still) in &self.0 {
            for (other, moved) in &self.0 {
                let moved = moved.map(|c| (c.0 + shift.0, c.1 + shift.1));
                sum += sign * other * clipped_area(&moved, still);
            }
        }
        sum
    }
}

/// Area of `subject` inside the convex, anticlockwise `frame` (Sutherland & Hodgman 1974, Commun. ACM
/// 17, 32-42).
fn clipped_area(subject: &[Place], frame: &[Place; 3]) -> f64 {
    let mut left = subject.to_vec();
    for k in 0..3 {
        let (a, b) = (frame[k], frame[(k + 1) % 3]);
        let side = |p: Place| cross(from(a, b), from(a, p));
        let mut kept = Vec::with_capacity(left.len() + 1);
        for (i, &p) in left.iter().enumerate() {
            let next = left[(i + 1) % left.len()];
            let (here, there) = (side(p), side(next));
            if here >= 0.0 {
                kept.push(p);
            }
            if (here > 0.0 && there < 0.0) || (here < 0.0 && there > 0.0) {
                let t = here / (here - there);
                kept.push((p.0 + t * (next.0 - p.0), p.1 + t * (next.1 - p.1)));
            }
        }
        left = kept;
        if left.len() < 3 {
            return 0.0;
        }
    }
    let origin = left[0];
    let twice = |w: &[Place]| cross(from(origin, w[0]), from(origin, w[1]));
    left.windows(2).map(twice).sum::<f64>() / 2.0
}
