//! Arguments of `check`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::check::Request;

#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
    /// Further files of counts: CSV, XLSX, exports of phones
    ///
    /// They are put together with the folder's own in a new file, counts.csv or counts-merged.csv; none that is there is touched
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,
}

impl Args {
    pub(super) fn request(&self, _context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
            files: self.files.clone(),
        }
    }
}
