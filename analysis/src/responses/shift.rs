//! The additive effect of one treatment: estimate, test, and the interval by inverting it.

use crate::randomisation::{RandomisationSettings, Scheme, ShiftedReference};
use crate::results::{Caution, Interval};

use super::Effect;

/// Plots of one treatment and the control, in the groups within which they could have changed places.
pub(super) struct Pair<'a> {
    pub(super) values: &'a [f64],
    pub(super) labels: &'a [usize],
    pub(super) scheme: &'a Scheme,
    pub(super) treatment: usize,
    pub(super) settings: &'a RandomisationSettings,
}

impl Pair<'_> {
    /// Effect, test and interval; `p_adjusted` is filled with the plain p.
    pub(super) fn effect(&self, level: f64, smallest_p: f64) -> Effect {
        let reference = self.reference();
        let p = reference.p(0.0);
        let differences = self.differences();
        let estimate = self.estimate();
        let mut cautions = Vec::new();
        let interval = self.interval(&reference, estimate, level, smallest_p, &mut cautions);
        let higher: f64 = differences
            .iter()
            .flatten()
            .map(|d| {
                if *d > 0.0 {
                    1.0
                } else if *d == 0.0 {
                    0.5
                } else {
                    0.0
                }
            })
            .sum();
        let pairs = differences.iter().map(Vec::len).sum::<usize>();
        Effect {
            treatment: self.treatment,
            estimate,
            hodges_lehmann: hodges_lehmann(&differences),
            interval,
            p,
            p_adjusted: p.value,
            smallest_attainable_p: smallest_p,
            superiority: higher / pairs as f64,
            cautions,
        }
    }

    /// Groups of the scheme, with only the plots of the pair; every plot in one group where allocations are listed.
    fn groups(&self) -> Vec<Vec<usize>> {
        let chosen = |&plot: &usize| [0, self.treatment].contains(&self.labels[plot]);
        match self.scheme {
            Scheme::Within(groups) => groups
                .iter()
                .map(|g| g.iter().copied().filter(chosen).collect())
                .collect(),
            Scheme::Listed(_) | Scheme::Sampled { .. } => {
                vec![(0..self.labels.len()).filter(chosen).collect()]
            }
        }
    }

    /// Numbers less their mean within each group, which no allocation changes.
    fn aligned(&self, numbers: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; numbers.len()];
        for group in self.groups() {
            let mean = group.iter().map(|&i| numbers[i]).sum::<f64>() / group.len() as f64;
            for i in group {
                out[i] = numbers[i] - mean;
            }
        }
        out
    }

    fn treated(&self) -> Vec<f64> {
        self.labels
            .iter()
            .map(|&l| f64::from(u8::from(l == self.treatment)))
            .collect()
    }

    /// Mean of aligned numbers, treatment less control.
    fn contrast(&self, aligned: &[f64]) -> f64 {
        let mean = |label: usize| {
            let of: Vec<f64> = aligned
                .iter()
                .zip(self.labels)
                .filter(|(_, l)| **l == label)
                .map(|(v, _)| *v)
                .collect();
            of.iter().sum::<f64>() / of.len() as f64
        };
        mean(self.treatment) - mean(0)
    }

    /// The shift at which the statistic is zero.
    fn estimate(&self) -> f64 {
        let own = self.contrast(&self.aligned(&self.treated()));
        // Zero when no group holds both: the treatments are confounded with the groups.
        if own == 0.0 {
            return 0.0;
        }
        self.contrast(&self.aligned(self.values)) / own
    }

    /// The statistics of all allocations, or of a sample, at any shift.
    fn reference(&self) -> ShiftedReference {
        let (values, treated) = (self.aligned(self.values), self.aligned(&self.treated()));
        ShiftedReference::new(
            [&values, &treated],
            self.labels,
            self.treatment,
            self.scheme,
            self.settings,
        )
    }

    /// The shifts that are not rejected at 1 - `level`.
    fn interval(
        &self,
        reference: &ShiftedReference,
        estimate: f64,
        level: f64,
        smallest_p: f64,
        cautions: &mut Vec<Caution>,
    ) -> Option<Interval> {
        let spread = self
            .values
            .iter()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max)
            - self.values.iter().copied().fold(f64::INFINITY, f64::min);
        if smallest_p > 1.0 - level {
            cautions.push(Caution::new(
                "too-few-allocations",
                format!("The layout could at best give p = {smallest_p:.3}: no effect, however large, can be ruled out."),
            ));
            return None;
        }
        if spread == 0.0 {
            cautions.push(Caution::new(
                "no-variation",
                "Every plot gave the same value: there is nothing to compare.",
            ));
            return None;
        }
        let rejects = |shift: f64| reference.p(shift).value <= 1.0 - level;
        let low = boundary(rejects, estimate, -spread);
        let high = boundary(rejects, estimate, spread);
        let found = low
            .zip(high)
            .map(|(low, high)| Interval { low, high, level });
        if found.is_none() {
            cautions.push(Caution::new(
                "interval-not-found",
                "No effect could be ruled out on one side: the sample of allocations is too small.",
            ));
        }
        found
    }

    /// Differences of every treated from every control plot of the same group, group by group.
    fn differences(&self) -> Vec<Vec<f64>> {
        self.groups()
            .into_iter()
            .map(|group| {
                let of = |label: usize| {
                    let values: Vec<f64> = group
                        .iter()
                        .filter(|&&i| self.labels[i] == label)
                        .map(|&i| self.values[i])
                        .collect();
                    values
                };
                let control = of(0);
                of(self.treatment)
                    .into_iter()
                    .flat_map(|t| control.iter().map(move |c| t - c).collect::<Vec<_>>())
                    .collect()
            })
            .filter(|d: &Vec<f64>| !d.is_empty())
            .collect()
    }
}

/// The first rejected shift away from the estimate, to a millionth of the spread.
fn boundary(rejects: impl Fn(f64) -> bool, estimate: f64, spread: f64) -> Option<f64> {
    let (mut kept, mut width) = (estimate, spread);
    let mut rejected = None;
    // Beyond some spreads every other allocation is less extreme: 12 doublings are plenty.
    for _ in 0..12 {
        let shift = estimate + width;
        if rejects(shift) {
            rejected = Some(shift);
            break;
        }
        kept = shift;
        width *= 2.0;
    }
    let mut rejected = rejected?;
    // Halving 24 times leaves less than a millionth of the spread.
    for _ in 0..24 {
        let middle = 0.5 * (rejected + kept);
        if rejects(middle) {
            rejected = middle;
        } else {
            kept = middle;
        }
    }
    Some(rejected)
}

/// Median of the averages of two groups' mean differences, each group with itself too; with one group the median
/// of its differences.
fn hodges_lehmann(differences: &[Vec<f64>]) -> f64 {
    if let [only] = differences {
        return median(only.clone());
    }
    let means: Vec<f64> = differences
        .iter()
        .map(|d| d.iter().sum::<f64>() / d.len() as f64)
        .collect();
    median(
        (0..means.len())
            .flat_map(|i| (0..=i).map(move |j| (i, j)))
            .map(|(i, j)| 0.5 * (means[i] + means[j]))
            .collect(),
    )
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    if n == 0 {
        return 0.0;
    }
    0.5 * (values[(n - 1) / 2] + values[n / 2])
}
