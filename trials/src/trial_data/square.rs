//! The draws of a Latin square given by the rows and columns of a table.

use halfgreen_analysis::random::Generator;
use halfgreen_analysis::randomisation::Scheme;

use super::trial_data::PlotCount;
use crate::Error;
use crate::design::allocation::{self, Kind, Lots};

/// Allocations sampled where a design is not a set of shuffles.
pub(crate) const SAMPLE: usize = 9_999;

/// Stream of the sampled allocations; the layout itself was drawn from stream 0.
pub(crate) const STREAM: u64 = 1;

/// The draws of a Latin square given by rows and columns of a table.
///
/// # Errors
/// Plots that do not fill a square, or a treatment that does not stand once in every row and column.
pub(crate) fn square_scheme(
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
    each_once(plots)?;
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

/// Only a square with every treatment once in every row and column was drawn as a Latin square.
fn each_once(plots: &[PlotCount]) -> Result<(), Error> {
    let again = plots.iter().enumerate().find_map(|(at, plot)| {
        let mut earlier = plots[..at].iter();
        let met = earlier.find(|p| {
            p.treatment == plot.treatment && (p.row == plot.row || p.column == plot.column)
        })?;
        Some((plot, met))
    });
    let Some((plot, met)) = again else {
        return Ok(());
    };
    let name = |name: &Option<String>| name.clone().unwrap_or_default();
    let (line, of) = if plot.row == met.row {
        ("row", name(&plot.row))
    } else {
        ("column", name(&plot.column))
    };
    Err(Error::new(
        "--row, --column",
        format!(
            "treatment {} stands twice in {line} {of} (plots {} and {}), so that this is no Latin square",
            plot.treatment, met.plot, plot.plot
        ),
        "Mend the table if a treatment is miswritten. If the design was another, give --block with what its plots were \
         drawn within, or --not-randomised, which compares within rows and columns without re-drawing.",
    ))
}
