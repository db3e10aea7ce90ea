//! Can the answer be believed? Each check with one plain sentence of meaning.

use halfgreen_analysis::comparison::{Comparison, Contrast, PlotTable, PrimaryTest, Settings};
use halfgreen_analysis::diagnostics::{
    Gradient, SimulatedStatistic, deletion_candidates, gradient, leverage, normal_scores,
    simulated_checks, zero_inflation,
};
use halfgreen_analysis::spatial::SpatialWeights;
use halfgreen_analysis::spatial::residuals::moran_of_residuals;
use serde::Serialize;

use super::diagnostic_words;
use super::factors::Factors;
use super::fits::PlainFits;
use super::leave_one_out::{self, LeaveOneOut};
use crate::Error;
use crate::trial_data::{TrialData, plot_table};

/// Sets of counts simulated from the fit: p-values are multiples of 1/200, doubled.
const DRAWS: u64 = 199;
/// Plots up to which as many are drawn, more than a trial has; of larger tables fewer, for each of them is fitted.
const PLOTS_DRAWN: u64 = 1000;
/// Fewest sets that are drawn: the smallest p is then 0.05.
const FEWEST_DRAWS: u64 = 39;

/// Plots that count as neighbours of one: the sides of a plot in a grid.
const NEAREST: usize = 4;

/// Exchanges of residuals within treatments.
const PERMUTATIONS: usize = 999;

/// The checks. Those that the number of plots does not allow are null.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Diagnostics {
    /// One randomised quantile residual a plot, of the model with blocks as constants.
    pub residuals: Option<Residuals>,
    /// How variable the counts are beside the model (Pearson's chi-squared over its degrees of freedom).
    pub dispersion: Option<SimulatedRow>,
    /// Plots where nothing was found.
    pub zeros: Option<SimulatedRow>,
    /// Whether some plots are empty for a reason of their own.
    pub zero_inflation: ZeroInflationRow,
    /// Share of each plot's own count in its fitted mean.
    pub leverage: Leverage,
    /// Whether residuals of neighbouring plots go together; null where places are not known.
    pub spatial_autocorrelation: Option<AutocorrelationRow>,
    /// Whether counts rise across the blocks; null where places are not known, or leave nothing beside rows and columns.
    pub gradient: Option<GradientRow>,
    /// The verdict without each plot, one row for each method.
    pub leave_one_out: Vec<LeaveOneOut>,
    /// Sets of counts simulated.
    pub draws: u64,
    /// Seed of residuals and simulations.
    pub seed: u64,
}

impl Diagnostics {
    /// What each check means, in the order in which a reader asks; with the method where there are several
    /// and the sentence is about one.
    #[must_use]
    pub fn sentences(&self) -> Vec<(Option<&str>, &str)> {
        let several = self.leave_one_out.len() > 1;
        let by_method = self.leave_one_out.iter();
        let by_method =
            by_method.map(|o| (several.then_some(o.treatment.as_str()), o.sentence.as_str()));
        let whole = self.of_the_whole();
        by_method
            .chain(whole.into_iter().map(|s| (None, s)))
            .collect()
    }

    fn of_the_whole(&self) -> Vec<&str> {
        let mut all: Vec<&str> = Vec::new();
        all.extend(self.residuals.iter().map(|r| r.sentence.as_str()));
        let simulated = [&self.dispersion, &self.zeros].into_iter().flatten();
        all.extend(simulated.map(|s| s.sentence.as_str()));
        all.push(&self.zero_inflation.sentence);
        all.push(&self.leverage.sentence);
        all.extend(
            self.spatial_autocorrelation
                .iter()
                .map(|n| n.sentence.as_str()),
        );
        all.extend(self.gradient.iter().map(|g| g.sentence.as_str()));
        all
    }
}

/// Residuals and how normal they look.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Residuals {
    /// One for each plot, in the order of `plots`.
    pub values: Vec<f64>,
    /// What standard normal residuals would be at their ranks, in the same order.
    pub normal_scores: Vec<f64>,
    /// Count that the model expects in each plot, in the same order.
    pub fitted: Vec<f64>,
    /// Mean of the residuals.
    pub mean: Option<f64>,
    /// Their standard deviation.
    pub sd: Option<f64>,
    /// Squared correlation with normal scores.
    pub normal_scores_r2: Option<f64>,
    /// Its chance by simulation, refitting included.
    pub p: Option<f64>,
    /// What that means.
    pub sentence: String,
}

/// Moran's I of the residuals.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AutocorrelationRow {
    /// Moran's I over each plot's nearest plots.
    pub moran_i: f64,
    /// Two-sided p, residuals exchanged within treatments.
    pub p: f64,
    /// What that means.
    pub sentence: String,
}

/// A gradient across the blocks, or across the ground where there are none.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GradientRow {
    /// Change of the log count per metre east and per metre north, and its test.
    #[serde(flatten)]
    pub test: Gradient,
    /// What that means.
    pub sentence: String,
}

/// A figure of the counts beside the same of simulated counts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SimulatedRow {
    /// Of the counts.
    pub observed: f64,
    /// Mean of simulated counts.
    pub expected: f64,
    /// Chance of lying as far out, (b + 1) / (m + 1) on the nearer side, doubled.
    pub p: f64,
    /// What that means.
    pub sentence: String,
}

/// A share of plots that are empty for a reason of their own.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ZeroInflationRow {
    /// The share.
    pub share: f64,
    /// k of the other plots.
    pub k: Option<f64>,
    /// Twice the log-likelihood gained.
    pub likelihood_ratio: f64,
    /// Chance of such a gain if there were none.
    pub p: f64,
    /// What that means.
    pub sentence: String,
}

