//! Arguments of `archive`.

use std::path::PathBuf;

use clap::Subcommand;
use halfgreen_analysis::comparison::Better;

use super::commands::Context;
use crate::association::archive::{AreaUnit, Shard};
use crate::commands::archive::{Add, Describe, Gather, Judge, Request};

/// An archive is a folder; it needs a build with the feature `archive`.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// Take in trial folders, folders of them, and tables of many trials
    Add(Box<Adding>),
    /// Judge every trial by itself; a run that was ended goes on where it was
    Judge(Judging),
    /// Put together what several runs or machines judged
    Gather(Gathering),
    /// Number, mean and variance by club and treatment; k and block spread by setting
    Describe(Describing),
}

#[derive(Debug, clap::Args)]
struct Adding {
    /// Folder of the archive; made if it is not there
    archive: PathBuf,
    /// Trial folders, tables (CSV, XLSX, Parquet), and folders of these
    #[arg(required = true)]
    sources: Vec<PathBuf>,
    /// Column of the counts of tables
    #[arg(long, value_name = "COL", requires_all = ["treatment", "control"])]
    count: Option<String>,
    /// Column of the treatments
    #[arg(long, value_name = "COL")]
    treatment: Option<String>,
    /// Treatment that is the control
    #[arg(long, value_name = "NAME")]
    control: Option<String>,
    /// Column of the trials; without it a club's lines of a season are one trial
    #[arg(long, value_name = "COL")]
    trial: Option<String>,
    /// Column of the clubs; without it each table is one club's and bears its name
    #[arg(long, value_name = "COL")]
    club: Option<String>,
    /// Column of the years; without it those of the dates
    #[arg(long, value_name = "COL")]
    season: Option<String>,
    /// Column of the days of counting, as 2026-09-18
    #[arg(long, value_name = "COL")]
    date: Option<String>,
    /// Column of the occasions
    #[arg(long, value_name = "COL")]
    occasion: Option<String>,
    /// Occasions that decide; without it the only one of a trial
    #[arg(long, value_name = "NAME[,NAME]", value_delimiter = ',')]
    main: Vec<String>,
    /// Occasions before treatment
    #[arg(long, value_name = "NAME[,NAME]", value_delimiter = ',')]
    before: Vec<String>,
    /// Column of the blocks
    #[arg(long, value_name = "COL")]
    block: Option<String>,
    /// Column of the plots, where several lines are cores of one
    #[arg(long, value_name = "COL")]
    plot: Option<String>,
    /// Column of the sampled areas
    #[arg(long, value_name = "COL")]
    area: Option<String>,
    /// What the areas are: square metres, square centimetres, or the diameter of a corer in millimetres
    #[arg(long, value_name = "m2|cm2|corer-mm", default_value = "m2", value_parser = area_unit)]
    area_unit: AreaUnit,
    /// Area of a core, square metres, where no column says it
    #[arg(long, value_name = "M2", conflicts_with = "area")]
    core_area: Option<f64>,
    /// Columns of what else tells trials apart, such as soil
    #[arg(long, value_name = "COL[,COL]", value_delimiter = ',')]
    moderator: Vec<String>,
    /// More is better; without it fewer is
    #[arg(long)]
    more_is_better: bool,
    /// Smallest change worth having, per cent
    #[arg(long, value_name = "PERCENT", default_value_t = Add::default().worthwhile)]
    worthwhile: f64,
    /// Accepted chance of a false claim
    #[arg(long, value_name = "P", default_value_t = Add::default().alpha)]
    alpha: f64,
    /// Treatments were not drawn at random
    #[arg(long)]
    not_randomised: bool,
    /// Sources that changed since they were added take the place of what they held then
    #[arg(long)]
    replace: bool,
}

#[derive(Debug, clap::Args)]
struct Judging {
    /// Folder of the archive
    archive: PathBuf,
    /// Part of the trials, for one of several runs or machines: 3/8 is the third of eight
    #[arg(long, value_name = "I/N", default_value_t = Shard::WHOLE)]
    shard: Shard,
}

#[derive(Debug, clap::Args)]
struct Gathering {
    /// Folder of the archive
    archive: PathBuf,
}

#[derive(Debug, clap::Args)]
struct Describing {
    /// Folder of the archive, or a table
    archive: PathBuf,
    /// This treatment alone
    #[arg(long, value_name = "NAME")]
    method: Option<String>,
    /// This season alone
    #[arg(long, value_name = "YEAR")]
    season: Option<i16>,
    /// This month alone, 1 to 12
    #[arg(long, value_name = "N")]
    month: Option<u8>,
    /// This soil alone
    #[arg(long, value_name = "NAME")]
    soil: Option<String>,
    /// What settings are told by; soil and month without it
    #[arg(long, value_name = "NAME[,NAME]", value_delimiter = ',')]
    by: Vec<String>,
    /// Column of the counts of a table
    #[arg(long, value_name = "COL")]
    count: Option<String>,
    /// Column of its clubs
    #[arg(long, value_name = "COL")]
    club: Option<String>,
    /// Column of its treatments
    #[arg(long, value_name = "COL")]
    treatment: Option<String>,
}

fn area_unit(text: &str) -> Result<AreaUnit, String> {
    match text {
        "m2" => Ok(AreaUnit::M2),
        "cm2" => Ok(AreaUnit::Cm2),
        "corer-mm" => Ok(AreaUnit::CorerMm),
        other => Err(format!(
            "`{other}` is no unit of areas: write m2, cm2 or corer-mm"
        )),
    }
}

impl Args {
    pub(super) fn request(&self, _context: &Context) -> Request {
        match &self.action {
            Action::Add(add) => Request::Add(Box::new(add.request())),
            Action::Judge(judge) => Request::Judge(Judge {
                archive: judge.archive.clone(),
                shard: judge.shard,
            }),
            Action::Gather(gather) => Request::Gather(Gather {
                archive: gather.archive.clone(),
            }),
            Action::Describe(d) => Request::Describe(Describe {
                archive: d.archive.clone(),
                method: d.method.clone(),
                season: d.season,
                month: d.month,
                soil: d.soil.clone(),
                by: d.by.clone(),
                count: d.count.clone(),
                club: d.club.clone(),
                treatment: d.treatment.clone(),
            }),
        }
    }
}

impl Adding {
    fn request(&self) -> Add {
        Add {
            archive: self.archive.clone(),
            sources: self.sources.clone(),
            count: self.count.clone(),
            treatment: self.treatment.clone(),
            control: self.control.clone(),
            trial: self.trial.clone(),
            club: self.club.clone(),
            season: self.season.clone(),
            date: self.date.clone(),
            occasion: self.occasion.clone(),
            main: self.main.clone(),
            before: self.before.clone(),
            block: self.block.clone(),
            plot: self.plot.clone(),
            area: self.area.clone(),
            area_unit: self.area_unit,
            core_area: self.core_area,
            moderator: self.moderator.clone(),
            better: if self.more_is_better {
                Better::More
            } else {
                Better::Fewer
            },
            worthwhile: self.worthwhile,
            alpha: self.alpha,
            not_randomised: self.not_randomised,
            replace: self.replace,
        }
    }
}
