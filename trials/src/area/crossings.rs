//! Where the edges of a ring cross or touch each other.

use super::edges::{Edges, Meeting, around, meeting};

/// Pairs of edges compared at most. A walked edge of a quarter of a million corners needs some two million;
/// one that needs more lies in hatching, and telling its crossings could take an hour.
const MOST_PAIRS: usize = 20_000_000;
/// Crossings counted at most; by then it is clear that the corners are in no order.
const MOST_COUNTED: usize = 1000;

/// What is known of a ring's crossings.
#[derive(Debug, Default)]
pub(super) struct Crossings {
    /// The first of them: edges i and j, edge i running from corner i to the next, and where they meet;
    /// in order of i, then j.
    pub(super) first: Vec<(usize, usize, [f64; 2])>,
    /// How many were counted.
    pub(super) counted: usize,
    /// Whether all pairs were compared.
    pub(super) complete: bool,
}

/// Pairs of edges that meet where they should not, `most` of them in full.
///
/// Each edge is compared only with those whose boxes meet its own.
pub(super) fn crossings(ring: &[[f64; 2]], most: usize) -> Crossings {
    let n = ring.len();
    let index = Edges::of_ring(ring);
    let mut found = Crossings {
        complete: true,
        ..Crossings::default()
    };
    let mut compared = 0;
    for edge in around(ring) {
        let mut here = Vec::new();
        for other in index.beside(&edge) {
            compared += 1;
            if other.at <= edge.at {
                continue;
            }
            // Neighbours share a corner by right, but may not fold back.
            let apart = other.at - edge.at;
            let neighbours = apart == 1 || apart == n - 1;
            match meeting(&edge, other) {
                Some(Meeting::Overlie(at)) => here.push((edge.at, other.at, at)),
                Some(Meeting::Cross(at) | Meeting::Touch(at)) if !neighbours => {
                    here.push((edge.at, other.at, at));
                }
                _ => {}
            }
        }
        here.sort_by_key(|&(_, j, _)| j);
        found.counted += here.len();
        here.truncate(most - found.first.len());
        found.first.extend(here);
        if compared > MOST_PAIRS || found.counted > MOST_COUNTED {
            found.complete = edge.at + 1 == n;
            break;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A star of five points crosses itself five times; a square never.
    #[test]
    fn a_star_crosses_itself_five_times() {
        let corner = |i: usize| {
            let t = std::f64::consts::TAU * (2 * i % 5) as f64 / 5.0;
            [10.0 * t.cos(), 10.0 * t.sin()]
        };
        let star: Vec<[f64; 2]> = (0..5).map(corner).collect();
        let found = crossings(&star, 2);
        assert_eq!(
            (found.first.len(), found.counted, found.complete),
            (2, 5, true)
        );
        let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        assert_eq!(crossings(&square, 2).counted, 0);
    }

    /// Hatching that never crosses is given up rather than compared line by line.
    #[test]
    fn hatching_is_given_up() {
        let hairs: Vec<[f64; 2]> = (0..20_000)
            .map(|i| {
                let at = f64::from(i / 2) * 1e-5;
                if (i + 1) % 4 < 2 {
                    [at, 0.0]
                } else {
                    [at + 1.0, 1.0]
                }
            })
            .collect();
        let found = crossings(&hairs, 2);
        assert!(!found.complete, "{} counted", found.counted);
    }
}
