//! Rao's score test: what the smaller model alone says about the columns it lacks.

use super::fit::{Fit, LikelihoodRatio};
use super::model_matrix::ModelMatrix;
use crate::Error;
use crate::distributions;

/// Score test of the columns of `full` that the fit `null` lacks, at the means and k of that fit (Rao
/// 1948, Proceedings of the Cambridge Philosophical Society 44:50-57; for counts, McCullagh & Nelder 1989,
/// appendix A). k needs no allowance: its estimate is uncorrelated with the coefficients (Lawless 1987).
///
/// All counts zero gives statistic 0.
///
/// # Errors
/// A matrix of another number of plots, or one without more columns.
pub fn score_test(
    counts: &[u64],
    full: &ModelMatrix,
    null: &Fit,
) -> Result<LikelihoodRatio, Error> {
    let (rows, width) = (full.rows(), full.width());
    let df = width.saturating_sub(null.coefficients.len());
    if counts.len() != rows || null.means.len() != rows || df == 0 {
        return Err(Error::new(
            "score test",
            format!("{} counts, {width} columns", counts.len()),
            "the larger model must be of the same plots and have more columns",
            "give the fit of the smaller model and the columns of the larger one",
        ));
    }
    let a = null.inverse_k();
    let mut score = vec![0.0; width];
    let mut information = full.no_squares();
    for (row, (&y, &mean)) in counts.iter().zip(&null.means).enumerate() {
        let share = 1.0 / (1.0 + a * mean);
        full.add_row(row, (y as f64 - mean) * share, &mut score);
        full.add_square(row, mean * share, &mut information);
    }
    let mut solved = score.clone();
    let statistic = if information.factor(1e-14).is_ok() {
        information.solve(&mut solved);
        solved.iter().zip(&score).map(|(a, b)| a * b).sum::<f64>()
    } else {
        0.0
    };
    let statistic = statistic.max(0.0);
    Ok(LikelihoodRatio {
        statistic,
        df,
        p: distributions::chi_squared_sf(statistic, df as f64),
    })
}
