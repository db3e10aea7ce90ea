//! The disk: the only code that opens files.
//!
//! In: a trial folder or the path of a table. Out: texts, with the path in every complaint. A command asks for
//! them through [`Sources`], which is the [`Disk`] or [`Texts`] held in memory. All texts of a command are collected first and written together, so that a refusal leaves the folder as it
//! was; a run that is killed while it puts them in place is finished by the next, and two runs at once take turns. Each file is
//! written beside its target, synchronised and renamed, so that a reader never meets half a file. Nothing that a person or another
//! command wrote is overwritten: what is replaced is what the same command wrote and nobody changed since, known by
//! its digest in the folder's list, and a sealed layout that is replaced is kept beside the new one.
//!
//! | file | what it does |
//! |---|---|
//! | `sources`, `disk`, `read`, `table_text` | names -> texts; the disk remembers what was seen |
//! | `absent` | a name that leads to nothing -> the one that was meant |
//! | `under` | a text to come, read as if it were there |
//! | `folder` | which file of a trial is called what |
//! | `new_file` | a text that is to become a file |
//! | `record` | the list of what was written in a folder |
//! | `lock` | one writer in a folder at a time |
//! | `print` | a page through a browser to a PDF |
//! | `parts` | texts on their way, and what a killed run left of them |
//! | `write` | all files or none |
//! | `archive` | a folder of many trials, which grows while a command works (feature `archive`) |
//! | `archived` | which file of an archive is called what |
//!
//! Not for data that must survive the loss of the disk: keep copies of the folder elsewhere.

mod absent;
#[cfg(feature = "archive")]
mod archive;
mod archived;
mod disk;
mod folder;
mod lock;
mod new_file;
mod parts;
mod print;
mod read;
mod record;
mod sources;
mod table_text;
mod under;
mod write;

#[cfg(feature = "archive")]
pub use archive::{Archive, Journal, SourceText, TextBlock, TrialFiles, Undigested};
pub use archived::{ARCHIVED_EFFECTS, ARCHIVED_LEFT_OUT, LEDGER};
pub use disk::Disk;
pub use folder::{
    COUNTS, COUNTS_MERGED, COUNTS_XLSX, EVENTS, LAYOUT, NIGHTS, ORDER, OUTLINE_CSV,
    OUTLINE_GEOJSON, OUTLINE_GPX, OUTLINES, PACK, PACKED_COUNTS, PACKED_WORKBOOK, REPORT, RESULTS,
    SEAL, TRIAL, TrialFolder,
};
pub use new_file::{NewFile, Replace};
pub use print::print_page;
pub use read::read_text;
pub use record::WRITTEN;
pub use sources::{Entry, Sources, Texts};
pub use under::Under;
pub use write::{Outcome, write_all};
