//! Arguments of `new`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::new::Request;

#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder to start the trial in; made if it is not there
    dir: PathBuf,
}

impl Args {
    pub(super) fn request(&self, _context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
        }
    }
}
