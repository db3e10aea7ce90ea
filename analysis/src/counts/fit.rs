//! The fitted model: coefficients, log-likelihood, deviance, k, and how the search ended.

use serde::Serialize;

use super::covariance::Covariance;
use super::kernel::{self, Kernel};
use super::model_matrix::ModelMatrix;
use super::newton::{self, Point, Problem};
use crate::Error;
use crate::distributions;
use crate::results::{Caution, Convergence, Estimate, Stop};

/// Which variance the counts are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Variance equal to the mean.
    Poisson,
    /// Variance mean + mean^2 / k, with k by maximum likelihood.
    NegativeBinomial,
}

/// One coefficient on the log scale.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Coefficient {
    /// Name of its column.
    pub term: String,
    /// Estimate; minus infinity where every count of its level is zero.
    pub estimate: f64,
    /// Standard error from the expected information at the fitted k; infinite with the estimate.
    pub se: f64,
}

/// A model fitted by maximum likelihood.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fit {
    /// Variance law.
    pub family: Family,
    /// Coefficients in the order of the columns.
    pub coefficients: Vec<Coefficient>,
    /// Covariance of the coefficients.
    #[serde(skip)]
    pub covariance: Covariance,
    /// k with the standard error from its own observed information (coefficients held);
    /// `None` where the Poisson limit fits best, and for a Poisson fit.
    pub k: Option<Estimate>,
    /// Log-likelihood with every constant.
    pub log_likelihood: f64,
    /// Twice the log-likelihood lost against a perfect fit at the same k.
    pub deviance: f64,
    /// Sum of squared residuals over fitted variance.
    pub pearson_chi2: f64,
    /// Plots less coefficients.
    pub residual_df: usize,
    /// Fitted mean of each plot.
    pub means: Vec<f64>,
    /// How the search ended.
    pub convergence: Convergence,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

impl Fit {
    /// 1/k, zero at the Poisson limit.
    #[must_use]
    pub fn inverse_k(&self) -> f64 {
        self.k.map_or(0.0, |k| 1.0 / k.value)
    }
}

/// Fits a model of `counts` (one for each plot) by maximum likelihood.
///
/// `offset` is the log of each plot's sampled area or number of samples (zeros if equal).
///
/// Defined limits: all counts zero gives fitted means of 0 and a log-likelihood of 0; counts that
/// scatter no more than Poisson give `k: None` with a caution; a level whose counts are all zero gets
/// a coefficient of minus infinity, and the log-likelihood its limit.
///
/// # Example
/// Sprays A and C of the insect counts of Beall (1942, Biometrika 32:243-262). With one factor of two levels the
/// coefficient is the log of the ratio of the two totals, 25 to 174, whatever k is.
/// ```
/// use halfgreen_analysis::counts::{Factor, Family, ModelMatrix, fit};
///
/// let counts = [10, 7, 20, 14, 14, 12, 10, 23, 17, 20, 14, 13, 0, 1, 7, 2, 3, 1, 2, 1, 3, 0, 1, 4];
/// let spray = Factor::from_labels("spray", &[["A"; 12], ["C"; 12]].concat(), Some("A"));
/// let matrix = ModelMatrix::with_intercept(24).factor(&spray).build()?;
///
/// let model = fit(&counts, &[0.0; 24], &matrix, Family::NegativeBinomial)?;
/// assert_eq!(model.coefficients[1].term, "spray[C]");
/// assert!((model.coefficients[1].estimate - f64::ln(25.0 / 174.0)).abs() < 1e-8);
/// assert!(model.convergence.converged());
/// # Ok::<(), halfgreen_analysis::Error>(())
/// ```
///
/// # Errors
/// Lengths that differ, an offset that is not finite, or no plots.
pub fn fit(
    counts: &[u64],
    offset: &[f64],
    matrix: &ModelMatrix,
    family: Family,
) -> Result<Fit, Error> {
    check(counts, offset, matrix)?;
    if counts.iter().all(|&y| y == 0) {
        return Ok(all_zero(matrix, family));
    }
    let kernel = Kernel::new(counts);
    let values: Vec<f64> = counts.iter().map(|&y| y as f64).collect();
    let problem = Problem {
        counts: &values,
        offset,
        matrix,
        kernel: &kernel,
    };
    let (point, convergence) = search(&problem, family);
    Ok(describe(&problem, &point, convergence, family))
}

