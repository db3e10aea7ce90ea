//! Every occasion from the main one, each judged like it.

use halfgreen_analysis::comparison::{Call, Contrast, PrimaryTest, Settings, compare};
use serde::Serialize;

use super::judge::{settings, verdict_sentence};
use super::tested_ratio::{TestedRatio, finite, primary_p};
use super::wording::{change, range};
use crate::trial_data::TrialData;
use crate::trial_data::plot_table::table;
use crate::{Error, Warning};

/// A method on one occasion.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OccasionRow {
    /// Occasion.
    pub occasion: String,
    /// Method.
    pub treatment: String,
    /// Its ratio to the control; p are adjusted for several methods, `p_on_page` for all that
    /// the page tests.
    #[serde(flatten)]
    pub tested: TestedRatio,
    /// The call; null where the occasion is told as description.
    pub call: Option<Call>,
    /// In plain words.
    pub sentence: String,
}

/// Every occasion from the main one, judged alike.
pub(super) fn occasions(
    data: &TrialData,
    primary_test: PrimaryTest,
    whole: &[Contrast],
    seed: u64,
    warnings: &mut Vec<Warning>,
) -> Vec<OccasionRow> {
    if data.secondary.follow_ups.is_empty() {
        return Vec::new();
    }
    let mut rows = rows(data, data.main_occasion(), primary_test, whole);
    for row in &mut rows {
        row.tested.on_page(row.tested.p, data.question.alpha);
    }
    for visit in &data.secondary.follow_ups {
        let settings = Settings {
            primary_test: Some(primary_test),
            ..settings(&visit.data, seed)
        };
        match compare(&table(&visit.data), &data.question, &settings) {
            Ok(found) => rows.extend(self::rows(
                &visit.data,
                &visit.occasion,
                found.primary_test,
                &found.contrasts,
            )),
            Err(refused) => warnings.push(not_judged(&visit.occasion, &refused.into())),
        }
    }
    rows
}

fn not_judged(occasion: &str, refused: &Error) -> Warning {
    Warning::at(
        "occasion-not-judged",
        format!("{}; {}", refused.what, refused.cure),
        format!("occasion {occasion}"),
    )
}

fn rows(
    data: &TrialData,
    occasion: &str,
    primary_test: PrimaryTest,
    contrasts: &[Contrast],
) -> Vec<OccasionRow> {
    contrasts
        .iter()
        .map(|c| OccasionRow {
            occasion: occasion.to_owned(),
            treatment: c.treatment.clone(),
            tested: TestedRatio {
                ratio: c.ratio.and_then(finite),
                low: finite(c.interval.low),
                high: finite(c.interval.high),
                p: primary_p(primary_test, c.p_model_adjusted, c.p_randomisation_adjusted),
                p_model: c.p_model,
                p_model_adjusted: c.p_model_adjusted,
                p_randomisation: c.p_randomisation.map(|p| p.value),
                p_randomisation_adjusted: c.p_randomisation_adjusted,
                p_on_page: None,
                finding: false,
            },
            call: Some(c.call),
            sentence: verdict_sentence(data, primary_test, c),
        })
        .collect()
}

/// Takes the call from every later occasion that is no finding, and tells it as description.
pub(super) fn describe_the_rest(data: &TrialData, rows: &mut [OccasionRow]) {
    let main = data.main_occasion();
    let rest = rows.iter_mut();
    for row in rest.filter(|row| row.occasion != main && !row.tested.finding) {
        row.call = None;
        row.sentence = description(data, &row.treatment, &row.tested);
    }
}

/// A ratio to the control without a verdict.
fn description(data: &TrialData, treatment: &str, tested: &TestedRatio) -> String {
    let (method, control) = (data.name_of(treatment), &data.names[0]);
    let counted = &data.counted;
    match tested.ratio {
        None => {
            format!("no {counted} on one side of {method} or {control}: no ratio can be given.")
        }
        Some(ratio) => format!(
            "{method} against {control}: {} {counted} (likely between {}); a description, not a verdict.",
            change(Some(ratio)),
            range(tested.low.unwrap_or(0.0), tested.high)
        ),
    }
}
