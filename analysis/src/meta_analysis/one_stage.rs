//! The plots of all trials in one model of counts.

use ndarray::Array2;
use serde::Serialize;

use super::effect::{IntervalMethod, PoolOptions};
use crate::Error;
use crate::counts::{Factor, ModelMatrix};
use crate::distributions::{normal_quantile, normal_sf, t_quantile, t_sf};
use crate::mixed::MarginalFit;
use crate::mixed::laplace::RandomEffects;
use crate::numerics::cholesky::Cholesky;
use crate::results::{Caution, Convergence};

/// One count for each plot, and where the plot lies.
#[derive(Debug, Clone, PartialEq)]
pub struct ManyTrials {
    /// Count of each plot, its samples summed.
    pub counts: Vec<u64>,
    /// Number of samples or area behind each count, above 0.
    pub exposure: Vec<f64>,
    /// Treatment of each plot, the control first among the levels.
    pub treatment: Factor,
    /// The site of each plot: what there are many of.
    pub site: Factor,
    /// Groups within sites, such as blocks, outermost first. A label that two sites both use means two groups.
    pub within: Vec<Factor>,
}

/// A treatment against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OneStageEffect {
    /// Name of the treatment.
    pub treatment: String,
    /// Log ratio of mean counts in the average site; infinite where an arm is empty everywhere, `None` where both are.
    pub effect: Option<f64>,
    /// Its standard error; infinite where an arm is empty.
    pub standard_error: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Two-sided p of no effect on average, alone; 1 where an arm is empty, for Wald's test has nothing to say there.
    pub p: f64,
}

/// One model of all counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OneStage {
    /// Every treatment against the control.
    pub effects: Vec<OneStageEffect>,
    /// Degrees of freedom of limits and p: sites less one; `None` for the normal law or one site.
    pub degrees_of_freedom: Option<f64>,
    /// Variance of a log ratio between sites, the same for every two treatments.
    pub tau2: f64,
    /// Standard deviation of sites on the log scale, that of a site's mean over treatments.
    pub site_sd: f64,
    /// Standard deviation of each grouping within sites, in the order given.
    pub within_sd: Vec<f64>,
    /// k of the plots; `None` at the Poisson limit.
    pub k: Option<f64>,
    /// Laplace's approximation of the log-likelihood, with every constant.
    pub log_likelihood: f64,
    /// How the search ended.
    pub convergence: Convergence,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

/// Fits a negative binomial model to the plots of many sites: treatments as constants; sites, groups within them and treatment
/// by site as normal effects on the log scale, integrated out by Laplace's approximation.
///
/// The effect of a treatment differs between sites as every treatment's mean does, the control's too, with a variance of tau^2 / 2:
/// a log ratio of any two has tau^2, whichever is called the control (the random slope on a treatment coded -1/2 and 1/2).
/// The search is for the maximum of the likelihood itself, so that variances come out a little too small where sites are few
/// (Debray et al. 2013, `PLoS` ONE 8:e60650; Burke, Ensor & Riley 2017, Statistics in Medicine 36:855-875). Limits take Wald's standard
/// error with Student's t on one degree of freedom fewer than sites. It takes k and the variance between blocks to be the same in all sites: where sites differ in
/// them, the two-stage answer ([`pool`](super::pool())) assumes less.
///
/// # Errors
/// Lengths that differ, no plots, exposures that are not above 0, one treatment.
pub fn one_stage(trials: &ManyTrials, options: &PoolOptions) -> Result<OneStage, Error> {
    options.check()?;
    trials.check()?;
    let offset: Vec<f64> = trials.exposure.iter().map(|e| e.ln()).collect();
    let matrix = ModelMatrix::with_intercept(trials.counts.len())
        .factor(&trials.treatment)
        .build()?;
    let terms = trials.terms();
    let fit = RandomEffects::new(&trials.counts, &offset, &matrix, &terms)?.fit(None, None, false);
    let sites = trials.site.levels.len();
    let df =
        (options.interval != IntervalMethod::Normal && sites > 1).then_some(sites as f64 - 1.0);
    let within = terms.len() - 2;
    Ok(OneStage {
        effects: trials.effects(&fit, df, options.level),
        degrees_of_freedom: df,
        tau2: 2.0 * fit.sigma[within + 1].powi(2),
        site_sd: fit.sigma[0],
        within_sd: fit.sigma[1..=within].to_vec(),
        k: (fit.inverse_k > 0.0).then(|| 1.0 / fit.inverse_k),
        log_likelihood: fit.log_likelihood,
        convergence: fit.convergence,
        cautions: cautions(&fit, sites),
    })
}

fn cautions(fit: &MarginalFit, sites: usize) -> Vec<Caution> {
    let mut out = Vec::new();
    if sites == 1 {
        out.push(Caution::new(
            "one-site",
            "there is one site: how far sites differ cannot be told",
        ));
    }
    if !fit.convergence.converged() {
        out.push(Caution::new(
            "not-converged",
            "the count model did not settle; its figures are rough",
        ));
    }
    out
}