/// Refuses lengths that differ and offsets that are not finite.
fn check(counts: &[u64], offset: &[f64], matrix: &ModelMatrix) -> Result<(), Error> {
    let rows = matrix.rows();
    if rows == 0 || counts.len() != rows || offset.len() != rows {
        return Err(Error::new(
            "counts",
            format!(
                "{} counts and {} offsets for {rows} plots",
                counts.len(),
                offset.len()
            ),
            "each plot needs one of each, and there must be a plot",
            "check that no plot was left out on one side",
        ));
    }
    if let Some(row) = offset.iter().position(|o| !o.is_finite()) {
        return Err(Error::new(
            format!("offset of plot {}", row + 1),
            offset[row].to_string(),
            "the sampled area must be a positive number",
            "give the plot's sampled area or number of samples",
        ));
    }
    Ok(())
}

/// Runs the search for the family's maximum.
fn search(problem: &Problem<'_>, family: Family) -> (Point, Convergence) {
    let guess = newton::starting_values(problem.counts, problem.offset, problem.matrix, 0.0);
    let clumped = (family == Family::NegativeBinomial).then(|| {
        let a = moment_start(problem, &guess);
        newton::maximise(problem, Point::new(problem, guess.clone(), a), true)
    });
    let (poisson, convergence) = newton::maximise(problem, Point::new(problem, guess, 0.0), false);
    // With a covariate the likelihood may have a maximum at the Poisson limit beside one at a finite k.
    if let Some(found) = clumped.filter(|c| c.1.converged() && c.0.value >= poisson.value) {
        return found;
    }
    // Either Poisson is asked for, or the search over k ran off towards the Poisson limit, or that is higher.
    // At a = 0 the likelihood rises with a exactly when sum((y - m)^2 - y) > 0; if not, the Poisson
    // limit is the maximum (Levin & Reeds 1977, Annals of Statistics 5:79-87, for one sample).
    // Saturated fits are told apart from overdispersed ones by more than the rounding of the sum.
    let scale: f64 = problem.counts.iter().sum();
    if family == Family::Poisson || poisson.slope <= 1e-8 * scale {
        let stop = if family == Family::Poisson {
            convergence.stop
        } else {
            Stop::Boundary
        };
        return (
            poisson,
            Convergence {
                stop,
                ..convergence
            },
        );
    }
    let a = moment_start(problem, &poisson.beta);
    let start = Point::new(problem, poisson.beta, a);
    let (point, second) = newton::maximise(problem, start, true);
    (
        point,
        Convergence {
            steps: second.steps + convergence.steps,
            ..second
        },
    )
}

/// 1/k by moments from a Poisson fit, kept between k = 0.02 and k = 1000 to start from.
fn moment_start(problem: &Problem<'_>, beta: &[f64]) -> f64 {
    let (mut excess, mut squares) = (0.0, 0.0);
    for (row, &y) in problem.counts.iter().enumerate() {
        let mean = (problem.offset[row] + problem.matrix.predict(row, beta)).exp();
        excess += (y - mean).powi(2) - mean;
        squares += mean * mean;
    }
    (excess / squares).clamp(1e-3, 50.0)
}

/// Turns the end of a search into a [`Fit`].
fn describe(problem: &Problem<'_>, point: &Point, convergence: Convergence, family: Family) -> Fit {
    let matrix = problem.matrix;
    let (a, width) = (point.a, matrix.width());
    let mut information = matrix.no_squares();
    let mut means = Vec::with_capacity(problem.counts.len());
    let (mut deviance, mut pearson, mut bend) = (0.0, 0.0, 0.0);
    for (row, &y) in problem.counts.iter().enumerate() {
        let eta = problem.offset[row] + matrix.predict(row, &point.beta);
        let mean = eta.exp();
        matrix.add_square(row, mean / (1.0 + a * mean), &mut information);
        pearson += (y - mean).powi(2) / (mean * (1.0 + a * mean));
        let perfect = if y == 0.0 {
            0.0
        } else {
            kernel::terms(y, y.ln(), y, a).value
        };
        let here = kernel::terms(y, eta, mean, a);
        deviance += 2.0 * (perfect - here.value);
        bend += here.a_a;
        means.push(mean);
    }
    let covariance = match information.factor(1e-14) {
        Ok(()) => Covariance::new(information.inverse()),
        Err(_) => Covariance::infinite(),
    };
    let k = (a > 0.0).then(|| {
        // In k itself: d2/dk2 = a^4 d2/da2 + 2 a^3 d/da, and d/da = 0 at the maximum.
        let curvature =
            -a.powi(4) * (bend + problem.kernel.sums(a).2) - 2.0 * a.powi(3) * point.slope;
        let se = if curvature > 0.0 {
            1.0 / curvature.sqrt()
        } else {
            f64::INFINITY
        };
        Estimate { value: 1.0 / a, se }
    });
    let coefficients = (0..width)
        .map(|j| Coefficient {
            term: matrix.terms()[j].clone(),
            estimate: point.beta[j],
            se: covariance.between(j, j).sqrt(),
        })
        .collect();
    let mut fit = Fit {
        family,
        coefficients,
        covariance,
        k,
        log_likelihood: point.value,
        deviance,
        pearson_chi2: pearson,
        residual_df: problem.counts.len() - width,
        means,
        convergence,
        cautions: Vec::new(),
    };
    note_limits(&mut fit, problem.counts, matrix);
    fit
}

