//! Every occasion from the main one, each judged like it.

use halfgreen_analysis::comparison::{Call, Contrast, PrimaryTest, Settings, compare};
use serde::Serialize;

use super::bounds;
use super::factors::{self, Factors};
use super::judge::{settings, verdict_sentence};
use super::tested_ratio::{TestedRatio, finite, primary_p};
use super::threshold::OccasionMeans;
use crate::text::rounding::Changes;
use crate::trial_data::plot_table::table;
use crate::trial_data::{OccasionCounts, TrialData};
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

/// Every occasion from the main one, judged alike; the means of later ones join `means`.
pub(super) fn occasions(
    data: &TrialData,
    primary_test: PrimaryTest,
    (whole, factors): (&[Contrast], Option<&Factors>),
    seed: u64,
    (means, warnings): (&mut Vec<OccasionMeans>, &mut Vec<Warning>),
) -> Vec<OccasionRow> {
    if data.secondary.follow_ups.is_empty() {
        return Vec::new();
    }
    let mut rows = match factors {
        Some(factors) => of_factors(data.main_occasion(), primary_test, factors),
        None => rows(data, data.main_occasion(), primary_test, whole),
    };
    for row in &mut rows {
        row.tested.on_page(row.tested.p, data.question.alpha);
    }
    for visit in &data.secondary.follow_ups {
        let settings = Settings {
            primary_test: Some(primary_test),
            ..settings(&visit.data, seed)
        };
        match judged(visit, primary_test, &settings, means) {
            Ok(found) => rows.extend(found),
            Err(refused) => warnings.push(not_judged(&visit.occasion, &refused)),
        }
    }
    rows
}

/// One later occasion.
fn judged(
    visit: &OccasionCounts,
    primary_test: PrimaryTest,
    settings: &Settings,
    means: &mut Vec<OccasionMeans>,
) -> Result<Vec<OccasionRow>, Error> {
    let (data, on) = (&visit.data, &visit.occasion);
    let table = table(data);
    if let Some(factors) = factors::judged(data, &table, primary_test, settings)? {
        return Ok(of_factors(on, primary_test, &factors));
    }
    let found = compare(&table, &data.question, settings)?;
    means.push((Some(on.clone()), bounds::means(data, &found)));
    Ok(rows(data, on, found.primary_test, &found.contrasts))
}

fn not_judged(occasion: &str, refused: &Error) -> Warning {
    Warning::at(
        "occasion-not-judged",
        format!("{}; {}", refused.what, refused.cure),
        format!("occasion {occasion}"),
    )
}

fn of_factors(occasion: &str, primary_test: PrimaryTest, factors: &Factors) -> Vec<OccasionRow> {
    let pairs = factors.contrasts().zip(&factors.rows);
    pairs
        .map(|(c, row)| tested(occasion, primary_test, c, row.sentence.clone()))
        .collect()
}

fn rows(
    data: &TrialData,
    occasion: &str,
    primary_test: PrimaryTest,
    contrasts: &[Contrast],
) -> Vec<OccasionRow> {
    let sentence = |c| verdict_sentence(data, primary_test, c);
    contrasts
        .iter()
        .map(|c| tested(occasion, primary_test, c, sentence(c)))
        .collect()
}

fn tested(
    occasion: &str,
    primary_test: PrimaryTest,
    c: &Contrast,
    sentence: String,
) -> OccasionRow {
    OccasionRow {
        occasion: occasion.to_owned(),
        treatment: c.treatment.clone(),
        tested: TestedRatio {
            ratio: c.ratio.and_then(finite),
            low: finite(c.interval.low),
            high: finite(c.interval.high),
            confidence_level: c.interval.level,
            p: primary_p(primary_test, c.p_model_adjusted, c.p_randomisation_adjusted),
            p_model: c.p_model,
            p_model_adjusted: c.p_model_adjusted,
            p_randomisation: c.p_randomisation.map(|p| p.value),
            p_randomisation_adjusted: c.p_randomisation_adjusted,
            p_on_page: None,
            finding: false,
        },
        call: Some(c.call),
        sentence,
    }
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
    let (method, control) = compared(data, treatment);
    let counted = &data.counted;
    match tested.ratio {
        None => {
            format!("no {counted} on one side of {method} or {control}: no ratio can be given.")
        }
        Some(ratio) => {
            let told = Changes::of(Some(ratio), tested.low, tested.high);
            let change = match ratio {
                1.0 => "just as many".to_owned(),
                ratio => told.change(ratio),
            };
            format!(
                "{method} against {control}: {change} {counted} (likely between {}); a description, not a verdict.",
                told.between(tested.low, tested.high)
            )
        }
    }
}

/// What is compared with what: a method with the control, or a level of a factor with its first.
fn compared(data: &TrialData, treatment: &str) -> (String, String) {
    let level = data.factors.iter().find_map(|f| {
        let at = 1 + f.codes.iter().position(|code| code == treatment)?;
        let named = |level: &String| format!("{} {level}", f.name);
        Some((named(f.levels.get(at)?), named(f.levels.first()?)))
    });
    level.unwrap_or_else(|| (data.name_of(treatment).to_owned(), data.names[0].clone()))
}
