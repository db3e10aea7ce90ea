//! How many plots, how many cores.
//!
//! | question | where | in | out |
//! |---|---|---|---|
//! | how many units do two rates need? | [`closed_form`] | rates, k, alpha, power | units per arm |
//! | and plots in blocks, at a glance? | [`blocked`] | means, k, blocks, cores | approximate power |
//! | what would the real test do? | [`simulated`] | a plan, the ground, any test | power with its Monte-Carlo error |
//! | and if k is poorly known? | [`assurance`] | past trials or a range | grounds to draw from |
//! | which reduction could be seen? | [`detectable`] | a plan and a test | smallest reduction |
//! | how many cores in each plot? | [`cores`] | variances, costs | the cheapest number |
//! | how many cores does a survey need? | [`survey`] | precision, variance law | cores |
//! | how far apart for a map? | [`spacing`] | variogram, precision | grid spacing |
//!
//! Means are per core, k is the clumping of the negative binomial (variance m + m^2 / k, Poisson
//! when infinite), reductions are shares of the control's mean. All formulas take the plot as the
//! unit. When not to use it: never to explain a finished trial; its interval does that.

pub mod assurance;
pub mod blocked;
pub mod closed_form;
pub mod subsampling;
pub mod detectable;
pub mod simulated;
pub mod spacing;
pub mod survey;

use crate::Error;

/// Refuses anything but a number above 0 (infinity allowed where `infinite` says so).
pub(crate) fn above_zero(what: &str, value: f64, infinite: bool) -> Result<(), Error> {
    if value > 0.0 && (infinite || value.is_finite()) {
        return Ok(());
    }
    Err(Error::new(
        what,
        format!("{value}"),
        format!("{what} must be a number above 0"),
        "give a value above 0",
    ))
}

/// Refuses anything but a number strictly between 0 and 1.
pub(crate) fn open_share(what: &str, value: f64) -> Result<(), Error> {
    if value > 0.0 && value < 1.0 {
        return Ok(());
    }
    Err(Error::new(
        what,
        format!("{value}"),
        format!("{what} must lie strictly between 0 and 1"),
        "give a share such as 0.05 or 0.8",
    ))
}
