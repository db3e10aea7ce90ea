//! Archives of many trials: rows from many clubs in one form, what each trial's rows come to, which are left out and why.
//!
//! In: lines of tables as clubs send them, and trial folders. Out: [`Rows`], in which a count belongs to a trial of a club in
//! a season, an occasion with its role, a treatment, a plot, an area in square metres, and the line that it was read
//! from; [`Facts`] of each trial; and the [`Ledger`], which says what was taken in from where. No file is opened here.
//!
//! | part | question |
//! |---|---|
//! | [`TableColumns`] | which column holds what, and in which units? |
//! | [`RowReader`] | what do these lines say? |
//! | [`Rows`], [`Levels`] | many rows with few different names, in little room |
//! | [`Facts`] | how much is there of a trial, and can it be judged? |
//! | [`Ledger`] | which source gave which trial, and what was left out? |
//! | [`Sums`], [`SumsBy`] | number, mean and variance by club and treatment, exactly |
//! | [`Shard`] | which part of the trials is whose work? |
//! | [`Outcome`] | what came of a trial, kept until all are done |
//! | [`settings`] | k and block spread by setting, for the next trial |

mod cells;
mod club_head;
mod columns;
mod facts;
mod key;
mod ledger;
mod levels;
mod outcome;
mod reader;
mod rows;
mod setting;
mod shard;
mod sums;
mod taken_in;
mod to_judge;

pub use club_head::ClubHead;
pub use columns::{AreaUnit, Head, TableColumns, TableTerms};
pub use facts::{AllFacts, Facts, Fault, Lost};
pub use key::TrialKey;
pub use ledger::{Asked, Ledger, LeftOutTrial, Piece, SourceEntry, TrialEntry};
pub use levels::Levels;
pub use outcome::{Finding, Ground, Known, Outcome};
pub use reader::RowReader;
pub use rows::{Named, Role, Row, Rows};
pub use setting::{Setting, settings};
pub use shard::Shard;
pub use sums::{Sums, SumsBy};
pub use taken_in::{Told, Verdict, decide};
pub use to_judge::table_input;
