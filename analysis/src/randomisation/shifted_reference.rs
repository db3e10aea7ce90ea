//! The reference set of a shift: what every allocation would have given had the treatment added so much to each plot.

use ndarray::ArrayRef1;

use super::allocations::{Allocations, Label};
use super::contributions::{self, Contributions, Weights};
use super::scheme::Scheme;
use super::tail_count::{each_allocation, in_parts, shuffled};
use super::test::{RandomisationSettings, TIE, contrast, weights};
use crate::results::{Origin, PValue};

/// Contrasts of one allocation: of the numbers as they are, and of the treated plots' indicator. At a shift s the statistic is
/// the first less s times the second.
type Line = [f64; 2];

/// The statistics of the observed allocation and of all others, or of a sample of them, at any shift.
#[derive(Debug)]
pub(crate) struct ShiftedReference {
    observed: Line,
    others: Vec<Line>,
    origin: Origin,
}

impl ShiftedReference {
    /// Draws or enumerates the allocations in which `treatment` and the control change places, once for all shifts: as the statistic
    /// is linear in the shift, each test of another shift is a look at these lines. `numbers` are the values and the treated plots'
    /// indicator, both less what no allocation changes.
    pub(crate) fn new(
        numbers: [&[f64]; 2],
        labels: &[usize],
        treatment: usize,
        scheme: &Scheme,
        settings: &RandomisationSettings,
    ) -> Self {
        let weights = weights(labels, &[treatment]);
        let row = weights.row(0);
        let (others, origin) = match scheme {
            Scheme::Listed(list) => (lines(list, numbers, &row), Origin::Exact),
            Scheme::Sampled { drawn, .. } => {
                let sampled = Origin::Sampled(drawn.len() as u64);
                (lines(drawn, numbers, &row), sampled)
            }
            Scheme::Within(groups) => {
                let top = labels.iter().copied().max().unwrap_or(0);
                let chosen: Vec<bool> = (0..=top).map(|l| l == 0 || l == treatment).collect();
                let pair = Scheme::restricted(groups, labels, &chosen);
                within(&pair, labels, numbers, &weights, settings)
            }
        };
        Self {
            observed: numbers.map(|n| contrast(n, labels, &row)),
            others,
            origin,
        }
    }

    /// Two-sided p-value of the hypothesis that the treatment adds `shift` to every plot.
    pub(crate) fn p(&self, shift: f64) -> PValue {
        let at = |line: &Line| (line[0] - shift * line[1]).abs();
        let observed = at(&self.observed);
        if observed == 0.0 {
            return PValue {
                value: 1.0,
                origin: Origin::Exact,
            };
        }
        let threshold = observed * (1.0 - TIE);
        let beyond = self.others.iter().filter(|l| at(l) >= threshold).count() as f64;
        let all = self.others.len() as f64;
        let value = match self.origin {
            Origin::Sampled(_) => (beyond + 1.0) / (all + 1.0),
            _ => beyond / all,
        };
        PValue {
            value,
            origin: self.origin,
        }
    }
}

/// The contrasts of whole allocations.
fn lines(allocations: &Allocations, numbers: [&[f64]; 2], row: &ArrayRef1<f64>) -> Vec<Line> {
    let of = |labels: &[Label]| numbers.map(|n| contrast(n, labels, row));
    allocations.iter().map(of).collect()
}

