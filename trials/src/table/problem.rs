//! What can be wrong with a table, by name.

use std::fmt;

use serde::{Serialize, Serializer};

use crate::Error;

use super::Cell;

/// Causes that are told once, though the words differ from line to line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// Dates are written in another order, and can mean one day only.
    DateOrder,
    /// Dates are written in another order, and can mean several days.
    DateReadings,
    /// The same was entered twice, and the two agree.
    Agreement,
    /// Lines of two files have no sample numbers.
    Unnumbered,
    /// The stage of a sample is told on one line and not on another.
    HalfTold,
    /// Dates were typed that are not those of the moments beside them.
    TwoDays,
}

/// What is wrong, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Complaint {
    /// What is wrong, without a full stop.
    pub what: String,
    /// What to do, in full sentences; absent where someone should only know.
    pub cure: Option<String>,
}

impl Complaint {
    /// A complaint with its cure.
    pub(crate) fn new(what: impl Into<String>, cure: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            cure: Some(cure.into()),
        }
    }

    /// Something to know, with nothing to be done.
    pub(crate) fn note(what: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            cure: None,
        }
    }
}

/// Both as sentences.
impl fmt::Display for Complaint {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.cure {
            Some(cure) => write!(out, "{}. {cure}", self.what),
            None => write!(out, "{}.", self.what),
        }
    }
}

/// Programs read both in one text.
impl Serialize for Complaint {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
}

/// Something wrong or doubtful in a table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// File as the user named it.
    pub file: String,
    /// Line, from 1; the header is line 1.
    pub line: u64,
    /// Cell in the line, from 1.
    pub column: usize,
    /// Plot, where one is concerned.
    pub plot: Option<String>,
    /// What is wrong and what to do.
    #[serde(rename = "message")]
    pub complaint: Complaint,
    /// Whether it stops the analysis.
    pub severity: Severity,
    /// Which rule was broken.
    pub rule: Rule,
    /// How many lines it stands on, this one among them.
    pub times: u32,
    /// What lies behind it, where the same is told in other words from line to line.
    #[serde(skip)]
    pub cause: Option<Cause>,
}

/// Whether a problem stops the analysis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// The counts cannot be used until it is mended.
    Error,
    /// The counts can be used; someone should look.
    Warning,
}

/// The rules a table is held to. Each has a sheet that breaks it among the examples.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rule {
    /// The file holds no lines under a header.
    EmptyFile,
    /// A quotation mark is opened and not closed, bytes of value zero stand in it, a line has more cells than the header, or there is more than any table holds.
    BrokenLine,
    /// A column that is needed is not there.
    MissingColumn,
    /// Two columns have the same heading.
    RepeatedColumn,
    /// A column whose heading is not known and that is not read; refused where a known one was meant.
    UnknownColumn,
    /// An event that says nothing of whether the plot was covered.
    UnknownEvent,
    /// A cell that must be filled is blank.
    BlankCell,
    /// The plot is not in the layout.
    UnknownPlot,
    /// The occasion is not in the protocol.
    UnknownOccasion,
    /// The stage is not one that is told apart; refused where a known one was meant or the protocol lists its own.
    UnknownStage,
    /// The same plot, sample, occasion, stage and minutes stand on two lines.
    RepeatedCount,
    /// The same was counted or entered twice, and the two do not agree.
    CountsDiffer,
    /// The same was counted or entered twice, and the two agree.
    EnteredTwice,
    /// A count is below zero.
    NegativeCount,
    /// A count has a fraction.
    FractionalCount,
    /// A count is no number.
    TextInCount,
    /// A count is written in a spreadsheet's scientific or thousands format.
    NumberFormat,
    /// A count is too large to be one.
    HugeCount,
    /// A count is more than a core can hold.
    FullCore,
    /// A date does not exist or has two readings.
    ImpossibleDate,
    /// A date is not written as year-month-day but can mean one day only.
    OtherDateOrder,
    /// The date of a count and the moment at which it was made are of different days.
    TwoDays,
    /// A moment is not a date with a time of day and its distance from universal time.
    ImpossibleMoment,
    /// An area is not above zero.
    ImpossibleArea,
    /// A number is not one, or lies outside its range.
    ImpossibleNumber,
    /// A count was left blank: the core was not counted.
    NotCounted,
    /// A count lies beyond what the scatter of the other plots lets expect.
    Outlier,
    /// Plots were watched for different times after their sheets were lifted.
    UnevenWatch,
    /// What lay under sheets is compared with plots that had none.
    SheetCatch,
    /// An event is dated after the count that it would touch.
    LateEvent,
    /// A plot has another number of cores than planned.
    NumberOfCores,
    /// A plot has no counts on an occasion on which others have.
    PlotNotCounted,
    /// No plot has a count on an occasion of the protocol.
    OccasionNotCounted,
}

