//! From the outline of a green to next season's trial.
//!
//! The folders stand in the order of the work, and a folder may use only those before it. Only
//! [`store`] touches the disk; only [`terminal`] reads arguments, prints and asks the time.
//!
//! | step | folder | in -> out |
//! |---|---|---|
//! | write words and figures | [`text`] | numbers and names -> text as people read it |
//! | know what a number may be | [`ranges`] | a number -> whether it can be used, and why not |
//! | draw | [`drawing`] | what is to be seen -> SVG |
//! | read what people wrote | [`table`] | a file's text -> cells with their places |
//! | measure the green | [`area`] | outline file's text -> checked outline |
//! | ask, lay out, draw | [`design`] | protocol and outline -> layout and seal |
//! | know what others act on | [`threshold`] | a mean per m2 -> where it lies beside a figure; what was published |
//! | scout the green | [`scouting`] | outline, levels -> sample points, stop lines |
//! | know what a count may be | [`count_rules`] | the rules as data, for the check and for pages |
//! | take it outdoors | [`fieldwork`] | layout -> maps, pegs, sheets to count on |
//! | lay sheets for a night | [`night`] | sheet, wind, people, date -> strips, weights, hours, clock times |
//! | check what came back | [`intake`] | counts file's text -> checked counts |
//! | bring it into one form | [`trial_data`] | layout and counts, or any table -> plots ready to compare |
//! | judge | [`judgement`] | trial data -> verdict |
//! | describe | [`description`] | a table of counts -> how many, how clumped |
//! | find where they are | [`mapping`] | counts with places -> clusters, cover plan |
//! | plan | [`next_season`] | this trial -> next trial's size |
//! | plan the season | [`season`] | greens, nights, people, money -> what is covered when, and is it worth it |
//! | pool many trials | [`association`] | many trials -> what a method does at clubs at large; archives of them |
//! | tell | [`report`] | verdict -> pages and figures |
//! | do all that is asked | [`commands`] | request -> answer: result, words, files |

pub mod error;
pub mod progress;
mod warning;

pub mod text;
pub mod ranges;
pub mod drawing;
pub mod table;
pub mod area;
pub mod design;
pub mod threshold;
pub mod scouting;
pub mod count_rules;
pub mod fieldwork;
pub mod night;
pub mod intake;
pub mod trial_data;
pub mod judgement;
pub mod description;
pub mod mapping;
pub mod next_season;
pub mod season;
pub mod association;
pub mod report;
pub mod store;
pub mod commands;
pub mod terminal;

pub use error::Error;
pub use warning::Warning;
