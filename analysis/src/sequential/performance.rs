//! Operating characteristic of stop lines: chance of each decision and expected sample number, at any true mean.
//!
//! [`exact`] follows the distribution of the total, sample by sample, over all totals between the bounds
//! (the recursion of P. Armitage, C. K. `McPherson` and B. C. Rowe, "Repeated significance tests on
//! accumulating data", Journal of the Royal Statistical Society A 132, 1969, 235-244, for discrete
//! totals); [`by_simulation`] walks it. The plan is cut off after its last bound. Cost of the recursion:
//! samples times the square of the distance between the bounds.

use rayon::prelude::*;
use serde::Serialize;

use super::Bound;
use crate::Error;
use crate::distributions::negative_binomial;
use crate::error::above_zero;
use crate::random::Generator;

/// What happens at one true mean.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Performance {
    /// Chance that the counting ends with "few", cut-off included.
    pub few: f64,
    /// Chance that it ends with "many" (or precise enough), cut-off included.
    pub many: f64,
    /// Chance that it was cut off before a line was reached.
    pub cut_off: f64,
    /// Expected number of samples.
    pub expected_samples: f64,
    /// Chance of ending after each of 1, 2, ... samples.
    pub ends: Vec<f64>,
}

/// What is recorded for one sample.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Recorded {
    /// Its count.
    Count,
    /// 1 if the count is above this tally threshold, else 0.
    Above(u64),
}

/// The true population: mean and k of a sample's count.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TruePopulation {
    /// Mean per sample.
    pub mean: f64,
    /// Negative binomial k; infinite for Poisson.
    pub k: f64,
}

fn check(bounds: &[Bound], truth: TruePopulation) -> Result<(), Error> {
    above_zero("samples at most", bounds.len() as f64, false)?;
    above_zero("true mean", truth.mean, false)?;
    above_zero("k", truth.k, true)
}

/// Chances of a sample adding 0, 1, ... up to `most` - 1 to the total.
fn masses(truth: TruePopulation, noted: Recorded, most: usize) -> Vec<f64> {
    match noted {
        Recorded::Count => (0..most as u64)
            .map(|y| negative_binomial::ln_pmf(y, truth.mean, truth.k).exp())
            .collect(),
        Recorded::Above(tally) => {
            let empty = negative_binomial::cdf(tally, truth.mean, truth.k);
            vec![empty, 1.0 - empty]
        }
    }
}

/// Largest total that can still be in play after `bound`; totals far in the upper tail, of chance below
/// 1e-12 in all, are left out where a plan has no upper bound.
fn highest(bounds: &[Bound], truth: TruePopulation) -> usize {
    let n = bounds.len() as f64;
    let sd = (n * (truth.mean + truth.mean * truth.mean / truth.k)).sqrt();
    // Exponential tails of overdispersed sums: forty standard deviations hold 1 - 1e-12 for k from 0.05.
    let reach = (n * truth.mean + 40.0 * sd + 50.0).min(2e5);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "capped above"
    )]
    let reach = reach as usize;
    let last = bounds.iter().filter_map(|b| b.stop_at_or_above).max();
    last.map_or(reach, |u| usize::try_from(u).unwrap_or(reach).min(reach))
}

/// How many steps [`exact`] takes, each a multiplication and an addition, before any is taken. A mass of a sample's
/// count takes about twenty.
#[must_use]
pub fn steps(bounds: &[Bound], truth: TruePopulation) -> f64 {
    let width = highest(bounds, truth) + 1;
    let (mut steps, mut first, mut inside) = (20.0 * width as f64, 0, 1);
    for bound in bounds {
        let (from, to) = in_play(bound, width);
        steps += to.saturating_sub(first) as f64 * inside as f64;
        (first, inside) = (from, to.saturating_sub(from));
    }
    steps
}

/// Totals that stay in play after a bound: from the first up to before the second.
fn in_play(bound: &Bound, width: usize) -> (usize, usize) {
    let from = bound
        .stop_at_or_below
        .map_or(0, |l| usize::try_from(l).unwrap_or(width) + 1);
    let to = bound
        .stop_at_or_above
        .map_or(width, |u| usize::try_from(u).unwrap_or(width).min(width));
    (from, to)
}

