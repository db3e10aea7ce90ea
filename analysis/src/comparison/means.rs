//! Mean counts under each treatment.

use std::cmp::Ordering;

use rayon::prelude::*;
use serde::Serialize;

use super::mixed_model::MixedModel;
use super::plot_table::PlotTable;
use super::profile::{Calibration, Profile};
use crate::Error;
use crate::distributions;
use crate::results::Interval;

/// Mean count per unit of exposure under a treatment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreatmentMean {
    /// Name of the treatment, the control first.
    pub treatment: String,
    /// Total count over total exposure.
    pub mean: f64,
    /// Interval for this treatment alone, from the profile of its own mean.
    pub interval: Interval,
}

/// Mean count under each treatment, with the profile of its own mean: the treatment takes its
/// turn as the reference, so that its log mean is the intercept.
pub(super) fn of(
    table: &PlotTable,
    alpha: f64,
    offset: &[f64],
) -> Result<Vec<TreatmentMean>, Error> {
    let calibration = calibration(table)?;
    let levels = (0..table.treatment.levels.len()).into_par_iter();
    let means: Vec<_> = levels
        .map(|code| mean(table, code, calibration, alpha, offset))
        .collect();
    means.into_iter().collect()
}

fn mean(
    table: &PlotTable,
    code: usize,
    calibration: Calibration,
    alpha: f64,
    offset: &[f64],
) -> Result<TreatmentMean, Error> {
    let totals = table.totals();
    let exposure: f64 = (0..table.counts.len())
        .filter(|&p| table.treatment.codes[p] == code)
        .map(|p| table.exposure[p])
        .sum();
    let mean = totals[code] as f64 / exposure;
    let mut interval = Interval {
        low: 0.0,
        high: f64::INFINITY,
        level: 1.0 - alpha,
    };
    let df = calibration.df;
    if df >= 1.0 && totals.iter().any(|&t| t > 0) {
        let bound = distributions::t_quantile(1.0 - alpha / 2.0, df);
        let turned = turned(table, code);
        let matrix = turned.treatment_matrix()?;
        let model = MixedModel::new(&turned, offset, &matrix)?;
        let full = model.fit(None, None);
        let profile = Profile::new(&model, &full, 0, calibration);
        let from = full.beta[0];
        if totals[code] == 0 {
            interval.high = profile.limit(1.0, bound).exp();
        } else {
            interval.low = mean * (profile.limit(-1.0, bound) - from).exp();
            interval.high = mean * (profile.limit(1.0, bound) - from).exp();
        }
    }
    Ok(TreatmentMean {
        treatment: table.treatment.levels[code].clone(),
        mean,
        interval,
    })
}

/// Plots, groups and treatments to what the t scale needs.
fn calibration(table: &PlotTable) -> Result<Calibration, Error> {
    let plots = table.counts.len() as f64;
    let blocks = if table.blocking_factors().is_empty() {
        0
    } else {
        table.block_columns().build()?.width()
    };
    let within = plots - blocks as f64;
    let spent = table.treatment.levels.len() - usize::from(blocks > 0)
        + usize::from(table.before.is_some());
    let total: u64 = table.counts.iter().sum();
    Ok(Calibration {
        within,
        df: within - spent as f64,
        mean: total as f64 / plots,
    })
}

/// The same table with treatment `code` as the reference.
fn turned(table: &PlotTable, code: usize) -> PlotTable {
    let mut table = table.clone();
    for c in &mut table.treatment.codes {
        *c = match (*c).cmp(&code) {
            Ordering::Equal => 0,
            Ordering::Less => *c + 1,
            Ordering::Greater => *c,
        };
    }
    let name = table.treatment.levels.remove(code);
    table.treatment.levels.insert(0, name);
    table
}
