//! The count models by plain maximum likelihood, blocks as constants, for others to check.

use halfgreen_analysis::comparison::PlotTable;
use halfgreen_analysis::counts::{
    Family, Fit, LikelihoodRatio, ModelMatrix, fit, likelihood_ratio, score_test,
};

use super::result::{CoefficientRow, ModelFit, PoissonFit, TreatmentTest};
use super::tested_ratio::finite;
use crate::{Error, Warning};

/// The plain fits, and of the negative binomial one what its diagnostics start from.
pub(super) struct PlainFits {
    pub(super) model: ModelFit,
    pub(super) poisson: PoissonFit,
    pub(super) warnings: Vec<Warning>,
    pub(super) offset: Vec<f64>,
    pub(super) matrix: ModelMatrix,
    pub(super) negative_binomial: Fit,
}

/// Negative binomial and Poisson fits.
pub(super) fn fits(table: &PlotTable) -> Result<PlainFits, Error> {
    let offset = table.offset();
    let (full, null) = (table.fixed_effects(true)?, table.fixed_effects(false)?);
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
    // What the fits say of empty levels the comparison says as well.
    let mut warnings: Vec<Warning> = (clumped.cautions.iter())
        .filter(|c| c.code == "not-converged")
        .cloned()
        .map(Warning::from)
        .collect();
    let without = match (model.k, model.k_se) {
        (None, _) => {
            "no k and no standard error of it: its counts scatter no more than random ones"
        }
        (Some(_), None) => "no standard error of its k: the likelihood is too flat to give one",
        (Some(_), Some(_)) => "",
    };
    if !without.is_empty() {
        warnings.push(Warning {
            code: "plain-fit-without-k",
            message: format!("the plain fit with blocks as constants has {without}"),
            place: None,
        });
    }
    Ok(PlainFits {
        model,
        poisson,
        warnings,
        offset,
        matrix: full,
        negative_binomial: clumped,
    })
}
