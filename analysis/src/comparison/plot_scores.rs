//! What the model makes of each plot's count at one ratio: its score, and the moments that the score should have.

use ndarray::Array1;

use super::joint_moments::JointMoments;
use super::own_k::{Arm, ArmLaw};
use super::transformation::{Transformation, TransformedCounts};
use super::untransformed::ASKED;
use crate::mixed::{EffectPosterior, MarginalFit};

/// The score of each plot at a ratio.
#[derive(Debug)]
pub(super) struct PlotScores {
    /// Transformed count less its conditional expectation given the block, over the relative standard deviation
    /// of the scale, less what estimating its treatment's own k takes from it.
    pub(super) values: Array1<f64>,
    /// Variance of each score under the model; `None` where all are alike or nothing is expected.
    pub(super) variances: Option<Array1<f64>>,
    /// By how much the third cumulant of each score exceeds that under the common k; `None` where treatments do not differ in k.
    /// What the common k leaves is the same in every treatment but for the mean, and cancels.
    pub(super) third_cumulants: Option<Array1<f64>>,
}

/// The scores of all plots.
#[derive(Debug)]
pub(super) struct Scores {
    pub(super) transformed: PlotScores,
    /// Counts over their means, where treatments differ in k so much that these must agree.
    pub(super) untransformed: Option<PlotScores>,
}

/// A fit with what scores are made from.
#[derive(Debug)]
pub(super) struct Scored<'a> {
    pub(super) counts: &'a [u64],
    /// Treatment of each plot, and their number.
    pub(super) codes: &'a [usize],
    pub(super) treatments: usize,
    /// Log mean of each plot without its block.
    pub(super) expected: &'a [f64],
    pub(super) fit: &'a MarginalFit,
    pub(super) posterior: &'a EffectPosterior,
}

impl Scored<'_> {
    /// Log effects of a plot's block, with their weights.
    fn nodes(&self, row: usize) -> &[(f64, f64)] {
        &self.posterior.nodes[self.posterior.group[row]]
    }

    /// Mean over the nodes of a plot's block of a function of the log mean.
    pub(super) fn average(&self, row: usize, of: impl Fn(f64) -> f64) -> f64 {
        let nodes = self.nodes(row).iter();
        nodes
            .map(|&(u, weight)| weight * of(self.expected[row] + u))
            .sum()
    }

    /// The counts of each treatment with their means.
    pub(super) fn arms(&self) -> Vec<Arm> {
        let nodes = |row: usize| {
            let nodes = self.nodes(row).iter();
            nodes
                .map(|&(u, weight)| ((self.expected[row] + u).exp(), weight))
                .collect()
        };
        (0..self.treatments)
            .map(|arm| {
                let rows = (0..self.codes.len()).filter(|&row| self.codes[row] == arm);
                Arm::new(rows.collect(), self.counts, nodes)
            })
            .collect()
    }

    /// The scores on a scale of this power, with k of each treatment moved by the share `shrinkage` of the way to its own.
    /// Where `alike`, plots of a block that are expected to hold the same need no expectation: it cancels.
    pub(super) fn scores(&self, power: f64, shrinkage: f64, alike: bool) -> Scores {
        let scale = Transformation::new(self.fit.inverse_k, power);
        let transformed = self.counts.iter().map(|&y| scale.of(y as f64));
        let mut scores = PlotScores {
            values: transformed.collect(),
            variances: None,
            third_cumulants: None,
        };
        let mut untransformed = None;
        let (low, high) = ends(self.expected.iter().copied());
        if !low.is_finite() {
            return Scores {
                transformed: scores,
                untransformed,
            };
        }
        let relative_sd: Array1<f64> = (0..self.counts.len())
            .map(|row| scale.relative_sd(self.average(row, f64::exp)))
            .collect();
        let mut known = TransformedCounts::default();
        if shrinkage > 0.0 {
            let arms = self.arms();
            let law = |arm: &Arm| arm.law(self.fit.inverse_k, shrinkage);
            let laws: Vec<ArmLaw> = arms.iter().map(law).collect();
            self.part(&mut scores, (&arms, &laws), &scale, &relative_sd);
            if shrinkage >= ASKED {
                untransformed = self.untransformed(&arms, &laws);
            }
        } else if low < high || !alike {
            let all: Vec<usize> = (0..self.counts.len()).collect();
            self.centre(&mut scores, &scale, &all, &mut known);
        }
        scores.values /= &relative_sd;
        if let Some(variances) = &mut scores.variances {
            *variances /= &(&relative_sd * &relative_sd);
        }
        Scores {
            transformed: scores,
            untransformed,
        }
    }

    /// Takes the expectation from the scores of some plots, and notes their variance.
    fn centre(
        &self,
        scores: &mut PlotScores,
        law: &Transformation,
        rows: &[usize],
        known: &mut TransformedCounts,
    ) {
        let effects = rows
            .iter()
            .flat_map(|&row| self.nodes(row))
            .map(|node| node.0);
        let (least, most) = ends(effects);
        let (low, high) = ends(rows.iter().map(|&row| self.expected[row]));
        let (mean, variance) = law.moment_series(low + least, high + most, known);
        let variances = (scores.variances).get_or_insert_with(|| Array1::zeros(self.counts.len()));
        for &row in rows {
            scores.values[row] -= self.average(row, |eta| mean.at(eta));
            variances[row] = self.average(row, |eta| variance.at(eta)).max(0.0);
        }
    }

    /// As [`Scored::centre`], each treatment under a k of its own, whose estimate hangs on the same counts: each score
    /// less its share of that, so that the scores scatter as their sums do (the influence function of a
    /// two-step estimate; Newey 1994, Econometrica 62:1349-1382).
    fn part(
        &self,
        scores: &mut PlotScores,
        (arms, laws): (&[Arm], &[ArmLaw]),
        scale: &Transformation,
        relative_sd: &Array1<f64>,
    ) {
        let mut third_cumulants = Array1::zeros(self.counts.len());
        let mut known = TransformedCounts::default();
        let common = ArmLaw::common(self.fit.inverse_k);
        for (arm, law) in arms.iter().zip(laws) {
            let own = scale.under(law.inverse_k);
            self.centre(scores, &own, &arm.rows, &mut known);
            let plots = arm.rows.len() as f64;
            let log_means = arm.rows.iter().map(|&row| self.average(row, |eta| eta));
            let typical = (log_means.sum::<f64>() / plots).exp();
            let moments = JointMoments::of(scale, law, typical, &mut known);
            // By how much all expectations of the treatment move with one of its counts.
            let slope = plots * law.gain * moments.rise();
            for (&row, score) in arm.rows.iter().zip(&law.scores) {
                scores.values[row] -= slope * score;
            }
            let plain = JointMoments::of(scale, &common, typical, &mut known);
            let third = moments.third_less(slope) - plain.third_less(0.0);
            for &row in &arm.rows {
                third_cumulants[row] = third / relative_sd[row].powi(3);
                if let (Some(variances), true) = (&mut scores.variances, moments.variance() > 0.0) {
                    variances[row] *= moments.variance_less(slope) / moments.variance();
                }
            }
        }
        scores.third_cumulants = Some(third_cumulants);
    }
}

/// The least and the largest value.
fn ends(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    })
}
