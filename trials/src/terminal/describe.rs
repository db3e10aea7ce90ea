//! Arguments of `describe`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::describe::Request;

#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Table of counts (CSV), one line for each unit counted
    file: PathBuf,
    /// Column of the counts
    #[arg(long, value_name = "COL")]
    count: String,
    /// Column that says in how many units each count was found
    #[arg(long, value_name = "COL")]
    frequency: Option<String>,
    /// Column that names the place; may be given several times
    #[arg(long, value_name = "COL")]
    group: Vec<String>,
    /// Picture to write: counts as bars, with what two laws would have given (SVG)
    #[arg(long, value_name = "FILE")]
    figure: Option<PathBuf>,
}

impl Args {
    pub(super) fn request(&self, _context: &Context) -> Request {
        Request {
            file: self.file.clone(),
            count: self.count.clone(),
            frequency: self.frequency.clone(),
            group: self.group.clone(),
            figure: self.figure.clone(),
        }
    }
}