/// How far plots pull their own fitted means.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Leverage {
    /// One for each plot, in the order of `plots`, between 0 and 1.
    pub values: Vec<f64>,
    /// Their mean.
    pub mean: f64,
    /// What that means.
    pub sentence: String,
}

/// Sets of counts that are drawn for so many plots.
fn draws(plots: usize) -> u64 {
    let most = DRAWS * PLOTS_DRAWN / plots.max(1) as u64;
    most.clamp(FEWEST_DRAWS, DRAWS)
}

/// Runs every check.
///
/// # Errors
/// What the fits refuse.
pub(super) fn diagnostics(
    data: &TrialData,
    table: &PlotTable,
    (found, factors): (&Comparison, Option<&Factors>),
    fits: &PlainFits,
    settings: &Settings,
    seed: u64,
) -> Result<Diagnostics, Error> {
    let (offset, matrix, plain) = (&fits.offset, &fits.matrix, &fits.negative_binomial);
    let inflated = zero_inflation(&table.counts, offset, matrix, plain)?;
    let checks = if plain.residual_df > 0 {
        Some(simulated_checks(
            &table.counts,
            offset,
            matrix,
            plain,
            draws(table.counts.len()),
            seed,
        )?)
    } else {
        None
    };
    let pulls = leverage(matrix, plain);
    let autocorrelation = match &checks {
        Some(checks) => autocorrelation(data, table, &checks.residuals, seed)?,
        None => None,
    };
    let settings = Settings {
        primary_test: Some(found.primary_test),
        // Where the model test is primary, the randomisation test need not be repeated.
        scheme: settings
            .scheme
            .clone()
            .filter(|_| found.primary_test == PrimaryTest::Randomisation),
        ..settings.clone()
    };
    let whole: Vec<&Contrast> = match factors {
        Some(factors) => factors.contrasts().collect(),
        None => found.contrasts.iter().collect(),
    };
    let out = deletion_candidates(&table.counts, plain, whole.len());
    let left_out = halfgreen_analysis::diagnostics::leave_one_out(
        table,
        &plot_table::factors(data),
        &data.question,
        &settings,
        &out,
    )?;
    let row = |s: SimulatedStatistic, sentence: String| SimulatedRow {
        observed: s.observed,
        expected: s.expected,
        p: s.p.value,
        sentence,
    };
    Ok(Diagnostics {
        dispersion: checks
            .as_ref()
            .map(|c| row(c.dispersion, diagnostic_words::dispersion(&c.dispersion))),
        zeros: checks
            .as_ref()
            .map(|c| row(c.zeros, diagnostic_words::zeros(&c.zeros, data.plots.len()))),
        residuals: checks.map(|c| Residuals {
            mean: c.normality.map(|n| n.mean),
            sd: c.normality.map(|n| n.sd),
            normal_scores_r2: c.normality.map(|n| n.w),
            p: c.straightness.map(|s| s.p.value),
            sentence: diagnostic_words::residuals(c.straightness.as_ref()),
            normal_scores: normal_scores(&c.residuals),
            fitted: plain.means.clone(),
            values: c.residuals,
        }),
        zero_inflation: ZeroInflationRow {
            share: inflated.share,
            k: inflated.k,
            likelihood_ratio: inflated.gain,
            p: inflated.p,
            sentence: diagnostic_words::zero_inflation(&inflated),
        },
        leverage: pulled(data, pulls),
        spatial_autocorrelation: autocorrelation,
        gradient: across_the_blocks(data, table),
        leave_one_out: whole
            .into_iter()
            .enumerate()
            .map(|(at, whole)| leave_one_out::of_method(data, at, whole, &left_out))
            .collect(),
        draws: draws(table.counts.len()),
        seed,
    })
}

/// Moran's I of residuals over each plot's nearest plots.
fn autocorrelation(
    data: &TrialData,
    table: &PlotTable,
    residuals: &[f64],
    seed: u64,
) -> Result<Option<AutocorrelationRow>, Error> {
    let places: Option<Vec<(f64, f64)>> = data.plots.iter().map(|p| p.place).collect();
    let Some(places) = places.filter(|p| p.len() > NEAREST) else {
        return Ok(None);
    };
    let near = SpatialWeights::nearest(&places, NEAREST).row_standardised();
    let codes = &table.treatment.codes;
    let found = moran_of_residuals(residuals, codes, &near, PERMUTATIONS, seed)?;
    Ok(found.map(|(moran, p)| AutocorrelationRow {
        moran_i: moran,
        p: p.value,
        sentence: diagnostic_words::neighbours(moran, p.value),
    }))
}

/// A gradient over the places of the plots.
fn across_the_blocks(data: &TrialData, table: &PlotTable) -> Option<GradientRow> {
    let places: Option<Vec<(f64, f64)>> = data.plots.iter().map(|p| p.place).collect();
    let test = gradient(table, &places?)?;
    let blocks = !table.blocking_factors().is_empty();
    Some(GradientRow {
        sentence: diagnostic_words::gradient(&test, blocks),
        test,
    })
}

fn pulled(data: &TrialData, values: Vec<f64>) -> Leverage {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let most = values
        .iter()
        .zip(&data.plots)
        .max_by(|a, b| a.0.total_cmp(b.0))
        .map(|(v, p)| (p.plot.as_str(), *v));
    Leverage {
        sentence: diagnostic_words::leverage(most, mean),
        mean,
        values,
    }
}
