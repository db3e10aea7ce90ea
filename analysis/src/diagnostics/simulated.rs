//! The fitted model against counts drawn from itself.

use rayon::prelude::*;
use serde::Serialize;

use super::residuals::{Normality, normality, quantile_residuals};
use crate::Error;
use crate::counts::{self, Family, Fit, ModelMatrix};
use crate::distributions::negative_binomial;
use crate::random::Generator;
use crate::results::{Origin, PValue};

/// Streams from here on: far from those by which layouts and allocations are drawn.
const FIRST_STREAM: u64 = 1 << 40;

/// A figure of the counts beside the same figure of simulated ones.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SimulatedStatistic {
    /// Of the counts.
    pub observed: f64,
    /// Mean over simulated counts.
    pub expected: f64,
    /// Chance of lying as far out on either side, (b + 1) / (m + 1) on the nearer side, doubled.
    pub p: PValue,
}

/// What simulation says of a fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SimulatedChecks {
    /// One randomised quantile residual for each plot.
    pub residuals: Vec<f64>,
    /// How normal they look, `None` for fewer than three plots.
    pub normality: Option<Normality>,
    /// The same, its chance by simulation, refitting included.
    pub straightness: Option<SimulatedStatistic>,
    /// Pearson's chi-squared over its degrees of freedom: how variable the counts are.
    pub dispersion: SimulatedStatistic,
    /// Number of zero counts.
    pub zeros: SimulatedStatistic,
}

/// Figures of one set of counts under its own fit.
struct Figures {
    residuals: Vec<f64>,
    normality: Option<Normality>,
    pearson: f64,
    zeros: f64,
}

/// Draws `draws` sets of counts from `fit`, fits each anew in the same way, and compares
/// residuals, scatter and zeros (parametric bootstrap; Davison & Hinkley 1997, "Bootstrap Methods and
/// their Application", section 4.2.3). Refitting matters: with few plots a fit follows its own
/// counts closely.
///
/// # Errors
/// A fit without residual degrees of freedom, which follows any counts, and the errors of
/// [`counts::fit`].
pub fn simulated_checks(
    counts: &[u64],
    offset: &[f64],
    matrix: &ModelMatrix,
    fit: &Fit,
    draws: u64,
    seed: u64,
) -> Result<SimulatedChecks, Error> {
    if fit.residual_df == 0 || draws == 0 {
        return Err(Error::new(
            "checks by simulation",
            format!("{} residual degrees of freedom", fit.residual_df),
            "a fit with as many coefficients as plots follows any counts",
            "leave the check out, or count more plots",
        ));
    }
    let k = 1.0 / fit.inverse_k();
    let family = fit.family;
    let here = figures(counts, fit, &mut Generator::new(seed, FIRST_STREAM));
    let drawn = (1..=draws)
        .into_par_iter()
        .map(|draw| {
            let mut generator = Generator::new(seed, FIRST_STREAM + draw);
            let simulated: Vec<u64> = fit
                .means
                .iter()
                .map(|&mean| negative_binomial::draw(&mut generator, mean, k))
                .collect();
            let again = refit(&simulated, offset, matrix, family)?;
            Ok(figures(&simulated, &again, &mut generator))
        })
        .collect::<Result<Vec<Figures>, Error>>()?;
    let df = fit.residual_df as f64;
    let of =
        |f: &dyn Fn(&Figures) -> f64| compare(f(&here), &drawn.iter().map(f).collect::<Vec<f64>>());
    let dispersion = of(&|f| f.pearson / df);
    let zeros = of(&|f| f.zeros);
    let straightness = here
        .normality
        .map(|_| of(&|f| f.normality.map_or(1.0, |n| n.w)));
    Ok(SimulatedChecks {
        residuals: here.residuals,
        normality: here.normality,
        straightness,
        dispersion,
        zeros,
    })
}

fn refit(
    counts: &[u64],
    offset: &[f64],
    matrix: &ModelMatrix,
    family: Family,
) -> Result<Fit, Error> {
    counts::fit(counts, offset, matrix, family)
}

fn figures(counts: &[u64], fit: &Fit, generator: &mut Generator) -> Figures {
    let residuals = quantile_residuals(counts, &fit.means, fit.inverse_k(), generator);
    Figures {
        normality: normality(&residuals),
        residuals,
        // Fitted means of zero leave nothing to scatter about.
        pearson: if fit.pearson_chi2.is_finite() {
            fit.pearson_chi2
        } else {
            0.0
        },
        zeros: counts.iter().filter(|&&y| y == 0).count() as f64,
    }
}

/// Two-sided: twice the smaller tail, the observed figure counted in both.
fn compare(observed: f64, drawn: &[f64]) -> SimulatedStatistic {
    let m = drawn.len() as f64;
    let tail = |beyond: usize| (beyond as f64 + 1.0) / (m + 1.0);
    let low = tail(drawn.iter().filter(|&&d| d <= observed).count());
    let high = tail(drawn.iter().filter(|&&d| d >= observed).count());
    SimulatedStatistic {
        observed,
        expected: drawn.iter().sum::<f64>() / m,
        p: PValue {
            value: (2.0 * low.min(high)).min(1.0),
            origin: Origin::Sampled(drawn.len() as u64),
        },
    }
}
