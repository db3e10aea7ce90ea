//! Arguments of `report`.

use std::path::PathBuf;

use super::commands::Context;
use super::typed::one_of;
use crate::commands::report::{Format, Request};

/// Figures, their numbers (CSV) and results.json are always written.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Folder of the trial
    dir: PathBuf,
    /// Forms of the full report: html (and the members' page), md, json, pdf (printed by an installed browser)
    #[arg(long, value_name = "FORM,FORM", value_delimiter = ',', default_value = "html", value_parser = one_of::<Format>(&Format::WORDS))]
    format: Vec<Format>,
    /// Figures as PNG as well, at print size (in builds with the feature png)
    #[arg(long)]
    png: bool,
}

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        Request {
            dir: self.dir.clone(),
            seed: context.seed,
            format: self.format.clone(),
            png: self.png,
        }
    }
}
