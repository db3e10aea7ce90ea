//! Any table of counts, by the names of its columns, and what is asked of it.

use std::path::{Path, PathBuf};

use halfgreen_analysis::comparison::{Better, Question};

use super::super::output::Refusal;
use crate::intake::{Columns, TableInput, read_columns};
use crate::store::read_table;
use crate::trial_data::{TableQuestion, TrialData, data_from_table, tells};
use crate::{Error, Warning};

/// Any table of counts.
#[derive(Debug, clap::Args)]
pub(super) struct Table {
    /// Table of counts (CSV), one line for each plot
    #[arg(long, value_name = "FILE", requires_all = ["count", "treatment", "control"])]
    pub(super) counts: Option<PathBuf>,
    /// Column of the counts
    #[arg(long, value_name = "COL", requires = "counts")]
    count: Option<String>,
    /// Column of the treatments
    #[arg(long, value_name = "COL", requires = "counts")]
    treatment: Option<String>,
    /// Treatment that is the control
    #[arg(long, value_name = "LEVEL", requires = "counts")]
    control: Option<String>,
    /// Column of the blocks
    #[arg(long, value_name = "COL", requires = "counts")]
    block: Option<String>,
    /// Column of the rows of a Latin square
    #[arg(long, value_name = "COL", requires_all = ["counts", "column"])]
    row: Option<String>,
    /// Column of the columns of a Latin square
    #[arg(long, value_name = "COL", requires_all = ["counts", "row"])]
    column: Option<String>,
    /// Column that names the plot, where several lines are cores of one plot
    #[arg(long, value_name = "COL", requires = "counts")]
    plot: Option<String>,
    /// Column of the counts before treatment
    #[arg(long, value_name = "COL", requires = "counts")]
    before: Option<String>,
    /// Column of the sampled areas, square metres
    #[arg(long, value_name = "COL", requires = "counts")]
    area: Option<String>,
    /// What the column of the counts holds
    #[arg(long, value_name = "KIND", default_value = "count", requires = "counts",
          value_parser = ["count", "score", "cover", "length", "edge"])]
    pub(super) response: String,
    /// Column of the readings outside the plot's edge, for `--response edge`
    #[arg(long, value_name = "COL", requires = "counts")]
    pub(super) outside: Option<String>,
    /// Which direction is good: by default fewer for counts, more for all else
    #[arg(long, value_name = "fewer|more", value_parser = ["fewer", "more"])]
    pub(super) better: Option<String>,
    /// Smallest change worth having: per cent for counts (50 if not given), else in the unit of the reading
    #[arg(long, value_name = "SIZE")]
    pub(super) worthwhile: Option<f64>,
    /// Accepted chance of a false claim
    #[arg(long, value_name = "A", default_value_t = 0.05)]
    alpha: f64,
    /// Method that the others need only come close to
    #[arg(long, value_name = "LEVEL")]
    pub(super) reference: Option<String>,
    /// How much worse than the reference would still do, per cent
    #[arg(
        long,
        value_name = "PCT",
        default_value_t = 20.0,
        requires = "reference"
    )]
    pub(super) margin: f64,
    /// Treatments were not drawn at random: no re-allocation test
    #[arg(long, requires = "counts")]
    pub(super) not_randomised: bool,
}

/// Change of a count worth having where none is stated, per cent: half the larvae gone.
const USUAL_CHANGE: f64 = 50.0;

/// The trial data of a table.
pub(super) fn from_table(file: &Path, table: &Table, seed: u64) -> Result<TrialData, Refusal> {
    let question = question(table)?;
    let text = read_table(file)?;
    let input = read_columns(&file.display().to_string(), &text, &columns(table))?;
    let asked = TableQuestion {
        question,
        randomised: !table.not_randomised,
        seed,
    };
    tied(table, &input).map_err(|refused| of_file(file, refused))?;
    let mut data = data_from_table(&input, &asked).map_err(|refused| of_file(file, refused))?;
    data.warnings.extend(
        input
            .problems
            .iter()
            .map(|p| Warning::at("line-left-out", p.message.clone(), p.place())),
    );
    Ok(data)
}

/// A refusal that begins with its file.
pub(super) fn of_file(file: &Path, refused: Error) -> Error {
    Error {
        place: format!("{}: {}", file.display(), refused.place),
        ..refused
    }
}

/// Refuses a grouping within which no two treatments lie.
fn tied(table: &Table, input: &TableInput) -> Result<(), Error> {
    let groupings = [
        (&table.block, &input.blocks),
        (&table.row, &input.rows),
        (&table.column, &input.columns),
    ];
    for (name, labels) in groupings {
        let (Some(name), Some(labels)) = (name, labels) else {
            continue;
        };
        // One name for all plots tells nothing, and does no harm.
        if labels.levels.len() > 1
            && input.treatments.levels.len() > 1
            && tells(labels, &input.treatments)
        {
            let treatment = table.treatment.as_deref().unwrap_or("the treatment");
            return Err(Error::new(
                format!("columns {name} and {treatment}"),
                format!(
                    "{name} and {treatment} always go together: within one {name} all plots have the same {treatment}, so \
                     that nothing tells the one from the other"
                ),
                format!(
                    "Leave --{} out if plots were not grouped, or add plots of other treatments to each {name}.",
                    if Some(name) == table.block.as_ref() {
                        "block"
                    } else {
                        "row and --column"
                    }
                ),
            ));
        }
    }
    Ok(())
}

/// The names of a table's columns.
pub(super) fn columns(table: &Table) -> Columns {
    let name = |column: &Option<String>| column.clone().unwrap_or_default();
    Columns {
        count: name(&table.count),
        treatment: name(&table.treatment),
        control: name(&table.control),
        block: table.block.clone(),
        row: table.row.clone(),
        column: table.column.clone(),
        plot: table.plot.clone(),
        before: table.before.clone(),
        area: table.area.clone(),
    }
}

pub(super) fn alpha(table: &Table) -> Result<f64, Error> {
    if !(table.alpha > 0.0 && table.alpha < 1.0) {
        return Err(Error::new(
            "--alpha",
            format!("{} is no chance between 0 and 1", table.alpha),
            "Give the accepted chance of a false claim, such as 0.05.",
        ));
    }
    Ok(table.alpha)
}

fn question(table: &Table) -> Result<Question, Error> {
    let alpha = alpha(table)?;
    let more = table.better.as_deref() == Some("more");
    let percent = table.worthwhile.unwrap_or(USUAL_CHANGE);
    let share = percent / 100.0;
    if !(share > 0.0 && share.is_finite() && (more || share < 1.0)) {
        return Err(Error::new(
            "--worthwhile",
            format!("{percent} per cent is no change worth having"),
            "Give the smallest change that would matter: above 0, and below 100 for a reduction.",
        ));
    }
    let (better, worthwhile_ratio) = if more {
        (Better::More, 1.0 + share)
    } else {
        (Better::Fewer, 1.0 - share)
    };
    Ok(Question {
        alpha,
        better,
        worthwhile_ratio,
    })
}
