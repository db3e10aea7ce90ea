//! What this season teaches the next: the size of the next trial.
//!
//! | step | file | in -> out |
//! |---|---|---|
//! | ask for a size | [`sample_size_request`] | numbers -> checked request, or why not and the nearest possible |
//! | say what a past trial showed | [`past_trial`], [`past_results`] | its judgement, at hand or on the disk -> its figures |
//! | carry over what past trials taught | [`parameter_uncertainty`] | their figures -> parameter uncertainty |
//! | count the cost | [`prices`] | plots, cores, nights -> money and hours |
//! | reckon how much to simulate | `effort` | plans, methods -> trials of each, or that it would take minutes |
//! | size the next trial | [`next_trial`] | request and parameter uncertainty -> table, suggestion, scenarios |
//! | lay it out on the past trial's ground | [`ground`] | plan, protocol, greens -> whether it fits, and what would |
//! | say whether to ask again | [`follows`] | verdicts -> the same question, the next one, or none |
//! | answer for whoever asks | [`after_trial`] | a judged trial -> what follows and the size |
//! | judge it before its end | [`looks`] | shares of the information -> boundaries |
//! | say it in pictures | [`pictures`] | answers -> SVG |
//!
//! The test is an argument, and [`primary_test`] the usual one: what sizes the trial is what will judge it.
//! Nothing here reads a file.

pub mod after_trial;
mod effort;
pub mod follows;
pub mod ground;
pub mod terms;
pub mod parameter_uncertainty;
pub mod primary_test;
pub mod looks;
pub mod next_trial;
pub mod past_results;
pub mod past_trial;
pub mod pictures;
pub mod prices;
pub mod scenarios;
pub mod sample_size_request;
