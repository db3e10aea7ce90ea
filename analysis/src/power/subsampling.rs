//! How many cores in each plot: where a further core is worth less than a further plot.
//!
//! A plot mean over c cores has relative variance between + within / c, and a plot costs
//! plot + c core. The product is least at c = sqrt(within / between * plot / core)
//! (W. G. Cochran, "Sampling Techniques", 3rd ed. 1977, section 10.6). With no variance between plots
//! it never pays to open a new plot, and the answer is infinite: bounded by what a plot can bear.

use serde::Serialize;

use super::above_zero;
use super::simulated::SiteParameters;
use crate::Error;

/// Relative variances (variance over squared mean) of a core's count.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct VarianceComponents {
    /// Between plots of one block and treatment.
    pub between: f64,
    /// Between cores of one plot.
    pub within: f64,
}

impl VarianceComponents {
    /// Those that a ground implies at its own mean.
    #[must_use]
    pub fn of(ground: &SiteParameters) -> Self {
        Self {
            between: 1.0 / ground.k_plot,
            within: 1.0 / ground.mean + (1.0 + 1.0 / ground.k_plot) / ground.k_sample,
        }
    }
}

/// Cores per plot (not rounded) at which power costs least; infinite where plots do not differ.
///
/// Costs are in any one unit: of a plot without its cores (sheet, labour, weights) and of one core.
///
/// # Errors
/// A cost or the variance within plots not above 0, a variance between plots below 0.
pub fn optimum(
    components: VarianceComponents,
    plot_cost: f64,
    sample_cost: f64,
) -> Result<f64, Error> {
    above_zero("cost of a plot", plot_cost, false)?;
    above_zero("cost of a core", sample_cost, false)?;
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
