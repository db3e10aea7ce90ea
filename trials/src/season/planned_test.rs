//! The test with which simulated trials are judged when none other is handed in.
//!
//! A t interval of the within-block differences of log(total + 1), method less control, over the
//! blocks in which both plots were counted; several methods share the error rate evenly. It keeps its
//! level from four blocks up with clumped counts, but estimates the ratio of (total + 1), which lies
//! nearer to 1 than the ratio of means where totals are small.

use halfgreen_analysis::chance::laws::t_quantile;
use halfgreen_analysis::power::simulated::SimulatedTrial;

/// What the test is called in an answer's assumptions.
pub const NAME: &str = "t interval of log(total + 1) within blocks";

/// Numbers of the verdicts, as in [`CALLS`](super::truths::CALLS).
const BEAT: usize = 0;
const WORSE: usize = 1;
const SMALL: usize = 2;
const UNSURE: usize = 3;

/// A function that judges the first method of a trial of up to `blocks` blocks.
///
/// `alpha` is the two-sided error rate over all `methods`, `worthwhile` the smallest reduction worth having,
/// as a share.
pub fn planned_test(
    alpha: f64,
    worthwhile: f64,
    methods: usize,
    blocks: usize,
) -> impl Fn(&SimulatedTrial) -> usize + Sync + Clone {
    let level = 1.0 - 0.5 * alpha / methods.max(1) as f64;
    // Quantiles once for each number of blocks: they cost more than a trial.
    let critical: Vec<f64> = (0..=blocks)
        .map(|n| t_quantile(level, n.saturating_sub(1).max(1) as f64))
        .collect();
    let worth = (1.0 - worthwhile).ln();
    move |trial| {
        let (n, mean, squares) = differences(trial);
        if n < 2 {
            return UNSURE;
        }
        let variance = squares / (n - 1) as f64;
        let t = critical.get(n).copied().unwrap_or(f64::INFINITY);
        let reach = t * (variance / n as f64).sqrt();
        if mean + reach < 0.0 {
            BEAT
        } else if mean - reach > 0.0 {
            WORSE
        } else if mean - reach > worth {
            SMALL
        } else {
            UNSURE
        }
    }
}

/// Number, mean and sum of squares about the mean of the differences of complete blocks.
fn differences(trial: &SimulatedTrial) -> (usize, f64, f64) {
    let (mut n, mut mean, mut squares) = (0, 0.0, 0.0);
    let mut control: Option<(usize, f64)> = None;
    for ((&count, &treatment), &block) in trial
        .counts
        .iter()
        .zip(&trial.treatments)
        .zip(&trial.blocks)
    {
        let log = (count as f64).ln_1p();
        match (treatment, control) {
            (0, _) => control = Some((block, log)),
            (1, Some((there, base))) if there == block => {
                n += 1;
                let gap = log - base - mean;
                mean += gap / n as f64;
                squares += gap * (log - base - mean);
            }
            _ => {}
        }
    }
    (n, mean, squares)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lost_plot_costs_its_block() {
        let trial = SimulatedTrial {
            counts: vec![9, 0, 9, 9, 0],
            treatments: vec![0, 1, 0, 0, 1],
            blocks: vec![0, 0, 1, 2, 2],
            cores: 4,
        };
        let (n, mean, squares) = differences(&trial);
        assert_eq!(n, 2);
        assert!((mean + 10.0_f64.ln()).abs() < 1e-12 && squares.abs() < 1e-12);
        assert_eq!(planned_test(0.05, 0.75, 1, 3)(&trial), BEAT);
        let one = SimulatedTrial {
            counts: vec![9],
            treatments: vec![0],
            blocks: vec![0],
            cores: 4,
        };
        assert_eq!(planned_test(0.05, 0.75, 1, 3)(&one), UNSURE);
    }
}
