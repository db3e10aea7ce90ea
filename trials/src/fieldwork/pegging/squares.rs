//! Along the string, then square to it: how well a peg is fixed by a square of 3, 4 and 5.
//!
//! A triangle of sides a, b and c has between a and b the angle g with `c^2 = a^2 + b^2 - 2 a b cos(g)`. At a right angle
//! `dg = (c dc - a da - b db) / (a b)`, so that tapes of standard error e turn a square of 3n, 4n and 5n metres by
//! `e sqrt(50) / (12 n)`: a peg at the offset t moves by t times that along the line, besides the errors of the two tapes
//! by which it is measured, `e` along the line and `e` square to it.
//!
//! Rounding to the centimetre moves a peg by half a centimetre each way.

use super::base_line::BaseLine;
use super::two_tapes::HALF_CENTIMETRE;

/// Largest triangle: beyond 12, 16 and 20 metres it is slow to lay out. Common practice, no source.
const MOST: f64 = 4.0;

/// How many times 3, 4 and 5 metres the triangle has whose side of 4 fits on a base line of a length.
pub(super) fn multiple(base_m: f64) -> f64 {
    (base_m / 4.0).floor().clamp(1.0, MOST)
}

/// Standard error of the worst peg for tapes of standard error `e`, in its unit.
pub(super) fn standard_error(line: &BaseLine, corners: &[[f64; 2]], e: f64) -> f64 {
    let turn = f64::sqrt(50.0) / (12.0 * multiple(line.length()));
    let each = corners.iter().map(|&at| {
        let [_, offset] = line.seen(at);
        e * (2.0 + (offset * turn).powi(2)).sqrt()
    });
    each.fold(0.0, f64::max)
}

/// How far rounding moves a peg at most.
pub(super) fn rounding() -> f64 {
    HALF_CENTIMETRE * f64::sqrt(2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A triangle with one side a centimetre out, by the cosine rule, against the slope used here.
    #[test]
    fn a_side_out_by_a_centimetre_turns_the_square_as_reckoned() {
        let angle = |[a, b, c]: [f64; 3]| ((a * a + b * b - c * c) / (2.0 * a * b)).acos();
        let off = |sides| f64::abs(angle(sides) - std::f64::consts::FRAC_PI_2);
        let each = [[6.01, 8.0, 10.0], [6.0, 8.01, 10.0], [6.0, 8.0, 10.01]].map(off);
        let together = each.iter().map(|d| d * d).sum::<f64>().sqrt();
        let reckoned = 0.01 * f64::sqrt(50.0) / 24.0;
        assert!(
            (together / reckoned - 1.0).abs() < 0.01,
            "{together} {reckoned}"
        );
    }

    #[test]
    fn the_triangle_fits_on_the_line() {
        assert_eq!([3.0, 8.0, 15.9, 100.0].map(multiple), [1.0, 2.0, 3.0, 4.0]);
    }
}
