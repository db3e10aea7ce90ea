//! The draws of a Latin square given by the rows and columns of a table.

use std::collections::BTreeSet;

use halfgreen_analysis::chance::Generator;
use halfgreen_analysis::randomisation::Scheme;

use super::case::PlotCount;
use crate::Error;
use crate::design::allocation::{self, Kind, Lots};

/// Allocations sampled where a design is not a set of shuffles.
pub(super) const SAMPLE: usize = 9_999;

/// Stream of the sampled allocations; the layout itself was drawn from stream 0.
pub(super) const STREAM: u64 = 1;

/// A row or column that has a treatment twice, with the treatment, by the names of each plot's line.
fn twice<'p>(
    plots: &'p [PlotCount],
    line: impl Fn(&'p PlotCount) -> Option<&'p str>,
) -> Option<(&'p str, &'p str)> {
    let mut seen = BTreeSet::new();
    plots.iter().find_map(|p| {
        let here = (line(p).unwrap_or_default(), p.treatment.as_str());
        (!seen.insert(here)).then_some(here)
    })
}

/// The draws of a Latin square given by rows and columns of a table.
///
/// # Errors
/// Plots that do not fill a square.
pub(super) fn square_scheme(
    plots: &[PlotCount],
    treatments: usize,
    seed: u64,
) -> Result<(Scheme, String), Error> {
    let rank = |name: &Option<String>, all: &mut Vec<Option<String>>| {
        all.iter().position(|n| n == name).unwrap_or_else(|| {
            all.push(name.clone());
            all.len() - 1
        })
    };
    let (mut rows, mut columns) = (Vec::new(), Vec::new());
    let cells: Vec<usize> = plots
        .iter()
        .map(|p| rank(&p.row, &mut rows) * treatments + rank(&p.column, &mut columns))
        .collect();
    let mut filled = cells.clone();
    filled.sort_unstable();
    filled.dedup();
    if rows.len() != treatments || columns.len() != treatments || filled.len() != plots.len() {
        return Err(Error::new(
            "--row, --column",
            format!(
                "{} rows by {} columns do not make a square of {treatments} treatments with one plot in a cell",
                rows.len(),
                columns.len()
            ),
            "Give rows and columns only for a Latin square; otherwise give blocks.",
        ));
    }
    let found = twice(plots, |p| p.row.as_deref())
        .map(|f| ("row", f))
        .or_else(|| twice(plots, |p| p.column.as_deref()).map(|f| ("column", f)));
    if let Some((what, (line, treatment))) = found {
        return Err(Error::new(
            "--row, --column",
            format!(
                "{what} {line} has {treatment} more than once, and in a Latin square each treatment lies once in every row \
                 and column"
            ),
            "Correct the treatments; or, if the plan was drawn otherwise, give --not-randomised, which compares within rows \
             and columns without re-drawing.",
        ));
    }
    let square = allocation::Scheme {
        kind: Kind::Square,
        lines: Vec::new(),
        blocks: vec![(0..treatments * treatments).collect()],
        treatments,
        control: 0,
    };
    let number = allocation::allocations(&square, &[])?.to_string();
    let lots = Lots::new(&square, &[])?;
    let mut generator = Generator::new(seed, STREAM);
    let mut sample = Vec::with_capacity(SAMPLE);
    for _ in 0..SAMPLE {
        let allocation = lots.draw(&mut generator)?;
        sample.push(cells.iter().map(|&cell| allocation[cell]).collect());
    }
    let total = number.parse().unwrap_or(f64::INFINITY);
    Ok((
        Scheme::Sampled {
            drawn: sample,
            total,
        },
        number,
    ))
}
