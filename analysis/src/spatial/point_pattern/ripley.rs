//! Ripley's K and L.

use serde::Serialize;

use super::overlap::Fan;
use super::window::{View, Window, dot, from};
use crate::Error;
use crate::spatial::Place;

/// How pairs are made good whose partners may lie beyond the window. Both are exact for any polygon.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeCorrection {
    /// By the share of shifts that keep the pair in sight (Ohser 1983). Its cost grows with the square of
    /// the number of corners.
    Translation,
    /// By the share of the circle round one through the other that lies inside (Ripley 1977).
    Isotropic,
}

/// No pair counts for more than this many: a circle of which less than a hundredth lies inside would
/// let one pair rule K. The limit is common practice.
const HEAVIEST: f64 = 100.0;

/// Ripley's K at each radius, square metres: the mean number of further points within it over their
/// density (Ripley 1977); pi r^2 for points laid at random. Density is n (n - 1) / area^2. `L` is
/// sqrt(K / pi).
///
/// # Errors
/// Fewer than two points, points outside the window, or a radius that is negative or not below the
/// window's breadth.
pub fn ripley_k(
    points: &[Place],
    window: &Window,
    radii: &[f64],
    correction: EdgeCorrection,
) -> Result<Vec<f64>, Error> {
    check(points, window)?;
    let breadth = window.breadth();
    if let Some(r) = radii.iter().find(|&&r| !(r >= 0.0 && r < breadth)) {
        return Err(Error::new(
            "radius",
            format!("{r} m in a window {breadth} m across"),
            "radii run from 0 to below the window's breadth",
            "Ask for shorter radii; a quarter of the breadth is common.",
        ));
    }
    Ok(k_of(points, window, radii, correction))
}

/// Refuses too few points, and points that lie outside.
pub(super) fn check(points: &[Place], window: &Window) -> Result<(), Error> {
    let outside = points.iter().filter(|&&p| !window.contains(p)).count();
    if points.len() >= 2 && outside == 0 {
        return Ok(());
    }
    Err(Error::new(
        "points",
        format!(
            "{} points, {outside} of them outside the window",
            points.len()
        ),
        "there must be two or more, all inside",
        "Correct the window, or leave out what lies beyond it.",
    ))
}

pub(super) fn k_of(
    points: &[Place],
    window: &Window,
    radii: &[f64],
    correction: EdgeCorrection,
) -> Vec<f64> {
    let mut order: Vec<usize> = (0..radii.len()).collect();
    order.sort_by(|&a, &b| radii[a].total_cmp(&radii[b]));
    let rising: Vec<f64> = order.iter().map(|&i| radii[i]).collect();
    let most = rising.last().copied().unwrap_or(0.0);
    // From west to east, so that the search for partners can stop.
    let mut points = points.to_vec();
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let weight = weights(&points, window, most, correction);
    let mut sums = vec![0.0; radii.len() + 1];
    for (i, &a) in points.iter().enumerate() {
        for (j, &b) in points.iter().enumerate().skip(i + 1) {
            if b.0 - a.0 > most {
                break;
            }
            // Hypotenuses without the care for huge numbers that places in metres do not need.
            let apart = from(a, b);
            let d = dot(apart, apart).sqrt();
            if d <= most {
                sums[rising.partition_point(|&r| r < d)] += weight(i, j, d);
            }
        }
    }
    let n = points.len() as f64;
    let scale = window.area() / (n * (n - 1.0));
    let mut k = vec![0.0; radii.len()];
    let mut sum = 0.0;
    for (more, &i) in sums.iter().zip(&order) {
        sum += more;
        k[i] = sum * scale;
    }
    k
}

/// How much each pair counts, in both orders together.
fn weights(
    points: &[Place],
    window: &Window,
    most: f64,
    correction: EdgeCorrection,
) -> Box<dyn Fn(usize, usize, f64) -> f64> {
    match correction {
        EdgeCorrection::Translation => {
            let (fan, area) = (Fan::new(window), window.area());
            let points = points.to_vec();
            Box::new(move |i, j, _| {
                let (a, b) = (points[i], points[j]);
                2.0 * (area / fan.shared((b.0 - a.0, b.1 - a.1))).min(HEAVIEST)
            })
        }
        EdgeCorrection::Isotropic => {
            let views: Vec<View> = points.iter().map(|&p| View::new(window, p, most)).collect();
            let one = move |i: usize, d: f64| match views[i].share_inside(d) {
                share if share * HEAVIEST > 1.0 => 1.0 / share,
                _ => HEAVIEST,
            };
            Box::new(move |i, j, d| one(i, d) + one(j, d))
        }
    }
}
