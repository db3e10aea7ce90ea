//! What is said of a table of counts, with the keys that programs read.

use std::collections::BTreeMap;

use halfgreen_analysis::dispersion::{CommonKTest, Goodness};
use halfgreen_analysis::results::Caution;
use serde::Serialize;

use crate::threshold::Beside;

/// A power law s^2 = a m^b.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PowerLaw {
    /// Factor.
    pub a: f64,
    /// Its standard error, from that of its logarithm.
    pub a_se: Option<f64>,
    /// Its logarithm to base 10, the intercept of the line.
    pub log10_a: f64,
    /// Standard error of that.
    pub log10_a_se: Option<f64>,
    /// Exponent.
    pub b: f64,
    /// Its standard error.
    pub b_se: Option<f64>,
    /// Share of the variation explained.
    pub r2: Option<f64>,
}

/// A line of crowding on mean.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Patchiness {
    /// Intercept.
    pub alpha: f64,
    /// Its standard error.
    pub alpha_se: Option<f64>,
    /// Slope.
    pub beta: f64,
    /// Its standard error.
    pub beta_se: Option<f64>,
    /// Share of the variation explained.
    pub r2: Option<f64>,
}

/// Two laws compared with the counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fits {
    /// Chance alone.
    pub poisson: Option<Goodness>,
    /// Clumped; none where the counts are not more variable than chance.
    pub negative_binomial: Option<Goodness>,
    /// Log-likelihood and AIC of chance alone: one parameter.
    pub poisson_likelihood: Option<Likelihood>,
    /// Log-likelihood and AIC of the clumped law: two parameters.
    pub negative_binomial_likelihood: Option<Likelihood>,
}

/// How likely a fitted law makes the counts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Likelihood {
    /// Log-likelihood with every constant.
    pub log_likelihood: f64,
    /// Akaike's information criterion: twice the parameters less twice the log-likelihood.
    pub aic: f64,
}

impl Likelihood {
    pub(super) fn new(log_likelihood: f64, parameters: f64) -> Self {
        Self {
            log_likelihood,
            aic: 2.0 * (parameters - log_likelihood),
        }
    }
}

/// One group of rows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Place {
    /// Values of the grouping columns.
    pub group: Vec<String>,
    /// Units.
    pub n: u64,
    /// Animals.
    pub total: u64,
    /// Mean.
    pub mean: f64,
    /// Variance, divisor n - 1.
    pub variance: Option<f64>,
    /// k by moments.
    pub k_moment: Option<f64>,
}

/// Everything that can be said about the counts. Values that do not exist are none, and
/// `cautions` says why.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(
    missing_docs,
    reason = "each field is explained by its entry in `meanings`"
)]
pub struct Description {
    pub n: u64,
    pub total: u64,
    pub mean: f64,
    pub variance: Option<f64>,
    pub variance_to_mean: Option<f64>,
    pub index_of_dispersion: Option<f64>,
    pub index_df: Option<f64>,
    pub index_p: Option<f64>,
    pub index_p_regular: Option<f64>,
    pub k_moment: Option<f64>,
    pub k_moment_se: Option<f64>,
    pub k: Option<f64>,
    pub k_se: Option<f64>,
    pub k_low: Option<f64>,
    pub k_high: Option<f64>,
    pub lloyd_crowding: Option<f64>,
    pub lloyd_patchiness: Option<f64>,
    pub morisita: Option<f64>,
    pub morisita_p: Option<f64>,
    pub morisita_standardised: Option<f64>,
    pub goodness: Fits,
    pub taylor: Option<PowerLaw>,
    pub iwao: Option<Patchiness>,
    pub common_k: Option<f64>,
    pub common_k_likelihood: Option<f64>,
    pub common_k_se: Option<f64>,
    pub common_k_test: Option<CommonKTest>,
    pub groups: Vec<Place>,
    pub per_m2: Option<Beside>,
    /// One sentence for each measure that exists, by its key.
    pub meanings: BTreeMap<&'static str, String>,
    /// What the reader must know.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}
