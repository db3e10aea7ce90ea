//! Crossed factors: each factor's own verdict, and whether one depends on another.

use halfgreen_analysis::comparison::{
    Call, Contrast, Factorial, Interaction, MainEffect, PlotTable, PrimaryTest, Relevance,
    Settings, factorial,
};
use serde::Serialize;

use super::allowances::{Allowance, in_words};
use super::judge::{contrast_row, more, place};
use super::result::{ContrastRow, Verdict};
use super::tested_ratio::finite;
use super::wording::{Words, sentence};
use crate::Error;
use crate::design::Factor;
use crate::text::rounding::figure;
use crate::trial_data::TrialData;
use crate::trial_data::plot_table::factors;

/// A level of a factor against the factor's first level, over all levels of the other factors.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FactorRow {
    /// The factor.
    pub factor: String,
    /// Its level.
    pub level: String,
    /// Its first level, against which that stands.
    pub against: String,
    /// The comparison. `treatment` is the code of the level, `control` the name of the first one; adjusted p hold for all
    /// factors together, and so do the limits.
    #[serde(flatten)]
    pub contrast: ContrastRow,
    /// The call.
    pub call: Call,
    /// Whether the difference is worth having.
    pub relevance: Relevance,
    /// The verdict in plain words.
    pub sentence: String,
}

/// Whether the effect of one factor depends on another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InteractionRow {
    /// The two factors.
    pub factors: [String; 2],
    /// The level of each, beside their first levels.
    pub levels: [String; 2],
    /// Ratio of ratios: the first factor's under the level of the second, over that under the second's first
    /// level; null where a combination is empty.
    pub ratio: Option<f64>,
    /// Confidence level of the limits, for this ratio alone.
    pub confidence_level: f64,
    /// Lower limit; null where there is none.
    pub low: Option<f64>,
    /// Upper limit; null where there is none.
    pub high: Option<f64>,
    /// Student's t of the transformed counts; null where nothing scatters.
    pub t: Option<f64>,
    /// Its degrees of freedom.
    pub df: f64,
    /// p of t alone, no smaller than that of the exact conditional test of the four totals; description, no verdict.
    pub p_model: f64,
    /// In plain words.
    pub sentence: String,
}

/// What a factorial trial says of its factors.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Factors {
    pub(super) rows: Vec<FactorRow>,
    pub(super) interactions: Vec<InteractionRow>,
    pub(super) found: Factorial,
}

impl Factors {
    /// The verdicts, one for each level of each factor but the first.
    pub(super) fn verdicts(&self) -> Vec<Verdict> {
        let verdict = |row: &FactorRow| Verdict {
            treatment: row.contrast.treatment.clone(),
            call: row.call,
            relevance: row.relevance,
            sentence: row.sentence.clone(),
        };
        self.rows.iter().map(verdict).collect()
    }

    /// The comparisons behind the verdicts.
    pub(super) fn contrasts(&self) -> impl Iterator<Item = &Contrast> {
        self.found
            .main_effects
            .iter()
            .map(|effect| &effect.contrast)
    }
}

/// Main effects and interactions; `None` where treatments stand for themselves.
///
/// # Errors
/// What the comparison refuses.
pub(super) fn judged(
    data: &TrialData,
    table: &PlotTable,
    primary_test: PrimaryTest,
    settings: &Settings,
) -> Result<Option<Factors>, Error> {
    if data.factors.is_empty() {
        return Ok(None);
    }
    let settings = Settings {
        primary_test: Some(primary_test),
        ..settings.clone()
    };
    let found = factorial(table, &factors(data), &data.question, &settings)?;
    let rows = found.main_effects.iter();
    let family = found.main_effects.len();
    let rows = rows
        .filter_map(|effect| row(data, effect, family))
        .collect();
    let interactions = found.interactions.iter();
    let interactions = interactions.map(|i| interaction_row(data, i)).collect();
    Ok(Some(Factors {
        rows,
        interactions,
        found,
    }))
}

fn row(data: &TrialData, effect: &MainEffect, family: usize) -> Option<FactorRow> {
    let factor = data.factors.iter().find(|f| f.name == effect.factor)?;
    let c = &effect.contrast;
    let at = 1 + factor.codes.iter().position(|code| *code == c.treatment)?;
    let as_counted = data.level_ratio_as_counted(factor, at);
    let others = others(data, factor);
    let words = Words {
        method: &format!(
            "{} {} (over all levels of {others})",
            factor.name, factor.levels[at]
        ),
        control: &format!("{} {}", factor.name, factor.levels[0]),
        counted: &data.counted,
        primary_test: effect.primary_test,
        as_counted,
        more: more(data),
        place: &place(data),
        allowing: &format!("{others} and for {}", in_words(data, &[Allowance::Scatter])),
    };
    Some(FactorRow {
        factor: factor.name.clone(),
        level: factor.levels[at].clone(),
        against: factor.levels[0].clone(),
        contrast: ContrastRow {
            control: factor.levels[0].clone(),
            ratio_as_counted: as_counted.and_then(finite),
            ..contrast_row(data, (effect.primary_test, family), c)
        },
        call: c.call,
        relevance: c.relevance,
        sentence: sentence(words, &data.question, c),
    })
}

/// The other factors, in words.
fn others(data: &TrialData, but: &Factor) -> String {
    let others = data.factors.iter().filter(|f| f.name != but.name);
    let names: Vec<String> = others.map(|f| f.name.clone()).collect();
    names.join(" and ")
}

fn interaction_row(data: &TrialData, i: &Interaction) -> InteractionRow {
    let level = |factor: &str, code: &str| {
        let factor = data.factors.iter().find(|f| f.name == factor);
        let at = factor.and_then(|f| Some(1 + f.codes.iter().position(|c| c == code)?));
        let name = factor.zip(at).and_then(|(f, at)| f.levels.get(at));
        name.map_or(code, String::as_str).to_owned()
    };
    let levels = [0, 1].map(|at| level(&i.factors[at], &i.levels[at]));
    InteractionRow {
        sentence: interaction_sentence(data, i, &levels),
        factors: i.factors.clone(),
        levels,
        ratio: i.ratio.and_then(finite),
        confidence_level: i.interval.level,
        low: finite(i.interval.low),
        high: finite(i.interval.high),
        t: i.t,
        df: i.df,
        p_model: i.p,
    }
}

/// Description without a verdict: what was found, and whether the averages above may be read by themselves.
fn interaction_sentence(data: &TrialData, i: &Interaction, levels: &[String; 2]) -> String {
    let [first, second] = &i.factors;
    let [level, under] = levels;
    let Some(ratio) = i.ratio else {
        return format!(
            "Whether {first} {level} does as much with {second} {under} as without cannot be told: nothing was found under \
             one of the combinations."
        );
    };
    let high = finite(i.interval.high).map_or("any number of".to_owned(), figure);
    let range = format!("between {} and {high} times", figure(i.interval.low));
    let ratio = figure(ratio);
    if i.p <= data.question.alpha {
        format!(
            "{first} {level} did not do the same with {second} {under} as without: its ratio there is {ratio} times the other \
             (likely {range}). What is said of each factor is an average of unlike effects; see the means of the treatments."
        )
    } else {
        format!(
            "No sign that {first} {level} does more or less with {second} {under} than without: its ratio there is {ratio} times \
             the other, and may be anything {range}."
        )
    }
}