/// Marks coefficients that run to infinity, and a k at the Poisson limit.
fn note_limits(fit: &mut Fit, counts: &[f64], matrix: &ModelMatrix) {
    for column in empty_levels(counts, matrix) {
        let coefficient = &mut fit.coefficients[column];
        coefficient.estimate = f64::NEG_INFINITY;
        coefficient.se = f64::INFINITY;
        fit.cautions.push(Caution::new(
            "empty-level",
            format!(
                "every count of {} is zero: its coefficient has no lower bound",
                coefficient.term
            ),
        ));
    }
    if fit.family == Family::NegativeBinomial && fit.k.is_none() {
        fit.cautions.push(Caution::new(
            "k-at-poisson-limit",
            "the counts scatter no more than random (Poisson) counts would: k is infinite",
        ));
    }
    if !fit.convergence.converged() {
        fit.cautions.push(Caution::new(
            "not-converged",
            format!(
                "the fit stopped after {} steps without settling",
                fit.convergence.steps
            ),
        ));
    }
}

/// Columns of ones and zeros, the intercept aside, that have ones only where the count is zero.
fn empty_levels(counts: &[f64], matrix: &ModelMatrix) -> Vec<usize> {
    let mut empty = vec![true; matrix.width()];
    for (row, &count) in counts.iter().enumerate() {
        for (column, value) in matrix.row(row) {
            empty[column] &= value == 1.0 && count == 0.0;
        }
    }
    (1..empty.len()).filter(|&column| empty[column]).collect()
}

/// The defined answer for counts that are all zero.
fn all_zero(matrix: &ModelMatrix, family: Family) -> Fit {
    let width = matrix.width();
    let coefficients = matrix
        .terms()
        .iter()
        .enumerate()
        .map(|(j, term)| Coefficient {
            term: term.clone(),
            estimate: if j == 0 { f64::NEG_INFINITY } else { 0.0 },
            se: f64::INFINITY,
        })
        .collect();
    Fit {
        family,
        coefficients,
        covariance: Covariance::infinite(),
        k: None,
        log_likelihood: 0.0,
        deviance: 0.0,
        pearson_chi2: 0.0,
        residual_df: matrix.rows() - width,
        means: vec![0.0; matrix.rows()],
        convergence: Convergence {
            stop: Stop::Boundary,
            steps: 0,
            gradient: 0.0,
        },
        cautions: vec![Caution::new(
            "all-zero",
            "every count is zero: nothing can be said about any difference",
        )],
    }
}

/// A likelihood-ratio test.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LikelihoodRatio {
    /// Twice the difference of the log-likelihoods.
    pub statistic: f64,
    /// Coefficients that the smaller model lacks.
    pub df: usize,
    /// Tail area of chi-squared.
    pub p: f64,
}

/// Compares a model with a smaller one nested in it, each fitted with its own k.
#[must_use]
pub fn likelihood_ratio(full: &Fit, null: &Fit) -> LikelihoodRatio {
    let df = full
        .coefficients
        .len()
        .saturating_sub(null.coefficients.len());
    let statistic = (2.0 * (full.log_likelihood - null.log_likelihood)).max(0.0);
    let p = if df == 0 {
        1.0
    } else {
        distributions::chi_squared_sf(statistic, df as f64)
    };
    LikelihoodRatio { statistic, df, p }
}

/// Fitted means at a stated 1/k (0 for Poisson), coefficients by maximum likelihood.
///
/// # Errors
/// As [`fit`].
pub fn means_at(
    counts: &[u64],
    offset: &[f64],
    matrix: &ModelMatrix,
    inverse_k: f64,
) -> Result<Vec<f64>, Error> {
    check(counts, offset, matrix)?;
    if counts.iter().all(|&y| y == 0) {
        return Ok(vec![0.0; counts.len()]);
    }
    let kernel = Kernel::new(counts);
    let values: Vec<f64> = counts.iter().map(|&y| y as f64).collect();
    let problem = Problem {
        counts: &values,
        offset,
        matrix,
        kernel: &kernel,
    };
    let start = newton::starting_values(problem.counts, problem.offset, problem.matrix, 0.0);
    let (point, _) = newton::maximise(&problem, Point::new(&problem, start, inverse_k), false);
    let mean = |row: usize| (offset[row] + matrix.predict(row, &point.beta)).exp();
    Ok((0..counts.len()).map(mean).collect())
}
