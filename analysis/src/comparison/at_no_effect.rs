//! What the model test is made of at a ratio of 1, so that others can make it again.

use serde::Serialize;

use super::model_test::ModelTest;

/// The fit without the effect in question, and the residuals that are compared.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AtNoEffect {
    /// k of a plot's count; `None` at the Poisson limit.
    pub k: Option<f64>,
    /// Standard deviation of each grouping's effects on the log scale.
    pub sigma: Vec<f64>,
    /// Power of the scale on which counts are compared.
    pub power: f64,
    /// Marginal log-likelihood with every constant, block effects integrated out.
    pub log_likelihood: f64,
    /// Coefficients on the log scale, the intercept first; that of the effect is 0.
    pub coefficients: Vec<f64>,
    /// For each plot, its transformed count less the conditional expectation, over the relative standard deviation; where
    /// treatments differ in k, less what estimating its treatment's own k takes from it.
    pub residuals: Vec<f64>,
    /// Variance of each residual under the model, by which the mean square is shared out; `None` where all count alike.
    pub variances: Option<Vec<f64>>,
    /// Skewness of the contrast, for which t is corrected; 0 where treatments do not differ in k.
    pub skewness: f64,
}

impl ModelTest<'_> {
    /// The fit in which coefficient `j` is 0, and what it leaves.
    pub(super) fn at_no_effect(&self, j: usize) -> AtNoEffect {
        let fit = self.restricted(j, 0.0);
        let scores = self.scores_at(&fit).transformed;
        AtNoEffect {
            k: (fit.inverse_k > 0.0).then(|| 1.0 / fit.inverse_k),
            sigma: fit.sigma.clone(),
            power: self.strata.power(),
            log_likelihood: fit.log_likelihood,
            coefficients: fit.beta,
            residuals: scores.values.to_vec(),
            variances: scores.variances.map(|v| v.to_vec()),
            skewness: self.skewness_of(j),
        }
    }
}
