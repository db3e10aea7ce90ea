//! Whether the effect follows what trials differ in: soil, month, night temperature, wetness.

use std::collections::BTreeSet;

use halfgreen_analysis::meta_analysis::{Effect, MetaRegression, PoolOptions, meta_regression};
use halfgreen_analysis::multiplicity::holm;
use ndarray::Array2;
use serde::Serialize;

use super::TrialEffect;
use crate::text::spelling::number;

/// One thing that trials differ in, asked by itself.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ModeratorRow {
    /// Its name.
    pub moderator: String,
    /// Trials that tell it.
    pub trials: usize,
    /// The level the others are compared with, where it has levels; null for a number.
    pub reference: Option<String>,
    /// The ratio of ratios for one unit of a number, or for each level against the reference.
    pub levels: Vec<LevelRow>,
    /// p of no difference, for this thing alone; null where it cannot be asked.
    pub p: Option<f64>,
    /// The same for all things asked together (Holm).
    pub p_adjusted: Option<f64>,
    /// Share of the variance between trials that it takes up, per cent; null where there is none.
    pub r2: Option<f64>,
    /// Variance between trials that is left.
    pub tau2: Option<f64>,
    /// What was found, or why it cannot be asked.
    pub sentence: String,
}

/// One level, or one unit of a number.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LevelRow {
    /// The level; "per unit" for a number.
    pub level: String,
    /// Effect here less effect at the reference, on the log scale.
    pub difference: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// Levels of which a thing may have at most; more are names and not kinds of ground.
const MOST_LEVELS: usize = 12;

/// Each thing asked, by itself.
pub(super) fn moderators(
    trials: &[&TrialEffect],
    effects: &[Effect],
    asked: &[String],
    options: &PoolOptions,
) -> Vec<ModeratorRow> {
    let mut rows: Vec<ModeratorRow> = (asked.iter())
        .map(|name| row(trials, effects, name, options))
        .collect();
    adjust(&mut rows);
    for row in &mut rows {
        if let Some(p) = row.p_adjusted {
            row.sentence = told(row, p, 1.0 - options.level);
        }
    }
    rows
}

/// The columns of a moderator, and what they stand for.
struct Coded {
    columns: Array2<f64>,
    names: Vec<String>,
    reference: Option<String>,
}

fn row(
    trials: &[&TrialEffect],
    effects: &[Effect],
    name: &str,
    options: &PoolOptions,
) -> ModeratorRow {
    let told: Vec<(&Effect, &str)> = (trials.iter().zip(effects))
        .filter_map(|(t, e)| Some((e, value(t, name)?)))
        .collect();
    let mut row = ModeratorRow {
        moderator: name.to_owned(),
        trials: told.len(),
        reference: None,
        levels: Vec::new(),
        p: None,
        p_adjusted: None,
        r2: None,
        tau2: None,
        sentence: String::new(),
    };
    let values: Vec<&str> = told.iter().map(|(_, value)| *value).collect();
    let effects: Vec<Effect> = told.iter().map(|(effect, _)| **effect).collect();
    let found = coded(&values).and_then(|coded| {
        let found = meta_regression(&effects, coded.columns.view(), options);
        let found = found.map_err(|e| format!("{}: {}", e.what, e.accepted))?;
        Ok((coded, found))
    });
    match found {
        Ok((coded, found)) => fill(&mut row, coded, &found),
        Err(why) => row.sentence = format!("{name} cannot be asked: {why}."),
    }
    row
}

/// What a trial says of a thing; capitals of its name do not matter.
fn value<'t>(trial: &'t TrialEffect, name: &str) -> Option<&'t str> {
    let wanted = name.trim().to_lowercase();
    let mut known = trial.moderators.iter();
    let found = known.find(|(key, _)| key.to_lowercase() == wanted);
    found.map(|(_, value)| value.as_str())
}

/// A column of numbers where all values are numbers, else one of 0 and 1 for each level but the most frequent.
fn coded(values: &[&str]) -> Result<Coded, String> {
    let trials = values.len();
    if trials == 0 {
        return Err("no trial tells it".to_owned());
    }
    let numbers: Option<Vec<f64>> = (values.iter())
        .map(|v| v.parse().ok().filter(|x: &f64| x.is_finite()))
        .collect();
    if let Some(numbers) = numbers {
        return Ok(Coded {
            columns: Array2::from_shape_fn((trials, 1), |(i, _)| numbers[i]),
            names: vec!["per unit".to_owned()],
            reference: None,
        });
    }
    let levels: BTreeSet<&str> = values.iter().copied().collect();
    if levels.len() > MOST_LEVELS {
        return Err(format!("it has {} levels in {trials} trials", levels.len()));
    }
    let times = |level: &str| values.iter().filter(|v| **v == level).count();
    let reference = (levels.iter().rev().max_by_key(|l| times(l))).map_or("", |l| *l);
    let others: Vec<&str> = levels.iter().copied().filter(|l| *l != reference).collect();
    if others.is_empty() {
        return Err(format!("it is {reference} in all trials"));
    }
    Ok(Coded {
        columns: Array2::from_shape_fn((trials, others.len()), |(i, j)| {
            f64::from(u8::from(values[i] == others[j]))
        }),
        names: others.iter().map(|l| (*l).to_owned()).collect(),
        reference: Some(reference.to_owned()),
    })
}

fn fill(row: &mut ModeratorRow, coded: Coded, found: &MetaRegression) {
    let slopes = found.coefficients.iter().skip(1).zip(coded.names);
    row.levels = slopes
        .map(|(slope, level)| LevelRow {
            level,
            difference: slope.estimate,
            low: slope.low,
            high: slope.high,
        })
        .collect();
    row.reference = coded.reference;
    row.p = Some(found.f_p);
    row.r2 = found.r2;
    row.tau2 = Some(found.tau2);
}

/// Adjusts over all things that could be asked.
fn adjust(rows: &mut [ModeratorRow]) {
    let p: Vec<f64> = rows.iter().filter_map(|row| row.p).collect();
    let asked = rows.iter_mut().filter(|row| row.p.is_some());
    for (row, adjusted) in asked.zip(holm(&p)) {
        row.p_adjusted = Some(adjusted);
    }
}

/// What was found, in words.
fn told(row: &ModeratorRow, p: f64, alpha: f64) -> String {
    let trials = number(row.trials, "trial");
    let name = &row.moderator;
    if p <= alpha {
        format!(
            "The effect goes with {name} in {trials}. Clubs were not drawn for it, so that something else that goes with {name} \
             may be the cause."
        )
    } else {
        format!(
            "Whether the effect goes with {name} cannot be told from {trials}; that it does not is not shown."
        )
    }
}
