//! Newton's method for the coefficients, and for k along with them.

use super::kernel::{self, Kernel};
use super::model_matrix::ModelMatrix;
use crate::numerics::bordered::Bordered;
use crate::results::{Convergence, Stop};

/// Steps before giving up. From the starts used here a fit takes 4 to 12, and one with an empty arm,
/// whose coefficient runs to minus infinity by about 1 a step, some 30.
const BUDGET: usize = 200;

/// A step is the last one when the squared length of the step in standard errors is below this:
/// Newton's error then squares to below 1e-9 standard errors.
const LAST_STEP: f64 = 1e-9;

/// 1/k below which a search over k is taken to run off to the Poisson limit: at a mean of a thousand
/// it changes the variance by one part in ten thousand.
const RAN_OFF: f64 = 1e-7;

/// Counts, offsets and columns of one fit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Problem<'a> {
    pub(super) counts: &'a [f64],
    pub(super) offset: &'a [f64],
    pub(super) matrix: &'a ModelMatrix,
    pub(super) kernel: &'a Kernel,
}

/// Where the search stands: parameters, and the log-likelihood with its derivatives there.
#[derive(Debug, Clone)]
pub(super) struct Point {
    pub(super) beta: Vec<f64>,
    /// 1/k.
    pub(super) a: f64,
    pub(super) value: f64,
    /// Derivative in beta.
    gradient: Vec<f64>,
    /// Minus the second derivative in beta, then its factor.
    information: Bordered,
    /// Minus the cross derivative of beta and log a.
    cross: Vec<f64>,
    /// First and minus second derivative in log a.
    log_a: (f64, f64),
    /// Derivative in a itself, which decides at a = 0.
    pub(super) slope: f64,
}

impl Point {
    pub(super) fn new(problem: &Problem<'_>, beta: Vec<f64>, a: f64) -> Self {
        let width = beta.len();
        let mut point = Self {
            beta,
            a,
            value: 0.0,
            gradient: vec![0.0; width],
            information: problem.matrix.no_squares(),
            cross: vec![0.0; width],
            log_a: (0.0, 0.0),
            slope: 0.0,
        };
        point.evaluate(problem);
        point
    }

    /// Fills in value and derivatives at the present parameters.
    fn evaluate(&mut self, problem: &Problem<'_>) {
        self.gradient.fill(0.0);
        self.information.clear();
        self.cross.fill(0.0);
        let a = self.a;
        let (mut value, mut first, mut second) = problem.kernel.sums(a);
        for (row, &count) in problem.counts.iter().enumerate() {
            let (columns, values) = problem.matrix.cells(row);
            let mut eta = problem.offset[row];
            for (&c, v) in columns.iter().zip(values) {
                eta += v * self.beta[c];
            }
            let t = kernel::terms(count, eta, eta.exp(), a);
            value += t.value;
            first += t.a;
            second += t.a_a;
            for (&c, v) in columns.iter().zip(values) {
                self.gradient[c] += v * t.eta;
                self.cross[c] -= v * t.eta_a * a;
            }
            self.information.add_square(columns, values, t.weight);
        }
        self.value = value;
        self.slope = first;
        self.log_a = (a * first, -(a * a * second + a * first));
    }
}

