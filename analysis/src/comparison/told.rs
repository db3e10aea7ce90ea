//! The calls alone, without intervals: a tenth of the work, for repeating a comparison many times.

use serde::Serialize;

use super::compare::{Settings, lambda, p_model};
use super::headline::Headline;
use super::lead::Lead;
use super::plot_table::PlotTable;
use super::strata::{self, Strata};
use super::verdict::{Call, Question};
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
/// test is asked whether the worthwhile ratio lies outside it. The lead is that of
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
    let strata = Strata::new(table);
    let headline = Headline::new(table, &offset, &matrix, &strata)?;
    let lambda = lambda(table)?;
    let against: Vec<strata::Told> = (1..table.treatment.levels.len())
        .map(|j| headline.against(j, 0.0))
        .collect();
    let p: Vec<f64> = match (&settings.scheme, settings.lead) {
        (Some(scheme), Some(Lead::Randomisation)) => {
            let scores = Headline::scores(table, &offset)?;
            let labels = &table.treatment.codes;
            against_control(&scores, labels, scheme, &settings.randomisation)?.p_adjusted
        }
        _ => p_model(&headline, &against, &lambda)?
            .iter()
            .map(|p| p.1)
            .collect(),
    };
    let mut out = Vec::with_capacity(p.len());
    for (j, (&p, against)) in p.iter().zip(&against).enumerate() {
        let found = p <= question.alpha;
        let bound = if found || against.df < 1.0 {
            f64::INFINITY
        } else {
            dunnett::critical(question.alpha, &lambda, against.df, Sided::Two)?
        };
        let matters = headline.reach(j + 1, question, found, bound);
        let ratio = headline.ratio(j + 1);
        let call = question.call(found, ratio.unwrap_or(1.0), matters);
        out.push(Told { ratio, p, call });
    }
    Ok(out)
}
