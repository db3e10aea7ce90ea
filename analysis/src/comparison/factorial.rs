//! Factorial treatments: the main effect of each factor over the levels of the others, and their interactions.
//!
//! **Question.** Each factor's own: by what ratio does a level change the mean count against the first level (do
//! nothing), whatever the other factors were set to? And does that ratio depend on them?
//!
//! **In.** A [`PlotTable`] whose treatments are the combinations of the factors' levels, and each plot's level of
//! every factor. **Out.** A [`Contrast`] for every level of every factor, and an [`Interaction`] for every two factors.
//!
//! **Effect.** The ratio of mean counts, level to first level, averaged on the log scale over all combinations of the other
//! factors, each with the same weight (Yates 1937, "The Design and Analysis of Factorial Experiments", Imperial
//! Bureau of Soil Science, Technical Communication 35). Half or more of all plots stand on either side, which is why
//! factors are crossed. Where a combination is empty its log mean does not exist; the ratios are then those of a model
//! in which the factors multiply.
//!
//! **Tests.** Those of [`compare`](super::compare), with the treatments coded so that one coefficient is the effect: the same
//! transformation, the error of the stratum in which the design sets that factor (whole plots or plots), the
//! same exact conditional guard, on the totals of the levels. Randomisation: within each block, plots that agree in
//! all other factors change places, which is exact whatever those do; where allocations are listed or sampled whole, all treatments
//! are drawn again, which is exact if none of them does anything.
//!
//! **Several factors** share alpha equally (Bonferroni): the factor's tests and intervals are made at alpha over
//! the number of factors, and several levels of one factor are adjusted for as several treatments are.
//!
//! **Interactions** are description: p and interval of each alone, no verdict. p is never below what the exact conditional test of
//! the four totals gives (Fisher 1935, JRSS 98:39-82; one-sided mid-p, doubled).
//!
//! **When not to use it.** Where not every combination was counted.

use std::sync::Arc;

use serde::Serialize;

use super::compare::{Contrast, Settings, contrasts, primary};
use super::contrast_test::ContrastTest;
use super::factor_coding::{combined, main_effect, main_effects_alone, matrix, others, values};
use super::interaction::{Interaction, interactions_of};
use super::model_test::ModelTest;
use super::plot_table::PlotTable;
use super::prepared_test::{EvaluatedContrast, PreparedTest};
use super::primary_test::PrimaryTest;
use super::strata::Strata;
use super::verdict::Question;
use crate::Error;
use crate::counts::{Factor, ModelMatrix};
use crate::randomisation::{Allocations, Scheme, against_control};
use crate::results::Caution;

/// A level of a factor against the factor's first level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MainEffect {
    /// Name of the factor.
    pub factor: String,
    /// The first level, against which it stands.
    pub against: String,
    /// The primary test that decided it.
    pub primary_test: PrimaryTest,
    /// The comparison, its `treatment` the name of the level; adjusted p-values are adjusted for all levels of all factors.
    pub contrast: Contrast,
}

/// All that a factorial trial says of its factors.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Factorial {
    /// Every level of every factor but the first, in order.
    pub main_effects: Vec<MainEffect>,
    /// Every two factors, and every two of their levels but the first.
    pub interactions: Vec<Interaction>,
    /// Error rate of each factor: alpha over the number of factors.
    pub alpha_of_each: f64,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

/// The main effects and interactions of `factors`; `settings.scheme` lists or shuffles the treatments of `table`.
///
/// # Errors
/// What [`compare`](super::compare) refuses; fewer than two factors; a combination of levels without a plot; plots of
/// one treatment whose levels differ.
pub fn factorial(
    table: &PlotTable,
    factors: &[Factor],
    question: &Question,
    settings: &Settings,
) -> Result<Factorial, Error> {
    table.check()?;
    check(table, factors)?;
    let each = of_each(question, factors);
    let empty = table.totals().contains(&0);
    let mut main_effects = Vec::new();
    for at in 0..factors.len() {
        main_effects.extend(main_effects_of(table, factors, at, &each, settings)?);
    }
    let mut interactions = Vec::new();
    for first in 0..factors.len() {
        for second in first + 1..factors.len() {
            interactions.extend(interactions_of(
                table,
                factors,
                [first, second],
                question.alpha,
            )?);
        }
    }
    Ok(Factorial {
        main_effects,
        interactions,
        alpha_of_each: each.alpha,
        cautions: cautions(empty && table.totals().iter().any(|&t| t > 0)),
    })
}

