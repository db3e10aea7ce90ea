//! Newton's method, damped where the log-likelihood is not concave.
//!
//! Variances enter as their square roots, of either sign: the log-likelihood is even in each, so a variance
//! of zero is an ordinary stationary point and needs no boundary.

use crate::numerics::cholesky;
use crate::results::{Convergence, Stop};

/// A log-likelihood with its derivatives.
pub(super) trait LogLikelihood {
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

/// Where one block holds nearly everything its scatter runs to five or more on the log scale, and there the
/// quadrature's value and gradient disagree: a search then gains little in each step. This many steps in a row that
/// each gain less than `SLOW_GAIN` of log-likelihood end it; ordinary searches take two or three such.
const SLOW_STEPS: usize = 10;
/// See [`SLOW_STEPS`].
const SLOW_GAIN: f64 = 1e-4;

/// Maximises from `start` over the `free` parameters. `roots` names the parameters that are square
/// roots of variances.
pub(super) fn maximise(
    log_likelihood: &mut impl LogLikelihood,
    start: &[f64],
    free: &[bool],
    roots: &[usize],
) -> (Point, Convergence) {
    let width = start.len();
    let mut here = Point::new(width);
    log_likelihood.evaluate(start, &mut here);
    let mut next = Point::new(width);
    let mut trial = start.to_vec();
    let mut step = vec![0.0; width];
    let mut factor = vec![0.0; width * width];
    let mut damping = 0.0;
    let mut slow = 0;
    let mut left_zero = vec![false; width];
    for steps in 0..BUDGET {
        let gain = propose(&here, free, &mut damping, &mut factor, &mut step);
        limit_step(&mut step, roots, width);
        stop_at_zero(&here.at, &mut step, free, roots);
        for j in 0..width {
            trial[j] = here.at[j] + step[j];
        }
        log_likelihood.evaluate(&trial, &mut next);
        // Rounding of the sum is forgiven, or the last step could not be taken.
        if next.value >= here.value - 1e-12 * here.value.abs() - 1e-12 {
            slow = if next.value - here.value < SLOW_GAIN {
                slow + 1
            } else {
                0
            };
            std::mem::swap(&mut here, &mut next);
            damping = if damping < 1e-6 { 0.0 } else { damping * 0.1 };
        } else if gain < LAST_GAIN {
            let stop = Stop::Converged;
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
        if gain < LAST_GAIN || slow == SLOW_STEPS {
            slow = 0;
            if leave_zero(&mut here, log_likelihood, free, roots, &mut left_zero) {
                continue;
            }
            return (
                here,
                Convergence {
                    stop: Stop::Converged,
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

/// A second start whose log-likelihood lies more than this below the maximum found leads to no higher one: in simulated
/// trials the higher maximum was never more than 1.1 above the first (`tests/reference/second_starts.md`).
const NEAR: f64 = 1.5;

/// A root below this is taken for zero: a standard deviation of a thousandth on the log scale moves nothing.
const NONE: f64 = 1e-3;

/// The parameters `at` with all scatter within, by 1/k alone; `None` where none of it is between. `roots` names the square
/// roots of variances, that of 1/k last.
///
/// Random effects and overdispersion explain the same scatter, and the likelihood may have one maximum with all of it
/// within and another with some or all of it between: a search that ended in one is taken up in the other.
pub(super) fn all_within(at: &[f64], roots: &[usize]) -> Option<Vec<f64>> {
    let (&alpha, sigmas) = roots.split_last()?;
    let between: f64 = sigmas.iter().map(|&j| at[j] * at[j]).sum();
    let mut other = at.to_vec();
    other[alpha] = (between + at[alpha] * at[alpha]).sqrt();
    for &j in sigmas {
        other[j] = 0.0;
    }
    (between.sqrt() > NONE).then_some(other)
}

/// The parameters `at`, in which no scatter is between, with half of it there; `None` where there is none.
pub(super) fn half_between(at: &[f64], roots: &[usize]) -> Option<Vec<f64>> {
    let (&alpha, sigmas) = roots.split_last()?;
    let scatter = at[alpha].abs();
    let mut other = at.to_vec();
    other[alpha] = scatter * 0.5_f64.sqrt();
    for &j in sigmas {
        other[j] = scatter * (0.5 / sigmas.len() as f64).sqrt();
    }
    (scatter > NONE).then_some(other)
}

/// The higher of `first` and the maximum that a search from `other` ends in, if it starts near the first.
pub(super) fn also_from(
    log_likelihood: &mut impl LogLikelihood,
    other: &[f64],
    first: (Point, Convergence),
    free: &[bool],
    roots: &[usize],
) -> (Point, Convergence) {
    let mut there = Point::new(other.len());
    log_likelihood.evaluate(other, &mut there);
    if there.value < first.0.value - NEAR {
        return first;
    }
    let second = maximise(log_likelihood, other, free, roots);
    if second.0.value > first.0.value {
        second
    } else {
        first
    }
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
fn limit_step(step: &mut [f64], roots: &[usize], width: usize) {
    let mut excess = 1.0_f64;
    for (j, s) in step.iter().enumerate().take(width) {
        let limit = if roots.contains(&j) { 1.0 } else { 4.0 };
        excess = excess.max(s.abs() / limit);
    }
    for s in step.iter_mut() {
        *s /= excess;
    }
}

/// Keeps a root from leaping to and fro over zero: the log-likelihood is the same on both sides, so a leap that
/// ends more than half as far out beyond as it began is stopped at a tenth of the distance.
fn stop_at_zero(at: &[f64], step: &mut [f64], free: &[bool], roots: &[usize]) {
    for &j in roots.iter().filter(|&&j| free[j]) {
        let end = at[j] + step[j];
        if end * at[j] < 0.0 && end.abs() > 0.5 * at[j].abs() {
            step[j] = -0.9 * at[j];
        }
    }
}

/// Lifts a root off zero, once, where zero is a minimum along it and not a maximum.
fn leave_zero(
    here: &mut Point,
    log_likelihood: &mut impl LogLikelihood,
    free: &[bool],
    roots: &[usize],
    left_zero: &mut [bool],
) -> bool {
    let width = free.len();
    for &j in roots {
        let bends_up = here.information[j * width + j] < 0.0;
        if free[j] && !left_zero[j] && here.at[j].abs() < 0.05 && bends_up {
            left_zero[j] = true;
            let mut at = here.at.clone();
            at[j] = 0.3;
            log_likelihood.evaluate(&at, here);
            return true;
        }
    }
    false
}
