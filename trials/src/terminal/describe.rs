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
    /// Area of a unit counted, square metres, for the mean per square metre
    ///
    /// A corer of 108 mm takes 0.0092
    #[arg(long, value_name = "M2")]
    core_area: Option<f64>,
    /// Animals to the square metre above which action pays, by your own figure
    #[arg(long, value_name = "PER_M2", requires = "core_area")]
    threshold: Option<f64>,
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
            core_area: self.core_area,
            threshold: self.threshold,
            figure: self.figure.clone(),
        }
    }
}
