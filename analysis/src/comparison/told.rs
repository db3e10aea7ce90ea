//! The calls alone, without intervals: a tenth of the work, for repeating a comparison many times.

use serde::Serialize;

use super::calibrated::Profile;
use super::compare::{Settings, calibration, lambda, ratio, scores};
use super::lead::Lead;
use super::marginal::Marginal;
use super::plot_table::PlotTable;
use super::verdict::{Better, Call, Question};
use crate::Error;
use crate::multiplicity::{Sided, dunnett};
use crate::randomisation::against_control;

/// What a comparison says of one treatment.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// Ratio of mean counts, as in [`Contrast`](super::Contrast).
    pub ratio: Option<f64>,
    /// Adjusted p of the test that leads.
    pub p: f64,
    /// The call.
    pub call: Call,
}

/// The calls of [`compare`](super::compare). Instead of searching for the ends of an interval, the
/// likelihood is asked whether the worthwhile ratio lies outside it. The lead is that of
/// `settings`, the model's where none is stated.
///
/// # Errors
/// As [`compare`](super::compare).
pub fn told(
    table: &PlotTable,
    question: &Question,
    settings: &Settings,
) -> Result<Vec<Told>, Error> {
    table.check()?;
    let offset = table.offset();
    let matrix = table.treatments()?;
    let model = Marginal::new(table, &offset, &matrix)?;
    let full = model.fit(None, None);
    let calibration = calibration(table)?;
    let testable = calibration.df >= 1.0;
    let df = calibration.df.max(1.0);
    let treatments = table.treatment.levels.len() - 1;
    let profile = |column| Profile::new(&model, &full, column, calibration);
    let lambda = lambda(table)?;
    let p = match (&settings.scheme, settings.lead) {
        (Some(scheme), Some(Lead::Randomisation)) => {
            let scores = scores(table, &offset)?;
            let labels = &table.treatment.codes;
            against_control(&scores, labels, scheme, &settings.randomisation)?.p_adjusted
        }
        _ if testable => {
            let t: Vec<f64> = (1..=treatments).map(|c| profile(c).t(0.0)).collect();
            dunnett::p_values(&t, &lambda, df, Sided::Two)?
        }
        _ => vec![1.0; treatments],
    };
    let bound = dunnett::critical(question.alpha, &lambda, df, Sided::Two)?;
    let worth = question.worthwhile_ratio.ln();
    Ok(p.into_iter()
        .enumerate()
        .map(|(at, p)| {
            let ratio = ratio(table, &full, at + 1);
            let short = ratio.is_some_and(|r| match question.better {
                Better::Fewer => r > question.worthwhile_ratio,
                Better::More => r < question.worthwhile_ratio,
            });
            let call = if p <= question.alpha {
                if question.is_good(ratio.unwrap_or(1.0)) {
                    Call::BeatTheControl
                } else {
                    Call::DidWorse
                }
            } else if testable && short && profile(at + 1).t(worth) > bound {
                Call::TooSmallToMatter
            } else {
                Call::CannotTell
            };
            Told { ratio, p, call }
        })
        .collect())
}
