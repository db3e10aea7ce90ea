//! What the primary test will say, predicted by a quick one: for power by two-phase sampling.

use ndarray::Array1;

use super::plot_table::BlockStructure;
use super::prepared_test::PreparedTest;
use super::transformation::Transformation;
use super::verdict::Better;
use crate::distributions::normal_sf;

/// Chance that the primary test finds what the quick one finds by far: where treatments seem to differ in k it asks for more. This and
/// [`APART`] were the best of three values each on eight plans of 6 to 50 blocks, one method and two, with 4 000 trials each, for
/// the time that two-phase sampling takes; they decide its error and no more.
const AGREED: f64 = 0.96;

/// Standard deviation of the difference between both values of t near the bound.
const APART: f64 = 0.25;

/// 1/k beyond which no more is learned from the scatter within blocks.
const MOST: f64 = 100.0;

impl PreparedTest {
    /// Chance that [`PreparedTest::call_of`] finds treatment `j` better than the control on these counts, predicted by an analysis of
    /// variance on the scale of the same transformation, with k by moments and not by maximum likelihood: a fiftieth of the
    /// work. One half where the counts do not fit the design.
    ///
    /// A prediction and no test: power by two-phase sampling asks it which trials are worth judging.
    #[must_use]
    pub fn predicted(&self, counts: &[u64], j: usize) -> f64 {
        if counts.len() != self.table.counts.len() || !(1..=self.lambda.len()).contains(&j) {
            return 0.5;
        }
        let scale = Transformation::new(self.inverse_k_by_moments(counts), self.strata.power());
        let values: Array1<f64> = counts.iter().map(|&y| scale.of(y as f64)).collect();
        let contrast = self.strata.contrast(j - 1, &values, None);
        let better = match self.question.better {
            Better::Fewer => -contrast.t(),
            Better::More => contrast.t(),
        };
        AGREED * normal_sf((self.bound.at_most(contrast.df) - better) / APART)
    }

    /// 1/k by moments from the scatter within blocks, as if no treatment did anything: of each block, variance less
    /// mean stands for mean^2 / k.
    fn inverse_k_by_moments(&self, counts: &[u64]) -> f64 {
        let one = vec![0; counts.len()];
        let (codes, groups) = match &self.table.block_structure {
            BlockStructure::Blocks(block) => (&block.codes, block.levels.len()),
            _ => (&one, 1),
        };
        let mut sums = vec![(0.0_f64, 0.0_f64, 0.0_f64); groups];
        for (&group, &count) in codes.iter().zip(counts) {
            let (plots, sum, squares) = &mut sums[group];
            let y = count as f64;
            *plots += 1.0;
            *sum += y;
            *squares += y * y;
        }
        let (mut excess, mut square) = (0.0, 0.0);
        for (plots, sum, squares) in sums.into_iter().filter(|block| block.0 > 1.0) {
            let mean = sum / plots;
            let variance = (squares - sum * mean) / (plots - 1.0);
            excess += variance - mean;
            square += mean * mean - variance / plots;
        }
        if excess <= 0.0 {
            0.0
        } else if square > 0.0 {
            (excess / square).min(MOST)
        } else {
            MOST
        }
    }
}
