//! Where the edges of a ring cross or touch each other.

use geo::algorithm::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Line};

/// Pairs of edges that meet where they should not: `(i, j, where)`, with edge i running from corner
/// i to the next. At most `most` pairs are listed, in order of i.
///
/// Edges are sorted by their western end and each is compared only with those that start before it
/// ends, so that a walked outline of 20 000 corners takes milliseconds; intersections use geo's
/// robust predicates.
pub(super) fn crossings(ring: &[[f64; 2]], most: usize) -> Vec<(usize, usize, [f64; 2])> {
    let n = ring.len();
    let edge = |i: usize| {
        let ([ax, ay], [bx, by]) = (ring[i], ring[(i + 1) % n]);
        Line::new(Coord { x: ax, y: ay }, Coord { x: bx, y: by })
    };
    let west = |i: usize| edge(i).start.x.min(edge(i).end.x);
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&a, &b| west(a).total_cmp(&west(b)).then(a.cmp(&b)));
    let mut found = Vec::new();
    for (rank, &i) in order.iter().enumerate() {
        let east = edge(i).start.x.max(edge(i).end.x);
        for &j in &order[rank + 1..] {
            if west(j) > east {
                break;
            }
            let (first, second) = (i.min(j), i.max(j));
            if let Some(at) = meeting(edge(first), edge(second), second - first, n) {
                found.push((first, second, at));
            }
        }
    }
    found.sort_by_key(|&(i, j, _)| (i, j));
    found.truncate(most);
    found
}

/// Where two edges meet wrongly. Neighbours share a corner by right, but may not fold back.
fn meeting(a: Line<f64>, b: Line<f64>, apart: usize, n: usize) -> Option<[f64; 2]> {
    let neighbours = apart == 1 || apart == n - 1;
    match line_intersection(a, b)? {
        LineIntersection::Collinear { intersection } if intersection.start != intersection.end => {
            Some([intersection.start.x, intersection.start.y])
        }
        LineIntersection::Collinear { intersection } if !neighbours => {
            Some([intersection.start.x, intersection.start.y])
        }
        LineIntersection::SinglePoint { intersection, .. } if !neighbours => {
            Some([intersection.x, intersection.y])
        }
        _ => None,
    }
}
