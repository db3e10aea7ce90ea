//! Every occasion from the main one, each judged like it.

use halfgreen_analysis::comparison::{Call, Contrast, PrimaryTest, Settings, compare};
use serde::Serialize;

use super::judge::{settings, verdict_sentence};
use super::tested_ratio::{TestedRatio, finite, primary_p};
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
    /// Its ratio to the control; p are adjusted for several methods, not for several occasions.
    #[serde(flatten)]
    pub tested: TestedRatio,
    /// The call.
    pub call: Call,
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
                p_model: c.p_model_adjusted,
                p_randomisation: c.p_randomisation_adjusted,
            },
            call: c.call,
            sentence: verdict_sentence(data, primary_test, c),
        })
        .collect()
}
