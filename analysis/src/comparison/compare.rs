//! Counts and question to ratios, intervals, p-values and calls.

use serde::Serialize;

use super::headline::{Headline, two_sided};
use super::lead::{Lead, lead};
use super::means::{self, TreatmentMean};
use super::plot_table::PlotTable;
use super::strata::{Difference, Strata};
use super::verdict::{Call, Matters, Question};
use crate::Error;
use crate::answers::{Caution, Interval, PValue};
use crate::multiplicity::{Sided, dunnett, lambda_from_replication};
use crate::randomisation::{Randomisation, RandomisationSettings, Scheme, against_control};

/// How to carry the comparison out.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Draws that the design allowed; `None` if treatments were not drawn at random.
    pub scheme: Option<Scheme>,
    /// The test that leads, fixed by the design; `None` decides by [`lead`] from the scheme.
    pub lead: Option<Lead>,
    /// How much to re-allocate, and the seed.
    pub randomisation: RandomisationSettings,
}

/// A treatment against the control.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Contrast {
    /// Name of the treatment.
    pub treatment: String,
    /// Ratio of mean counts, treatment to control; 0 for an empty treatment, infinite for an empty
    /// control, `None` where both are empty.
    pub ratio: Option<f64>,
    /// Interval of the ratio, all treatments together at 1 - alpha, agreeing with the leading test.
    pub interval: Interval,
    /// Student's t of the transformed counts, treatment less control; `None` where nothing scatters.
    pub t: Option<f64>,
    /// Its degrees of freedom; 0 where the ground cannot tell the treatment.
    pub df: f64,
    /// Chance that larvae scattered at random would lie as unevenly: one-sided, given the total.
    pub p_chance: f64,
    /// Model test alone: p of t, and never below half of `p_chance`.
    pub p_model: f64,
    /// Model test, adjusted (Dunnett).
    pub p_model_adjusted: f64,
    /// Re-allocation alone.
    pub p_randomisation: Option<PValue>,
    /// Re-allocation, adjusted (closed testing).
    pub p_randomisation_adjusted: Option<f64>,
    /// Smallest p-value that re-allocation could have given.
    pub smallest_p: Option<f64>,
    /// The verdict.
    pub call: Call,
    /// Whether the interval reaches the worthwhile ratio.
    pub matters: Matters,
}

/// The whole comparison.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// Which test leads.
    pub lead: Lead,
    /// Every treatment against the control.
    pub contrasts: Vec<Contrast>,
    /// Mean counts.
    pub means: Vec<TreatmentMean>,
    /// Degrees of freedom of the model test, the fewest of any treatment; 0 where none is possible.
    pub df: usize,
    /// k of the model with random ground; `None` at the Poisson limit.
    pub k: Option<f64>,
    /// Standard deviation of each grouping's effects on the log scale.
    pub sigma: Vec<f64>,
    /// The re-allocation test in full.
    pub randomisation: Option<Randomisation>,
    /// What the reader should know.
    pub cautions: Vec<Caution>,
}

/// Compares every treatment with the control.
///
/// # Errors
/// What [`PlotTable::check`] refuses, columns that determine each other, a scheme that does not fit
/// the plots.
pub fn compare(
    table: &PlotTable,
    question: &Question,
    settings: &Settings,
) -> Result<Comparison, Error> {
    table.check()?;
    let offset = table.offset();
    let matrix = table.treatments()?;
    let strata = Strata::new(table);
    let headline = Headline::new(table, &offset, &matrix, &strata)?;
    let randomisation = match &settings.scheme {
        Some(scheme) => Some(against_control(
            &Headline::scores(table, &offset)?,
            &table.treatment.codes,
            scheme,
            &settings.randomisation,
        )?),
        None => None,
    };
    let leading = match (&randomisation, settings.lead) {
        (None, _) => Lead::Model,
        (Some(_), Some(lead)) => lead,
        (Some(r), None) => lead(
            r.smallest_p.iter().copied().fold(0.0, f64::max),
            question.alpha,
        ),
    };
    let differences: Vec<Difference> = (1..table.treatment.levels.len())
        .map(|j| headline.against(j, 0.0))
        .collect();
    let contrasts = contrasts(
        &headline,
        question,
        leading,
        randomisation.as_ref(),
        &differences,
    )?;
    let full = &headline.full;
    Ok(Comparison {
        lead: leading,
        contrasts,
        means: means::of(table, question.alpha, &offset)?,
        df: fewest(&differences),
        k: (full.inverse_k > LIMIT).then(|| 1.0 / full.inverse_k),
        sigma: full.sigma.clone(),
        cautions: cautions(table, &headline, &differences),
        randomisation,
    })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "degrees of freedom, not negative, rounded down"
)]
fn fewest(differences: &[Difference]) -> usize {
    differences
        .iter()
        .map(|d| d.df)
        .reduce(f64::min)
        .unwrap_or(0.0) as usize
}