/// Climbs from `start` to the maximum over the coefficients, and over log a where `free_a`.
pub(super) fn maximise(problem: &Problem<'_>, start: Point, free_a: bool) -> (Point, Convergence) {
    let width = start.beta.len();
    let mut here = start;
    let mut next = here.clone();
    let mut step = vec![0.0; width + 1];
    for steps in 0..BUDGET {
        let length = propose(&mut here, free_a, &mut step);
        if length.is_none_or(f64::is_nan) {
            let gradient = here.gradient.iter().fold(0.0, |m: f64, g| m.max(g.abs()));
            return (
                here,
                Convergence {
                    stop: Stop::Stalled,
                    steps,
                    gradient,
                },
            );
        }
        let length = length.unwrap_or(0.0);
        let mut share = 1.0;
        // Thirty halvings reach 1e-9 of the step: below that nothing can be gained.
        let mut improved = false;
        for _ in 0..30 {
            for (to, (from, by)) in next.beta.iter_mut().zip(here.beta.iter().zip(&step)) {
                *to = from + share * by;
            }
            next.a = here.a * (share * step[width]).exp();
            next.evaluate(problem);
            // Rounding of the sum is forgiven, or the last step could not be taken.
            if next.value >= here.value - 1e-13 * here.value.abs() {
                improved = true;
                break;
            }
            share *= 0.5;
        }
        if !improved {
            return (
                here,
                Convergence {
                    stop: Stop::Stalled,
                    steps,
                    gradient: length.sqrt(),
                },
            );
        }
        std::mem::swap(&mut here, &mut next);
        if free_a && here.a < RAN_OFF {
            return (
                here,
                Convergence {
                    stop: Stop::Budget,
                    steps,
                    gradient: f64::INFINITY,
                },
            );
        }
        if length < LAST_STEP {
            let stop = Stop::Converged;
            return (
                here,
                Convergence {
                    stop,
                    steps: steps + 1,
                    gradient: length,
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

/// Writes Newton's step and returns its squared length in standard errors; `None` if the
/// information cannot be factored.
fn propose(here: &mut Point, free_a: bool, step: &mut [f64]) -> Option<f64> {
    let width = here.beta.len();
    // Pivots are compared with their own diagonal: an empty arm has a small weight, not a tied one.
    here.information.factor(1e-14).ok()?;
    let (along, a_step) = step.split_at_mut(width);
    along.copy_from_slice(&here.gradient);
    here.information.solve(along);
    let mut length: f64 = along.iter().zip(&here.gradient).map(|(s, g)| s * g).sum();
    a_step[0] = 0.0;
    if free_a {
        let mut pull = here.cross.clone();
        here.information.solve(&mut pull);
        let (gradient, curvature) = here.log_a;
        let schur: f64 = curvature
            - pull
                .iter()
                .zip(&here.cross)
                .map(|(p, c)| p * c)
                .sum::<f64>();
        let gap: f64 = gradient
            - pull
                .iter()
                .zip(&here.gradient)
                .map(|(p, g)| p * g)
                .sum::<f64>();
        // Where the profile is not concave in log a, walk uphill by a fixed stride instead; a step
        // is held within a factor of about 7 either way, for log a is only locally quadratic.
        let by = if schur > 0.0 {
            (gap / schur).clamp(-2.0, 2.0)
        } else {
            gap.signum()
        };
        a_step[0] = by;
        for (s, p) in along.iter_mut().zip(&pull) {
            *s -= by * p;
        }
        length += if schur > 0.0 { gap * gap / schur } else { 1.0 };
    }
    // A coefficient is moved by at most 5 on the log scale at once, a factor of 150 in the mean.
    let largest = along.iter().fold(0.0, |m: f64, s| m.max(s.abs()));
    if largest > 5.0 {
        for s in step.iter_mut() {
            *s *= 5.0 / largest;
        }
    }
    Some(length)
}

/// A first guess: least squares on log(count + 1/2) less offset, weighted by the inverse of 1/(count + 1/2)
/// plus `scatter`, the variance that the logs have beyond Poisson's.
pub(crate) fn starting_values(
    counts: &[f64],
    offset: &[f64],
    matrix: &ModelMatrix,
    scatter: f64,
) -> Vec<f64> {
    let mut gram = matrix.no_squares();
    let mut beta = vec![0.0; matrix.width()];
    for (row, (&count, &offset)) in counts.iter().zip(offset).enumerate() {
        let lifted = count + 0.5;
        let weight = lifted / (1.0 + scatter * lifted);
        matrix.add_square(row, weight, &mut gram);
        matrix.add_row(row, weight * (lifted.ln() - offset), &mut beta);
    }
    if gram.factor(1e-14).is_ok() {
        gram.solve(&mut beta);
    } else {
        beta.fill(0.0);
    }
    beta
}
