//! Trial data to a judgement.

use std::borrow::Cow;

use halfgreen_analysis::comparison::{
    Comparison, Contrast, PlotTable, PreparedTest, PrimaryTest, Settings, compare, describe,
    overdispersion_share, primary_test,
};
use halfgreen_analysis::randomisation::{Randomisation, RandomisationSettings};
use halfgreen_analysis::results::Origin;

use super::allowances::{allowances, in_words};
use super::bounds;
use super::by_group::by_group;
use super::diagnostics::diagnostics;
use super::factors::{self, Factors};
use super::fits::fits;
use super::non_inferiority::non_inferiority;
use super::one_page::Gate;
use super::result::{
    ContrastRow, Dispersion, Judgement, PoissonFit, RandomisationRow, Units, Verdict,
};
use super::secondary::secondary;
use super::stages::stages;
use super::tested_ratio::{finite, primary_p};
use super::two_groups::two_groups;
use super::wording::{Words, high_is_markov_bound, low_is_markov_bound, sentence};
use crate::design::{Grouping, VerdictAbout};
use crate::trial_data::plot_table::{repeats_treatments, table, tied_before};
use crate::trial_data::{About, TrialData};
use crate::{Error, Warning};

/// Judges a trial. Sampled allocations follow from `seed`.
///
/// # Errors
/// What the count models or the comparison refuse: a treatment without plots, tied columns.
pub fn judge(data: &TrialData, seed: u64) -> Result<(Judgement, Vec<Warning>), Error> {
    let table = table(data);
    let settings = settings(data, seed);
    let (found, plain) = rayon::join(
        || compare(&table, &data.question, &settings),
        || fits(&table),
    );
    let (found, plain) = (found?, plain?);
    let factors = factors::judged(data, &table, found.primary_test, &settings)?;
    let mut warnings = plain.warnings.clone();
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
    if let Some(factors) = &factors {
        warnings.extend(bounds::of_factors(data, factors));
    }
    let headline = (&found, factors.as_ref());
    let gate = Gate::of_verdicts(&found, factors.as_ref(), data.question.alpha);
    let reference = non_inferiority(data, gate)?;
    let later = gate.after(reference.as_ref());
    let (checks, beside) = rayon::join(
        || diagnostics(data, &table, headline, &plain, &settings, seed),
        || secondary(data, &with_before, headline, later, seed),
    );
    let (checks, beside) = (checks?, beside?);
    warnings.extend(beside.warnings);
    let by_group = by_group(data, seed, &mut warnings);
    let rows = |grouping: Grouping| {
        let of = by_group.iter().filter(|found| found.group == grouping);
        of.flat_map(|found| found.rows.clone()).collect()
    };
    warnings.dedup_by(|a, b| a.code == b.code && a.message == b.message);
    let judgement = Judgement {
        units: units(data, &table),
        dispersion: dispersion(&table, &found, &plain.poisson),
        model: plain.model,
        poisson: plain.poisson,
        means: bounds::means(data, &found),
        contrasts: found
            .contrasts
            .iter()
            .map(|c| contrast_row(data, (found.primary_test, found.contrasts.len()), c))
            .collect(),
        randomisation: randomisation(data, &found, factors.as_ref(), seed),
        efficacy: beside.efficacy,
        verdicts: verdicts_of(data, &found, factors.as_ref()),
        primary_test: found.primary_test,
        method: describe(&table, &data.question, &settings, &found),
        alpha: data.question.alpha,
        worthwhile_ratio: data.question.worthwhile_ratio,
        better: data.question.better,
        counted: data.counted.clone(),
        per: data.per,
        plots: data.plots.clone(),
        diagnostics: checks,
        occasions: beside.occasions,
        change_from_baseline: beside.change_from_baseline,
        treatment_by_occasion: beside.treatment_by_occasion,
        stages: stages(data),
        as_treated: beside.as_treated,
        non_inferiority: reference,
        two_groups: two_groups(data, found.k),
        threshold: beside.threshold,
        crossover: data.secondary.crossover.clone(),
        interactions: factors
            .iter()
            .flat_map(|f| f.interactions.clone())
            .collect(),
        factors: factors.map_or(Vec::new(), |f| f.rows),
        greens: rows(Grouping::Green),
        blocks: rows(Grouping::Block),
        by_group,
    };
    Ok((judgement, warnings))
}

/// Whether a trial can be judged, without judging it: the design is prepared and the plain models are fitted, which is
/// where [`judge`] refuses.
///
/// # Errors
/// As [`judge`].
pub fn can_be_judged(data: &TrialData, seed: u64) -> Result<(), Error> {
    let table = table(data);
    PreparedTest::new(table.clone(), data.question, settings(data, seed))?;
    fits(&table).map(|_| ())
}

/// How much was counted.
fn units(data: &TrialData, table: &PlotTable) -> Units {
    let blocks = table.blocking_factors();
    Units {
        plots: data.plots.len(),
        blocks: blocks.first().map_or(0, |f| f.levels.len()),
        subsamples: data.plots.iter().map(|p| p.cores).sum(),
        total: table.counts.iter().sum(),
    }
}

/// Overdispersion by the model of the verdict, and by the Poisson fit.
fn dispersion(table: &PlotTable, found: &Comparison, poisson: &PoissonFit) -> Dispersion {
    let total: u64 = table.counts.iter().sum();
    let mean = total as f64 / table.counts.len() as f64;
    Dispersion {
        k: found.k,
        block_sd: found.sigma.clone(),
        own_k: found.own_k.clone(),
        log_likelihood: found.log_likelihood,
        overdispersion_share: overdispersion_share(found.k.map_or(0.0, |k| 1.0 / k), mean),
        poisson_pearson_per_df: (poisson.residual_df > 0)
            .then(|| poisson.pearson_chi2 / poisson.residual_df as f64),
    }
}

