//! From what was written in the field to counts that may be analysed.
//!
//! In: the text of `counts.csv` (or of any table of counts) as people and spreadsheets leave it. Out:
//! [`CheckedCounts`], which only the check can make, or every complaint at once, each with file, line,
//! column, plot and a sentence. Nothing is dropped silently and nothing is guessed: a blank count is
//! a core that was not counted, never a zero, and "twleve" is answered with a question.
//!
//! | part | question |
//! |---|---|
//! | [`read_count`] | is this text a count? |
//! | [`check_counts`], [`check_files`] | do these counts fit this protocol and layout? and those of several files? |
//! | `outliers` | which counts lie beyond what the other plots let expect? |
//! | `watch` | were all plots watched alike once sheets were lifted? |
//! | [`late_events`] | what is dated after the count that it would touch? |
//! | [`check_readings`] | and these scores, cover or lengths? |
//! | [`before_counts`] | how many were in each plot before treatment, for blocks formed from that? |
//! | [`read_events`] | what happened to the plots? |
//! | `limits` | what number can no count be? |
//! | [`read_columns`] | what do the named columns of any table hold? |
//!
//! Scores, cover and lengths are readings, not counts: [`check_readings`].

mod before;
mod check;
mod columns;
mod count;
mod days;
mod double_entry;
mod events;
mod gather;
mod gathered_columns;
mod gathered_readings;
mod headings;
mod known_columns;
mod labels;
mod late;
mod limits;
mod merge;
mod missing;
mod moments;
mod names;
mod observation;
mod outliers;
mod readings;
mod row;
mod seen;
mod sums;
mod typed;
mod watch;

pub use before::{BeforeCounts, before_counts};
pub use check::check_counts;
pub(crate) use columns::treatments;
pub use columns::{Columns, TableInput, columns_of_rows, read_columns};
pub use count::{CountFault, read_count};
pub use days::{counted_already, counted_before_sealed};
pub use events::{EVENT_WORDS, Event, read_events};
pub(crate) use gathered_columns::{Names, Values};
pub use headings::{TrialTable, headings};
pub use labels::Labels;
pub use late::{counted_on, late_events};
pub use merge::{FilesCheck, check_files, check_reading_files};
pub use missing::Missing;
pub use observation::{Check, CheckResult, CheckedCounts, Observation};
pub use readings::{Reading, ReadingsCheck, check_readings};
pub(crate) use sums::{sums, sums_before};
