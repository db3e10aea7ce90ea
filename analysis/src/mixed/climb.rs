//! Newton's ascent, damped where the surface bends the wrong way.
//!
//! Variances enter as their square roots, of either sign: the surface is even in each, so a variance
//! of zero is an ordinary stationary point and needs no boundary.

use crate::answers::{Convergence, Stop};
use crate::arithmetic::cholesky;

/// A log-likelihood with its derivatives.
pub(super) trait Surface {
    /// Fills `out` at the parameters `at`.
    fn evaluate(&mut self, at: &[f64], out: &mut Point);
}

/// Parameters with the value, gradient and information (minus second derivative, lower triangle).
#[derive(Debug, Clone)]
pub(super) struct Point {
    pub(super) at: Vec<f64>,
    pub(super) value: f64,
    pub(super) gradient: Vec<f64>,
    pub(super) information: Vec<f64>,
}

impl Point {
    pub(super) fn new(width: usize) -> Self {
        Self {
            at: vec![0.0; width],
            value: 0.0,
            gradient: vec![0.0; width],
            information: vec![0.0; width * width],
        }
    }

    /// Moves to `at` with everything else zero.
    pub(super) fn reset(&mut self, at: &[f64]) {
        self.at.copy_from_slice(at);
        self.value = 0.0;
        self.gradient.fill(0.0);
        self.information.fill(0.0);
    }
}

/// Steps before giving up: usual searches take 5 to 15, those with an empty arm some 40.
const BUDGET: usize = 200;

/// The gain in log-likelihood that a last step may still promise; twice this is the error left in a
/// likelihood-ratio statistic, far below its last printed digit.
const LAST_GAIN: f64 = 1e-9;

/// Climbs from `start` over the `free` parameters. `roots` names the parameters that are square
/// roots of variances.
pub(super) fn climb(
    surface: &mut impl Surface,
    start: &[f64],
    free: &[bool],
    roots: &[usize],
) -> (Point, Convergence) {
    let width = start.len();
    let mut here = Point::new(width);
    surface.evaluate(start, &mut here);
    let mut next = Point::new(width);
    let mut trial = start.to_vec();
    let mut step = vec![0.0; width];
    let mut factor = vec![0.0; width * width];
    let mut damping = 0.0;
    let mut lifted = vec![false; width];
    for steps in 0..BUDGET {
        let gain = propose(&here, free, &mut damping, &mut factor, &mut step);
        hold(&mut step, roots, width);
        for j in 0..width {
            trial[j] = here.at[j] + step[j];
        }
        surface.evaluate(&trial, &mut next);
        // Rounding of the sum is forgiven, or the last step could not be taken.
        if next.value >= here.value - 1e-12 * here.value.abs() - 1e-12 {
            std::mem::swap(&mut here, &mut next);
            damping = if damping < 1e-6 { 0.0 } else { damping * 0.1 };
        } else if gain < LAST_GAIN {
            let stop = Stop::Settled;
            return (
                here,
                Convergence {
                    stop,
                    steps,
                    gradient: gain,
                },
            );
        } else {
            damping = (damping * 10.0).max(1e-3);
            continue;
        }
        if gain < LAST_GAIN {
            if lift(&mut here, surface, free, roots, &mut lifted) {
                continue;
            }
            return (
                here,
                Convergence {
                    stop: Stop::Settled,
                    steps: steps + 1,
                    gradient: gain,
                },
            );
        }
    }
    (
        here,
        Convergence {
            stop: Stop::Budget,
            steps: BUDGET,
            gradient: f64::INFINITY,
        },
    )
}

/// Writes a damped Newton step and returns the gain it promises.
fn propose(
    here: &Point,
    free: &[bool],
    damping: &mut f64,
    factor: &mut [f64],
    step: &mut [f64],
) -> f64 {
    let width = free.len();
    // Sixty-fold damping of a diagonal that is at least 1e-8 always factors in the end; the loop
    // is bounded all the same.
    for _ in 0..40 {
        for row in 0..width {
            for column in 0..=row {
                let at = row * width + column;
                factor[at] = if free[row] && free[column] {
                    here.information[at]
                } else {
                    0.0
                };
            }
            let at = row * width + row;
            let diagonal = if free[row] {
                here.information[at].abs().max(1e-8)
            } else {
                1.0
            };
            factor[at] = if free[row] {
                factor[at] + *damping * diagonal
            } else {
                1.0
            };
            step[row] = if free[row] { here.gradient[row] } else { 0.0 };
        }
        if cholesky::factor(factor, width, 1e-13).is_ok() {
            break;
        }
        *damping = (*damping * 4.0).max(1e-3);
    }
    cholesky::solve(factor, width, step);
    0.5 * step
        .iter()
        .zip(&here.gradient)
        .map(|(s, g)| s * g)
        .sum::<f64>()
}

/// Shortens a step that would move a coefficient by more than 4 or a root by more than 1.
fn hold(step: &mut [f64], roots: &[usize], width: usize) {
    let mut excess = 1.0_f64;
    for (j, s) in step.iter().enumerate().take(width) {
        let limit = if roots.contains(&j) { 1.0 } else { 4.0 };
        excess = excess.max(s.abs() / limit);
    }
    for s in step.iter_mut() {
        *s /= excess;
    }
}

/// Lifts a root off zero, once, where zero is a minimum along it and not a maximum.
fn lift(
    here: &mut Point,
    surface: &mut impl Surface,
    free: &[bool],
    roots: &[usize],
    lifted: &mut [bool],
) -> bool {
    let width = free.len();
    for &j in roots {
        let bends_up = here.information[j * width + j] < 0.0;
        if free[j] && !lifted[j] && here.at[j].abs() < 0.05 && bends_up {
            lifted[j] = true;
            let mut at = here.at.clone();
            at[j] = 0.3;
            surface.evaluate(&at, here);
            return true;
        }
    }
    false
}
