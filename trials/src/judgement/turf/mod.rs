//! Responses of the turf: visual scores, cover, lengths, and the step across a sheet's edge.
//!
//! In: a table with one reading (or several, averaged) for each plot, or the readings of a trial folder.
//! Out: for each method the difference from the control in the reading's own unit, judged by the randomisation test
//! alone, since no law of chance fits them all. The same four calls as for counts.

mod judged;
mod of_table;
mod of_trial;
mod readings;
mod result;
mod words;

pub use judged::{Response, TurfQuestion};
pub use of_table::judge_turf;
pub use of_trial::judge_turf_of_trial;
pub use result::{EffectRow, PlotReading, RatioRow, TurfJudgement, TurfMean};
