//! Arguments of `layout`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::layout::Request;

#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
    /// Draw anew although the trial is sealed
    ///
    /// The old layout and seal are kept beside the new. Refused once counts are there
    #[arg(long)]
    replace: bool,
    /// Draw nothing: re-draw from the seal's seed and compare
    #[arg(long, conflicts_with = "replace")]
    verify: bool,
}

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
            replace: self.replace,
            verify: self.verify,
            seed: context.seed,
        }
    }
}
