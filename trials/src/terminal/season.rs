//! Arguments of `season`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::season::Request;

/// Writes season.html, plan.csv and plan.svg into the folder season beside FILE.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The season file: greens, sheet, nights, people, prices (TOML)
    file: PathBuf,
}

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        Request {
            file: self.file.clone(),
            seed: context.seed,
        }
    }
}
