//! Trial data to a judgement.

use std::borrow::Cow;

use halfgreen_analysis::comparison::{
    Comparison, Contrast, PrimaryTest, Settings, compare, overdispersion_share,
};
use halfgreen_analysis::randomisation::RandomisationSettings;
use halfgreen_analysis::results::Origin;

use super::bounds;
use super::changes::{did_it_last, since_before};
use super::diagnostics::diagnostics;
use super::efficacy::efficacy;
use super::fits::fits;
use super::happened;
use super::occasions::occasions;
use super::reference::non_inferiority;
use super::result::{ContrastRow, Dispersion, Judgement, RandomisationRow, Units, Verdict};
use super::stages::stages;
use super::tested_ratio::finite;
use super::two_groups::two_groups;
use super::wording::{self, Words, rough_high, rough_low, sentence};
use crate::trial_data::TrialData;
use crate::trial_data::plot_table::{repeats_treatments, table, tied_before};
use crate::{Error, Warning};

/// Judges a trial. Sampled allocations follow from `seed`.
///
/// # Errors
/// What the count models or the comparison refuse: a treatment without plots, tied columns.
pub fn judge(data: &TrialData, seed: u64) -> Result<(Judgement, Vec<Warning>), Error> {
    let table = table(data);
    let settings = settings(data, seed);
    let found = compare(&table, &data.question, &settings)?;
    let (model, poisson, mut warnings) = fits(&table)?;
    warnings.extend(data.warnings.iter().cloned());
    let tied = tied_before(data, &table);
    let with_before = if tied.is_some() && repeats_treatments(data) {
        Cow::Owned(data.without_before())
    } else {
        Cow::Borrowed(data)
    };
    warnings.extend(tied);
    warnings.extend(found.cautions.iter().cloned().map(Warning::from));
    warnings.extend(bounds::of(data, &found));
    let doubts = diagnostics(data, &table, &found, &settings, seed)?;
    let lead = found.primary_test;
    let occasions = occasions(data, lead, &found.contrasts, seed, &mut warnings);
    let change = said(since_before(&with_before, lead, seed), &mut warnings);
    let lasted = said(did_it_last(data, lead, seed), &mut warnings);
    let efficacy = efficacy(&with_before)?;
    warnings.extend(efficacy.without_value());
    let as_happened = data
        .beside
        .happened
        .as_ref()
        .map(|h| happened::judged(h, &mut warnings));
    warnings.dedup_by(|a, b| a.code == b.code && a.message == b.message);
    let plots = data.plots.len();
    let total: u64 = table.counts.iter().sum();
    let judgement = Judgement {
        units: Units {
            plots,
            blocks: table
                .blocking_factors()
                .first()
                .map_or(0, |f| f.levels.len()),
            subsamples: data.plots.iter().map(|p| p.cores).sum(),
            total,
        },
        dispersion: Dispersion {
            k: found.k,
            block_sd: found.sigma.clone(),
            clumping_share: overdispersion_share(
                found.k.map_or(0.0, |k| 1.0 / k),
                total as f64 / plots as f64,
            ),
            poisson_pearson_per_df: (poisson.residual_df > 0)
                .then(|| poisson.pearson_chi2 / poisson.residual_df as f64),
        },
        model,
        poisson,
        means: bounds::means(data, &found),
        contrasts: found
            .contrasts
            .iter()
            .map(|c| contrast_row(data, c))
            .collect(),
        randomisation: randomisation(data, &found, seed),
        efficacy,
        verdicts: verdicts(data, &found),
        lead: found.primary_test,
        alpha: data.question.alpha,
        worthwhile_ratio: data.question.worthwhile_ratio,
        better: wording::better(data.question.better),
        counted: data.counted.clone(),
        per: data.per,
        plots: data.plots.clone(),
        diagnostics: doubts,
        occasions,
        change,
        lasted,
        stages: stages(data),
        as_happened,
        non_inferiority: non_inferiority(data)?,
        two_groups: two_groups(data, found.k),
        crossover: data.beside.crossover.clone(),
    };
    Ok((judgement, warnings))
}

/// How the comparison of a trial is carried out.
pub(super) fn settings(data: &TrialData, seed: u64) -> Settings {
    Settings {
        scheme: data.scheme.clone(),
        primary_test: data.lead,
        randomisation: RandomisationSettings {
            seed,
            ..RandomisationSettings::default()
        },
    }
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

pub(super) fn contrast_row(data: &TrialData, c: &Contrast) -> ContrastRow {
    let ratio = c.ratio.and_then(finite);
    ContrastRow {
        treatment: c.treatment.clone(),
        control: data.treatments[0].clone(),
        ratio,
        ratio_as_counted: data.ratio_as_counted(&c.treatment).and_then(finite),
        low: finite(c.interval.low),
        high: finite(c.interval.high),
        low_is_rough: rough_low(c, data.question.alpha),
        high_is_rough: rough_high(c, data.question.alpha),
        reduction_percent: ratio.map(|r| 100.0 * (1.0 - r)),
        t: c.t,
        df: c.df,
        p_chance: c.p_conditional,
        p_model: c.p_model,
        p_model_adjusted: c.p_model_adjusted,
        p_randomisation: c.p_randomisation.map(|p| p.value),
        p_randomisation_adjusted: c.p_randomisation_adjusted,
    }
}

fn randomisation(data: &TrialData, found: &Comparison, seed: u64) -> Option<RandomisationRow> {
    let test = found.randomisation.as_ref()?;
    let first = test.p.first()?;
    let drawn = match first.origin {
        Origin::Sampled(draws) => draws as f64,
        Origin::Exact | Origin::Reference => test.allocations.first().copied()?,
    };
    Some(RandomisationRow {
        allocations: data.allocations.clone().unwrap_or_default(),
        drawn,
        exact: first.origin == Origin::Exact,
        smallest_p: test
            .smallest_attainable_p
            .iter()
            .copied()
            .fold(0.0, f64::max),
        seed,
    })
}

pub(super) fn verdicts(data: &TrialData, found: &Comparison) -> Vec<Verdict> {
    found
        .contrasts
        .iter()
        .map(|c| Verdict {
            treatment: c.treatment.clone(),
            call: c.call,
            matters: c.relevance,
            sentence: told(data, found.primary_test, c),
        })
        .collect()
}

/// The sentence of a verdict.
pub(super) fn told(data: &TrialData, lead: PrimaryTest, c: &Contrast) -> String {
    let words = Words {
        method: data.name_of(&c.treatment),
        control: &data.names[0],
        counted: &data.counted,
        lead,
        as_counted: data.ratio_as_counted(&c.treatment),
        allowing: &data.allowed_for(),
    };
    sentence(words, &data.question, c)
}
