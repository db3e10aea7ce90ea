//! Arguments of `stopline`.

use std::path::PathBuf;

use super::commands::Context;
use super::law::LawArgs;
use super::typed::one_of;
use crate::commands::stopline::Request;
use crate::scouting::stop_line::Kind;

/// Means are animals per core, or per square metre with --per-m2.
#[derive(Debug, clap::Args)]
#[command(allow_negative_numbers = true)]
pub(super) struct Args {
    /// Which plan: sprt, iwao or green
    ///
    /// Wald's test between two levels, Iwao's of one level half-way between them, or Green's of a precise mean
    #[arg(long, default_value = "sprt", value_parser = one_of::<Kind>(&["sprt", "iwao", "green"]))]
    kind: Kind,
    /// Mean that is surely fine (for green: lowest mean to show)
    #[arg(long, value_name = "M", required_if_eq_any([("kind", "sprt"), ("kind", "iwao")]))]
    lower: Option<f64>,
    /// Mean that surely asks for action (for green: highest mean to show)
    #[arg(long, value_name = "M", required_if_eq_any([("kind", "sprt"), ("kind", "iwao")]))]
    upper: Option<f64>,
    /// Take both levels as animals per square metre
    #[arg(long, requires = "core_area")]
    per_m2: bool,
    /// Area of a core, square metres: a corer of 108 mm takes 0.0092
    #[arg(long, value_name = "M2", requires = "per_m2")]
    core_area: Option<f64>,
    #[command(flatten)]
    law: LawArgs,
    /// Chance of acting on a green at the lower mean
    ///
    /// For iwao, that of both errors together
    #[arg(long, value_name = "A", default_value_t = Request::default().alpha)]
    alpha: f64,
    /// Chance of not acting on a green at the upper mean
    #[arg(long, value_name = "B", default_value_t = Request::default().beta)]
    beta: f64,
    /// Standard error over the mean at which green stops
    #[arg(long, value_name = "D", default_value_t = Request::default().precision)]
    precision: f64,
    /// Cores at most
    #[arg(long, value_name = "N", default_value_t = Request::default().cores)]
    cores: usize,
    /// Only note whether a core holds more than this many (sprt)
    #[arg(long, value_name = "T")]
    tally: Option<u64>,
    /// Folder for the card and the pictures
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

impl Args {
    pub(super) fn request(&self, _context: &Context) -> Request {
        Request {
            kind: self.kind,
            lower: self.lower,
            upper: self.upper,
            per_m2: self.per_m2,
            core_area: self.core_area,
            law: self.law.request(),
            alpha: self.alpha,
            beta: self.beta,
            precision: self.precision,
            cores: self.cores,
            tally: self.tally,
            out: self.out.clone(),
        }
    }
}
