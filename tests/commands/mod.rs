//! The commands as they are typed: what they say, what they write, how they end.

mod before_counts;
mod check;
mod check_files;
mod drawn_once;
mod file_keys;
mod help;
mod names;
mod new;
mod protocols;
pub(crate) mod result_keys;
