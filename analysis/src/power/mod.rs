//! Power and sample size: how many plots, how many samples.
//!
//! | question | where | in | out |
//! |---|---|---|---|
//! | how many units do two rates need? | [`closed_form`] | rates, k, alpha, power | units per arm |
//! | and plots in blocks, at a glance? | [`blocked`] | means, k, blocks, samples | approximate power |
//! | what would the real test do? | [`simulated`] | a plan, site parameters, any test | power with its Monte-Carlo error |
//! | and if that test takes long? | [`two_phase`] | the same and a quick test | the same, few trials judged |
//! | and if k is poorly known? | [`assurance`] | past trials or a range | site parameters to draw from |
//! | which reduction could be seen? | [`detectable`] | a plan and its power | smallest reduction |
//! | how many samples in each plot? | [`subsampling`] | variances, costs | the cheapest number |
//! | how many samples does a survey need? | [`survey`] | precision, variance law | samples |
//!
//! Means are per sample, k is the size parameter of the negative binomial (variance m + m^2 / k, Poisson
//! when infinite), reductions are shares of the control's mean. All formulas take the plot as the
//! unit. When not to use it: never to explain a finished trial; its interval does that.

pub mod assurance;
pub mod blocked;
pub mod closed_form;
pub mod subsampling;
pub mod detectable;
pub mod simulated;
pub mod survey;
pub mod two_phase;