fn cautions(multiply: bool) -> Vec<Caution> {
    let said = "nothing was found under one of the combinations, so that its logarithm does not exist: the ratios of the \
                factors are those of a model in which the factors multiply";
    let caution = multiply.then(|| Caution::new("factors-multiply", said));
    caution.into_iter().collect()
}

/// Refuses factors that do not make the treatments of the table.
fn check(table: &PlotTable, factors: &[Factor]) -> Result<(), Error> {
    let refuse = |found: String, accepted: &str, next: &str| {
        Err(Error::new("factors", found, accepted, next))
    };
    if factors.len() < 2 {
        return refuse(
            format!("{} factors", factors.len()),
            "a factorial comparison needs two or more",
            "compare the treatments instead",
        );
    }
    let plots = table.counts.len();
    if factors.iter().any(|f| f.codes.len() != plots) {
        return refuse(
            "a level for some plots only".to_owned(),
            "every plot needs a level of every factor",
            "give every plot its levels",
        );
    }
    let all: Vec<&Factor> = factors.iter().collect();
    let combination = combined(&all, plots);
    let treatments = table.treatment.levels.len();
    let mut of_treatment = vec![None; treatments];
    for (&treatment, &code) in table.treatment.codes.iter().zip(&combination.codes) {
        if *of_treatment[treatment].get_or_insert(code) != code {
            return refuse(
                format!(
                    "treatment {} with different levels",
                    table.treatment.levels[treatment]
                ),
                "a treatment is one combination of levels",
                "give each combination a treatment of its own",
            );
        }
    }
    of_treatment.sort_unstable();
    of_treatment.dedup();
    if of_treatment.len() != treatments || combination.levels.len() != treatments {
        return refuse(
            format!(
                "{treatments} treatments for {} combinations of levels",
                combination.levels.len()
            ),
            "every combination must be a treatment of its own with plots",
            "compare the treatments instead",
        );
    }
    Ok(())
}

/// A factor ready to be compared: its levels take the place of the treatments, each with its own coefficient.
struct Coded {
    by_level: PlotTable,
    matrix: ModelMatrix,
    strata: Strata,
    /// The other factors.
    beside: Factor,
}

impl Coded {
    fn new(table: &PlotTable, factors: &[Factor], at: usize) -> Result<Self, Error> {
        let factor = &factors[at];
        let others = others(factors, &[at]);
        let beside = combined(&others, table.counts.len());
        let full = main_effect(factor, &beside);
        // The error is that of the design, whatever was counted.
        let strata = Strata::with_columns(table, &values(&full));
        let columns = if table.totals().contains(&0) {
            main_effects_alone(factor, &others)
        } else {
            full
        };
        Ok(Self {
            by_level: PlotTable {
                treatment: factor.clone(),
                ..table.clone()
            },
            matrix: matrix(table, &columns)?,
            strata,
            beside,
        })
    }
}