/// Exchanges within groups: all of them, or as many as the settings ask for.
fn within(
    pair: &Scheme,
    labels: &[usize],
    numbers: [&[f64]; 2],
    weights: &Weights,
    settings: &RandomisationSettings,
) -> (Vec<Line>, Origin) {
    let Scheme::Within(groups) = pair else {
        return (Vec::new(), Origin::Exact);
    };
    let exact = pair.allocations(labels) <= settings.limit as f64;
    let sampled = Origin::Sampled(settings.draws);
    let row = weights.row(0);
    let of = |labels: &[usize]| numbers.map(|n| contrast(n, labels, &row));
    let tables = numbers.map(|n| contributions::tabulate(groups, labels, n, weights));
    // Plots that cannot move keep adding what they add.
    let mut moves = vec![false; labels.len()];
    groups.iter().flatten().for_each(|&p| moves[p] = true);
    let fixed = numbers.map(|n| {
        let stay = (0..labels.len()).filter(|&p| !moves[p]);
        stay.map(|p| row[labels[p]] * n[p]).sum::<f64>()
    });
    match tables {
        [Some(a), Some(b)] if exact => (combined(fixed, &a, &b), Origin::Exact),
        [Some(a), Some(b)] => {
            let parts = in_parts(settings, |generator, draws| {
                let one = |_| {
                    a.iter().zip(&b).fold(fixed, |[x, y], (a, b)| {
                        let at = usize::try_from(generator.below(a.arrangements as u64));
                        let at = at.unwrap_or(0);
                        [x + a.values[0][at], y + b.values[0][at]]
                    })
                };
                (0..draws).map(one).collect::<Vec<Line>>()
            });
            (parts.concat(), sampled)
        }
        _ if exact => {
            let mut lines = Vec::new();
            each_allocation(groups, labels, |l| lines.push(of(l)));
            (lines, Origin::Exact)
        }
        _ => {
            let parts = in_parts(settings, |generator, draws| {
                let mut lines = Vec::new();
                shuffled(labels, groups, generator, draws, |l| lines.push(of(l)));
                lines
            });
            (parts.concat(), sampled)
        }
    }
}

/// Every combination of the tables' arrangements.
fn combined(fixed: Line, a: &[Contributions], b: &[Contributions]) -> Vec<Line> {
    let mut lines = vec![fixed];
    for (a, b) in a.iter().zip(b) {
        let more = a.values[0].iter().zip(&b.values[0]);
        lines = lines
            .iter()
            .flat_map(|[x, y]| more.clone().map(move |(u, v)| [x + u, y + v]))
            .collect();
    }
    lines
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::super::max_t;
    use super::*;

    /// Values of 24 plots with a treatment that adds 3, blocks of the given size, labels 0 and 1 in turn.
    fn plots() -> (Vec<f64>, Vec<usize>) {
        let labels: Vec<usize> = (0..24).map(|p| p % 2).collect();
        let value = |p: usize| ((p * 7 + p * p * 3) % 11) as f64 + 3.0 * (p % 2) as f64;
        ((0..24).map(value).collect(), labels)
    }

    /// What the test itself says of the values less the shift, allocation by allocation.
    #[test]
    fn every_shift_is_tested_as_if_it_were_the_only_one() {
        let (values, labels) = plots();
        let treated: Vec<f64> = labels.iter().map(|&l| l as f64).collect();
        let blocks = |size: usize| Scheme::blocks(&(0..24).map(|p| p / size).collect::<Vec<_>>());
        let turned = |by: usize| (0..24).map(|p| (p + by) % 2).collect::<Vec<usize>>();
        let two = Allocations::from_rows(24, [turned(0), turned(1)]).unwrap();
        let schemes = [
            (blocks(2), 200_000),
            (blocks(2), 100),
            (blocks(6), 200_000),
            (blocks(24), 100),
            (Scheme::Listed(Arc::new(two)), 200_000),
        ];
        for (scheme, limit) in schemes {
            let settings = RandomisationSettings {
                limit,
                draws: 999,
                seed: 5,
            };
            let groups = match &scheme {
                Scheme::Within(groups) => groups.clone(),
                _ => vec![(0..24).collect()],
            };
            let aligned = |numbers: &[f64]| {
                let mut out = numbers.to_vec();
                for group in &groups {
                    let mean = group.iter().map(|&p| numbers[p]).sum::<f64>() / group.len() as f64;
                    for &p in group {
                        out[p] -= mean;
                    }
                }
                out
            };
            let numbers = [&aligned(&values)[..], &aligned(&treated)];
            let reference = ShiftedReference::new(numbers, &labels, 1, &scheme, &settings);
            for shift in [-4.0, 0.0, 1.25, 3.0, 9.5] {
                let less: Vec<f64> = (values.iter().zip(&treated))
                    .map(|(v, t)| v - shift * t)
                    .collect();
                let alone = max_t(&aligned(&less), &labels, &[1], &scheme, &settings).unwrap();
                assert_eq!(reference.p(shift), alone, "{scheme:?} {shift}");
            }
        }
    }
}
