//! What is answered beside the verdict.

use halfgreen_analysis::comparison::Comparison;

use super::as_treated::{self, AsTreated};
use super::efficacy::{Efficacy, efficacy};
use super::factors::Factors;
use super::occasions::{OccasionRow, occasions};
use super::over_time::{
    ChangeRow, TreatmentByOccasionRow, change_from_baseline, treatment_by_occasion,
};
use crate::trial_data::TrialData;
use crate::{Error, Warning};

/// Answers beside the verdict, and what they warn of.
pub(super) struct Secondary {
    pub(super) occasions: Vec<OccasionRow>,
    pub(super) change_from_baseline: Option<Vec<ChangeRow>>,
    pub(super) treatment_by_occasion: Option<TreatmentByOccasionRow>,
    pub(super) efficacy: Efficacy,
    pub(super) as_treated: Option<AsTreated>,
    pub(super) warnings: Vec<Warning>,
}

/// `with_before` has the counts before treatment where they can be told from the treatments.
pub(super) fn secondary(
    data: &TrialData,
    with_before: &TrialData,
    (found, factors): (&Comparison, Option<&Factors>),
    seed: u64,
) -> Result<Secondary, Error> {
    let mut warnings = Vec::new();
    let primary_test = found.primary_test;
    let occasions = occasions(
        data,
        primary_test,
        (&found.contrasts, factors),
        seed,
        &mut warnings,
    );
    let baseline = change_from_baseline(with_before, primary_test, seed);
    let baseline = said(baseline, &mut warnings);
    let by_occasion = treatment_by_occasion(data, primary_test, seed);
    let by_occasion = said(by_occasion, &mut warnings);
    let efficacy = efficacy(with_before)?;
    warnings.extend(efficacy.without_value());
    let as_treated = data.secondary.as_treated.as_ref();
    Ok(Secondary {
        occasions,
        change_from_baseline: baseline,
        treatment_by_occasion: by_occasion,
        efficacy,
        as_treated: as_treated.map(|treated| as_treated::judged(treated, &mut warnings)),
        warnings,
    })
}

/// A second answer that cannot be had is a warning, never a refusal of the whole.
fn said<T>(found: Result<Option<T>, Error>, warnings: &mut Vec<Warning>) -> Option<T> {
    found.unwrap_or_else(|refused| {
        warnings.push(Warning::at(
            "not-compared-over-time",
            format!("{}; {}", refused.what, refused.cure),
            refused.place,
        ));
        None
    })
}
