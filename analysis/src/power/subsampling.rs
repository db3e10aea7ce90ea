//! Optimal subsampling: how many samples in each plot, where a further sample is worth less than a further plot.
//!
//! A plot mean over c samples has relative variance between + within / c, and a plot costs
//! plot + c sample. The product is least at c = sqrt(within / between * plot / sample)
//! (W. G. Cochran, "Sampling Techniques", 3rd ed. 1977, section 10.6). With no variance between plots
//! it never pays to open a new plot, and the answer is infinite: bounded by what a plot can bear.

use serde::Serialize;

use super::simulated::SiteParameters;
use crate::Error;
use crate::error::above_zero;

/// Relative variances (variance over squared mean) of a sample's count.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VarianceComponents {
    /// Between plots of one block and treatment.
    pub between: f64,
    /// Between samples of one plot.
    pub within: f64,
}

impl VarianceComponents {
    /// Those that a site's parameters imply at its own mean.
    #[must_use]
    pub fn of(site: &SiteParameters) -> Self {
        Self {
            between: 1.0 / site.k_plot,
            within: 1.0 / site.mean + (1.0 + 1.0 / site.k_plot) / site.k_sample,
        }
    }
}

/// Samples per plot (not rounded) at which power costs least; infinite where plots do not differ.
///
/// Costs are in any one unit: of a plot without its samples (treatment, labour) and of one sample.
///
/// # Errors
/// A cost or the variance within plots not above 0, a variance between plots below 0.
pub fn optimum(
    components: VarianceComponents,
    plot_cost: f64,
    sample_cost: f64,
) -> Result<f64, Error> {
    above_zero("cost of a plot", plot_cost, false)?;
    above_zero("cost of a sample", sample_cost, false)?;
    above_zero("variance within plots", components.within, false)?;
    if components.between == 0.0 {
        return Ok(f64::INFINITY);
    }
    above_zero("variance between plots", components.between, false)?;
    Ok((components.within / components.between * plot_cost / sample_cost).sqrt())
}

/// Optimum rounded to the better neighbouring whole number, at least 1 and at most `most`.
///
/// # Errors
/// As [`optimum`].
pub fn whole_optimum(
    components: VarianceComponents,
    plot_cost: f64,
    sample_cost: f64,
    most: usize,
) -> Result<usize, Error> {
    let best = optimum(components, plot_cost, sample_cost)?;
    let price = |c: usize| {
        let c = c as f64;
        (components.between + components.within / c) * (plot_cost + c * sample_cost)
    };
    let below = (1..=most)
        .take_while(|&c| c as f64 <= best)
        .last()
        .unwrap_or(1);
    let above = (below + 1).min(most.max(1));
    Ok(if price(above) < price(below) {
        above
    } else {
        below
    })
}
