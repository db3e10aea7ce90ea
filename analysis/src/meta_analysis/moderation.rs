//! Standard errors from few plots, steadied by those of all trials.
//!
//! The variance of an effect from four pairs has three degrees of freedom: one trial in twenty then shows less than a
//! ninth of the true variance, and weights taken from such variances go to whoever was lucky. Each variance is therefore drawn towards the
//! common one as far as the variances of all trials tell that they have a common one.

use serde::Serialize;

use super::effect::Effect;
use crate::numerics::roots;
use crate::numerics::special::{digamma, trigamma};

/// The common variance that variances are drawn towards, and how hard.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Moderation {
    /// Degrees of freedom that the common variance counts for beside a trial's own; `None` where trials' variances differ no more
    /// than chance has them differ: all then take the common one.
    pub degrees_of_freedom: Option<f64>,
    /// The common variance, of a trial of one degree of freedom more than none: that of a trial with f is this over f + 1.
    pub common_variance: f64,
}

/// Sampling variances to pool by. Where two or more effects have degrees of freedom, theirs are moderated: true variances,
/// times f + 1 for the size of each trial, are taken to follow a scaled inverse chi-squared law, which is fitted to the logs of
/// the variances by their first two moments, and each is replaced by its posterior value (Smyth 2004, Stat. Appl. Genet. Mol.
/// Biol. 3, art. 3, sections 3 and 6.2). Known variances stay as they are.
pub(super) fn variances(effects: &[Effect]) -> (Vec<f64>, Option<Moderation>) {
    let own = |e: &Effect| e.standard_error * e.standard_error;
    // Effect by effect: the log of the variance of a trial of unit size, and its degrees of freedom.
    let few: Vec<(f64, f64)> = effects
        .iter()
        .filter_map(|e| {
            e.degrees_of_freedom
                .filter(|f| f.is_finite())
                .map(|f| (own(e) * (f + 1.0), f))
        })
        .collect();
    let Some(moderation) = fitted(&few) else {
        return (effects.iter().map(own).collect(), None);
    };
    let moderated = |e: &Effect| match e.degrees_of_freedom.filter(|f| f.is_finite()) {
        Some(f) => moderation.posterior(own(e) * (f + 1.0), f) / (f + 1.0),
        None => own(e),
    };
    (effects.iter().map(moderated).collect(), Some(moderation))
}

/// The same effects with their standard errors moderated: for [`network`](super::network()), which takes errors as they come.
#[must_use]
pub fn moderated(effects: &[Effect]) -> Vec<Effect> {
    let (variances, _) = variances(effects);
    let with = |(effect, variance): (&Effect, f64)| Effect {
        standard_error: variance.sqrt(),
        ..*effect
    };
    effects.iter().zip(variances).map(with).collect()
}

impl Moderation {
    /// Posterior value of a variance found with `f` degrees of freedom.
    fn posterior(&self, found: f64, f: f64) -> f64 {
        self.degrees_of_freedom
            .map_or(self.common_variance, |prior| {
                (prior * self.common_variance + f * found) / (prior + f)
            })
    }
}

/// The common variance and its degrees of freedom, from variances and theirs; `None` from fewer than two.
fn fitted(few: &[(f64, f64)]) -> Option<Moderation> {
    if few.len() < 2 {
        return None;
    }
    let count = few.len() as f64;
    let logs = few
        .iter()
        .map(|&(s2, f)| s2.ln() - digamma(0.5 * f) + (0.5 * f).ln());
    let logs: Vec<f64> = logs.collect();
    let mean = logs.iter().sum::<f64>() / count;
    let scatter = logs.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / (count - 1.0);
    let chance = few.iter().map(|&(_, f)| trigamma(0.5 * f)).sum::<f64>() / count;
    let Some(half) = half_prior(scatter - chance) else {
        // One variance for all: its maximum-likelihood estimate, the mean by degrees of freedom.
        let all: f64 = few.iter().map(|few| few.1).sum();
        return Some(Moderation {
            degrees_of_freedom: None,
            common_variance: few.iter().map(|(s2, f)| s2 * (f / all)).sum(),
        });
    };
    Some(Moderation {
        degrees_of_freedom: Some(2.0 * half),
        common_variance: (mean + digamma(half) - half.ln()).exp(),
    })
}

/// Above this many degrees of freedom the prior's own share in the scatter, 2 / d, is below what rounding of logs leaves.
const LARGEST: f64 = 1e8;

/// Half the prior's degrees of freedom: where trigamma is `excess`; `None` for as good as infinitely many.
fn half_prior(excess: f64) -> Option<f64> {
    // Trigamma of x lies between 1/x and 1/x + 1/x^2.
    if excess <= trigamma(0.5 * LARGEST) {
        return None;
    }
    let (low, high) = (0.5 / excess.max(1.0), 1.0 + 1.0 / excess);
    // On the log scale, for x may be as small as 1e-10 and as large as 1e8.
    roots::brent(
        |log| trigamma(log.exp()).ln() - excess.ln(),
        low.ln(),
        high.ln(),
        1e-13,
    )
    .map(|root| root.x.exp())
}