impl ManyTrials {
    fn check(&self) -> Result<(), Error> {
        let plots = self.counts.len();
        let factors = [&self.treatment, &self.site]
            .into_iter()
            .chain(&self.within);
        let lengths = factors.map(|f| f.codes.len()).chain([self.exposure.len()]);
        if plots == 0 || lengths.into_iter().any(|length| length != plots) {
            return Err(Error::new(
                "plots",
                format!("{plots} counts, and places or exposures of another number"),
                "every plot needs a count, an exposure, a treatment, a site and its groups",
                "check that no plot was left out on one side",
            ));
        }
        if let Some(exposure) = self.exposure.iter().find(|e| !(**e > 0.0 && e.is_finite())) {
            return Err(Error::new(
                "exposure",
                format!("{exposure}"),
                "an exposure must be a number above 0",
                "leave out plots of which no sample was taken",
            ));
        }
        if self.treatment.levels.len() < 2 {
            return Err(Error::new(
                "treatment",
                format!("{} treatment", self.treatment.levels.len()),
                "a control and at least one treatment are needed",
                "check the labels of treatments",
            ));
        }
        Ok(())
    }

    /// Random terms: sites, groups within them from the outermost, treatment by site.
    fn terms(&self) -> Vec<Vec<usize>> {
        let mut terms = vec![self.site.codes.clone()];
        for factor in &self.within {
            let outer = &terms[terms.len() - 1];
            terms.push(crossed(outer, &factor.codes));
        }
        terms.push(crossed(&self.site.codes, &self.treatment.codes));
        terms
    }

    fn effects(&self, fit: &MarginalFit, df: Option<f64>, level: f64) -> Vec<OneStageEffect> {
        let mut totals = vec![0_u64; self.treatment.levels.len()];
        for (&code, &count) in self.treatment.codes.iter().zip(&self.counts) {
            totals[code] = totals[code].saturating_add(count);
        }
        let p = 0.5 + 0.5 * level;
        let reach = df.map_or_else(|| normal_quantile(p), |df| t_quantile(p, df));
        let tail = |t: f64| df.map_or_else(|| normal_sf(t), |df| t_sf(t, df));
        let full = totals.iter().enumerate().filter(|(_, total)| **total > 0);
        let full: Vec<usize> = full.map(|(code, _)| code).collect();
        let covariance = covariance(fit, &full);
        (1..totals.len())
            .map(|code| {
                let estimate = match (totals[code], totals[0]) {
                    (0, 0) => None,
                    (0, _) => Some(f64::NEG_INFINITY),
                    (_, 0) => Some(f64::INFINITY),
                    _ => Some(fit.beta[code]),
                };
                let at = full.iter().position(|&c| c == code);
                let variance = match (estimate, at, &covariance) {
                    (Some(e), Some(at), Some(covariance)) if e.is_finite() => covariance[[at, at]],
                    _ => f64::INFINITY,
                };
                let standard_error = variance.sqrt();
                let known = standard_error.is_finite();
                let middle = estimate.filter(|_| known);
                OneStageEffect {
                    treatment: self.treatment.levels[code].clone(),
                    effect: estimate,
                    standard_error,
                    low: middle.map_or(f64::NEG_INFINITY, |e| e - reach * standard_error),
                    high: middle.map_or(f64::INFINITY, |e| e + reach * standard_error),
                    p: middle.map_or(1.0, |e| (2.0 * tail((e / standard_error).abs())).min(1.0)),
                }
            })
            .collect()
    }
}

/// Numbers of the groups that two groupings make together.
fn crossed(outer: &[usize], inner: &[usize]) -> Vec<usize> {
    let mut seen = std::collections::BTreeMap::new();
    let pairs = outer.iter().zip(inner);
    pairs
        .map(|(&a, &b)| {
            let next = seen.len();
            *seen.entry((a, b)).or_insert(next)
        })
        .collect()
}

/// Covariance of the coefficients of the treatments in `full` (the intercept for the control), from the observed information of all
/// parameters; those at the end of their range, where the likelihood has no slope and no other parameter leans on them, are
/// taken as known. `None` where the information is not definite.
fn covariance(fit: &MarginalFit, full: &[usize]) -> Option<Array2<f64>> {
    let width = fit.beta.len();
    let ends = fit.sigma.iter().copied().chain([fit.inverse_k]).enumerate();
    let free = ends
        .filter(|(_, value)| *value > 0.0)
        .map(|(at, _)| width + at);
    let kept: Vec<usize> = full.iter().copied().chain(free).collect();
    let part = |i: usize, j: usize| fit.information[[kept[i].max(kept[j]), kept[i].min(kept[j])]];
    let information = Array2::from_shape_fn((kept.len(), kept.len()), |(i, j)| part(i, j));
    Some(Cholesky::new(information, 0.0).ok()?.inverse())
}
