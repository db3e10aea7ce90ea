//! A gradient within the blocks: do counts rise with the place of a plot, beside treatments and blocks?
//!
//! Analysis of variance of log((y + 1/2) / exposure) with the plots' coordinates after blocks, treatments and
//! covariate (the half as in Anscombe 1948, Biometrika 35:246-254): F of the coordinates. Coordinates count only as
//! far as blocks and treatments do not determine them: where a lopsided draw put every plot of a method on one side
//! of its block, nothing is left to judge by, and no analysis can tell the gradient from the method.

use ndarray::Array1;
use serde::Serialize;

use crate::comparison::{BlockStructure, PlotTable};
use crate::distributions;
use crate::numerics::projection::{Projection, indicator};

/// A gradient within the blocks, or over the whole ground where there are none.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Gradient {
    /// Change of the log count for each unit of the first coordinate and of the second, beside blocks and treatments;
    /// 0 along a direction that they leave nothing of.
    pub slope: [f64; 2],
    /// Largest change of the log count that this makes between two plots of a block.
    pub rise: f64,
    /// Mean square of the coordinates over that of the residuals; `None` without a degree of freedom for either.
    pub f: Option<f64>,
    /// Degrees of freedom of the coordinates, 0 to 2, and of the residuals.
    pub df: [usize; 2],
    /// Chance of as large an F without a gradient.
    pub p: Option<f64>,
}

/// Tests for a gradient of the counts of `table` over the `places` of its plots, two coordinates of any unit.
///
/// `None` where no coordinate varies within the blocks (rows and columns leave none), or where there is not one place for
/// each plot.
#[must_use]
pub fn gradient(table: &PlotTable, places: &[(f64, f64)]) -> Option<Gradient> {
    let plots = table.counts.len();
    if places.len() != plots {
        return None;
    }
    let [blocks, design] = designs(table);
    let mut full = design.clone();
    let mut untreated = blocks.clone();
    let coordinates = [0, 1].map(|axis| -> Array1<f64> {
        let of = |p: &(f64, f64)| if axis == 0 { p.0 } else { p.1 };
        places.iter().map(of).collect()
    });
    for column in &coordinates {
        full.add(column.clone());
        untreated.add(column.clone());
    }
    if untreated.rank() == blocks.rank() {
        return None;
    }
    let taken = full.rank() - design.rank();
    let left = plots.saturating_sub(full.rank());
    if taken == 0 || left == 0 {
        return Some(Gradient {
            slope: [0.0; 2],
            rise: 0.0,
            f: None,
            df: [taken, left],
            p: None,
        });
    }
    let logs: Array1<f64> = (table.counts.iter().zip(&table.exposure))
        .map(|(&y, exposure)| ((y as f64 + 0.5) / exposure).ln())
        .collect();
    let before = design.residual(logs);
    let after = full.residual(before.clone());
    let (all, rest) = (before.dot(&before), after.dot(&after));
    // Squares below the last digits of the whole are none.
    let explained = (all - rest).max(0.0) / taken as f64;
    let error = rest / left as f64;
    let f = if explained <= 1e-13 * all {
        0.0
    } else {
        explained / error
    };
    let p = if f.is_finite() {
        distributions::f_sf(f, taken as f64, left as f64)
    } else {
        0.0
    };
    let slope = slope(&coordinates.map(|c| design.residual(c)), &before);
    Some(Gradient {
        slope,
        rise: rise(table, places, slope),
        f: f.is_finite().then_some(f),
        df: [taken, left],
        p: Some(p),
    })
}

/// Largest change between two plots of one block; of all plots where they stand in no blocks.
fn rise(table: &PlotTable, places: &[(f64, f64)], slope: [f64; 2]) -> f64 {
    let factor = table.blocking_factors().first();
    let blocks = factor.map_or(1, |f| f.levels.len());
    let mut ends = vec![(f64::INFINITY, f64::NEG_INFINITY); blocks];
    for (plot, (x, y)) in places.iter().enumerate() {
        let height = slope[0] * x + slope[1] * y;
        let block = &mut ends[factor.map_or(0, |f| f.codes[plot])];
        *block = (block.0.min(height), block.1.max(height));
    }
    ends.iter().map(|e| e.1 - e.0).fold(0.0, f64::max)
}

/// Blocks and covariate, and the same with treatments.
fn designs(table: &PlotTable) -> [Projection; 2] {
    let factors = match &table.block_structure {
        BlockStructure::SplitPlot([block, _]) => std::slice::from_ref(block),
        _ => table.blocking_factors(),
    };
    let mut blocks = match factors.first() {
        Some(factor) => Projection::on_groups(&factor.codes, factor.levels.len()),
        None => Projection::on_groups(&vec![0; table.counts.len()], 1),
    };
    for factor in factors.iter().skip(1) {
        blocks.add_factor(&factor.codes, factor.levels.len());
    }
    if let Some(before) = &table.before {
        blocks.add(Array1::from(before.clone()));
    }
    let mut design = blocks.clone();
    for level in 1..table.treatment.levels.len() {
        design.add(indicator(&table.treatment.codes, level));
    }
    [blocks, design]
}

/// The shortest slope that fits best: along one direction where both coordinates say the same.
fn slope([x, y]: &[Array1<f64>; 2], response: &Array1<f64>) -> [f64; 2] {
    let [xx, xy, yy] = [x.dot(x), x.dot(y), y.dot(y)];
    let (xr, yr) = (x.dot(response), y.dot(response));
    let determinant = xx * yy - xy * xy;
    let size = xx + yy;
    // As in a projection: less than this share of a square is rounding.
    if determinant > 1e-10 * size * size {
        return [
            (yy * xr - xy * yr) / determinant,
            (xx * yr - xy * xr) / determinant,
        ];
    }
    // All along one line (u, v): the slope along it.
    let (u, v) = if xx >= yy { (xx, xy) } else { (xy, yy) };
    let length = u.hypot(v);
    let (u, v) = (u / length, v / length);
    let along = (u * xr + v * yr) / size;
    [along * u, along * v]
}
