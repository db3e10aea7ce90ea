//! Two tapes from two marks: how well a peg is fixed where they cross.
//!
//! A peg at distances r and s from two marks that it sees under the angle g moves by d when the distances change by
//! dr and ds, where `u . d = dr` and `v . d = ds` for the unit vectors u and v from the marks to the peg. Then
//!
//! - with independent errors of standard error e in each, the peg's own is `e sqrt(2) / sin(g)`;
//! - with errors of at most h in each, it moves by at most `h / min(sin(g/2), cos(g/2))`, along or across the line that
//!   halves the angle.
//!
//! Between 60 and 120 degrees half a centimetre of rounding in each tape moves it by at most one centimetre.

use super::apart;
use super::base_line::BaseLine;

/// Half of the last digit that is printed, metres.
pub(super) const HALF_CENTIMETRE: f64 = 0.005;

/// Angle under which a place sees the two marks, radians.
fn angle_at(line: &BaseLine, at: [f64; 2]) -> f64 {
    let [to_p, to_q] = [line.p, line.q].map(|mark| [mark[0] - at[0], mark[1] - at[1]]);
    let cross = to_p[0].mul_add(to_q[1], -to_p[1] * to_q[0]);
    let dot = to_p[0].mul_add(to_q[0], to_p[1] * to_q[1]);
    cross.abs().atan2(dot)
}

/// Smallest and largest angle at which tapes cross, degrees.
pub(super) fn crossings(line: &BaseLine, corners: &[[f64; 2]]) -> [f64; 2] {
    let angles = corners.iter().map(|&at| angle_at(line, at).to_degrees());
    angles.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], angle| {
        [low.min(angle), high.max(angle)]
    })
}

/// Standard error of the worst peg for tapes of standard error `e`, in its unit.
pub(super) fn standard_error(line: &BaseLine, corners: &[[f64; 2]], e: f64) -> f64 {
    let each = corners
        .iter()
        .map(|&at| e * f64::sqrt(2.0) / angle_at(line, at).sin());
    each.fold(0.0, f64::max)
}

/// How far errors of at most `h` in each tape move the worst peg, in its unit.
pub(super) fn bound(line: &BaseLine, corners: &[[f64; 2]], h: f64) -> f64 {
    let each = corners.iter().map(|&at| h * stretch(angle_at(line, at)));
    each.fold(0.0, f64::max)
}

/// The same for an angle and errors of at most 1.
pub(super) fn stretch(angle: f64) -> f64 {
    let (sin, cos) = (angle / 2.0).sin_cos();
    1.0 / sin.min(cos)
}

/// Longest distance from a mark to a peg.
pub(super) fn longest(line: &BaseLine, corners: &[[f64; 2]]) -> f64 {
    let each = corners
        .iter()
        .flat_map(|&at| [apart(line.p, at), apart(line.q, at)]);
    each.fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a peg at (3, 4) sees marks at (0, 0) and (6, 0) under 2 atan(3/4) = 73.74 degrees.
    #[test]
    fn a_peg_over_a_base_line_of_six_metres() {
        let line = BaseLine {
            p: [0.0, 0.0],
            q: [6.0, 0.0],
        };
        let peg = [[3.0, 4.0]];
        let [low, high] = crossings(&line, &peg);
        assert!((low - 73.739_795).abs() < 1e-5 && (low - high).abs() < 1e-12);
        assert!((longest(&line, &peg) - 5.0).abs() < 1e-12);
        // sin(g/2) = 3/5 and cos(g/2) = 4/5, so that sin(g) = 24/25.
        assert!((bound(&line, &peg, 0.005) - 0.005 / 0.6).abs() < 1e-12);
        assert!((standard_error(&line, &peg, 1.0) - f64::sqrt(2.0) / 0.96).abs() < 1e-12);
    }

    /// The bound is reached: the tapes moved by half a centimetre, one longer and one shorter, cross that far away.
    #[test]
    fn the_bound_is_what_the_worst_errors_do() {
        let line = BaseLine {
            p: [0.0, 0.0],
            q: [20.0, 0.0],
        };
        for peg in [[10.0, 8.0], [4.0, 12.0], [10.0, 30.0], [17.0, 15.0]] {
            let cross = |r: f64, s: f64| {
                let x = (r * r - s * s + 400.0) / 40.0;
                [x, (r * r - x * x).sqrt()]
            };
            let (r, s) = (apart(line.p, peg), apart(line.q, peg));
            let h = HALF_CENTIMETRE;
            let moved = [(h, h), (h, -h), (-h, h), (-h, -h)]
                .map(|(dr, ds)| apart(cross(r + dr, s + ds), peg))
                .into_iter()
                .fold(0.0, f64::max);
            let bound = bound(&line, &[peg], h);
            assert!(
                (moved / bound - 1.0).abs() < 0.002,
                "{peg:?}: {moved} {bound}"
            );
        }
    }
}