fn main_effects_of(
    table: &PlotTable,
    factors: &[Factor],
    at: usize,
    question: &Question,
    settings: &Settings,
) -> Result<Vec<MainEffect>, Error> {
    let factor = &factors[at];
    let coded = Coded::new(table, factors, at)?;
    let offset = table.offset();
    let model_test = ModelTest::new(&coded.by_level, &offset, &coded.matrix, &coded.strata)?;
    let randomisation = match &settings.scheme {
        Some(scheme) => Some(against_control(
            &ModelTest::scores(table, &offset)?,
            &factor.codes,
            &exchanges(table, factor, &coded.beside, scheme)?,
            &settings.randomisation,
        )?),
        None => None,
    };
    let primary = primary(table, randomisation.as_ref(), settings, question);
    let differences: Vec<ContrastTest> = (1..factor.levels.len())
        .map(|j| model_test.contrast(j, 0.0))
        .collect();
    let found = contrasts(
        &model_test,
        question,
        primary,
        randomisation.as_ref(),
        &differences,
    )?;
    let effect = |contrast: Contrast| MainEffect {
        factor: factor.name.clone(),
        against: factor.levels[0].clone(),
        primary_test: primary,
        contrast: Contrast {
            p_model_adjusted: over_all(factors, contrast.p_model_adjusted),
            p_randomisation_adjusted: contrast
                .p_randomisation_adjusted
                .map(|p| over_all(factors, p)),
            ..contrast
        },
    };
    Ok(found.into_iter().map(effect).collect())
}

/// A factor's p, adjusted for there being several (Bonferroni).
fn over_all(factors: &[Factor], p: f64) -> f64 {
    (p * factors.len() as f64).min(1.0)
}

/// The primary test of every main effect, in order, without its interval: for a tenth of the work.
///
/// # Errors
/// As [`factorial`].
pub fn evaluate_main_effects(
    table: &PlotTable,
    factors: &[Factor],
    question: &Question,
    settings: &Settings,
) -> Result<Vec<EvaluatedContrast>, Error> {
    table.check()?;
    check(table, factors)?;
    let question = of_each(question, factors);
    let mut found = Vec::new();
    for (at, factor) in factors.iter().enumerate() {
        let coded = Coded::new(table, factors, at)?;
        let scheme = settings.scheme.as_ref();
        let settings = Settings {
            scheme: scheme
                .map(|s| exchanges(table, factor, &coded.beside, s))
                .transpose()?,
            ..settings.clone()
        };
        let Coded {
            by_level,
            matrix,
            strata,
            ..
        } = coded;
        let test = PreparedTest::with_coding(by_level, matrix, strata, question, settings)?;
        found.extend(test.evaluate()?.into_iter().map(|c| EvaluatedContrast {
            p: over_all(factors, c.p),
            ..c
        }));
    }
    Ok(found)
}

/// The question of one factor, which has its share of alpha.
fn of_each(question: &Question, factors: &[Factor]) -> Question {
    Question {
        alpha: question.alpha / factors.len() as f64,
        ..*question
    }
}

/// What may change places if a factor does nothing.
fn exchanges(
    table: &PlotTable,
    factor: &Factor,
    beside: &Factor,
    scheme: &Scheme,
) -> Result<Scheme, Error> {
    let level_of = levels_of_treatments(table, factor);
    let anew = |drawn: &Allocations| drawn.renumbered(&level_of).map(Arc::new);
    Ok(match scheme {
        Scheme::Within(groups) => {
            let alike = groups.iter().flat_map(|group| {
                (0..beside.levels.len()).map(|code| {
                    let plots = group.iter().copied();
                    plots.filter(|&p| beside.codes[p] == code).collect()
                })
            });
            Scheme::Within(alike.filter(|g: &Vec<usize>| !g.is_empty()).collect())
        }
        Scheme::Listed(all) => Scheme::Listed(anew(all)?),
        // What a treatment can reach says nothing of a level that several treatments share.
        Scheme::Sampled { drawn, total, .. } => Scheme::Sampled {
            smallest_p: Vec::new(),
            drawn: anew(drawn)?,
            total: *total,
        },
    })
}

/// Level of a factor under each treatment.
fn levels_of_treatments(table: &PlotTable, factor: &Factor) -> Vec<usize> {
    let mut levels = vec![0; table.treatment.levels.len()];
    for (&treatment, &level) in table.treatment.codes.iter().zip(&factor.codes) {
        levels[treatment] = level;
    }
    levels
}
