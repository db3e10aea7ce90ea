//! Statistics for field trials that count things: values in, values out.
//!
//! Nothing here opens a file, prints, reads a clock or draws a random number that the caller did not
//! seed. The folders stand in the order of the work, and a folder may use only those before it.
//!
//! | question | folder |
//! |---|---|
//! | what does every method hand back? | [`answers`] |
//! | which numerical tools do the methods share? | [`arithmetic`] |
//! | where do random numbers come from? | [`chance`] |
//! | how do counts depend on treatment and block? | [`counts`] |
//! | and if blocks are a sample of ground? | [`mixed`] |
//! | what if several methods share one control? | [`multiplicity`] |
//! | what could the draw of the layout alone have done? | [`randomisation`] |
//! | what can be said exactly about two counts? | [`exact`] |
//! | how clumped are the counts? | [`dispersion`] |
//! | what does the trade call efficacy? | [`efficacy`] |
//! | and for scores, cover and lengths? | [`responses`] |
//! | did the method beat the control? | [`comparison`] |
//! | did it last, and did treated plots change more? | [`occasions`] |
//! | can the answer be believed? | [`diagnostics`] |
//! | how large must the next trial be? | [`power`] |
//! | when may the counting stop? | [`sequential`] |
//! | where are they? | [`spatial`] |

pub mod error;

pub mod answers;
pub mod arithmetic;
pub mod chance;
pub mod counts;
pub mod mixed;
pub mod multiplicity;
pub mod randomisation;
pub mod exact;
pub mod dispersion;
pub mod efficacy;
pub mod responses;
pub mod comparison;
pub mod occasions;
pub mod diagnostics;
pub mod power;
pub mod sequential;
pub mod spatial;

pub use error::Error;
