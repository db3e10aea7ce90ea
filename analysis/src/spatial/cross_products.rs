//! Cross-products over links, packed for repeated passes over permuted values.

use super::SpatialWeights;

/// Permutations that go through the links together, so that each link is fetched once for all.
pub(super) const LANES: usize = 4;

/// Each pair of neighbours once, with both directions' weights.
pub(super) struct CrossProducts {
    pairs: SpatialWeights,
    to: Vec<u32>,
    totals: Vec<f64>,
}

impl CrossProducts {
    pub(super) fn new(neighbours: &SpatialWeights) -> Self {
        let pairs = neighbours.pairs();
        #[expect(
            clippy::cast_possible_truncation,
            reason = "there are fewer than 2^32 places"
        )]
        let to = pairs.to.iter().map(|&j| j as u32).collect();
        Self {
            pairs,
            to,
            totals: neighbours.totals(),
        }
    }

    /// Sum of w z z over links, and of total weight times squared z, for `L` maps at once.
    #[inline]
    pub(super) fn products<const L: usize>(&self, z: &[[f64; L]]) -> [(f64, f64); L] {
        let (mut cross, mut square) = ([0.0; L], [0.0; L]);
        for (i, own) in z.iter().enumerate() {
            let range = self.pairs.starts[i]..self.pairs.starts[i + 1];
            let mut sum = [0.0; L];
            for (&j, &w) in self.to[range.clone()].iter().zip(&self.pairs.weight[range]) {
                let other = &z[j as usize];
                for l in 0..L {
                    sum[l] += w * other[l];
                }
            }
            for l in 0..L {
                cross[l] += own[l] * sum[l];
                square[l] += self.totals[i] * own[l] * own[l];
            }
        }
        std::array::from_fn(|l| (cross[l], square[l]))
    }

    /// The same for one map.
    pub(super) fn of(&self, z: &[f64]) -> (f64, f64) {
        let [found] = self.products(&z.iter().map(|&z| [z]).collect::<Vec<_>>());
        found
    }
}
