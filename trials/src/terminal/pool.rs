//! Arguments of `pool`.

use std::path::PathBuf;

use halfgreen_analysis::comparison::Better;
use halfgreen_analysis::meta_analysis::IntervalMethod;

use super::commands::Context;
use super::typed::one_of;
use crate::commands::pool::{Between, Request};

/// Needs nothing but trials: folders of trials, archives that are judged, results that `judge` kept, or tables of effects. A trial that cannot be used is
/// listed and stops no other.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("what").required(true).multiple(true).args(["files", "effects"]))]
pub(super) struct Args {
    /// Trial folders, their report/results.json, archives, or tables of effects (trial, effect, se; or trial, ratio, low, high);
    /// with --count tables of counts
    files: Vec<PathBuf>,
    /// Table of effects: natural logarithms of the ratio of means, with their standard errors
    #[arg(long, value_name = "FILE")]
    effects: Option<PathBuf>,
    /// Estimator of the variance between trials
    #[arg(long, value_name = "NAME", default_value = "reml", value_parser = one_of::<Between>(&["reml", "dl", "pm"]))]
    method: Between,
    /// How the interval of the average is made
    #[arg(long, value_name = "NAME", default_value = "hartung-knapp",
          value_parser = one_of::<IntervalMethod>(&["hartung-knapp", "hartung-knapp-unbounded", "normal"]))]
    interval: IntervalMethod,
    /// Code of the method to tell of first; if not given, the one of most trials
    #[arg(long, value_name = "CODE")]
    about: Option<String>,
    /// Does the effect go with it? soil, wetness, month, `night_temperature_c`, or a column; may be given several times
    #[arg(long, value_name = "NAME")]
    moderator: Vec<String>,
    /// Accepted chance of a false claim, over all methods together
    #[arg(long, value_name = "A", default_value_t = Request::default().alpha)]
    alpha: f64,
    /// Smallest change worth having, per cent
    #[arg(long, value_name = "PCT", default_value_t = Request::default().worthwhile)]
    worthwhile: f64,
    /// Show clubs as codes made from this salt, sorted by code; keep it secret
    #[arg(long, value_name = "SALT")]
    anonymise: Option<String>,
    /// Title of the pages
    #[arg(long, value_name = "TEXT", default_value_t = Request::default().title)]
    title: String,
    /// Folder to write pages, figures and tables into
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Column that names the trial
    #[arg(long, value_name = "COL", requires = "count", help_heading = COUNTS)]
    trial: Option<String>,
    /// Column that names the club
    #[arg(long, value_name = "COL", requires = "count", help_heading = COUNTS)]
    club: Option<String>,
    /// Column of the year
    #[arg(long, value_name = "COL", requires = "count", help_heading = COUNTS)]
    season: Option<String>,
    /// Column of the counts: each trial of the table is judged by itself
    #[arg(long, value_name = "COL", requires_all = ["files", "trial", "treatment", "control"], help_heading = COUNTS)]
    count: Option<String>,
    /// Column of the treatments
    #[arg(long, value_name = "COL", requires = "count", help_heading = COUNTS)]
    treatment: Option<String>,
    /// Treatment that is the control
    #[arg(long, value_name = "LEVEL", requires = "count", help_heading = COUNTS)]
    control: Option<String>,
    /// Column of the blocks
    #[arg(long, value_name = "COL", requires = "count", help_heading = COUNTS)]
    block: Option<String>,
    /// Column that names the plot, where several lines are cores of one plot
    #[arg(long, value_name = "COL", requires = "count", help_heading = COUNTS)]
    plot: Option<String>,
    /// Column of the counts before treatment
    #[arg(long, value_name = "COL", requires = "count", help_heading = COUNTS)]
    before: Option<String>,
    /// Column of the sampled areas, square metres
    #[arg(long, value_name = "COL", requires = "count", help_heading = COUNTS)]
    area: Option<String>,
    /// Which direction is good
    #[arg(long, value_name = "fewer|more", requires = "count", help_heading = COUNTS,
          value_parser = one_of::<Better>(&["fewer", "more"]))]
    better: Option<Better>,
    /// Treatments were not drawn at random
    #[arg(long, requires = "count", help_heading = COUNTS)]
    not_randomised: bool,
}

/// Heading of the options of tables of counts.
const COUNTS: &str = "Tables of counts, many trials in one";

impl Args {
    pub(super) fn request(&self, context: &Context) -> Request {
        let level = |name: &Option<String>| name.clone().unwrap_or_default();
        Request {
            files: self.files.clone(),
            effects: self.effects.clone(),
            trial: self.trial.clone(),
            club: self.club.clone(),
            season: self.season.clone(),
            count: self.count.clone(),
            treatment: level(&self.treatment),
            control: level(&self.control),
            block: self.block.clone(),
            plot: self.plot.clone(),
            before: self.before.clone(),
            area: self.area.clone(),
            better: self.better,
            not_randomised: self.not_randomised,
            about: self.about.clone(),
            method: self.method,
            interval: self.interval,
            moderator: self.moderator.clone(),
            alpha: self.alpha,
            worthwhile: self.worthwhile,
            anonymise: self.anonymise.clone(),
            title: self.title.clone(),
            out: self.out.clone(),
            seed: context.seed,
        }
    }
}
