//! A case to a judgement.

use halfgreen_analysis::answers::Origin;
use halfgreen_analysis::comparison::{
    Comparison, Contrast, Layout, PlotTable, Settings, compare, share_of_clumping,
};
use halfgreen_analysis::counts::{
    Factor, Family, Fit, LikelihoodRatio, fit, likelihood_ratio, score_test,
};
use halfgreen_analysis::randomisation::RandomisationSettings;

use super::case::{Case, Ground};
use super::diagnostics::diagnostics;
use super::efficacy::efficacy;
use super::reference::non_inferiority;
use super::result::{
    CoefficientRow, ContrastRow, Dispersion, Judgement, MeanRow, ModelFit, PoissonFit,
    RandomisationRow, TreatmentTest, Units, Verdict,
};
use super::stages::stages;
use super::two_groups::two_groups;
use super::wording::{self, Words, sentence};
use super::{happened, over_time};
use crate::{Error, Warning};

/// Judges a case. Sampled allocations follow from `seed`.
///
/// # Errors
/// What the count models or the comparison refuse: a treatment without plots, tied columns.
pub fn judge(case: &Case, seed: u64) -> Result<(Judgement, Vec<Warning>), Error> {
    let table = table(case);
    let settings = settings(case, seed);
    let found = compare(&table, &case.question, &settings)?;
    let (model, poisson, mut warnings) = fits(&table)?;
    warnings.extend(case.warnings.iter().cloned());
    warnings.extend(tied_before(case, &table));
    warnings.extend(found.cautions.iter().cloned().map(Warning::from));
    let doubts = diagnostics(case, &table, &found, &settings, seed)?;
    let lead = found.lead;
    let occasions = over_time::occasions(case, lead, &found.contrasts, seed, &mut warnings);
    let change = said(over_time::change(case, lead, seed), &mut warnings);
    let lasted = said(over_time::did_it_last(case, lead, seed), &mut warnings);
    let as_happened = case
        .beside
        .happened
        .as_ref()
        .map(|h| happened::judged(h, &mut warnings));
    warnings.dedup_by(|a, b| a.code == b.code && a.message == b.message);
    let plots = case.plots.len();
    let total: u64 = table.counts.iter().sum();
    let judgement = Judgement {
        units: Units {
            plots,
            blocks: table.terms().first().map_or(0, |f| f.levels.len()),
            subsamples: case.plots.iter().map(|p| p.cores).sum(),
            total,
        },
        dispersion: Dispersion {
            k: found.k,
            block_sd: found.sigma.clone(),
            clumping_share: share_of_clumping(
                found.k.map_or(0.0, |k| 1.0 / k),
                total as f64 / plots as f64,
            ),
            poisson_pearson_per_df: (poisson.residual_df > 0)
                .then(|| poisson.pearson_chi2 / poisson.residual_df as f64),
        },
        model,
        poisson,
        means: means(&found),
        contrasts: found
            .contrasts
            .iter()
            .map(|c| contrast_row(case, c))
            .collect(),
        randomisation: randomisation(case, &found, seed),
        efficacy: efficacy(case)?,
        verdicts: verdicts(case, &found),
        lead: found.lead,
        alpha: case.question.alpha,
        worthwhile_ratio: case.question.worthwhile_ratio,
        better: wording::better(case.question.better),
        counted: case.counted.clone(),
        per: case.per,
        plots: case.plots.clone(),
        diagnostics: doubts,
        occasions,
        change,
        lasted,
        stages: stages(case),
        as_happened,
        non_inferiority: non_inferiority(case)?,
        two_groups: two_groups(case, found.k),
        crossover: case.beside.crossover.clone(),
    };
    Ok((judgement, warnings))
}