/// How the comparison of a trial is carried out.
pub(super) fn settings(data: &TrialData, seed: u64) -> Settings {
    Settings {
        scheme: data.reference_set.as_ref().map(|r| r.scheme.clone()),
        primary_test: data.primary_test.or_else(|| by_design(data)),
        randomisation: RandomisationSettings {
            seed,
            ..RandomisationSettings::default()
        },
    }
}

/// The primary test of a design that no seal names; the comparison finds it where the scheme is a set of shuffles.
fn by_design(data: &TrialData) -> Option<PrimaryTest> {
    let smallest_p = data.reference_set.as_ref()?.smallest_p?;
    Some(primary_test(smallest_p, data.question.alpha))
}

/// A comparison as it is written out: one of `family`, decided by the primary test.
pub(super) fn contrast_row(
    data: &TrialData,
    (primary_test, family): (PrimaryTest, usize),
    c: &Contrast,
) -> ContrastRow {
    let ratio = c.ratio.and_then(finite);
    ContrastRow {
        treatment: c.treatment.clone(),
        control: data.treatments[0].clone(),
        ratio,
        ratio_at_t_zero: c.ratio_at_t_zero.and_then(finite),
        ratio_as_counted: data.ratio_as_counted(&c.treatment).and_then(finite),
        allows_for: allowances(data, &c.treatment, ratio),
        worthwhile_ratio: data.question.worthwhile_ratio,
        low: finite(c.interval.low),
        high: finite(c.interval.high),
        low_is_markov_bound: low_is_markov_bound(c, data.question.alpha),
        high_is_markov_bound: high_is_markov_bound(c, data.question.alpha),
        reduction_percent: ratio.map(|r| 100.0 * (1.0 - r)),
        confidence_level: 1.0 - data.question.alpha,
        family,
        p: primary_p(primary_test, c.p_model_adjusted, c.p_randomisation_adjusted),
        difference: c.difference,
        standard_error: c.standard_error,
        t: c.t,
        df: c.df,
        critical_t: c.critical_t,
        at_no_effect: c.at_no_effect.clone(),
        untransformed: c.untransformed,
        p_conditional: c.p_conditional,
        p_model: c.p_model,
        p_model_adjusted: c.p_model_adjusted,
        p_randomisation: c.p_randomisation.map(|p| p.value),
        p_randomisation_se: c.p_randomisation.and_then(|p| p.monte_carlo_se()),
        p_randomisation_adjusted: c.p_randomisation_adjusted,
    }
}

fn randomisation(
    data: &TrialData,
    found: &Comparison,
    factors: Option<&Factors>,
    seed: u64,
) -> Option<RandomisationRow> {
    let (test, set) = (found.randomisation.as_ref()?, data.reference_set.as_ref()?);
    let first = test.p.first()?;
    let drawn = match first.origin {
        Origin::Sampled(draws) => draws as f64,
        Origin::Exact | Origin::Reference => test.allocations.first().copied()?,
    };
    Some(RandomisationRow {
        allocations: set.allocations.clone(),
        drawn,
        exact: first.origin == Origin::Exact,
        smallest_p: match (factors, set.smallest_p) {
            (None, Some(sealed)) => sealed,
            _ => smallest_p(test, factors),
        },
        seed,
        scores: test.scores.clone(),
    })
}

/// Smallest p of the randomisation test of one method against the control, or of one factor: the largest of them.
fn smallest_p(test: &Randomisation, factors: Option<&Factors>) -> f64 {
    let of_methods = test.smallest_attainable_p.iter().copied();
    let of_factors = factors.into_iter().flat_map(Factors::contrasts);
    let of_factors = of_factors.filter_map(|c| c.smallest_attainable_p);
    let of_methods = of_methods.filter(|_| factors.is_none());
    of_methods.chain(of_factors).fold(0.0, f64::max)
}

/// The verdicts: on the factors where they were crossed, else on the methods.
pub(super) fn verdicts_of(
    data: &TrialData,
    found: &Comparison,
    factors: Option<&Factors>,
) -> Vec<Verdict> {
    factors.map_or_else(|| verdicts(data, found), Factors::verdicts)
}

fn verdicts(data: &TrialData, found: &Comparison) -> Vec<Verdict> {
    found
        .contrasts
        .iter()
        .map(|c| Verdict {
            treatment: c.treatment.clone(),
            call: c.call,
            relevance: c.relevance,
            sentence: verdict_sentence(data, found.primary_test, c),
        })
        .collect()
}

/// The sentence of a verdict.
pub(super) fn verdict_sentence(
    data: &TrialData,
    primary_test: PrimaryTest,
    c: &Contrast,
) -> String {
    let words = Words {
        method: data.name_of(&c.treatment),
        control: &data.names[0],
        counted: &data.counted,
        primary_test,
        as_counted: data.ratio_as_counted(&c.treatment),
        allowing: &in_words(data, &allowances(data, &c.treatment, c.ratio)),
        more: more(data),
        place: &place(data),
    };
    sentence(words, &data.question, c)
}

/// What there would have to be more of for a surer verdict.
pub(super) fn more(data: &TrialData) -> &'static str {
    match data.about {
        Some(About {
            grouping: Grouping::Green,
            verdict: VerdictAbout::LikeThese,
        }) => "greens",
        _ => "blocks",
    }
}

/// What the verdict is about, after a space.
pub(super) fn place(data: &TrialData) -> String {
    let about = data.about;
    about.map_or_else(String::new, |about| format!(" {}", about.place()))
}
