//! Ground made up for tests: lobed, kidney-shaped, with holes.

use std::f64::consts::TAU;

use geo::{LineString, Polygon};
use halfgreen_analysis::random::Generator;

/// A number between two others.
pub(crate) fn between(random: &mut Generator, low: f64, high: f64) -> f64 {
    (high - low).mul_add(random.unit(), low)
}

/// One of several.
pub(crate) fn one_of<T: Copy>(random: &mut Generator, all: &[T]) -> T {
    let at = random.below(all.len() as u64);
    all[usize::try_from(at).unwrap()]
}

/// A ring about a centre whose reach changes by angle.
fn ring(centre: [f64; 2], corners: u64, reach: impl Fn(f64) -> f64) -> LineString<f64> {
    let corner = |k: u64| {
        let angle = TAU * k as f64 / corners as f64;
        let (sin, cos) = angle.sin_cos();
        let r = reach(angle);
        (r.mul_add(cos, centre[0]), r.mul_add(sin, centre[1]))
    };
    LineString::from((0..corners).map(corner).collect::<Vec<_>>())
}

/// A green: of some metres or some dozen, lobed, jagged or dented like a kidney, one in two with a hole or two.
pub(crate) fn green(random: &mut Generator) -> Polygon<f64> {
    let size = between(random, 2.0, 22.0);
    let corners = 5 + random.below(40);
    let centre = [
        between(random, -500.0, 500.0),
        between(random, -500.0, 500.0),
    ];
    let edge = match random.below(3) {
        0 => {
            let (lobes, deep) = (2.0 + random.below(4) as f64, between(random, 0.0, 0.6));
            let turn = between(random, 0.0, TAU);
            ring(centre, corners, |a| {
                size * (1.0 + deep * (lobes * a + turn).cos()) / (1.0 + deep)
            })
        }
        1 => {
            let jag = |random: &mut Generator| size * between(random, 0.35, 1.0);
            let jags: Vec<f64> = (0..corners).map(|_| jag(random)).collect();
            let places = jags.iter().enumerate().map(|(k, r)| {
                let (sin, cos) = (TAU * k as f64 / corners as f64).sin_cos();
                (r.mul_add(cos, centre[0]), r.mul_add(sin, centre[1]))
            });
            LineString::from(places.collect::<Vec<_>>())
        }
        _ => {
            let (deep, narrow) = (between(random, 0.3, 0.8), between(random, 1.0, 6.0));
            let turn = between(random, 0.0, TAU);
            ring(centre, corners, |a| {
                let near = ((a - turn).cos() - 1.0) * narrow;
                size * (1.0 - deep * near.exp())
            })
        }
    };
    // Holes lie well inside the least reach: a fifth of the size.
    let hole = |random: &mut Generator, side: f64| {
        let reach = size * between(random, 0.02, 0.07);
        let corners = 4 + random.below(12);
        ring([centre[0] + side * size * 0.1, centre[1]], corners, |_| {
            reach
        })
    };
    let holes = match random.below(4) {
        0 => vec![hole(random, 1.0)],
        1 => vec![hole(random, 1.0), hole(random, -1.0)],
        _ => Vec::new(),
    };
    Polygon::new(edge, holes)
}
