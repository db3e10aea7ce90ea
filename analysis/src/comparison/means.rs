//! Mean counts under each treatment.
//!
//! **Estimand.** The marginal mean of a treatment: the mean count per unit of exposure that the plots of this trial, in
//! their blocks and with their counts before treatment, are expected to have when all of them get that treatment.
//!
//! **Method.** A log-linear model of counts with treatment, blocks and covariate is fitted by Poisson estimating equations,
//! and its expectations under the treatment are averaged over the plots (standardisation). Such a mean is right on
//! average even where the model is not, because treatments were drawn by lot (Rosenblum & van der Laan 2010, Int. J. Biostat. 6(1),
//! art. 13); in complete blocks without covariate it is the mean as counted. Its standard error comes from the plots:
//! quasi-likelihood with the variance m + m^2 / k, k that of the comparison's model, times Pearson's dispersion over its
//! degrees of freedom (Wedderburn 1974, Biometrika 61:439-447; McCullagh & Nelder 1989, "Generalized Linear
//! Models", 2nd ed., ch. 9), and never below that of Poisson counts. The interval is Student's on the log
//! scale, and no shorter than the exact one of a Poisson total; what other greens or blocks would hold it does not tell. Coverage by simulation: `tests/comparison/means.md`.

use std::cmp::Ordering;

use rayon::prelude::*;
use serde::Serialize;

use super::mixed_model::MixedModel;
use super::plot_table::PlotTable;
use super::profile::{Calibration, Profile};
use crate::Error;
use crate::counts::{Family, Fit, ModelMatrix, fit};
use crate::distributions;
use crate::numerics::bordered::Bordered;
use crate::results::Interval;

/// Mean count per unit of exposure under a treatment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreatmentMean {
    /// Name of the treatment, the control first.
    pub treatment: String,
    /// As counted: total count over total exposure.
    pub mean: f64,
    /// The marginal mean, which the interval is about.
    pub marginal_mean: f64,
    /// Interval of the marginal mean, for this treatment alone.
    pub interval: Interval,
}

/// Below this total the counts of a treatment say nothing of how they scatter, and its upper limit is no lower than the
/// profile of its mean allows, k estimated anew at every value (no source).
const FEW: u64 = 5;

/// Marginal mean under each treatment.
pub(super) fn of(
    table: &PlotTable,
    alpha: f64,
    offset: &[f64],
) -> Result<Vec<TreatmentMean>, Error> {
    let calibration = calibration(table)?;
    // A treatment that is confounded with blocks has no mean over all of them: what was counted stands without limits.
    let standardised = match table.fixed_effects(true) {
        Ok(matrix) => Some(Standardised::new(table, offset, matrix)?),
        Err(_) => None,
    };
    let levels = (0..table.treatment.levels.len()).into_par_iter();
    let means: Vec<_> = levels
        .map(|code| {
            let exposure: f64 = (0..table.counts.len())
                .filter(|&p| table.treatment.codes[p] == code)
                .map(|p| table.exposure[p])
                .sum();
            let total = table.totals()[code];
            let mean = total as f64 / exposure;
            let (marginal_mean, (low, mut high)) = match &standardised {
                None => (mean, (0.0, f64::INFINITY)),
                Some(_) if total == 0 => (0.0, (0.0, 0.0)),
                Some(standardised) => standardised.mean(code, alpha),
            };
            if total < FEW {
                let of_few = highest_of_few(table, code, calibration, alpha, offset)?;
                high = high.max(if total == 0 {
                    of_few.1
                } else {
                    marginal_mean * of_few.0
                });
            }
            Ok(TreatmentMean {
                treatment: table.treatment.levels[code].clone(),
                mean,
                marginal_mean,
                interval: Interval {
                    low,
                    high,
                    level: 1.0 - alpha,
                },
            })
        })
        .collect();
    means.into_iter().collect()
}

/// The log-linear model by Poisson estimating equations, ready to be averaged over the plots.
struct Standardised {
    matrix: ModelMatrix,
    fit: Fit,
    /// Whether the coefficient of a column is finite; the others belong to levels where nothing was found.
    finite: Vec<bool>,
    /// Expected information of those columns, factored; 1 for each of the others. `None` where it is singular.
    information: Option<Bordered>,
    /// Variance of each count under the working model.
    variance: Vec<f64>,
    /// Total of each treatment, the control's first.
    totals: Vec<u64>,
}

impl Standardised {
    fn new(table: &PlotTable, offset: &[f64], matrix: ModelMatrix) -> Result<Self, Error> {
        let fitted = fit(&table.counts, offset, &matrix, Family::Poisson)?;
        let random = table.treatment_matrix()?;
        let inverse_k = MixedModel::new(table, offset, &random)?
            .fit(None, None)
            .inverse_k;
        let finite: Vec<bool> = (0..matrix.width())
            .map(|c| fitted.coefficients[c].estimate.is_finite())
            .collect();
        let mut information = matrix.no_squares();
        for (column, _) in finite.iter().enumerate().filter(|(_, finite)| !**finite) {
            information.add_square(&[column], &[1.0], 1.0);
        }
        for (row, &mean) in fitted.means.iter().enumerate().filter(|(_, m)| **m > 0.0) {
            matrix.add_square(row, mean, &mut information);
        }
        let width = finite.iter().filter(|finite| **finite).count();
        let (mut dispersion, mut df) = (0.0, -(width as f64));
        let plain = |mean: f64| mean + inverse_k * mean * mean;
        for (&mean, &count) in fitted.means.iter().zip(&table.counts) {
            if mean > 0.0 {
                dispersion += (count as f64 - mean).powi(2) / plain(mean);
                df += 1.0;
            }
        }
        let scale = if df >= 1.0 { dispersion / df } else { 1.0 };
        Ok(Self {
            variance: (fitted.means.iter()).map(|&m| plain(m) * scale).collect(),
            information: information
                .factor(1e-12)
                .ok()
                .filter(|()| df >= 1.0)
                .map(|()| information),
            totals: table.totals(),
            matrix,
            fit: fitted,
            finite,
        })
    }

