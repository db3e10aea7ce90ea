//! The reference set of a Latin square given by the rows and columns of a table.

use std::sync::Arc;

use super::reference_set::{Counted, ReferenceSet};
use super::trial_data::Unit;
use crate::Error;
use crate::design::allocation::squares::LARGEST;
use crate::design::allocation::{self, Square};

/// The reference set of a Latin square given by rows and columns of a table.
///
/// # Errors
/// Plots that do not fill a square, or a treatment that does not stand once in every row and column.
pub(crate) fn square(
    units: &[Unit<'_>],
    treatments: usize,
    seed: u64,
) -> Result<ReferenceSet, Error> {
    let (mut rows, mut columns) = (Vec::new(), Vec::new());
    let cells: Vec<usize> = units
        .iter()
        .map(|u| rank(u.row, &mut rows) * treatments + rank(u.column, &mut columns))
        .collect();
    let mut filled = cells.clone();
    filled.sort_unstable();
    filled.dedup();
    if rows.len() != treatments || columns.len() != treatments || filled.len() != units.len() {
        return Err(Error::new(
            "rows and columns",
            format!(
                "{} rows by {} columns do not make a square of {treatments} treatments with one plot in a cell",
                rows.len(),
                columns.len()
            ),
            "Give rows and columns only for a Latin square; otherwise give blocks.",
        ));
    }
    each_once(units)?;
    if treatments > LARGEST {
        return Err(Error::new(
            "rows and columns",
            format!(
                "how many squares of {treatments} treatments there are is not known: up to {LARGEST} it is"
            ),
            "Use --not-randomised, which compares within rows and columns without re-drawing.",
        ));
    }
    let design = allocation::Scheme {
        randomisation: Arc::new(Square { order: treatments }),
        lines: Vec::new(),
        blocks: vec![(0..treatments * treatments).collect()],
        positions: allocation::Positions::default(),
        treatments,
        control: 0,
    };
    let counted = Counted {
        units: &cells,
        numbers: &(0..treatments).collect::<Vec<_>>(),
    };
    ReferenceSet::of_design(&design, &[], seed, counted)
}

/// Number of a name among those met so far.
fn rank<'a>(name: Option<&'a str>, met: &mut Vec<Option<&'a str>>) -> usize {
    met.iter().position(|n| *n == name).unwrap_or_else(|| {
        met.push(name);
        met.len() - 1
    })
}

/// Only a square with every treatment once in every row and column was drawn as a Latin square.
fn each_once(units: &[Unit<'_>]) -> Result<(), Error> {
    let again = units.iter().enumerate().find_map(|(at, plot)| {
        let mut earlier = units[..at].iter();
        let met = earlier.find(|p| {
            p.treatment == plot.treatment && (p.row == plot.row || p.column == plot.column)
        })?;
        Some((plot, met))
    });
    let Some((plot, met)) = again else {
        return Ok(());
    };
    let (line, of) = if plot.row == met.row {
        ("row", plot.row.unwrap_or_default())
    } else {
        ("column", plot.column.unwrap_or_default())
    };
    Err(Error::new(
        "rows and columns",
        format!(
            "treatment {} stands twice in {line} {of} (plots {} and {}), so that this is no Latin square",
            plot.treatment, met.plot, plot.plot
        ),
        "Mend the table if a treatment is miswritten. If the design was another, give --block with what its plots were \
         drawn within, or --not-randomised, which compares within rows and columns without re-drawing.",
    ))
}
