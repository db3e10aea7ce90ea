//! The exact conditional test of two totals: what Poisson counts alone would do, a floor under every claim.

use statrs::function::beta::beta_reg;

use super::plot_table::{BlockStructure, PlotTable};
use crate::numerics::roots;

/// Counts of a treatment and the control, block by block: given their sum, the treatment's total of Poisson
/// counts is binomial.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ConditionalTest {
    /// Count of both, and exposure of treatment over that of the control, for each block.
    blocks: Vec<(f64, f64)>,
    found: f64,
    total: f64,
}

impl ConditionalTest {
    /// Of treatment `j`; a block that lacks either counts for nothing. `weight` multiplies the exposure
    /// of each plot by what its covariate leads to expect.
    pub(super) fn new(table: &PlotTable, j: usize, weight: impl Fn(usize) -> f64) -> Self {
        let one = vec![0; table.counts.len()];
        let (codes, groups) = match &table.block_structure {
            BlockStructure::Blocks(block) => (&block.codes, block.levels.len()),
            _ => (&one, 1),
        };
        let mut sums = vec![[[0.0_f64; 2]; 2]; groups];
        for (plot, &group) in codes.iter().enumerate() {
            let code = table.treatment.codes[plot];
            if code == 0 || code == j {
                let sum = &mut sums[group][usize::from(code == j)];
                sum[0] += table.counts[plot] as f64;
                sum[1] += table.exposure[plot] * weight(plot);
            }
        }
        let both = sums.iter().filter(|s| s[0][1] > 0.0 && s[1][1] > 0.0);
        let (mut blocks, mut found, mut total) = (Vec::new(), 0.0, 0.0);
        for [control, treated] in both {
            blocks.push((control[0] + treated[0], treated[1] / control[1]));
            found += treated[0];
            total += control[0] + treated[0];
        }
        Self {
            blocks,
            found,
            total,
        }
    }

    /// Share of the total expected under treatment at a ratio.
    fn share(&self, ratio: f64) -> f64 {
        let expected: f64 = self
            .blocks
            .iter()
            .map(|(count, exposure)| count * ratio * exposure / (1.0 + ratio * exposure))
            .sum();
        (expected / self.total).clamp(0.0, 1.0)
    }

    /// Exact two-sided p of a ratio, were the counts Poisson: twice the probability of a total under treatment as far below (or
    /// above) its expectation, 1 at most (Clopper & Pearson 1934, Biometrika 26:404-413; Przyborowski & Wilenski
    /// 1940, Biometrika 31:313-323). Given both totals the count is binomial; blocks with unlike shares are taken as
    /// alike, which errs on the careful side (Hoeffding 1956, Ann. Math. Stat. 27:713-721).
    pub(super) fn p(&self, ratio: f64) -> f64 {
        if self.total == 0.0 {
            return 1.0;
        }
        let share = self.share(ratio);
        // Each tail summed by itself: one less the other would lose all digits of a small one.
        let above = up_to(self.total - self.found, self.total, 1.0 - share);
        (2.0 * up_to(self.found, self.total, share).min(above)).min(1.0)
    }

    /// Confidence limits: the lowest and the highest ratio at which that p falls to `alpha`.
    pub(super) fn limits(&self, alpha: f64) -> (f64, f64) {
        if self.total == 0.0 {
            return (0.0, f64::INFINITY);
        }
        let solve = |tail: &dyn Fn(f64) -> f64| {
            let goal = |ln_ratio: f64| tail(self.share(ln_ratio.exp())) - 0.5 * alpha;
            roots::brent(goal, -40.0, 40.0, 1e-9).map(|r| r.x.exp())
        };
        let low = if self.found == 0.0 {
            0.0
        } else {
            let above = |share: f64| up_to(self.total - self.found, self.total, 1.0 - share);
            solve(&above).unwrap_or(0.0)
        };
        let high = if self.found == self.total {
            f64::INFINITY
        } else {
            solve(&|share| up_to(self.found, self.total, share)).unwrap_or(f64::INFINITY)
        };
        (low, high)
    }
}

/// P(X <= found) for X binomial.
fn up_to(found: f64, total: f64, share: f64) -> f64 {
    if found >= total || share <= 0.0 {
        1.0
    } else if share >= 1.0 {
        0.0
    } else {
        beta_reg(total - found, found + 1.0, 1.0 - share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::counts::Factor;

    fn totals(control: u64, treated: u64) -> ConditionalTest {
        let table = PlotTable {
            counts: vec![control, treated],
            exposure: vec![1.0; 2],
            treatment: Factor::from_labels("treatment", &["C", "S"], None),
            block_structure: BlockStructure::Unblocked,
            inference: crate::comparison::InferenceSpace::Narrow,
            before: None,
        };
        ConditionalTest::new(&table, 1, |_| 1.0)
    }

    /// Binomial sums by hand: 2 (1 + 15 + 105 + 455) / 2^15 for 12 against 3, 2 / 2^n for n against none.
    #[test]
    fn p_is_that_of_the_binomial() {
        assert!((totals(12, 3).p(1.0) - 1_152.0 / 32_768.0).abs() < 1e-12);
        assert!((totals(3, 12).p(1.0) - 1_152.0 / 32_768.0).abs() < 1e-12);
        assert!((totals(2, 0).p(1.0) - 0.5).abs() < 1e-12);
        assert!((totals(3, 0).p(1.0) - 0.25).abs() < 1e-12);
        // Either side keeps its digits: 2 / 2^120.
        for (control, treated) in [(120, 0), (0, 120)] {
            let p = totals(control, treated).p(1.0) * 2_f64.powi(119);
            assert!((p - 1.0).abs() < 1e-9, "{p}");
        }
        assert_eq!(totals(0, 0).p(1.0), 1.0);
    }

    #[test]
    fn limits_are_where_the_chance_falls_to_the_level() {
        for (control, treated) in [(12, 3), (5, 0), (0, 5), (1_000_000, 990_000)] {
            let totals = totals(control, treated);
            let (low, high) = totals.limits(0.1);
            for limit in [low, high] {
                if limit > 0.0 && limit.is_finite() {
                    assert!((totals.p(limit) - 0.1).abs() < 1e-6, "{control} {treated}");
                }
            }
            assert_eq!(
                (low == 0.0, high.is_infinite()),
                (treated == 0, control == 0)
            );
        }
        assert_eq!(totals(0, 0).limits(0.1), (0.0, f64::INFINITY));
    }
}
