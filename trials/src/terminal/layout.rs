//! Arguments of `layout`.

use std::path::PathBuf;

use super::commands::Context;
use crate::commands::layout::Request;

#[derive(Debug, clap::Args)]
#[command(after_help = TWO_STEPS)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
    /// Draw anew although the trial is sealed; the old layout and seal are kept beside the new. Refused
    /// once counts are there
    #[arg(long)]
    replace: bool,
    /// Draw nothing: re-draw from the seal's seed and compare
    #[arg(long, conflicts_with = "replace")]
    verify: bool,
}

/// What `--help` says below the arguments.
const TWO_STEPS: &str = "\
With block_by = \"before-counts\" in trial.toml the work is in two steps. The first run places and numbers
the plots and writes plots-to-count.csv and map.svg; nothing is drawn or sealed. Count every plot, write
the lines of the occasion before treatment into counts.csv, and run the command again: it forms blocks
of plots with similar counts, draws the treatments, and seals those counts with the rest.";

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
