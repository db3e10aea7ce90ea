//! Arguments of `report`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::report::Request;

#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
}

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
            seed: context.seed,
        }
    }
}
