//! Which column of a club's table holds what, and in which units.

use halfgreen_analysis::comparison::Better;
use serde::{Deserialize, Serialize};

use crate::table::{Problem, RawTable, separator_of};

/// What the numbers in a column of areas are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AreaUnit {
    /// Square metres.
    #[default]
    M2,
    /// Square centimetres.
    Cm2,
    /// Diameter of a round corer, millimetres.
    CorerMm,
}

impl AreaUnit {
    /// A number of the column in square metres.
    #[must_use]
    pub fn square_metres(self, number: f64) -> f64 {
        match self {
            Self::M2 => number,
            Self::Cm2 => number / 1e4,
            Self::CorerMm => std::f64::consts::PI * (number / 2000.0).powi(2),
        }
    }
}

/// Which column holds what, by headings.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct TableColumns {
    /// Counts.
    pub count: String,
    /// Treatments.
    pub treatment: String,
    /// Trials; if not given, a club's lines of a season are one trial.
    pub trial: Option<String>,
    /// Clubs; if not given, the file is one club's, and bears its name.
    pub club: Option<String>,
    /// Years; if not given, those of the dates.
    pub season: Option<String>,
    /// Days of counting, as 2026-09-18.
    pub date: Option<String>,
    /// Occasions.
    pub occasion: Option<String>,
    /// Blocks.
    pub block: Option<String>,
    /// Plots, where several lines are cores of one.
    pub plot: Option<String>,
    /// Sampled areas.
    pub area: Option<String>,
    /// What the numbers of the areas are.
    pub area_unit: AreaUnit,
    /// What else tells trials apart, such as soil: one value in all lines of a trial.
    pub moderators: Vec<String>,
    /// Occasions that decide.
    pub main: Vec<String>,
    /// Occasions before treatment.
    pub before: Vec<String>,
}

/// What is asked of every trial of a table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TableTerms {
    /// Treatment that is the control.
    pub control: String,
    /// Accepted chance of a false claim.
    pub alpha: f64,
    /// Which direction is good.
    pub better: Better,
    /// Smallest change worth having, per cent.
    pub worthwhile: f64,
    /// Whether treatments were drawn at random.
    pub randomised: bool,
    /// Area of a core, square metres, where no column says it.
    pub core_area: Option<f64>,
}

/// Where the columns stand in one table.
#[derive(Debug, Clone, PartialEq)]
pub struct Head {
    /// The table's name in complaints.
    pub file: String,
    pub(super) separator: u8,
    pub(super) width: usize,
    pub(super) count: usize,
    pub(super) treatment: usize,
    pub(super) trial: Option<usize>,
    pub(super) club: Option<usize>,
    pub(super) season: Option<usize>,
    pub(super) date: Option<usize>,
    pub(super) occasion: Option<usize>,
    pub(super) block: Option<usize>,
    pub(super) plot: Option<usize>,
    pub(super) area: Option<usize>,
    pub(super) moderators: Vec<(String, usize)>,
}

impl Head {
    /// Finds the columns in the first lines of a table: its header and at least a line below it.
    ///
    /// # Errors
    /// A text that is no table, and every column that is not there.
    pub fn of(file: &str, first_lines: &str, wanted: &TableColumns) -> Result<Self, Vec<Problem>> {
        let table = RawTable::read_head(file, first_lines)?;
        let mut missing = Vec::new();
        let mut needed = |name: &str| {
            let found = table.required(name);
            found.map_err(|problem| missing.push(problem)).ok()
        };
        let (count, treatment) = (needed(&wanted.count), needed(&wanted.treatment));
        let mut optional = |name: &Option<String>| name.as_deref().and_then(&mut needed);
        let (trial, club) = (optional(&wanted.trial), optional(&wanted.club));
        let (season, date) = (optional(&wanted.season), optional(&wanted.date));
        let (occasion, block) = (optional(&wanted.occasion), optional(&wanted.block));
        let (plot, area) = (optional(&wanted.plot), optional(&wanted.area));
        let moderators = wanted.moderators.iter();
        let moderators: Vec<(String, usize)> = moderators
            .filter_map(|name| Some((name.trim().to_lowercase(), needed(name)?)))
            .collect();
        let (Some(count), Some(treatment), true) = (count, treatment, missing.is_empty()) else {
            return Err(missing);
        };
        Ok(Self {
            file: file.to_owned(),
            separator: separator_of(first_lines),
            width: table.header.len(),
            count,
            treatment,
            trial,
            club,
            season,
            date,
            occasion,
            block,
            plot,
            area,
            moderators,
        })
    }

    /// The byte between two cells.
    #[must_use]
    pub fn separator(&self) -> u8 {
        self.separator
    }

    /// Name of the trial of a table without a column of trials, and of the club of one without clubs: the file's own.
    pub(super) fn own_name(&self) -> &str {
        let last = self.file.rsplit(['/', '\\']).next().unwrap_or(&self.file);
        last.rsplit_once('.').map_or(last, |(stem, _)| stem)
    }
}
