//! What this season teaches the next: trial size, stop lines, survey size.
//!
//! | step | file | in -> out |
//! |---|---|---|
//! | say what is wished | [`wish`] | numbers -> checked wish, or why not and the nearest possible |
//! | carry over what the last trial taught | [`carry`] | its results -> knowledge of the ground |
//! | count the cost | [`prices`] | plots, cores, nights -> money and hours |
//! | size the next trial | [`next_trial`] | wish and knowledge -> table, suggestion, truths |
//! | size this morning's survey | [`survey_size`] | wished precision -> number of cores |
//! | judge it before its end | [`looks`] | shares of the information -> boundaries |
//! | when to stop counting | [`stop_line`] | levels -> lines, chance of each call, cores used |
//! | pictures, words and the crew's card | [`pictures`], [`telling`], [`card`] | answers -> SVG and text |
//!
//! The test is an argument, and [`headline`] the usual one: what sizes the trial is what will judge it.
//! Nothing here reads a file.

pub mod card;
pub mod carry;
mod chart;
pub mod headline;
pub mod looks;
pub mod next_trial;
pub mod pictures;
pub mod prices;
pub mod stop_line;
pub mod survey_size;
pub mod telling;
pub mod truths;
pub mod wish;