/// How the comparison of a case is carried out.
pub(super) fn settings(case: &Case, seed: u64) -> Settings {
    Settings {
        scheme: case.scheme.clone(),
        lead: case.lead,
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

/// The plots as the comparison takes them.
pub(super) fn table(case: &Case) -> PlotTable {
    let labels: Vec<&str> = case.plots.iter().map(|p| p.treatment.as_str()).collect();
    let mut treatment = Factor::from_labels("treatment", &labels, None);
    // Levels in the case's order, the control first, whatever plot comes first.
    treatment.codes = labels
        .iter()
        .map(|l| case.treatments.iter().position(|t| t == l).unwrap_or(0))
        .collect();
    treatment.levels.clone_from(&case.treatments);
    let factor = |name: &str, of: &dyn Fn(&super::PlotCount) -> String| {
        let labels: Vec<String> = case.plots.iter().map(of).collect();
        Factor::from_labels(name, &labels, None)
    };
    let block = || factor("block", &|p| p.block.clone().unwrap_or_default());
    let layout = match case.ground {
        Ground::Open => Layout::Open,
        Ground::Blocks => Layout::Blocks(block()),
        Ground::RowsAndColumns => Layout::RowsAndColumns([
            factor("row", &|p| p.row.clone().unwrap_or_default()),
            factor("column", &|p| p.column.clone().unwrap_or_default()),
        ]),
        Ground::WholePlots => Layout::WholePlots([
            block(),
            factor("whole plot", &|p| {
                format!(
                    "{} {}",
                    p.block.as_deref().unwrap_or(""),
                    p.row.as_deref().unwrap_or("")
                )
            }),
        ]),
    };
    let mut table = PlotTable {
        counts: case.plots.iter().map(|p| p.count).collect(),
        exposure: case.plots.iter().map(|p| p.exposure).collect(),
        treatment,
        layout,
        before: None,
    };
    // Without the covariate the plots may be refused too, and then the comparison says why.
    if table.fixed(true).is_ok() {
        table.before = covariate(case);
        if table.fixed(true).is_err() {
            table.before = None;
        }
    }
    table
}

/// Whether the counts before say nothing that treatments and blocks do not say already.
fn tied_before(case: &Case, table: &PlotTable) -> Option<Warning> {
    (table.before.is_none() && covariate(case).is_some()).then(|| Warning {
        code: "before-tied",
        message: "the counts before treatment differ only as treatments and blocks do, so that they cannot help: they are \
                  not used in the model"
            .to_owned(),
        place: None,
    })
}

/// log(count before + 1), less its mean; absent unless every plot has one and they differ.
fn covariate(case: &Case) -> Option<Vec<f64>> {
    let before: Option<Vec<f64>> = case
        .plots
        .iter()
        .map(|p| p.before.map(f64::ln_1p))
        .collect();
    let before = before?;
    let mean = before.iter().sum::<f64>() / before.len() as f64;
    let centred: Vec<f64> = before.iter().map(|b| b - mean).collect();
    centred.iter().any(|b| b.abs() > 1e-9).then_some(centred)
}

/// Plain maximum likelihood with blocks as constants, for others to check.
fn fits(table: &PlotTable) -> Result<(ModelFit, PoissonFit, Vec<Warning>), Error> {
    let offset = table.offset();
    let (full, null) = (table.fixed(true)?, table.fixed(false)?);
    let run = |family| -> Result<(Fit, LikelihoodRatio, LikelihoodRatio), Error> {
        let with = fit(&table.counts, &offset, &full, family)?;
        let without = fit(&table.counts, &offset, &null, family)?;
        let test = likelihood_ratio(&with, &without);
        let score = score_test(&table.counts, &full, &without)?;
        Ok((with, test, score))
    };
    let (clumped, clumped_test, clumped_score) = run(Family::NegativeBinomial)?;
    let (poisson, poisson_test, poisson_score) = run(Family::Poisson)?;
    let test = |t: LikelihoodRatio| TreatmentTest {
        statistic: t.statistic,
        df: t.df,
        p: t.p,
    };
    let finite = |x: f64| x.is_finite().then_some(x);
    let model = ModelFit {
        family: "negative-binomial",
        k: clumped.k.map(|k| k.value),
        k_se: clumped.k.and_then(|k| finite(k.se)),
        log_likelihood: clumped.log_likelihood,
        deviance: clumped.deviance,
        residual_df: clumped.residual_df,
        coefficients: clumped
            .coefficients
            .iter()
            .map(|c| CoefficientRow {
                term: c.term.clone(),
                estimate: finite(c.estimate),
                se: finite(c.se),
            })
            .collect(),
        treatment_test: test(clumped_test),
        treatment_score_test: test(clumped_score),
    };
    let poisson = PoissonFit {
        log_likelihood: poisson.log_likelihood,
        deviance: poisson.deviance,
        pearson_chi2: poisson.pearson_chi2,
        residual_df: poisson.residual_df,
        treatment_test: test(poisson_test),
        treatment_score_test: test(poisson_score),
    };
    // What the fits say of k and of empty levels, the comparison says as well, of its own model.
    let warnings = clumped
        .cautions
        .into_iter()
        .filter(|c| c.code == "not-settled")
        .map(Warning::from)
        .collect();
    Ok((model, poisson, warnings))
}

fn means(found: &Comparison) -> Vec<MeanRow> {
    let finite = |x: f64| x.is_finite().then_some(x);
    found
        .means
        .iter()
        .map(|m| MeanRow {
            treatment: m.treatment.clone(),
            mean: m.mean,
            low: finite(m.interval.low),
            high: finite(m.interval.high),
        })
        .collect()
}

pub(super) fn contrast_row(case: &Case, c: &Contrast) -> ContrastRow {
    let finite = |x: f64| x.is_finite().then_some(x);
    let ratio = c.ratio.and_then(finite);
    ContrastRow {
        treatment: c.treatment.clone(),
        control: case.treatments[0].clone(),
        ratio,
        low: finite(c.interval.low),
        high: finite(c.interval.high),
        reduction_percent: ratio.map(|r| 100.0 * (1.0 - r)),
        t: c.t,
        df: c.df,
        p_chance: c.p_chance,
        p_model: c.p_model,
        p_model_adjusted: c.p_model_adjusted,
        p_randomisation: c.p_randomisation.map(|p| p.value),
        p_randomisation_adjusted: c.p_randomisation_adjusted,
    }
}

fn randomisation(case: &Case, found: &Comparison, seed: u64) -> Option<RandomisationRow> {
    let test = found.randomisation.as_ref()?;
    let first = test.p.first()?;
    let drawn = match first.origin {
        Origin::Sampled(draws) => draws as f64,
        Origin::Exact | Origin::Reference => test.allocations.first().copied()?,
    };
    Some(RandomisationRow {
        allocations: case.allocations.clone().unwrap_or_default(),
        drawn,
        exact: first.origin == Origin::Exact,
        smallest_p: test.smallest_p.iter().copied().fold(0.0, f64::max),
        seed,
    })
}

pub(super) fn verdicts(case: &Case, found: &Comparison) -> Vec<Verdict> {
    found
        .contrasts
        .iter()
        .zip(&case.names[1..])
        .map(|(c, name)| {
            let words = Words {
                method: name,
                control: &case.names[0],
                counted: &case.counted,
                lead: found.lead,
            };
            Verdict {
                treatment: c.treatment.clone(),
                call: c.call,
                matters: c.matters,
                sentence: sentence(words, &case.question, c),
            }
        })
        .collect()
}
