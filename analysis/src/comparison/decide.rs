//! The calls alone, as [`compare`] gives them, without intervals: for thousands of simulated trials.
//!
//! An interval takes some thirty fits and a call only asks on which side of one value a limit lies,
//! which takes one.

use super::calibrated::Profile;
use super::compare::{Settings, calibration, compare, scores};
use super::lead::{Lead, lead};
use super::marginal::Marginal;
use super::plot_table::PlotTable;
use super::verdict::{Better, Call, Question};
use crate::Error;
use crate::chance::laws;
use crate::multiplicity::{Sided, dunnett, lambda_from_replication};
use crate::randomisation::against_control;

/// The call of every treatment, equal to those of [`compare`] except where a limit of the interval lies
/// within its own rounding, 1e-7, of the worthwhile ratio.
///
/// # Errors
/// As [`compare`].
pub fn decide(
    table: &PlotTable,
    question: &Question,
    settings: &Settings,
) -> Result<Vec<Call>, Error> {
    table.check()?;
    let calibration = calibration(table)?;
    if table.totals().contains(&0) || calibration.df < 1.0 {
        // Empty arms have rules of their own, and are rare.
        let found = compare(table, question, settings)?;
        return Ok(found.contrasts.iter().map(|c| c.call).collect());
    }
    let offset = table.offset();
    let matrix = table.treatments()?;
    let model = Marginal::new(table, &offset, &matrix)?;
    let full = model.fit(None, None);
    let profile = |column| Profile {
        model: &model,
        full: &full,
        column,
        calibration,
    };
    let treatments = table.treatment.levels.len() - 1;
    let plots: Vec<f64> = table.replication().iter().map(|&n| n as f64).collect();
    let lambda = lambda_from_replication(&plots[1..], plots[0])?;
    let adjusted = |t: &[f64]| {
        if treatments == 1 {
            return Ok(t
                .iter()
                .map(|t| 2.0 * laws::t_upper(*t, calibration.df))
                .collect());
        }
        dunnett::p_values(t, &lambda, calibration.df, Sided::Two)
    };
    let led = match leading(table, &offset, question, settings)? {
        Some(p) => p,
        None => adjusted(
            &(1..=treatments)
                .map(|j| profile(j).t(0.0))
                .collect::<Vec<f64>>(),
        )?,
    };
    let worth = question.worthwhile_ratio.ln();
    let mut calls = Vec::with_capacity(treatments);
    for (j, p) in led.into_iter().enumerate() {
        let estimate = full.beta[j + 1];
        let good = question.is_good(estimate.exp());
        calls.push(if p <= question.alpha {
            if good {
                Call::BeatTheControl
            } else {
                Call::DidWorse
            }
        } else {
            let short = match question.better {
                Better::Fewer => estimate > worth,
                Better::More => estimate < worth,
            };
            // The interval ends short of the worthwhile ratio when that ratio is refused.
            let mut distances = vec![0.0; treatments];
            if short {
                distances[j] = profile(j + 1).t(worth);
            }
            if short && adjusted(&distances)?[j] < question.alpha {
                Call::TooSmallToMatter
            } else {
                Call::CannotTell
            }
        });
    }
    Ok(calls)
}

/// Adjusted p-values of re-allocation, where it leads.
fn leading(
    table: &PlotTable,
    offset: &[f64],
    question: &Question,
    settings: &Settings,
) -> Result<Option<Vec<f64>>, Error> {
    let Some(scheme) = &settings.scheme else {
        return Ok(None);
    };
    if settings.lead == Some(Lead::Model) {
        return Ok(None);
    }
    let scores = scores(table, offset)?;
    let codes = &table.treatment.codes;
    let found = against_control(&scores, codes, scheme, &settings.randomisation)?;
    let smallest = found.smallest_p.iter().copied().fold(0.0, f64::max);
    let lead = settings
        .lead
        .unwrap_or_else(|| lead(smallest, question.alpha));
    Ok((lead == Lead::Randomisation).then_some(found.p_adjusted))
}