impl Rule {
    /// Whether breaking the rule stops the analysis.
    #[must_use]
    pub fn severity(self) -> Severity {
        match self {
            Self::UnknownColumn
            | Self::UnknownStage
            | Self::EnteredTwice
            | Self::OtherDateOrder
            | Self::TwoDays
            | Self::NotCounted
            | Self::Outlier
            | Self::UnevenWatch
            | Self::SheetCatch
            | Self::LateEvent
            | Self::NumberOfCores
            | Self::PlotNotCounted
            | Self::OccasionNotCounted => Severity::Warning,
            _ => Severity::Error,
        }
    }

    /// How soon it is told among others that stop the analysis, or do not: what spoils a whole file comes first, then what two
    /// people do not agree on, what is doubtful in the numbers, what is wrong with single cells, and what is only missing.
    fn turn(self) -> u8 {
        match self {
            Self::EmptyFile | Self::BrokenLine | Self::MissingColumn | Self::RepeatedColumn => 0,
            Self::CountsDiffer | Self::RepeatedCount => 1,
            Self::SheetCatch | Self::UnevenWatch | Self::Outlier => 2,
            Self::NumberOfCores | Self::PlotNotCounted | Self::NotCounted => 4,
            Self::OccasionNotCounted | Self::EnteredTwice => 5,
            _ => 3,
        }
    }
}

impl Problem {
    /// A problem in a cell, or with the file as a whole when `cell` is absent.
    pub(crate) fn new(file: &str, cell: Option<&Cell>, rule: Rule, complaint: Complaint) -> Self {
        Self {
            file: file.to_owned(),
            line: cell.map_or(1, |c| c.line),
            column: cell.map_or(1, |c| c.column),
            plot: None,
            complaint,
            severity: rule.severity(),
            rule,
            times: 1,
            cause: None,
        }
    }

    /// A problem at a line and cell whose text is not at hand.
    pub(crate) fn at(
        file: &str,
        line: u64,
        column: usize,
        rule: Rule,
        complaint: Complaint,
    ) -> Self {
        Self {
            line,
            column,
            ..Self::new(file, None, rule, complaint)
        }
    }

    /// The same problem, of one plot.
    pub(crate) fn of_plot(mut self, plot: &str) -> Self {
        self.plot = Some(plot.to_owned()).filter(|p| !p.is_empty());
        self
    }

    /// The same problem, of a cause that is told once for all lines on which it acts.
    pub(crate) fn of_cause(mut self, cause: Cause) -> Self {
        self.cause = Some(cause);
        self
    }

    /// The same problem where it cannot be let pass.
    pub(crate) fn refused(mut self) -> Self {
        self.severity = Severity::Error;
        self
    }

    /// `file:line:column`.
    #[must_use]
    pub fn place(&self) -> String {
        format!("{}:{}:{}", self.file, self.line, self.column)
    }

    /// Whether it stops the analysis.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// Puts the worst first: what stops the analysis before what does not, then by what it spoils, then in file order.
pub(crate) fn worst_first(problems: &mut [Problem]) {
    problems.sort_by(|a, b| {
        let rank = |p: &Problem| (!p.is_error(), p.rule.turn());
        let place = |p: &Problem| (p.line, p.column);
        (rank(a), &a.file, place(a)).cmp(&(rank(b), &b.file, place(b)))
    });
}

/// All of them as refusals.
pub(crate) fn errors(problems: impl IntoIterator<Item = Problem>) -> Vec<Error> {
    problems.into_iter().map(Error::from).collect()
}

impl From<Problem> for Error {
    fn from(problem: Problem) -> Self {
        let place = problem.place();
        let Complaint { what, cure } = problem.complaint;
        let cure = cure.unwrap_or_else(|| "Mend the line and try again.".to_owned());
        Self::new(place, what, cure)
    }
}