    /// The marginal mean of a treatment, with its limits.
    fn mean(&self, code: usize, alpha: f64) -> (f64, (f64, f64)) {
        let plots = self.matrix.rows();
        let mut mean = 0.0;
        let mut gradient = vec![0.0; self.matrix.width()];
        for row in 0..plots {
            // A block where nothing was found is expected to hold nothing.
            if self
                .cells(row, code)
                .any(|(column, _)| !self.finite[column])
            {
                continue;
            }
            let eta: f64 = self
                .cells(row, code)
                .map(|(column, x)| x * self.fit.coefficients[column].estimate)
                .sum();
            let expected = eta.exp() / plots as f64;
            mean += expected;
            for (column, x) in self.cells(row, code) {
                gradient[column] += expected * x;
            }
        }
        let Some(information) = self.information.as_ref().filter(|_| mean > 0.0) else {
            return (mean, (0.0, f64::INFINITY));
        };
        let mut weights: Vec<f64> = gradient.into_iter().map(|g| g / mean).collect();
        information.solve(&mut weights);
        let (mut square, mut least) = (0.0, 0.0);
        for row in 0..plots {
            let cells = self.matrix.row(row).filter(|(c, _)| self.finite[*c]);
            let own: f64 = cells.map(|(column, x)| weights[column] * x).sum();
            square += own * own * self.variance[row];
            least += own * own * self.fit.means[row];
        }
        let rows = self.fit.means.iter().filter(|m| **m > 0.0).count();
        let width = self.finite.iter().filter(|finite| **finite).count();
        let df = (rows - width) as f64;
        let reach = distributions::t_quantile(1.0 - alpha / 2.0, df) * square.max(least).sqrt();
        let (low, high) = of_total(self.totals[code], alpha);
        (
            mean,
            (mean * (-reach).exp().min(low), mean * reach.exp().max(high)),
        )
    }

    /// The cells other than zero of a plot's row had it got treatment `code`: the columns of treatment stand last.
    fn cells(&self, row: usize, code: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let first = self.matrix.width() - (self.totals.len() - 1);
        let own = self.matrix.row(row).take_while(move |(c, _)| *c < first);
        own.chain((code > 0).then(|| (first + code - 1, 1.0)))
    }
}

/// Exact limits of the expectation of a total of random counts, over the total (Garwood 1936, Biometrika 28:437-442): no
/// counts tell more.
fn of_total(total: u64, alpha: f64) -> (f64, f64) {
    let total = total as f64;
    let limit =
        |p: f64, count: f64| distributions::chi_squared_quantile(p, 2.0 * count) / (2.0 * total);
    (
        limit(alpha / 2.0, total),
        limit(1.0 - alpha / 2.0, total + 1.0),
    )
}

/// Upper limit of the mean of a treatment under which little was found, from the profile of its own mean, over its estimate
/// and by itself: the treatment takes its turn as the reference, so that its log mean is the intercept.
fn highest_of_few(
    table: &PlotTable,
    code: usize,
    calibration: Calibration,
    alpha: f64,
    offset: &[f64],
) -> Result<(f64, f64), Error> {
    if calibration.df < 1.0 || table.counts.iter().all(|&y| y == 0) {
        return Ok((f64::INFINITY, f64::INFINITY));
    }
    let bound = distributions::t_quantile(1.0 - alpha / 2.0, calibration.df);
    let turned = turned(table, code);
    let matrix = turned.treatment_matrix()?;
    let model = MixedModel::new(&turned, offset, &matrix)?;
    let full = model.fit(None, None);
    let limit = Profile::new(&model, &full, 0, calibration).limit(1.0, bound);
    Ok(((limit - full.beta[0]).exp(), limit.exp()))
}

/// Plots, groups and treatments to what the t scale needs.
fn calibration(table: &PlotTable) -> Result<Calibration, Error> {
    let plots = table.counts.len() as f64;
    let blocks = if table.blocking_factors().is_empty() {
        0
    } else {
        table.block_columns().build()?.width()
    };
    let within = plots - blocks as f64;
    let spent = table.treatment.levels.len() - usize::from(blocks > 0)
        + usize::from(table.before.is_some());
    let total: u64 = table.counts.iter().sum();
    Ok(Calibration {
        within,
        df: within - spent as f64,
        mean: total as f64 / plots,
    })
}

/// The same table with treatment `code` as the reference.
fn turned(table: &PlotTable, code: usize) -> PlotTable {
    let mut table = table.clone();
    for c in &mut table.treatment.codes {
        *c = match (*c).cmp(&code) {
            Ordering::Equal => 0,
            Ordering::Less => *c + 1,
            Ordering::Greater => *c,
        };
    }
    let name = table.treatment.levels.remove(code);
    table.treatment.levels.insert(0, name);
    table
}
