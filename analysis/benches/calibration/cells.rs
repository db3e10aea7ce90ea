//! The cells: every design and kind of site that is tried.

/// How plots of a block relate, beyond their block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Site {
    /// Plots of a block scatter independently.
    Blocks,
    /// As `Blocks`, and each plot is lost with a chance of 0.1.
    Losses,
    /// A field of normal log means with exponential correlation over 2 plots, no other block effect.
    Field,
}

/// One cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Cell {
    pub(crate) treatments: usize,
    pub(crate) blocks: usize,
    pub(crate) samples: usize,
    /// k of one sample; infinite for Poisson.
    pub(crate) k: f64,
    /// Mean of one sample of the control.
    pub(crate) mean: f64,
    /// Standard deviation of block effects on the log scale.
    pub(crate) sd: f64,
    pub(crate) site: Site,
}

const KS: [f64; 5] = [0.3, 0.8, 2.0, 10.0, f64::INFINITY];
const MEANS: [f64; 4] = [0.5, 2.0, 10.0, 50.0];
const SDS: [f64; 3] = [0.0, 0.4, 1.0];

/// All cells.
pub(crate) fn all() -> Vec<Cell> {
    let mut out = Vec::new();
    for (treatments, blocks, samples) in designs() {
        for k in KS {
            for mean in MEANS {
                for sd in SDS {
                    // Four treatments cost three times as much and 24 blocks twice: they are tried on
                    // fewer kinds of site.
                    let skipped = match (treatments, blocks) {
                        (4, _) => sd == 0.4,
                        (_, 24) => sd != 0.4,
                        _ => false,
                    };
                    if skipped {
                        continue;
                    }
                    out.push(Cell {
                        treatments,
                        blocks,
                        samples,
                        k,
                        mean,
                        sd,
                        site: Site::Blocks,
                    });
                }
            }
        }
    }
    for site in [Site::Losses, Site::Field] {
        for (treatments, blocks) in [(2, 4), (2, 8), (4, 4)] {
            for k in [0.3, 0.8, 2.0, f64::INFINITY] {
                for mean in [2.0, 10.0] {
                    out.push(Cell {
                        treatments,
                        blocks,
                        samples: 1,
                        k,
                        mean,
                        sd: 0.6,
                        site,
                    });
                }
            }
        }
    }
    out
}

/// Treatments, blocks and samples. The sum of samples is again negative binomial, so that samples only
/// move k and the mean: they are tried on fewer designs. 24 blocks show where the randomisation test catches up.
fn designs() -> Vec<(usize, usize, usize)> {
    let mut out: Vec<_> = [3, 4, 6, 8, 12, 24].map(|blocks| (2, blocks, 1)).to_vec();
    out.extend([(2, 4, 4), (2, 8, 8)]);
    out.extend([3, 4, 6, 12].map(|blocks| (4, blocks, 1)));
    out
}
