//! What this season teaches the next: the size of the next trial.
//!
//! | step | file | in -> out |
//! |---|---|---|
//! | say what is wished | [`wish`] | numbers -> checked wish, or why not and the nearest possible |
//! | carry over what the last trial taught | [`carry`] | its results -> knowledge of the ground |
//! | count the cost | [`prices`] | plots, cores, nights -> money and hours |
//! | size the next trial | [`next_trial`] | wish and knowledge -> table, suggestion, truths |
//! | judge it before its end | [`looks`] | shares of the information -> boundaries |
//! | say it in pictures and words | [`pictures`], [`telling`] | answers -> SVG and text |
//!
//! The test is an argument, and [`headline`] the usual one: what sizes the trial is what will judge it.
//! Nothing here reads a file.

pub mod carry;
pub mod headline;
pub mod looks;
pub mod next_trial;
pub mod pictures;
pub mod prices;
pub mod telling;
pub mod truths;
pub mod wish;
