//! The disk: the only code that opens files.
//!
//! In: a trial folder or the path of a table. Out: texts, with the path in every complaint. A command asks for
//! them through [`Sources`], which is the [`Disk`] or [`Texts`] held in memory. All texts of a command are collected first and written together, so that a refusal leaves the folder as it
//! was. Each file is written beside its target, flushed, synchronised and renamed, so that a reader
//! never meets half a file. Nothing that a user brought is overwritten: what is replaced is an earlier
//! writing of ours, known by its mark, and a sealed layout that is replaced is kept beside the new one.
//!
//! Not for data that must survive the loss of the disk: keep copies of the folder elsewhere.

mod archive;
mod disk;
mod folder;
mod own;
mod read;
mod sources;
mod write;

pub use disk::Disk;
pub use folder::{
    COUNTS, EVENTS, LAYOUT, OUTLINE_CSV, OUTLINE_GEOJSON, OUTLINE_GPX, REPORT, RESULTS, SEAL,
    TRIAL, TrialFolder,
};
pub use read::read_text;
pub use sources::{Entry, Sources, Texts};
pub use write::{NewFile, Replace, write_all};