/// Decisions and samples by recursion, exact to rounding.
///
/// # Errors
/// No bounds, or a mean or k not above 0.
pub fn exact(
    bounds: &[Bound],
    truth: TruePopulation,
    noted: Recorded,
) -> Result<Performance, Error> {
    check(bounds, truth)?;
    let width = highest(bounds, truth) + 1;
    let mut reversed = masses(truth, noted, width);
    reversed.reverse();
    let mut inside = vec![1.0];
    let mut out = Performance {
        few: 0.0,
        many: 0.0,
        cut_off: 0.0,
        expected_samples: 0.0,
        ends: Vec::new(),
    };
    // First total still in play: `inside[i]` is the chance of `first` + i.
    let mut first = 0;
    for (step, bound) in bounds.iter().enumerate() {
        let before: f64 = inside.iter().sum();
        let (from, to) = in_play(bound, width);
        let mut few = 0.0;
        let mut next = vec![0.0; to.saturating_sub(from)];
        for total in first..to {
            let reached: f64 = chance_of(total, first, &inside, &reversed);
            match total.checked_sub(from) {
                Some(place) => next[place] = reached,
                None => few += reached,
            }
        }
        // Totals below `from` that lie at or above `to` cannot occur: lines do not cross.
        let kept: f64 = next.iter().sum();
        out.few += few;
        out.many += (before - few - kept).max(0.0);
        let mut ended = before - kept;
        if step + 1 == bounds.len() {
            let low = usize::try_from(bound.cut_off_at).unwrap_or(usize::MAX);
            let share = low.saturating_add(1).saturating_sub(from).min(next.len());
            out.few += next[..share].iter().sum::<f64>();
            out.many += next[share..].iter().sum::<f64>();
            out.cut_off = kept;
            ended = before;
        }
        out.expected_samples += ended * (step + 1) as f64;
        out.ends.push(ended);
        (inside, first) = (next, from);
    }
    Ok(out)
}

/// Chance of a total: the sum over what it was one sample before. `reversed` holds the masses backwards, so
/// that both run forward in memory.
fn chance_of(total: usize, first: usize, inside: &[f64], reversed: &[f64]) -> f64 {
    let top = reversed.len() - 1;
    // Pairs (i, total - first - i) with i inside and the step among the masses.
    let far = total - first;
    let low = far.saturating_sub(top);
    let high = (far + 1).min(inside.len());
    if low >= high {
        return 0.0;
    }
    let masses = &reversed[top + low - far..];
    // Four running sums let the processor add in step.
    let mut sums = [0.0; 4];
    let (mut a, mut b) = (
        inside[low..high].chunks_exact(4),
        masses[..high - low].chunks_exact(4),
    );
    for (x, y) in a.by_ref().zip(b.by_ref()) {
        for i in 0..4 {
            sums[i] += x[i] * y[i];
        }
    }
    let rest: f64 = a
        .remainder()
        .iter()
        .zip(b.remainder())
        .map(|(x, y)| x * y)
        .sum();
    sums.iter().sum::<f64>() + rest
}

/// Walks in one batch: each batch has its own stream.
const BATCH: usize = 1000;

/// Decisions and samples from `walks` seeded walks (rounded up to whole thousands).
///
/// # Errors
/// As [`exact`]; no walks.
pub fn by_simulation(
    bounds: &[Bound],
    truth: TruePopulation,
    noted: Recorded,
    walks: usize,
    seed: u64,
) -> Result<Performance, Error> {
    check(bounds, truth)?;
    above_zero("walks", walks as f64, false)?;
    let batches = walks.div_ceil(BATCH);
    let tallies: Vec<Tally> = (0..batches)
        .into_par_iter()
        .map(|batch| {
            let mut generator = Generator::new(seed, batch as u64);
            let mut tally = Tally {
                few: 0,
                cut_off: 0,
                ends: vec![0; bounds.len()],
            };
            for _ in 0..BATCH {
                walk(bounds, truth, noted, &mut generator, &mut tally);
            }
            tally
        })
        .collect();
    let all = (batches * BATCH) as f64;
    let few = tallies.iter().map(|t| t.few).sum::<u64>() as f64 / all;
    let ends: Vec<f64> = (0..bounds.len())
        .map(|i| tallies.iter().map(|t| t.ends[i]).sum::<u64>() as f64 / all)
        .collect();
    Ok(Performance {
        few,
        many: 1.0 - few,
        cut_off: tallies.iter().map(|t| t.cut_off).sum::<u64>() as f64 / all,
        expected_samples: ends
            .iter()
            .zip(1_u32..)
            .map(|(share, n)| share * f64::from(n))
            .sum(),
        ends,
    })
}

struct Tally {
    few: u64,
    cut_off: u64,
    ends: Vec<u64>,
}

fn walk(
    bounds: &[Bound],
    truth: TruePopulation,
    noted: Recorded,
    g: &mut Generator,
    tally: &mut Tally,
) {
    let mut total = 0;
    for (step, bound) in bounds.iter().enumerate() {
        let count = negative_binomial::draw(g, truth.mean, truth.k);
        total += match noted {
            Recorded::Count => count,
            Recorded::Above(threshold) => u64::from(count > threshold),
        };
        let few = bound.stop_at_or_below.is_some_and(|l| total <= l);
        let many = bound.stop_at_or_above.is_some_and(|u| total >= u);
        let last = step + 1 == bounds.len();
        if few || many || last {
            tally.ends[step] += 1;
            tally.few += u64::from(few || (!many && total <= bound.cut_off_at));
            tally.cut_off += u64::from(!few && !many);
            return;
        }
    }
}
