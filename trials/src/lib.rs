//! From the outline of a green to next season's trial.
//!
//! The folders stand in the order of the work, and a folder may use only those before it. Only
//! [`store`] touches the disk; only [`terminal`] reads arguments, prints and asks the time.
//!
//! | step | folder | in -> out |
//! |---|---|---|
//! | read what people wrote | [`table`] | a file's text -> cells with their places |
//! | measure the green | [`area`] | outline file's text -> checked outline |
//! | ask, lay out, draw | [`design`] | protocol and outline -> layout and seal |
//! | take it outdoors | [`fieldwork`] | layout -> maps |
//! | check what came back | [`intake`] | counts file's text -> checked counts |
//! | judge | [`judgement`] | layout and counts -> verdict |
//! | find where they are | [`mapping`] | counts with places -> clusters, cover plan |
//! | plan | [`season`] | this trial -> next trial's size |
//! | tell | [`report`] | verdict -> pages and figures |

pub mod error;
mod spelling;
mod warning;

pub mod table;
pub mod area;
pub mod design;
pub mod fieldwork;
pub mod intake;
pub mod judgement;
pub mod mapping;
pub mod season;
pub mod report;
pub mod store;
pub mod terminal;

pub use error::Error;
pub use warning::Warning;
