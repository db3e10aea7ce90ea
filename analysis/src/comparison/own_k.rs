//! k of each treatment, as far as the counts tell it apart from the common one.
//!
//! A treatment may change how clumped animals lie as well as how many there are. The expectation of a
//! transformed count depends on both, so that one k for all treatments would pass a change of k off as a
//! change of the mean. In the negative binomial the estimates of mean and k are orthogonal (Lawless 1987,
//! Canadian Journal of Statistics 15:209-225): asymptotically, to leave k open costs no power to compare means.
//! With few plots it does, and k of each treatment is shrunk towards the common one by the evidence that they
//! differ, in the manner of James & Stein (1961): it goes 1 - d / L of the way to its own, or none where this is
//! negative, with L the likelihood ratio of separate k and d its degrees of freedom. Of 0 (always), 1/2, 1 and 2 times d,
//! tried by simulation, d itself kept most of what can be kept where k differs for about one point of power where it does not;
//! the bench measures both with other seeds.

use serde::Serialize;

use crate::distributions::chi_squared_sf;
use crate::distributions::negative_binomial::ln_rising_factorial;
use crate::numerics::minimise;

/// Standard deviation of the prior law of a treatment's log(1 + m/k) about the common one. It bounds k where plots
/// hold next to nothing: from one treatment to another the variance may well change sevenfold.
const PRIOR_SD: f64 = 2.0;

/// Width of the differences by which slopes are taken, on the scale of log(1 + m/k). Curvature over a
/// twentieth of it is far below the scatter of any estimate of k.
const STEP: f64 = 0.05;

/// Nodes of a block effect with less weight than this add nothing that could be seen.
const WEIGHTLESS: f64 = 1e-6;

/// The reader is told that treatments differ in k where the chance of such a likelihood ratio without a difference is
/// this or less. The bench measures how often that is (`UNLIKE.md` there).
const TOLD_APART: f64 = 0.02;

/// The counts of one treatment, with their means given the nodes of the block effects.
#[derive(Debug)]
pub(super) struct Arm {
    pub(super) rows: Vec<usize>,
    counts: Vec<u64>,
    /// For each plot, mean and weight of each node.
    means: Vec<Vec<(f64, f64)>>,
    /// Mean over the plots.
    mean: f64,
}

/// The law of one treatment's counts, and how its k hangs on each of them.
#[derive(Debug)]
pub(super) struct ArmLaw {
    pub(super) inverse_k: f64,
    /// 1/k a step lower and a step higher, and the width between.
    pub(super) around: (f64, f64, f64),
    /// Change of the estimate with one count: its score, less the mean score, times this gain. Empty, and the gain 0, at the Poisson limit.
    pub(super) scores: Vec<f64>,
    pub(super) gain: f64,
}

impl ArmLaw {
    /// With a k that does not hang on single counts.
    pub(super) fn common(inverse_k: f64) -> Self {
        Self {
            inverse_k,
            around: (inverse_k, inverse_k, STEP),
            scores: Vec::new(),
            gain: 0.0,
        }
    }
}

impl Arm {
    /// Of the plots in `rows`; `nodes` gives mean and weight of each node of a plot.
    pub(super) fn new(
        rows: Vec<usize>,
        counts: &[u64],
        nodes: impl Fn(usize) -> Vec<(f64, f64)>,
    ) -> Self {
        let mut means: Vec<Vec<(f64, f64)>> = rows.iter().map(|&row| nodes(row)).collect();
        let total: f64 = means
            .iter()
            .flatten()
            .map(|(mean, weight)| mean * weight)
            .sum();
        for nodes in &mut means {
            nodes.retain(|node| node.1 > WEIGHTLESS);
        }
        Self {
            counts: rows.iter().map(|&row| counts[row]).collect(),
            mean: total / rows.len() as f64,
            means,
            rows,
        }
    }

    /// Whether its counts can tell anything about k.
    fn tells(&self) -> bool {
        self.mean > 0.0 && self.counts.iter().any(|&count| count > 0)
    }

    /// log(1 + m/k), the scale on which k is estimated: 0 for Poisson counts.
    fn theta(&self, inverse_k: f64) -> f64 {
        (inverse_k * self.mean).ln_1p()
    }

    fn inverse_k(&self, theta: f64) -> f64 {
        theta.max(0.0).exp_m1() / self.mean
    }

    /// Expected log-likelihood of each plot given its block, less what does not depend on k.
    fn log_likelihoods(&self, theta: f64) -> impl Iterator<Item = f64> {
        let inverse_k = self.inverse_k(theta);
        // Below a ten-millionth of the mean, k adds nothing to any count that could be written.
        let k = if inverse_k * self.mean > 1e-7 {
            inverse_k.recip()
        } else {
            f64::INFINITY
        };
        self.counts
            .iter()
            .zip(&self.means)
            .map(move |(&count, nodes)| {
                if k.is_infinite() {
                    return -nodes
                        .iter()
                        .map(|(mean, weight)| weight * mean)
                        .sum::<f64>();
                }
                let y = count as f64;
                let spread: f64 = nodes
                    .iter()
                    .map(|(mean, weight)| weight * ln_one_plus(mean * inverse_k))
                    .sum();
                ln_rising_factorial(count, k) - (k + y) * spread
            })
    }