/// 1/k below this is the Poisson limit: at a thousand larvae a plot it adds a thousandth to the
/// variance, far below what any trial could tell.
const LIMIT: f64 = 1e-6;

/// Correlation of the contrasts, from their replication.
pub(super) fn lambda(table: &PlotTable) -> Result<Vec<f64>, Error> {
    let plots: Vec<f64> = table.replication().iter().map(|&n| n as f64).collect();
    lambda_from_replication(&plots[1..], plots[0])
}

/// p of the model test for every treatment, alone and adjusted.
pub(super) fn p_model(
    headline: &Headline<'_>,
    differences: &[Difference],
    lambda: &[f64],
) -> Result<Vec<(f64, f64)>, Error> {
    let t: Vec<f64> = differences.iter().map(Difference::t).collect();
    let mut out = Vec::with_capacity(differences.len());
    // Treatments mostly share their degrees of freedom, and then one table serves all.
    let mut last = (0.0, Vec::new());
    for (j, difference) in differences.iter().enumerate() {
        let alone = two_sided(difference);
        let adjusted = if difference.df < 1.0 || lambda.len() == 1 {
            alone
        } else {
            if last.0 != difference.df {
                last = (
                    difference.df,
                    dunnett::p_values(&t, lambda, difference.df, Sided::Two)?,
                );
            }
            last.1[j]
        };
        let floor = 0.5 * headline.totals(j + 1).p(1.0);
        out.push((alone.max(floor), adjusted.max(floor)));
    }
    Ok(out)
}

fn contrasts(
    headline: &Headline<'_>,
    question: &Question,
    lead: Lead,
    randomisation: Option<&Randomisation>,
    differences: &[Difference],
) -> Result<Vec<Contrast>, Error> {
    let table = headline.table;
    let lambda = lambda(table)?;
    let p = p_model(headline, differences, &lambda)?;
    let mut out = Vec::with_capacity(differences.len());
    for (j, difference) in differences.iter().enumerate() {
        let p_lead = match (lead, randomisation) {
            (Lead::Randomisation, Some(r)) => r.p_adjusted[j],
            _ => p[j].1,
        };
        let ratio = headline.ratio(j + 1);
        let plain = if difference.df < 1.0 || ratio.is_none() {
            Interval {
                low: 0.0,
                high: f64::INFINITY,
                level: 1.0 - question.alpha,
            }
        } else {
            let bound = dunnett::critical(question.alpha, &lambda, difference.df, Sided::Two)?;
            headline.interval(j + 1, bound, question.alpha)
        };
        let found = p_lead <= question.alpha;
        let interval = ratio.map_or(plain, |r| plain.agreeing(found, r));
        let matters = question.matters(&interval);
        out.push(Contrast {
            treatment: table.treatment.levels[j + 1].clone(),
            ratio,
            interval,
            t: Some(difference.t()).filter(|t| t.is_finite()),
            df: difference.df,
            p_chance: headline.totals(j + 1).p(1.0),
            p_model: p[j].0,
            p_model_adjusted: p[j].1,
            p_randomisation: randomisation.map(|r| r.p[j]),
            p_randomisation_adjusted: randomisation.map(|r| r.p_adjusted[j]),
            smallest_p: randomisation.map(|r| r.smallest_p[j]),
            call: question.call(found, ratio.unwrap_or(1.0), matters),
            matters,
        });
    }
    Ok(out)
}

fn cautions(
    table: &PlotTable,
    headline: &Headline<'_>,
    differences: &[Difference],
) -> Vec<Caution> {
    let mut out = Vec::new();
    if differences.iter().any(|d| d.df < 1.0) {
        out.push(Caution::new(
            "no-test-possible",
            "there are too few plots to tell a treatment from the ground it lies on: no test of \
             the method is possible from these counts",
        ));
    }
    let totals = table.totals();
    if totals.iter().all(|&t| t == 0) {
        out.push(Caution::new(
            "all-zero",
            "nothing was found in any plot: the trial says nothing about the method",
        ));
    } else {
        let empty = table.treatment.levels.iter().zip(&totals);
        for (name, _) in empty.filter(|(_, t)| **t == 0) {
            out.push(Caution::new(
                "empty-treatment",
                format!(
                    "nothing was found in any plot of {name}: its ratio is bounded on one side only"
                ),
            ));
        }
    }
    if headline.full.inverse_k <= LIMIT {
        out.push(Caution::new(
            "k-at-poisson-limit",
            "the counts scatter no more than random (Poisson) counts would: k is infinite",
        ));
    }
    if !headline.full.convergence.reached() {
        out.push(Caution::new(
            "not-settled",
            "the count model did not settle; its figures are rough",
        ));
    }
    out
}
