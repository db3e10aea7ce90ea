//! What is answered beside the verdict.

use halfgreen_analysis::comparison::Comparison;

use super::as_treated::{self, AsTreated};
use super::bounds;
use super::efficacy::{Efficacy, efficacy};
use super::factors::Factors;
use super::judge::verdicts_of;
use super::occasions::{OccasionRow, describe_the_rest, occasions};
use super::one_page::{Gate, SecondAnswers};
use super::over_time::{
    ChangeRow, TreatmentByOccasionRow, change_from_baseline, tell, treatment_by_occasion,
};
use super::threshold::{self, OccasionMeans};
use crate::threshold::Beside;
use crate::trial_data::TrialData;
use crate::{Error, Warning};

/// Answers beside the verdict, and what they warn of.
pub(super) struct Secondary {
    pub(super) occasions: Vec<OccasionRow>,
    pub(super) change_from_baseline: Option<Vec<ChangeRow>>,
    pub(super) treatment_by_occasion: Option<TreatmentByOccasionRow>,
    pub(super) efficacy: Efficacy,
    pub(super) as_treated: Option<AsTreated>,
    pub(super) threshold: Option<Beside>,
    pub(super) warnings: Vec<Warning>,
}

/// All answers are told as `gate` and Holm's method leave them: as findings or as description. `with_before` has the counts before treatment where they can be told from the treatments.
pub(super) fn secondary(
    data: &TrialData,
    with_before: &TrialData,
    (found, factors): (&Comparison, Option<&Factors>),
    gate: Gate,
    seed: u64,
) -> Result<Secondary, Error> {
    let mut warnings = Vec::new();
    let main = data.secondary.main.clone();
    let mut means: Vec<OccasionMeans> = vec![(main, bounds::means(data, found))];
    let primary_test = found.primary_test;
    let mut occasions = occasions(
        data,
        primary_test,
        (&found.contrasts, factors),
        seed,
        (&mut means, &mut warnings),
    );
    let baseline = change_from_baseline(with_before, primary_test, seed);
    let mut baseline = said(baseline, &mut warnings);
    let by_occasion = treatment_by_occasion(data, primary_test, seed);
    let mut by_occasion = said(by_occasion, &mut warnings);
    SecondAnswers {
        later: (occasions.iter_mut())
            .filter(|row| row.occasion != data.main_occasion())
            .collect(),
        since_before: baseline.iter_mut().flatten().collect(),
        lasted: by_occasion.as_mut(),
    }
    .settle(gate, primary_test);
    describe_the_rest(data, &mut occasions);
    tell(data, baseline.as_mut(), by_occasion.as_mut());
    let efficacy = efficacy(with_before)?;
    warnings.extend(efficacy.without_value());
    let as_treated = data.secondary.as_treated.as_ref();
    let as_drawn = verdicts_of(data, found, factors);
    Ok(Secondary {
        occasions,
        change_from_baseline: baseline,
        treatment_by_occasion: by_occasion,
        efficacy,
        threshold: threshold::beside(data, &means),
        as_treated: as_treated.map(|treated| as_treated::judged(treated, &as_drawn, &mut warnings)),
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