    /// Where its own penalised likelihood is greatest, and the likelihood ratio against the common k.
    fn maximum(&self, common: f64) -> (f64, f64) {
        let beside = |theta: f64| {
            let sum: f64 = self.log_likelihoods(theta).sum();
            0.5 * ((theta - common) / PRIOR_SD).powi(2) - sum
        };
        let (low, high) = ((common - 2.0 * PRIOR_SD).max(0.0), common + 2.0 * PRIOR_SD);
        let found = minimise::brent(beside, low, high, 0.1 * STEP);
        (found.x, 2.0 * (beside(common) - found.value).max(0.0))
    }

    /// The law with k moved from the common one by the share `shrinkage` of the way to its own.
    pub(super) fn law(&self, common: f64, shrinkage: f64) -> ArmLaw {
        if !self.tells() || shrinkage == 0.0 {
            return ArmLaw::common(common);
        }
        let from = self.theta(common);
        let theta = from + shrinkage * (self.maximum(from).0 - from);
        if theta <= STEP {
            // At the Poisson limit the estimate does not move with single counts.
            return ArmLaw::common(self.inverse_k(theta));
        }
        let at = |theta: f64| self.log_likelihoods(theta);
        let scores: Vec<f64> = at(theta + STEP)
            .zip(at(theta - STEP))
            .map(|(above, below)| (above - below) / (2.0 * STEP))
            .collect();
        let ends: f64 = at(theta + STEP).chain(at(theta - STEP)).sum();
        let information = (2.0 * at(theta).sum::<f64>() - ends) / STEP.powi(2) + PRIOR_SD.powi(-2);
        let mean = scores.iter().sum::<f64>() / scores.len() as f64;
        ArmLaw {
            inverse_k: self.inverse_k(theta),
            around: (
                self.inverse_k(theta - STEP),
                self.inverse_k(theta + STEP),
                2.0 * STEP,
            ),
            scores: scores.iter().map(|score| score - mean).collect(),
            gain: if information > 0.0 {
                shrinkage / information
            } else {
                0.0
            },
        }
    }
}

/// log(1 + x). Where x > 0.01 the plain logarithm loses two digits of sixteen and takes half the time.
#[expect(clippy::imprecise_flops, reason = "said above")]
fn ln_one_plus(x: f64) -> f64 {
    if x > 0.01 { (1.0 + x).ln() } else { x.ln_1p() }
}

/// Evidence that treatments differ in k.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Heterogeneity {
    /// Likelihood ratio of separate k against the common one.
    pub(super) likelihood_ratio: f64,
    /// Treatments that hold anything, less one.
    pub(super) df: usize,
}

impl Heterogeneity {
    /// Of these treatments, whose common 1/k is `common`.
    pub(super) fn of(arms: &[Arm], common: f64) -> Self {
        let telling = || arms.iter().filter(|arm| arm.tells());
        Self {
            likelihood_ratio: telling().map(|arm| arm.maximum(arm.theta(common)).1).sum(),
            df: telling().count().saturating_sub(1),
        }
    }

    /// p of the likelihood ratio by its chi-squared law, which is rough with few plots.
    pub(super) fn p(&self) -> f64 {
        if self.df == 0 {
            1.0
        } else {
            chi_squared_sf(self.likelihood_ratio, self.df as f64)
        }
    }

    /// Whether the reader is told that treatments differ in k.
    pub(super) fn told_apart(&self) -> bool {
        self.p() <= TOLD_APART
    }

    /// Share of the way from the common k to each treatment's own, from 0 to 1.
    pub(super) fn shrinkage(&self) -> f64 {
        let expected = self.df as f64;
        if self.df == 0 || self.likelihood_ratio <= expected {
            0.0
        } else {
            1.0 - expected / self.likelihood_ratio
        }
    }
}

/// Overdispersion treatment by treatment, and how far the primary test reckons with it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OwnK {
    /// k of each treatment, the control first, as far as the test parts it from the common one; `None` at the Poisson limit.
    pub k: Vec<Option<f64>>,
    /// Likelihood ratio of separate k against the common one.
    pub likelihood_ratio: f64,
    /// Its degrees of freedom.
    pub df: usize,
    /// p of the likelihood ratio by its chi-squared law, which is rough with few plots.
    pub p: f64,
    /// Share of the way from the common k to its own that each treatment is taken, 0 to 1.
    pub shrinkage: f64,
}

impl OwnK {
    /// The evidence, and k of each treatment that follows from it.
    pub(super) fn told(found: Heterogeneity, k: Vec<Option<f64>>) -> Self {
        Self {
            k,
            likelihood_ratio: found.likelihood_ratio,
            df: found.df,
            p: found.p(),
            shrinkage: found.shrinkage(),
        }
    }
}
