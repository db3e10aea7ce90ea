//! What is asked of an archive.

use std::path::PathBuf;

use halfgreen_analysis::comparison::Better;
use serde::{Deserialize, Serialize};

use crate::association::archive::{AreaUnit, Shard};
#[cfg(feature = "archive")]
use crate::association::archive::{TableColumns, TableTerms};

/// What is asked of an archive.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "action", rename_all = "kebab-case")]
pub enum Request {
    /// Take in trials.
    Add(Box<Add>),
    /// Judge its trials.
    Judge(Judge),
    /// Put together what several runs judged.
    Gather(Gather),
    /// Describe its counts.
    Describe(Describe),
}

/// Trials to take in: trial folders, folders of them, and tables by the names of their columns.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Add {
    /// Folder of the archive; made if it is not there.
    pub archive: PathBuf,
    /// Trial folders, tables, and folders of these.
    pub sources: Vec<PathBuf>,
    /// Column of the counts of tables.
    pub count: Option<String>,
    /// Column of the treatments.
    pub treatment: Option<String>,
    /// Treatment that is the control.
    pub control: Option<String>,
    /// Column of the trials; if not given, a club's lines of a season are one.
    pub trial: Option<String>,
    /// Column of the clubs; if not given, each file is one club's.
    pub club: Option<String>,
    /// Column of the years; if not given, those of the dates.
    pub season: Option<String>,
    /// Column of the days of counting.
    pub date: Option<String>,
    /// Column of the occasions.
    pub occasion: Option<String>,
    /// Occasions that decide; the only one of a trial if not given.
    pub main: Vec<String>,
    /// Occasions before treatment.
    pub before: Vec<String>,
    /// Column of the blocks.
    pub block: Option<String>,
    /// Column of the plots, where several lines are cores of one.
    pub plot: Option<String>,
    /// Column of the sampled areas.
    pub area: Option<String>,
    /// What the numbers of the areas are.
    pub area_unit: AreaUnit,
    /// Area of a core, square metres, where no column says it.
    pub core_area: Option<f64>,
    /// Columns of what else tells trials apart, such as soil.
    pub moderator: Vec<String>,
    /// Which direction is good.
    pub better: Better,
    /// Smallest change worth having, per cent.
    pub worthwhile: f64,
    /// Accepted chance of a false claim.
    pub alpha: f64,
    /// Treatments were not drawn at random.
    pub not_randomised: bool,
    /// Sources that changed since they were added take the place of what they held then.
    pub replace: bool,
}

impl Default for Add {
    fn default() -> Self {
        Self {
            archive: PathBuf::new(),
            sources: Vec::new(),
            count: None,
            treatment: None,
            control: None,
            trial: None,
            club: None,
            season: None,
            date: None,
            occasion: None,
            main: Vec::new(),
            before: Vec::new(),
            block: None,
            plot: None,
            area: None,
            area_unit: AreaUnit::M2,
            core_area: None,
            moderator: Vec::new(),
            better: Better::Fewer,
            worthwhile: 50.0,
            alpha: 0.05,
            not_randomised: false,
            replace: false,
        }
    }
}

#[cfg(feature = "archive")]
impl Add {
    /// The columns of tables, where they are named.
    pub(super) fn columns(&self) -> Option<TableColumns> {
        Some(TableColumns {
            count: self.count.clone()?,
            treatment: self.treatment.clone()?,
            trial: self.trial.clone(),
            club: self.club.clone(),
            season: self.season.clone(),
            date: self.date.clone(),
            occasion: self.occasion.clone(),
            block: self.block.clone(),
            plot: self.plot.clone(),
            area: self.area.clone(),
            area_unit: self.area_unit,
            moderators: self.moderator.clone(),
            main: self.main.clone(),
            before: self.before.clone(),
        })
    }

    /// What is asked of the trials of tables.
    pub(super) fn terms(&self) -> Option<TableTerms> {
        Some(TableTerms {
            control: self.control.clone()?,
            alpha: self.alpha,
            better: self.better,
            worthwhile: self.worthwhile,
            randomised: !self.not_randomised,
            core_area: self.core_area,
        })
    }
}

/// Trials to judge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Judge {
    /// Folder of the archive.
    pub archive: PathBuf,
    /// Part of the trials, as 3/8.
    pub shard: Shard,
}

impl Default for Judge {
    fn default() -> Self {
        Self {
            archive: PathBuf::new(),
            shard: Shard::WHOLE,
        }
    }
}

/// Answers to put together.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Gather {
    /// Folder of the archive.
    pub archive: PathBuf,
}

/// Counts to describe: of an archive, or of a table by the names of its columns.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Describe {
    /// Folder of the archive, or a table.
    pub archive: PathBuf,
    /// This treatment alone.
    pub method: Option<String>,
    /// This season alone.
    pub season: Option<i16>,
    /// This month alone, 1 to 12.
    pub month: Option<u8>,
    /// This soil alone.
    pub soil: Option<String>,
    /// What settings are told by; soil and month if not given.
    pub by: Vec<String>,
    /// Column of the counts of a table.
    pub count: Option<String>,
    /// Column of its clubs.
    pub club: Option<String>,
    /// Column of its treatments.
    pub treatment: Option<String>,
}
