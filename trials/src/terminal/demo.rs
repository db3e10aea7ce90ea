//! Arguments of `demo`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::demo::Request;

#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder to make; the next free name beside it if an earlier demonstration is there
    #[arg(default_value_os_t = Request::default().dir)]
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
