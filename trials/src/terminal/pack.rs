//! Arguments of `pack`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::pack::Request;

#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
}

impl Args {
    pub(super) fn request(&self, _context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
        }
    }
}
