//! Randomisation schemes: the allocations that the design allowed.

use std::sync::Arc;

use super::allocations::Allocations;

/// The draws that could have produced a layout.
#[derive(Debug, Clone, PartialEq)]
pub enum Scheme {
    /// Within each group of plots the treatments present there were put in random order. One group
    /// holding every plot is a completely randomised design.
    Within(Vec<Vec<usize>>),
    /// Every allocation that could have been drawn, each equally likely.
    Listed(Arc<Allocations>),
    /// Allocations drawn at random, each as likely as any, out of `total` that could have been drawn.
    Sampled {
        /// The draws.
        drawn: Arc<Allocations>,
        /// How many allocations there are.
        total: f64,
        /// For each treatment after the control, the smallest p-value that all of them could give: no sample tells it,
        /// and no p-value of a sample is put below it. None is known where it is empty.
        smallest_p: Vec<f64>,
    },
}

impl Scheme {
    /// Groups plots by their block; `block` gives each plot's block, counted from 0.
    #[must_use]
    pub fn blocks(block: &[usize]) -> Self {
        let top = block.iter().copied().max().map_or(0, |b| b + 1);
        let mut groups = vec![Vec::new(); top];
        for (plot, &b) in block.iter().enumerate() {
            groups[b].push(plot);
        }
        groups.retain(|g| !g.is_empty());
        Self::Within(groups)
    }

    /// All plots in one group.
    #[must_use]
    pub fn completely_randomised(plots: usize) -> Self {
        Self::Within(vec![(0..plots).collect()])
    }

    /// Number of allocations of `labels`, as a float: exact below 2^53.
    #[must_use]
    pub fn allocations(&self, labels: &[usize]) -> f64 {
        match self {
            Self::Within(groups) => groups.iter().map(|g| arrangements(g, labels)).product(),
            Self::Listed(all) => all.len() as f64,
            Self::Sampled { total, .. } => *total,
        }
    }

    /// The groups left when only plots with a label in `chosen` may change places.
    #[must_use]
    pub(super) fn restricted(groups: &[Vec<usize>], labels: &[usize], chosen: &[bool]) -> Self {
        Self::Within(
            groups
                .iter()
                .map(|g| {
                    g.iter()
                        .copied()
                        .filter(|&p| chosen[labels[p]])
                        .collect::<Vec<_>>()
                })
                .filter(|g| g.len() > 1)
                .collect(),
        )
    }
}

/// Number of distinct orders of the labels of one group.
pub(super) fn arrangements(group: &[usize], labels: &[usize]) -> f64 {
    let mut seen: Vec<(usize, f64)> = Vec::new();
    let mut count = 1.0;
    for (placed, &plot) in group.iter().enumerate() {
        let label = labels[plot];
        let times = if let Some((_, times)) = seen.iter_mut().find(|(l, _)| *l == label) {
            *times += 1.0;
            *times
        } else {
            seen.push((label, 1.0));
            1.0
        };
        // The multinomial coefficient grows by (placed + 1) / times at each plot, and stays whole.
        count = count * (placed + 1) as f64 / times;
    }
    count.round()
}
