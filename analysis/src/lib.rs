//! Statistics for field trials that count things: values in, values out.
//!
//! Nothing here opens a file, prints, reads a clock or draws a random number that the caller did not
//! seed. The folders stand in the order of the work, and a folder may use only those before it.
//!
//! | question | folder |
//! |---|---|
//! | what does every method hand back? | [`results`] |
//! | which numerical tools do the methods share? | [`numerics`] |
//! | where do random numbers come from? | [`random`] |
//! | which distributions are tests and models referred to? | [`distributions`] |
//! | how do counts depend on treatment and block (generalised linear models)? | [`counts`] |
//! | and if blocks are random effects (generalised linear mixed models)? | [`mixed`] |
//! | what if several treatments share one control (multiple comparisons)? | [`multiplicity`] |
//! | what could the randomisation alone have done (randomisation tests)? | [`randomisation`] |
//! | what can be said exactly about two counts (exact conditional tests)? | [`exact`] |
//! | how overdispersed are the counts? | [`dispersion`] |
//! | what does the trade call efficacy? | [`efficacy`] |
//! | and for scores, cover and lengths? | [`responses`] |
//! | does a treatment differ from the control (primary test, confidence interval)? | [`comparison`] |
//! | does the effect change between occasions (repeated measures, BACI)? | [`repeated_measures`] |
//! | can the answer be believed (residuals, case deletion)? | [`diagnostics`] |
//! | how large must the next trial be (power, assurance, sample size)? | [`power`] |
//! | when may the counting stop (sequential plans)? | [`sequential`] |
//! | where are they (spatial autocorrelation, clusters, kriging)? | [`spatial`] |

pub mod error;

pub mod results;
pub mod numerics;
pub mod random;
pub mod distributions;
pub mod counts;
pub mod mixed;
pub mod multiplicity;
pub mod randomisation;
pub mod exact;
pub mod dispersion;
pub mod efficacy;
pub mod responses;
pub mod comparison;
pub mod repeated_measures;
pub mod diagnostics;
pub mod power;
pub mod sequential;
pub mod spatial;

pub use error::Error;
