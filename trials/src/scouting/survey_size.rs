//! How many cores this morning's survey takes for the precision wished.

use halfgreen_analysis::power::survey::{Precision, VarianceLaw, precision_of, sample_size};
use serde::Serialize;

use crate::Error;
use crate::text::spelling::number;

/// Cores for a survey, and what they give.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SurveySize {
    /// Cores to take.
    pub cores: usize,
    /// Before rounding up.
    pub cores_exact: f64,
    /// Standard error over the mean that they give, before the finite green is allowed for.
    pub standard_error: f64,
    /// What was wished, and as what D is measured.
    pub precision: Precision,
    /// Variance law.
    pub law: VarianceLaw,
    /// Mean per core that was expected.
    pub mean: f64,
}

impl SurveySize {
    /// The answer in a sentence, which says what the precision is measured as.
    #[must_use]
    pub fn sentence(&self) -> String {
        let percent = |share: f64| (1e5 * share).round() / 1e3;
        let wished = match self.precision {
            Precision::StandardError(d) => {
                format!("a standard error of {} % of the mean", percent(d))
            }
            Precision::HalfWidth { share, level } => format!(
                "an interval of {} % either side of the mean at {} % confidence",
                percent(share),
                percent(level)
            ),
        };
        format!(
            "{} {} {wished}, if the mean is {} a core.",
            number(self.cores, "core"),
            if self.cores == 1 { "gives" } else { "give" },
            self.mean
        )
    }
}

/// Area of the green and of a core, square metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Areas {
    /// Of the green.
    pub green_m2: f64,
    /// Of a core.
    pub core_m2: f64,
}

/// Cores for a survey; on a green of known size no more than it holds.
///
/// # Errors
/// A mean, precision or area not above 0; a law without variance.
pub fn survey_size(
    law: VarianceLaw,
    mean: f64,
    precision: Precision,
    areas: Option<Areas>,
) -> Result<SurveySize, Error> {
    let places = areas.map(|areas| areas.green_m2 / areas.core_m2);
    let cores_exact = sample_size(law, mean, precision, places)?;
    let whole = cores_exact.ceil().max(1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 1; the cast saturates"
    )]
    let cores = whole as usize;
    Ok(SurveySize {
        cores,
        cores_exact,
        standard_error: precision_of(law, mean, whole)?,
        precision,
        law,
        mean,
    })
}
